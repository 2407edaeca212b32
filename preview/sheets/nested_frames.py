"""Nested frames: frame lines one in the other, on the widest picture or on paper, each with its name on a tab.

A line is told from the next by its strokes as well as by its colour. Tabs never lie on one another.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from preview.sheets.drawing import (
    COLUMN,
    GREEN,
    INK,
    PAPER,
    QUIET,
    SHADE,
    WHITE,
    Box,
    Colour,
    font,
    overlap,
    rectangle_path,
)

Pixels = NDArray[np.uint8]

# Of the palette that stays apart in every kind of colour vision. Source: Okabe and Ito 2008, as in drawing.py.
ORANGE: Colour = (230, 159, 0)
SKY_BLUE: Colour = (86, 180, 233)
YELLOW: Colour = (240, 228, 66)
PURPLE: Colour = (204, 121, 167)
COLOURS: Final[tuple[Colour, ...]] = (YELLOW, SKY_BLUE, ORANGE, WHITE, PURPLE, GREEN)
STROKES: Final[tuple[tuple[float, ...], ...]] = (
    (1.0, 0.0),
    (22.0, 12.0),
    (5.0, 8.0),
    (26.0, 8.0, 5.0, 8.0),
    (48.0, 14.0),
)
"""Lengths of stroke and gap in turn, pixels; the first has no gaps."""
HIGHEST: Final = 1040
"""Pixels that a drawing may be high."""
EDGE: Final = 12
TAKEN: Final = 1e6
"""What it costs to lie on another tab: more than all lines that there are."""
SAMPLE, TAB = 56.0, 46.0
"""Pixels of a tab's sample of its line, and of its height."""


@dataclass(frozen=True)
class FrameLine:
    """A frame by half its width and height, in one unit for all. `own`: drawn heavier. `about`: half sizes of the whole
    format that it lies on, where it does not fill it."""

    name: str
    half_width: float
    half_height: float
    own: bool = False
    about: tuple[float, float] | None = None


def stroke_of(number: int) -> tuple[Colour, tuple[float, ...]]:
    """Colour and strokes of the line of that number: neighbours differ in both."""
    return COLOURS[number % len(COLOURS)], STROKES[number % len(STROKES)]


def nested_frames(
    lines: Sequence[FrameLine],
    *,
    picture: Pixels | None = None,
    picture_half: tuple[float, float] = (0.0, 0.0),
    circle: float | None = None,
) -> Pixels:
    """The drawing (h, COLUMN, 3). `picture` (h, w, 3) with half its width and height lies in the middle, all lines about
    one middle with it, the widest first; `circle`: the radius that a lens covers."""
    sizes = [(line.half_width, line.half_height) for line in lines]
    sizes += [line.about for line in lines if line.about is not None]
    sizes += [picture_half] + ([(circle, circle)] if circle is not None and picture is None else [])
    wide, high = (max(size[axis] for size in sizes) for axis in (0, 1))
    scale = min((COLUMN - 2 * EDGE) / (2.0 * wide), (HIGHEST - 2 * EDGE) / (2.0 * high))
    image = Image.new(
        "RGB", (COLUMN, round(2.0 * high * scale) + 2 * EDGE), SHADE if picture is not None else PAPER
    )
    draw = ImageDraw.Draw(image)
    middle = COLUMN / 2, image.height / 2

    def box(half_width: float, half_height: float) -> Box:
        w, h = half_width * scale, half_height * scale
        return middle[0] - w, middle[1] - h, middle[0] + w, middle[1] + h

    if picture is not None:
        left, top, right, bottom = (round(side) for side in box(*picture_half))
        shown = Image.fromarray(np.ascontiguousarray(picture))
        image.paste(shown.resize((right - left, bottom - top), Image.Resampling.LANCZOS), (left, top))
    if circle is not None and picture is None:
        draw.ellipse(box(circle, circle), fill=SHADE, outline=QUIET, width=2)
    elif circle is not None:
        draw.ellipse(box(circle, circle), outline=INK, width=6)
        draw.ellipse(box(circle, circle), outline=PAPER, width=2)
    for line in lines:
        if line.about is not None:
            draw.rectangle(box(*line.about), outline=QUIET, width=2)
    boxes = [box(line.half_width, line.half_height) for line in lines]
    for number, (line, where) in enumerate(zip(lines, boxes, strict=True)):
        stroked(draw, rectangle_path(where), number, width=6 if line.own else 4)
    tab_sizes = [tab_size(line.name) for line in lines]
    places = place_tabs(boxes, tab_sizes, (0.0, 0.0, float(COLUMN), float(image.height)))
    for number, (line, place) in enumerate(zip(lines, places, strict=True)):
        tab(draw, place, line.name, number, own=line.own)
    return np.asarray(image)


def tab_size(name: str) -> tuple[float, float]:
    return font("label").getlength(name) + SAMPLE + 34.0, TAB


def tab(
    draw: ImageDraw.ImageDraw, at: tuple[float, float], name: str, number: int, *, own: bool = False
) -> None:
    """A name beside a sample of its line."""
    (x, y), (w, h) = at, tab_size(name)
    draw.rectangle((x, y, x + w - 1, y + h - 1), fill=PAPER, outline=INK, width=2)
    stroked(draw, [(x + 10, y + h / 2), (x + 10 + SAMPLE, y + h / 2)], number, width=6 if own else 4)
    draw.text((x + SAMPLE + 22, y + h / 2 - 2), name, font=font("label"), fill=INK, anchor="lm")


def stroked(
    draw: ImageDraw.ImageDraw, points: Sequence[tuple[float, float]], number: int, *, width: int = 4
) -> None:
    """A line through points in the colour and strokes of its number, dark along both sides and in its gaps."""
    colour, strokes = stroke_of(number)
    draw.line(list(points), fill=INK, width=width + 3, joint="curve")
    if strokes[1] == 0.0:
        draw.line(list(points), fill=colour, width=width, joint="curve")
        return
    stroke, left = 0, strokes[0]
    for (x0, y0), (x1, y1) in pairwise(points):
        length, gone = float(np.hypot(x1 - x0, y1 - y0)), 0.0
        while gone < length:
            step = min(left, length - gone)
            if stroke % 2 == 0:
                a, b = gone / length, (gone + step) / length
                ends = (x0 + a * (x1 - x0), y0 + a * (y1 - y0), x0 + b * (x1 - x0), y0 + b * (y1 - y0))
                draw.line(ends, fill=colour, width=width)
            gone, left = gone + step, left - step
            if left <= 1e-9:
                stroke = (stroke + 1) % len(strokes)
                left = strokes[stroke]


def place_tabs(
    boxes: Sequence[Box], sizes: Sequence[tuple[float, float]], bounds: Box
) -> list[tuple[float, float]]:
    """Top left corners of tabs for frame lines `boxes`, inside `bounds`, none on another.

    Each hangs from its line's top edge near the left, else stands on the bottom one, else lies outside, else wherever
    there is room; of those places it takes the one where it hides least of other lines.
    """
    placed: list[Box] = []
    for number, (box, (w, h)) in enumerate(zip(boxes, sizes, strict=True)):
        best = (inf, box[0], box[1])
        for candidates in (_beside(box, w, h), _anywhere(box, w, h, bounds)):
            for cost, x, y in candidates:
                x, y = min(max(x, bounds[0]), bounds[2] - w), min(max(y, bounds[1]), bounds[3] - h)
                here = (x, y, x + w, y + h)
                cost += TAKEN * sum(overlap(here, other) > 0.0 for other in placed)
                cost += sum(_hidden(here, other) for i, other in enumerate(boxes) if i != number)
                best = min(best, (cost, x, y))
            if best[0] < TAKEN:
                break
        placed.append((best[1], best[2], best[1] + w, best[2] + h))
    return [(place[0], place[1]) for place in placed]


def _beside(box: Box, w: float, h: float) -> list[tuple[float, float, float]]:
    """Places for a tab at its line, each with what it costs, in pixels of hidden line."""
    left, top, right, bottom = box
    found = []
    if right - left >= w and bottom - top >= h:
        for x in np.append(np.arange(left, right - w, 24.0), right - w):
            cost = 0.05 * (x - left)
            found += [(cost, float(x), top), (cost + 20.0, float(x), bottom - h)]
    for x in ((left + right - w) / 2, left, right - w):
        found += [(60.0, x, top - h - 3), (70.0, x, bottom + 3)]
    return found


def _anywhere(box: Box, w: float, h: float, bounds: Box) -> list[tuple[float, float, float]]:
    """Places for a tab all over, the nearer to its line the better."""
    left, top, right, _ = box
    return [
        (400.0 + abs(x + w / 2 - (left + right) / 2) + abs(y + h / 2 - top), float(x), float(y))
        for x in np.arange(bounds[0], bounds[2] - w, 24.0)
        for y in np.arange(bounds[1], bounds[3] - h, 16.0)
    ]


def _hidden(tab_box: Box, line: Box) -> float:
    """Pixels of a frame line that a tab hides."""
    left, top, right, bottom = line
    across = max(0.0, min(tab_box[2], right) - max(tab_box[0], left))
    upright = max(0.0, min(tab_box[3], bottom) - max(tab_box[1], top))
    hides_across = sum(tab_box[1] < y < tab_box[3] for y in (top, bottom))
    hides_upright = sum(tab_box[0] < x < tab_box[2] for x in (left, right))
    return across * hides_across + upright * hides_upright
