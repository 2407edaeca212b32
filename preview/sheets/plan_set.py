"""Plan set: what a set stands in, seen from above: water, ways, what grows faintly, buildings and things with outlines."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageDraw, ImageFilter

from preview.sheets.drawing import Colour

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Kind = Literal["way", "thing", "building"]

CELL: Final = 4
"""Pixels across a cell of water."""
TUFT: Final = 8
"""Pixels across a cell of what grows."""
LEAST: Final = 96
"""Of 255, once it is blurred, from which a cell is grown over."""
MARGIN: Final = 4
"""Pixels about a mask, for the line round it."""
FILLS: dict[str, Colour] = {
    "water": (214, 226, 232),
    "growth": (235, 238, 227),
    "way": (240, 237, 228),
    "thing": (214, 209, 197),
    "building": (226, 220, 208),
}
OUTLINES: dict[str, Colour] = {
    "water": (148, 172, 184),
    "growth": (212, 219, 202),
    "way": (226, 221, 208),
    "thing": (140, 134, 122),
    "building": (104, 98, 88),
}
ORDER: Final[tuple[Kind, ...]] = ("way", "thing", "building")
"""From below."""


@dataclass(frozen=True)
class Footprint:
    """A piece of the set from above: its triangles (n, 3, 2) m; `named`: whether its name stands on the plan."""

    name: str
    kind: Kind
    triangles: Floats
    named: bool = False


@dataclass(frozen=True)
class PlanSet:
    """What stands about: `growth` (2, n) m, places of leaves; `water`: whether each of two arrays of metres, east and
    north, is water."""

    footprints: Sequence[Footprint]
    growth: Floats
    water: Callable[[Floats, Floats], Mask]
    water_name: str = "water"


def draw_set(
    image: Image.Image, shown: PlanSet, *, scale: float, middle: Floats
) -> list[tuple[str, tuple[float, float]]]:
    """Draws it on paper whose middle is a place (2,) m, `scale` pixels to a metre; the names to be written, and where."""
    wide, high = image.size
    names: list[tuple[str, tuple[float, float]]] = []
    wet = _water(shown, wide, high, scale, middle)
    if wet.getbbox() is not None:
        _laid(image, wet, "water")
        names.append((shown.water_name, _within(wet)))
    _laid(image, _growth(shown.growth, wide, high, scale, middle), "growth")
    for kind in ORDER:
        for one in shown.footprints:
            if one.kind != kind:
                continue
            places = (one.triangles - middle) * scale * np.array([1.0, -1.0]) + np.array([wide, high]) / 2.0
            inside = (places.max(axis=1) > 0.0).all(axis=1) & (places.min(axis=1) < (wide, high)).all(axis=1)
            if not inside.any():
                continue
            corner, mask = _filled(places[inside], wide, high)
            _laid(image, mask, kind, corner)
            if one.named:
                x, y = _within(mask)
                names.append((one.name, (x + corner[0], y + corner[1])))
    return names


def _filled(triangles: Floats, wide: int, high: int) -> tuple[tuple[int, int], Image.Image]:
    """Triangles (n, 3, 2) in pixels as a mask no larger than they are on the paper, and where its corner lies."""
    low = np.clip(np.floor(triangles.min(axis=(0, 1))) - MARGIN, 0, (wide - 1, high - 1)).astype(int)
    top = np.clip(np.ceil(triangles.max(axis=(0, 1))) + MARGIN, low + 1, (wide, high)).astype(int)
    mask = Image.new("L", (int(top[0] - low[0]), int(top[1] - low[1])))
    draw = ImageDraw.Draw(mask)
    for corners in (triangles - low).reshape(-1, 6).tolist():
        draw.polygon(corners, fill=255, outline=255)
    return (int(low[0]), int(low[1])), mask


def _laid(image: Image.Image, mask: Image.Image, kind: str, corner: tuple[int, int] = (0, 0)) -> None:
    """Fills a mask whose corner lies at a place of the paper, and draws a line round it."""
    image.paste(FILLS[kind], corner, mask)
    line = ImageChops.subtract(mask.filter(ImageFilter.MaxFilter(5)), mask)
    image.paste(OUTLINES[kind], corner, line)


def _water(shown: PlanSet, wide: int, high: int, scale: float, middle: Floats) -> Image.Image:
    columns, rows = np.arange(0, wide, CELL) + CELL / 2, np.arange(0, high, CELL) + CELL / 2
    east, north = np.meshgrid(middle[0] + (columns - wide / 2) / scale, middle[1] - (rows - high / 2) / scale)
    cells = Image.fromarray(np.where(shown.water(east, north), 255, 0).astype(np.uint8))
    large = cells.resize((len(columns) * CELL, len(rows) * CELL), Image.Resampling.BILINEAR)
    return large.crop((0, 0, wide, high)).point(lambda value: 255 * (value > 127))


def _growth(places: Floats, wide: int, high: int, scale: float, middle: Floats) -> Image.Image:
    """Where something grows, its gaps closed, so that it is a patch and no cloud of specks."""
    across = ((places[0] - middle[0]) * scale + wide / 2) // TUFT
    down = (high / 2 - (places[1] - middle[1]) * scale) // TUFT
    size = -(-wide // TUFT), -(-high // TUFT)
    inside = (across >= 0) & (across < size[0]) & (down >= 0) & (down < size[1])
    cells = np.zeros((size[1], size[0]), np.uint8)
    cells[down[inside].astype(int), across[inside].astype(int)] = 255
    soft = Image.fromarray(cells).filter(ImageFilter.BoxBlur(1))
    large = soft.resize((size[0] * TUFT, size[1] * TUFT), Image.Resampling.BICUBIC)
    return large.crop((0, 0, wide, high)).point(lambda value: 255 * (value > LEAST))


def _within(mask: Image.Image) -> tuple[float, float]:
    """A place well inside a mask: that which is farthest from its edges and the paper's, roughly."""
    small = mask.resize((max(1, mask.width // 16), max(1, mask.height // 16)), Image.Resampling.BOX)
    inside: Mask = np.pad(np.asarray(small) > 127, 1)
    if not inside.any():
        box = mask.getbbox() or (0, 0, *mask.size)
        return (box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0
    while True:
        within = inside.copy()
        within[1:-1, 1:-1] &= inside[:-2, 1:-1] & inside[2:, 1:-1] & inside[1:-1, :-2] & inside[1:-1, 2:]
        if not within.any():
            break
        inside = within
    rows, columns = np.nonzero(inside)
    best = int(np.argmin(np.hypot(rows - rows.mean(), columns - columns.mean())))
    return (float(columns[best]) - 0.5) * 16.0, (float(rows[best]) - 0.5) * 16.0


def nothing_wet(east: Floats, north: Floats) -> Mask:
    """Where there is no water."""
    return np.zeros(np.broadcast(east, north).shape, bool)
