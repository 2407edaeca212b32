"""Gated: an emitter with a rectangle of cloth in its way; what misses the rectangle goes past it as spill."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter
from preview.light.vectors import across, column

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Gated(Emitter):
    """`source` seen past a rectangle: `centre` (3,) m, unit `axis`, `half_size` (width, height) m.

    Light that crosses the rectangle on its way is multiplied by `passes`, the rest is left alone.
    """

    source: Emitter
    centre: NDArray[np.float64]
    axis: NDArray[np.float64]
    half_size: tuple[float, float]
    passes: float

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`: the source's own light; what the rectangle lets by of it is `passing`."""
        return self.source.arrive(points, normals, u)

    def passing(self, points: Array, direction: Array, distance: Array) -> Array:
        """See `Emitter.passing`."""
        own = self._own_passing(points, direction, distance)
        before = self.source.passing(points, direction, distance)
        return own if before is None else own * before

    def _own_passing(self, points: Array, direction: Array, distance: Array) -> Array:
        axis = self.axis.astype(np.float32)
        width, height = self._across
        with np.errstate(divide="ignore", invalid="ignore"):
            away = column(self.centre) - points
            along = (axis @ away) / (axis @ direction)
            crossing = along * direction - away
            crosses = (
                (along > 0.0)
                & (along < distance)
                & (np.abs(width.astype(np.float32) @ crossing) <= self.half_size[0])
                & (np.abs(height.astype(np.float32) @ crossing) <= self.half_size[1])
            )
        return np.where(crosses, np.float32(self.passes), np.float32(1.0))

    def shining(self, points: Array, direction: Array) -> tuple[Array, Array]:
        """See `Emitter.shining`: the source's own light, as this rectangle lets it by."""
        luminance, distance = self.source.shining(points, direction)
        return luminance * self._own_passing(points, direction, distance), distance

    @cached_property
    def _across(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        return across(self.axis)

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
