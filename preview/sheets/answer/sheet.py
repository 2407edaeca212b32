"""Sheet: an answer drawn on paper, block below block, on as many sheets as it needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from statistics import median

import numpy as np
from PIL import Image, ImageDraw

from preview.sheets.answer.blocks import (
    Answer,
    Block,
    Cell,
    Drawing,
    Pictures,
    Pixels,
    Table,
    Words,
    heading_of,
)
from preview.sheets.answer.letters import ON_SHEET, lacking
from preview.sheets.contact_sheet import Plan, cell_strips
from preview.sheets.drawing import COLUMN, INK, MARGIN, PAPER, QUIET, RULE, VERMILION, WHITE
from preview.sheets.strip import MEASURE, Field, Line, Placed, Strip, bottom, filled, paragraph, running
from preview.sheets.tables import table_strips

BEFORE = 52.0
"""Pixels from the end of a block to the next one's rule, whatever that ends with."""
NOTE = 14.0
"""Pixels above a note."""
BETWEEN = 12.0
"""Pixels between paragraphs."""
SIGN = 58
"""Pixels across the sign of a caution."""
ASPECT = 16 / 9
"""Of cells that have no picture among them."""


def answer_sheets(answer: Answer) -> list[Image.Image]:
    """The sheets, in order; one, unless that would be longer than a telephone opens."""
    strips: list[Strip] = []
    more = (Words((ON_SHEET,)),) if lacking(answer) else ()
    for number, block in enumerate((*answer.blocks, *more)):
        strips += block_strips(block, first=number == 0)
    return filled(answer.title, answer.about, strips)


def block_strips(block: Block, *, first: bool = False) -> tuple[Strip, ...]:
    """A block from its heading to its note."""
    if isinstance(block, Words) and block.caution:
        return _caution(block)
    head = _heading(block.title) if block.title else Strip(8.0 if first else BEFORE)
    if isinstance(block, Pictures):
        body = cell_strips(block.cells, plan_of(block))
    elif isinstance(block, Table):
        body = (*table_strips(block.heads, block.rows, block.align), *_note(block.note))
    elif isinstance(block, Drawing):
        body = (_drawing(block.pixels), *_note(block.note))
    else:
        body = _paragraphs(block.sentences)
    goes_on = (_heading(f"{block.title}, continued"),) if block.title else ()
    rest = (replace(strip, again=(*goes_on, *strip.again)) for strip in body[1:])
    return (head, *(replace(strip, joined=True) for strip in body[:1]), *rest)


def plan_of(block: Pictures) -> Plan:
    """One to four columns, their names as large as running words, which a telephone shows without being pinched."""
    columns = min(4, max(1, block.columns))
    return Plan(columns, aspect_of(block.cells), name="strong", said=INK, below=44)


def aspect_of(cells: Sequence[Cell]) -> float:
    """Width by height of the place of a picture: that of the highest, but of none much higher than most."""
    aspects = [cell.picture.shape[1] / cell.picture.shape[0] for cell in cells if cell.picture is not None]
    return max(min(aspects), 0.7 * median(aspects)) if aspects else ASPECT


def _heading(text: str) -> Strip:
    lines = paragraph(text, "heading", MARGIN, BEFORE + 14, COLUMN)
    rule = Field((MARGIN, BEFORE - 1, MARGIN + COLUMN, BEFORE + 1), RULE)
    return Strip(bottom(lines) + 14, lines, fields=(rule,))


def _note(text: str) -> tuple[Strip, ...]:
    if not text:
        return ()
    lines = paragraph(text, "small", MARGIN, NOTE, MEASURE, colour=QUIET)
    return (Strip(bottom(lines), lines, joined=True),)


def _drawing(pixels: Pixels) -> Strip:
    """The drawing over the column's width."""
    high = round(COLUMN * pixels.shape[0] / pixels.shape[1])
    if pixels.shape[1] != COLUMN:
        shown = Image.fromarray(np.ascontiguousarray(pixels))
        pixels = np.asarray(shown.resize((COLUMN, high), Image.Resampling.LANCZOS))
    return Strip(float(high), pictures=(Placed(pixels, MARGIN, 0),))


def _paragraphs(sentences: Sequence[str]) -> tuple[Strip, ...]:
    placed = [running(sentence) for sentence in sentences]
    last = len(placed) - 1
    return tuple(Strip(bottom(lines) + BETWEEN * (n < last), lines) for n, lines in enumerate(placed))


def _caution(block: Words) -> tuple[Strip, ...]:
    """A sign, the word, what can hurt; a bar to the left holds it together."""
    left = MARGIN + 24 + SIGN + 26
    width = min(MEASURE, MARGIN + COLUMN - left - 24)
    lines: list[Line] = list(paragraph(heading_of(block), "strong", left, BEFORE + 22, width))
    for sentence in block.sentences:
        lines += running(sentence, left, bottom(lines) + BETWEEN / 2, width)
    end = max(bottom(lines), BEFORE + 22 + SIGN) + 22
    bar = Field((MARGIN, BEFORE, MARGIN + 8, end), VERMILION)
    sign = Placed(caution_sign(SIGN), MARGIN + 32, round(BEFORE) + 22)
    return (Strip(end, tuple(lines), (sign,), (bar,)),)


@lru_cache(maxsize=4)
def caution_sign(size: int) -> Pixels:
    """A triangle with a mark of exclamation in it (h, w, 3), as safety signs have it: a shape beside the colour."""
    fine = 8
    n = size * fine
    image = Image.new("RGB", (n, n), PAPER)
    draw = ImageDraw.Draw(image)
    edge, top, base = 0.03 * n, 0.05 * n, 0.92 * n
    round_by = 0.045 * n
    corners = [
        (n / 2, top + round_by),
        (n - edge - round_by, base - round_by),
        (edge + round_by, base - round_by),
    ]
    draw.polygon(corners, fill=VERMILION)
    for at, to in zip(corners, corners[1:] + corners[:1], strict=True):
        draw.line((*at, *to), fill=VERMILION, width=round(2 * round_by))
    for x, y in corners:
        draw.ellipse((x - round_by, y - round_by, x + round_by, y + round_by), fill=VERMILION)
    thick = 0.045 * n
    draw.polygon(
        [
            (n / 2 - thick * 1.15, 0.36 * n),
            (n / 2 + thick * 1.15, 0.36 * n),
            (n / 2 + thick * 0.7, 0.65 * n),
            (n / 2 - thick * 0.7, 0.65 * n),
        ],
        fill=WHITE,
    )
    draw.ellipse((n / 2 - thick, 0.72 * n, n / 2 + thick, 0.72 * n + 2 * thick), fill=WHITE)
    return np.asarray(image.resize((size, size), Image.Resampling.LANCZOS))
