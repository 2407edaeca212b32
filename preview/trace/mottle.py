"""Mottle: the natural unevenness of grass, render and asphalt, fixed in the world, so that no surface is one flat tone."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]

_SIZE = 32


def _corners() -> Array:
    """For each cell of a random lattice, the values at its 8 corners, (8, cells): one look-up a point."""
    lattice = np.random.default_rng(20260101).random((_SIZE,) * 3, dtype=np.float32) * 2.0 - 1.0
    shifted = [
        np.roll(lattice, (-(corner >> 2), -(corner >> 1 & 1), -(corner & 1)), axis=(0, 1, 2))
        for corner in range(8)
    ]
    return np.stack(shifted).reshape(8, -1)


_CORNERS = _corners()


def value_noise(position: Array) -> Array:
    """Smooth noise (n,) of mean 0 within -1..1 at positions (3, n) in lattice units; repeats every 32."""
    cell = np.floor(position)
    within = position - cell
    within *= within * (3.0 - 2.0 * within)
    x, y, z = cell.astype(np.int32) & (_SIZE - 1)
    values = np.take(_CORNERS, (x * _SIZE + y) * _SIZE + z, axis=1)
    for axis in range(3):
        half = len(values) // 2
        values = values[:half] + within[axis] * (values[half:] - values[:half])
    return values[0]


def mottled(reflectance: Array, variation: Array, grain: Array, position: Array) -> Array:
    """Reflectance (3, n) varied by about +-`variation` (n,) at sizes of `grain` (n,) m; unchanged where it is 0."""
    uneven = np.flatnonzero(variation > 0.0)
    if len(uneven) == 0:
        return reflectance
    scaled = np.take(position, uneven, axis=1) / grain[uneven]
    noise = value_noise(scaled) + 0.6 * value_noise(scaled * np.float32(3.7) + np.float32(11.3))
    varied = reflectance.copy()
    varied[:, uneven] *= np.clip(1.0 + variation[uneven] * noise, 0.05, 2.0)
    return np.minimum(varied, np.float32(0.98))
