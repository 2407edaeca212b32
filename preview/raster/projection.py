"""Projection: from where and through which window triangles are drawn, in numbers that GL and numpy share."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.camera.view import View
from preview.light.vectors import column

Array = NDArray[np.float32]
Floats = NDArray[np.float64]

NEAR = 0.1
"""Metres before the camera from which things are drawn."""


@dataclass(frozen=True)
class Projection:
    """Drawn from `origin` (3,) m along the last of `axes` (3, 3): unit rows right, up, forward.

    low, high (2,): the window right and up. From a point, the window is in tangents from the forward axis, `far` is None
    and nothing is too far; in parallel, it is in metres and `far` is set. `near`, `far` m along the forward axis.
    """

    origin: Floats
    axes: Floats
    low: Floats
    high: Floats
    near: float
    far: float | None = None

    @property
    def to_eye(self) -> Floats:
        """(4, 4): world to GL's eye coordinates, which look along -z."""
        turn = self.axes * np.array([1.0, 1.0, -1.0])[:, None]
        matrix = np.eye(4)
        matrix[:3, :3] = turn
        matrix[:3, 3] = -turn @ self.origin
        return matrix

    @property
    def to_clip(self) -> Floats:
        """(4, 4): GL's eye coordinates to its clip coordinates."""
        size, middle = self.high - self.low, self.high + self.low
        matrix = np.zeros((4, 4))
        matrix[0, 0], matrix[1, 1] = 2.0 / size
        if self.far is None:
            matrix[0, 2], matrix[1, 2] = middle / size
            matrix[2, 2], matrix[2, 3], matrix[3, 2] = -1.0, -2.0 * self.near, -1.0
        else:
            matrix[0, 3], matrix[1, 3] = -middle / size
            reach = self.far - self.near
            matrix[2, 2], matrix[2, 3], matrix[3, 3] = -2.0 / reach, -(self.far + self.near) / reach, 1.0
        return matrix

    def along_axes(self, points: Array) -> Array:
        """Points (3, n) as metres right, up and forward of the origin (3, n)."""
        return np.asarray(self.axes.astype(np.float32) @ (points - column(self.origin)), np.float32)

    def closeness(self, depth: Array) -> Array:
        """Of window depths 0 to 1: how close, in a measure that is linear across the drawing of a plane.

        From a point, the reciprocal of the metres forward, 0 for nothing; in parallel, less the metres forward, -inf for
        nothing.
        """
        if self.far is None:
            return np.asarray((np.float32(1.0) - depth) * np.float32(1.0 / self.near), np.float32)
        forward = depth * np.float32(self.far - self.near) + np.float32(self.near)
        return np.where(depth < 1.0, -forward, np.float32(-np.inf))

    def misses(self, boxes: Floats) -> NDArray[np.bool_]:
        """Whether boxes (n, 2, 3), low and high corners in the world, lie outside the window for certain (n,)."""
        corners = np.stack(
            [boxes[:, [i, j, k], [0, 1, 2]] for i in (0, 1) for j in (0, 1) for k in (0, 1)], axis=1
        )
        away = (corners - self.origin) @ self.axes.T
        forward = away[..., 2]
        width = forward if self.far is None else np.ones_like(forward)
        outside = [forward < self.near]
        for axis in (0, 1):
            outside.append(away[..., axis] < self.low[axis] * width)
            outside.append(away[..., axis] > self.high[axis] * width)
        return np.asarray(np.any([side.all(axis=1) for side in outside], axis=0), bool)


def through(view: View, *, width: int, height: int, u: float, v: float) -> Projection:
    """The camera's, moved so that the middle of GL's pixel is the place u, v (0 to 1, right and down) within it."""
    half = np.array([view.tan_half_width, view.tan_half_height])
    shift = 2.0 * half * np.array([u - 0.5, 0.5 - v]) / np.array([width, height])
    axes = np.stack([view.right, view.up, view.forward])
    return Projection(view.position, axes, -half + shift, half + shift, NEAR)
