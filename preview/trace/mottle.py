"""Mottle: smooth noise fixed in the world, and how much of it is left where a pixel covers more than its grain."""

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
    values, within = _cells(position)
    within *= within * (3.0 - 2.0 * within)
    for axis in range(3):
        half = len(values) // 2
        values = values[:half] + within[axis] * (values[half:] - values[:half])
    return values[0]


def noise_slope(position: Array) -> Array:
    """The gradient (3, n) of the same noise, by each of the three lattice axes."""
    values, within = _cells(position)
    steep = 6.0 * within * (1.0 - within)
    x, y, z = within * within * (3.0 - 2.0 * within)
    # Along x first, then y, then z; what has been differentiated goes on being blended along the others.
    by_x = values[4:] - values[:4]
    values = values[:4] + x * by_x
    by_x = by_x[:2] + y * (by_x[2:] - by_x[:2])
    by_y = values[2:] - values[:2]
    values = values[:2] + y * by_y
    slope = np.stack(
        [by_x[0] + z * (by_x[1] - by_x[0]), by_y[0] + z * (by_y[1] - by_y[0]), values[1] - values[0]]
    )
    slope *= steep
    return slope


def _cells(position: Array) -> tuple[Array, Array]:
    """Of positions (3, n): the values at the corners of their cells (8, n), and where within it they lie (3, n)."""
    cell = np.floor(position)
    within = position - cell
    x, y, z = cell.astype(np.int32) & (_SIZE - 1)
    return np.take(_CORNERS, (x * _SIZE + y) * _SIZE + z, axis=1), within


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
