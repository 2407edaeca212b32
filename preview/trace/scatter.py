"""Scatter: light that haze turns towards the camera: beams, and the glow round lamps, by one scattering, with shadows.

Gathered along the eye rays of a coarse grid. A column of air goes on behind what its own ray meets, as far as anything
beside it is seen, so that the air before any pixel is known.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from preview.camera.view import View
from preview.light.emitters.dome import Dome
from preview.light.light import Emitter, Light
from preview.light.vectors import around, column, dot
from preview.trace.haze import Haze
from preview.trace.rays import LIFT, Rays
from preview.trace.sampling import shifted, shifts, spread_points
from preview.trace.scatter_field import SLICES, ScatterField, Slices
from preview.trace.tile import neighbourhood

Array = NDArray[np.float32]

THICK = 12.0
"""Optical depth beyond which nothing is looked for: six millionths of the light come through."""
FARTHEST = 1e5
"""Metres, likewise."""
FAINT = 1e-3
"""A sample below this share of its column's mean is left out: no ray is worth it."""
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

    `samples` along each column. The same for a seed, whatever the other lights and the number of threads.
    """
    sight = sight_of(rays, view, haze, width=width, height=height, step=step)
    rows, columns = sight.hit.shape
    sources = tuple((emitter, _centre(emitter, view)) for emitter in light.emitters)
    slices = _slices(sources[0][1] if sources else None, view, float(sight.far.max()))
    luminance = np.zeros((rows, columns, SLICES), np.float32)
    variance = np.zeros((rows, columns), np.float32)
    marks = slices.distances()[:, None]
    tall = max(1, BATCH // (samples * columns))

    def work(top: int) -> None:
        band = slice(top, min(top + tall, rows))
        number = (np.mgrid[band, 0:columns][0] * columns + np.arange(columns)).ravel().astype(np.uint32)
        direction = np.ascontiguousarray(sight.direction[:, band].reshape(3, -1))
        far = sight.far[band].ravel()
        for index, (emitter, centre) in enumerate(sources):
            salt = crc32(f"{seed} {light.name} {index}".encode())
            strata = _strata(number, columns, samples, salt)
            if centre is None:
                way = _by_depth(haze, sight.eye, direction, far, strata, marks)
            else:
                way = _round(haze, sight.eye, direction, far, strata, marks, centre, _radius(emitter))
            gained, doubt = _gained(emitter, rays, haze, sight.eye, direction, way, shifts(number, salt))
            variance[band] += doubt.reshape(-1, columns)
            luminance[band] += _up_to(way.share, gained).T.reshape(-1, columns, SLICES)

    for _ in pool.map(work, range(0, rows, tall)):
        pass
    return ScatterField(luminance, variance, sight.hit, slices)


@dataclass(frozen=True)
class _Way:
    """Samples along m columns of air, one in each of their strata.

    distance (strata, m) m; weight (strata, m): the light scattered to the eye that a sample stands for, for each lux x
    phase; share (slices, m): how far through its strata, 0 to 1, a column is at each slice.
    """

    distance: Array
    weight: Array
    share: Array


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


def _slices(centre: Array | None, view: View, far: float) -> Slices:
    """Slices for a light: close where the frame's axis passes it."""
    if centre is None:
        return Slices(None, min(4.0, far), far)
    away = centre[:, 0] - view.position
    along = float(np.clip(away @ view.forward, 0.0, 0.9 * far))
    beside = float(np.linalg.norm(away - along * view.forward))
    return Slices(along, max(0.1 * along, 0.5 * beside, 0.3), far)


def _strata(number: NDArray[np.uint32], columns: int, samples: int, salt: int) -> Array:
    """Places (samples, m), 0 to 1, one in each of a column's strata; neighbouring columns have other places in them.

    Source: M. Roberts, The Unreasonable Effectiveness of Quasirandom Sequences, 2018 (the plastic number's lattice).
    """
    row, along = number // np.uint32(columns), number % np.uint32(columns)
    first = shifts(np.zeros(1, np.uint32), salt)[0]
    place = row * np.float64(0.7548776662466927) + along * np.float64(0.5698402909980532) + first
    place -= np.floor(place)
    stratum = np.arange(samples)[:, None]
    place = place + (stratum // 2) * 0.6180339887498949
    place -= np.floor(place)
    # In every other stratum mirrored: two together tell a slope without error.
    place = np.where(stratum % 2, 1.0 - place, place)
    return np.asarray((stratum + place) / samples, np.float32)


def _by_depth(haze: Haze, eye: Array, direction: Array, far: Array, strata: Array, marks: Array) -> _Way:
    """Samples in proportion to what comes through from them: for light that is everywhere the same."""
    whole = -np.expm1(-haze.depth(eye, direction, far))
    count, columns = strata.shape
    every = np.tile(direction, (1, count))
    depth = -np.log1p(-strata * whole)
    distance = haze.reach(eye, every, depth.ravel()).reshape(count, columns)
    weight = np.broadcast_to(np.float32(haze.albedo / count) * whole, strata.shape)
    reached = np.minimum(marks, far)
    passed = -np.expm1(-haze.depth(eye, np.tile(direction, (1, len(marks))), reached.ravel()))
    share = passed.reshape(reached.shape) / np.maximum(whole, np.float32(1e-30))
    return _Way(np.minimum(distance, far), np.asarray(weight, np.float32), np.asarray(share, np.float32))


def _round(
    haze: Haze,
    eye: Array,
    direction: Array,
    far: Array,
    strata: Array,
    marks: Array,
    centre: Array,
    radius: float,
) -> _Way:
    """Samples at even angles seen from a source, which make up for the square of the distance from it.

    Source: C. Kulla and M. Fajardo, Importance Sampling Techniques for Path Tracing in Participating Media, Computer
    Graphics Forum 31(4), 2012, section 4.
    """
    away = centre - eye
    middle = dot(np.broadcast_to(away, direction.shape), direction)
    beside = away - middle * direction
    # Never nearer than the source is large: within it the light rises no more.
    apart = np.maximum(np.sqrt(dot(beside, beside)), np.float32(max(radius, 1e-3)))
    first, last = np.arctan(-middle / apart), np.arctan((far - middle) / apart)
    spread = np.tan(first + strata * (last - first))
    distance = np.clip(middle + apart * spread, 0.0, far)
    metres = apart * (1.0 + spread * spread) * ((last - first) / np.float32(len(strata)))
    every = np.tile(direction, (1, len(strata)))
    passing = haze.passing(eye, every, distance.ravel())
    density = haze.density(eye + distance.ravel() * every)
    weight = metres * (np.float32(haze.albedo) * density * passing).reshape(strata.shape)
    passed = np.arctan((np.minimum(marks, far) - middle) / apart) - first
    share = np.asarray(passed / np.maximum(last - first, np.float32(1e-12)), np.float32)
    return _Way(distance, weight, share)


def _gained(
    emitter: Emitter, rays: Rays, haze: Haze, eye: Array, direction: Array, way: _Way, shift: Array
) -> tuple[Array, Array]:
    """cd/m2 (strata, m) that the samples of m columns bring in, and the variance (m,) of a column's sum.

    What is in doubt is where shadows begin and end: between two strata of which one is lit.
    Source: J. von Neumann, Distribution of the Ratio of the Mean Square Successive Difference to the Variance, 1941.
    """
    count, columns = way.distance.shape
    view = np.tile(direction, (1, count))
    points = eye + way.distance.ravel() * view
    u = shifted(np.repeat(spread_points(count), columns, axis=1), np.tile(shift, (1, count)))
    if isinstance(emitter, Dome):
        cosine = haze.turn(u[0])
        towards = around(view, np.sqrt(np.maximum(1.0 - cosine * cosine, 0.0)), cosine, u[1])
        light, reach = emitter.shining(points, towards)
    else:
        towards, reach, lux = emitter.arrive(points, view, u)
        light = _bounded(lux, reach, emitter) * haze.phase(dot(towards, view))
    light = light * way.weight.ravel()
    mean = light.reshape(count, columns).mean(axis=0)
    asked = np.flatnonzero(light > np.tile(np.float32(FAINT) * mean, count))
    points, towards, reach = np.take(points, asked, axis=1), np.take(towards, asked, axis=1), reach[asked]
    visible = ~rays.blocked(points.T, towards.T, reach - np.float32(2.0) * LIFT)
    if len(asked) and np.isfinite(reach[0]):
        light[asked] *= haze.passing(points, towards, reach)
    cloth = emitter.passing(points, towards, reach)
    if cloth is not None:
        light[asked] *= cloth
    gained = np.zeros_like(light)
    gained[asked[visible]] = light[asked[visible]]
    light, gained = light.reshape(count, columns), gained.reshape(count, columns)
    lit = gained > 0.0
    edge = np.where(lit[1:] != lit[:-1], np.maximum(light[1:], light[:-1]), np.float32(0.0))
    return gained, np.einsum("ij,ij->j", edge, edge) * np.float32(0.5)


def _bounded(lux: Array, distance: Array, emitter: Emitter) -> Array:
    """Lux (n,) of samples, but no more than an even source gives that fills half of all directions.

    Of a beam's front that is not known: nearer than half its radius it rises no more.
    """
    if np.isfinite(emitter.most):
        return np.minimum(lux, np.float32(2.0 * emitter.most))
    ratio = distance * np.float32(2.0 / max(_radius(emitter), 1e-6))
    return lux * np.minimum(np.float32(1.0), ratio * ratio)


def _up_to(share: Array, gained: Array) -> Array:
    """cd/m2 (slices, m) that has come in at each slice: whole strata, and of the last one its part."""
    count, columns = gained.shape
    sums = np.zeros((count + 1, columns), np.float32)
    np.cumsum(gained, axis=0, out=sums[1:])
    place = np.clip(share, 0.0, 1.0) * np.float32(count)
    stratum = np.minimum(place.astype(np.int32), count - 1)
    place -= stratum
    cell = stratum * columns + np.arange(columns, dtype=np.int32)
    flat = sums.ravel()
    before = np.take(flat, cell)
    return np.asarray(before + place * (np.take(flat, cell + columns) - before), np.float32)
