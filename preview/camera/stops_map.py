"""Stops map: the picture of exposure in stops from 18 % grey, one even colour to each stop, and its legend.

The palette is our own. It climbs in lightness from a dark indigo by teal to a plain grey at 18 % grey, on by amber
to near white, so that order can be read without seeing hue; black is less than the sensor holds, white is more.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, inf

import numpy as np
from numpy.typing import NDArray

from preview.light.spaces import REC709, xyz_of
from preview.script.models.camera import Latitude

Colour = tuple[int, int, int]

DARK = np.array([[10.0, 16.0, -38.0], [22.0, 8.0, -46.0], [34.5, -8.0, -34.0], [47.0, -22.0, -14.0]])
LIGHT = np.array([[62.0, 22.0, 58.0], [73.5, 15.0, 62.0], [85.0, 5.0, 44.0], [96.0, -1.0, 16.0]])
"""Stations of the two ramps, CIE 1976 L*a*b* under D65: from the deepest band to -1 stop, from +1 to the top."""
MIDDLE = np.array([55.0, 0.0, 0.0])
BLACK: Colour = (0, 0, 0)
WHITE: Colour = (255, 255, 255)

WORDS = {
    -5: "almost black, a trace of shape",
    -4: "deep shadow, shapes only",
    -3: "deep shadow, a little detail",
    -2: "dark clothes, skin in shadow",
    -1: "dark skin, foliage",
    0: "18 % grey",
    1: "light skin",
    2: "white shirt, fully lit",
    3: "bright highlight, detail still",
    4: "highlight near its end",
}
"""What stands at a stop when lit and exposed as metered: dark skin reflects 0.097 (-0.9 stop), light skin 0.356
(+1.0), a white shirt 0.55 to 0.8 (+1.6 to +2.2); the rest is common practice, no source."""


@dataclass(frozen=True)
class LegendEntry:
    """One colour of the map: from `low` (in) to `high` (out) stops from grey, and what it means in words."""

    low: float
    high: float
    rgb: Colour
    words: str


def legend_entries(latitude: Latitude) -> tuple[LegendEntry, ...]:
    """Every colour of the map for a sensor's latitude, from the darkest up; together they cover all stops."""
    return _entries(latitude.under, latitude.over)


def stops_map(stops: NDArray[np.float32], latitude: Latitude) -> NDArray[np.uint8]:
    """The map (h, w, 3), 8-bit sRGB, of stops from 18 % grey (h, w); -inf is black, a NaN is a bug upstream."""
    entries = legend_entries(latitude)
    edges = np.array([entry.high for entry in entries[:-1]], dtype=np.float32)
    colours = np.array([entry.rgb for entry in entries], dtype=np.uint8)
    band: NDArray[np.intp] = np.searchsorted(edges, stops, side="right")
    return colours[band]


@lru_cache(maxsize=16)
def _entries(under: float, over: float) -> tuple[LegendEntry, ...]:
    below, above = max(1, ceil(under - 0.5)), max(1, ceil(over - 0.5))
    colours = [*_ramp(DARK, below), _srgb(MIDDLE), *_ramp(LIGHT, above)]
    entries = [LegendEntry(-inf, -under, BLACK, "black: below what the sensor holds")]
    for stop, rgb in zip(range(-below, above + 1), colours, strict=True):
        low, high = max(stop - 0.5, -under), min(stop + 0.5, over)
        if low < high:
            entries.append(LegendEntry(low, high, rgb, _words(stop)))
    return (*entries, LegendEntry(over, inf, WHITE, "clipped: above what the sensor holds"))


def _words(stop: int) -> str:
    if stop in WORDS:
        return WORDS[stop]
    return "almost black" if stop < 0 else "almost clipped"


def _ramp(stations: NDArray[np.float64], count: int) -> list[Colour]:
    """`count` colours evenly along the stations; a single one is the end next to grey."""
    inner_first = stations is LIGHT
    if count == 1:
        return [_srgb(stations[0 if inner_first else -1])]
    where = np.linspace(0.0, len(stations) - 1.0, count)
    lab = np.stack([np.interp(where, np.arange(len(stations)), channel) for channel in stations.T], axis=-1)
    return [_srgb(row) for row in lab]


def _srgb(lab: NDArray[np.float64]) -> Colour:
    """8-bit sRGB of CIE L*a*b* (3,) under D65. Source: CIE 15:2004 section 8.2.1; IEC 61966-2-1."""
    lightness, a, b = lab
    middle = (lightness + 16.0) / 116.0
    roots = np.array([middle + a / 500.0, middle, middle - b / 200.0])
    relative = np.where(roots > 6.0 / 29.0, roots**3, 3.0 * (6.0 / 29.0) ** 2 * (roots - 4.0 / 29.0))
    linear = np.clip(REC709.from_xyz @ (relative * xyz_of(REC709.white)), 0.0, 1.0)
    encoded = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    red, green, blue = np.rint(255.0 * encoded).astype(int).tolist()
    return red, green, blue
