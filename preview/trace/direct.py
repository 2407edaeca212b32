"""Direct light: what one emitter sends to the visible points of a tile, with shadows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter
from preview.trace.arrival import CLOSE, Sample, one_sample, unshadowed
from preview.trace.geometry import Points
from preview.trace.haze import Haze
from preview.trace.quality import Quality
from preview.trace.rays import Rays
from preview.trace.sampling import shifted, spread_points
from preview.trace.seen import Seen
from preview.trace.tile import neighbourhood

Array = NDArray[np.float32]
Indices = NDArray[np.intp]
Mask = NDArray[np.bool_]

SMALL = 0.004
"""Half angle (radians) of a source below which any sample tells its whole light: the moon's is 0.0045."""
SOFT = 0.009
"""Half angle from which a shadow's edge is wide enough to be worth more than a ray a sample."""
NEAR = 0.12
"""Half angle from which a source lies so near that one ray tells little of it, even on an edge."""
STEEP = 1.5
"""Ratio of the light on pixels a few apart from which a plain pixel asks with all its samples."""
FLOOR_LUX = 0.02
"""Light that matters to no camera: an error beside it counts as small."""


@dataclass(frozen=True)
class Direct:
    """Light of an emitter on the n spots of a tile: lux (n,); seen (n,), the share of the source that is not hidden;
    error (pixels,) lux: one standard deviation of chance on plain pixels."""

    lux: Array
    seen: Array
    error: Array


def direct(
    view: Seen, emitter: Emitter, rays: Rays, *, shift: Array, quality: Quality, haze: Haze | None = None
) -> Direct:
    """Light from an emitter on a tile's spots; shift (2, pixels) is random by pixel.

    Pixels on an edge of the geometry are asked at every sample, unless no light falls near them. Plain ones at one
    sample of a hard source, two of a soft one; at all of them where their rays or their neighbours' disagree (a
    shadow's edge, a steep fall of the beam), and there a soft source is asked again, round by round, until the error
    left is within the quality's target. All the rays of a pixel together are one well-spread set.

    Rays say only which share of a soft source is seen; how much the whole of it gives comes from the emitter's rule,
    on plain pixels and wherever it is near, so that open ground is free of noise. Where a source is close, or the
    surface's own horizon cuts it, rays alone tell.
    """
    samples, pixels = view.tile.samples, view.tile.pixels
    spots = view.spots
    spread = spread_points(samples * quality.rounds)
    tally = _Tally(view)

    def ask(number: Indices, there: Points, turn: int) -> Sample:
        sample, pixel = np.divmod(number, pixels)
        u = np.take(spread, turn * samples + sample, axis=1)
        answer = one_sample(there, emitter, rays, shifted(u, np.take(shift, pixel, axis=1)), haze)
        tally.add(number, answer)
        return answer

    opening = view.opening
    first = ask(view.number[opening], view.opening_points, 0)
    softness = np.zeros(pixels, np.float32)
    softness[spots.pixel[opening]] = first.softness
    soft, near, close = softness > SOFT, softness > NEAR, softness > CLOSE
    by_rule = (softness > SMALL) & ~close & (~view.edge | near)
    lit_near = neighbourhood(tally.lit().reshape(view.tile.rows, view.tile.columns)).ravel() > 0.0
    others = np.flatnonzero(~tally.asked[view.number] & lit_near[spots.pixel])
    if len(others):
        ask(view.number[others], spots.points.take(others), 0)
    met = view.owner >= 0
    if samples > 1:
        pair = soft & ~view.edge & tally.shone_on() & met[pixels : 2 * pixels]
        second = pixels + np.flatnonzero(pair)
        if len(second):
            ask(second, view.at(second), 0)
    ruleless = (tally.cut() & soft) | close
    contested = tally.contested() | ruleless
    asked_at_all = contested | (tally.steep() & ~view.edge & ~soft)
    # An edge's samples are leads, and were asked above unless no light falls near.
    rest = np.flatnonzero(~tally.asked & met & np.tile(asked_at_all & (~view.edge | lit_near), samples))
    while len(rest):
        ask(rest, view.at(rest), 0)
        # Those beside may have found a source that hardly rises over the horizon, where these had missed it.
        cut = tally.cut() & soft & ~ruleless if ruleless.any() else np.zeros(pixels, bool)
        ruleless, contested = ruleless | cut, contested | cut
        rest = np.flatnonzero(~tally.asked & met & np.tile(cut & (~view.edge | lit_near), samples))
    blended = contested & soft & ~view.edge
    again = contested & (softness > SMALL) & (~view.edge | near)
    error = np.zeros(pixels, np.float32)
    for turn in range(1, quality.rounds + 1 if again.any() else 0):
        error = tally.error(blended, ruleless)
        again &= error > np.float32(quality.noise) * (tally.lit() + np.float32(FLOOR_LUX))
        number = np.flatnonzero(np.tile(again, samples) & tally.asked)
        if turn == quality.rounds or len(number) == 0:
            break
        ask(number, view.at(number), turn)
    lux, share = _settled(view, emitter, tally, by_rule, blended, haze)
    return Direct(lux, share, np.where(view.edge, np.float32(0.0), error))


class _Tally:
    """What the rays of a tile have found so far; flat arrays over samples x pixels."""

    def __init__(self, view: Seen) -> None:
        count = view.tile.samples * view.tile.pixels
        self.view = view
        self.lux = np.zeros(count, np.float32)
        self.unshadowed = np.zeros(count, np.float32)
        self.squares = np.zeros(count, np.float32)
        self.number = np.zeros(count, np.float32)
        self.shone = np.zeros(count, bool)
        self.brightest = np.full(count, -1.0, np.float32)
        self.darkest = np.full(count, 2.0, np.float32)

    def add(self, at: Indices, sample: Sample) -> None:
        """One sample at each of the numbers `at`."""
        lux = sample.lux
        self.lux[at] += lux
        self.squares[at] += lux * lux
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

    def over_pixel(self, values: Array) -> Array:
        """Sums (pixels,) of values (samples x pixels,) over each pixel."""
        return np.asarray(values.reshape(self.view.tile.samples, -1).sum(axis=0), np.float32)

    def shone_on(self) -> Mask:
        """Pixels that the source would light if nothing stood between."""
        return np.asarray(self.shone.reshape(self.view.tile.samples, -1).any(axis=0), bool)

    def lit(self) -> Array:
        """By pixel (pixels,): the mean of the light found, 0 where there is none."""
        mean = self.over_pixel(self.lux) / np.maximum(self.over_pixel(self.number), np.float32(1.0))
        return np.asarray(mean, np.float32)

    def error(self, blended: Mask, ruleless: Mask) -> Array:
        """One standard deviation (pixels,) lux of what chance leaves in the mean.

        A share v of n rays is as uncertain as v (1 - v) / n, and since a pixel's rays are one well-spread set, a
        further square root of n less (measured); where neighbours are blended theirs count too. Where no rule
        tells the whole, the rays' own spread counts.
        """
        number = np.maximum(self.over_pixel(self.number), np.float32(1.0))
        whole = np.maximum(self.over_pixel(self.unshadowed), np.float32(1e-20))
        share = self.over_pixel(self.lux) / whole
        many = np.ones_like(number)
        if blended.any():
            total = self.view.blended(np.stack([self.over_pixel(self.lux), self.over_pixel(self.unshadowed)]))
            share = np.where(blended, total[0] / np.maximum(total[1], np.float32(1e-20)), share)
            many = np.where(blended, self.view.blended(np.ones_like(number)), many)
        spread = number * np.sqrt(number)
        variance = np.square(whole / number) * np.clip(share * (1.0 - share), 0.0, 0.25) / (spread * many)
        mean = self.over_pixel(self.lux) / number
        own = np.maximum(self.over_pixel(self.squares) / number - mean * mean, 0.0) / (spread * many)
        return np.asarray(np.sqrt(np.where(ruleless, own, variance)), np.float32)

    def contested(self) -> Mask:
        """Pixels that see another share of the source than those a few pixels away."""
        shape = self.view.tile.samples, self.view.tile.rows, self.view.tile.columns
        most = neighbourhood(self.brightest.reshape(shape).max(axis=0))
        least = -neighbourhood(-self.darkest.reshape(shape).min(axis=0))
        return np.asarray(most > least, bool).ravel()

    def cut(self) -> Mask:
        """Pixels near which the source shines on some samples and not on others: the surface's own horizon cuts it."""
        shape = self.view.tile.samples, self.view.tile.rows, self.view.tile.columns
        shone = self.shone.reshape(shape)
        dark = self.asked.reshape(shape) & ~shone
        near_light = neighbourhood(np.asarray(shone.any(axis=0), np.float32))
        near_dark = neighbourhood(np.asarray(dark.any(axis=0), np.float32))
        return np.asarray((near_light * near_dark).ravel() > 0.0, bool)

    def steep(self) -> Mask:
        """Pixels whose unshadowed light differs much from that of those a few pixels away."""
        shape = self.view.tile.samples, self.view.tile.rows, self.view.tile.columns
        unshadowed = self.unshadowed.reshape(shape)
        known = self.asked.reshape(shape)
        most = neighbourhood(unshadowed.max(axis=0))
        least = -neighbourhood(-np.where(known, unshadowed, np.float32(np.inf)).min(axis=0))
        return np.asarray(most > np.float32(STEEP) * least, bool).ravel()


def _settled(
    view: Seen, emitter: Emitter, tally: _Tally, by_rule: Mask, blended: Mask, haze: Haze | None
) -> tuple[Array, Array]:
    """What each spot gets, lux: the share of the source that its rays saw, of all that the source would give; the share.

    A plain pixel's share is that of all its samples; where `blended` (pixels,), in a wide shadow's edge, of its
    neighbours' on the same surface too, as is the rays' mean. `by_rule` (pixels,): where the emitter's rule tells the
    whole; elsewhere the rays' own mean does.
    """
    own, pixel, plain = view.number, view.spots.pixel, view.plain

    def counted(values: Array) -> Array:
        return np.where(plain, tally.over_pixel(values)[pixel], values[own])

    seen, whole, number = counted(tally.lux), counted(tally.unshadowed), counted(tally.number)
    if blended.any():
        lead = np.flatnonzero(plain)
        of_pixel = np.zeros((3, view.tile.pixels), np.float32)
        of_pixel[:, pixel[lead]] = seen[lead], whole[lead], number[lead]
        mixed = np.flatnonzero(blended[pixel[lead]] & (whole[lead] > 0.0))
        total = np.take(view.blended(of_pixel), pixel[lead[mixed]], axis=1)
        seen[lead[mixed]], whole[lead[mixed]], number[lead[mixed]] = total
    lit = np.flatnonzero(seen > 0.0)
    answer = np.zeros(len(pixel), np.float32)
    part = np.zeros(len(pixel), np.float32)
    answer[lit] = seen[lit] / number[lit]
    part[lit] = seen[lit] / whole[lit]
    ruled = lit[by_rule[pixel[lit]]]
    if len(ruled):
        bare, holds = unshadowed(view.spots.points.take(ruled), emitter, haze)
        ruled, bare = ruled[holds], bare[holds]
        answer[ruled] = part[ruled] * bare
    # Twice: what chance adds to a true value just below the most is not cut off.
    return np.minimum(answer, np.float32(2.0 * emitter.most)), part
