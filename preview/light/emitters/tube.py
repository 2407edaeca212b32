"""Tube: an evenly luminous cylinder: a fluorescent or LED tube."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.plane import crossing
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
        sideways = _square_to(away, along)
        away += (2.0 * u[1] - 1.0) * np.float32(self.radius) * sideways
        square = dot(away, away)
        distance = np.sqrt(square)
        direction = away / np.maximum(distance, 1e-6)
        sine = np.sqrt(np.maximum(1.0 - (along[:, 0] @ direction) ** 2, 0.0))
        return direction, distance, sine * (np.float32(self.candela) / np.maximum(square, 1e-8))

    def shining(self, points: Array, direction: Array) -> tuple[Array, Array]:
        """See `Emitter.shining`: the flat strip that the tube shows each point, as in `arrive`."""
        centre, along = column(self.centre), column(self.along)
        sideways = _square_to(centre - points, along)
        towards = _cross(sideways, np.broadcast_to(along, sideways.shape))
        towards *= np.where(dot(towards, centre - points) > 0.0, np.float32(-1.0), np.float32(1.0))
        offset, distance, cosine = crossing(points, direction, centre=centre, normal=towards)
        meets = (
            (np.abs((along.T @ offset)[0]) < np.float32(self.length / 2.0))
            & (np.abs(dot(sideways, offset)) < np.float32(self.radius))
            & np.isfinite(distance)
        )
        # Square to the tube sine and cosine are one; they part only where a ray meets the strip aslant across.
        sine = np.sqrt(np.maximum(1.0 - (along.T @ direction)[0] ** 2, 0.0))
        luminance = np.float32(self.candela / (2.0 * self.radius * self.length)) * sine
        luminance /= np.maximum(cosine, np.float32(1e-6))
        return np.where(meets, luminance, np.float32(0.0)), np.where(meets, distance, np.float32(np.inf))

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


def _square_to(away: Array, along: Array) -> Array:
    """Unit vectors (3, n) across a tube `along` (3, 1) as it is seen `away` (3, n) from points."""
    sideways = _cross(away, np.broadcast_to(along, away.shape))
    sideways /= np.maximum(np.sqrt(dot(sideways, sideways)), np.float32(1e-9))
    return sideways


def _cross(first: Array, second: Array) -> Array:
    return np.stack(
        [
            first[1] * second[2] - first[2] * second[1],
            first[2] * second[0] - first[0] * second[2],
            first[0] * second[1] - first[1] * second[0],
        ]
    )
