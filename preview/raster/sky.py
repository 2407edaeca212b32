"""Sky: what a dome gives a surface by the way it faces, with nothing in the way."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.dome import Dome
from preview.trace.geometry import Points

Array = NDArray[np.float32]
Floats = NDArray[np.float64]

SHARES = (np.pi, 2.0 * np.pi / 3.0, np.pi / 4.0)
"""What the cosine leaves of harmonics of degree 0, 1, 2."""
RINGS, TURNS = 64, 128


def sky_lux(dome: Dome, points: Points) -> Array:
    """Lux (n,) of the whole dome, by its harmonics up to degree 2: exact for an even one, within some per cent else.

    A thin surface adds what falls on its back. Source: R. Ramamoorthi and P. Hanrahan, An Efficient Representation for
    Irradiance Environment Maps, SIGGRAPH 2001.
    """
    weights = _weights(dome)
    lux = _lux(weights, points.normal)
    thin = np.flatnonzero(points.transmission > 0.0)
    if len(thin):
        lux[thin] += points.transmission[thin] * _lux(weights, -np.take(points.normal, thin, axis=1))
    return lux


def _weights(dome: Dome) -> Floats:
    """(9,): of `_harmonics` of a normal in the lux on it."""
    node, weight = np.polynomial.legendre.leggauss(RINGS)
    height, turn = np.meshgrid((node + 1.0) / 2.0, (np.arange(TURNS) + 0.5) * (2.0 * np.pi / TURNS))
    level = np.sqrt(1.0 - height**2)
    directions = np.stack([level * np.cos(turn), level * np.sin(turn), height]).reshape(3, -1)
    solid_angle = np.tile(weight / 2.0, TURNS) * (2.0 * np.pi / TURNS)
    luminance = dome.luminance(directions.astype(np.float32))
    degree = np.array([0, 1, 1, 1, 2, 2, 2, 2, 2])
    answer: Floats = (_harmonics(directions) @ (luminance * solid_angle)) * np.array(SHARES)[degree]
    return answer


def _lux(weights: Floats, normal: Array) -> Array:
    return np.maximum(weights.astype(np.float32) @ _harmonics(normal), np.float32(0.0))


def _harmonics(direction: NDArray[np.floating]) -> NDArray[np.floating]:
    """(9, n): the real spherical harmonics of degree 0, 1, 2 of unit directions (3, n)."""
    x, y, z = direction
    one, two = 0.5 * (3.0 / np.pi) ** 0.5, 0.5 * (15.0 / np.pi) ** 0.5
    rows = [
        np.full_like(x, 0.5 / np.pi**0.5),
        one * x,
        one * y,
        one * z,
        two * x * y,
        two * y * z,
        two * x * z,
        0.25 * (5.0 / np.pi) ** 0.5 * (3.0 * z * z - 1.0),
        0.5 * two * (x * x - y * y),
    ]
    return np.stack(rows).astype(direction.dtype)
