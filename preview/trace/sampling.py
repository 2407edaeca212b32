"""Sampling: well-spread points of the unit square, moved for each pixel so that what noise is left looks like grain."""

from __future__ import annotations

from functools import cache
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]
_TWO_32 = np.float64(2.0**-32)


@cache
def spread_points(count: int) -> NDArray[np.float32]:
    """The first `count` points (2, count) of the two-dimensional Sobol sequence.

    Source: I. M. Sobol 1967; direction numbers of the second dimension from S. Joe and F. Y. Kuo 2008.
    """
    index = np.arange(count, dtype=np.uint32)
    first = np.zeros(count, np.uint32)
    second = np.zeros(count, np.uint32)
    gray = index ^ (index >> np.uint32(1))
    direction = np.uint32(1 << 31)
    for bit in range(max(count - 1, 1).bit_length()):
        chosen = (gray >> np.uint32(bit)) & np.uint32(1)
        first ^= chosen * np.uint32(1 << (31 - bit))
        second ^= chosen * direction
        direction ^= direction >> np.uint32(1)
    return np.stack([first * _TWO_32, second * _TWO_32]).astype(np.float32)


def hashed(values: NDArray[np.uint32]) -> NDArray[np.uint32]:
    """A well-mixed 32-bit hash of each value.

    Source: M. Jarzynski and M. Olano, Hash Functions for GPU Rendering, JCGT 9(3), 2020 (pcg).
    """
    with np.errstate(over="ignore"):
        state = values * np.uint32(747796405) + np.uint32(2891336453)
        word = ((state >> ((state >> np.uint32(28)) + np.uint32(4))) ^ state) * np.uint32(277803737)
        return (word >> np.uint32(22)) ^ word


def stream(seed: int, *purpose: str | int) -> int:
    """A number for a purpose (a light by its name, one of its emitters, a round), for `shifts`."""
    return crc32(repr((seed, *purpose)).encode())


def shifts(pixels: NDArray[np.uint32], stream: int) -> Array:
    """A shift (2, n) in [0, 1) for each pixel number, different for every `stream` (seed, fixture, purpose)."""
    salt = hashed(np.array([stream & 0xFFFFFFFF], np.uint32))
    first = hashed(pixels ^ salt)
    second = hashed(first ^ np.uint32(0x9E3779B9))
    return np.stack([first * _TWO_32, second * _TWO_32]).astype(np.float32)


def shifted(points: Array, shift: Array) -> Array:
    """Points (2, n or 1) moved by shifts (2, n), wrapped round the unit square; always below 1."""
    moved = shift + points
    return np.minimum(moved - np.floor(moved), np.float32(0.9999999))
