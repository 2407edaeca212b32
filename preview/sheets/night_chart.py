"""Night chart: one night from left to right: how dark the sky is, how high the moon stands, when each setup sees it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil, cos, sin, tau
from typing import Final

import numpy as np
from PIL import Image, ImageDraw

from preview.sheets.answer.blocks import Pixels
from preview.sheets.drawing import (
    BLUE,
    COLUMN,
    INK,
    PAPER,
    QUIET,
    RULE,
    VERMILION,
    Colour,
    Style,
    dashed,
    font,
    line_height,
    wrap,
)

FINE: Final = 2
"""The chart is drawn so many times larger and brought down, so that its lines are smooth."""

BANDS: Final[tuple[tuple[float, str, Colour], ...]] = (
    (-0.8333, "day", (219, 229, 236)),
    (-6.0, "civil twilight", (158, 178, 201)),
    (-12.0, "nautical", (98, 121, 157)),
    (-18.0, "astronomical", (56, 74, 112)),
    (-90.0, "dark", (22, 30, 54)),
)
"""Down to which height of the sun each lasts, and its colour: one hue, told apart by lightness alone."""
MOONLIT: Final[Colour] = (255, 238, 176)
EARTHLIT: Final[Colour] = (74, 80, 98)
HORIZON: Final[Colour] = (61, 64, 58)

SIDE: Final = 20
PLOT: Final = 460
GLYPH: Final = 19
BAR: Final = 26
BETWEEN: Final = 18
"""Pixels between words side by side."""
LEAST_TICK: Final = 150
"""Pixels between what is written below the plot."""


@dataclass(frozen=True)
class Disc:
    """The moon as it looks at an instant: the share lit, and the way to its lit side, radians anticlockwise from right."""

    at: datetime
    height_deg: float
    lit: float
    tilt: float


@dataclass(frozen=True)
class Tick:
    """What is written below an instant: time, where the moon is, what it gives."""

    at: datetime
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Lane:
    """When a setup has the moon in frame: `spans` of start, end and whether it is `clear`, `part` or `hidden`."""

    words: str
    spans: tuple[tuple[datetime, datetime, str], ...]


@dataclass(frozen=True)
class NightChart:
    """`sun`: its height in degrees through the night; `moon`: the runs in which it is up. `now`: the script's time."""

    start: datetime
    end: datetime
    sun: tuple[tuple[datetime, float], ...]
    moon: tuple[tuple[tuple[datetime, float], ...], ...]
    discs: tuple[Disc, ...]
    ticks: tuple[Tick, ...]
    lanes: tuple[Lane, ...]
    now: tuple[datetime, str] | None = None
    nothing: str = ""
    """What is written where no moon is."""
    unseen: str = ""
    """What is said of setups that have no lane."""


def night_chart(chart: NightChart) -> Pixels:
    """The chart (h, w, 3), COLUMN px wide."""
    return _Drawn(chart).pixels()


def tick_hours(length: timedelta) -> int:
    """Whole hours between ticks so that what is written below them has room."""
    hour = (COLUMN - 2 * SIDE) / (length / timedelta(hours=1))
    return next(step for step in (1, 2, 3, 4, 6, 12) if step * hour >= LEAST_TICK or step == 12)


class _Drawn:
    """The chart as it is drawn, from the top down; places in pixels of the finished chart."""

    def __init__(self, chart: NightChart) -> None:
        self.chart = chart
        self.top = line_height("body") + line_height("strong") + 22
        self.base = self.top + PLOT
        self.lanes = self.base + 22 + 3 * line_height("body") + 14
        self.words = [wrap(lane.words, "body", COLUMN) for lane in chart.lanes]
        self.bars, y = [], self.lanes
        for lines in self.words:
            self.bars.append(y + len(lines) * line_height("body") + 6)
            y = self.bars[-1] + BAR + 24
        self.key = y
        y += line_height("small") + 14 if chart.lanes else 0
        self.unseen = y
        y += len(wrap(chart.unseen, "body", COLUMN)) * line_height("body") if chart.unseen else 0
        self.height = y + 4
        self.image = Image.new("RGB", (COLUMN * FINE, self.height * FINE), PAPER)
        self.draw = ImageDraw.Draw(self.image)
        highest = max((height for run in chart.moon for _, height in run), default=0.0)
        self.step = 10 if highest <= 32 else 20 if highest <= 62 else 30
        self.most = max(30.0, self.step * ceil((highest + 0.22 * self.step + 3.0) / self.step))

    def pixels(self) -> Pixels:
        self._key()
        self._sky()
        self._moon()
        self._ticks()
        for lane, words, bar in zip(self.chart.lanes, self.words, self.bars, strict=True):
            self._lane(lane, words, bar)
        self._lane_key(self.key)
        if self.chart.unseen:
            self._lines(wrap(self.chart.unseen, "body", COLUMN), self.unseen)
        self._now()
        if self.chart.nothing:
            self._nothing(self.chart.nothing)
        small = self.image.resize((COLUMN, self.height), Image.Resampling.LANCZOS)
        return np.asarray(small)

    def _x(self, at: datetime) -> float:
        share = (at - self.chart.start) / (self.chart.end - self.chart.start)
        return SIDE + min(max(share, 0.0), 1.0) * (COLUMN - 2 * SIDE)

    def _y(self, height_deg: float) -> float:
        return self.base - PLOT * height_deg / self.most

    def _box(self, left: float, top: float, right: float, bottom: float) -> tuple[float, float, float, float]:
        return left * FINE, top * FINE, right * FINE, bottom * FINE

    def _write(
        self, x: float, y: float, text: str, style: Style, colour: Colour, *, middle: bool = False
    ) -> float:
        """Writes a line, with `middle` about x, inside the chart; the place where it ends."""
        face = font(style, FINE)
        wide = face.getlength(text) / FINE
        left = min(max(x - wide / 2 if middle else x, 0.0), COLUMN - wide)
        self.draw.text((left * FINE, y * FINE), text, font=face, fill=colour)
        return left + wide

    def _key(self) -> None:
        """What the colours of the sky mean."""
        shown = {self._band(height) for _, height in self.chart.sun}
        x = 0.0
        for number, (_, name, colour) in enumerate(BANDS):
            if number not in shown:
                continue
            self.draw.rectangle(self._box(x, 10, x + 34, 36), fill=colour, outline=QUIET, width=FINE)
            x = self._write(x + 44, 0, name, "body", INK) + 34

    def _band(self, height: float) -> int:
        return next(number for number, (least, _, _) in enumerate(BANDS) if height >= least)

    def _sky(self) -> None:
        times = [(at - self.chart.start).total_seconds() for at, _ in self.chart.sun]
        heights = [height for _, height in self.chart.sun]
        whole = (self.chart.end - self.chart.start).total_seconds()
        left, right = SIDE * FINE, (COLUMN - SIDE) * FINE
        across = np.arange(left, right)
        sun = np.interp((across - left + 0.5) / (right - left) * whole, times, heights)
        for x, height in zip(across.tolist(), sun.tolist(), strict=True):
            colour = BANDS[self._band(height)][2]
            self.draw.line((x, self.top * FINE, x, self.base * FINE), fill=colour)
        for height in range(self.step, int(self.most) + 1, self.step):
            y = self._y(height)
            if height < self.most:
                self.draw.line(self._box(SIDE, y, COLUMN - SIDE, y), fill=(126, 138, 160), width=FINE)
        self.draw.rectangle(self._box(SIDE, self.base, COLUMN - SIDE, self.base + 8), fill=HORIZON)

    def _moon(self) -> None:
        for run in self.chart.moon:
            points = [(self._x(at) * FINE, self._y(height) * FINE) for at, height in run]
            if len(points) > 1:
                self.draw.line(points, fill=HORIZON, width=9 * FINE, joint="curve")
                self.draw.line(points, fill=MOONLIT, width=5 * FINE, joint="curve")
        for disc in self.chart.discs:
            self._disc(disc)
        for height in range(self.step, int(self.most), self.step):
            # Written last, on a patch of its own, to be read on any sky and across the moon's way.
            text, y = f"{height}°", self._y(height)
            wide = font("label").getlength(text)
            self.draw.rectangle(self._box(SIDE + 6, y - 18, SIDE + 22 + wide, y + 18), fill=PAPER)
            self._write(SIDE + 14, y - 20, text, "label", INK)

    def _nothing(self, words: str) -> None:
        wide, high = font("strong").getlength(words), line_height("strong")
        left, top = (COLUMN - wide) / 2, self.top + (PLOT - high) / 2
        self.draw.rectangle(self._box(left - 18, top - 8, left + wide + 18, top + high + 8), fill=PAPER)
        self._write(left, top, words, "strong", INK)

    def _disc(self, disc: Disc) -> None:
        x, y, r = self._x(disc.at) * FINE, self._y(disc.height_deg) * FINE, GLYPH * FINE
        self.draw.ellipse((x - r - 4, y - r - 4, x + r + 4, y + r + 4), fill=HORIZON)
        self.draw.ellipse((x - r, y - r, x + r, y + r), fill=EARTHLIT)
        # Lit from its bright limb to the terminator, half an ellipse.
        turns = np.linspace(-tau / 4, tau / 4, 40)
        limb = [(cos(t), sin(t)) for t in turns]
        edge = [((1.0 - 2.0 * disc.lit) * cos(t), sin(t)) for t in turns[::-1]]
        right, up = cos(disc.tilt), sin(disc.tilt)
        outline = [(x + r * (a * right - b * up), y - r * (a * up + b * right)) for a, b in [*limb, *edge]]
        self.draw.polygon(outline, fill=MOONLIT)

    def _ticks(self) -> None:
        styles: tuple[Style, ...] = ("strong", "body", "body")
        free = 0.0
        for tick in self.chart.ticks:
            x, y = self._x(tick.at), float(self.base + 22)
            self.draw.line(self._box(x, self.base + 8, x, self.base + 20), fill=QUIET, width=2 * FINE)
            wide = max(font(style).getlength(line) for line, style in zip(tick.lines, styles, strict=False))
            left = min(max(x - wide / 2, 0.0), COLUMN - wide)
            if left < free:
                continue
            free = left + wide + BETWEEN
            for number, (line, style) in enumerate(zip(tick.lines, styles, strict=False)):
                self._write(x, y, line, style, INK if number != 1 else QUIET, middle=True)
                y += line_height(style)

    def _lines(self, lines: Sequence[str], y: float) -> None:
        for number, line in enumerate(lines):
            self._write(0, y + number * line_height("body"), line, "body", INK)

    def _lane(self, lane: Lane, words: Sequence[str], y: float) -> None:
        self._lines(words, y - 6 - len(words) * line_height("body"))
        self.draw.rectangle(self._box(SIDE, y + BAR / 2 - 1, COLUMN - SIDE, y + BAR / 2 + 1), fill=RULE)
        for start, end, state in lane.spans:
            left, right = self._x(start), max(self._x(end), self._x(start) + 6)
            _bar(self.draw, self._box(left, y, right, y + BAR), state)

    def _lane_key(self, y: float) -> None:
        x = 0.0
        for state, words in (
            ("clear", "in shot"),
            ("part", "partly hidden"),
            ("hidden", "in frame, but hidden"),
        ):
            if not any(span[2] == state for lane in self.chart.lanes for span in lane.spans):
                continue
            _bar(self.draw, self._box(x, y + 6, x + 46, y + 6 + BAR), state)
            x = self._write(x + 56, y, words, "small", QUIET) + 36

    def _now(self) -> None:
        if self.chart.now is None:
            return
        at, words = self.chart.now
        x = self._x(at)
        for top, base in ((self.top - 8, self.base + 20), *((y - 6, y + BAR + 6) for y in self.bars)):
            dashed(self.draw, [(x * FINE, top * FINE), (x * FINE, base * FINE)], VERMILION, width=4 * FINE)
        self._write(x, self.top - line_height("strong") - 10, words, "strong", VERMILION, middle=True)


def _bar(draw: ImageDraw.ImageDraw, box: tuple[float, float, float, float], state: str) -> None:
    """Full where all of the disc is seen, striped where part of it, an outline where it is behind something."""
    left, top, right, bottom = box
    draw.rectangle(box, fill=BLUE if state == "clear" else PAPER, outline=BLUE, width=2 * FINE)
    if state != "part":
        return
    gap = 10 * FINE
    for x in np.arange(left - (bottom - top), right, gap):
        # Stripes, clipped to the bar.
        start, end = max(x, left), min(x + bottom - top, right)
        if end > start:
            draw.line((start, bottom - (start - x), end, bottom - (end - x)), fill=BLUE, width=2 * FINE)
