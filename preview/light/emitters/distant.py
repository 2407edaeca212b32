"""Distant: a source so far away that its direction and lux are the same all over the set: the moon."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter
from preview.light.vectors import around, column, dot

Array = NDArray[np.float32]

FOUR_ROUND = np.array([[0.5, 0.0], [0.5, 0.25], [0.5, 0.5], [0.5, 0.75]], np.float32)
"""Half of the solid angle lies inside the ring that these four directions stand on: exact to the third degree."""


@dataclass(frozen=True)
class Distant(Emitter):
    """`towards` (3,): unit direction from the set to the source. `lux`: on a surface that faces it, unshadowed.

    `half_angle` radians: half its apparent diameter; it is evenly luminous over that cap. `visible`: whether the
    camera sees it.
    """

    towards: NDArray[np.float64]
    lux: float
    half_angle: float
    visible: bool = False

    @property
    def luminance(self) -> float:
        """cd/m2 of its disc: the lux over the disc's projected solid angle."""
        return float(self.lux / (np.pi * np.sin(self.half_angle) ** 2))

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`."""
        count = points.shape[1]
        cap = 1.0 - np.cos(self.half_angle)
        depth = u[0] * np.float32(cap)
        sine = np.sqrt(np.maximum(depth * (2.0 - depth), 0.0))
        direction = around(column(self.towards), sine, 1.0 - depth, u[1])
        # The cap's luminance is lux / (pi sin^2); its solid angle 2 pi cap.
        lux = np.float32(self.lux * 2.0 * cap / np.sin(self.half_angle) ** 2)
        return direction, np.full(count, np.inf, np.float32), np.full(count, lux, np.float32)

    def shining(self, points: Array, direction: Array) -> tuple[Array, Array]:
        """See `Emitter.shining`."""
        inside = self._off_axis(direction) <= np.float32(self.half_angle)
        seen = np.where(inside, np.float32(self.luminance), np.float32(0.0))
        return seen, np.full(direction.shape[1], np.inf, np.float32)

    def background(self, directions: Array, *, dip: float = 0.0, pixel: float = 0.0) -> Array | None:
        """cd/m2 (n,) of the disc along unit `directions` (3, n) that meet nothing; None where it is not to be seen.

        Its edge is soft over `pixel` radians. A disc smaller than a pixel is drawn a pixel wide, and dimmer for it.
        """
        if not self.visible:
            return None
        drawn = max(self.half_angle, pixel / 2.0)
        # A cone's frustum of the same volume as the disc.
        top = np.float32(self.luminance * self.half_angle**2 / (drawn**2 + pixel**2 / 12.0))
        off = self._off_axis(directions)
        if pixel == 0.0:
            return np.where(off <= np.float32(drawn), top, np.float32(0.0))
        return top * np.clip((np.float32(drawn) - off) / np.float32(pixel) + np.float32(0.5), 0.0, 1.0)

    def _off_axis(self, directions: Array) -> Array:
        """Radians (n,) from its middle; by the chord, since the cosine of a small angle tells little in float32."""
        apart = directions - column(self.towards)
        half_chord = np.float32(0.5) * np.sqrt(dot(apart, apart))
        return np.asarray(2.0 * np.arcsin(np.minimum(half_chord, 1.0)), np.float32)

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`."""
        return np.full(len(distance), self.half_angle, np.float32)

    def rule(self) -> Array:
        """See `Emitter.rule`."""
        return FOUR_ROUND
