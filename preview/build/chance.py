"""Chance fixed in the world: numbers and noise that are the same for a place, whatever else is built."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preview.build.mesh import Floats

PRIMES = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9, 0xD6E8FEB86659FD93], np.uint64)
SIZE = 256
"""The lattice of the noise repeats after so many of its cells."""


def drawn(count: int, *numbers: ArrayLike) -> Floats:
    """Numbers (count, n) from 0 to 1, all different, for whole numbers (n,): up to four of them make a key."""
    keys = np.broadcast_arrays(*(np.asarray(number, np.int64) for number in numbers))
    mixed = np.zeros(keys[0].shape, np.uint64)
    for prime, key in zip(PRIMES, keys, strict=False):
        mixed = _mixed(mixed ^ (key.astype(np.uint64) * prime))
    found = np.empty((count, *mixed.shape))
    for place in range(count):
        mixed = _mixed(mixed + PRIMES[0])
        found[place] = (mixed >> np.uint64(11)).astype(float) * 2.0**-53
    return found


def _mixed(key: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """Every bit of 64 spread over all of them, by two rounds of shift and product (after splitmix64)."""
    key = (key ^ (key >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    key = (key ^ (key >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return key ^ (key >> np.uint64(31))


def _gradients() -> NDArray[np.float32]:
    turn = np.random.default_rng(20260102).random((SIZE, SIZE)) * 2.0 * np.pi
    return np.stack([np.cos(turn), np.sin(turn)]).astype(np.float32).reshape(2, -1)


_GRADIENTS = _gradients()


def noise(x: Floats, y: Floats, size: float, seed: int = 0) -> Floats:
    """Smooth noise (n,) of mean 0, about -0.7 to 0.7, with hills of about `size` metres at plan points.

    Gradient noise, with a fifth-degree fade. Source: K. Perlin, Improving noise, 2002 (from memory).
    """
    turn = 0.6 + 2.4 * seed
    east = (np.cos(turn) * x + np.sin(turn) * y) / size + 17.3 * seed + 0.37
    north = (np.cos(turn) * y - np.sin(turn) * x) / size + 7.1 * seed + 0.61
    column, row = np.floor(east), np.floor(north)
    u, v = east - column, north - row
    i, j = column.astype(np.int64), row.astype(np.int64)
    s, t = (w * w * w * (w * (6.0 * w - 15.0) + 10.0) for w in (u, v))
    corner = np.zeros((2, 2, *np.shape(x)))
    for a in (0, 1):
        for b in (0, 1):
            place = ((i + a) % SIZE) * SIZE + (j + b) % SIZE
            corner[a, b] = _GRADIENTS[0, place] * (u - a) + _GRADIENTS[1, place] * (v - b)
    near = corner[0, 0] + t * (corner[0, 1] - corner[0, 0])
    beyond = corner[1, 0] + t * (corner[1, 1] - corner[1, 0])
    return np.asarray(near + s * (beyond - near))


def smoothly(ramp: Floats) -> Floats:
    """A ramp held to 0 and 1, with its corners rounded."""
    held = np.clip(ramp, 0.0, 1.0)
    return np.asarray(held * held * (3.0 - 2.0 * held))
