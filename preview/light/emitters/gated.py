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
Mask = NDArray[np.bool_]

WIDE = 0.05
"""Half angle (radians) of a source up to which every sample is told what share of the whole source passes."""
MANY = np.array([[(i + 0.5) / 16, ((5 * i + 2) % 16 + 0.5) / 16] for i in range(16)])
"""Places all over a source, no two in one row or column."""
SCRAMBLE = 65521.0
"""What makes of a direction a number that no two samples share."""


@dataclass(frozen=True)
class _Crossed:
    """Where rays cross a shape's plane: x, y (n,) in its half sizes; `along` (n,) m from the point; `cosine` (n,) to its
    axis; `between` (n,): whether it lies between point and source."""

    x: Array
    y: Array
    along: Array
    cosine: Array
    between: Mask


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
        crossed = self._crossed(points, direction, distance)
        own = self._let_by(crossed)
        softness = self.source.softness(distance)
        small = np.flatnonzero((softness < np.float32(WIDE)) & self._near_edge(crossed, softness))
        if len(small):
            own[small] = self._share(points[:, small], direction[:, small])
        before = self.source.passing(points, direction, distance)
        return own if before is None else own * before

    def _share(self, points: Array, direction: Array) -> Array:
        """What passes (n,) of all that the source sends to points: an edge's penumbra with little chance.

        The places asked are others for each `direction` (3, n), so that what chance is left looks like grain.
        """
        scrambled = np.abs(direction[:2].astype(np.float64)) * SCRAMBLE
        return np.asarray(self._passing_from(points, MANY, scrambled % 1.0).mean(axis=0), np.float32)

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
        return self._let_by(self._crossed(points, direction, distance))

    def _crossed(self, points: Array, direction: Array, distance: Array) -> _Crossed:
        axis = self.axis.astype(np.float32)
        width, height = self._across
        with np.errstate(divide="ignore", invalid="ignore"):
            away = column(self.centre) - points
            cosine = axis @ direction
            along = (axis @ away) / cosine
            crossing = along * direction - away
            x = (width / self.half_size[0]).astype(np.float32) @ crossing
            y = (height / self.half_size[1]).astype(np.float32) @ crossing
        return _Crossed(x, y, along, np.abs(cosine), (along > 0.0) & (along < distance))

    def _let_by(self, crossed: _Crossed) -> Array:
        """What the shape lets by (n,)."""
        x, y = crossed.x, crossed.y
        with np.errstate(invalid="ignore"):
            inside = x * x + y * y <= 1.0 if self.round else (np.abs(x) <= 1.0) & (np.abs(y) <= 1.0)
        crosses = crossed.between & inside
        passes = np.full(len(x), self.passes, np.float32)
        if self.pattern is not None:
            met = np.flatnonzero(crosses)
            passes[met[self.pattern.holes(x[met], y[met])]] = 1.0
        return np.where(crosses, passes, np.float32(0.0 if self.closed else 1.0))

    def _near_edge(self, crossed: _Crossed, softness: Array) -> Mask:
        """Whether (n,) rays to other places of a source of this half angle may fare otherwise at the shape."""
        with np.errstate(divide="ignore", invalid="ignore"):
            # The source is as wide, seen on the shape's plane; this sample may lie on its rim.
            margin = 2.0 * softness * crossed.along / crossed.cosine
            wide, high = margin / np.float32(self.half_size[0]), margin / np.float32(self.half_size[1])
            x, y = np.abs(crossed.x), np.abs(crossed.y)
            if self.round:
                radius, most = np.hypot(x, y), np.maximum(wide, high)
                within, beyond = radius < 1.0 - most, radius > 1.0 + most
            else:
                within, beyond = (x < 1.0 - wide) & (y < 1.0 - high), (x > 1.0 + wide) | (y > 1.0 + high)
            behind = crossed.along < -margin
        if self.pattern is not None:
            within = np.zeros_like(within)
        return ~(within | beyond | behind)

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
