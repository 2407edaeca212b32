"""Webbed: a luminaire that shines as its photometric file says, from the luminous opening that the file gives it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.patch import EDGE_ON, FOUR_IN_DISC, FOUR_IN_SQUARE, disc_points
from preview.light.light import Emitter, Glow
from preview.light.photometry.opening import FLAT, SMALLEST, Opening
from preview.light.photometry.web import Web
from preview.light.vectors import basis, column, dot

Array = NDArray[np.float32]

OF_A_POINT = 0.02
"""Diameter, metres, of an opening that its file calls a point: a lamp's bare source."""
STRAIGHT = 2.0 / 3.0**0.5
"""How much longer than a straight side an ellipsoid is that throws a penumbra as wide: by the standard deviations."""


@dataclass(frozen=True)
class Webbed(Emitter):
    """`axes` (3, 3): rows are the world directions of the web's horizontal 0, horizontal 90 and ahead; `centre` (3,) m.

    Every element of the opening sends the same share of the web's intensity, times `scale`; so far away it is the file,
    and near it shadows have the penumbra of the opening. A flat opening shines to both sides, as the file says. A solid
    one is, from each point, the flat section of it that faces there: of an ellipsoid that has its very outline; a box
    and a long cylinder are a rectangle across, a short cylinder an ellipsoid of as wide a penumbra.
    """

    web: Web
    centre: NDArray[np.float64]
    axes: NDArray[np.float64]
    opening: Opening
    scale: float = 1.0

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`."""
        x, y = disc_points(u) if self._round else (2.0 * u[0] - 1.0, 2.0 * u[1] - 1.0)
        first, second = self._section(points)
        away = column(self.centre) + x * first + y * second - points
        square = dot(away, away)
        distance = np.sqrt(square)
        direction = away / np.maximum(distance, np.float32(1e-6))
        lux = self._intensity(-direction) / np.maximum(square, np.float32(1e-8))
        return direction, distance, np.asarray(lux, np.float32)

    def shining(self, points: Array, direction: Array) -> tuple[Array, Array]:
        """See `Emitter.shining`: a section of intensity I shows I / (area cos), from whichever side."""
        first, second = (np.broadcast_to(half, points.shape) for half in self._section(points))
        normal = _cross(first, second)
        square = np.maximum(dot(normal, normal), np.float32(1e-30))
        towards = dot(normal, direction)
        away = column(self.centre) - points
        with np.errstate(divide="ignore", invalid="ignore"):
            distance = dot(normal, away) / towards
        meets = (distance > 0.0) & np.isfinite(distance)
        offset = np.where(meets, distance, np.float32(0.0)) * direction - away
        x, y = dot(offset, _cross(second, normal)) / square, dot(offset, _cross(normal, first)) / square
        meets &= x * x + y * y < 1.0 if self._round else (np.abs(x) < 1.0) & (np.abs(y) < 1.0)
        size = np.sqrt(square)
        seen = np.maximum(np.abs(towards) / size, np.float32(EDGE_ON)) * size * np.float32(self._unit_area)
        luminance = self._intensity(-direction) / seen
        return (
            np.where(meets, luminance, np.float32(0.0)).astype(np.float32, copy=False),
            np.where(meets, distance, np.float32(np.inf)).astype(np.float32, copy=False),
        )

    def luminance(self, leaving: Array) -> Array:
        """cd/m2 (n,) that the whole opening shows from afar towards unit directions `leaving` (3, n) it."""
        far = column(self.centre) + np.float32(1e3) * leaving
        first, second = (np.broadcast_to(half, leaving.shape) for half in self._section(far))
        normal = _cross(first, second)
        size = np.sqrt(dot(normal, normal))
        cosine = np.abs(dot(normal, leaving)) / size
        seen = np.maximum(cosine, np.float32(EDGE_ON)) * size * np.float32(self._unit_area)
        return np.asarray(self._intensity(leaving) / seen, np.float32)

    def _intensity(self, leaving: Array) -> Array:
        return self.web.intensity(self.axes.astype(np.float32) @ leaving) * np.float32(self.scale)

    @cached_property
    def half_size(self) -> NDArray[np.float64]:
        """Half of the size (3,) along the web's axes; of a short cylinder's straight side, as of an ellipsoid's."""
        if self.opening.shape == "point":
            return np.full(3, OF_A_POINT / 2.0)
        size = np.maximum(np.array(self.opening.size), SMALLEST)
        if self.opening.shape == "cylinder" and self._round:
            size[self.opening.straight] *= STRAIGHT
        return size / 2.0

    @cached_property
    def _round(self) -> bool:
        """Whether a section is an ellipse, not a parallelogram."""
        size, straight = self.opening.size, self.opening.straight
        if self.opening.shape == "cylinder":
            return size[straight] < max(side for axis, side in enumerate(size) if axis != straight)
        return self.opening.shape in ("point", "ellipse", "ellipsoid")

    @property
    def _unit_area(self) -> float:
        return float(np.pi) if self._round else 4.0

    @cached_property
    def _flat(self) -> tuple[Array, Array] | None:
        """The half sides (3, 1) of a flat opening, the same from everywhere."""
        if self.opening.shape not in FLAT:
            return None
        first, second = (axis for axis in range(3) if axis != self.opening.faces)
        return column(self.half_size[first] * self.axes[first]), column(
            self.half_size[second] * self.axes[second]
        )

    def _section(self, points: Array) -> tuple[Array, Array]:
        """Half sides (3, n or 1) of the section of the opening that points (3, n) see."""
        if self._flat is not None:
            return self._flat
        half = self.half_size.astype(np.float32)[:, None]
        axes = self.axes.astype(np.float32)
        # Where the opening is a unit ball, its section is square to the way there.
        ahead = np.asarray((axes @ (points - column(self.centre))) / half, np.float32)
        ahead /= np.maximum(np.sqrt(dot(ahead, ahead)), np.float32(1e-9))
        if self._round:
            first, second = basis(ahead)
        else:
            # The sides of a parallelogram lie along the longest side of the opening, and across it.
            longest = np.eye(3, dtype=np.float32)[:, [int(np.argmax(self.half_size))]]
            first = _cross(np.broadcast_to(longest, ahead.shape), ahead)
            first += np.float32(1e-6) * np.roll(longest, 1, axis=0)
            first /= np.sqrt(dot(first, first))
            second = _cross(ahead, first)
        turned = axes.T
        return turned @ (half * first), turned @ (half * second)

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`."""
        return np.float32(self.half_size.max()) / distance

    def rule(self) -> Array:
        """See `Emitter.rule`."""
        return FOUR_IN_DISC if self._round else FOUR_IN_SQUARE


@dataclass(frozen=True)
class WebGlow(Glow):
    """What the camera sees of a luminaire's opening: as bright as its intensity that way makes it."""

    source: Webbed | None = None

    def seen(self, leaving: Array) -> Array:
        """See `Glow.seen`."""
        assert self.source is not None
        return self.source.luminance(leaving)


def _cross(first: Array, second: Array) -> Array:
    return np.stack(
        [
            first[1] * second[2] - first[2] * second[1],
            first[2] * second[0] - first[0] * second[2],
            first[0] * second[1] - first[1] * second[0],
        ]
    )
