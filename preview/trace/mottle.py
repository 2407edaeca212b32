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


def smoothly(ramp: Array) -> Array:
    """A ramp (n,) held to 0 and 1, with its corners rounded."""
    held = np.clip(ramp, np.float32(0.0), np.float32(1.0))
    return np.asarray(held * held * (3.0 - 2.0 * held), np.float32)


def faded(footprint: Array, grain: Array | np.float32) -> Array:
    """How much (n,) of a pattern of that grain is left where a pixel covers `footprint` (n,), both metres.

    Three quarters where the two are alike, nothing from three times the grain: what averaging over the pixel leaves of
    it (a test measures that), less its far tail, which would crawl.
    """
    return 1.0 - smoothly(footprint / (3.0 * grain))


OCTAVES = ((1.0, 1.0, 0.0), (3.7, 0.6, 11.3))
"""How much finer, how strong and how far off each layer of the mottle is."""


def mottled(
    reflectance: Array, variation: Array, grain: Array, position: Array, *, footprint: Array | None = None
) -> Array:
    """Reflectance (3, n) varied by about +-`variation` (n,) at sizes of `grain` (n,) m; unchanged where it is 0.

    `footprint` (n,) m is how much surface a pixel covers: what is finer is left out.
    """
    uneven = np.flatnonzero(variation > 0.0)
    if len(uneven) == 0:
        return reflectance
    size = grain[uneven]
    scaled = np.take(position, uneven, axis=1) / size
    noise = np.zeros(len(uneven), np.float32)
    for finer, strength, off in OCTAVES:
        layer = np.float32(strength) * value_noise(scaled * np.float32(finer) + np.float32(off))
        if footprint is not None:
            layer *= faded(footprint[uneven], size / np.float32(finer))
        noise += layer
    varied = reflectance.copy()
    varied[:, uneven] *= np.clip(1.0 + variation[uneven] * noise, 0.05, 2.0)
    return np.minimum(varied, np.float32(0.98))
