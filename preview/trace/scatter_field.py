"""Scatter field: how much haze has scattered towards the eye up to each of a few distances, over a coarse grid."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.trace.tile import moved

Array = NDArray[np.float32]

SLICES = 24
"""Distances at which a column of air knows how much has come in."""
ALIKE = 0.12
"""Relative difference up to which two columns are averaged even where nothing is in doubt."""


@dataclass(frozen=True)
class Slices:
    """Distances along eye rays, close together where a light is: round `middle` m, or near the eye where it is None.

    `scale` m: about the least distance between two; `far` m: the last of them.
    """

    middle: float | None
    scale: float
    far: float

    def place(self, distance: Array) -> Array:
        """Number of the slice (n,), with its fraction: 0 at the eye, SLICES - 1 from `far` on."""
        reached = np.minimum(distance, np.float32(self.far))
        if self.middle is None:
            step = np.log1p(self.far / self.scale) / (SLICES - 1)
            place = np.log1p(reached * np.float32(1.0 / self.scale)) * np.float32(1.0 / step)
            whole = np.minimum(np.floor(place), np.float32(SLICES - 2))
            # Between two slices even in metres, as light that is everywhere the same comes in.
            within = np.expm1((place - whole) * np.float32(step)) * np.float32(1.0 / np.expm1(step))
            return np.asarray(np.minimum(whole + within, np.float32(SLICES - 1)), np.float32)
        first, last = self._angles(self.middle)
        angle = np.arctan((reached - np.float32(self.middle)) * np.float32(1.0 / self.scale))
        place = (angle - np.float32(first)) * np.float32((SLICES - 1) / (last - first))
        return np.asarray(np.clip(place, 0.0, SLICES - 1.0), np.float32)

    def distances(self) -> Array:
        """Metres (SLICES,) of each."""
        share = np.linspace(0.0, 1.0, SLICES)
        if self.middle is None:
            metres = self.scale * np.expm1(share * np.log1p(self.far / self.scale))
        else:
            first, last = self._angles(self.middle)
            metres = self.middle + self.scale * np.tan(first + share * (last - first))
        return metres.astype(np.float32)

    def _angles(self, middle: float) -> tuple[float, float]:
        return float(np.arctan(-middle / self.scale)), float(np.arctan((self.far - middle) / self.scale))


@dataclass(frozen=True)
class ScatterField:
    """Light scattered towards the eye on a coarse grid of the frame.

    luminance (rows, columns, slices) cd/m2, white, at full level, from the eye up to each of `slices`;
    variance (rows, columns) of the last of them, by chance; hit (rows, columns) m to the first solid thing.
    """

    luminance: Array
    variance: Array
    hit: Array
    slices: Slices

    def smoothed(self) -> ScatterField:
        """The same with each column averaged with those near it that differ no more than chance would have them.

        So beams keep their edges. Where a column's own ray has gone into something solid, those beside it that are
        still in the open count more.
        Source: C. Tomasi and R. Manduchi, Bilateral Filtering for Gray and Color Images, ICCV 1998; H. Dammertz et al.,
        Edge-Avoiding A-Trous Wavelet Transform, High Performance Graphics 2010 (the wider passes).
        """
        gained = _without_specks(np.moveaxis(np.diff(self.luminance, axis=2, prepend=np.float32(0.0)), 2, 0))
        in_open = np.where(
            self.hit >= self.slices.distances()[:, None, None], np.float32(1.0), np.float32(0.05)
        )
        # A column that chance left dark does not know of its doubt: its neighbours do.
        beside_it = [moved(self.variance, down, right) for down in (-1, 0, 1) for right in (-1, 0, 1)]
        variance = np.asarray(np.mean(beside_it, axis=0), np.float32)
        for spacing in (1, 2, 4):
            whole = gained.sum(axis=0)
            least = np.float32(1e-6) * whole.mean() ** 2 + np.float32(1e-30)
            total, weight = gained * in_open, in_open.copy()
            doubt, likeness = variance, np.ones_like(whole)
            margin = ((0, 0), (spacing, spacing), (spacing, spacing))
            wide, wide_open = np.pad(total, margin, "edge"), np.pad(in_open, margin, "edge")
            for down in (-spacing, 0, spacing):
                for right in (-spacing, 0, spacing):
                    if down == right == 0:
                        continue
                    apart = moved(whole, down, right) - whole
                    beside = moved(variance, down, right)
                    chance = (
                        np.float32(2.0) * (variance + beside) + np.float32(ALIKE**2) * whole * whole + least
                    )
                    alike = np.exp(-apart * apart / chance) * np.float32(0.5 if down and right else 0.7)
                    rows = slice(spacing + down, spacing + down + len(whole))
                    columns = slice(spacing + right, spacing + right + whole.shape[1])
                    total += alike * wide[:, rows, columns]
                    weight += alike * wide_open[:, rows, columns]
                    doubt = doubt + alike * alike * beside
                    likeness = likeness + alike
            gained = np.asarray(total / weight, np.float32)
            variance = np.asarray(doubt / (likeness * likeness), np.float32)
        luminance = np.ascontiguousarray(np.moveaxis(np.cumsum(gained, axis=0, dtype=np.float32), 0, 2))
        return replace(self, luminance=luminance, variance=variance)

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
        reached = np.minimum(distance, np.float32(self.slices.far))
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


def _without_specks(gained: Array) -> Array:
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
    mended[:, row, column] = beside * (np.minimum.reduce(around)[row, column] / beside.sum(axis=0))
    return mended
