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
SIDES: Final = (
    (25.0, "front"),
    (65.0, "three-quarter front"),
    (115.0, "side"),
    (155.0, "three-quarter back"),
)
"""Up to so many degrees round from the lens light has this name; farther it is back. Common practice, no source."""
SIDELESS: Final = 5.0
"""Degrees off straight from or towards the lens within which no side is named."""


@dataclass(frozen=True)
class Bearing:
    """Where light comes from, seen from a place: degrees round from the lens, 0 to 180; `side` of the
    camera; degrees up."""

    round_deg: float
    side: str
    up_deg: float
    words: str


def away_from_lens(place: Floats, view: View) -> Floats:
    """The level unit vector (3,) away from the lens at a place (3,) m; that of the view, where the lens is right above."""
    away = place - view.position
    away[2] = 0.0
    if np.linalg.norm(away) < 1e-6:
        away = np.array([view.up[0], view.up[1], 0.0])
    return np.asarray(away / np.linalg.norm(away))


def bearing(source: Floats, place: Floats, view: View) -> Bearing:
    """Of light that comes to a place (3,) m from a direction (3,), of any length, towards its source."""
    source = source / np.linalg.norm(source)
    up = degrees(asin(float(np.clip(source[2], -1.0, 1.0))))
    ahead = -away_from_lens(place, view)
    # Camera right as the lens sees a thing that faces it, on the level.
    right = np.array([-ahead[1], ahead[0], 0.0])
    turn = degrees(atan2(float(source @ right), float(source @ ahead)))
    side = "right" if turn > 0.0 else "left"
    return Bearing(abs(turn), side, up, _words(abs(turn), side, up))


def _words(turn: float, side: str, up: float) -> str:
    """`side light from camera left, 96° round, 24° up`."""
    height = f"{abs(up):.0f}° {'up' if up >= 0.0 else 'down'}"
    if abs(up) >= OVERHEAD:
        return f"{'top light' if up > 0.0 else 'from below'}, {height}"
    name = next((word for most, word in SIDES if turn < most), "back")
    where = "" if turn < SIDELESS or turn > 180.0 - SIDELESS else f" from camera {side}"
    return f"{name} light{where}, {turn:.0f}° round, {height}"
