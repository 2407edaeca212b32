"""Bounce: light that reaches a point by way of one other surface, gathered coarsely, then spread along the geometry.

The same gathering rays find how much of the sky a point sees, so the dome's own light comes with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.dome import Dome
from preview.light.light import Light
from preview.light.vectors import around, dot
from preview.trace.direct import one_sample
from preview.trace.geometry import Geometry, Points
from preview.trace.rays import LIFT
from preview.trace.sampling import shifted, shifts, spread_points
from preview.trace.tile import moved

Array = NDArray[np.float32]


def bounced(
    points: Points,
    geometry: Geometry,
    lights: Sequence[Light],
    *,
    pixels: NDArray[np.uint32],
    rays: int,
    seed: int,
    with_sky: bool = False,
) -> Array:
    """Illuminance (lights, 3, n) lux of points by one diffuse bounce, each light at full level and white.

    `pixels` (n,): a number for each point, which fixes its random shift. Three channels: the surfaces colour it.
    `with_sky` adds what domes send straight down the same directions where they meet nothing.
    """
    total = np.zeros((len(lights), 3, len(points)), np.float32)
    spread = spread_points(rays)
    shift = shifts(pixels, seed * 977 + 5)
    origin = points.start + LIFT * points.facet
    domes = [(i, e) for i, light in enumerate(lights) for e in light.emitters if isinstance(e, Dome)]
    for number in range(rays):
        u = shifted(spread[:, number, None], shift)
        direction = around(points.normal, np.sqrt(u[0]), np.sqrt(np.maximum(1.0 - u[0], 0.0)), u[1])
        hit = geometry.rays.hit(origin.T, direction.T)
        above = dot(direction, points.facet) > 0.0
        if with_sky:
            free = np.flatnonzero((hit.face < 0) & above)
            for index, dome in domes:
                total[index][:, free] += np.pi * dome.background(np.take(direction, free, axis=1))
        met = np.flatnonzero((hit.face >= 0) & above)
        if len(met) == 0:
            continue
        there = geometry.points(hit.take(met), np.take(direction, met, axis=1))
        for index, light in enumerate(lights):
            for part, emitter in enumerate(light.emitters):
                turn = shifts(pixels[met], seed * 977 + 101 + 64 * index + part)
                sample = one_sample(there, emitter, geometry.rays, shifted(spread[:, number, None], turn))
                lux = np.minimum(sample.lux, np.float32(emitter.most))
                lit = np.flatnonzero(lux)
                total[index][:, met[lit]] += np.take(there.reflectance, lit, axis=1) * lux[lit]
    return total / np.float32(rays)


@dataclass(frozen=True)
class BounceField:
    """Indirect illuminance on a coarse grid of the frame.

    lux (lights, 3, rows, columns); position, normal (3, rows, columns); there (rows, columns): 1 where a surface is.
    """

    lux: Array
    position: Array
    normal: Array
    there: Array

    def smoothed(self) -> BounceField:
        """The same, its outliers held down, with places that share a surface averaged near, farther and far.

        Source: H. Dammertz et al., Edge-Avoiding A-Trous Wavelet Transform for fast Global Illumination Filtering,
        High Performance Graphics 2010.
        """
        lux = self.lux
        for spacing in (1, 1, 2, 4):
            total = np.zeros_like(lux)
            weight = np.full_like(self.there, 1e-6)
            for down in (-spacing, 0, spacing):
                for right in (-spacing, 0, spacing):
                    if down == right == 0:
                        continue
                    alike = self._likeness(down, right) * np.float32(0.5 if down and right else 1.0)
                    total += alike * moved(lux, down, right)
                    weight += alike
            around_it = total / weight
            # A gathering ray that met something bright by chance is no more than twice what its neighbours found.
            own = np.where(weight > 0.5, np.minimum(lux, 2.0 * around_it), lux)
            share = np.clip(weight / (weight + 1.5), 0.0, 1.0)
            lux = np.asarray(own + share * (around_it - own), np.float32)
        return BounceField(lux, self.position, self.normal, self.there)

    def _likeness(self, down: int, right: int) -> Array:
        position = moved(self.position, down, right)
        normal = moved(self.normal, down, right)
        return _alike(self.position, self.normal, position, normal) * moved(self.there, down, right)

    def at(self, u: Array, v: Array, points: Points) -> Array:
        """Indirect illuminance (lights, 3, n) of points seen at frame coordinates u, v (n,)."""
        rows, columns = self.there.shape
        x = np.clip(u * columns - 0.5, 0.0, columns - 1.0)
        y = np.clip(v * rows - 0.5, 0.0, rows - 1.0)
        left, top = np.floor(x).astype(np.int32), np.floor(y).astype(np.int32)
        flat = self.lux.reshape(-1, rows * columns)
        position, normal = self.position.reshape(3, -1), self.normal.reshape(3, -1)
        there = self.there.ravel()
        total = np.zeros((len(flat), len(u)), np.float32)
        weight = np.zeros(len(u), np.float32)
        for down in (0, 1):
            for right in (0, 1):
                cell = np.minimum(top + down, rows - 1) * columns + np.minimum(left + right, columns - 1)
                near = np.where(right, x - left, 1.0 - (x - left)) * np.where(down, y - top, 1.0 - (y - top))
                alike = _alike(
                    points.position,
                    points.normal,
                    np.take(position, cell, axis=1),
                    np.take(normal, cell, axis=1),
                )
                share = (near + 1e-3) * (alike + 1e-4) * there[cell]
                total += share * np.take(flat, cell, axis=1)
                weight += share
        mean = total / np.maximum(weight, np.float32(1e-12))
        return np.asarray(mean.reshape(*self.lux.shape[:2], len(u)), np.float32)


def _alike(position: Array, normal: Array, other: Array, other_normal: Array) -> Array:
    """How far two places (3, ...) share a surface: 1 on one plane, towards 0 where they turn or stand off."""
    turned = np.clip(np.einsum("i...,i...->...", normal, other_normal), 0.0, 1.0)
    away = other - position
    off_plane = np.abs(np.einsum("i...,i...->...", away, normal))
    apart = np.sqrt(np.einsum("i...,i...->...", away, away))
    turned *= turned
    near = np.exp(-8.0 * off_plane / (apart + np.float32(0.05)))
    return np.asarray(turned * turned * near, np.float32)
