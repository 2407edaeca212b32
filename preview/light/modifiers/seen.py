"""Seen: what the camera sees of a cloth or a board: as uneven as it is lit, with the head shining through or off it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.cloth import Cloth
from preview.light.light import Emitter, Glow
from preview.light.vectors import across, column

Array = NDArray[np.float32]


@dataclass(frozen=True)
class ClothGlow(Glow):
    """`cloth`: what it sends out evenly, None for nothing; seen on both sides, or `one_sided` on its front alone.

    `direct`: softened sources in the same plane, which shine to its front.
    """

    cloth: Cloth | None = None
    direct: tuple[Emitter, ...] = ()
    front: NDArray[np.float64] | None = None
    """The way (3,) that it faces."""
    one_sided: bool = False

    def seen_at(self, points: Array, leaving: Array) -> Array:
        """See `Glow.seen_at`. Its back glows as its front does: cloth sends about as much back as through."""
        value = np.zeros(points.shape[1], np.float32)
        if self.cloth is not None:
            value += self._even(self.cloth, points)
        ahead = np.ones(len(value), bool)
        if self.front is not None:
            ahead = np.asarray(self.front.astype(np.float32) @ leaving > 0.0)
        # Seen along a ray that starts a little before the surface.
        at = np.flatnonzero(ahead)
        for source in self.direct:
            start, way = points[:, at] + np.float32(0.01) * leaving[:, at], -leaving[:, at]
            value[at] += source.shining(start, way)[0]
        if self.one_sided:
            value[~ahead] = 0.0
        return value

    def _even(self, cloth: Cloth, points: Array) -> Array:
        rows, columns = cloth.exitance.shape
        width, height = across(cloth.axis, cloth.turn)
        offset = points - column(cloth.centre)
        x = ((width / cloth.half_size[0]).astype(np.float32) @ offset + 1.0) * (0.5 * columns) - 0.5
        y = ((height / cloth.half_size[1]).astype(np.float32) @ offset + 1.0) * (0.5 * rows) - 0.5
        x, y = np.clip(x, 0.0, columns - 1.001), np.clip(y, 0.0, rows - 1.001)
        left, low = x.astype(np.int32), y.astype(np.int32)
        right_share, up_share = x - left, y - low
        luminance = cloth.luminance()
        below = luminance[low, left] * (1.0 - right_share) + luminance[low, left + 1] * right_share
        above = luminance[low + 1, left] * (1.0 - right_share) + luminance[low + 1, left + 1] * right_share
        return np.asarray(below * (1.0 - up_share) + above * up_share, np.float32)
