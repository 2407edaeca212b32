"""Even digits: text drawn with its digits on one width, so that columns of numbers line up."""

from __future__ import annotations

from functools import lru_cache
from itertools import accumulate, groupby
from math import ceil, modf

from PIL import Image, ImageDraw

from preview.sheets.drawing import INK, Colour, Style, font, length, line_height

PAD = 8
"""Pixels round a stamp, for what a letter reaches out of its place."""


def figures(
    draw: ImageDraw.ImageDraw, at: tuple[float, float], text: str, style: Style, colour: Colour = INK
) -> None:
    """Draws a text, as wide as `figures_width` says."""
    for run, x in _runs(text, style):
        if len(run) > 1:
            draw.text((at[0] + x, at[1]), run, font=font(style), fill=colour)
            continue
        (right, left), (down, top) = modf(at[0] + x), modf(at[1])
        draw.bitmap((int(left) - PAD, int(top) - PAD), _stamp(run, style, right, down), fill=colour)


@lru_cache(maxsize=1 << 14)
def _runs(text: str, style: Style) -> tuple[tuple[str, float], ...]:
    """What of a text can be drawn in one go, and where, pixels from its left: digits one by one, and so what is kerned, for
    `figures_width` is that of letters that are not."""
    digit, x = length("0", style), 0.0
    runs: list[tuple[str, float]] = []
    for are_digits, group in groupby(text, str.isdigit):
        part = "".join(group)
        wide = [digit if are_digits else length(c, style) for c in part]
        if not are_digits and length(part, style) == sum(wide):
            runs.append((part, x))
        else:
            starts = accumulate(wide[:-1], initial=x)
            runs += [
                (c, at + (each - length(c, style)) / 2)
                for c, at, each in zip(part, starts, wide, strict=True)
            ]
        x += sum(wide)
    return tuple(runs)


@lru_cache(maxsize=1 << 12)
def _stamp(letter: str, style: Style, right: float, down: float) -> Image.Image:
    """A letter's mask, drawn once for all its places; `right` and `down`: what its place has more than whole pixels."""
    size = (ceil(length(letter, style)) + 2 * PAD, line_height(style) + 2 * PAD)
    stamp = Image.new("L", size)
    ImageDraw.Draw(stamp).text((PAD + right, PAD + down), letter, font=font(style), fill=255)
    return stamp
