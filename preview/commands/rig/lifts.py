"""Rig lifts: what carries a head up to where a moon would be, how high each goes, and the plain shape of it.

Their figures: preview/trade/lifts.yaml.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part, flat
from preview.build.rigging import height_under, rod, together
from preview.build.solids import boxes
from preview.script.terrain import Terrain
from preview.trade.catalogue import LiftRow, lift, names

Floats = NDArray[np.float64]

LOWEST: Final = 0.6
"""Metres above the ground below which a head has no room on a low stand. From memory, typical."""
PLATFORM_BELOW: Final = 1.4
"""Metres that a floor to stand on lies below the middle of the head on it. From memory, typical."""

BODY: Final = 2.2
"""Metres above the ground to which a boom lift is as wide as it stands: chassis and engine. From memory, typical."""

LIFTS: Final = tuple(lift(name) for name in names("lifts"))
"""From the simplest to the tallest."""

HIGHEST: Final = max(row.highest for row in LIFTS)


def lift_for(height_m: float, *, weight_kg: float = 0.0) -> LiftRow | None:
    """The simplest that carries so much so high above its ground; None where none does."""
    return next((row for row in LIFTS if row.highest >= height_m and row.carries >= weight_kg), None)


def bases(lift: LiftRow, at: Floats, away: Floats, height_m: float) -> list[tuple[float, float]]:
    """Plan points where its base may stand, the likeliest first; `away` (3,) is the way from the mark to the head.

    A boom comes from behind the head, else from either side; all others stand right below it.
    """
    if lift.reaches <= 0.0:
        return [(float(at[0]), float(at[1]))]
    level = np.array([away[0], away[1]])
    length = float(np.hypot(*level))
    back = level / length if length > 1e-6 else np.array([0.0, 1.0])
    side = np.array([back[1], -back[0]])
    out = float(np.clip(0.35 * height_m, 2.0, lift.reaches))
    ways = (back, back + side, back - side, side, -side)
    return [
        (float(at[0] + out * way[0] / np.hypot(*way)), float(at[1] + out * way[1] / np.hypot(*way)))
        for way in ways
    ]


def lift_part(
    name: str, lift: LiftRow, at: Floats, base: tuple[float, float], terrain: Terrain
) -> Part | None:
    """`NAME.lift`: tower or boom below a head at `at` (3,); None for a stand, which the fixture has of its own."""
    if lift.stands_below:
        return None
    ground = height_under(np.array([*base, 0.0]), terrain.footing)
    floor = max(float(at[2]) - PLATFORM_BELOW, ground + 0.3)
    half = lift.across / 2.0
    if lift.reaches <= 0.0:
        corners = [np.array([base[0] + x * half, base[1] + y * half]) for x in (-1, 1) for y in (-1, 1)]
        pieces = [rod([*corner, ground], [*corner, floor + 1.1], 0.05) for corner in corners]
        pieces.append(_box(base, half, floor - 0.1, floor))
        pieces += [_box(base, half, floor + rail, floor + rail + 0.05) for rail in (0.55, 1.05)]
        return together(f"{name}.lift", "metal", pieces)
    shoulder = np.array([*base, ground + 2.0])
    basket = np.array([at[0], at[1], floor])
    pieces = [
        _box(base, half, ground, ground + 1.1),
        _box(base, 0.8 * half, ground + 1.1, ground + BODY),
        rod(shoulder, basket + np.array([0.0, 0.0, 0.1]), 0.14, sides=12),
        _box((basket[0], basket[1]), 0.6, floor - 0.1, floor),
        _box((basket[0], basket[1]), 0.6, floor + 0.95, floor + 1.0),
    ]
    return together(f"{name}.lift", "metal", pieces)


def _box(middle: tuple[float, float], half: float, bottom: float, top: float) -> Part:
    low, high = [middle[0] - half, middle[1] - half, bottom], [middle[0] + half, middle[1] + half, top]
    return flat("", "", boxes(low, high))
