"""Contact sheet: pictures in columns, row by row, each with what is said of it below it.

All of a row stands in line: pictures, names, figure by figure what is measured, sentences.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image

from preview.sheets.answer.blocks import Cell, Pixels
from preview.sheets.drawing import COLUMN, MARGIN, QUIET, SHADE, Colour, Style, length, line_height, wrap
from preview.sheets.strip import (
    BESIDE,
    Field,
    Line,
    Placed,
    Strip,
    bottom,
    filled,
    paragraph,
)
from preview.sheets.unbroken import bound

GAP = 24
"""Pixels between columns."""
LEAD = 8
"""Pixels between a picture and its name."""
APART = 10
"""Pixels between a name and its figures, and between figures and sentences."""
NAMES = 0.46
"""Share of a column that names of figures take at most."""


@dataclass(frozen=True)
class Plan:
    """How pictures lie: in so many `columns`, each so many times as wide as high (`aspect`).

    `name`: how large the names below them are; `said`: the colour of sentences; `below`: pixels between rows.
    """

    columns: int
    aspect: float
    name: Style = "label"
    said: Colour = QUIET
    below: int = 26

    @property
    def width(self) -> int:
        """Pixels across a picture."""
        return (COLUMN - GAP * (self.columns - 1)) // self.columns

    @property
    def height(self) -> int:
        return round(self.width / self.aspect)


def contact_sheet(title: str, about: str, cells: Sequence[Cell], plan: Plan) -> Image.Image:
    """One sheet of pictures, as long as they need."""
    return filled(title, about, cell_strips(cells, plan), longest=float("inf"))[0]


def cell_strips(cells: Sequence[Cell], plan: Plan) -> tuple[Strip, ...]:
    """A strip for each row of pictures."""
    names = _names_width(cells, plan)
    rows = [
        _row(cells[first : first + plan.columns], plan, names) for first in range(0, len(cells), plan.columns)
    ]
    return tuple(replace(row, height=row.height + plan.below) for row in rows[:-1]) + tuple(rows[-1:])


def _row(cells: Sequence[Cell], plan: Plan, names: float) -> Strip:
    lefts = [MARGIN + column * (plan.width + GAP) for column in range(len(cells))]
    pictures: list[Placed] = []
    fields: list[Field] = []
    lines: list[Line] = []
    below: list[tuple[str, ...]] = []
    for cell, left in zip(cells, lefts, strict=True):
        said, untold = _field(cell, left, plan)
        below.append(untold)
        lines += said
        if cell.picture is None:
            fields.append(Field((left, 0, left + plan.width, plan.height), SHADE))
        else:
            pictures.append(_placed(cell.picture, left, plan))
    headings = [
        paragraph(cell.name, plan.name, left, plan.height + LEAD, plan.width)
        for cell, left in zip(cells, lefts, strict=True)
    ]
    y = max(bottom(heading) for heading in headings)
    lines += [line for heading in headings for line in heading]
    under = y
    if any(cell.figures for cell in cells):
        under = y + APART
        figured, y = _figures(cells, lefts, plan.width, names, under)
        lines += figured
    told = [
        _sentences(sentences, left, y + APART if cell.figures else under, plan)
        for cell, sentences, left in zip(cells, below, lefts, strict=True)
    ]
    lines += [line for one in told for line in one]
    y = max([y] + [bottom(one, y) for one in told])
    return Strip(y, tuple(lines), tuple(pictures), tuple(fields))


def _figures(
    cells: Sequence[Cell], lefts: Sequence[int], width: int, names: float, y: float
) -> tuple[list[Line], float]:
    """Figures below one another, those of all cells in line; where they end."""
    lines: list[Line] = []
    for i in range(max(len(cell.figures) for cell in cells)):
        row: list[Line] = []
        for cell, left in zip(cells, lefts, strict=True):
            if i < len(cell.figures):
                name, value = cell.figures[i]
                row += paragraph(name, "small", left, y, names, colour=QUIET)
                row += paragraph(value, "small", left + names + BESIDE, y, width - names - BESIDE)
        y = bottom(row, y)
        lines += row
    return lines, y


def _names_width(cells: Sequence[Cell], plan: Plan) -> float:
    """Pixels for the names of figures, the same in all cells."""
    widest = max([length(bound(name), "small") for cell in cells for name, _ in cell.figures] + [0.0])
    return min(widest + 1, NAMES * plan.width)


def _sentences(sentences: Sequence[str], x: float, y: float, plan: Plan) -> tuple[Line, ...]:
    lines: list[Line] = []
    for sentence in sentences:
        lines += paragraph(sentence, "small", x, y, plan.width, colour=plan.said)
        y = bottom(lines, y) + APART
    return tuple(lines)


def _field(cell: Cell, left: float, plan: Plan) -> tuple[tuple[Line, ...], tuple[str, ...]]:
    """What stands in the field of a cell without a picture, in its middle, and which sentences stand below it."""
    if cell.picture is not None:
        return (), cell.sentences
    first, *others = cell.sentences or ("No picture.",)
    styles: tuple[tuple[Style, int], ...] = (("body", 28), ("small", 14))
    for style, inset in styles:
        width = plan.width - 2 * inset
        deep = len(wrap(first, style, width)) * line_height(style)
        if deep <= plan.height - 2 * inset:
            return paragraph(first, style, left + inset, (plan.height - deep) / 2, width), tuple(others)
    y = (plan.height - line_height("small")) / 2
    return paragraph("No picture: see below.", "small", left + inset, y, width), cell.sentences


def _placed(pixels: Pixels, left: int, plan: Plan) -> Placed:
    """A picture as large as its place allows, at the foot of it, near its name."""
    high, wide = pixels.shape[:2]
    scale = min(plan.width / wide, plan.height / high)
    size = (max(1, min(plan.width, round(wide * scale))), max(1, min(plan.height, round(high * scale))))
    if abs(size[0] - plan.width) <= 1 and abs(size[1] - plan.height) <= 1:
        size = (plan.width, plan.height)
    if size != (wide, high):
        shown = Image.fromarray(np.ascontiguousarray(pixels)).resize(size, Image.Resampling.LANCZOS)
        pixels = np.asarray(shown)
    return Placed(pixels, left, plan.height - size[1])
