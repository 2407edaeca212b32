"""Undulation: what natural ground does between its heights: tufts, clods, ripples, drifts, ruts.

None of it but waves dips below the ground as the script gives it, so that whoever stands on it sinks in by a finger's
breadth and never floats.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from preview.build.chance import noise, smoothly
from preview.build.mesh import Floats


@dataclass(frozen=True)
class Hills:
    """Noise of hills `size` metres wide and `high` from mean to top; `sharp` above 0 narrows hollows to creases."""

    size: float
    high: float
    sharp: bool = False


GRASS = (Hills(2.6, 0.022), Hills(0.8, 0.016))
SOIL = (Hills(1.7, 0.022), Hills(0.6, 0.016), Hills(0.22, 0.012, sharp=True))
SNOW = (Hills(4.2, 0.06), Hills(1.3, 0.022), Hills(0.45, 0.005))
SHAPES: dict[str, tuple[Hills, ...]] = {
    "grass": GRASS,
    "dry grass": GRASS,
    "soil": SOIL,
    "dry soil": SOIL,
    "wet soil": SOIL,
    "snow": SNOW,
    "old snow": SNOW,
    "wet sand": (Hills(3.4, 0.03), Hills(1.1, 0.008)),
    "dead leaves": (Hills(1.2, 0.025), Hills(0.3, 0.012)),
    "mud": (Hills(1.9, 0.03), Hills(0.55, 0.016), Hills(0.24, 0.008)),
    "gravel": (Hills(1.4, 0.012), Hills(0.4, 0.005)),
    "sand": (Hills(3.4, 0.05), Hills(1.1, 0.018)),
}
"""Of each material that undulates. From memory, by eye."""
RIPPLE, RIPPLE_HIGH = 0.22, 0.008
"""From crest to crest of wind ripples in sand, and their height. From memory: crests 7 to 25 cm apart."""
WAVES = ((0.9, 0.0032), (0.46, 0.0018), (0.24, 0.0009))
"""Waves of sheltered water at night: length and height, metres. From memory, by eye: slopes of some hundredths."""
RUT, RUT_DEEP, GAUGE = 0.13, 0.045, 1.5
"""Half the width of a rut in mud, its depth, and how far apart a cart's two are, metres."""


def undulates(material: str) -> bool:
    """Whether ground of a material is anything but plane."""
    return material in SHAPES or material == "water"


def undulation(material: str, x: Floats, y: Floats, cell: Floats) -> Floats:
    """Height (n,) m over the ground at plan points, cut into cells of that size (n,): what is finer is left out."""
    if material == "water":
        return _waves(x, y, cell)
    height = np.zeros(np.shape(x))
    for number, hills in enumerate(SHAPES.get(material, ())):
        left = kept(cell, hills.size)
        some = np.flatnonzero(left > 0.0)
        if len(some):
            field = noise(x[some], y[some], hills.size, number + 1)
            shape = 1.0 - 2.4 * np.abs(field) if hills.sharp else 1.0 + 1.4 * field
            height[some] += left[some] * hills.high * np.maximum(shape, 0.0)
    if material == "sand":
        _add(height, kept(cell, 0.8 * RIPPLE), _ripples, x, y)
    if material == "mud":
        _add(height, kept(cell, 3.0 * RUT), _ruts, x, y)
    return np.maximum(height, 0.0)


def _add(
    height: Floats, left: Floats, shape: Callable[[Floats, Floats], Floats], x: Floats, y: Floats
) -> None:
    """Adds to heights (n,) what is left of a shape, asked only where something is."""
    some = np.flatnonzero(left > 0.0)
    height[some] += left[some] * shape(x[some], y[some])


def kept(cell: Floats, size: float) -> Floats:
    """How much (n,) of hills of a size is left in cells (n,): all of it in a quarter, nothing in a half."""
    return smoothly(2.0 - 4.0 * cell / size)


def _ripples(x: Floats, y: Floats) -> Floats:
    """Wind ripples: long crests that bend, fork and fade in patches, steeper in the lee."""
    bend = 0.28 * noise(x, y, 1.6, 11) + 0.1 * noise(x, y, 0.5, 12)
    phase = (0.94 * x + 0.34 * y + bend) / RIPPLE
    share = phase - np.floor(phase)
    crest = np.where(share < 0.66, share / 0.66, (1.0 - share) / 0.34)
    patches = smoothly(0.75 + 1.6 * noise(x, y, 3.0, 13))
    return np.asarray(RIPPLE_HIGH * patches * smoothly(crest))


def _waves(x: Floats, y: Floats, cell: Floats) -> Floats:
    """Low waves from about one side, of mean height 0."""
    height = np.zeros(np.shape(x))
    for number, (length, high) in enumerate(WAVES):
        left = kept(cell, 0.7 * length)
        some = np.flatnonzero(left > 0.0)
        east, north = x[some], y[some]
        bend = 1.1 * length * noise(east, north, 2.7 * length, 20 + number)
        phase = (np.cos(0.5 * number) * east + np.sin(0.5 * number + 0.4) * north + bend) / length
        wave = np.sin(2.0 * np.pi * phase) + 0.6 * noise(east, north, 0.6 * length, 30 + number)
        height[some] += left[some] * high * wave
    return height


def _ruts(x: Floats, y: Floats) -> Floats:
    """Ruts of wheels that came one after another about the same way: furrows between lips that were pressed up."""
    height = np.zeros(np.shape(x))
    for number, (way, off) in enumerate(((0.35, 1.2), (0.52, -3.8))):
        across = np.cos(way) * x - np.sin(way) * y + off + 0.7 * noise(x, y, 7.0, 40 + number)
        for side in (-0.5, 0.5):
            apart = np.abs(across + side * GAUGE) / RUT
            furrow = -smoothly(1.6 - apart) * (0.8 + 0.5 * noise(x, y, 0.7, 42))
            lip = 0.55 * np.exp(-(((apart - 1.9) / 0.55) ** 2)) * (0.8 + 0.9 * noise(x, y, 0.3, 43))
            height += RUT_DEEP * (furrow + lip)
    return height
