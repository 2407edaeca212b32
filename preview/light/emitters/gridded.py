"""Gridded: a source with a grid of deep cells on its front: the further from its axis, the less of it is seen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter
from preview.light.vectors import dot

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Gridded(Emitter):
    """`source` behind a grid that faces along unit `axis`: all passes straight on, nothing from the angle `cut_off` on.

    Between, the share falls in a straight line with the angle. `cut_off` radians, from the axis.
    """

    source: Emitter
    axis: NDArray[np.float64]
    cut_off: float

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`."""
        direction, distance, lux = self.source.arrive(points, normals, u)
        return direction, distance, lux * self._share(direction)

    def passing(self, points: Array, direction: Array, distance: Array) -> Array | None:
        """See `Emitter.passing`."""
        return self.source.passing(points, direction, distance)

    def shining(self, points: Array, direction: Array) -> tuple[Array, Array]:
        """See `Emitter.shining`."""
        luminance, distance = self.source.shining(points, direction)
        return luminance * self._share(direction), distance

    def _share(self, direction: Array) -> Array:
        apart = direction + self.axis.astype(np.float32)[:, None]
        half_chord = np.float32(0.5) * np.sqrt(dot(apart, apart))
        angle = 2.0 * np.arcsin(np.minimum(half_chord, np.float32(1.0)))
        return np.asarray(np.maximum(1.0 - angle / np.float32(self.cut_off), 0.0), np.float32)

    @property
    def most(self) -> float:
        """See `Emitter.most`."""
        return self.source.most

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`."""
        return self.source.softness(distance)

    def rule(self) -> Array:
        """See `Emitter.rule`."""
        return self.source.rule()
