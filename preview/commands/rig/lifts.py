"""Rig lifts: what carries a head up to where a moon would be, how high each goes, and the plain shape of it.

The classes are generic and their figures from memory, typical: the hire firm's plate and its operator decide.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part, flat
from preview.build.rigging import height_under, rod, together
from preview.build.solids import boxes
from preview.script.terrain import Terrain

Floats = NDArray[np.float64]

LOWEST: Final = 0.6
"""Metres above the ground below which a head has no room on a low stand. From memory, typical."""
PLATFORM_BELOW: Final = 1.4
"""Metres that a floor to stand on lies below the middle of the head on it. From memory, typical."""


@dataclass(frozen=True)
class Lift:
    """Something that carries a head. Metres and kilograms.

    `highest_m`: of the head's middle above the ground; `carries_kg`: of head and what hangs on it; `across_m`: side of
    the square that it stands on; `reaches_m`: how far its base may stand aside of the head; `frame_m`: side of the
    largest frame of cloth that goes in front of a head on it; `ease`: what it costs in the ranking, in points.
    """

    name: str
    highest_m: float
    carries_kg: float
    across_m: float
    reaches_m: float
    frame_m: float
    ease: float
    source: str

    @property
    def stands_below(self) -> bool:
        """Whether it is a stand, straight below its head, as the program draws one."""
        return self.name in ("stand", "wind-up stand")


LIFTS: Final = (
    Lift("stand", 4.5, 40.0, 1.4, 0.0, 6.1, 0.0, "from memory, typical: a heavy three-riser stand"),
    Lift("wind-up stand", 6.0, 80.0, 1.8, 0.0, 3.66, 0.3, "from memory, typical: a crank stand"),
    Lift(
        "scaffold tower",
        8.5,
        200.0,
        2.5,
        0.0,
        2.44,
        0.8,
        "common practice, no source: outdoors a floor up to three times the narrower side of the base",
    ),
    Lift(
        "boom lift, 12 m class", 11.0, 120.0, 2.3, 6.0, 1.22, 1.0, "from memory, typical: class less a metre"
    ),
    Lift(
        "boom lift, 18 m class", 17.0, 120.0, 2.5, 10.0, 1.22, 1.3, "from memory, typical: class less a metre"
    ),
    Lift(
        "boom lift, 26 m class", 25.0, 120.0, 2.5, 15.0, 1.22, 1.7, "from memory, typical: class less a metre"
    ),
)
"""From the simplest to the tallest."""

HIGHEST: Final = max(lift.highest_m for lift in LIFTS)


def lift_for(height_m: float, *, weight_kg: float = 0.0) -> Lift | None:
    """The simplest that carries so much so high above its ground; None where none does."""
    return next((lift for lift in LIFTS if lift.highest_m >= height_m and lift.carries_kg >= weight_kg), None)


def bases(lift: Lift, at: Floats, away: Floats, height_m: float) -> list[tuple[float, float]]:
    """Plan points where its base may stand, the likeliest first; `away` (3,) is the way from the mark to the head.

    A boom comes from behind the head, else from either side; all others stand right below it.
    """
    if lift.reaches_m <= 0.0:
        return [(float(at[0]), float(at[1]))]
    level = np.array([away[0], away[1]])
    length = float(np.hypot(*level))
    back = level / length if length > 1e-6 else np.array([0.0, 1.0])
    side = np.array([back[1], -back[0]])
    out = float(np.clip(0.35 * height_m, 2.0, lift.reaches_m))
    ways = (back, back + side, back - side, side, -side)
    return [
        (float(at[0] + out * way[0] / np.hypot(*way)), float(at[1] + out * way[1] / np.hypot(*way)))
        for way in ways
    ]


def lift_part(name: str, lift: Lift, at: Floats, base: tuple[float, float], terrain: Terrain) -> Part | None:
    """`NAME.lift`: tower or boom below a head at `at` (3,); None for a stand, which the fixture has of its own."""
    if lift.stands_below:
        return None
    ground = height_under(np.array([*base, 0.0]), terrain.footing)
    floor = max(float(at[2]) - PLATFORM_BELOW, ground + 0.3)
    half = lift.across_m / 2.0
    if lift.reaches_m <= 0.0:
        corners = [np.array([base[0] + x * half, base[1] + y * half]) for x in (-1, 1) for y in (-1, 1)]
        pieces = [rod([*corner, ground], [*corner, floor + 1.1], 0.05) for corner in corners]
        pieces.append(_box(base, half, floor - 0.1, floor))
        pieces += [_box(base, half, floor + rail, floor + rail + 0.05) for rail in (0.55, 1.05)]
        return together(f"{name}.lift", "metal", pieces)
    shoulder = np.array([*base, ground + 2.0])
    basket = np.array([at[0], at[1], floor])
    pieces = [
        _box(base, half, ground, ground + 1.1),
        _box(base, 0.4 * half, ground + 1.1, ground + 2.2),
        rod(shoulder, basket + np.array([0.0, 0.0, 0.1]), 0.14, sides=12),
        _box((basket[0], basket[1]), 0.6, floor - 0.1, floor),
        _box((basket[0], basket[1]), 0.6, floor + 0.95, floor + 1.0),
    ]
    return together(f"{name}.lift", "metal", pieces)


def _box(middle: tuple[float, float], half: float, bottom: float, top: float) -> Part:
    low, high = [middle[0] - half, middle[1] - half, bottom], [middle[0] + half, middle[1] + half, top]
    return flat("", "", boxes(low, high))
