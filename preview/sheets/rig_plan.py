"""Rig plan: the set from above, azimuth 0 up, with cast, cameras and what they take in, and where each rig stands."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan, ceil, cos, hypot, sin
from typing import Final

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
    place_labels,
)
from preview.sheets.from_above import NORTH_AND_SCALE_HIGH, north_and_scale
from preview.sheets.rig_marks import carriers, free_corner, number_places
from preview.sheets.rig_plan_data import Plan, Point

Floats = NDArray[np.float64]

FINE: Final = 2
"""Drawn so many times as large, then brought down, so that lines are smooth."""
LOWEST, TALLEST = 760, 1340
"""Pixels that it is high."""
EDGE: Final = 78.0
"""Pixels about what must be on it."""
LEAF: Final = 0.2
"""Metres of the round spot that stands for some leaves."""
DISC: Final = 25.0
FAR: Final = 34.0
"""Pixels from what it belongs to beyond which a name has a line to it."""
COLOURS: dict[str, Colour] = {
    "building": (182, 176, 164),
    "thing": (150, 146, 138),
    "growth": (205, 213, 198),
    "way": SHADE,
    "water": (214, 226, 232),
}
ORDER: Final = ("water", "way", "growth", "building", "thing")
"""From below."""


def rig_plan(plan: Plan) -> NDArray[np.uint8]:
    """The drawing (h, COLUMN, 3)."""
    drawn = _Drawn(plan)
    return np.asarray(drawn.image.resize((COLUMN, drawn.height), Image.Resampling.LANCZOS))


class _Drawn:
    """A plan on its paper."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        must = [plan.mark, *(one.at for one in plan.figures), *(one.at for one in plan.cameras)]
        must += [place for one in plan.rigs for place in (one.lamp, *one.corners)]
        must += plan.shown
        self.low, self.high = np.min(must, axis=0), np.max(must, axis=0)
        # Never so near that a step fills the sheet.
        spare = np.maximum(12.0 - (self.high - self.low), 0.0) / 2.0
        self.low, self.high = self.low - spare, self.high + spare
        wide, deep = (self.high - self.low).tolist()
        scale = min((COLUMN - 2 * EDGE) / wide, (TALLEST - 2 * EDGE) / deep)
        deep_px = float(np.clip(ceil(deep * scale + 2 * EDGE), LOWEST, TALLEST))
        self.height = int(deep_px + NORTH_AND_SCALE_HIGH)
        self.scale = scale * FINE
        self.middle = (self.low + self.high) / 2.0
        # What is drawn of the set, without what stands below it.
        self.size = COLUMN * FINE, int(deep_px) * FINE
        self.image = Image.new("RGB", self.size, WHITE)
        self.draw = ImageDraw.Draw(self.image)
        self.labels: list[tuple[Point, str, Colour, float]] = []
        self.kept: list[Box] = []
        self.names: list[Box] = []
        names = self._bodies()
        self._cameras()
        self._moon()
        self._lines()
        self._figures()
        self._lifts()
        self._lamps()
        for number, one in enumerate(carriers(plan.rigs)):
            half = max(0.5 * one.across * self.scale, 5.0 * FINE)
            self.labels.append((free_corner(self.at(one.base), half, number, self.kept), one.words, INK, 0.0))
        self._buildings(names)
        self._named()
        self.draw.rectangle((0, 0, self.size[0] - 1, self.size[1] - 1), outline=RULE, width=2 * FINE)
        whole = Image.new("RGB", (self.size[0], self.height * FINE), PAPER)
        whole.paste(self.image, (0, 0))
        self.image, self.draw = whole, ImageDraw.Draw(whole)
        north_and_scale(
            self.draw,
            (0.0, float(self.size[1])),
            (sin(plan.north), -cos(plan.north)),
            scale=self.scale,
            fine=float(FINE),
        )

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

    def _bodies(self) -> list[tuple[str, Box]]:
        """Draws the set; the names of its buildings, and what each takes up of the sheet."""
        names: list[tuple[str, Box]] = []
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
                corners = self._pixels(body.triangles[shown]).reshape(-1, 2)
                low, high = np.maximum(corners.min(axis=0), 0.0), np.minimum(corners.max(axis=0), self.size)
                names.append((body.name, (float(low[0]), float(low[1]), float(high[0]), float(high[1]))))
        return names

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
            self.labels.append(((x, y), camera.setup, BLUE, 0.0))

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
        end = x + east * far, y - north * far
        dashed(self.draw, [(x, y), end], INK, width=2 * FINE, on=18 * FINE, off=12 * FINE)
        self._keep_line((x, y), end)
        for place in self.plan.refused:
            cross, half = self.at(place), 8.0 * FINE
            for side in (-half, half):
                ends = (cross[0] - half, cross[1] - side, cross[0] + half, cross[1] + side)
                self.draw.line(ends, fill=INK, width=3 * FINE)
            self._keep(cross, half + 4.0 * FINE)
        back = max(far - 60.0 * FINE, 0.6 * far)
        self.labels.append(((x + east * back, y - north * back), "moon asked for", INK, 0.0))

    def _lines(self) -> None:
        for rig in self.plan.rigs:
            self._line(self.at(rig.lamp), self.at(self.plan.mark), VERMILION, width=2 * FINE)
            self._line(self.at(rig.base), self.at(rig.lamp), INK, width=4 * FINE)

    def _line(self, start: Point, end: Point, colour: Colour, *, width: int) -> None:
        """A thin line that no name lies on."""
        self.draw.line((*start, *end), fill=colour, width=width)
        self._keep_line(start, end)

    def _keep_line(self, start: Point, end: Point) -> None:
        """Keeps names off what of a line is on the sheet."""
        step, half = 28.0 * FINE, 9.0 * FINE
        count = int(hypot(end[0] - start[0], end[1] - start[1]) / step) + 2
        for share in np.linspace(0.0, 1.0, count).tolist():
            x, y = start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])
            if 0.0 <= x <= self.size[0] and 0.0 <= y <= self.size[1]:
                self._keep((x, y), half)

    def _figures(self) -> None:
        for one in self.plan.figures:
            x, y = self.at(one.at)
            tip = 20 * FINE
            self.draw.line((x, y, x + one.facing[0] * tip, y - one.facing[1] * tip), fill=INK, width=5 * FINE)
            self._circle((x, y), 9 * FINE, INK)
            self._keep((x, y), 18.0 * FINE)
            self.labels.append(((x, y), one.name, INK, 12.0 * FINE))
        x, y = self.at(self.plan.mark)
        self._circle((x, y), 17 * FINE, None, VERMILION)

    def _lifts(self) -> None:
        """A square for each."""
        for one in carriers(self.plan.rigs):
            x, y = self.at(one.base)
            half = max(0.5 * one.across * self.scale, 5.0 * FINE)
            self.draw.rectangle((x - half, y - half, x + half, y + half), outline=INK, width=3 * FINE)
            self._keep((x, y), half)

    def _lamps(self) -> None:
        """Discs with numbers where the lamps are; where one would hide another's place, beside it with a line to it."""
        spots = [self.at(rig.lamp) for rig in self.plan.rigs]
        bounds: Box = (0.0, 0.0, float(self.size[0]), float(self.size[1]))
        discs = number_places(spots, disc=(DISC + 3.0) * FINE, bounds=bounds, clear=self.kept)
        for spot, disc in zip(spots, discs, strict=True):
            if spot != disc:
                self.draw.line((*spot, *disc), fill=INK, width=2 * FINE)
                self._keep_line(spot, disc)
        for spot in spots:
            self._circle(spot, 8 * FINE, WHITE)
            self._circle(spot, 6 * FINE, VERMILION)
        for rig, (x, y) in zip(self.plan.rigs, discs, strict=True):
            self._keep((x, y), (DISC + 4.0) * FINE)
            self._circle((x, y), (DISC + 3) * FINE, WHITE)
            if rig.number is None:
                self._circle((x, y), DISC * FINE, WHITE, VERMILION)
                self.labels.append(((x, y), "nearest free place", VERMILION, DISC * FINE))
                continue
            self._circle((x, y), DISC * FINE, VERMILION)
            self.draw.text((x, y - FINE), str(rig.number), font=font("strong", FINE), fill=WHITE, anchor="mm")

    def _keep(self, at: Point, half: float) -> None:
        """Where no name goes."""
        self.kept.append((at[0] - half, at[1] - half, at[0] + half, at[1] + half))

    def _buildings(self, names: Sequence[tuple[str, Box]]) -> None:
        """Their names, on them where they are large enough and nothing else is there."""
        for name, (left, top, right, bottom) in names:
            wide, middle = font("label", FINE).getlength(name), ((left + right) / 2.0, (top + bottom) / 2.0)
            box = middle[0] - wide / 2, middle[1] - 18 * FINE, middle[0] + wide / 2, middle[1] + 18 * FINE
            fits = right - left > wide + 24 * FINE and bottom - top > 40 * FINE
            if fits and not any(overlap(box, other) for other in self.kept):
                self._text(middle, name, QUIET)
                self.kept.append(box)
            else:
                self.labels.append((middle, name, QUIET, 0.0))

    def _named(self) -> None:
        """Names beside what they belong to, clear of one another and of what is kept free; far ones with a line to it."""
        face = font("label", FINE)
        sizes = [(face.getlength(text) + 12 * FINE, 36.0 * FINE) for _, text, _, _ in self.labels]
        edge = 6.0 * FINE
        bounds: Box = (edge, edge, self.size[0] - edge, self.size[1] - edge)
        corners = place_labels(
            [at for at, _, _, _ in self.labels], sizes, bounds, gap=12.0 * FINE, clear=self.kept
        )
        placed = list(zip(self.labels, corners, sizes, strict=True))
        for (at, _, colour, radius), (left, top), (wide, high) in placed:
            east = min(max(at[0], left), left + wide) - at[0]
            south = min(max(at[1], top), top + high) - at[1]
            far = hypot(east, south)
            if far > radius + FAR * FINE:
                start = at[0] + east * radius / far, at[1] + south * radius / far
                self.draw.line((*start, at[0] + east, at[1] + south), fill=colour, width=FINE)
        for (_, text, colour, _), (left, top), (wide, high) in placed:
            self.names.append((left, top, left + wide, top + high))
            self.draw.rounded_rectangle(self.names[-1], 7 * FINE, fill=WHITE)
            self._text((left + wide / 2, top + high / 2 - FINE), text, colour)
