"""Tube: an evenly luminous cylinder: a fluorescent or LED tube."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter
from preview.light.vectors import column, dot

Array = NDArray[np.float32]


THREE_ALONG = np.array([[0.5 - 0.125**0.5, 0.5], [0.5, 0.5], [0.5 + 0.125**0.5, 0.5]], np.float32)
"""Chebyshev's three equal shares of a line: exact to the third degree."""


@dataclass(frozen=True)
class Tube(Emitter):
    """`centre` (3,) m, unit `along` (3,), `length` m, `radius` m, `candela` square to the tube.

    A Lambertian cylinder: intensity falls with the sine of the angle from its axis; lumens = pi^2 x candela.
    """

    centre: NDArray[np.float64]
    along: NDArray[np.float64]
    length: float
    radius: float
    candela: float

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`."""
        along = column(self.along)
        away = column(self.centre) + (u[0] - 0.5) * np.float32(self.length) * along - points
        sideways = np.stack(
            [
                away[1] * along[2] - away[2] * along[1],
                away[2] * along[0] - away[0] * along[2],
                away[0] * along[1] - away[1] * along[0],
            ]
        )
        sideways /= np.maximum(np.sqrt(dot(sideways, sideways)), 1e-9)
        away += (2.0 * u[1] - 1.0) * np.float32(self.radius) * sideways
        square = dot(away, away)
        distance = np.sqrt(square)
        direction = away / np.maximum(distance, 1e-6)
        sine = np.sqrt(np.maximum(1.0 - (along[:, 0] @ direction) ** 2, 0.0))
        return direction, distance, sine * (np.float32(self.candela) / np.maximum(square, 1e-8))

    @property
    def most(self) -> float:
        """See `Emitter.most`."""
        return float(np.pi * self.candela / (2.0 * self.radius * self.length))

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`."""
        return np.float32(self.length / 2.0) / distance

    def rule(self) -> Array:
        """See `Emitter.rule`."""
        return THREE_ALONG
