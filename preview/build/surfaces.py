"""Surfaces: what each part of a world is made of, as numbers that light can be reckoned with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World
from preview.trade.catalogue import Pattern, material

Array = NDArray[np.float32]

PATTERNS: tuple[Pattern, ...] = get_args(Pattern)
"""How mottling lies, by number; 0 is plain."""


@dataclass(frozen=True)
class Surfaces:
    """Rows follow a world's parts.

    reflectance (k, 3) linear ACEScg, diffuse; variation (k,) its relative mottling; grain (k,) m, the size of that;
    pattern (k,) int8, how it lies, as a number of PATTERNS; relief (2, k) m: standard deviation of the height, and size;
    transmission (k,): light that a thin surface (leaves) passes, as a share of what it reflects. ior (k,): of the clear
    coat over the diffuse, 1 where there is none; roughness (k,): the GGX alpha of that coat. wet (k,): 0 dry to 1 after
    heavy rain.
    """

    reflectance: Array
    variation: Array
    grain: Array
    pattern: NDArray[np.int8]
    relief: Array
    transmission: Array
    ior: Array
    roughness: Array
    wet: Array


def surfaces_of(world: World) -> Surfaces:
    """The catalogue's surfaces of a world's parts, as wet as they are."""
    rows = [material(name) for name in world.materials]
    return Surfaces(
        np.array([row.rgb for row in rows], np.float32).reshape(-1, 3),
        np.array([row.variation for row in rows], np.float32),
        np.array([max(row.grain, 1e-3) for row in rows], np.float32),
        np.array([PATTERNS.index(row.pattern) for row in rows], np.int8),
        np.array([row.relief for row in rows], np.float32).reshape(-1, 2).T,
        np.array([row.transmission for row in rows], np.float32),
        np.array([row.ior for row in rows], np.float32),
        np.array([row.roughness for row in rows], np.float32),
        np.array(world.wets, np.float32),
    )


def matt(reflectance: Array) -> Surfaces:
    """Surfaces of that diffuse reflectance (k, 3) alone: even, opaque, dry, without a coat."""
    nothing = np.zeros(len(reflectance), np.float32)
    one = np.ones_like(nothing)
    pattern, relief = np.zeros(len(nothing), np.int8), np.stack([nothing, one])
    return Surfaces(reflectance, nothing, one, pattern, relief, nothing, one, nothing, nothing)
