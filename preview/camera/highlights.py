"""Highlights: the points of a picture so bright that each is drawn as a blur disc of its own exact size."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.camera.aperture import Iris
from preview.camera.fragments import Fragments

Array = NDArray[np.float32]
Box = tuple[slice, slice]

BRIGHT = 100.0
"""Times the median of the picture from which on a point is drawn by itself."""
MOST_DRAWN = 5_000_000
"""Pixels of discs that are drawn at the most; the brightest points come first."""
PER_DISC = 500.0
"""Pixels that would be drawn in the time that a disc takes however small."""
FINEST = 20.0
"""Discs are drawn to the nearest of so many radii to a pixel."""


@dataclass(frozen=True)
class Highlights:
    """n points: row, column (n,), light (3, n): radiance times the share of its pixel, blur (n,) pixels, signed.

    `layer` (n,): the layer of the picture, of the two that a point lies between, that is the nearer to the camera.
    """

    row: NDArray[np.intp]
    column: NDArray[np.intp]
    light: Array
    blur: Array
    layer: NDArray[np.int64]

    def draw(self, colour: Array, layer: int, box: Box, iris: Iris) -> None:
        """Adds the points of a layer, as discs, to colour (3, rows, columns), which is `box` of the frame."""
        for point in np.flatnonzero(self.layer == layer):
            blur = float(self.blur[point])
            disc = iris.disc(max(round(FINEST * abs(blur)) / FINEST, 1.0 / FINEST), beyond=blur > 0.0)
            row, column = int(self.row[point]) - box[0].start, int(self.column[point]) - box[1].start
            _add(colour, disc, row, column, self.light[:, point])


def highlights_of(fragments: Fragments, place: Array, place_behind: Array, *, sharp: float) -> Highlights:
    """Finds the highlights among what is more blurred than `sharp` pixels, and takes them out of the fragments.

    `place`, `place_behind`: where each fragment lies among the layers. What is left of a point is the limit itself.
    """
    behind = fragments.behind
    width = fragments.blur.shape[1]
    brightest, brightest_behind = fragments.colour.max(axis=0), behind.colour.max(axis=0)
    limit = max(BRIGHT * float(np.median(brightest[::3, ::3])), 1e-30)
    found = np.flatnonzero((brightest > limit) & (np.abs(fragments.blur) > sharp))
    found_behind = np.flatnonzero((brightest_behind > limit) & (np.abs(behind.blur) > sharp))
    many, many_behind = (
        _brightest(found, brightest.ravel()[found], fragments.blur.ravel()[found]),
        _brightest(found_behind, brightest_behind[found_behind], behind.blur[found_behind]),
    )
    lights = []
    for colour, share, peak, chosen in (
        (fragments.colour.reshape(3, -1), fragments.share.ravel(), brightest.ravel(), many),
        (behind.colour, behind.share, brightest_behind, many_behind),
    ):
        over = colour[:, chosen] * (1.0 - np.float32(limit) / peak[chosen])
        colour[:, chosen] -= over
        lights.append(over * share[chosen])
    row, column = np.divmod(np.concatenate([many, behind.index[many_behind]]), width)
    layers = np.concatenate([place.ravel()[many], place_behind[many_behind]])
    blurs = np.concatenate([fragments.blur.ravel()[many], behind.blur[many_behind]])
    light = np.concatenate(lights, axis=1)
    return Highlights(row, column, light, blurs, np.floor(layers).astype(np.int64))


def _brightest(found: NDArray[np.intp], brightness: Array, blur: Array) -> NDArray[np.intp]:
    """As many of the points as may be drawn, the brightest first."""
    order = np.argsort(-brightness, kind="stable")
    drawn = np.cumsum(np.pi * np.square(blur[order], dtype=np.float64) + PER_DISC)
    return found[order[drawn <= MOST_DRAWN]]


def _add(colour: Array, disc: Array, row: int, column: int, light: Array) -> None:
    """Adds a disc of light (3,) about a pixel to colour (3, h, w), where it falls within it."""
    height, width = colour.shape[1:]
    down, right = disc.shape[0] // 2, disc.shape[1] // 2
    top, left = max(0, row - down), max(0, column - right)
    bottom, end = min(height, row + down + 1), min(width, column + right + 1)
    if top >= bottom or left >= end:
        return
    part = disc[top - row + down : bottom - row + down, left - column + right : end - column + right]
    for channel in range(3):
        colour[channel, top:bottom, left:end] += light[channel] * part
