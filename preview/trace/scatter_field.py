"""Scatter field: how much haze has scattered towards the eye up to each of a few distances, over a coarse grid."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.trace.tile import moved

Array = NDArray[np.float32]

SLICES = 32
"""Distances at which a column of air knows how much has come in."""
ENDS = np.arange(SLICES // 4 - 1, SLICES, SLICES // 4)
"""The slices (bands,) that end a band: up to each of them columns are compared by themselves."""
ALIKE = 0.12
"""Relative difference up to which two columns are averaged even where nothing is in doubt."""

TINY = np.float32(1e-30)
ROUND = tuple((down, right) for down in (-1, 0, 1) for right in (-1, 0, 1))


@dataclass(frozen=True)
class Slices:
    """Distances (SLICES,) m along eye rays, from 0 on, each further than the last."""

    distances: Array

    def place(self, distance: Array) -> Array:
        """Number of the slice (n,), with its fraction, even in metres: SLICES - 1 from the last on."""
        return np.interp(distance, self.distances, np.arange(SLICES)).astype(np.float32)


@dataclass(frozen=True)
class ScatterField:
    """Light scattered towards the eye on a coarse grid of the frame.

    luminance (rows, columns, slices) cd/m2, white, at full level, from the eye up to each of `slices`;
    variance (rows, columns, bands) of those at `ENDS`, by chance; hit (rows, columns) m to the first solid thing;
    unshadowed as luminance, if nothing stood in the light's way, where that is known without chance.
    """

    luminance: Array
    variance: Array
    hit: Array
    slices: Slices
    unshadowed: Array | None = None

    def smoothed(self) -> ScatterField:
        """The same with each column averaged with those near it that differ no more than chance would have them, band by
        band of its slices: what is alike far off need not be so near the eye.

        So beams keep their edges. Where a column's own ray has gone into something solid, those beside it that are
        still in the open count more.
        Source: C. Tomasi and R. Manduchi, Bilateral Filtering for Gray and Color Images, ICCV 1998; H. Dammertz et al.,
        Edge-Avoiding A-Trous Wavelet Transform, High Performance Graphics 2010 (the wider passes).
        """
        # Where it is known what would come without shadows, only the share that comes is told by the neighbours: their
        # light may be another, as in a beam or beside a lamp.
        gained = _gains(self.luminance)
        bare = np.ones_like(gained) if self.unshadowed is None else _gains(self.unshadowed)
        measure = np.maximum(bare.sum(axis=0), TINY)
        gained, bare = gained / measure, bare / measure
        gained = _without_specks(gained, None if self.unshadowed is None else bare)
        reached = np.maximum(np.cumsum(bare, axis=0)[ENDS], TINY)
        in_open = np.where(
            self.hit >= self.slices.distances[:, None, None], np.float32(1.0), np.float32(0.05)
        )
        # A column that chance left dark does not know of its doubt: its neighbours do.
        # A light that hardly reaches a column has next to nothing squared here: no less than a float32 holds.
        variance = np.moveaxis(self.variance, 2, 0) / np.maximum(np.square(measure * reached), TINY)
        wide = _framed(variance, 1)
        variance = np.asarray(
            np.mean([_beside(wide, variance, 1, down, right) for down, right in ROUND], axis=0), np.float32
        )
        for spacing in (1, 2, 4):
            share = np.cumsum(gained, axis=0)[ENDS] / reached
            least = np.float32(1e-6) * share.mean(axis=(1, 2), keepdims=True) ** 2 + TINY
            least = np.float32(2.0) * variance + np.float32(ALIKE**2) * share * share + least
            total, weight = gained * in_open, bare * in_open
            doubt, likeness = variance, np.ones_like(share)
            framed = [_framed(array, spacing) for array in (share, variance, total, weight)]
            for down, right in ROUND:
                if down == right == 0:
                    continue
                there = [_beside(array, gained, spacing, down, right) for array in framed]
                apart = there[0] - share
                alike = np.exp(-apart * apart / (least + np.float32(2.0) * there[1]))
                alike *= np.float32(0.5 if down and right else 0.7)
                every = np.repeat(alike, SLICES // len(ENDS), axis=0)
                total += every * there[2]
                weight += every * there[3]
                doubt = doubt + alike * alike * there[1]
                likeness = likeness + alike
            gained = np.asarray(bare * total / np.maximum(weight, TINY), np.float32)
            variance = np.asarray(doubt / (likeness * likeness), np.float32)
        luminance = np.moveaxis(np.cumsum(gained * measure, axis=0, dtype=np.float32), 0, 2)
        variance = np.moveaxis(variance * np.square(measure * reached), 0, 2)
        return replace(self, luminance=np.ascontiguousarray(luminance), variance=variance, unshadowed=None)

    def at(self, u: Array, v: Array, distance: Array) -> Array:
        """cd/m2 (n,) that comes in before what is seen at frame coordinates u, v (n,), `distance` (n,) m along the ray.

        A distance of inf is the sky's.
        """
        rows, columns, _ = self.luminance.shape
        x = np.clip(u * np.float32(columns) - np.float32(0.5), 0.0, columns - 1.0)
        y = np.clip(v * np.float32(rows) - np.float32(0.5), 0.0, rows - 1.0)
        left, top = np.floor(x).astype(np.int32), np.floor(y).astype(np.int32)
        x -= left
        y -= top
        place = self.slices.place(distance)
        slice_ = np.minimum(place.astype(np.int32), SLICES - 2)
        place -= slice_
        reached = np.minimum(distance, self.slices.distances[-1])
        flat, hit = self.luminance.ravel(), self.hit.ravel()
        total = np.zeros(len(place), np.float32)
        weight = np.zeros(len(place), np.float32)
        for down in (0, 1):
            for right in (0, 1):
                cell = np.minimum(top + down, rows - 1) * columns + np.minimum(left + right, columns - 1)
                near = (x if right else 1.0 - x) * (y if down else 1.0 - y) + np.float32(1e-4)
                # A column whose ray went into something solid long before knows less of the air that is left.
                near *= np.clip(2.5 * np.take(hit, cell) / (reached + np.float32(1e-6)) - 1.5, 0.01, 1.0)
                cell *= SLICES
                cell += slice_
                before = np.take(flat, cell)
                total += near * (before + place * (np.take(flat, cell + 1) - before))
                weight += near
        return np.asarray(total / weight, np.float32)


def _gains(luminance: Array) -> Array:
    """What comes in (slices, rows, columns) from one slice to the next."""
    return np.moveaxis(np.diff(luminance, axis=2, prepend=np.float32(0.0)), 2, 0)


def _framed(array: Array, margin: int) -> Array:
    """An array (n, rows, columns) with its edges drawn out by `margin`."""
    return np.pad(array, ((0, 0), (margin, margin), (margin, margin)), "edge")


def _beside(framed: Array, like: Array, margin: int, down: int, right: int) -> Array:
    """What lies beside each place, `margin` down and right by -1, 0 or 1; rows and columns are those of `like`."""
    rows, columns = like.shape[1:]
    top, left = margin * (1 + down), margin * (1 + right)
    return framed[:, top : top + rows, left : left + columns]


def _without_specks(gained: Array, bare: Array | None) -> Array:
    """Columns (slices, rows, columns) of which those that are darker than all eight beside them are as the darkest.

    A leaf before the one sample that tells most; a shadow's line is no speck, having its like on two sides.
    """
    whole = gained.sum(axis=0)
    around = [
        moved(whole, down, right) for down in (-1, 0, 1) for right in (-1, 0, 1) if not down == right == 0
    ]
    row, column = np.nonzero(whole < np.minimum.reduce(around))
    if len(row) == 0:
        return gained
    beside = np.zeros((len(gained), len(row)), np.float32)
    last_row, last_column = whole.shape[0] - 1, whole.shape[1] - 1
    for down in (-1, 0, 1):
        for right in (-1, 0, 1):
            if not down == right == 0:
                beside += gained[:, np.clip(row + down, 0, last_row), np.clip(column + right, 0, last_column)]
    mended = gained.copy()
    if bare is not None:
        # Its own light, as much more of it as that takes, but no more than there is.
        more = np.minimum.reduce(around)[row, column] / np.maximum(whole[row, column], np.float32(1e-3))
        mended[:, row, column] = np.minimum(gained[:, row, column] * more, bare[:, row, column])
        return mended
    mended[:, row, column] = beside * (np.minimum.reduce(around)[row, column] / beside.sum(axis=0))
    return mended
