"""World: every triangle of a scene in one set of arrays, with materials and the piece each belongs to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part
from preview.trade.catalogue import material


@dataclass(frozen=True)
class World:
    """vertices (n, 3) float32 m; normals (n, 3) float32; faces (m, 3) int32; part_of_face (m,) int32 indexes parts.

    tint (n, 3) float32: factors on the material's reflectance, linear ACEScg; None where no part has any.
    `names[i]`, `materials[i]`, `wets[i]` (0 dry to 1 after heavy rain): of part i.
    """

    vertices: NDArray[np.float32]
    normals: NDArray[np.float32]
    faces: NDArray[np.int32]
    part_of_face: NDArray[np.int32]
    names: tuple[str, ...]
    materials: tuple[str, ...]
    wets: tuple[float, ...]
    tint: NDArray[np.float32] | None = None


def gather(parts: Sequence[Part]) -> World:
    """One world from parts."""
    return World(
        _stacked([p.vertices for p in parts]),
        _stacked([p.normals for p in parts]),
        _numbered([p.faces for p in parts], [len(p.vertices) for p in parts]),
        np.repeat(np.arange(len(parts), dtype=np.int32), [len(p.faces) for p in parts]),
        tuple(p.name for p in parts),
        tuple(p.material for p in parts),
        tuple(p.wet for p in parts),
        _tinted([p.tint for p in parts], [len(p.vertices) for p in parts]),
    )


def joined(worlds: Sequence[World]) -> World:
    """One world from several, their parts in the same order."""
    starts = np.cumsum([0] + [len(w.names) for w in worlds])
    return World(
        _stacked([w.vertices for w in worlds]),
        _stacked([w.normals for w in worlds]),
        _numbered([w.faces for w in worlds], [len(w.vertices) for w in worlds]),
        np.concatenate(
            [
                np.zeros(0, np.int32),
                *(w.part_of_face + np.int32(n) for w, n in zip(worlds, starts, strict=False)),
            ]
        ),
        tuple(name for w in worlds for name in w.names),
        tuple(material for w in worlds for material in w.materials),
        tuple(wet for w in worlds for wet in w.wets),
        _tinted([w.tint for w in worlds], [len(w.vertices) for w in worlds]),
    )


def _stacked(blocks: Sequence[NDArray[np.floating[Any]]]) -> NDArray[np.float32]:
    """Rows (n, 3) of blocks, one after another; axis by axis in memory, as the tracer takes them without a copy."""
    whole = np.empty((3, sum(map(len, blocks))), np.float32)
    first = 0
    for block in blocks:
        whole[:, first : first + len(block)] = block.T
        first += len(block)
    return whole.T


def _tinted(
    blocks: Sequence[NDArray[np.float32] | None], vertices: Sequence[int]
) -> NDArray[np.float32] | None:
    """Tints of blocks, one after another, 1 for a block without; None where none has any."""
    if all(block is None for block in blocks):
        return None
    plain = np.float32(1.0)
    return _stacked(
        [np.broadcast_to(plain, (n, 3)) if b is None else b for b, n in zip(blocks, vertices, strict=True)]
    )


def _numbered(blocks: Sequence[NDArray[np.int32]], vertices: Sequence[int]) -> NDArray[np.int32]:
    """Faces (m, 3) of blocks, each block's corners counted on from the `vertices` of those before it; laid out alike."""
    whole = np.empty((3, sum(map(len, blocks))), np.int32)
    first = start = 0
    for block, count in zip(blocks, vertices, strict=True):
        np.add(block.T, np.int32(start), out=whole[:, first : first + len(block)])
        first, start = first + len(block), start + count
    return whole.T


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
    corners = np.compress(faces, world.faces.T, axis=1)
    used = np.zeros(len(world.vertices), bool)
    used[corners] = True
    place = np.cumsum(used, dtype=np.int32) - np.int32(1)
    kept = np.flatnonzero(chosen)
    return World(
        np.compress(used, world.vertices.T, axis=1).T,
        np.compress(used, world.normals.T, axis=1).T,
        np.take(place, corners).T,
        number[world.part_of_face[faces]],
        tuple(world.names[part] for part in kept),
        tuple(world.materials[part] for part in kept),
        tuple(world.wets[part] for part in kept),
        None if world.tint is None else np.compress(used, world.tint.T, axis=1).T,
    )
