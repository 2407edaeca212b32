"""Distant: a source so far away that its direction and lux are the same all over the set: the moon."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]


FOUR_ROUND = np.array([[0.5, 0.0], [0.5, 0.25], [0.5, 0.5], [0.5, 0.75]], np.float32)
"""Half of the solid angle lies inside the ring that these four directions stand on: exact to the third degree."""


def basis(axis: Array) -> tuple[Array, Array]:
    """Two unit directions (n, 3) square to unit axes (n, 3) and to each other.

    Source: T. Duff et al., Building an Orthonormal Basis, Revisited, JCGT 6(1), 2017.
    """
    x, y, z = axis[:, 0], axis[:, 1], axis[:, 2]
    sign = np.where(z >= 0.0, np.float32(1.0), np.float32(-1.0))
    a = -1.0 / (sign + z)
    b = x * y * a
    first = np.stack([1.0 + sign * x * x * a, sign * b, -sign * x], axis=1)
    second = np.stack([b, sign + y * y * a, -y], axis=1)
    return first, second


def around(axis: Array, sine: Array, cosine: Array, turn: Array) -> Array:
    """Unit directions (n, 3) at an angle (its sine and cosine, (n,)) from unit axes (n or 1, 3); `turn` is 0 to 1 round."""
    first, second = basis(axis)
    angle = np.float32(2.0 * np.pi) * turn
    direction = (sine * np.cos(angle))[:, None] * first
    direction += (sine * np.sin(angle))[:, None] * second
    direction += cosine[:, None] * axis
    return direction


@dataclass(frozen=True)
class Distant:
    """`towards` (3,): unit direction from the set to the source. `lux`: on a surface that faces it, unshadowed.

    `half_angle` radians: half its apparent diameter; it is evenly luminous over that cap.
    """

    towards: NDArray[np.float64]
    lux: float
    half_angle: float

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`."""
        cap = 1.0 - np.cos(self.half_angle)
        depth = u[:, 0] * np.float32(cap)
        sine = np.sqrt(np.maximum(depth * (2.0 - depth), 0.0))
        direction = around(self.towards.astype(np.float32)[None], sine, 1.0 - depth, u[:, 1])
        # The cap's luminance is lux / (pi sin^2); its solid angle 2 pi cap.
        lux = np.float32(self.lux * 2.0 * cap / np.sin(self.half_angle) ** 2)
        return direction, np.full(len(points), np.inf, np.float32), np.full(len(points), lux, np.float32)

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`."""
        return np.full(len(distance), self.half_angle, np.float32)

    def rule(self) -> Array:
        """See `Emitter.rule`."""
        return FOUR_ROUND

    def passing(self, points: Array, direction: Array, distance: Array) -> Array | None:
        """See `Emitter.passing`: nothing is in its way."""
        return None
