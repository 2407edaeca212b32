"""The plan of a rowing boat: its hull, as builder and places share it. Proportions typical of a harbour boat, from memory.

Local metres: x to starboard, y to the bow, z up from the underside of the keel; as long as it usually is.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LENGTH, BEAM = 4.40, 1.52
KEEL = 0.07
"""How far the planks' lowest edge lies over the underside of the keel."""
SETTLED = 0.03
"""How deep it presses into what it lies on."""


def hull(along: Floats, up: Floats) -> Floats:
    """Points (..., 3) of the starboard side: `along` 0 at the transom to 1 at the stem, `up` 0 at the keel to 1."""
    sheer = (
        0.56 + 0.30 * np.maximum(along - 0.42, 0.0) ** 1.8 * 1.9 + 0.16 * np.maximum(0.42 - along, 0.0) ** 1.6
    )
    # Fullest a little behind the middle, narrow at the transom, nothing at the stem.
    width = (
        BEAM
        / 2.0
        * (
            1.0
            - np.abs((along - 0.43) / 0.57) ** np.where(along > 0.43, 2.3, 3.0)
            * np.where(along > 0.43, 1.0, 0.62)
        )
    )
    width = np.maximum(width, 0.012)
    floor = KEEL + 0.10 * np.maximum(along - 0.72, 0.0) ** 2 * 6.0 + 0.22 * np.maximum(0.16 - along, 0.0)
    # Sharper towards the stem: the section goes from a round bilge to a wedge.
    sharp = np.clip((along - 0.45) / 0.55, 0.0, 1.0) ** 1.4
    full = up ** (0.46 + 0.62 * sharp)
    turn = np.sin(np.pi / 2.0 * full)
    x = width * ((1.0 - sharp) * turn + sharp * full)
    z = floor + (sheer - floor) * (up ** (1.55 - 0.45 * sharp))
    rake = 0.10 * up * along**6 - 0.05 * up * (1.0 - along) ** 8
    # Stem and transom stand out a little; so it is as long as told over all.
    y = 0.9859 * (LENGTH * (along - 0.5) * 0.965 + rake - 0.0527)
    return np.stack([x, y, z], axis=-1)


def heeled(points: Floats, heel: float) -> Floats:
    """Points (..., 3) as they lie when the boat has heeled to starboard on hard ground, radians."""
    if not heel:
        return points
    return turned_over(points, heel) + np.array([0.0, 0.0, _rise(heel)])


def turned_over(points: Floats, heel: float) -> Floats:
    x, y, z = np.moveaxis(np.asarray(points, dtype=float), -1, 0)
    cosine, sine = np.cos(heel), np.sin(heel)
    return np.stack([x * cosine + z * sine, y, z * cosine - x * sine], axis=-1)


@lru_cache(maxsize=32)
def _rise(heel: float) -> float:
    """How far it is lifted by the bilge that it lies on."""
    along, up = np.meshgrid(np.linspace(0.0, 1.0, 41), np.linspace(0.0, 1.0, 41))
    side = hull(along, up) + np.array([0.012, 0.0, 0.0])
    both = np.concatenate([side.reshape(-1, 3), side.reshape(-1, 3) * [-1.0, 1.0, 1.0], [[0.0, 0.0, 0.0]]])
    return -float(turned_over(both, heel)[:, 2].min()) - SETTLED
