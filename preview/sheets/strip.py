"""Strip: a piece of a sheet, as wide as it, planned before it is drawn and never cut; sheets are filled with strips.

What a strip holds is known by place and size before anything is drawn, so that it can be measured against the rest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preview.sheets.drawing import (
    HEADED,
    INK,
    MARGIN,
    QUIET,
    Align,
    Colour,
    Sheet,
    Style,
    figures_width,
    font,
    headed_height,
    length,
    line_height,
    wrap,
)
from preview.sheets.even_digits import figures

LONGEST = 6000
"""Pixels that a sheet may be long before it goes on on another: what a telephone still opens at full size."""
MEASURE = 1160
"""Pixels that a line of running words may be long: some 75 letters, from which an eye finds its way back."""
LAST = 0.25
"""Share of the measure that a paragraph's last line fills at least, where its lines can be made shorter for it."""
SHORTER = (0.95, 0.9, 0.85, 0.8, 0.75, 0.7)
"""Shares of the measure that lines are made, in turn, until the last of them is not too short."""
BESIDE = 20.0
"""Pixels between a name and what it is."""


@dataclass(frozen=True)
class Line:
    """A line of text: its top left corner and what it takes, pixels; `even` gives all digits one width."""

    text: str
    style: Style
    x: float
    y: float
    width: float
    height: float
    colour: Colour = INK
    even: bool = False


@dataclass(frozen=True)
class Placed:
    """A picture (h, w, 3) as it is, with its top left corner, pixels."""

    pixels: NDArray[np.uint8]
    x: int
    y: int


@dataclass(frozen=True)
class Field:
    """A rectangle of one colour: left, top, right, bottom, pixels; the last two are outside."""

    box: tuple[float, float, float, float]
    colour: Colour


@dataclass(frozen=True)
class Strip:
    """`height` in pixels, and what stands in it, measured from the sheet's left edge and the strip's top.

    `joined` strips stay on the sheet of the strip before them. `again` are drawn above one that begins a sheet.
    """

    height: float
    lines: tuple[Line, ...] = ()
    pictures: tuple[Placed, ...] = ()
    fields: tuple[Field, ...] = ()
    joined: bool = False
    again: tuple[Strip, ...] = ()


def paragraph(
    text: str,
    style: Style,
    x: float,
    y: float,
    width: float,
    *,
    colour: Colour = INK,
    align: Align = "left",
    even: bool = False,
) -> tuple[Line, ...]:
    """Lines of a text from a place down, no wider than `width` px."""
    lines = []
    for words in fairly_wrapped(text, style, width, even=even):
        wide = figures_width(words, style) if even else length(words, style)
        left = x if align == "left" else x + width - wide
        lines.append(Line(words, style, left, y, wide, line_height(style), colour, even))
        y += line_height(style)
    return tuple(lines)


def fairly_wrapped(text: str, style: Style, width: float, *, even: bool = False) -> list[str]:
    """As few lines as `wrap` makes, of which the last has more than a word or two where that can be."""
    lines = wrap(text, style, width, even=even)
    if len(lines) == 1 or length(lines[-1], style) >= LAST * width:
        return lines
    longest = max(length(word, style) for word in " ".join(lines).split(" "))
    for share in SHORTER:
        if longest > share * width:
            break
        shorter = wrap(text, style, share * width, even=even)
        if len(shorter) > len(lines):
            break
        if length(shorter[-1], style) >= LAST * width:
            return shorter
    return lines


def bottom(lines: Sequence[Line], otherwise: float = 0.0) -> float:
    """Where the last of some lines ends, pixels."""
    return max((line.y + line.height for line in lines), default=otherwise)


def pairs(
    named: Sequence[tuple[str, str]], style: Style, x: float, y: float, width: float, *, names: float
) -> tuple[Line, ...]:
    """Quiet names to the left, at most `names` px wide, what they are beside them, one below the other."""
    lines: list[Line] = []
    left = min(names, max([length(name, style) for name, _ in named] + [0.0]) + 1)
    for name, value in named:
        both = (
            *paragraph(name, style, x, y, left, colour=QUIET),
            *paragraph(value, style, x + left + BESIDE, y, width - left - BESIDE),
        )
        lines += both
        y = bottom(both)
    return tuple(lines)


def running(text: str, x: float = MARGIN, y: float = 0.0, width: float = MEASURE) -> tuple[Line, ...]:
    """Lines of running words."""
    return paragraph(text, "body", x, y, width)


def put(sheet: Sheet, strip: Strip) -> None:
    """Draws a strip at the sheet's place and moves that on."""
    sheet.reserve(strip.height)
    top = sheet.y
    for field in strip.fields:
        left, up, right, down = field.box
        sheet.draw.rectangle((left, top + up, right - 1, top + down - 1), fill=field.colour)
    for picture in strip.pictures:
        sheet.paste(picture.pixels, (picture.x, int(top) + picture.y))
    for line in strip.lines:
        at = (line.x, top + line.y)
        if line.even:
            figures(sheet.draw, at, line.text, line.style, line.colour)
        else:
            sheet.draw.text(at, line.text, font=font(line.style), fill=line.colour)
    sheet.y += strip.height


def filled(title: str, about: str, strips: Sequence[Strip], *, longest: float = LONGEST) -> list[Image.Image]:
    """As many sheets as the strips need when none is longer than `longest` px, about equally long."""
    top = headed_height(title, about)
    numbered = top + line_height("small")
    groups = _groups(strips)
    room = max(1.0, longest - numbered - MARGIN)
    count = len(_parted(groups, room))
    if count > 1:
        low, high = 1.0, room
        while high - low > 1:
            middle = (low + high) / 2
            low, high = (low, middle) if len(_parted(groups, middle)) == count else (middle, high)
        room = high
    sheets = []
    for number, part in enumerate(_parted(groups, room)):
        whole = (*(part[0].again if number and part else ()), *part)
        # From the head down, as they are drawn, so that both come to the same.
        height = sum((strip.height for strip in whole), numbered if count > 1 else top)
        sheet = _headed(title, about, f"Sheet {number + 1} of {count}" if count > 1 else "", height)
        for strip in whole:
            put(sheet, strip)
        sheets.append(sheet.finished())
    return sheets


def _headed(title: str, about: str, number: str, height: float) -> Sheet:
    sheet = Sheet(title, about, height=height)
    if number:
        sheet.y -= HEADED
        sheet.text(number, "small", colour=QUIET)
        sheet.y += HEADED
    return sheet


def _groups(strips: Sequence[Strip]) -> list[list[Strip]]:
    groups: list[list[Strip]] = []
    for strip in strips:
        if strip.joined and groups:
            groups[-1].append(strip)
        else:
            groups.append([strip])
    return groups


def _parted(groups: Sequence[Sequence[Strip]], room: float) -> list[list[Strip]]:
    """Whole groups, filled into parts of `room` px; a group that is longer has a part of its own."""
    parts: list[list[Strip]] = []
    used = 0.0
    for group in groups:
        height = sum(strip.height for strip in group)
        if not parts or used + height > room:
            parts.append([])
            used = sum(strip.height for strip in group[0].again) if len(parts) > 1 else 0.0
        parts[-1] += group
        used += height
    return parts or [[]]
