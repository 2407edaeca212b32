"""Tables: rows under their heads, drawn on a sheet, whatever their words are.

Where columns do not stand side by side the type goes one size down, then columns go on below; where not even one fits
beside the names of rows, each row becomes a list of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import accumulate

from preview.sheets.drawing import (
    COLUMN,
    MARGIN,
    QUIET,
    RULE,
    SHADE,
    Align,
    Sheet,
    Style,
    figures_width,
    length,
    line_height,
)
from preview.sheets.fit import Part, Room, is_number, parted, tail
from preview.sheets.strip import Field, Line, Strip, bottom, pairs, paragraph, put
from preview.sheets.unbroken import bound

LEAST_GAP = 28.0
MOST_GAP = 60.0
"""Pixels between columns."""
NARROWEST = 170.0
"""Pixels that a column of words is not made narrower than, if it was wider."""
APART = 12.0
"""Pixels between rows of which one at least is wrapped."""
AGAIN = 22.0
"""Pixels above columns that go on below."""
STYLES: tuple[Style, ...] = ("body", "small")


def table(sheet: Sheet, heads: Sequence[str], rows: Sequence[Sequence[str]], align: Sequence[Align]) -> None:
    """Draws a table at the sheet's place; a `decimal` column lines up on its points."""
    for strip in table_strips(heads, rows, align):
        put(sheet, strip)


def table_strips(
    heads: Sequence[str], rows: Sequence[Sequence[str]], align: Sequence[Align]
) -> tuple[Strip, ...]:
    """The head, then a strip for each row; both again for columns that go on below."""
    parts = parted(heads, rows, align, [_room(style) for style in STYLES])
    if parts is None:
        return tuple(_listed(heads, row, joined=not n) for n, row in enumerate(rows))
    strips: list[Strip] = []
    for part in parts:
        if strips:
            strips.append(Strip(AGAIN))
        strips += _side_by_side(
            [heads[i] for i in part.columns],
            [[row[i] for i in part.columns] for row in rows],
            [align[i] for i in part.columns],
            part,
        )
    return tuple(strips)


def _room(style: Style) -> Room:
    # A pixel more than is measured, for what rounding adds.
    return Room(
        COLUMN,
        LEAST_GAP,
        NARROWEST,
        lambda text: figures_width(text, style) + 1 if text else 0.0,
        lambda text: length(text, "label") + 1,
    )


def _side_by_side(
    heads: Sequence[str], rows: Sequence[Sequence[str]], align: Sequence[Align], part: Part
) -> tuple[Strip, ...]:
    style, widths = STYLES[part.room], part.widths
    gap = min(MOST_GAP, max(LEAST_GAP, (COLUMN - sum(widths)) / max(1, len(widths) - 1)))
    starts = list(accumulate([float(MARGIN), *(width + gap for width in widths[:-1])]))
    head = _head(heads, align, starts, widths)
    tails = [max([figures_width(tail(row[i]), style) for row in rows] + [0.0]) for i in range(len(heads))]
    placed = [
        tuple(
            line
            for i, value in enumerate(row)
            for line in _value(value, style, starts[i], widths[i], align[i], tails[i])
        )
        for row in rows
    ]
    one = float(line_height(style))
    apart = APART if any(bottom(lines) > one for lines in placed) else 0.0
    strips = [head]
    for n, lines in enumerate(placed):
        deep = bottom(lines, one)
        under = Field((MARGIN, deep + apart / 2, MARGIN + COLUMN, deep + apart / 2 + 1), SHADE)
        last = n == len(placed) - 1
        strips.append(
            Strip(
                deep if last else deep + 2 + apart,
                lines,
                fields=() if last else (under,),
                joined=not n,
                again=(head,),
            )
        )
    return tuple(strips)


def _value(
    value: str, style: Style, start: float, width: float, align: Align, longest_tail: float
) -> tuple[Line, ...]:
    if is_number(value) and align == "decimal":
        text = bound(value)
        wide = figures_width(text, style)
        left = start + width - longest_tail - (wide - figures_width(tail(value), style))
        return (Line(text, style, left, 0.0, wide, line_height(style), even=True),)
    even = is_number(value) or align != "left"
    return paragraph(value, style, start, 0.0, width, align=align, even=even)


def _head(
    heads: Sequence[str], align: Sequence[Align], starts: Sequence[float], widths: Sequence[float]
) -> Strip:
    """Heads that end on one line, above a rule."""
    placed = [
        paragraph(head, "label", starts[i], 0.0, widths[i], colour=QUIET, align=align[i])
        for i, head in enumerate(heads)
    ]
    deep = max([bottom(lines) for lines in placed] + [float(line_height("label"))])
    lines = tuple(replace(one, y=one.y + deep - bottom(lines)) for lines in placed for one in lines)
    rule = Field((MARGIN, deep + 3, MARGIN + COLUMN, deep + 5), RULE)
    return Strip(deep + 10, lines, fields=(rule,))


def _listed(heads: Sequence[str], row: Sequence[str], *, joined: bool) -> Strip:
    """A row by itself: its first value as a heading, the others below it with their heads as names."""
    name = paragraph(row[0], "strong", MARGIN, 0.0, COLUMN)
    named = list(zip(heads[1:], row[1:], strict=True))
    lines = (*name, *pairs(named, "body", MARGIN, bottom(name), COLUMN, names=0.4 * COLUMN))
    return Strip(bottom(lines) + APART, lines, joined=joined)
