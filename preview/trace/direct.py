"""Direct light: what emitters send to points, with shadows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter
from preview.light.vectors import dot
from preview.trace.geometry import Points
from preview.trace.rays import LIFT, Rays
from preview.trace.sampling import shifted, spread_points
from preview.trace.tile import Grid, neighbourhood

Array = NDArray[np.float32]
Indices = NDArray[np.intp]
Mask = NDArray[np.bool_]

SMALL = 0.004
"""Half angle (radians) of a source below which any sample tells its whole light: the moon's is 0.0045."""
SOFT = 0.02
"""Half angle from which a shadow's edge is wide enough to be worth more than a ray a sample."""
NEAR = 0.12
"""Half angle from which a source lies so near that one ray tells little of it, even on an edge."""
CLOSE = 0.3
"""Half angle from which an emitter's rule is off by more than half a per cent: rays alone must tell."""
STEEP = 1.5
"""Ratio of the light on pixels a few apart from which a plain pixel asks with all its samples."""


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
    """One sample u (2, n) of an emitter at points (n)."""
    direction, distance, unshadowed = _arriving(points, emitter, u)
    asked = np.flatnonzero(unshadowed > 0.0)
    facet, position, thin, reach = points.facet, points.start, points.transmission > 0.0, distance
    if len(asked) < len(unshadowed):
        direction = np.take(direction, asked, axis=1)
        facet = np.take(facet, asked, axis=1)
        position = np.take(position, asked, axis=1)
        thin, reach = thin[asked], distance[asked]
    # A ray leaves on the side it is seen from, but one that goes through a leaf on the other.
    through = thin & (dot(direction, facet) < 0.0)
    origin = np.asarray(position + np.where(through, -LIFT, LIFT) * facet, np.float32)
    seen = (~rays.blocked(origin.T, direction.T, reach - np.float32(2.0) * LIFT)).astype(np.float32)
    passing = emitter.passing(position, direction, reach)
    visible = np.zeros(len(unshadowed), np.float32)
    visible[asked] = seen if passing is None else seen * passing
    return Sample(unshadowed, visible, emitter.softness(distance))


def _arriving(points: Points, emitter: Emitter, u: Array) -> tuple[Array, Array, Array]:
    """Direction (3, n), distance (n,) and unshadowed illuminance (n,) lux of a sample."""
    direction, distance, lux = emitter.arrive(points.position, points.normal, u)
    cosine = dot(direction, points.normal)
    return direction, distance, lux * np.where(cosine > 0.0, cosine, -cosine * points.transmission)


def _unshadowed(points: Points, emitter: Emitter) -> tuple[Array, Mask]:
    """Illuminance (n,) lux with nothing in the way, by the emitter's own rule: smooth, without rays.

    And whether (n,) the rule holds: not where the surface's own horizon cuts the source.
    """
    total = np.zeros(len(points), np.float32)
    whole = np.ones(len(points), bool)
    rule = emitter.rule()
    for u in rule:
        lux = _arriving(points, emitter, np.broadcast_to(u[:, None], (2, len(total))))[2]
        total += lux
        whole &= lux > 0.0
    return total / np.float32(len(rule)), whole


def illuminance(
    leads: Points,
    emitter: Emitter,
    rays: Rays,
    *,
    grid: Grid,
    shift: Array,
    soft_rays: int,
) -> Array:
    """Illuminance lux of a tile's `leads` (see `Grid.lead`) from an emitter; shift (2, pixels) is random by pixel.

    Pixels on an edge of the geometry are asked at every sample, unless no light falls near them. Plain ones at one
    sample of a hard source, two of a soft one; at all of them where their rays or their neighbours' disagree (a
    shadow's edge, a steep fall of the beam), and there a soft source is asked `soft_rays` times a sample. All the rays
    of a pixel together are one well-spread set. Edges hide what noise is left and stay with one ray a sample, but for
    near sources.

    Rays say only which share of a soft source is seen; how much the whole of it gives comes from the emitter's rule,
    on plain pixels and wherever it is near, so that open ground is free of noise. Where a source is close, or the
    surface's own horizon cuts it, every sample asks `soft_rays` times.
    """
    spread = spread_points(grid.samples * soft_rays)
    tally = _Tally(grid)

    def ask(which: Indices, there: Points, k: int) -> Sample:
        u = np.take(spread, k * grid.samples + grid.sample[which], axis=1)
        sample = one_sample(there, emitter, rays, shifted(u, np.take(shift, grid.pixel[which], axis=1)))
        tally.add(which, sample)
        return sample

    opening = grid.opening
    first = ask(grid.lead[opening], leads.take(opening), 0)
    softness = np.zeros(grid.pixels, np.float32)
    if soft_rays > 1:
        softness[grid.pixel[grid.lead[opening]]] = first.softness
    soft, near, close = softness > SOFT, softness > NEAR, softness > CLOSE
    by_rule = (softness > SMALL) & ~close & (~grid.edge | near)
    lit_near = neighbourhood(tally.lit().reshape(grid.rows, grid.columns)).ravel() > 0.0
    others = np.flatnonzero(~tally.asked[grid.index[grid.lead]] & lit_near[grid.pixel[grid.lead]])
    if len(others):
        ask(grid.lead[others], leads.take(others), 0)
    second = np.flatnonzero((grid.sample == 1) & (soft & ~grid.edge & tally.shone_on())[grid.pixel])
    if len(second):
        ask(second, grid.points.take(second), 0)
    if grid.samples == soft_rays == 1:
        return _settled(leads, emitter, tally, by_rule)
    contested = tally.contested() | (tally.cut() & soft) | close
    steep = tally.steep() & ~grid.edge & ~soft
    rest = np.flatnonzero(((contested & ~grid.edge) | steep)[grid.pixel] & ~tally.asked[grid.index])
    if len(rest):
        ask(rest, grid.points.take(rest), 0)
    again = np.flatnonzero((contested & soft & (~grid.edge | near))[grid.pixel] & tally.asked[grid.index])
    if soft_rays > 1 and len(again):
        there = grid.points.take(again)
        for k in range(1, soft_rays):
            ask(again, there, k)
    return _settled(leads, emitter, tally, by_rule, blended=contested & soft & ~grid.edge)


class _Tally:
    """What the rays of a tile have found so far; flat arrays over samples x pixels."""

    def __init__(self, grid: Grid) -> None:
        count = grid.samples * grid.pixels
        self.grid = grid
        self.lux = np.zeros(count, np.float32)
        self.unshadowed = np.zeros(count, np.float32)
        self.number = np.zeros(count, np.float32)
        self.shone = np.zeros(count, bool)
        self.brightest = np.full(count, -1.0, np.float32)
        self.darkest = np.full(count, 2.0, np.float32)

    def add(self, which: Indices, sample: Sample) -> None:
        """A sample at the points `which`."""
        at = self.grid.index[which]
        self.lux[at] += sample.lux
        self.unshadowed[at] += sample.unshadowed
        self.number[at] += 1.0
        lit = sample.unshadowed > 0.0
        at, visible = at[lit], sample.visible[lit]
        self.shone[at] = True
        self.brightest[at] = np.maximum(self.brightest[at], visible)
        self.darkest[at] = np.minimum(self.darkest[at], visible)

    @property
    def asked(self) -> Mask:
        return np.asarray(self.number > 0, bool)

    def shone_on(self) -> Mask:
        """Pixels that the source would light if nothing stood between."""
        return np.asarray(self.shone.reshape(self.grid.samples, -1).any(axis=0), bool)

    def lit(self) -> Array:
        """By pixel (pixels,): above 0 where light was found."""
        lit: Array = self.lux.reshape(self.grid.samples, -1).max(axis=0)
        return lit

    def contested(self) -> Mask:
        """Pixels that see another share of the source than those a few pixels away."""
        grid = self.grid
        shape = grid.samples, grid.rows, grid.columns
        most = neighbourhood(self.brightest.reshape(shape).max(axis=0))
        least = -neighbourhood(-self.darkest.reshape(shape).min(axis=0))
        return np.asarray(most > least, bool).ravel()

    def cut(self) -> Mask:
        """Pixels near which the source shines on some samples and not on others: the surface's own horizon cuts it."""
        grid = self.grid
        shape = grid.samples, grid.rows, grid.columns
        shone = self.shone.reshape(shape)
        dark = self.asked.reshape(shape) & ~shone
        near_light = neighbourhood(np.asarray(shone.any(axis=0), np.float32))
        near_dark = neighbourhood(np.asarray(dark.any(axis=0), np.float32))
        return np.asarray((near_light * near_dark).ravel() > 0.0, bool)

    def steep(self) -> Mask:
        """Pixels whose unshadowed light differs much from that of those a few pixels away."""
        grid = self.grid
        shape = grid.samples, grid.rows, grid.columns
        unshadowed = self.unshadowed.reshape(shape)
        known = self.asked.reshape(shape)
        most = neighbourhood(unshadowed.max(axis=0))
        least = -neighbourhood(-np.where(known, unshadowed, np.float32(np.inf)).min(axis=0))
        return np.asarray(most > np.float32(STEEP) * least, bool).ravel()


def _settled(
    leads: Points, emitter: Emitter, tally: _Tally, by_rule: Mask, *, blended: Mask | None = None
) -> Array:
    """What each lead gets: the share of the source that its rays saw, of all that the source would give.

    A plain pixel's share is that of all its samples; where `blended` (pixels,), in a wide shadow's edge, of its
    neighbours' on the same surface too. `by_rule` (pixels,): where the emitter's rule tells the whole; elsewhere the
    rays' own mean does.
    """
    grid = tally.grid
    own = grid.index[grid.lead]
    pixel = grid.pixel[grid.lead]
    plain = ~grid.edge[pixel]

    def counted(values: Array) -> Array:
        return np.where(plain, values.reshape(grid.samples, -1).sum(axis=0)[pixel], values[own])

    seen, whole = counted(tally.lux), counted(tally.unshadowed)
    if blended is not None and blended.any():
        lead = np.flatnonzero(plain)
        of_pixel = np.zeros((2, grid.pixels), np.float32)
        of_pixel[:, pixel[lead]] = seen[lead], whole[lead]
        total = grid.blended(of_pixel)[:, pixel[lead]]
        share = total[0] / np.maximum(total[1], np.float32(1e-20))
        mixed = blended[pixel[lead]] & (whole[lead] > 0.0)
        seen[lead[mixed]] = (whole[lead] * share)[mixed]
    lit = np.flatnonzero(seen > 0.0)
    answer = np.zeros(len(pixel), np.float32)
    answer[lit] = seen[lit] / counted(tally.number)[lit]
    ruled = lit[by_rule[pixel[lit]]]
    if len(ruled):
        bare, holds = _unshadowed(leads.take(ruled), emitter)
        ruled, bare = ruled[holds], bare[holds]
        answer[ruled] = seen[ruled] / whole[ruled] * bare
    # Twice: what chance adds to a true value just below the most is not cut off.
    return np.minimum(answer, np.float32(2.0 * emitter.most))
