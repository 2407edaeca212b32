"""Plate: what tracing a setup yields: one layer per light, each the whole frame's answer to that light alone."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from os import cpu_count

import numpy as np
from numpy.typing import NDArray

from preview.camera.view import View
from preview.light.emitters.dome import Dome
from preview.light.light import Glow, Light
from preview.light.vectors import column
from preview.trace.bounce import BounceField, bounced
from preview.trace.direct import illuminance
from preview.trace.geometry import Geometry, Points
from preview.trace.rays import Hit
from preview.trace.sampling import shifts
from preview.trace.tile import Grid, Tile, grid_of, tiles

Array = NDArray[np.float32]


HORIZON_DIP = 0.02
"""How far below level, as a sine, the sky is still shown: the ground of a set ends, the country does not."""
BAND = 16
"""Rows of the coarse grid that a thread takes at a time."""


@dataclass(frozen=True)
class Effort:
    """How much is traced: samples a pixel, rays a sample for soft sources, and for the bounce."""

    samples: int = 4
    soft_rays: int = 2
    bounce_rays: int = 8
    bounce_step: int = 5
    """Pixels between the points of the coarse grid."""


DRAFT = Effort(samples=1, soft_rays=1, bounce_rays=4, bounce_step=8)


@dataclass(frozen=True)
class Stage:
    """What is traced: `solid` stops light; `shown` (heads, stands, lamps' glass) is only seen, and stops none.

    `glow_of_part`: for each part of `shown`, the light and the glow it belongs to, or None for a dark body.
    """

    solid: Geometry
    shown: Geometry
    glow_of_part: tuple[tuple[int, Glow] | None, ...]


@dataclass(frozen=True)
class Plate:
    """layers (lights, height, width, 3) cd/m2, linear ACEScg, every light at full level and white.

    depth (height, width) m along the ray to the first thing met, inf for sky; part (height, width) int32: the solid
    world's part seen there, -1 for sky, -2 - k for part k of what is only shown.
    """

    lights: tuple[str, ...]
    layers: Array
    depth: Array
    part: NDArray[np.int32]


def trace(
    stage: Stage,
    lights: Sequence[Light],
    view: View,
    *,
    width: int,
    height: int,
    effort: Effort,
    seed: int = 1,
    threads: int | None = None,
    progress: Callable[[float], None] = lambda share: None,
) -> Plate:
    """The plate of a view. The same for a seed whatever the number of threads.

    Raises MemoryError where the layers do not fit.
    """
    layers = np.zeros((len(lights), height, width, 3), np.float32)
    depth = np.full((height, width), np.inf, np.float32)
    part = np.full((height, width), -1, np.int32)
    work_list = tiles(width, height, effort.samples)
    with ThreadPoolExecutor(threads or cpu_count() or 1) as pool:
        field = _bounce_field(stage, lights, view, width, height, effort, seed, pool, progress)

        def work(tile: Tile) -> None:
            answer = _trace_tile(stage, lights, view, tile, effort, seed, field)
            rows = slice(tile.top, tile.top + tile.rows)
            columns = slice(tile.left, tile.left + tile.columns)
            layers[:, rows, columns] = answer.layers
            depth[rows, columns] = answer.depth
            part[rows, columns] = answer.part

        try:
            for number, _ in enumerate(pool.map(work, work_list)):
                progress(0.25 + 0.75 * (number + 1) / len(work_list))
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            raise
    return Plate(tuple(light.name for light in lights), layers, depth, part)


@dataclass(frozen=True)
class _Answer:
    layers: Array
    depth: Array
    part: NDArray[np.int32]


def _trace_tile(
    stage: Stage,
    lights: Sequence[Light],
    view: View,
    tile: Tile,
    effort: Effort,
    seed: int,
    field: BounceField | None,
) -> _Answer:
    number, _, _ = tile.pixels()
    count, samples = len(number), effort.samples
    u, v = tile.places(samples)
    directions = view.rays(u, v)
    eye = column(view.position)
    origin = np.broadcast_to(eye, directions.shape).T
    solid_hit = stage.solid.rays.hit(origin, directions.T)
    shown_hit = stage.shown.rays.hit(origin, directions.T)
    over = shown_hit.distance < solid_hit.distance
    layers = np.zeros((len(lights), 3, count), np.float32)
    for geometry, hit, chosen in (
        (stage.solid, solid_hit, ~over & (solid_hit.face >= 0)),
        (stage.shown, shown_hit, over),
    ):
        index = np.flatnonzero(chosen)
        if len(index) == 0:
            continue
        points = geometry.points(hit.take(index), np.take(directions, index, axis=1))
        grid = grid_of(tile, samples, index, points, eye)
        leads = grid.leads()
        reflected = leads.reflectance * np.float32(1.0 / np.pi)
        if geometry is stage.shown:
            _add_glow(layers, stage, leads, grid, -directions[:, index[grid.lead]], reflected)
        indirect = None if field is None else field.at(u[index[grid.lead]], v[index[grid.lead]], leads)
        for i, light in enumerate(lights):
            lux = np.zeros(len(grid.lead), np.float32)
            for j, emitter in enumerate(light.emitters):
                if field is not None and isinstance(emitter, Dome):
                    continue  # it came with the bounce
                lux += illuminance(
                    leads,
                    emitter,
                    stage.solid.rays,
                    grid=grid,
                    shift=shifts(number, seed * 977 + 1000 + 64 * i + j),
                    soft_rays=effort.soft_rays,
                )
            arriving = lux if indirect is None else lux + indirect[i]
            layers[i] += grid.gathered(reflected * arriving)
    _add_background(layers, lights, directions, np.flatnonzero(~over & (solid_hit.face < 0)), samples)
    shape = tile.rows, tile.columns
    nearest = np.minimum(solid_hit.distance, shown_hit.distance)[:count]
    part = _parts(stage, solid_hit, shown_hit, over)[:count]
    image = layers.reshape(len(lights), 3, *shape).transpose(0, 2, 3, 1)
    return _Answer(image, nearest.reshape(shape), part.reshape(shape))


def _parts(stage: Stage, solid: Hit, shown: Hit, over: NDArray[np.bool_]) -> NDArray[np.int32]:
    part = np.full(len(over), -1, np.int32)
    seen = ~over & (solid.face >= 0)
    part[seen] = stage.solid.world.part_of_face[solid.face[seen]]
    part[over] = -2 - stage.shown.world.part_of_face[shown.face[over]]
    return part


def _add_glow(
    layers: Array, stage: Stage, leads: Points, grid: Grid, leaving: Array, reflected: Array
) -> None:
    """Adds what glows of itself, and keeps it from reflecting light as well."""
    for part in np.unique(leads.part):
        owner = stage.glow_of_part[part]
        if owner is None:
            continue
        light, glow = owner
        here = leads.part == part
        seen = np.zeros_like(reflected)
        seen[:, here] = glow.seen(leaving[:, here])
        reflected[:, here] = 0.0
        layers[light] += grid.gathered(seen)


def _add_background(
    layers: Array, lights: Sequence[Light], directions: Array, index: NDArray[np.intp], samples: int
) -> None:
    """Adds the sky where samples `index` of the tile met nothing."""
    if len(index) == 0:
        return
    count = layers.shape[2]
    for i, light in enumerate(lights):
        for emitter in light.emitters:
            if isinstance(emitter, Dome):
                sky = np.bincount(
                    index % count,
                    weights=emitter.background(directions[:, index], dip=HORIZON_DIP),
                    minlength=count,
                )
                layers[i] += (sky / samples).astype(np.float32)


def _bounce_field(
    stage: Stage,
    lights: Sequence[Light],
    view: View,
    width: int,
    height: int,
    effort: Effort,
    seed: int,
    pool: ThreadPoolExecutor,
    progress: Callable[[float], None],
) -> BounceField | None:
    """The coarse grid of indirect light for a frame, or None when none is asked."""
    if effort.bounce_rays == 0 or not lights:
        return None
    columns = max(2, -(-width // effort.bounce_step))
    rows = max(2, -(-height // effort.bounce_step))
    lux = np.zeros((len(lights), 3, rows, columns), np.float32)
    position = np.full((3, rows, columns), 1e6, np.float32)
    normal = np.zeros((3, rows, columns), np.float32)
    there = np.zeros((rows, columns), np.float32)
    bands = [slice(row, min(row + BAND, rows)) for row in range(0, rows, BAND)]

    def work(band: slice) -> None:
        row, column_ = np.mgrid[band, 0:columns]
        u = ((column_.ravel() + 0.5) / columns).astype(np.float32)
        v = ((row.ravel() + 0.5) / rows).astype(np.float32)
        directions = view.rays(u, v)
        hit = stage.solid.rays.hit(np.broadcast_to(column(view.position), directions.shape).T, directions.T)
        index = np.flatnonzero(hit.face >= 0)
        if len(index) == 0:
            return
        points = stage.solid.points(hit.take(index), np.take(directions, index, axis=1))
        number = (row * columns + column_).ravel().astype(np.uint32)[index]
        light = bounced(
            points,
            stage.solid,
            lights,
            pixels=number,
            rays=effort.bounce_rays,
            seed=seed,
            with_sky=True,
        )
        down, right = row.ravel()[index], column_.ravel()[index]
        lux[:, :, down, right] = light
        position[:, down, right], normal[:, down, right] = points.position, points.normal
        there[down, right] = 1.0

    for number, _ in enumerate(pool.map(work, bands)):
        progress(0.25 * (number + 1) / len(bands))
    return BounceField(lux, position, normal, there).smoothed()
