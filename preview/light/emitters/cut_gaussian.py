"""Cut Gaussian: places along a line drawn from a Gaussian of which only the part between two ends is left."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]

REACH = 2.9
"""Standard deviations from its middle beyond which nothing is drawn: what lies there, 0.4 %, is given back to the rest."""
LEAST = 2e-6
"""Share of the whole between the ends below which nothing is drawn at all: rounding would tell which."""


def drawn(u: Array, *, middle: Array, sigma: Array, half: float) -> tuple[Array, Array]:
    """Places (n,) between -half and half, by u (n,) in [0, 1), and their probability densities (n,), 1/m.

    The Gaussian's `middle` and standard deviation `sigma` (n,), m. A density of inf where next to nothing of it lies
    between the ends, or within REACH of its middle.
    """
    low, high = (-half - middle) / sigma, (half - middle) / sigma
    # Tails are told exactly on the lower side alone.
    flipped = low + high > 0.0
    low, high = np.where(flipped, -high, low), np.where(flipped, -low, high)
    whole = _below(high) - _below(low)
    low, high = np.maximum(low, np.float32(-REACH)), np.minimum(high, np.float32(REACH))
    below = _below(low)
    kept = _below(high) - below
    there = (high > low) & (kept > LEAST)
    share = np.where(flipped, 1.0 - u, u)
    z = np.clip(_quantile(np.where(there, below + share * kept, 0.5)), low, high)
    density = np.exp(-0.5 * z * z) / np.where(there, np.sqrt(2.0 * np.pi) * whole * sigma, 1.0)
    z = np.where(there, np.where(flipped, -z, z), 0.0)
    place = np.clip(middle + z * sigma, -half, half)
    return place.astype(np.float32), np.where(there, density, np.inf).astype(np.float32)


def _below(z: Array) -> Array:
    """The share (n,) of a Gaussian below z deviations. Source: Abramowitz and Stegun 26.2.17, off by 7.5e-8 at most."""
    size = np.abs(z)
    t = 1.0 / (1.0 + 0.2316419 * size)
    rest = t * (0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))))
    tail = np.exp(-0.5 * size * size) / np.sqrt(2.0 * np.pi) * rest
    return np.asarray(np.where(z < 0.0, tail, 1.0 - tail), np.float32)


def _quantile(share: Array) -> Array:
    """Deviations (n,) below which a share of a Gaussian lies. Source: Abramowitz and Stegun 26.2.23, off by 4.5e-4."""
    tail = np.maximum(np.minimum(share, 1.0 - share), 1e-12)
    t = np.sqrt(-2.0 * np.log(tail))
    size = t - (2.515517 + t * (0.802853 + t * 0.010328)) / (
        1.0 + t * (1.432788 + t * (0.189269 + t * 0.001308))
    )
    return np.asarray(np.where(share < 0.5, -size, size), np.float32)
