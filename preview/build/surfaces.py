"""Surfaces: what each part of a world is made of, as numbers that light can be reckoned with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.trade.catalogue import material

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Surfaces:
    """Rows follow a world's parts.

    reflectance (k, 3) linear ACEScg, diffuse; variation (k,) its relative mottling; grain (k,) m, the size of that;
    transmission (k,): light that a thin surface (leaves) passes, as a share of what it reflects.
    """

    reflectance: Array
    variation: Array
    grain: Array
    transmission: Array


def surfaces_of(materials: Sequence[str]) -> Surfaces:
    """The catalogue's surfaces of the named materials."""
    rows = [material(name) for name in materials]
    return Surfaces(
        np.array([row.rgb for row in rows], np.float32).reshape(-1, 3),
        np.array([row.variation for row in rows], np.float32),
        np.array([max(row.grain, 1e-3) for row in rows], np.float32),
        np.array([row.transmission for row in rows], np.float32),
    )
