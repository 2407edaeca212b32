"""Dome: the even glow of the sky above the horizon."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.distant import FOUR_ROUND
from preview.light.light import Emitter
from preview.light.vectors import around

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Dome(Emitter):
    """`lux` on open level ground: a luminance of lux / pi from every direction above the horizon."""

    lux: float

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`. Directions follow the cosine from each normal, so open points are free of noise."""
        cosine = np.sqrt(np.maximum(1.0 - u[0], 1e-8))
        direction = around(normals, np.sqrt(u[0]), cosine, u[1])
        lux = np.where(direction[2] > 0.0, np.float32(self.lux) / cosine, np.float32(0.0))
        return direction, np.full(len(lux), np.inf, np.float32), lux

    def background(self, directions: Array, *, dip: float = 0.0) -> Array:
        """cd/m2 (n,) along unit `directions` (3, n) that meet nothing; none from more than `dip` (a sine) below level."""
        return np.where(directions[2] > -dip, np.float32(self.lux / np.pi), np.float32(0.0))

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`."""
        return np.full(len(distance), np.pi / 2, np.float32)

    def rule(self) -> Array:
        """See `Emitter.rule`."""
        return FOUR_ROUND
