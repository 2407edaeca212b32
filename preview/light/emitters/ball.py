"""Ball: an evenly luminous sphere: a bulb, a paper lantern, a balloon, a candle flame seen as round."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.distant import FOUR_ROUND
from preview.light.light import Emitter
from preview.light.vectors import around, column, dot

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Ball(Emitter):
    """`centre` (3,) m, `radius` m, `luminance` cd/m2."""

    centre: NDArray[np.float64]
    radius: float
    luminance: float

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`. Directions even over the solid angle of the ball; nothing from inside it.

        Source: P. Shirley, C. Wang and K. Zimmerman, Monte Carlo Techniques for Direct Lighting, 1996, section 3.
        """
        away = column(self.centre) - points
        square = np.maximum(dot(away, away), np.float32(1e-12))
        reach = np.sqrt(square)
        sine_square = np.minimum(np.float32(self.radius**2) / square, np.float32(1.0))
        # 1 - cos of the half angle, kept exact for a ball that looks small.
        height = sine_square / (1.0 + np.sqrt(1.0 - sine_square))
        depth = u[0] * height
        sine = np.sqrt(np.maximum(depth * (2.0 - depth), 0.0))
        direction = around((away / reach).astype(np.float32, copy=False), sine, 1.0 - depth, u[1])
        half_chord = np.sqrt(np.maximum(np.float32(self.radius**2) - square * sine * sine, 0.0))
        lux = np.float32(2.0 * np.pi * self.luminance) * height
        return (
            direction,
            reach * (1.0 - depth) - half_chord,
            np.where(sine_square < 1.0, lux, np.float32(0.0)),
        )

    def shining(self, points: Array, direction: Array) -> tuple[Array, Array]:
        """See `Emitter.shining`."""
        away = column(self.centre) - points
        along = dot(away, direction)
        aside = away - along * direction
        deep = np.float32(self.radius**2) - dot(aside, aside)
        distance = along - np.sqrt(np.maximum(deep, 0.0))
        meets = (deep > 0.0) & (distance > 0.0)
        return (
            np.where(meets, np.float32(self.luminance), np.float32(0.0)),
            np.where(meets, distance, np.float32(np.inf)),
        )

    @property
    def most(self) -> float:
        """See `Emitter.most`."""
        return float(np.pi * self.luminance)

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`."""
        return np.float32(self.radius) / distance

    def rule(self) -> Array:
        """See `Emitter.rule`."""
        return FOUR_ROUND
