"""Relief: the small hills and hollows of grass, bark, asphalt and render, as raking light shows them.

A surface is a height field of noise over its triangles, which stay flat for rays. Where a pixel covers whole hills,
nothing is left of their slopes. What light makes of them is `preview.trace.raking`'s.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.light.vectors import dot
from preview.trace.mottle import faded, noise_slope
from preview.trace.patterns import Numbers, drawn_out, way_of

Array = NDArray[np.float32]

OCTAVES = ((1.0, 1.0), (2.3, 0.42), (5.3, 0.17))
"""How much finer and how high each layer of hills is beside the relief's own size and height."""
NOISE_HEIGHT, NOISE_SLOPE = 0.371, 0.666
"""Standard deviations of the noise and of its slope along any way, in lattice units."""
HEIGHT = float(np.linalg.norm([height for _, height in OCTAVES])) * NOISE_HEIGHT
"""That of all the layers together."""
DRAWN = np.array([1.0, 1.0, 1.0, 1.0, 8.0, 4.0, 1.0], np.float32)
"""How far the hills of each of PATTERNS are drawn out along its way."""
TURN: Array = np.array([[0.64, 0.6, -0.48], [-0.768, 0.48, -0.424], [-0.024, 0.64, 0.768]], np.float32)
TURNS: tuple[Array, ...] = tuple(
    np.linalg.matrix_power(TURN, power).astype(np.float32) for power in (1, 2, 3)
)
"""Rotations of the layers, so that the lattice of the noise lies along nothing that is built, nor along another's."""


def slopes(
    position: Array,
    normal: Array,
    relief: Array,
    kind: Numbers,
    *,
    along: Array | None = None,
    footprint: Array | None = None,
) -> tuple[Array, Array]:
    """The slope (3, n) of a relief at positions (3, n) m, square to unit `normal` (3, n), and its deviation (n,).

    `relief` (2, n): standard deviation of the height, and size, m. `kind` (n,): numbers of PATTERNS; `along`,
    `footprint` as in `patterns.mottled`. The deviation is that of the slope along any way, once faded.
    """
    slope, spread = np.zeros_like(position), np.zeros(position.shape[1], np.float32)
    height, size = relief
    for (finer, share), turn in zip(OCTAVES, TURNS, strict=True):
        small = size / np.float32(finer)
        left = np.float32(share / HEIGHT) * height
        if footprint is not None:
            left = left * faded(footprint, small)
        there = np.flatnonzero(left)
        if len(there) == 0:
            continue
        here = turn @ (drawn_out(position, kind, DRAWN, along, there) / small[there])
        steep = left[there] / small[there]
        found = steep * (turn.T @ noise_slope(here + np.float32(finer)))
        # Drawn out along a way, the noise is less steep by as much along it.
        times = DRAWN[kind[there]]
        long = np.flatnonzero(times != 1.0)
        if len(long):
            way = way_of(kind, along, there[long])
            mine = np.take(found, long, axis=1)
            found[:, long] = mine - way * (dot(mine, way) * (1.0 - 1.0 / times[long]))
        slope[:, there] += found
        spread[there] += np.square(np.float32(NOISE_SLOPE) * steep)
    slope -= normal * dot(slope, normal)
    return slope, np.sqrt(spread)
