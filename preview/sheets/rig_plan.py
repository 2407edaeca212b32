"""Rig plan: the set from above, north up, with cast, cameras and what they take in, and where each rig stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan, ceil, cos, hypot, inf, log10, sin
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

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
    dashed,
    font,
    overlap,
)

Floats = NDArray[np.float64]
Point = tuple[float, float]

FINE: Final = 2
"""Drawn so many times as large, then brought down, so that lines are smooth."""
LOWEST, TALLEST = 760, 1340
"""Pixels that it is high."""
EDGE: Final = 78.0
"""Pixels about what must be on it."""
FOOT: Final = 96.0
"""Pixels at the bottom for the scale and the north."""
LEAF: Final = 0.2
"""Metres of the round spot that stands for some leaves."""
DISC: Final = 25.0
COLOURS: dict[str, Colour] = {
    "building": (182, 176, 164),
    "thing": (150, 146, 138),
    "growth": (205, 213, 198),
    "way": SHADE,
    "water": (214, 226, 232),
}
AROUND: Final = (
    (1.0, 0.0),
    (-1.0, 0.0),
    (0.0, 1.0),
    (0.0, -1.0),
    (0.7, 0.7),
    (-0.7, 0.7),
    (0.7, -0.7),
    (-0.7, -0.7),
)
ORDER: Final = ("water", "way", "growth", "building", "thing")
"""From below."""


@dataclass(frozen=True)
class Body:
    """A piece of the set seen from above: its triangles (n, 3, 2) m, and places (n, 2) of its leaves."""

    name: str
    kind: Literal["building", "thing", "growth", "way", "water"]
    triangles: Floats
    leaves: Floats
    named: bool = False


@dataclass(frozen=True)
class Figure:
    """A figure: its name, place (m), and the way (2,) that it faces."""

    name: str
    at: Point
    facing: Point


@dataclass(frozen=True)
class Camera:
    """A setup's camera: place (m), the level way (2,) it looks, tangent of half its angle."""

    setup: str
    at: Point
    ahead: Point
    half_width: float


@dataclass(frozen=True)
class RigMark:
    """A rig: its number, where its lamp is, where its base stands, and how wide (m)."""

    number: int
    lamp: Point
    base: Point
    across: float


@dataclass(frozen=True)
class Plan:
    """All that is drawn. `moon`: radians, the azimuth that its light comes from; None for one straight overhead."""

    mark: Point
    moon: float | None
    bodies: tuple[Body, ...]
    figures: tuple[Figure, ...]
    cameras: tuple[Camera, ...]
    rigs: tuple[RigMark, ...]


def rig_plan(plan: Plan) -> NDArray[np.uint8]:
    """The drawing (h, COLUMN, 3)."""
    drawn = _Drawn(plan)
    return np.asarray(drawn.image.resize((COLUMN, drawn.height), Image.Resampling.LANCZOS))


class _Drawn:
    """A plan on its paper."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        must = [plan.mark, *(one.at for one in plan.figures), *(one.at for one in plan.cameras)]
        must += [place for one in plan.rigs for place in (one.lamp, one.base)]
        self.low, self.high = np.min(must, axis=0), np.max(must, axis=0)
        # Never so near that a step fills the sheet.
        spare = np.maximum(12.0 - (self.high - self.low), 0.0) / 2.0
        self.low, self.high = self.low - spare, self.high + spare
        wide, deep = (self.high - self.low).tolist()
        scale = min((COLUMN - 2 * EDGE) / wide, (TALLEST - 2 * EDGE) / deep)
        deep_px = float(np.clip(ceil(deep * scale + 2 * EDGE), LOWEST, TALLEST))
        self.height = int(deep_px + FOOT)
        self.scale = scale * FINE
        self.middle = (self.low + self.high) / 2.0
        # What is drawn of the set, without the foot.
        self.size = COLUMN * FINE, int(deep_px) * FINE
        self.image = Image.new("RGB", self.size, WHITE)
        self.draw = ImageDraw.Draw(self.image)
        self.labels: list[tuple[Point, str, Colour, bool]] = []
        self.kept: list[Box] = []
        self._bodies()
        self._cameras()
        self._moon()
        self._lines()
        self._figures()
        self._rigs()
        self._named()
        self.draw.rectangle((0, 0, self.size[0] - 1, self.size[1] - 1), outline=RULE, width=2 * FINE)
        whole = Image.new("RGB", (self.size[0], self.height * FINE), PAPER)
        whole.paste(self.image, (0, 0))
        self.image, self.draw = whole, ImageDraw.Draw(whole)
        self._scale_bar()
        self._north()

    def at(self, point: Sequence[float]) -> Point:
        """Pixels of a place in metres."""
        x = self.size[0] / 2.0 + (point[0] - self.middle[0]) * self.scale
        y = self.size[1] / 2.0 - (point[1] - self.middle[1]) * self.scale
        return float(x), float(y)

    def _circle(self, at: Point, radius: float, fill: Colour | None, outline: Colour | None = None) -> None:
        box = (at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius)
        self.draw.ellipse(box, fill=fill, outline=outline, width=3 * FINE)

    def _text(self, at: Point, text: str, colour: Colour, anchor: str = "mm") -> None:
        self.draw.text(at, text, font=font("label", FINE), fill=colour, anchor=anchor)

    def _bodies(self) -> None:
        for body in sorted(self.plan.bodies, key=lambda one: ORDER.index(one.kind)):
            colour = COLOURS[body.kind]
            shown = self._on_sheet(body.triangles)
            for corners in self._pixels(body.triangles[shown]):
                self.draw.polygon([tuple(corner) for corner in corners], fill=colour, outline=colour)
            points = body.leaves[self._on_sheet(body.leaves[:, None])]
            radius = max(LEAF * self.scale, 3.0 * FINE)
            for place in self._pixels(points):
                self._circle((float(place[0]), float(place[1])), radius, colour)
            if body.named and shown.any():
                # In the middle of what is on the sheet.
                corners = self._pixels(body.triangles[shown]).reshape(-1, 2)
                low, high = np.maximum(corners.min(axis=0), 0.0), np.minimum(corners.max(axis=0), self.size)
                middle = (low + high) / 2.0
                fits = high[0] - low[0] > font("label", FINE).getlength(body.name) + 24 * FINE
                self.labels.append(((float(middle[0]), float(middle[1])), body.name, QUIET, bool(fits)))

    def _pixels(self, places: Floats) -> Floats:
        """Pixels (..., 2) of places (..., 2) in metres."""
        way = np.array([1.0, -1.0]) * self.scale
        return np.asarray(np.array(self.size) / 2.0 + (places - self.middle) * way)

    def _on_sheet(self, places: Floats) -> NDArray[np.bool_]:
        """Which of shapes (n, corners, 2) in metres reach onto the sheet."""
        if not len(places):
            return np.zeros(0, bool)
        pixels = self._pixels(places)
        over = (pixels.max(axis=1) >= 0.0).all(axis=1)
        return np.asarray(over & (pixels.min(axis=1) <= np.array(self.size)).all(axis=1))

    def _cameras(self) -> None:
        for camera in self.plan.cameras:
            x, y = self.at(camera.at)
            half = atan(camera.half_width)
            east, north = camera.ahead
            far = 2.0 * hypot(*self.size)
            for side in (-half, half):
                way = east * cos(side) + north * sin(side), north * cos(side) - east * sin(side)
                self.draw.line((x, y, x + way[0] * far, y - way[1] * far), fill=BLUE, width=FINE)
        for camera in self.plan.cameras:
            x, y = self.at(camera.at)
            east, north = camera.ahead
            tip, wide = 34.0 * FINE, 11.0 * FINE
            right = north * wide, east * wide
            back = x - east * tip * 0.6, y + north * tip * 0.6
            corners = [(x + east * tip * 0.5, y - north * tip * 0.5)]
            corners += [(back[0] + right[0], back[1] + right[1]), (back[0] - right[0], back[1] - right[1])]
            self.draw.polygon(corners, fill=BLUE)
            self._keep((x, y), 22.0 * FINE)
            self.labels.append(((x, y), camera.setup, BLUE, False))

    def _moon(self) -> None:
        if self.plan.moon is None:
            return
        x, y = self.at(self.plan.mark)
        east, north = sin(self.plan.moon), cos(self.plan.moon)
        reach = [
            (edge - start) / step
            for start, step, edge in (
                (x, east, self.size[0] if east > 0 else 0.0),
                (y, -north, self.size[1] if north < 0 else 0.0),
            )
            if abs(step) > 1e-9
        ]
        far = min(reach)
        dashed(
            self.draw,
            [(x, y), (x + east * far, y - north * far)],
            INK,
            width=2 * FINE,
            on=18 * FINE,
            off=12 * FINE,
        )
        back = max(far - 60.0 * FINE, 0.6 * far)
        self.labels.append(((x + east * back, y - north * back), "moon", INK, False))

    def _lines(self) -> None:
        for rig in self.plan.rigs:
            self.draw.line((*self.at(rig.lamp), *self.at(self.plan.mark)), fill=VERMILION, width=2 * FINE)
        for rig in self.plan.rigs:
            lamp, base = self.at(rig.lamp), self.at(rig.base)
            half = max(0.5 * rig.across * self.scale, 5.0 * FINE)
            self.draw.line((*base, *lamp), fill=INK, width=4 * FINE)
            box = (base[0] - half, base[1] - half, base[0] + half, base[1] + half)
            self.draw.rectangle(box, outline=INK, width=3 * FINE)
            self.kept.append(box)

    def _figures(self) -> None:
        for one in self.plan.figures:
            x, y = self.at(one.at)
            tip = 20 * FINE
            self.draw.line((x, y, x + one.facing[0] * tip, y - one.facing[1] * tip), fill=INK, width=5 * FINE)
            self._circle((x, y), 9 * FINE, INK)
            self._keep((x, y), 18.0 * FINE)
            self.labels.append(((x, y), one.name, INK, False))
        x, y = self.at(self.plan.mark)
        self._circle((x, y), 17 * FINE, None, VERMILION)

    def _rigs(self) -> None:
        taken: list[Point] = []
        for rig in self.plan.rigs:
            x, y = self.at(rig.lamp)
            # Two lamps at one place stand side by side.
            while any(hypot(x - a, y - b) < 2.0 * DISC * FINE for a, b in taken):
                x += 2.1 * DISC * FINE
            taken.append((x, y))
            self._keep((x, y), (DISC + 4.0) * FINE)
            self._circle((x, y), (DISC + 3) * FINE, WHITE)
            self._circle((x, y), DISC * FINE, VERMILION)
            self.draw.text((x, y - FINE), str(rig.number), font=font("strong", FINE), fill=WHITE, anchor="mm")

    def _keep(self, at: Point, half: float) -> None:
        """Where no name goes."""
        self.kept.append((at[0] - half, at[1] - half, at[0] + half, at[1] + half))

    def _named(self) -> None:
        """Names beside what they belong to, clear of one another and of what is kept free; of a building on it."""
        face = font("label", FINE)
        for at, text, colour, on in self.labels:
            wide, high = face.getlength(text) + 12 * FINE, 36.0 * FINE
            box = self._free(at, wide, high, on=on)
            self.kept.append(box)
            if not on:
                self.draw.rounded_rectangle(box, 7 * FINE, fill=WHITE)
            self._text(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2 - FINE), text, colour)

    def _free(self, at: Point, wide: float, high: float, *, on: bool) -> Box:
        """The place for a name that covers least, the nearest of those."""
        best, least = (at[0], at[1], at[0] + wide, at[1] + high), inf
        for ring in range(0 if on else 1, 9):
            reach = (10.0 + 14.0 * ring) * FINE if ring else 0.0
            for east, south in AROUND if ring else ((0.0, 0.0),):
                x = at[0] + east * (reach + wide / 2.0)
                y = at[1] + south * (reach + high / 2.0)
                x = min(max(x, wide / 2.0 + 6 * FINE), self.size[0] - wide / 2.0 - 6 * FINE)
                y = min(max(y, high / 2.0 + 6 * FINE), self.size[1] - high / 2.0 - 6 * FINE)
                box = (x - wide / 2.0, y - high / 2.0, x + wide / 2.0, y + high / 2.0)
                covered = sum(overlap(box, other) for other in self.kept)
                if covered < least:
                    best, least = box, covered
            if least <= 0.0:
                break
        return best

    def _scale_bar(self) -> None:
        want = 0.2 * COLUMN * FINE / self.scale
        decade = 10.0 ** np.floor(log10(want))
        length = decade * max(step for step in (1.0, 2.0, 5.0) if step * decade <= want)
        x, y = 6.0 * FINE, self.size[1] + 0.5 * FOOT * FINE
        end = x + length * self.scale
        self.draw.line((x, y, end, y), fill=INK, width=4 * FINE)
        for tick in (x, end):
            self.draw.line((tick, y - 10 * FINE, tick, y + 10 * FINE), fill=INK, width=4 * FINE)
        self._text((end + 20 * FINE, y - FINE), f"{length:g} m", INK, "lm")

    def _north(self) -> None:
        x, y = self.size[0] - 30.0 * FINE, self.size[1] + 0.5 * FOOT * FINE
        self.draw.polygon(
            [(x, y - 34 * FINE), (x - 13 * FINE, y + 6 * FINE), (x + 13 * FINE, y + 6 * FINE)], fill=INK
        )
        self.draw.line((x, y, x, y + 34 * FINE), fill=INK, width=4 * FINE)
        self._text((x - 26 * FINE, y), "N", INK, "rm")
