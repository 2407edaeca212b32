"""Direct light: what emitters send to points, with shadows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter
from preview.trace.geometry import Points
from preview.trace.rays import LIFT, Rays
from preview.trace.sampling import shifted, spread_points
from preview.trace.tile import Grid, neighbourhood

Array = NDArray[np.float32]
Indices = NDArray[np.intp]
Mask = NDArray[np.bool_]

HARD = 0.006
"""Half angle (radians) below which one ray shows a source's shadow: the moon's is 0.0045."""


@dataclass(frozen=True)
class Sample:
    """One sample of an emitter at n points.

    unshadowed (n,) lux as if nothing stood between; visible (n,) 0 to 1; softness (n,) as `Emitter.softness`.
    """

    unshadowed: Array
    visible: Array
    softness: Array

    @property
    def lux(self) -> Array:
        return self.unshadowed * self.visible


def one_sample(points: Points, emitter: Emitter, rays: Rays, u: Array) -> Sample:
    """One sample u (n, 2) of an emitter at points (n)."""
    direction, distance, unshadowed = _arriving(points, emitter, u)
    asked = np.flatnonzero(unshadowed > 0.0)
    facet, position, reach = points.facet, points.position, distance
    if len(asked) < len(unshadowed):
        direction, facet, position, reach = (
            direction[asked],
            facet[asked],
            position[asked],
            distance[asked],
        )
    side = np.einsum("ij,ij->i", direction, facet)
    origin = position + np.copysign(LIFT, side)[:, None] * facet
    seen = (~rays.blocked(origin, direction, reach - 2.0 * LIFT)).astype(np.float32)
    passing = emitter.passing(position, direction, reach)
    visible = np.zeros(len(unshadowed), np.float32)
    visible[asked] = seen if passing is None else seen * passing
    return Sample(unshadowed, visible, emitter.softness(distance))


def _arriving(points: Points, emitter: Emitter, u: Array) -> tuple[Array, Array, Array]:
    """Direction (n, 3), distance (n,) and unshadowed illuminance (n,) lux of a sample."""
    direction, distance, lux = emitter.arrive(points.position, points.normal, u)
    cosine = np.einsum("ij,ij->i", direction, points.normal)
    return direction, distance, lux * np.where(cosine > 0.0, cosine, -cosine * points.transmission)


def _unshadowed(points: Points, emitter: Emitter) -> Array:
    """Illuminance (n,) lux with nothing in the way, by the emitter's own rule: smooth, without rays."""
    total = np.zeros(len(points.position), np.float32)
    rule = emitter.rule()
    for u in rule:
        total += _arriving(points, emitter, np.broadcast_to(u, (len(total), 2)))[2]
    return total / np.float32(len(rule))


def illuminance(
    points: Points, emitter: Emitter, rays: Rays, *, grid: Grid, shift: Array, soft_rays: int
) -> Array:
    """Illuminance (n,) lux of a tile's points from an emitter; shift (pixels, 2) is each pixel's random shift.

    Pixels on an edge of the geometry are asked at every sample. Plain ones at one sample of a hard source, two of a
    soft one; at all of them where their rays or their neighbours' disagree (a shadow's edge), and there a soft source
    is asked `soft_rays` times a sample. All the rays of a pixel together are one well-spread set. Leaves hide what
    noise is left and stay with one ray a sample.

    A plain pixel's rays say only which share of the source it sees; how much the whole of a soft source gives there
    comes from the emitter's rule, so that open ground is free of noise.
    """
    spread = spread_points(grid.samples * soft_rays)
    count = grid.rows * grid.columns
    unshadowed = np.zeros(len(grid.pixel), np.float32)
    lux = np.zeros(len(grid.pixel), np.float32)
    asked = np.zeros(len(grid.pixel), bool)
    brightest = np.full(count, -1.0, np.float32)
    darkest = np.full(count, 2.0, np.float32)

    def ask(which: Indices, k: int) -> Sample:
        u = shifted(spread[k * grid.samples + grid.sample[which]], shift[grid.pixel[which]])
        sample = one_sample(points.take(which), emitter, rays, u)
        unshadowed[which] += sample.unshadowed
        lux[which] += sample.lux
        asked[which] = True
        shone = np.flatnonzero(sample.unshadowed > 0.0)
        pixel = grid.pixel[which[shone]]
        np.maximum.at(brightest, pixel, sample.visible[shone])
        np.minimum.at(darkest, pixel, sample.visible[shone])
        return sample

    lead = np.flatnonzero(grid.leads)
    first = ask(lead, 0)
    soft = np.zeros(count, bool)
    if soft_rays > 1:
        soft[grid.pixel[lead[first.softness > HARD]]] = True
        second = np.flatnonzero(~asked & (grid.sample == 1) & (soft & (brightest >= 0.0))[grid.pixel])
        if len(second):
            ask(second, 0)
    contested = _contested(brightest, darkest, grid)
    rest = np.flatnonzero(~asked & contested[grid.pixel])
    if len(rest):
        ask(rest, 0)
    again = np.flatnonzero((contested & soft)[grid.pixel] & (points.transmission == 0.0))
    if soft_rays > 1 and len(again):
        for k in range(1, soft_rays):
            ask(again, k)
        lux[again] /= np.float32(soft_rays)
        unshadowed[again] /= np.float32(soft_rays)
    return _settled(points, emitter, grid, soft, lux=lux, unshadowed=unshadowed, asked=asked)


def _settled(
    points: Points, emitter: Emitter, grid: Grid, soft: Mask, *, lux: Array, unshadowed: Array, asked: Mask
) -> Array:
    """What every point gets: its own on an edge; on a plain pixel the mean, by the rule where the source is soft."""
    count = grid.rows * grid.columns
    plain = np.flatnonzero(~grid.edge[grid.pixel] & asked)
    pixel = grid.pixel[plain]
    total = np.bincount(pixel, weights=lux[plain], minlength=count)
    number = np.bincount(pixel, minlength=count)
    mean = (total / np.maximum(number, 1)).astype(np.float32)
    base = np.flatnonzero((grid.sample == 0) & (soft & ~grid.edge & (total > 0.0))[grid.pixel])
    if len(base):
        whole = np.bincount(pixel, weights=unshadowed[plain], minlength=count)
        where = grid.pixel[base]
        share = (total[where] / whole[where]).astype(np.float32)
        mean[where] = share * _unshadowed(points.take(base), emitter)
    everywhere = grid.edge[grid.pixel]
    return np.where(everywhere, lux, mean[grid.pixel])


def _contested(brightest: Array, darkest: Array, grid: Grid) -> Mask:
    """Pixels (rows x columns,) where visibilities differ, or differ from those a few pixels away."""
    shape = grid.rows, grid.columns
    most = neighbourhood(brightest.reshape(shape))
    least = -neighbourhood(-darkest.reshape(shape))
    return (most > least).ravel()
