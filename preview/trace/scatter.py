"""Scatter: light that haze turns towards the camera: beams, and the glow round lamps, by one scattering, with shadows.

Gathered along the eye rays of a coarse grid. A column of air goes on behind what its own ray meets, as far as anything
beside it is seen, so that the air before any pixel is known.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from preview.camera.view import View
from preview.light.emitters.dome import Dome
from preview.light.light import Emitter, Light
from preview.light.vectors import around, column, dot
from preview.trace.air_column import NEAR, Asked, Stretches, all_asked, asked, stretches, worth
from preview.trace.haze import Haze
from preview.trace.rays import LIFT, Rays
from preview.trace.sampling import shifted, shifts, spread_points
from preview.trace.scatter_field import ENDS, SLICES, ScatterField, Slices
from preview.trace.tile import neighbourhood

Array = NDArray[np.float32]

THICK = 12.0
"""Optical depth beyond which nothing is looked for: six millionths of the light come through."""
FARTHEST = 1e5
"""Metres, likewise."""
FAINT = 1e-4
"""A stretch of air that adds less than this share of what has come in before it is left out: no ray is worth it."""
SPARSE = 4
"""One column in as many, each way, tells where the slices go."""
BY_NEARNESS = 0.3
"""Share of the slices that go by nearness to the eye alone."""
LEAST_PART = 0.25
"""Share of a slice that a column must reach into it for what is found there to be carried on in full."""
BATCH = 65536
"""Samples that a thread takes at a time."""


@dataclass(frozen=True)
class Sight:
    """The eye rays of a coarse grid: where they go, how far they see.

    eye (3, 1) m; direction (3, rows, columns) unit; hit (rows, columns) m to the first solid thing; far (rows, columns)
    m: how far anything near is seen, bounded by what haze lets through.
    """

    eye: Array
    direction: Array
    hit: Array
    far: Array


def sight_of(rays: Rays, view: View, haze: Haze, *, width: int, height: int, step: int) -> Sight:
    """The eye rays of a frame of width x height pixels, one in the middle of each cell of `step` pixels."""
    rows, columns = max(2, -(-height // step)), max(2, -(-width // step))
    row, column_ = np.mgrid[0:rows, 0:columns].astype(np.float32).reshape(2, -1)
    eye = column(view.position)

    def hit(down: float, right: float) -> tuple[Array, Array]:
        direction = view.rays(
            (column_ + np.float32(right)) / np.float32(columns), (row + np.float32(down)) / np.float32(rows)
        )
        return direction, rays.hit(np.broadcast_to(eye, direction.shape).T, direction.T).distance

    direction, own = hit(0.5, 0.5)
    most = own
    for down, right in ((0.1, 0.4), (0.4, 0.9), (0.6, 0.1), (0.9, 0.6)):
        most = np.maximum(most, hit(down, right)[1])
    endless = haze.depth(eye, direction, np.full(len(own), np.inf, np.float32))
    bound = haze.reach(eye, direction, np.float32(0.9999) * np.minimum(endless, np.float32(THICK)))
    bound = np.minimum(bound, np.float32(FARTHEST))
    shape = rows, columns
    far = np.minimum(neighbourhood(most.reshape(shape)), bound.reshape(shape))
    return Sight(eye, direction.reshape(3, *shape), own.reshape(shape), far)


def scattered(
    light: Light,
    rays: Rays,
    view: View,
    haze: Haze,
    *,
    width: int,
    height: int,
    step: int,
    samples: int,
    seed: int,
    pool: ThreadPoolExecutor,
) -> ScatterField:
    """What haze scatters of a light, at full level and white, towards the camera, without the light's own extinction
    where it comes from outside the set: the lux of moon and sky are as they arrive.

    `samples` rays for each column. The same for a seed, whatever the other lights and the number of threads.
    """
    sight = sight_of(rays, view, haze, width=width, height=height, step=step)
    rows, columns = sight.hit.shape
    sources = tuple((emitter, _centre(emitter, view)) for emitter in light.emitters)
    slices = _slices(sources, haze, sight)
    luminance = np.zeros((rows, columns, SLICES), np.float32)
    bare = np.zeros_like(luminance)
    variance = np.zeros((rows, columns, len(ENDS)), np.float32)
    marks = slices.distances[:, None]
    tall = max(1, BATCH // (samples * columns))

    def work(top: int) -> None:
        band = slice(top, min(top + tall, rows))
        number = (np.mgrid[band, 0:columns][0] * columns + np.arange(columns)).ravel().astype(np.uint32)
        direction = np.ascontiguousarray(sight.direction[:, band].reshape(3, -1))
        far = sight.far[band].ravel()
        for index, (emitter, centre) in enumerate(sources):
            salt = crc32(f"{seed} {light.name} {index}".encode())
            various = isinstance(emitter, Dome)
            way = _stretches(emitter, centre, haze, sight.eye, direction, far, samples)
            # What a dome sends depends on where one looks: other ways for each column. Else all columns ask alike, so
            # that what comes without shadows has no grain.
            shift = shifts(number if various else np.zeros(1, np.uint32), salt)
            light_there, ways = _arriving(emitter, haze, sight.eye, direction, way, shift)
            if various:
                chosen = all_asked(way, light_there)
            else:
                chosen = asked(way, light_there, _places(number, columns, samples, salt))
                ways = _ways(emitter, sight.eye, direction, chosen.distance, shifts(number, salt))
            seen, doubt = _seen(chosen, ways, rays)
            place = way.place(marks)
            doubts = chosen.past(place[ENDS], doubt)
            variance[band] += doubts.T.reshape(-1, columns, len(ENDS))
            ends = slices.place(far)
            luminance[band] += _carried_on(chosen.up_to(place, seen), ends).T.reshape(-1, columns, SLICES)
            bare[band] += _carried_on(chosen.up_to(place), ends).T.reshape(-1, columns, SLICES)

    for _ in pool.map(work, range(0, rows, tall)):
        pass
    whole = None if any(isinstance(emitter, Dome) for emitter in light.emitters) else bare
    return ScatterField(luminance, variance, sight.hit, slices, whole)


def _centre(emitter: Emitter, view: View) -> Array | None:
    """The middle (3, 1) m of an emitter, None for one outside the set."""
    rule = emitter.rule().T
    eye = np.repeat(column(view.position), rule.shape[1], axis=1)
    facing = np.repeat(column(view.forward), rule.shape[1], axis=1)
    direction, distance, _ = emitter.arrive(eye, facing, rule)
    if np.isinf(distance).any():
        return None
    return np.asarray((eye + distance * direction).mean(axis=1, keepdims=True), np.float32)


def _radius(emitter: Emitter) -> float:
    """Half of an emitter's size, m."""
    return float(emitter.softness(np.ones(1, np.float32))[0])


def _stretches(
    emitter: Emitter, centre: Array | None, haze: Haze, eye: Array, direction: Array, far: Array, samples: int
) -> Stretches:
    """Columns cut for an emitter: into as many stretches as there are rays, or twice as many where light without shadows
    is known without a ray."""
    return stretches(
        *(haze, eye, direction, far),
        count=max(2, samples // 2 * 2) if isinstance(emitter, Dome) else 2 * samples,
        away=None if centre is None else centre - eye,
        radius=_radius(emitter),
    )


def _slices(sources: Sequence[tuple[Emitter, Array | None]], haze: Haze, sight: Sight) -> Slices:
    """Slices for a light: close together where most columns have much to tell, and near the eye."""
    chosen = slice(SPARSE // 2, None, SPARSE) if min(sight.hit.shape) > SPARSE else slice(None)
    direction = np.ascontiguousarray(sight.direction[:, chosen, chosen].reshape(3, -1))
    far, most = sight.far[chosen, chosen].ravel(), float(sight.far.max())
    nearness = np.linspace(0.0, 1.0, 8 * SLICES)
    distance = (NEAR * np.expm1(nearness * np.log1p(most / NEAR))).astype(np.float32)
    share = np.zeros(len(distance))
    for emitter, centre in sources:
        way = _stretches(emitter, centre, haze, sight.eye, direction, far, SLICES)
        light, _ = _arriving(emitter, haze, sight.eye, direction, way, np.zeros((2, 1), np.float32))
        share += worth(way, light, distance).mean(axis=1)
    share = BY_NEARNESS * nearness + (1.0 - BY_NEARNESS) * share / max(float(share[-1]), 1e-30)
    places = np.interp(np.linspace(0.0, share[-1], SLICES), share, distance)
    return Slices(places.astype(np.float32))


def _places(number: NDArray[np.uint32], columns: int, rays: int, salt: int) -> Array:
    """Places (rays, m), 0 to 1, in each ray's part of a column; neighbouring columns have others.

    Source: M. Roberts, The Unreasonable Effectiveness of Quasirandom Sequences, 2018 (the plastic number's lattice).
    """
    row, along = number // np.uint32(columns), number % np.uint32(columns)
    first = shifts(np.zeros(1, np.uint32), salt)[0]
    place = row * np.float64(0.7548776662466927) + along * np.float64(0.5698402909980532) + first
    place = place + np.arange(rays)[:, None] * 0.6180339887498949
    return np.asarray(place - np.floor(place), np.float32)


@dataclass(frozen=True)
class _Ways:
    """From points (3, n) along unit directions towards (3, n) the light is reached after reach (n,) m."""

    points: Array
    towards: Array
    reach: Array


def _arriving(
    emitter: Emitter, haze: Haze, eye: Array, direction: Array, way: Stretches, shift: Array
) -> tuple[Array, _Ways]:
    """cd/m2 (stretches, m) that a light brings into each stretch of m columns if nothing solid stands in its way, and the
    ways it comes."""
    count, columns = way.distance.shape
    view = np.tile(direction, (1, count))
    points = eye + way.distance.ravel() * view
    u = _turned(count, columns, shift)
    if isinstance(emitter, Dome):
        cosine = haze.turn(u[0])
        towards = around(view, np.sqrt(np.maximum(1.0 - cosine * cosine, 0.0)), cosine, u[1])
        light, reach = emitter.shining(points, towards)
    else:
        towards, reach, lux = emitter.arrive(points, view, u)
        light = _bounded(lux, reach, emitter) * haze.phase(dot(towards, view))
    light = light * way.weight.ravel()
    if np.isfinite(reach[0]):
        light *= haze.passing(points, towards, reach)
    cloth = emitter.passing(points, towards, reach)
    if cloth is not None:
        light *= cloth
    return light.reshape(count, columns), _Ways(points, towards, reach)


def _ways(emitter: Emitter, eye: Array, direction: Array, distance: Array, shift: Array) -> _Ways:
    """The ways to a place of a light, from distance (rays, m) m along m columns."""
    view = np.tile(direction, (1, len(distance)))
    points = eye + distance.ravel() * view
    towards, reach, _ = emitter.arrive(points, view, _turned(len(distance), distance.shape[1], shift))
    return _Ways(points, towards, reach)


def _turned(count: int, columns: int, shift: Array) -> Array:
    """Which place (2, count x m) of a source is looked at; `shift` (2, m or 1) by column."""
    u = np.repeat(spread_points(count), columns, axis=1)
    return shifted(u, np.tile(shift, (1, count)) if shift.shape[1] > 1 else shift)


def _seen(chosen: Asked, ways: _Ways, rays: Rays) -> tuple[Array, Array]:
    """Whether each ray (rays, m) sees the light, 0 or 1, and the variance (rays, m) that comes in with each.

    What is in doubt is where shadows begin and end: between two rays of which one sees it.
    Source: J. von Neumann, Distribution of the Ratio of the Mean Square Successive Difference to the Variance, 1941.
    """
    light = chosen.light
    asking = np.flatnonzero(light > FAINT * chosen.before[1:])
    points, towards = np.take(ways.points, asking, axis=1), np.take(ways.towards, asking, axis=1)
    clear = np.zeros(light.size, np.float32)
    clear[asking] = ~rays.blocked(points.T, towards.T, ways.reach[asking] - np.float32(2.0) * LIFT)
    seen = clear.reshape(light.shape)
    edge = np.where(seen[1:] != seen[:-1], np.maximum(light[1:], light[:-1]), np.float32(0.0))
    doubt = np.zeros_like(light)
    doubt[1:] = np.float32(0.5) * edge * edge
    return seen, doubt


def _bounded(lux: Array, distance: Array, emitter: Emitter) -> Array:
    """Lux (n,) of samples, but no more than an even source gives that fills half of all directions.

    Of a beam's front that is not known: nearer than half its radius it rises no more.
    """
    if np.isfinite(emitter.most):
        return np.minimum(lux, np.float32(2.0 * emitter.most))
    ratio = distance * np.float32(2.0 / max(_radius(emitter), 1e-6))
    return lux * np.minimum(np.float32(1.0), ratio * ratio)


def _carried_on(sums: Array, ends: Array) -> Array:
    """Sums (slices, m) of columns that end at `ends` (m,), a slice's number with its fraction: within the slice in which
    a column ends, the air goes on as it came.

    So that what stands at the end has before it all that was found, and not as much of it as the slice is cut short.
    """
    last = np.minimum(ends.astype(np.intp), SLICES - 2)
    within = np.maximum(ends - last, np.float32(LEAST_PART))
    end = np.take_along_axis(sums, last[None] + 1, 0)
    start = np.take_along_axis(sums, last[None], 0)
    past = np.arange(SLICES)[:, None] > last
    return np.asarray(np.where(past, start + (end - start) / np.minimum(within, 1.0), sums), np.float32)
