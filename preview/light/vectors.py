"""Vectors: many at once, one row an axis, so that numpy works along the long side: (3, n), float32."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]


def dot(first: Array, second: Array) -> Array:
    """(n,): the products of vectors (3, n)."""
    product: Array = np.einsum("ij,ij->j", first, second)
    return product


def column(vector: NDArray[np.float64]) -> Array:
    """One vector (3,) as (3, 1) float32, to stand beside many."""
    return vector.astype(np.float32)[:, None]


def across(axis: NDArray[np.float64], turn: float = 0.0) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Unit (width, height) directions (3,) square to the unit `axis`.

    Width is level, to the right as one looks along the axis (east where the axis is upright), before both are turned
    about it by `turn` radians, clockwise as one looks along it.
    """
    width = np.cross(axis, [0.0, 0.0, 1.0])
    length = np.linalg.norm(width)
    width = np.array([1.0, 0.0, 0.0]) if length < 1e-6 else width / length
    height = np.cross(width, axis)
    if turn == 0.0:
        return width, height
    return np.cos(turn) * width - np.sin(turn) * height, np.cos(turn) * height + np.sin(turn) * width


def basis(axis: Array) -> tuple[Array, Array]:
    """Two unit vectors (3, n) square to unit axes (3, n) and to each other.

    Source: T. Duff et al., Building an Orthonormal Basis, Revisited, JCGT 6(1), 2017.
    """
    x, y, z = axis
    sign = np.where(z >= 0.0, np.float32(1.0), np.float32(-1.0))
    a = -1.0 / (sign + z)
    b = x * y * a
    return np.stack([1.0 + sign * x * x * a, sign * b, -sign * x]), np.stack([b, sign + y * y * a, -y])


def around(axis: Array, sine: Array, cosine: Array, turn: Array) -> Array:
    """Unit vectors (3, n) at an angle (its sine and cosine, (n,)) from unit axes (3, n or 1); `turn` 0 to 1 round them."""
    first, second = basis(axis)
    angle = np.float32(2.0 * np.pi) * turn
    answer = (sine * np.cos(angle)) * first
    answer += (sine * np.sin(angle)) * second
    answer += cosine * axis
    return answer
