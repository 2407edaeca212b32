"""Distant: a source so far away that its direction and lux are the same all over the set: the moon."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter
from preview.light.vectors import around, column

Array = NDArray[np.float32]

FOUR_ROUND = np.array([[0.5, 0.0], [0.5, 0.25], [0.5, 0.5], [0.5, 0.75]], np.float32)
"""Half of the solid angle lies inside the ring that these four directions stand on: exact to the third degree."""


@dataclass(frozen=True)
class Distant(Emitter):
    """`towards` (3,): unit direction from the set to the source. `lux`: on a surface that faces it, unshadowed.

    `half_angle` radians: half its apparent diameter; it is evenly luminous over that cap.
    """

    towards: NDArray[np.float64]
    lux: float
    half_angle: float

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`."""
        count = points.shape[1]
        cap = 1.0 - np.cos(self.half_angle)
        depth = u[0] * np.float32(cap)
        sine = np.sqrt(np.maximum(depth * (2.0 - depth), 0.0))
        direction = around(column(self.towards), sine, 1.0 - depth, u[1])
        # The cap's luminance is lux / (pi sin^2); its solid angle 2 pi cap.
        lux = np.float32(self.lux * 2.0 * cap / np.sin(self.half_angle) ** 2)
        return direction, np.full(count, np.inf, np.float32), np.full(count, lux, np.float32)

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`."""
        return np.full(len(distance), self.half_angle, np.float32)

    def rule(self) -> Array:
        """See `Emitter.rule`."""
        return FOUR_ROUND
