"""Gated: an emitter with something flat in its way: a cloth, a flag, a door's leaf, a board with holes, a tube's mouth."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.pattern import Pattern
from preview.light.light import Emitter
from preview.light.vectors import across, column

Array = NDArray[np.float32]

WIDE = 0.05
"""Half angle (radians) of a source up to which every sample is told what share of the whole source passes."""
FEW = np.array([[0.5, 0.5], [0.001, 0.5], [0.999, 0.5], [0.5, 0.001], [0.5, 0.999]])
"""Places in the middle and on the rim of a source: where these agree, none of its edge is near."""
MANY = np.array([[(i + 0.5) / 16, ((5 * i + 2) % 16 + 0.5) / 16] for i in range(16)])
"""Places all over a source, no two in one row or column."""
SCRAMBLE = 65521.0
"""What makes of a direction a number that no two samples share."""


@dataclass(frozen=True)
class Gated(Emitter):
    """`source` seen past a flat shape: `centre` (3,) m, unit `axis`, `half_size` (width, height) m.

    Light that crosses the shape on its way is multiplied by `passes`, the rest is left alone. `turn`: how far width and
    height are turned about the axis, see `across`; `round`: an ellipse, not a rectangle. `closed`: the shape is the only
    way out, and what does not cross it is stopped. `pattern`: holes in it, through which all passes.
    """

    source: Emitter
    centre: NDArray[np.float64]
    axis: NDArray[np.float64]
    half_size: tuple[float, float]
    passes: float
    turn: float = 0.0
    round: bool = False
    closed: bool = False
    pattern: Pattern | None = None

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`: the source's own light; what the shape lets by of it is `passing`."""
        return self.source.arrive(points, normals, u)

    def passing(self, points: Array, direction: Array, distance: Array) -> Array:
        """See `Emitter.passing`."""
        own = self._own_passing(points, direction, distance)
        small = np.flatnonzero(self.source.softness(distance) < np.float32(WIDE))
        if len(small):
            own[small] = self._share(points[:, small], direction[:, small])
        before = self.source.passing(points, direction, distance)
        return own if before is None else own * before

    def _share(self, points: Array, direction: Array) -> Array:
        """What passes (n,) of all that the source sends to points: an edge's penumbra with little chance.

        The places asked are others for each `direction` (3, n), so that what chance is left looks like grain.
        """
        few = self._passing_from(points, FEW)
        share = few[0]
        edge = np.flatnonzero(few.max(axis=0) > few.min(axis=0))
        if len(edge):
            scrambled = np.abs(np.take(direction, edge, axis=1)[:2].astype(np.float64)) * SCRAMBLE
            share[edge] = self._passing_from(points[:, edge], MANY, scrambled % 1.0).mean(axis=0)
        return share

    def _passing_from(
        self, points: Array, places: NDArray[np.float64], shift: NDArray[np.float64] | float = 0.0
    ) -> Array:
        """What passes (k, n) from each of some places (k, 2) of the source, moved by shifts (2, n) for each point."""
        answer = np.empty((len(places), points.shape[1]), np.float32)
        for row, place in enumerate(places):
            u = np.broadcast_to((place[:, None] + shift) % 1.0, (2, points.shape[1])).astype(np.float32)
            direction, distance, _ = self.source.arrive(points, points, u)
            answer[row] = self._own_passing(points, direction, distance)
        return answer

    def _own_passing(self, points: Array, direction: Array, distance: Array) -> Array:
        """What the shape lets by (n,) of rays to samples of the source."""
        axis = self.axis.astype(np.float32)
        width, height = self._across
        with np.errstate(divide="ignore", invalid="ignore"):
            away = column(self.centre) - points
            along = (axis @ away) / (axis @ direction)
            crossing = along * direction - away
            x = (width / self.half_size[0]).astype(np.float32) @ crossing
            y = (height / self.half_size[1]).astype(np.float32) @ crossing
            inside = x * x + y * y <= 1.0 if self.round else (np.abs(x) <= 1.0) & (np.abs(y) <= 1.0)
            crosses = (along > 0.0) & (along < distance) & inside
        passes = np.full(len(distance), self.passes, np.float32)
        if self.pattern is not None:
            met = np.flatnonzero(crosses)
            passes[met[self.pattern.holes(x[met], y[met])]] = 1.0
        return np.where(crosses, passes, np.float32(0.0 if self.closed else 1.0))

    def shining(self, points: Array, direction: Array) -> tuple[Array, Array]:
        """See `Emitter.shining`: the source's own light, as this shape lets it by."""
        luminance, distance = self.source.shining(points, direction)
        return luminance * self._own_passing(points, direction, distance), distance

    @cached_property
    def _across(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        return across(self.axis, self.turn)

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
