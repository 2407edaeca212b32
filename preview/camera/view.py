"""View: where the camera is and what its delivered frame takes in. Pinhole geometry, no exposure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class View:
    """A pinhole at `position` (3,) m with unit axes; the frame's half extents are tangents of angles.

    Frame coordinates: u to the right and v down, each 0 to 1 over the delivered frame.
    """

    position: Floats
    right: Floats
    up: Floats
    forward: Floats
    tan_half_width: float
    tan_half_height: float

    @property
    def aspect(self) -> float:
        return self.tan_half_width / self.tan_half_height

    def directions(self, uv: NDArray[np.float32]) -> NDArray[np.float32]:
        """Unit directions (n, 3) through frame coordinates (n, 2)."""
        return self.rays(uv[:, 0], uv[:, 1]).T

    def rays(self, u: NDArray[np.float32], v: NDArray[np.float32]) -> NDArray[np.float32]:
        """Unit directions (3, n) through frame coordinates u, v (n,), float32."""
        axes = np.stack([self.right, self.up, self.forward]).astype(np.float32)
        right, up, forward = axes[:, :, None]
        x = (2.0 * u - 1.0) * np.float32(self.tan_half_width)
        y = (1.0 - 2.0 * v) * np.float32(self.tan_half_height)
        rays = forward + x * right + y * up
        rays /= np.sqrt(np.einsum("ij,ij->j", rays, rays))
        return rays

    def project(self, points: Floats) -> tuple[Floats, Floats]:
        """Frame coordinates (n, 2) and depth along the axis (n,) m of points (n, 3); u, v are nan behind the camera."""
        away = points - self.position
        depth = away @ self.forward
        with np.errstate(divide="ignore", invalid="ignore"):
            scale = np.where(depth > 1e-9, 1.0 / depth, np.nan)
        u = 0.5 + 0.5 * (away @ self.right) * scale / self.tan_half_width
        v = 0.5 - 0.5 * (away @ self.up) * scale / self.tan_half_height
        return np.stack([u, v], axis=-1), depth


def look(
    position: Floats, aim: Floats, *, roll: float, tan_half_width: float, tan_half_height: float
) -> View:
    """A view from `position` towards `aim`; `roll` radians, clockwise as the operator sees it. Aim != position."""
    forward = (aim - position) / np.linalg.norm(aim - position)
    right = np.cross(forward, [0.0, 0.0, 1.0])
    if np.linalg.norm(right) < 1e-6:
        right = np.array([1.0, 0.0, 0.0])
    right /= np.linalg.norm(right)
    up = np.cross(right, forward)
    cosine, sine = np.cos(roll), np.sin(roll)
    return View(
        position,
        cosine * right - sine * up,
        cosine * up + sine * right,
        forward,
        tan_half_width,
        tan_half_height,
    )
