"""Flame glow: what the camera sees of a fire: blobs of soot seen through each other, dull at edges and tips."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

import numpy as np
from numpy.typing import NDArray

from preview.build.fire import flame_cores
from preview.light.light import Glow
from preview.light.vectors import column

Array = NDArray[np.float32]
Floats = NDArray[np.float64]

LEAST = 0.02
"""Of the mean luminance, at the least: a flame's edge."""


@dataclass(frozen=True)
class FlameGlow(Glow):
    """`luminance` is the mean over the face of the flames; `foot` (3,) m, `height` m."""

    foot: Floats = field(default_factory=lambda: np.zeros(3))
    height: float = 1.0

    def seen_at(self, points: Array, leaving: Array) -> Array:
        """See `Glow.seen_at`: along the line that is looked along, the sum over the blobs near it."""
        local = (points - column(self.foot)) / np.float32(self.height)
        return np.asarray(
            np.float32(self.luminance) * np.maximum(_along(local, leaving) / _mean(), np.float32(LEAST)),
            np.float32,
        )


def _along(points: Array, way: Array) -> Array:
    """Relative luminance (n,) of lines through points (3, n) along unit ways (3, n)."""
    middles, widths, strengths = flame_cores()
    total = np.zeros(points.shape[1], np.float32)
    for middle, width, strength in zip(middles, widths, strengths, strict=True):
        away = points - column(middle)
        along = np.einsum("ij,ij->j", away, way)
        square = np.einsum("ij,ij->j", away, away) - along * along
        total += np.float32(strength) * np.exp(-square / np.float32(width * width))
    return total


@cache
def _mean() -> np.float32:
    """Of relative luminance over the face of flames one metre high, seen level: by lines on a grid, from three sides."""
    from preview.build.fire import fire_parts
    from preview.trace.rays import Rays

    _, glow = fire_parts("", np.zeros(3), 1.0)
    rays = Rays(np.asarray(glow.vertices, np.float32), glow.faces)
    across, up = np.meshgrid(np.linspace(-0.45, 0.45, 91), np.linspace(0.0, 1.02, 103))
    found = []
    for azimuth in np.radians([10.0, 70.0, 130.0]):
        way = np.array([np.sin(azimuth), np.cos(azimuth), 0.0])
        side = np.array([np.cos(azimuth), -np.sin(azimuth), 0.0])
        origin = across.reshape(-1, 1) * side + up.reshape(-1, 1) * [0.0, 0.0, 1.0] - 2.0 * way
        ways = np.broadcast_to(way, origin.shape).astype(np.float32)
        starts = origin.astype(np.float32)
        hit = rays.hit(starts, ways)
        met = hit.face >= 0
        points = starts[met] + ways[met] * hit.distance[met, None]
        found.append(_along(points.T, ways[met].T))
    return np.float32(np.concatenate(found).mean())
