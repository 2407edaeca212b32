"""Rig frames: which frames of cloth there are, how a beam fills one, and whether anything holds it there."""

from __future__ import annotations

from math import pi
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.commands.rig.units import FOOT
from preview.light import beam as beams

Floats = NDArray[np.float64]

FRAMES: Final = (4, 6, 8, 12, 20)
"""Sides of frames, feet."""
CLOTHS: Final = ("quarter-grid", "half-grid", "full-grid")
FRAME_STANDS: Final = 6.5
"""Metres above the ground to which the upper edge of a frame goes on stands of its own. From memory, typical."""
STANDS_CARRY: Final = 12 * FOOT
"""Metres, side of the largest frame that stands of its own hold before a head on a tower or a lift: a taller one is in
its way. From memory, typical."""
HELD_OUT: Final = 1.6
"""Metres before a head that a basket's or a floor's rail holds a frame. From memory, typical."""


def within(beam: float, field: float, half: float) -> float:
    """Lumens a candela of the axis inside a cone of half angle `half`, radians."""
    angle = np.linspace(0.0, min(half, pi / 2.0), 200)
    relative = beams.relative_intensity(np.cos(angle).astype(np.float32), beam=beam, field=field)
    return float(2.0 * pi * np.trapezoid(relative * np.sin(angle), angle))


def filled(beam: float, field: float, half: float) -> float:
    """How much of a cloth counts as lit evenly, 0 to 1: (int E dA)^2 / (A int E^2 dA), out to a half angle `half` from the
    head, radians."""
    angle = np.linspace(0.0, min(half, 1.5), 200)
    falls = beams.relative_intensity(np.cos(angle).astype(np.float32), beam=beam, field=field)
    falls = falls * np.cos(angle) ** 3
    ring = np.tan(angle) / np.cos(angle) ** 2
    total, squares, area = (float(np.trapezoid(y * ring, angle)) for y in (falls, falls**2, np.ones(200)))
    return total**2 / (area * squares)


def stands(side: float, height: float, away: Floats, up: float) -> NDArray[np.bool_]:
    """Whether (n,) a frame before a head goes on stands of its own, clear of the ground."""
    middle, half = height - away * np.sin(up), 0.5 * side * np.cos(up)
    return np.asarray((middle + half <= FRAME_STANDS) & (middle - half >= 0.1), bool)
