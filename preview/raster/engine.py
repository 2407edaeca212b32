"""Engine: a plate drawn by a GL driver: hard shadows, no bounce, no mirrors, no haze; otherwise what tracing yields.

The driver answers the two questions that it is made for: which face each sample of a pixel sees, and how far a light
sees. How much light that is, each light's emitters say in floating point, as they do to the tracer; nothing that is light
goes through eight bits.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.camera.view import View
from preview.light.emitters.dome import Dome
from preview.light.light import Emitter, Light
from preview.light.vectors import dot
from preview.raster.driver import canvas
from preview.raster.hits import Triangles
from preview.raster.projection import through
from preview.raster.shadow import Places, ShadowMap, shadow_maps, visible
from preview.raster.sky import sky_lux
from preview.trace.direct import SMALL
from preview.trace.geometry import Points
from preview.trace.gloss import sheen
from preview.trace.layer import LayerWork
from preview.trace.plate import Plate
from preview.trace.quality import Quality
from preview.trace.room import counts_of, make_room, need_of, tiles_at_once
from preview.trace.sampling import spread_points
from preview.trace.seen import Seen, seen_of
from preview.trace.spots import met_of
from preview.trace.stage import Stage
from preview.trace.tile import Tile, tiles

Array = NDArray[np.float32]
Faces = NDArray[np.int32]

STRIDE = 3
"""Every third pixel each way is a place that shadow maps are fitted to."""
AHEAD = 0.4
"""Share of the work, about, that is done before the first tile."""


def raster(
    stage: Stage,
    lights: Sequence[Light],
    view: View,
    *,
    width: int,
    height: int,
    samples: int = 4,
    threads: int | None = None,
    progress: Callable[[float], None] = lambda share: None,
) -> Plate:
    """The plate of a view, drawn with GL: see `preview.trace.plate.trace`. It holds no chance, so no errors either.

    Raises UserError where pyrender or a driver is missing, or where memory cannot hold the layers.
    """
    quality = Quality(samples=samples, rounds=1)
    counts = counts_of(stage, len(lights), len(lights), width=width, height=height)
    make_room(need_of(counts, quality=quality, haze=False, engine="raster"), counts)
    layers = tuple(np.zeros((height, width, 3), np.float32) for _ in lights)
    near, far, cover = np.zeros((3, height, width), np.float32)
    part = np.zeros((height, width), np.int32)
    drawn = _drawn(stage, lights, view, width, height, samples, lambda share: progress(AHEAD * share))
    works = [LayerWork(stage, light, quality, seed=0) for light in lights]
    jobs = tiles(width, height, samples)

    def work(tile: Tile) -> None:
        what = _seen(stage, view, tile, drawn)
        shape = tile.rows, tile.columns
        for array, values in ((near, what.near), (far, what.far), (cover, what.cover), (part, what.part)):
            array[tile.place] = values.reshape(shape)
        for layer, task, maps in zip(layers, works, drawn.maps, strict=True):
            layer[tile.place] = _layer(what, task, maps).T.reshape(*shape, 3)

    with ThreadPoolExecutor(threads or tiles_at_once()) as pool:
        try:
            for done, _ in enumerate(pool.map(work, jobs), start=1):
                progress(AHEAD + (1.0 - AHEAD) * done / len(jobs))
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            raise
    errors = tuple(np.zeros((height, width), np.float32) for _ in lights)
    return Plate(tuple(light.name for light in lights), layers, errors, near, far, cover, part)


@dataclass(frozen=True)
class _Drawn:
    """What the driver drew.

    faces, panes (samples, height, width): numbers of the faces that each sample sees, the solid world's first, then
    those of what is only shown, -1 for none; and of the glass before them. maps: of each light, those of each emitter.
    """

    faces: Faces
    panes: Faces
    solid: Triangles
    shown: Triangles
    glass: Triangles
    maps: tuple[tuple[tuple[ShadowMap, ...], ...], ...] = ()


def _drawn(
    stage: Stage,
    lights: Sequence[Light],
    view: View,
    width: int,
    height: int,
    samples: int,
    progress: Callable[[float], None],
) -> _Drawn:
    """All that the driver is asked for, on this thread, where its context lives."""
    worlds = stage.solid.world, stage.shown.world, stage.panes.world
    faces = np.full((2, samples, height, width), -1, np.int32)
    inside = spread_points(samples) + np.float32(0.5 / samples)
    with canvas() as sheet:
        for world in worlds:
            sheet.hold(world)
        for k in range(samples):
            window = through(view, width=width, height=height, u=float(inside[0, k]), v=float(inside[1, k]))
            for kind, which in ((0, (0, 1)), (1, (2,))):
                if kind == 0 or len(stage.panes.world.faces):
                    seen = sheet.faces(window, width=width, height=height, worlds=which)
                    faces[kind, k] = seen[::-1]
        progress(0.25)
        faces[1][faces[1] >= 0] -= len(worlds[0].faces) + len(worlds[1].faces)
        solid, shown, glass = (Triangles(world) for world in worlds)
        done = _Drawn(faces[0], faces[1], solid, shown, glass)
        places = _places(stage, view, done)
        maps = []
        for light in lights:
            maps.append(tuple(shadow_maps(one, places, sheet, stage.solid.world) for one in light.emitters))
            progress(0.25 + 0.75 * len(maps) / len(lights))
    return replace(done, maps=tuple(maps))


def _places(stage: Stage, view: View, drawn: _Drawn) -> Places:
    """Every few pixels, what the first sample sees of what stops light."""
    samples, height, width = drawn.faces.shape
    row, column_ = (
        axis.ravel() for axis in np.mgrid[STRIDE // 2 : height : STRIDE, STRIDE // 2 : width : STRIDE]
    )
    face = drawn.faces[0, row, column_]
    there = np.flatnonzero((face >= 0) & (face < len(stage.solid.world.faces)))
    inside = np.float32(0.5 / samples)
    directions = view.rays(
        (column_[there].astype(np.float32) + inside) / np.float32(width),
        (row[there].astype(np.float32) + inside) / np.float32(height),
    )
    hit = drawn.solid.hits(face[there], directions, view.position)
    pixel = hit.distance * np.float32(2.0 * view.tan_half_width / width)
    return Places(stage.solid.points(hit, directions), pixel)


def _seen(stage: Stage, view: View, tile: Tile, drawn: _Drawn) -> Seen:
    """The visible points of a tile."""
    count, samples = tile.pixels, tile.samples
    pixel, sample = np.tile(np.arange(count), samples), np.repeat(np.arange(samples), count)
    directions = tile.rays(view, pixel, sample)
    face, pane = (image[:, *tile.place].ravel() for image in (drawn.faces, drawn.panes))
    before = np.int32(len(stage.solid.world.faces))
    nothing = np.int32(-1)
    solid, shown, glass = (
        triangles.hits(mine, directions, view.position)
        for triangles, mine in (
            (drawn.solid, np.where(face < before, face, nothing)),
            (drawn.shown, np.where(face < before, nothing, face - before)),
            (drawn.glass, pane),
        )
    )
    return seen_of(
        stage, view, tile, met_of(stage, pixel, sample, directions, solid=solid, shown=shown, pane=glass)
    )


def _layer(what: Seen, work: LayerWork, maps: Sequence[Sequence[ShadowMap]]) -> Array:
    """A light's radiance (3, pixels) in a tile."""
    places = what.spots
    lux = np.zeros(len(places.pixel), np.float32)
    gloss = np.zeros_like(lux)
    coated = places.coated()
    for emitter, own in zip(work.light.emitters, maps, strict=True):
        bare, share = illuminance(places.points, emitter, own)
        lux += bare * share
        shone = coated[(bare * share)[coated] > 0.0]
        if len(shone):
            shine = sheen(places.points.take(shone), np.take(places.to_eye, shone, axis=1), emitter)
            gloss[shone] += shine * share[shone]
    value = work.seen_through(places, work.lit(places, places.diffuse(), lux, gloss))
    total = np.zeros((3, what.tile.pixels), np.float32)
    weight = np.where(what.edge, np.float32(1.0 / what.tile.samples), np.float32(1.0))
    sky = np.broadcast_to(work.background(places), (3, len(places.bare_pixel)))
    for pixel, found in ((places.pixel, value), (places.bare_pixel, sky)):
        for channel in range(3):
            total[channel] += np.bincount(
                pixel, weights=found[channel] * weight[pixel], minlength=what.tile.pixels
            )
    return total


def illuminance(points: Points, emitter: Emitter, maps: Sequence[ShadowMap]) -> tuple[Array, Array]:
    """Lux (n,) that an emitter would give to points if nothing stood between, by its rule; the share (n,) that gets there.

    The share is what its maps say its middle sees of them, and what cloth lets by. A dome throws no shadow.
    """
    everything = np.ones(len(points), np.float32)
    if isinstance(emitter, Dome):
        return sky_lux(emitter, points), everything
    whole: Array = np.zeros(len(points), np.float32)
    passed = np.zeros_like(whole)
    for number, u in enumerate(emitter.rule(), start=1):
        direction, distance, lux = emitter.arrive(
            points.position, points.normal, np.broadcast_to(u[:, None], (2, len(points)))
        )
        cosine = dot(direction, points.normal)
        lux = lux * np.where(cosine > 0.0, cosine, -cosine * points.transmission)
        passing = emitter.passing(points.start, direction, distance)
        whole += lux
        passed += lux if passing is None else lux * passing
        if number == 1 and emitter.softness(distance).max(initial=0.0) < SMALL:
            break
    share: Array = np.asarray(passed / np.maximum(whole, np.float32(1e-20)), np.float32)
    lit = np.flatnonzero(passed > 0.0)
    if len(lit):
        share[lit] *= visible(maps, points.take(lit) if len(lit) < len(share) else points)
    whole /= np.float32(number)
    return np.minimum(whole, np.float32(emitter.most)), share
