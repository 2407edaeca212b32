"""World: every triangle of a scene in one set of arrays, with materials and the piece each belongs to."""
# CONTRACT; the builders register in BUILDERS below.

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part
from preview.trade.catalogue import material


@dataclass(frozen=True)
class World:
    """vertices (n, 3) float32 m; normals (n, 3) float32; faces (m, 3) int32; part_of_face (m,) int32 indexes parts.

    `names[i]`, `materials[i]`, `wets[i]` (0 dry to 1 after heavy rain): of part i.
    """

    vertices: NDArray[np.float32]
    normals: NDArray[np.float32]
    faces: NDArray[np.int32]
    part_of_face: NDArray[np.int32]
    names: tuple[str, ...]
    materials: tuple[str, ...]
    wets: tuple[float, ...]


def gather(parts: Sequence[Part]) -> World:
    """One world from parts."""
    counts = np.cumsum([0] + [len(p.vertices) for p in parts])
    empty = np.zeros((0, 3))
    return World(
        np.concatenate([empty, *(p.vertices for p in parts)]).astype(np.float32),
        np.concatenate([empty, *(p.normals for p in parts)]).astype(np.float32),
        np.concatenate(
            [empty.astype(np.int32), *(p.faces + n for p, n in zip(parts, counts, strict=False))]
        ).astype(np.int32),
        np.repeat(np.arange(len(parts), dtype=np.int32), [len(p.faces) for p in parts]),
        tuple(p.name for p in parts),
        tuple(p.material for p in parts),
        tuple(p.wet for p in parts),
    )


def split(world: World) -> tuple[World, World]:
    """What stops light, and what is clear: panes that light passes and only the eye finds, by their mirror."""
    clear = np.array([material(name).clear for name in world.materials], bool)
    return _of_parts(world, ~clear), _of_parts(world, clear)


def _of_parts(world: World, chosen: NDArray[np.bool_]) -> World:
    """Those parts alone, in their order."""
    if chosen.all():
        return world
    number = np.cumsum(chosen, dtype=np.int32) - np.int32(1)
    faces = chosen[world.part_of_face]
    corners = world.faces[faces]
    used = np.zeros(len(world.vertices), bool)
    used[corners] = True
    place = np.cumsum(used, dtype=np.int32) - np.int32(1)
    kept = np.flatnonzero(chosen)
    return World(
        world.vertices[used],
        world.normals[used],
        place[corners],
        number[world.part_of_face[faces]],
        tuple(world.names[part] for part in kept),
        tuple(world.materials[part] for part in kept),
        tuple(world.wets[part] for part in kept),
    )
