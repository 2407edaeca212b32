"""Contact sheet: many small pictures in columns, each with its caption below it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preview.sheets.drawing import COLUMN, INK, MARGIN, QUIET, Sheet, Style, font, line_height, wrap

GAP = 24
"""Pixels between columns."""
BELOW = 26
"""Pixels under a row."""
LEAD = 8
"""Pixels between a picture and its caption."""


@dataclass(frozen=True)
class Plan:
    """How pictures lie: in so many `columns`, each so many times as wide as high (`aspect`)."""

    columns: int
    aspect: float

    @property
    def width(self) -> int:
        """Pixels across a picture."""
        return (COLUMN - GAP * (self.columns - 1)) // self.columns

    @property
    def height(self) -> int:
        return round(self.width / self.aspect)


@dataclass(frozen=True)
class Shown:
    """A picture (h, w, 3) with its caption, and what else is said of it."""

    picture: NDArray[np.uint8]
    caption: str
    note: str = ""


@dataclass(frozen=True)
class Line:
    """A line of text that was placed: its top left corner and what it takes, pixels."""

    text: str
    style: Style
    x: float
    y: float
    width: float
    height: float


def contact_sheet(title: str, about: str, shown: Sequence[Shown], plan: Plan) -> Image.Image:
    """A sheet of pictures, row by row."""
    return laid_out(title, about, shown, plan)[0]


def laid_out(
    title: str, about: str, shown: Sequence[Shown], plan: Plan
) -> tuple[Image.Image, tuple[Line, ...]]:
    """The sheet, and where each line of its captions stands."""
    sheet = Sheet(title, about)
    lines: list[Line] = []
    for first in range(0, len(shown), plan.columns):
        row = shown[first : first + plan.columns]
        captions = [_caption(one, plan.width) for one in row]
        tall = plan.height + LEAD + max(sum(line_height(style) for _, style in text) for text in captions)
        sheet.reserve(tall + BELOW)
        top = int(sheet.y)
        for column, (one, text) in enumerate(zip(row, captions, strict=True)):
            left = MARGIN + column * (plan.width + GAP)
            sheet.paste(one.picture, (left, top))
            y = float(top + plan.height + LEAD)
            for words, style in text:
                sheet.draw.text((left, y), words, font=font(style), fill=INK if style == "label" else QUIET)
                lines.append(Line(words, style, left, y, font(style).getlength(words), line_height(style)))
                y += line_height(style)
        sheet.y = top + tall + BELOW
    return sheet.finished(), tuple(lines)


def _caption(one: Shown, width: int) -> list[tuple[str, Style]]:
    """The lines below a picture."""
    strong: list[tuple[str, Style]] = [(line, "label") for line in wrap(one.caption, "label", width)]
    quiet: list[tuple[str, Style]] = [(line, "small") for line in wrap(one.note, "small", width)]
    return strong + (quiet if one.note else [])
