"""Direct light: what emitters send to points, with shadows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter
from preview.trace.geometry import Points
from preview.trace.rays import LIFT, Rays
from preview.trace.sampling import shifted, spread_points

Array = NDArray[np.float32]
Indices = NDArray[np.intp]

HARD = 0.006
"""Half angle (radians) below which one ray shows a source's shadow: the moon's is 0.0045."""


@dataclass(frozen=True)
class Sample:
    """One sample of an emitter at n points.

    lux (n,), shadows counted; asked (m,): the points that the source would light; free (m,): whether nothing stands
    between; softness (n,) as `Emitter.softness`.
    """

    lux: Array
    asked: Indices
    free: NDArray[np.bool_]
    softness: Array


def one_sample(points: Points, emitter: Emitter, rays: Rays, u: Array) -> Sample:
    """One sample u (n, 2) of an emitter at points (n)."""
    direction, distance, lux = emitter.arrive(points.position, points.normal, u)
    cosine = np.einsum("ij,ij->i", direction, points.normal)
    lux = lux * np.where(cosine > 0.0, cosine, -cosine * points.transmission)
    asked = np.flatnonzero(lux > 0.0)
    few = len(asked) < len(lux)
    facet, position = points.facet, points.position
    if few:
        direction, facet, position = direction[asked], facet[asked], position[asked]
    side = np.einsum("ij,ij->i", direction, facet)
    origin = position + np.copysign(LIFT, side)[:, None] * facet
    free = ~rays.blocked(origin, direction, (distance[asked] if few else distance) - 2.0 * LIFT)
    answer = np.zeros(len(lux), np.float32)
    answer[asked] = lux[asked] * free
    return Sample(answer, asked, free, emitter.softness(distance))


@dataclass(frozen=True)
class Grid:
    """Where points lie in a tile of rows x columns pixels, `samples` to a pixel.

    pixel (n,): number within the tile; sample (n,): which of the pixel's samples; shift (n, 2): the pixel's random
    shift.
    """

    rows: int
    columns: int
    samples: int
    pixel: Indices
    sample: Indices
    shift: Array


def illuminance(points: Points, emitter: Emitter, rays: Rays, *, grid: Grid, soft_rays: int) -> Array:
    """Illuminance (n,) lux of a tile's points from an emitter.

    Every point gets one ray. Where the rays of a pixel or of its neighbours disagree (a penumbra), points of a soft
    source get `soft_rays`; all the rays of a pixel together are one well-spread set. Leaves hide what noise is left
    and stay with one.
    """
    spread = spread_points(grid.samples * soft_rays)
    sample = one_sample(points, emitter, rays, shifted(spread[grid.sample], grid.shift))
    if soft_rays == 1:
        return sample.lux
    soft = (sample.softness > HARD) & (points.transmission == 0.0)
    if not soft.any():
        return sample.lux
    more = np.flatnonzero(_contested(sample, grid)[grid.pixel] & soft)
    if len(more) == 0:
        return sample.lux
    total = sample.lux
    fewer = points.take(more)
    extra = total[more]
    for k in range(1, soft_rays):
        u = shifted(spread[k * grid.samples + grid.sample[more]], grid.shift[more])
        extra += one_sample(fewer, emitter, rays, u).lux
    total[more] = extra / np.float32(soft_rays)
    return total


def _contested(sample: Sample, grid: Grid) -> NDArray[np.bool_]:
    """Pixels (rows x columns,) where rays disagree, or disagree with those two pixels away."""
    count = grid.rows * grid.columns
    pixel = grid.pixel[sample.asked]
    asked = np.bincount(pixel, minlength=count)
    free = np.bincount(pixel[sample.free], minlength=count)
    some_free = (free > 0).reshape(grid.rows, grid.columns)
    some_blocked = (free < asked).reshape(grid.rows, grid.columns)
    return (_widened(some_free) & _widened(some_blocked)).ravel()


def _widened(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The mask grown by two pixels in every direction."""
    for _ in range(2):
        wide = mask.copy()
        wide[1:] |= mask[:-1]
        wide[:-1] |= mask[1:]
        mask = wide.copy()
        mask[:, 1:] |= wide[:, :-1]
        mask[:, :-1] |= wide[:, 1:]
    return mask
