"""Aperture: the shape of the light that one point far from focus leaves on the picture.

The picture of a point out of focus is the entrance pupil's own outline. On an anamorphic lens the iris is round and
lies behind the squeeze; seen from the front, through the cylinders, it is narrower by the squeeze, and so is every
blur disc on the unsqueezed picture: with a squeeze of 2 an oval twice as tall as it is wide. (A squeeze behind the
iris, at the rear of a lens, would leave the discs round; it is not modelled.)
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, pi, sin, sqrt

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]

TURN = 0.2
"""Radians by which the polygon of an iris with blades is turned: none stands square in the frame."""
FINEST = 16
"""Points to a pixel each way, at the most, by which the rim of a small disc is reckoned."""


@dataclass(frozen=True)
class Iris:
    """`blades` None is round; `squeeze` that of the lens."""

    blades: int | None = None
    squeeze: float = 1.0

    def disc(self, radius: float, *, beyond: bool) -> Array:
        """The disc of a radius in pixels, for what lies beyond the plane of focus or before it."""
        return kernel(radius=radius, blades=self.blades, squeeze=self.squeeze, turned=beyond)


@lru_cache(maxsize=512)
def kernel(*, radius: float, blades: int | None = None, squeeze: float = 1.0, turned: bool = False) -> Array:
    """The disc, (2m + 1, 2n + 1) float32, sum 1, centre in the middle: each pixel's share of the light.

    `radius` in pixels (> 0): half the height of a round disc; `squeeze` makes it narrower. With `blades`, a regular
    polygon of the circle's area, `turned` by half a turn as on the far side of focus, where the picture of the iris
    is upside down. A radius of half a pixel or less is the pixel itself. Read-only.
    """
    half_height = ceil(radius * _reach(blades) + 0.5)
    half_width = ceil(radius * _reach(blades) / squeeze + 0.5)
    if radius <= 0.5:
        half_height = half_width = 0
    fine = int(np.clip(ceil(32.0 / radius), 2, FINEST))
    inside = np.array(_share_inside(radius, blades, squeeze, turned, half_width, half_height, fine))
    inside = inside.reshape(2 * half_height + 1, fine, 2 * half_width + 1, fine).mean(axis=(1, 3))
    if radius <= 0.5:
        inside[:] = 1.0
    disc: Array = (inside / inside.sum()).astype(np.float32)
    disc.flags.writeable = False
    return disc


def _reach(blades: int | None) -> float:
    """The farthest corner's distance from the middle, in radii of the circle of the same area."""
    if blades is None:
        return 1.0
    return sqrt(2.0 * pi / (blades * sin(2.0 * pi / blades)))


def _share_inside(
    radius: float,
    blades: int | None,
    squeeze: float,
    turned: bool,
    half_width: int,
    half_height: int,
    fine: int,
) -> NDArray[np.float64]:
    """What lies inside the outline, 0 to 1, of each fine square; on the rim by the distance of its middle."""
    x = ((np.arange((2 * half_width + 1) * fine) + 0.5) / fine - half_width - 0.5)[np.newaxis, :]
    y = ((np.arange((2 * half_height + 1) * fine) + 0.5) / fine - half_height - 0.5)[:, np.newaxis]
    if blades is None:
        from_middle = np.hypot(squeeze * x, y)
        slope = np.hypot(squeeze**2 * x, y) / np.maximum(from_middle, 1e-9)
        outside = (from_middle - radius) / np.maximum(slope, 1.0)
    else:
        across = radius * sqrt(pi / (blades * np.tan(pi / blades)))
        outside = np.full((y.shape[0], x.shape[1]), -np.inf)
        for angle in TURN + pi * turned + 2.0 * pi * np.arange(blades) / blades:
            east, north = squeeze * np.cos(angle), np.sin(angle)
            outside = np.maximum(outside, (east * x + north * y - across) / np.hypot(east, north))
    share: NDArray[np.float64] = np.clip(0.5 - fine * outside, 0.0, 1.0)
    return share
