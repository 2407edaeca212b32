"""Patch: a flat source with an intensity profile: a head's aperture, a panel, a lit window, a street lamp's glass.

Every element of its area sends the same share of the patch's intensity, so far away it is a point source of that
profile and near it every shadow has the penumbra of the true aperture.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.plane import crossing, within
from preview.light.light import Emitter
from preview.light.vectors import across, column, dot

Array = NDArray[np.float32]
Profile = Callable[[Array], Array]


EDGE_ON = 0.02
"""Cosine from the axis below which an aperture's luminance, endless for a wide beam, is held; a degree from edge-on."""
_QUARTER = 0.125**0.5
FOUR_IN_DISC = np.array(
    [[0.5 - _QUARTER, 0.5], [0.5 + _QUARTER, 0.5], [0.5, 0.5 - _QUARTER], [0.5, 0.5 + _QUARTER]], np.float32
)
"""Four equal shares of a disc through `disc_points`: at radius sqrt(1/2), exact to the third degree."""
_GAUSS = 0.5 / 3**0.5
FOUR_IN_SQUARE = np.array(
    [[0.5 + x, 0.5 + y] for x in (-_GAUSS, _GAUSS) for y in (-_GAUSS, _GAUSS)], np.float32
)
"""Gauss's four equal shares of a square: exact to the third degree."""


def lambertian(cosine: Array) -> Array:
    """Relative intensity of an even diffuser against the cosine from its axis."""
    return np.maximum(cosine, 0.0)


def disc_points(u: Array) -> tuple[Array, Array]:
    """Points of the unit disc from the unit square, area-preserving and strata kept whole (2, n) -> x, y (n,).

    Source: P. Shirley and K. Chiu, A Low Distortion Map Between Disk and Square, 1997.
    """
    a, b = 2.0 * u[0] - 1.0, 2.0 * u[1] - 1.0
    wide = np.abs(a) > np.abs(b)
    radius = np.where(wide, a, b)
    with np.errstate(divide="ignore", invalid="ignore"):
        angle = np.where(wide, (np.pi / 4) * (b / a), (np.pi / 2) - (np.pi / 4) * (a / b))
    angle = np.where(radius == 0.0, 0.0, angle)
    return radius * np.cos(angle), radius * np.sin(angle)


@dataclass(frozen=True)
class Patch(Emitter):
    """`centre` (3,) m, unit `axis` the way it shines, `half_size` (width, height) m: the radius twice for a disc.

    `candela`: on the axis. `profile`: relative intensity against the cosine of the angle from the axis. `turn`: how far
    width and height are turned about the axis, see `across`.
    """

    centre: NDArray[np.float64]
    axis: NDArray[np.float64]
    half_size: tuple[float, float]
    candela: float
    round: bool = True
    profile: Profile = lambertian
    turn: float = 0.0

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`."""
        x, y = disc_points(u) if self.round else (2.0 * u[0] - 1.0, 2.0 * u[1] - 1.0)
        width, height = self._across
        away = (
            column(self.centre)
            + x * column(width * self.half_size[0])
            + y * column(height * self.half_size[1])
            - points
        )
        square = dot(away, away)
        distance = np.sqrt(square)
        direction = away / np.maximum(distance, np.float32(1e-6))
        lux = self.profile(-(self.axis.astype(np.float32) @ direction)) * (
            np.float32(self.candela) / np.maximum(square, np.float32(1e-8))
        )
        return direction, distance, np.asarray(lux, np.float32)

    def shining(self, points: Array, direction: Array) -> tuple[Array, Array]:
        """See `Emitter.shining`: an aperture of intensity I(a) shows I(a) / (area cos a)."""
        width, height = self._across
        offset, distance, cosine = crossing(
            points, direction, centre=column(self.centre), normal=column(self.axis)
        )
        x, y = within(offset, width=width, height=height, half_size=self.half_size)
        inside = x * x + y * y < 1.0 if self.round else (np.abs(x) < 1.0) & (np.abs(y) < 1.0)
        meets = np.asarray(inside & np.isfinite(distance))
        luminance = self.profile(cosine) * (
            np.float32(self.candela / self._area) / np.maximum(cosine, np.float32(EDGE_ON))
        )
        return (
            np.where(meets, luminance, np.float32(0.0)).astype(np.float32, copy=False),
            np.where(meets, distance, np.float32(np.inf)),
        )

    @property
    def _area(self) -> float:
        return float((np.pi if self.round else 4.0) * self.half_size[0] * self.half_size[1])

    @cached_property
    def _across(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        return across(self.axis, self.turn)

    @property
    def most(self) -> float:
        """See `Emitter.most`; only an even diffuser's is known."""
        return float(np.pi * self.candela / self._area) if self.profile is lambertian else float("inf")

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`."""
        return np.float32(max(self.half_size)) / distance

    def rule(self) -> Array:
        """See `Emitter.rule`."""
        return FOUR_IN_DISC if self.round else FOUR_IN_SQUARE
