"""Room: the memory and the disk that a frame takes, told from counts alone before a ray is traced.

The bytes named here are the program's own: where no array says it, they were measured as the rise of a process's
anonymous memory (RssAnon of proc(5)) on Linux, with Embree 4 and numpy 2, over sets of 0.3 to 5 million triangles and
frames of 960 to 3840 pixels. What lies in files of the cache is not counted as memory: the system takes it back when it
wants to.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from preview.faults import UserError
from preview.light.light import Light
from preview.trace.machine import memory_to_spare
from preview.trace.quality import Quality
from preview.trace.scatter_field import SLICES
from preview.trace.stage import Stage
from preview.trace.store import AnyStore
from preview.trace.store_place import NO_BOUND
from preview.trace.tile import TILE_POINTS

Engine = Literal["traced", "raster"]

PROGRAM = 80_000_000
"""Interpreter and libraries. Measured: 40 MB, twice that once the pictures' libraries are in."""
TRIANGLE, VERTEX = 36, 36
"""Of a world: corners, part and facet; position and normal. 8 and 12 of these are for what building leaves in the heap:
measured, that much for a set of many pieces, nothing for one large mesh."""
TREE_TRIANGLE, TREE_VERTEX = 72, 16
"""Of Embree's tree and its copies of the above. Measured: 40 to 60 bytes a triangle besides the copies."""
DRIVER_TRIANGLE, DRIVER_LIGHT = 200, 40_000_000
"""Of a GL driver that draws in software, with what is handed to it; of a light's shadow maps, of which a lamp that shines
all round has the most. Measured with Mesa: 40 to 50 MB a light over a mixture of heads and bulbs."""
TILE = 60_000_000
"""Of a tile on its way. Measured over foliage: 35 MB for a look, 60 MB for a final frame."""
PIXEL = 16
"""Of a layer, and of what is seen: four float32."""
LENS = 160
"""A pixel, while the lens is put before the picture. Measured: 115 to 165, the more where layers of blur are spread side by
side."""
DRAWN = 70
"""A pixel of the delivered frame, while picture, stops map and EXR are written. Measured: 55 to 66."""
SMOOTHING = 8
"""Arrays of its size that smoothing the bounce or the haze needs."""
FIELDS = 900_000_000
"""Bytes that bounce and haze of the lights that are traced together may take."""
MOST_TILES = 12
"""Tiles on their way at once: together they take no more memory than the lens does of a large frame."""


@dataclass(frozen=True)
class Counts:
    """What there is to trace: triangles and their vertices; lights, of which `missing` are not in the store; pixels."""

    triangles: int
    vertices: int
    lights: int
    missing: int
    width: int
    height: int

    @property
    def pixels(self) -> int:
        return self.width * self.height


@dataclass(frozen=True)
class Need:
    """Bytes: of `memory` in all, of which the built set already holds `held`; of layers on `disk`."""

    memory: int
    held: int
    disk: int


def counts_of(stage: Stage, lights: int, missing: int, *, width: int, height: int) -> Counts:
    """The counts of a stage and a frame of so many pixels."""
    worlds = [geometry.world for geometry in (stage.solid, stage.shown, stage.panes)]
    triangles = sum(len(world.faces) for world in worlds)
    vertices = sum(len(world.vertices) for world in worlds)
    return Counts(triangles, vertices, lights, missing, width, height)


def need_of(counts: Counts, *, quality: Quality, haze: bool, engine: Engine = "traced") -> Need:
    """What a frame takes at its peak; it grows with every count. A draft's pixels are those that are traced."""
    pixels = counts.pixels
    held = PROGRAM + TRIANGLE * counts.triangles + VERTEX * counts.vertices
    tree = TREE_TRIANGLE * counts.triangles + TREE_VERTEX * counts.vertices
    tiles = TILE * min(tiles_at_once(), -(-pixels * quality.samples // TILE_POINTS))
    after = max(LENS * pixels, round(DRAWN * pixels / quality.scale**2))
    if engine == "raster":
        # Faces of each sample and of the glass before it, what is seen, and layers, whose errors are never written.
        images = (8 * quality.samples + PIXEL + 12 * counts.lights) * pixels
        driver = DRIVER_TRIANGLE * counts.triangles + DRIVER_LIGHT * counts.lights
        return Need(held + driver + images + tree + max(tiles, after), held, 0)
    if counts.missing == 0:
        return Need(held + after, held, 0)
    each, air = _fields(counts.width, counts.height, quality, haze=haze)
    fields = min(counts.missing * each, max(FIELDS, each)) + max(tiles, SMOOTHING * air)
    return Need(held + tree + max(fields, after), held, PIXEL * (counts.missing + 1) * pixels)


def make_room(need: Need, counts: Counts, store: AnyStore | None = None) -> None:
    """Raises UserError, which says what is needed, what there is and what helps, where a frame cannot fit.

    Layers that the disk cannot hold go to memory, as far as the store lets them. Where nobody tells what there is,
    nothing is refused.
    """
    beyond = 0.0 if store is None else max(0.0, need.disk - store.room())
    of_layers = f"The layers of {_told(counts.missing, 'fixture')} at {counts.width} × {counts.height} pixels"
    if store is not None and beyond > store.most_in_memory:
        passing = store.most_bytes >= NO_BOUND
        elsewhere = "leave out --no-cache" if passing else "set PREVIEW_CACHE to a folder on another disk"
        raise UserError(
            f"{of_layers} take {gigabytes(need.disk)} on disk, and there is room for "
            f"{gigabytes(max(0.0, need.disk - beyond))}: free some, {elsewhere}, or ask for a smaller --size."
        )
    spare = memory_to_spare()
    wanted = need.memory - need.held + beyond
    if spare is None or wanted <= spare:
        return
    where = f" {of_layers} would be in it, for want of disk." if beyond > 0.0 else ""
    raise UserError(
        f"{counts.width} × {counts.height} pixels with {_told(counts.lights, 'fixture')} and {_many(counts.triangles)} "
        f"triangles take {gigabytes(wanted)} of memory more, and this machine has {gigabytes(spare)} to spare.{where} "
        "Ask for a smaller --size, or make the set of fewer triangles."
    )


def gigabytes(size: float) -> str:
    """`2.4 GB`, `85 MB`."""
    if size >= 0.995e9:
        return f"{size / 1e9:.1f} GB"
    return f"{size / 1e6:.0f} MB"


def tiles_at_once() -> int:
    """Tiles that are traced at the same time."""
    return min(MOST_TILES, os.cpu_count() or 1)


def groups_of(
    lights: Sequence[Light], *, width: int, height: int, quality: Quality, haze: bool
) -> list[Sequence[Light]]:
    """The lights in groups, of which each is traced with its bounce and haze in memory; one group at the least."""
    each, _ = _fields(width, height, quality, haze=haze)
    together = max(1, FIELDS // max(1, each))
    groups = max(1, -(-len(lights) // together))
    size = max(1, -(-len(lights) // groups))
    return [lights[first : first + size] for first in range(0, max(1, len(lights)), size)]


def _fields(width: int, height: int, quality: Quality, *, haze: bool) -> tuple[int, int]:
    """Bytes that a light traced with others takes for its bounce and its haze, and those of the haze alone."""
    bounce = 12 * _cells(width, height, quality.bounce_step) if quality.bounce_rays else 0
    air = 4 * SLICES * _cells(width, height, quality.haze_step) if haze else 0
    return max(SMOOTHING * bounce, bounce + air), air


def _cells(width: int, height: int, step: int) -> int:
    return max(2, -(-width // step)) * max(2, -(-height // step))


def _many(count: int) -> str:
    """`5.0 million`, `38 thousand`."""
    return f"{count / 1e6:.1f} million" if count >= 950_000 else f"{count / 1e3:.0f} thousand"


def _told(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"
