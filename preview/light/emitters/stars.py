"""Stars: a field of them strewn over the sky, as many of each magnitude as the real sky has, none in its true place."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from math import pi, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]
Floats = NDArray[np.float64]
AnyFloats = NDArray[np.floating[Any]]
Indices = NDArray[np.int32]

COUNTED_TO = np.array([-1.0, 0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0])
COUNTS = np.array([1, 4, 15, 49, 172, 511, 1600, 4968, 15328])
"""Stars of the whole sky that are brighter than each visual magnitude.

Source: the catalogue of the Hipparcos mission, as counted in OEIS A053406.
"""
FAINTEST = 6.5
"""The limit of the naked eye under the darkest skies."""
LUX_AT_ZERO = 2.54e-6
"""Illuminance of a star of visual magnitude 0 above the air. Source: C. W. Allen, Astrophysical Quantities."""
EXTINCTION = 0.25
"""Magnitudes lost in one thickness of clear air. Common practice near sea level: 0.2 to 0.3."""
SEED = 20
DISC = 1.25
"""Radius in pixels that a star is drawn with; half of it is bright. Smaller ones would twinkle from frame to frame."""
FINEST = 1024
"""Cells along a side of the finest chart."""


def airmass(elevation: Floats) -> Floats:
    """Thicknesses of air (n,) that are looked through at elevations (n,) radians, 0 or more.

    Source: F. Kasten and A. T. Young 1989, Applied Optics 28, 4735.
    """
    degrees = np.degrees(elevation)
    return np.asarray(1.0 / (np.sin(elevation) + 0.50572 * (degrees + 6.07995) ** -1.6364), np.float64)


def magnitudes() -> Floats:
    """Visual magnitudes above the air, brightest first, of the half of the sky's stars that are up."""
    number = round(np.exp(np.interp(FAINTEST, COUNTED_TO, np.log(COUNTS)))) // 2
    rank = 2.0 * np.arange(number) + 1.0
    return np.interp(np.log(rank), np.log(COUNTS), COUNTED_TO)


@cache
def stars() -> tuple[Floats, Floats]:
    """Unit directions (3, n) of the stars above the horizon, and the lux (n,) that each sends through the air."""
    magnitude = magnitudes()
    # The generator's raw numbers are the same in every version of numpy, so the sky is.
    raw = np.random.PCG64(SEED).random_raw(2 * len(magnitude))
    up, turn = ((raw >> np.uint64(11)) * 2.0**-53).reshape(2, -1)
    turn = 2.0 * pi * turn
    level = np.sqrt(1.0 - up**2)
    directions = np.stack([level * np.cos(turn), level * np.sin(turn), up])
    lost = EXTINCTION * airmass(np.arcsin(up))
    return directions, LUX_AT_ZERO * 10.0 ** (-0.4 * (magnitude + lost))


def star_light(directions: Array, *, pixel: float) -> Array:
    """cd/m2 (n,) of the stars along unit `directions` (3, n), each drawn as a soft disc about a `pixel` (radians) wide.

    The disc's luminance over its solid angle is the star's illuminance.
    """
    chart = _chart(pixel)
    light = np.zeros(directions.shape[1], np.float32)
    cell = _cell_of(directions, chart.side)
    crowd = np.take(chart.number, cell)
    near = np.flatnonzero(crowd)
    for turn in range(int(chart.number.max(initial=0))):
        near = near[crowd[near] > turn]
        star = chart.star[chart.first[cell[near]] + turn]
        # Differences keep their digits in float32, cosines of small angles do not.
        apart = np.take(directions, near, axis=1) - np.take(chart.towards, star, axis=1)
        share = np.float32(1.0) - np.einsum("ij,ij->j", apart, apart) * np.float32(1.0 / (DISC * pixel) ** 2)
        light[near] += chart.peak[star] * np.maximum(share, 0.0) ** 2
    return light


@dataclass(frozen=True)
class _Chart:
    """Which stars' discs touch each cell of the sky, `side` x `side` cells over the square that `_cell_of` unfolds.

    towards (3, stars), peak (stars,) cd/m2; number, first (cells,): how many, and where in `star` they are listed.
    """

    side: int
    towards: Array
    peak: Array
    number: Indices
    first: Indices
    star: Indices


@lru_cache(maxsize=8)
def _chart(pixel: float) -> _Chart:
    radius = DISC * pixel
    # Along the sky the unfolded square grows by sqrt 2 at most, so a disc touches two by two cells or fewer.
    reach = sqrt(2.0) * radius
    side = int(np.clip(1.0 / reach, 1, FINEST))
    towards, lux = stars()
    found = []
    for right in (-reach, reach):
        for up in (-reach, reach):
            x, y = _unfolded(towards)
            found.append(_cell(x + right, y + up, side))
    cells = np.concatenate(found).astype(np.int64)
    pairs = np.unique(cells * towards.shape[1] + np.tile(np.arange(towards.shape[1]), 4))
    cell, star = np.divmod(pairs, towards.shape[1])
    number = np.bincount(cell, minlength=side * side).astype(np.int32)
    first = np.concatenate([[0], np.cumsum(number)[:-1]]).astype(np.int32)
    # The disc (1 - r^2/R^2)^2 holds a third of pi R^2 times its peak.
    peak = lux * 3.0 / (pi * radius**2)
    return _Chart(
        side, towards.astype(np.float32), peak.astype(np.float32), number, first, star.astype(np.int32)
    )


def _cell_of(directions: Array, side: int) -> Indices:
    x, y = _unfolded(directions)
    return _cell(x, y, side)


def _unfolded(directions: AnyFloats) -> tuple[AnyFloats, AnyFloats]:
    """The sky as a flat square, each of x and y (n,) from -1 to 1: the octahedron's upper half seen from above."""
    total = np.abs(directions).sum(axis=0)
    return directions[0] / total, directions[1] / total


def _cell(x: AnyFloats, y: AnyFloats, side: int) -> Indices:
    column = np.clip(((x + 1.0) * (side / 2.0)).astype(np.int32), 0, side - 1)
    row = np.clip(((y + 1.0) * (side / 2.0)).astype(np.int32), 0, side - 1)
    return np.asarray(row * side + column, np.int32)
