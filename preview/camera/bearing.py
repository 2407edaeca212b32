"""Bearing: where light comes from, in the words of the trade, as the camera sees it from a place on the set."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan2, degrees
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.view import View

Floats = NDArray[np.float64]

OVERHEAD: Final = 60.0
"""Degrees: from this far up light comes from above, whatever its azimuth."""
UPRIGHT: Final = 80.0
"""Degrees: from this far up or down no azimuth is told at all. Common practice, no source."""
SIDES: Final = (
    (25.0, "front"),
    (65.0, "three-quarter front"),
    (115.0, "side"),
    (155.0, "three-quarter back"),
)
"""Up to so many degrees round from the lens light has this name; farther it is back. Common practice, no source."""
SIDELESS: Final = 5.0
"""Degrees off straight from or towards the lens within which no side is named."""
STEEP: Final = 0.966
"""Sine of 75 degrees: a camera that looks up or down more steeply has its frame's top and bottom for before and behind."""
COMPASS: Final = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


@dataclass(frozen=True)
class Bearing:
    """Where light comes from, seen from a place: degrees round from the lens, 0 to 180; `side` of the
    camera; degrees up.

    `words` in full: `side light from camera left, 96° round, 24° up`; `short`: `side, camera left, 24° up`.
    """

    round_deg: float
    side: str
    up_deg: float
    words: str

    @property
    def is_steep(self) -> bool:
        """Whether it comes from above or below, whatever its azimuth; a hair's breadth counts as there."""
        return abs(self.up_deg) >= OVERHEAD - 1e-6

    @property
    def name(self) -> str:
        """What light from there is called: `front` to `back`; `top` or `from below` where it is steep."""
        if self.is_steep:
            return "top" if self.up_deg > 0.0 else "from below"
        return self.round_name

    @property
    def round_name(self) -> str:
        """What light from there is called by its azimuth alone: `front` to `back`."""
        return next((word for most, word in SIDES if self.round_deg < most), "back")

    @property
    def camera_side(self) -> str | None:
        """`camera left`, `camera right`; None straight from or towards the lens."""
        straight = self.round_deg < SIDELESS or self.round_deg > 180.0 - SIDELESS
        return None if straight else f"camera {self.side}"

    @property
    def height(self) -> str:
        """`24° up`."""
        return f"{abs(self.up_deg):.0f}° {'up' if self.up_deg >= 0.0 else 'down'}"

    @property
    def short(self) -> str:
        """`three-quarter back, camera left, 35° up`; `high side, camera right, 62° up` for what is steep, `top, 88° up`."""
        name, side = self.name, self.camera_side
        if self.is_steep:
            upright = abs(self.up_deg) > UPRIGHT
            name, side = (name, None) if upright or self.up_deg < 0.0 else (f"high {self.round_name}", side)
        return ", ".join(part for part in (name, side, self.height) if part)


def away_from_lens(place: Floats, view: View) -> Floats:
    """The level unit vector (3,) away from the lens at a place (3,) m; of a camera that looks steeply up or down, the way
    that is up in its frame."""
    steep = float(view.forward[2])
    away = -np.sign(steep) * view.up if abs(steep) > STEEP else place - view.position
    away = np.array([away[0], away[1], 0.0])
    if np.linalg.norm(away) < 1e-6:
        away = np.array([view.up[0], view.up[1], 0.0])
    return np.asarray(away / np.linalg.norm(away))


def bearing(source: Floats, place: Floats, view: View) -> Bearing:
    """Of light that comes to a place (3,) m from a direction (3,), of any length, towards its source."""
    source = source / np.linalg.norm(source)
    up = degrees(asin(float(np.clip(source[2], -1.0, 1.0))))
    ahead = -away_from_lens(place, view)
    # Camera right as the lens sees a thing that faces it, on the level; upside down, as in its frame.
    right = np.array([-ahead[1], ahead[0], 0.0])
    if view.right @ right < 0.0:
        right = -right
    turn = degrees(atan2(float(source @ right), float(source @ ahead)))
    return _bearing(abs(turn), "right" if turn > 0.0 else "left", up)


def _bearing(turn: float, side: str, up: float) -> Bearing:
    """With its words in full: `side light from camera left, 96° round, 24° up`."""
    one = Bearing(turn, side, up, "")
    if one.is_steep:
        words = f"{'top light' if up > 0.0 else 'from below'}, {one.height}"
    else:
        where = "" if one.camera_side is None else f" from {one.camera_side}"
        words = f"{one.name} light{where}, {turn:.0f}° round, {one.height}"
    return Bearing(turn, side, up, words)


def compass(azimuth_deg: float) -> str:
    """The nearest of eight points of the compass: `north-east`."""
    return COMPASS[round(azimuth_deg / 45.0) % 8]


def compass_letters(azimuth_deg: float) -> str:
    """The same as it stands on a compass: `NE`."""
    return "".join(word[0].upper() for word in compass(azimuth_deg).split("-"))
