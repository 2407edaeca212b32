"""Headlamp: a vehicle's dipped and main beam as webs, for traffic that keeps to the right.

The dipped beam ends in a line 1 % below the lamp that climbs 15 degrees towards its own side of the road. The shape between
the points that the regulation sets is our own. Source of those points: UN Regulation No. 112, class B, from memory.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from preview.light.photometry.opening import disc
from preview.light.photometry.web import Web

Floats = NDArray[np.float64]
Beam = Literal["dipped", "main"]

BELOW = 0.57
"""Degrees that the cut-off lies below level: 1 %."""
CLIMB = float(np.tan(np.radians(15.0)))
HIGHEST = 1.2
"""Degrees over the level part to which the cut-off climbs."""
SHARP = 0.16
"""Degrees over which the light ends at the cut-off."""
USUAL = {"dipped": 16_500.0, "main": 62_000.0}
"""Candela at the strongest. From memory, typical: a halogen lamp; the regulation has 40 500 to 215 000 for a main beam."""


def dipped(right: Floats, up: Floats) -> Floats:
    """Candela at angles in degrees, to the right and up of straight ahead."""
    climb = np.minimum(CLIMB * np.maximum(right, 0.0), HIGHEST)
    under = -BELOW + climb - up
    across = np.exp(-np.log(2.0) * (np.abs(right - 0.8) / 8.6) ** 1.35)
    wide = np.exp(-np.log(2.0) * (np.abs(right) / 24.0) ** 2)
    down = np.exp(-np.maximum(under - 0.55, 0.0) / 2.1)
    spread = np.exp(-np.maximum(under - 1.0, 0.0) / 6.5)
    lit = 1.0 / (1.0 + np.exp(-np.clip((under - 0.10) / SHARP * 2.2, -50.0, 50.0)))
    near_line = 0.62 + 0.38 * np.exp(-(((right - 1.2) / 2.6) ** 2))
    stray = 190.0 * np.exp(-((right / 25.0) ** 2) - np.maximum(up, 0.0) / 9.0)
    return np.asarray(
        USUAL["dipped"] * lit * (0.86 * across * down * near_line + 0.14 * wide * spread) + stray
    )


def main(right: Floats, up: Floats) -> Floats:
    """As `dipped`, of the main beam."""
    core = np.exp(-np.log(2.0) * np.hypot(right / 2.9, (up + 0.1) / 1.7) ** 1.6)
    skirt = np.exp(-np.log(2.0) * np.hypot(right / 13.0, (up + 1.0) / 4.5) ** 1.5)
    return np.asarray(USUAL["main"] * (0.82 * core + 0.18 * skirt))


@lru_cache(maxsize=8)
def headlamp_web(beam: Beam, diameter: float) -> Web:
    """The web of a lamp whose glass is so wide, metres; ahead is straight on, its first axis up, its second to the left."""
    fine = np.concatenate([np.arange(-3.0, 2.001, 0.1), [2.5, 3.0]])
    up = np.concatenate(
        [
            [-60.0, -40.0, -28.0, -20.0, -15.0, -12.0, -10.0, -8.0, -6.0, -5.0, -4.0, -3.5],
            fine,
            [4.0, 6.0, 9.0, 14.0, 22.0, 35.0, 60.0],
        ]
    )
    half = np.array(
        [0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 13.0, 17.0, 22.0, 30.0, 40.0, 60.0]
    )
    right = np.concatenate([-half[::-1], [0.0], half])
    shape = {"dipped": dipped, "main": main}[beam]
    candela = shape(right[:, None], up[None, :])
    return Web("A", np.radians(up), np.radians(right), candela, disc(diameter), "")


@lru_cache(maxsize=8)
def headlamp_lumens(beam: Beam) -> float:
    """Lumens of a beam at its usual strength: its integral."""
    up, right = np.linspace(-60.0, 60.0, 2401)[None, :], np.linspace(-60.0, 60.0, 1201)[:, None]
    shape = {"dipped": dipped, "main": main}[beam]
    cell = np.radians(120.0 / 2400) * np.radians(120.0 / 1200)
    return float((shape(right, up) * np.cos(np.radians(up))).sum() * cell)


def aimed(facing: tuple[float, float, float]) -> Floats:
    """Rows of the world directions of the web's axes (up, left, ahead) for a level way ahead."""
    ahead = np.array([facing[0], facing[1], 0.0])
    length = float(np.linalg.norm(ahead))
    ahead = ahead / length if length > 1e-9 else np.array([0.0, -1.0, 0.0])
    up = np.array([0.0, 0.0, 1.0])
    return np.array([up, np.cross(up, ahead), ahead])
