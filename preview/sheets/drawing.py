"""Sheet: a page of paper that is filled from the top down, in the type and colours that all sheets share.

Read on a phone at night or printed, so: dark ink on light paper, one column, type that survives at
a quarter of its size. Every status has a shape beside its colour, so that no reader depends on colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from preview.sheets.unbroken import bound, pieces

Colour = tuple[int, int, int]
Style = Literal["title", "heading", "body", "strong", "small", "label"]
Align = Literal["left", "right", "decimal"]
"""How a table's column stands; `decimal`: with its points below one another."""
Box = tuple[float, float, float, float]

WIDTH = 1600
MARGIN = 72
COLUMN = WIDTH - 2 * MARGIN

PAPER: Colour = (250, 248, 243)
INK: Colour = (28, 33, 39)
QUIET: Colour = (94, 101, 109)
RULE: Colour = (203, 198, 186)
SHADE: Colour = (238, 234, 224)
WHITE: Colour = (255, 255, 255)
# Three hues of the palette that stays apart in every kind of colour vision.
# Source: Okabe and Ito 2008, Color Universal Design, jfly.uni-koeln.de/color.
VERMILION: Colour = (213, 94, 0)
BLUE: Colour = (0, 114, 178)
GREEN: Colour = (0, 158, 115)

TYPE: dict[Style, tuple[int, str]] = {
    "title": (56, "SourceSansProBold"),
    "heading": (38, "SourceSansProSemibold"),
    "body": (33, "SourceSansPro"),
    "strong": (33, "SourceSansProSemibold"),
    "small": (28, "SourceSansPro"),
    "label": (28, "SourceSansProSemibold"),
}
"""The one type scale: size in pixels on a sheet of WIDTH, and the face."""
LEADING = 1.3
HEADED = 16
"""Pixels below a sheet's title."""


@lru_cache(maxsize=32)
def font(style: Style, scale: float = 1.0) -> ImageFont.FreeTypeFont:
    import font_source_sans_pro

    size, face = TYPE[style]
    return ImageFont.truetype(getattr(font_source_sans_pro, face), round(size * scale))


def line_height(style: Style) -> int:
    return round(TYPE[style][0] * LEADING)


@lru_cache(maxsize=1 << 16)
def length(text: str, style: Style) -> float:
    """Pixels that a text takes on one line."""
    return font(style).getlength(text)


def wrap(text: str, style: Style, width: float, *, even: bool = False) -> list[str]:
    """Lines of `text` no wider than `width` px, with `even` as even digits are drawn.

    Numbers are kept with their signs and units; words that are too long for a line are broken.
    """
    measure = figures_width if even else length
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        words = bound(paragraph).split(" ")
        while words:
            word = words.pop(0)
            trial = f"{line} {word}" if line else word
            if measure(trial, style) <= width:
                line = trial
                continue
            if line:
                lines.append(line)
                line = ""
            parts = pieces(word) if measure(word, style) > width else [word]
            if len(parts) > 1:
                words[:0] = parts
                continue
            while measure(word, style) > width and len(word) > 1:
                fits = max(
                    1, next((n for n in range(len(word), 0, -1) if measure(word[:n], style) <= width), 1)
                )
                lines.append(word[:fits])
                word = word[fits:]
            line = word
        lines.append(line)
    return lines


@lru_cache(maxsize=1 << 16)
def figures_width(text: str, style: Style) -> float:
    """Pixels that a text takes with its digits on one width."""
    return sum(length("0" if c.isdigit() else c, style) for c in text)


def dashed(
    draw: ImageDraw.ImageDraw,
    points: Sequence[tuple[float, float]],
    colour: Colour,
    *,
    width: int = 3,
    on: float = 14,
    off: float = 10,
) -> None:
    """A dashed line through `points`; the dashes run on round corners."""
    phase = 0.0
    for (x0, y0), (x1, y1) in pairwise(points):
        length = float(np.hypot(x1 - x0, y1 - y0))
        if length == 0:
            continue
        start = -phase
        while start < length:
            a, b = max(start, 0.0) / length, min(start + on, length) / length
            if b > a:
                draw.line(
                    (x0 + a * (x1 - x0), y0 + a * (y1 - y0), x0 + b * (x1 - x0), y0 + b * (y1 - y0)),
                    fill=colour,
                    width=width,
                )
            start += on + off
        phase = (phase + length) % (on + off)


def rectangle_path(box: Box) -> list[tuple[float, float]]:
    left, top, right, bottom = box
    return [(left, top), (right, top), (right, bottom), (left, bottom), (left, top)]


def framed(draw: ImageDraw.ImageDraw, box: Box, colour: Colour, *, rim: Colour, width: int = 3) -> None:
    """A rectangle's outline with a thin rim on both sides, to be seen on any picture."""
    left, top, right, bottom = box
    draw.rectangle((left - 2, top - 2, right + 2, bottom + 2), outline=rim, width=width + 4)
    draw.rectangle(box, outline=colour, width=width)


def place_labels(
    anchors: Sequence[tuple[float, float]],
    sizes: Sequence[tuple[float, float]],
    bounds: Box,
    gap: float = 8,
    clear: Sequence[Box] = (),
) -> list[tuple[float, float]]:
    """Top left corners for labels of `sizes` near their `anchors`, inside `bounds`, clear of one another and of `clear`.

    Each takes the nearest free place of rings of candidates round its anchor, off every anchor's dot; when all
    are taken it takes the one that covers least.
    """
    dots = [(x - 6, y - 6, x + 6, y + 6) for x, y in anchors]
    placed: list[Box] = []
    for (x, y), (w, h) in zip(anchors, sizes, strict=True):
        best, least = (x, y), np.inf
        for ring in range(12):
            reach = gap + ring * 0.6 * h
            candidates = [
                (x - w / 2, y - h / 2 - reach - h / 2),
                (x - w / 2, y - h / 2 + reach + h / 2),
                (x + reach + h / 2, y - h / 2),
                (x - reach - h / 2 - w, y - h / 2),
                (x + reach, y - reach - h),
                (x - reach - w, y - reach - h),
                (x + reach, y + reach),
                (x - reach - w, y + reach),
            ]
            for left, top in candidates:
                left = min(max(left, bounds[0]), bounds[2] - w)
                top = min(max(top, bounds[1]), bounds[3] - h)
                covered = sum(
                    overlap((left, top, left + w, top + h), other) for other in (*placed, *dots, *clear)
                )
                if covered < least:
                    best, least = (left, top), covered
            if least == 0:
                break
        placed.append((best[0], best[1], best[0] + w, best[1] + h))
    return [(box[0], box[1]) for box in placed]


def overlap(a: Box, b: Box) -> float:
    """Square pixels that two boxes share."""
    return max(0.0, min(a[2], b[2]) - max(a[0], b[0])) * max(0.0, min(a[3], b[3]) - max(a[1], b[1]))


def headed_height(title: str, subtitle: str = "") -> float:
    """Where a sheet's `y` is below its title."""
    lines = len(wrap(title, "title", COLUMN)) * line_height("title")
    below = len(wrap(subtitle, "body", COLUMN)) * line_height("body") if subtitle else 0
    return float(MARGIN + lines + below + HEADED)


class Sheet:
    """A page that grows downwards: each call draws at `y` and moves it on. `finished()` is the picture.

    `height`: where `y` will be at the end, if that is known.
    """

    def __init__(self, title: str, subtitle: str = "", *, height: float = 2400 - MARGIN) -> None:
        self._image = Image.new("RGB", (WIDTH, int(height) + MARGIN), PAPER)
        self.draw = ImageDraw.Draw(self._image)
        self.y = float(MARGIN)
        self.text(title, "title")
        if subtitle:
            self.text(subtitle, "body", colour=QUIET)
        self.y += HEADED

    def reserve(self, height: float) -> None:
        """Makes sure that the paper reaches `height` px below the current place."""
        needed = int(self.y + height) + MARGIN
        if needed > self._image.height:
            longer = Image.new("RGB", (WIDTH, max(needed, 2 * self._image.height)), PAPER)
            longer.paste(self._image, (0, 0))
            self._image = longer
            self.draw = ImageDraw.Draw(longer)

    def finished(self) -> Image.Image:
        height = min(int(self.y) + MARGIN, self._image.height)
        return self._image if height == self._image.height else self._image.crop((0, 0, WIDTH, height))

    def text(
        self,
        text: str,
        style: Style = "body",
        *,
        colour: Colour = INK,
        indent: float = 0,
        width: float | None = None,
    ) -> None:
        """A paragraph, wrapped to the column."""
        room = COLUMN - indent if width is None else width
        for line in wrap(text, style, room):
            self.reserve(line_height(style))
            self.draw.text((MARGIN + indent, self.y), line, font=font(style), fill=colour)
            self.y += line_height(style)

    def heading(self, text: str) -> None:
        self.y += 30
        self.reserve(120)
        self.draw.line((MARGIN, self.y, WIDTH - MARGIN, self.y), fill=RULE, width=2)
        self.y += 14
        self.text(text, "heading")
        self.y += 6

    def picture(self, pixels: NDArray[np.uint8]) -> Box:
        """Draws a picture (h, w, 3) over the column's width; the box it fills."""
        height = round(COLUMN * pixels.shape[0] / pixels.shape[1])
        self.reserve(height)
        shown = Image.fromarray(np.ascontiguousarray(pixels))
        if shown.size != (COLUMN, height):
            shown = shown.resize((COLUMN, height), Image.Resampling.LANCZOS)
        self._image.paste(shown, (MARGIN, int(self.y)))
        box = (float(MARGIN), float(int(self.y)), float(WIDTH - MARGIN), float(int(self.y) + height))
        self.y += height + 20
        return box

    def paste(self, pixels: NDArray[np.uint8], at: tuple[int, int]) -> None:
        """Puts a picture (h, w, 3) as it is with its top left corner at a place of the paper."""
        self._image.paste(Image.fromarray(np.ascontiguousarray(pixels)), at)

    def rows(self, pairs: Sequence[tuple[str, str]], *, width: float = COLUMN) -> None:
        """Names to the left, what they are to the right, wrapped within `width` px."""
        if not pairs:
            return
        left = min(max(font("body").getlength(name) for name, _ in pairs) + 36, width * 0.4)
        for name, value in pairs:
            top = self.y
            self.text(name, "body", colour=QUIET, width=left - 24)
            name_end, self.y = self.y, top
            self.text(value, "body", indent=left, width=width - left)
            self.y = max(self.y, name_end) + 4
