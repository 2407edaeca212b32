"""Moon plan: the set from above with the sky round it, on which each direction of the moon has its place in the ranking.

The camera looks up the sheet. The sky is the ring outside: its rim is the horizon, inwards is higher.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan, cos, hypot, pi, radians, sin
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from preview.sheets.answer.words import compass_words, degrees_words
from preview.sheets.drawing import (
    BLUE,
    COLUMN,
    INK,
    PAPER,
    QUIET,
    RULE,
    SHADE,
    VERMILION,
    WHITE,
    Box,
    Colour,
    font,
    place_labels,
)
from preview.sheets.from_above import north_and_scale

Floats = NDArray[np.float64]
Point = tuple[float, float]

FINE: Final = 2
"""Drawn so many times as large, then brought down, so that lines are smooth."""
HEIGHT: Final = 1240
RIM: Final = 520.0
"""Of the ring of directions, pixels from the middle."""
APART: Final = 66.0
"""Pixels between rings of heights, at most."""
DISC: Final = 27.0
BEST: Final = 3
"""Places that stand out."""
CELL: Final = 8
"""Pixels across a cell of the set seen from above, on the large paper."""
NAMED: Final = 150
"""Cells from which a building is named."""
LEAVES: Colour = (206, 212, 200)
WALLS: Colour = (176, 170, 158)


@dataclass(frozen=True)
class Spread:
    """A piece of the set seen from above: points (n, 2) m spread over it; what is built is darker than what grows."""

    name: str
    kind: Literal["building", "thing", "growth"]
    points: Floats


@dataclass(frozen=True)
class Standing:
    """A figure: its name, place (m), and the way (2,) that it faces."""

    name: str
    at: Point
    facing: Point


@dataclass(frozen=True)
class Mark:
    """A direction: degrees, its place in the ranking, whether its moon is in shot."""

    azimuth_deg: float
    height_deg: float
    place: int
    in_shot: bool


@dataclass(frozen=True)
class Plan:
    """All that is drawn. `camera`, `middle` m; `ahead` (2,) level, the way the lens looks; `half_width`: tangent of half
    its angle; `reach` m from the middle to the edge of what is drawn of the set."""

    camera: Point
    ahead: Point
    half_width: float
    middle: Point
    reach: float
    spreads: tuple[Spread, ...]
    figures: tuple[Standing, ...]
    marks: tuple[Mark, ...]
    north_deg: float = 0.0
    """The azimuth of the plan at which true north lies."""


def moon_plan(plan: Plan) -> NDArray[np.uint8]:
    """The drawing (HEIGHT, COLUMN, 3)."""
    return np.asarray(_Drawn(plan).image.resize((COLUMN, HEIGHT), Image.Resampling.LANCZOS))


class _Drawn:
    """A plan on its paper."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.image = Image.new("RGB", (COLUMN * FINE, HEIGHT * FINE), PAPER)
        self.draw = ImageDraw.Draw(self.image)
        self.centre = COLUMN * FINE / 2.0, HEIGHT * FINE / 2.0
        heights = sorted({mark.height_deg for mark in plan.marks})
        self.apart = APART if len(heights) < 4 else 2.6 * APART / (len(heights) - 1)
        self.rings = {height: (RIM - n * self.apart) * FINE for n, height in enumerate(heights)}
        self.inner = (RIM - (len(heights) - 1) * self.apart - 46.0) * FINE
        self._ground()
        self._camera()
        self._figures()
        self._sky()
        self._north()

    def at(self, point: Point) -> Point:
        """Pixels of a place in metres."""
        east, north = point[0] - self.plan.middle[0], point[1] - self.plan.middle[1]
        x, y = self.turned((east, north))
        scale = self.inner / self.plan.reach
        return self.centre[0] + x * scale, self.centre[1] - y * scale

    def turned(self, way: Point) -> Point:
        """A level direction as it lies on the sheet: to the right, up."""
        ahead = self.plan.ahead
        return way[0] * ahead[1] - way[1] * ahead[0], way[0] * ahead[0] + way[1] * ahead[1]

    def sky(self, azimuth_deg: float, radius: float) -> Point:
        """Pixels of a direction at a radius from the middle."""
        a = radians(azimuth_deg)
        x, y = self.turned((sin(a), cos(a)))
        return self.centre[0] + x * radius, self.centre[1] - y * radius

    def _circle(self, at: Point, radius: float, **how: object) -> None:
        self.draw.ellipse((at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius), **how)  # type: ignore[arg-type]

    def _ground(self) -> None:
        self._circle(self.centre, self.inner, fill=WHITE)
        self._spread([one for one in self.plan.spreads if one.kind == "growth"], LEAVES)
        self._spread([one for one in self.plan.spreads if one.kind == "thing"], WALLS, thin=True)
        names = self._spread([one for one in self.plan.spreads if one.kind == "building"], WALLS)
        self._circle(self.centre, self.inner, outline=RULE, width=2 * FINE)
        for name, at in names:
            self._text(at, name, "small", INK, "mm")

    def _spread(
        self, spreads: Sequence[Spread], colour: Colour, *, thin: bool = False
    ) -> list[tuple[str, Point]]:
        """Colours what pieces lie over; the names of those that are large enough, and where they go."""
        cells = np.zeros((self.image.height // CELL + 1, self.image.width // CELL + 1), np.uint8)
        names: list[tuple[str, Point]] = []
        for spread in spreads:
            right, up = self._laid(spread.points)
            inside = np.hypot(right, up) < self.inner - 2 * CELL
            columns = ((self.centre[0] + right[inside]) // CELL).astype(int)
            rows = ((self.centre[1] - up[inside]) // CELL).astype(int)
            cells[rows, columns] = 255
            found = np.unique(np.stack([rows, columns], axis=1), axis=0)
            if spread.kind == "building" and len(found) >= NAMED:
                row, column = np.median(found, axis=0)
                names.append((spread.name, ((float(column) + 0.5) * CELL, (float(row) + 0.5) * CELL)))
        small = CELL // FINE
        size = cells.shape[1] * small, cells.shape[0] * small
        large = Image.fromarray(cells).resize(size, Image.Resampling.NEAREST)
        # Rounded off: once cells are blurred their corners are gone; a line of single cells stands little blurring.
        blur, least = (0.9, 80) if thin else (1.6, 118)
        for _ in range(1 if thin else 2):
            large = large.filter(ImageFilter.BoxBlur(blur * small))
        middle_x, middle_y = (round(each) for each in self.centre)
        reach = round(self.inner)
        box = (
            (middle_x - reach) // FINE,
            (middle_y - reach) // FINE,
            (middle_x + reach) // FINE,
            (middle_y + reach) // FINE,
        )
        size = (box[2] - box[0]) * FINE, (box[3] - box[1]) * FINE
        shape = (
            large.crop(box).resize(size, Image.Resampling.BILINEAR).point(lambda value: 255 * (value > least))
        )
        self.image.paste(colour, (box[0] * FINE, box[1] * FINE), shape)
        return names

    def _laid(self, points: Floats) -> tuple[Floats, Floats]:
        """Pixels to the right of the middle and up from it of points (n, 2) m."""
        east, north = (points - np.array(self.plan.middle)).T
        (ahead_x, ahead_y), scale = self.plan.ahead, self.inner / self.plan.reach
        return scale * (east * ahead_y - north * ahead_x), scale * (east * ahead_x + north * ahead_y)

    def _camera(self) -> None:
        x, y = self._held(self.at(self.plan.camera))
        half = atan(self.plan.half_width)
        for side in (-1.0, 1.0):
            far = 2.5 * self.inner
            end = x + side * sin(half) * far, y - cos(half) * far
            self._ray((x, y), end)
        size = 15 * FINE
        self.draw.polygon([(x - size, y + size), (x + size, y + size), (x, y - size)], fill=BLUE)
        self._text((x, y + 22 * FINE), "camera", "label", BLUE, "ma")

    def _held(self, at: Point) -> Point:
        """A place, brought in to the edge of what is drawn."""
        dx, dy = at[0] - self.centre[0], at[1] - self.centre[1]
        most = self.inner - 24 * FINE
        far = hypot(dx, dy)
        return at if far <= most else (self.centre[0] + dx * most / far, self.centre[1] + dy * most / far)

    def _ray(self, start: Point, end: Point) -> None:
        """A line of sight to the edge of what is drawn."""
        dx, dy = end[0] - start[0], end[1] - start[1]
        ox, oy = start[0] - self.centre[0], start[1] - self.centre[1]
        a, b, c = dx * dx + dy * dy, 2 * (ox * dx + oy * dy), ox * ox + oy * oy - self.inner**2
        under = b * b - 4 * a * c
        if under <= 0.0 or a == 0.0:
            return
        share = min(1.0, (-b + under**0.5) / (2 * a))
        self.draw.line((*start, start[0] + share * dx, start[1] + share * dy), fill=BLUE, width=2 * FINE)

    def _figures(self) -> None:
        inside = [one for one in self.plan.figures if self._held(self.at(one.at)) == self.at(one.at)]
        anchors = [self.at(one.at) for one in inside]
        for one, (x, y) in zip(inside, anchors, strict=True):
            right, up = self.turned(one.facing)
            tip = 22 * FINE
            self.draw.line((x, y, x + right * tip, y - up * tip), fill=INK, width=5 * FINE)
            self._circle((x, y), 10 * FINE, fill=INK)
        face = font("label", FINE)
        sizes = [(face.getlength(one.name) + 10 * FINE, 38.0 * FINE) for one in inside]
        bounds: Box = (0, 0, float(COLUMN * FINE), float(HEIGHT * FINE))
        for one, (left, top), size in zip(
            inside, place_labels(anchors, sizes, bounds, gap=16 * FINE), sizes, strict=True
        ):
            self.draw.rounded_rectangle((left, top, left + size[0], top + size[1]), 8 * FINE, fill=PAPER)
            self._text((left + size[0] / 2, top + size[1] / 2), one.name, "label", INK, "mm")

    def _sky(self) -> None:
        azimuths = sorted({mark.azimuth_deg for mark in self.plan.marks})
        for height, radius in self.rings.items():
            self._circle(self.centre, radius, outline=SHADE, width=3 * FINE)
            room = 2.0 * pi * radius / max(1, len(azimuths))
            disc = min(DISC, 0.31 * self.apart * 1.3, 0.44 * room / FINE) * FINE
            for mark in self.plan.marks:
                if mark.height_deg == height:
                    self._mark(mark, self.sky(mark.azimuth_deg, radius), disc)
        every = max(1, -(-len(azimuths) // 16))
        for azimuth in azimuths[::every]:
            named = azimuth % 45.0 == 0.0 and self.plan.north_deg == 0.0
            label = compass_words(azimuth) if named else degrees_words(azimuth, 1)
            across, upright = self.turned((sin(radians(azimuth)), cos(radians(azimuth))))
            # Clear of the discs by as much as the words reach towards them.
            half = font("label", FINE).getlength(label) / 2.0 * abs(across) + 17.0 * FINE * abs(upright)
            out = (RIM + DISC + 12.0) * FINE + half
            at = self.centre[0] + across * out, self.centre[1] - upright * out
            self._text(at, label, "label", INK, "mm")

    def _mark(self, mark: Mark, at: Point, disc: float) -> None:
        best = mark.place <= BEST
        self._circle(at, disc + 3 * FINE, fill=PAPER)
        if best:
            self._circle(at, disc + 4 * FINE, fill=VERMILION)
        else:
            self._circle(at, disc, fill=PAPER, outline=QUIET, width=2 * FINE)
        if mark.in_shot:
            self._circle(at, disc + 8 * FINE, outline=BLUE, width=3 * FINE)
        scale = min(1.0, disc / (DISC * FINE))
        style: Literal["strong", "label"] = "strong" if best else "label"
        self.draw.text(
            (at[0], at[1] - 1.5 * FINE),
            str(mark.place),
            font=font(style, FINE * scale),
            fill=WHITE if best else INK,
            anchor="mm",
        )

    def _north(self) -> None:
        """True north and the scale, and which ring is how high."""
        north = radians(self.plan.north_deg)
        right, up = self.turned((sin(north), cos(north)))
        scale = self.inner / self.plan.reach
        north_and_scale(self.draw, (8.0 * FINE, 8.0 * FINE), (right, -up), scale=scale, fine=FINE)
        top = (HEIGHT - 92.0) * FINE
        heights = [f"{height:g}°" for height in self.rings]
        lines = ["rings, from outside:", f"{', '.join(heights)} up"]
        for n, line in enumerate(lines):
            self._text((40.0 * FINE, top + n * 38.0 * FINE), line, "small", QUIET, "la")

    def _text(
        self, at: Point, text: str, style: Literal["small", "label"], colour: Colour, anchor: str
    ) -> None:
        self.draw.text(at, text, font=font(style, FINE), fill=colour, anchor=anchor)
