"""Meter card: the readings to hold on set: large light figures on a dark ground, upright as a telephone is held.

Up to four marks a card: the stop first, then what it reads, then what each fixture gives alone, by which heads are set.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import ceil
from typing import Final

from PIL import Image, ImageDraw, ImageFont

from preview.sheets.answer.words import percent
from preview.sheets.meter_report import MarkReport, MeterReport, Ratio
from preview.sheets.meter_text import MOST_TO_ONE, stops_counted
from preview.sheets.report import exposure_line, reading

Colour = tuple[int, int, int]

WIDTH: Final = 1080
MARGIN: Final = 48
MARKS: Final = 4
"""The most on one card."""
LINES: Final = 4
"""Fixtures that a mark shows; the rest are summed up."""
GROUND: Final[Colour] = (10, 11, 13)
BLOCK: Final[Colour] = (26, 28, 32)
LIGHT: Final[Colour] = (246, 243, 235)
QUIET: Final[Colour] = (172, 174, 178)
WARM: Final[Colour] = (255, 196, 92)
LEAST_SHARE: Final = 0.005
BAR: Final = 100
FC: Final = 562
LX: Final = 764
"""Where the columns of footcandles and lux end."""
CELL: Final = 210
NOTE: Final = 44
"""Height of what is said of where the meter is held."""


@lru_cache(maxsize=16)
def _type(size: int, *, strong: bool = False) -> ImageFont.FreeTypeFont:
    import font_source_sans_pro

    face = "SourceSansProSemibold" if strong else "SourceSansPro"
    return ImageFont.truetype(getattr(font_source_sans_pro, face), size)


def meter_cards(report: MeterReport) -> list[Image.Image]:
    """One card for up to MARKS marks, more beyond; one that says so where there are none."""
    pages = max(1, ceil(len(report.marks) / MARKS))
    cards = []
    for page in range(pages):
        marks = report.marks[page * MARKS : (page + 1) * MARKS]
        cards.append(_card(report, marks, f"{page + 1} of {pages}" if pages > 1 else ""))
    return cards


def _card(report: MeterReport, marks: Sequence[MarkReport], page: str) -> Image.Image:
    heights = [_block_height(mark) for mark in marks]
    head = 232
    card = Image.new("RGB", (WIDTH, head + sum(heights) + 24 * len(heights) + 24), GROUND)
    draw = ImageDraw.Draw(card)
    look = f", look {report.look}" if report.look else ""
    room = WIDTH - 2 * MARGIN
    _fitted(draw, (MARGIN, 32), report.title, 58, room - (140 if page else 0), LIGHT, strong=True)
    if page:
        _right(draw, WIDTH - MARGIN, 46, page, 40, QUIET)
    _fitted(draw, (MARGIN, 104), f"{report.setup}{look}: {exposure_line(report)}", 38, room, QUIET)
    grey = (
        f"Grey: {reading(report.grey_footcandles)} fc ({reading(report.grey_lux)} lx) flat, "
        f"{reading(report.grey_dome_footcandles)} fc ({reading(report.grey_dome_lux)} lx) dome"
    )
    _fitted(draw, (MARGIN, 154), grey, 42, room, LIGHT)
    top = head
    for mark, height in zip(marks, heights, strict=True):
        draw.rectangle((24, top, WIDTH - 24, top + height), fill=BLOCK)
        _block(draw, mark, top)
        top += height + 24
    if not marks:
        draw.text((MARGIN, head - 24), "No marks and nobody in the set.", font=_type(44), fill=QUIET)
    return card


def _shown(mark: MarkReport) -> list[tuple[str, float, float, float]]:
    """Name, footcandles, lux and share of what each fixture gives alone, most first; the lesser ones as one."""
    told = [
        (one.fixture, one.footcandles, one.lux, one.share)
        for one in mark.fixtures
        if one.share >= LEAST_SHARE
    ]
    if len(told) <= LINES:
        return told
    rest = told[LINES - 1 :]
    footcandles, lux, share = (sum(column) for column in list(zip(*rest, strict=True))[1:])
    return [*told[: LINES - 1], (f"{len(rest)} others", footcandles, lux, share)]


def _block_height(mark: MarkReport) -> int:
    return 412 + 58 * max(1, len(_shown(mark))) + 16 + (NOTE if mark.note else 0)


def _block(draw: ImageDraw.ImageDraw, mark: MarkReport, top: int) -> None:
    left, right = MARGIN, WIDTH - MARGIN
    _fitted(draw, (left, top + 12), mark.name, 50, right - left - 400, LIGHT, strong=True)
    stops = mark.flat.stops
    if stops is not None:
        over = (
            "at grey" if abs(stops) < 0.05 else f"{stops_counted(stops)} {'over' if stops > 0.0 else 'under'}"
        )
        _right(draw, right, top + 12, over, 50, WARM, strong=True)
    # The stop, as large as the card can hold it.
    words = mark.flat.stop_words.replace(" and a third", " ⅓").replace(" and two thirds", " ⅔")
    _fitted(draw, (left, top + 62), words, 138, 470, LIGHT, strong=True)
    _right(draw, right, top + 84, f"{reading(mark.flat.footcandles)} fc", 92, LIGHT, strong=True)
    _fitted(
        draw,
        (left, top + 224),
        f"dome {mark.dome.stop_words}, {reading(mark.dome.footcandles)} fc, {reading(mark.dome.lux)} lx",
        40,
        right - left - 200,
        QUIET,
    )
    _right(draw, right, top + 190, f"{reading(mark.flat.lux)} lx", 40, QUIET)
    ratios = [f"key + fill to fill {_to_one(mark.key.ratio if mark.key else None)}"]
    if mark.cheeks is not None:
        even = mark.cheeks.brighter == "even"
        ratios.append("cheeks even" if even else f"cheeks {_to_one(mark.cheeks.ratio)}")
    if mark.behind is not None and mark.behind.stops is not None:
        stops = mark.behind.stops
        ratios.append(f"behind {stops_counted(stops)} {'over' if stops > 0.0 else 'under'} face")
    _fitted(draw, (left, top + 276), "   ".join(ratios), 44, right - left, LIGHT)
    colour = "too little light to have a colour"
    if mark.colour is not None:
        colour = f"{mark.colour.kelvin:.0f} K, {mark.colour.words}"
    _fitted(draw, (left, top + 330), colour, 40, right - left, LIGHT)
    y = top + 396
    draw.line((left, y - 6, right, y - 6), fill=QUIET, width=2)
    shown = _shown(mark)
    if not shown:
        draw.text((left, y), "no light", font=_type(46), fill=QUIET)
    for name, footcandles, lux, share in shown:
        key = mark.key is not None and name == mark.key.key
        _fitted(draw, (left, y), name, 46, FC - CELL - left, WARM if key else LIGHT, strong=key)
        _right(draw, FC, y, f"{reading(footcandles)} fc", 46, LIGHT, strong=True, room=CELL - 20)
        _right(draw, LX, y, f"{reading(lux)} lx", 46, LIGHT, room=CELL - 20)
        _right(draw, right - BAR - 20, y, percent(share), 46, QUIET)
        width = max(2, round(BAR * min(share, 1.0)))
        draw.rectangle((right - BAR, y + 20, right - BAR + width, y + 42), fill=WARM if key else QUIET)
        y += 58
    if mark.note is not None:
        _fitted(draw, (left, y + 4), mark.note, 36, right - left, QUIET)


def _to_one(one: Ratio | None) -> str:
    if one is None:
        return "none"
    return f"over {MOST_TO_ONE:.0f}:1" if one.to_one > MOST_TO_ONE else f"{one.to_one:.1f}:1"


def _fitted(
    draw: ImageDraw.ImageDraw,
    at: tuple[int, int],
    text: str,
    size: int,
    room: int,
    colour: Colour,
    *,
    strong: bool = False,
) -> None:
    """Text in the size asked for, or in what fits `room` px; cut with an ellipsis where even half of it does not."""
    smaller = size
    while smaller > size // 2 and _type(smaller, strong=strong).getlength(text) > room:
        smaller -= 2
    face = _type(smaller, strong=strong)
    while face.getlength(text) > room and len(text) > 1:
        text = text.removesuffix("…")[:-1] + "…"
    draw.text((at[0], at[1] + (size - smaller)), text, font=face, fill=colour)


def _right(
    draw: ImageDraw.ImageDraw,
    right: int,
    top: int,
    text: str,
    size: int,
    colour: Colour,
    *,
    strong: bool = False,
    room: int = WIDTH,
) -> None:
    """The same, up to a place on the right."""
    while size > 24 and _type(size, strong=strong).getlength(text) > room:
        size -= 2
    face = _type(size, strong=strong)
    draw.text((right - face.getlength(text), top), text, font=face, fill=colour)
