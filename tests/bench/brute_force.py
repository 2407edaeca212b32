"""Brute force: a twin's frame by plain sampling: every ray asks every light once, nothing is shared or guessed.

It is what both tracers are held to: it takes from this one the emitters' `arrive` and Embree, and none of what makes it
quick. That Mitsuba comes to the same picture, the bench's tests and its table check.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from os import cpu_count

import numpy as np
from numpy.typing import NDArray

from preview.light.spaces import ACESCG
from preview.light.vectors import around, column
from preview.trace.arrival import one_sample
from preview.trace.geometry import Points
from preview.trace.mix import weights
from preview.trace.rays import LIFT
from preview.trace.sampling import shifted, shifts, spread_points, stream
from tests.bench.twin import Image, Twin

Array = NDArray[np.float32]

BLOCK = 16384
"""Pixels that a thread takes at a time."""


@dataclass(frozen=True)
class _Way:
    """One sample's numbers: of each `purpose` a well-spread set, gone through in an order of its own."""

    seed: int
    number: int
    samples: int

    def u(self, purpose: str, pixel: NDArray[np.intp]) -> Array:
        """The sample's point (2, n) of the unit square at pixels (n,)."""
        own = stream(self.seed, purpose)
        turn = np.random.default_rng(own).permutation(self.samples)[self.number]
        spread = spread_points(self.samples)[:, turn, None]
        return shifted(spread, shifts(pixel.astype(np.uint32), own))


def brute_force(twin: Twin, *, samples: int, bounce: bool, seed: int = 1) -> Image:
    """Luminance (height, width) that comes from the lights by way of one surface, or with `bounce` of one or two.

    nan in pixels where the sky is seen.
    """
    count = twin.width * twin.height
    total = np.zeros((3, count))

    def work(start: int) -> None:
        pixel = np.arange(start, min(start + BLOCK, count))
        for number in range(samples):
            total[:, pixel] += _sample(twin, pixel, _Way(seed, number, samples), bounce)

    with ThreadPoolExecutor(cpu_count() or 1) as pool:
        for _ in pool.map(work, range(0, count, BLOCK)):
            pass
    return (ACESCG.luminance @ total).reshape(twin.height, twin.width) / samples


def _sample(twin: Twin, pixel: NDArray[np.intp], way: _Way, bounce: bool) -> Array:
    """Radiance (3, n) along one ray through each pixel."""
    geometry = twin.solid
    row, column_ = np.divmod(pixel, twin.width)
    across, down = way.u("pixel", pixel)
    directions = twin.view.rays(
        ((column_ + across) / twin.width).astype(np.float32), ((row + down) / twin.height).astype(np.float32)
    )
    eye = np.broadcast_to(column(twin.view.position), directions.shape)
    hit = geometry.rays.hit(eye.T, directions.T)
    met = np.flatnonzero(hit.face >= 0)
    answer = np.full(directions.shape, np.nan, np.float32)
    points = geometry.points(hit.take(met), np.take(directions, met, axis=1))
    answer[:, met] = points.reflectance / np.float32(np.pi) * _lit(twin, points, way, pixel[met], "first")
    if not bounce:
        return answer
    u = way.u("bounce", pixel[met])
    onward = around(points.normal, np.sqrt(u[0]), np.sqrt(np.maximum(1.0 - u[0], 0.0)), u[1])
    second = geometry.rays.hit((points.start + LIFT * points.facet).T, onward.T)
    again = np.flatnonzero(second.face >= 0)
    there = geometry.points(second.take(again), np.take(onward, again, axis=1))
    lit = there.reflectance * _lit(twin, there, way, pixel[met[again]], "second")
    answer[:, met[again]] += np.take(points.reflectance, again, axis=1) / np.float32(np.pi) * lit
    return answer


def _lit(twin: Twin, points: Points, way: _Way, pixel: NDArray[np.intp], which: str) -> Array:
    """Illuminance (3, n) of all lights, one sample of each."""
    total = np.zeros((3, len(points)), np.float32)
    for light, weight in zip(twin.lights, weights(twin.lights), strict=True):
        for number, emitter in enumerate(light.emitters):
            u = way.u(f"{which} {light.name} {number}", pixel)
            total += weight[:, None] * one_sample(points, emitter, twin.solid.rays, u).lux
    return total
