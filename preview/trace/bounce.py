"""Bounce: light that reaches a point by way of other surfaces, gathered coarsely, then spread along the geometry.

The same gathering rays find how much of the sky a point sees, so the dome's own light comes with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.camera.view import View
from preview.light.emitters.dome import Dome
from preview.light.light import Light
from preview.light.vectors import around, column, dot
from preview.trace.arrival import ONE_TELLS, one_sample
from preview.trace.geometry import Geometry, Points
from preview.trace.haze import Haze
from preview.trace.quality import Quality
from preview.trace.rays import LIFT, Rays
from preview.trace.sampling import shifted, shifts, spread_points, stream
from preview.trace.spots import Spots
from preview.trace.tile import moved

Array = NDArray[np.float32]

BAND = 16
"""Rows of the coarse grid that a thread takes at a time."""
UNLIKE = 0.01
"""Likeness of two places below which it does not matter what stands between them."""
RAISED = 0.1
"""Share of the way between two places by which both are lifted before it is asked what stands between."""


def bounced(
    points: Points,
    geometry: Geometry,
    lights: Sequence[Light],
    *,
    pixels: NDArray[np.uint32],
    rays: int,
    seed: int,
    bounces: int = 1,
    with_sky: bool = False,
    haze: Haze | None = None,
) -> Array:
    """Illuminance (lights, 3, n) lux of points by diffuse bounces, each light at full level and white.

    `pixels` (n,): a number for each point, which fixes its random shift. Three channels: the surfaces colour it. Light
    comes by way of up to `bounces` surfaces; of the ways beyond the first surface every second is followed, and counts
    twice. `with_sky` adds what domes send straight down the same directions where they meet nothing.
    """
    total = np.zeros((len(lights), 3, len(points)), np.float32)
    spread = spread_points(rays)
    domes = [(i, e) for i, light in enumerate(lights) for e in light.emitters if isinstance(e, Dome)]
    for number in range(rays):
        here, whose, share = points, np.arange(len(points)), np.ones((3, len(points)), np.float32)
        for surface in range(bounces):
            if surface and number % 2:
                break
            turn = shifts(pixels[whose], stream(seed, "bounce", surface))
            u = shifted(spread[:, number, None], turn)
            direction = around(here.normal, np.sqrt(u[0]), np.sqrt(np.maximum(1.0 - u[0], 0.0)), u[1])
            origin = here.start + LIFT * here.facet
            hit = geometry.rays.hit(origin.T, direction.T)
            above = dot(direction, here.facet) > 0.0
            if with_sky and surface == 0:
                free = np.flatnonzero((hit.face < 0) & above)
                for index, dome in domes:
                    total[index][:, free] += np.pi * dome.background(np.take(direction, free, axis=1))
            met = np.flatnonzero((hit.face >= 0) & above)
            if len(met) == 0:
                break
            here = geometry.points(hit.take(met), np.take(direction, met, axis=1))
            whose, share = whose[met], np.take(share, met, axis=1)
            share *= here.reflectance
            if surface == 1 and rays > 1:
                share *= np.float32(rays / ((rays + 1) // 2))
            for index, light in enumerate(lights):
                for part, emitter in enumerate(light.emitters):
                    own = shifts(pixels[whose], stream(seed, light.name, "bounce", surface, part))
                    sample = one_sample(
                        here, emitter, geometry.rays, shifted(spread[:, number, None], own), haze
                    )
                    lux = np.minimum(sample.lux, np.float32(ONE_TELLS * emitter.most))
                    lit = np.flatnonzero(lux)
                    total[index][:, whose[lit]] += np.take(share, lit, axis=1) * lux[lit]
    return total / np.float32(rays)


@dataclass(frozen=True)
class BounceField:
    """Indirect illuminance on a coarse grid of the frame.

    lux (lights, 3, rows, columns), of the lights named; position, normal (3, rows, columns); there (rows, columns): 1
    where a surface is. `rays`: of what stands between places; divided (rows, columns): whether something does between
    any of a cell, the next, and those below, once smoothed.
    """

    lights: tuple[str, ...]
    lux: Array
    position: Array
    normal: Array
    there: Array
    rays: Rays
    divided: NDArray[np.bool_] | None = None

    def smoothed(self) -> BounceField:
        """The same, its outliers held down, with places that share a surface averaged near, farther and far.

        Not across what stands between them: the floor on both sides of a wall is one plane.

        Source: H. Dammertz et al., Edge-Avoiding A-Trous Wavelet Transform for fast Global Illumination Filtering,
        High Performance Graphics 2010.
        """
        lux = self.lux
        near = {step: self._likeness(*step) for step in _around(1)}
        for spacing in (1, 1, 2, 4):
            likeness = near if spacing == 1 else {step: self._likeness(*step) for step in _around(spacing)}
            total = np.zeros_like(lux)
            weight = np.full_like(self.there, 1e-6)
            for (down, right), (open_, _) in likeness.items():
                alike = open_ * np.float32(0.5 if down and right else 1.0)
                total += alike * moved(lux, down, right)
                weight += alike
            around_it = total / weight
            # A gathering ray that met something bright by chance is no more than twice what its neighbours found.
            own = np.where(weight > 0.5, np.minimum(lux, 2.0 * around_it), lux)
            share = np.clip(weight / (weight + 1.5), 0.0, 1.0)
            lux = np.asarray(own + share * (around_it - own), np.float32)
        divided = near[0, 1][1] | near[1, 0][1] | near[1, 1][1]
        divided |= moved(near[0, 1][1], 1, 0) | moved(near[1, 0][1], 0, 1) | moved(near[1, -1][1], 0, 1)
        return replace(self, lux=lux, divided=divided)

    def _likeness(self, down: int, right: int) -> tuple[Array, NDArray[np.bool_]]:
        """How far each cell (rows, columns) shares a surface with another, 0 where something stands between the two;
        whether it does so."""
        position = moved(self.position, down, right)
        normal = moved(self.normal, down, right)
        alike = _alike(self.position, self.normal, position, normal) * moved(self.there, down, right)
        blocked = np.zeros(alike.shape, bool)
        asked = (alike > np.float32(UNLIKE)) & (self.there > 0.0)
        ends = (values[:, asked] for values in (self.position, self.normal, position, normal))
        blocked[asked] = _between(self.rays, *ends)
        return np.where(blocked, np.float32(0.0), alike), blocked

    def at(self, light: str, spots: Spots) -> Array:
        """Indirect illuminance (3, n) lux of a light on spots."""
        if "bounce" not in spots.memo:
            spots.memo["bounce"] = self._shares(*spots.frame(), spots.points)
        cells, shares = spots.memo["bounce"]
        flat = self.lux[self.lights.index(light)].reshape(3, -1)
        total = np.zeros((3, len(spots.pixel)), np.float32)
        for cell, share in zip(cells, shares, strict=True):
            total += share * np.take(flat, cell, axis=1)
        return total

    def _shares(self, u: Array, v: Array, points: Points) -> tuple[list[NDArray[np.int32]], list[Array]]:
        """The four cells (n,) round each point, and in what shares (n,) they tell its light."""
        rows, columns = self.there.shape
        x = np.clip(u * columns - 0.5, 0.0, columns - 1.0)
        y = np.clip(v * rows - 0.5, 0.0, rows - 1.0)
        left, top = np.floor(x).astype(np.int32), np.floor(y).astype(np.int32)
        position, normal = self.position.reshape(3, -1), self.normal.reshape(3, -1)
        there = self.there.ravel()
        doubtful = np.zeros(0, np.intp)
        if self.divided is not None:
            doubtful = np.flatnonzero(np.take(self.divided.ravel(), top * columns + left))
        cells, shares = [], []
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
                if len(doubtful):
                    ends = (np.take(values, doubtful, axis=1) for values in (points.position, points.normal))
                    others = (np.take(values, cell[doubtful], axis=1) for values in (position, normal))
                    blocked = _between(self.rays, *ends, *others)
                    alike[doubtful] *= np.where(blocked, np.float32(0.0), np.float32(1.0))
                cells.append(cell)
                shares.append(((near + 1e-3) * (alike + 1e-4) * there[cell]).astype(np.float32))
        whole = np.maximum(sum(shares), np.float32(1e-12))
        return cells, [share / whole for share in shares]


def _around(spacing: int) -> list[tuple[int, int]]:
    """The eight steps (down, right) to places so many cells away."""
    steps = (-spacing, 0, spacing)
    return [(down, right) for down in steps for right in steps if down or right]


def _between(
    rays: Rays, position: Array, normal: Array, other: Array, other_normal: Array
) -> NDArray[np.bool_]:
    """Whether (n,) anything stands between two places (3, n), both lifted by a share of what lies between: a surface may
    curve, or a stone lie on it."""
    lift = np.float32(RAISED) * np.sqrt(dot(other - position, other - position)) + LIFT
    start = np.asarray(position + lift * normal, np.float32)
    away = np.asarray(other + lift * other_normal - start, np.float32)
    apart = np.sqrt(dot(away, away))
    away /= np.maximum(apart, np.float32(1e-9))
    return rays.blocked(start.T, away.T, apart)


def _alike(position: Array, normal: Array, other: Array, other_normal: Array) -> Array:
    """How far two places (3, ...) share a surface: 1 on one plane, towards 0 where they turn or stand off."""
    turned = np.clip(np.einsum("i...,i...->...", normal, other_normal), 0.0, 1.0)
    away = other - position
    off_plane = np.abs(np.einsum("i...,i...->...", away, normal))
    apart = np.sqrt(np.einsum("i...,i...->...", away, away))
    turned *= turned
    near = np.exp(-8.0 * off_plane / (apart + np.float32(0.05)))
    return np.asarray(turned * turned * near, np.float32)


def bounce_field(
    geometry: Geometry,
    lights: Sequence[Light],
    view: View,
    *,
    width: int,
    height: int,
    quality: Quality,
    seed: int,
    haze: Haze | None,
    pool: ThreadPoolExecutor,
) -> BounceField | None:
    """The coarse grid of indirect light for a frame, or None when none is asked. A light's part does not depend on which
    others there are."""
    if quality.bounce_rays == 0 or not lights:
        return None
    columns = max(2, -(-width // quality.bounce_step))
    rows = max(2, -(-height // quality.bounce_step))
    lux = np.zeros((len(lights), 3, rows, columns), np.float32)
    position = np.full((3, rows, columns), 1e6, np.float32)
    normal = np.zeros((3, rows, columns), np.float32)
    there = np.zeros((rows, columns), np.float32)

    def work(top: int) -> None:
        row, column_ = np.mgrid[top : min(top + BAND, rows), 0:columns]
        u = ((column_.ravel() + 0.5) / columns).astype(np.float32)
        v = ((row.ravel() + 0.5) / rows).astype(np.float32)
        directions = view.rays(u, v)
        hit = geometry.rays.hit(np.broadcast_to(column(view.position), directions.shape).T, directions.T)
        index = np.flatnonzero(hit.face >= 0)
        if len(index) == 0:
            return
        points = geometry.points(hit.take(index), np.take(directions, index, axis=1))
        down, right = row.ravel()[index], column_.ravel()[index]
        lux[:, :, down, right] = bounced(
            points,
            geometry,
            lights,
            pixels=(down * columns + right).astype(np.uint32),
            rays=quality.bounce_rays,
            bounces=quality.bounces,
            seed=seed,
            with_sky=True,
            haze=haze,
        )
        position[:, down, right], normal[:, down, right] = points.position, points.normal
        there[down, right] = 1.0

    for _ in pool.map(work, range(0, rows, BAND)):
        pass
    names = tuple(light.name for light in lights)
    return BounceField(names, lux, position, normal, there, geometry.rays).smoothed()
