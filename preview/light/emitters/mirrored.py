"""Mirrored: a source as a flat board throws it back: the light that goes through it, seen in it from its front."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter
from preview.light.vectors import column

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Mirrored(Emitter):
    """`behind`: an emitter in the plane through `centre` (3,) m that shines away from unit `normal`.

    What it would send to the mirror image of a point, it sends to the point itself.
    """

    behind: Emitter
    centre: NDArray[np.float64]
    normal: NDArray[np.float64]

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`."""
        direction, distance, lux = self.behind.arrive(self._place(points), self._way(normals), u)
        return self._way(direction), distance, lux

    def passing(self, points: Array, direction: Array, distance: Array) -> Array | None:
        """See `Emitter.passing`."""
        return self.behind.passing(self._place(points), self._way(direction), distance)

    def shining(self, points: Array, direction: Array) -> tuple[Array, Array]:
        """See `Emitter.shining`."""
        return self.behind.shining(self._place(points), self._way(direction))

    def _place(self, points: Array) -> Array:
        normal = column(self.normal)
        return points - 2.0 * normal * (normal.T @ (points - column(self.centre)))

    def _way(self, ways: Array) -> Array:
        normal = column(self.normal)
        return ways - 2.0 * normal * (normal.T @ ways)

    @property
    def most(self) -> float:
        """See `Emitter.most`."""
        return self.behind.most

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`."""
        return self.behind.softness(distance)

    def rule(self) -> Array:
        """See `Emitter.rule`."""
        return self.behind.rule()
