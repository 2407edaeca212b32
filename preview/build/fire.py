"""Fire: a wood fire on the ground: a few tongues of flame over logs that lean together.

Everything grows with the height of the flames, so what is said here is for flames one metre high.
"""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats, Part
from preview.build.rigging import together
from preview.build.solids import round_bar

TONGUES = (
    (0.00, 0.00, 1.00, 0.115, 0.4),
    (0.12, 0.7, 0.80, 0.100, 2.1),
    (0.15, 2.9, 0.66, 0.095, 4.3),
    (0.13, 4.6, 0.74, 0.095, 5.6),
    (0.21, 1.8, 0.44, 0.080, 3.2),
    (0.22, 3.8, 0.40, 0.075, 0.9),
    (0.22, 5.7, 0.47, 0.080, 1.5),
)
"""Of each: distance and bearing of its foot (rad), height, widest radius, and the way it leans (rad). Our own."""
FOOT = 0.06
"""Where flames start above the ground."""
LOGS = 6
LOG_LENGTH, LOG_RADIUS = 0.62, 0.055
LEAN = 0.52
"""Radians that a log rises from the ground."""

FACE = 0.236
"""m2 that the flames cover, seen level from any side, on the mean; for flames one metre high."""
LOWER, UPPER = (0.262, 0.233), (0.62, 0.1443)
"""Height of the middle and radius of the two balls that shine for the flames: their faces are together `FACE`."""


def fire_parts(name: str, foot: Floats, height: float) -> tuple[list[Part], Part]:
    """`NAME.body`, the logs, and `NAME.glow`, the flames, `height` m high above `foot` (3,)."""
    flames = [_tongue(*tongue) for tongue in TONGUES]
    logs = [_log(2.0 * np.pi * (number + 0.5) / LOGS, lift=0.012 * (number % 3)) for number in range(LOGS)]

    def placed(part: Part) -> Part:
        return Part(part.name, part.material, part.vertices * height + foot, part.faces, part.normals)

    glow = together(f"{name}.glow", "glass", [placed(flame) for flame in flames])
    return [together(f"{name}.body", "bark", [placed(log) for log in logs])], glow


def _tongue(away: float, bearing: float, height: float, radius: float, lean: float) -> Part:
    """A flame: round at its foot, widest a third up, drawn out and bent to a point."""
    up = np.linspace(0.0, 1.0, 15)
    swell = np.sin(np.pi * np.clip(up, 0.0, 1.0) ** 0.55) ** 0.85 * (1.0 - 0.25 * up)
    width = np.maximum(swell, 0.0) + 0.22 * (1.0 - up) ** 3
    aside = 0.10 * up**1.5 + 0.035 * np.sin(2.0 * np.pi * up)
    x = away * (1.0 - 0.55 * up) * np.sin(bearing) + aside * height * np.sin(lean)
    y = away * (1.0 - 0.55 * up) * np.cos(bearing) + aside * height * np.cos(lean)
    path = np.stack([x, y, FOOT + up * (height - FOOT)], axis=1)
    return round_bar("", "", path, radius * width, sides=14)


def _log(bearing: float, *, lift: float) -> Part:
    """A log whose foot lies outside and whose head leans over the middle, a little past it."""
    out = np.array([np.sin(bearing), np.cos(bearing), 0.0])
    aside = np.array([np.cos(bearing), -np.sin(bearing), 0.0])
    foot = 0.46 * out + np.array([0.0, 0.0, LOG_RADIUS])
    along = -np.cos(LEAN) * out + np.array([0.0, 0.0, np.sin(LEAN)]) + 0.12 * aside
    head = foot + LOG_LENGTH * along / np.linalg.norm(along) + np.array([0.0, 0.0, lift])
    return round_bar("", "", np.stack([foot, head]), [LOG_RADIUS, 0.9 * LOG_RADIUS], sides=10)
