"""Star: a closed surface that every ray from the middle of a head meets once, drawn smoothly through landmarks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import RBFInterpolator
from scipy.ndimage import map_coordinates, spline_filter

from preview.build.mesh import Floats
from preview.build.sculpt.shapes import Triple

STEPS = 240
"""Of elevation, from straight down to straight up; twice as many of azimuth."""
MARGIN = 8


@dataclass(frozen=True)
class Star:
    """`table`: spline coefficients of radius and slope over elevation and azimuth, with a margin all round."""

    centre: Floats
    radius: Floats
    slope: Floats

    def __call__(self, points: Floats) -> Floats:
        """Distance to first order (n,), negative inside."""
        local = points - self.centre
        reach = np.linalg.norm(local, axis=1) + 1e-9
        up = np.arcsin(np.clip(local[:, 2] / reach, -1.0, 1.0))
        round_ = np.arctan2(local[:, 0], local[:, 1])
        at = np.stack([(up / np.pi + 0.5) * STEPS, (round_ / (2 * np.pi) + 0.5) * 2 * STEPS + MARGIN])
        radius = map_coordinates(self.radius, at, order=3, prefilter=False, mode="nearest")
        slope = map_coordinates(self.slope, at, order=1, mode="nearest")
        distance: Floats = (reach - radius) * slope
        return distance


def star(points: Floats, centre: Triple, *, smoothing: float) -> Star:
    """Through points (n, 3), by thin-plate splines of the radius over the sphere of directions."""
    local = points - np.asarray(centre)
    reach = np.linalg.norm(local, axis=1)
    spline = RBFInterpolator(local / reach[:, None], reach, kernel="cubic", smoothing=smoothing, degree=1)
    up = (np.arange(STEPS + 1) / STEPS - 0.5) * np.pi
    round_ = ((np.arange(2 * STEPS + 2 * MARGIN + 1) - MARGIN) / (2 * STEPS) - 0.5) * 2 * np.pi
    e, a = np.meshgrid(up, round_, indexing="ij")
    ways = np.stack([np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e)], axis=-1)
    radius = spline(ways.reshape(-1, 3)).reshape(e.shape)
    by_up = np.gradient(radius, up, axis=0)
    by_round = np.gradient(radius, round_, axis=1) / np.maximum(np.cos(e), 0.05)
    slope = 1.0 / np.sqrt(1.0 + (by_up**2 + by_round**2) / radius**2)
    return Star(np.asarray(centre, dtype=float), spline_filter(radius, order=3), slope)
