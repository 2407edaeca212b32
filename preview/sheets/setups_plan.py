"""Setups plan: from above, north at the top, what stands there, where each camera stands and looks, where everybody looks,
the lines between them, and from where the moon's light comes in which setup."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
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
    VERMILION,
    WHITE,
    Box,
    dashed,
    font,
    overlap,
    place_labels,
)
from preview.sheets.from_above import NORTH_AND_SCALE_HIGH, north_and_scale
from preview.sheets.plan_set import PlanSet, draw_set

Floats = NDArray[np.float64]
Pixels = NDArray[np.uint8]

HIGHEST: Final = 900
"""Pixels that the plan may be high."""
LOWEST: Final = 420
STRIP: Final = round(NORTH_AND_SCALE_HIGH) + 8
"""Pixels below the plan, for its scale and the way north."""
ROOM: Final = 1.6
"""Metres about whatever is shown."""
MOST_SCALE: Final = 260.0
"""Pixels to a metre, at the most."""
DISC: Final = 11.0
GAZE: Final = 0.8
"""Metres that a look is drawn long."""
SIGHT: Final = 0.35
"""Share of the plan's height that a camera's sides are drawn long."""
ASIDE: Final = ((0, 0), (0, 44), (0, -44), (90, 0), (-90, 0), (90, 44), (-90, 44), (0, 88), (0, -88))
"""Pixels by which the name of a piece of the set may stand off its middle."""


@dataclass(frozen=True)
class SeenFrom:
    """A camera: `at` (2,) m, `forward` (2,), `half_angle` radians; `across`: whether it stands across a line."""

    name: str
    at: Floats
    forward: Floats
    half_angle: float
    across: bool = False


@dataclass(frozen=True)
class Somebody:
    """A figure: `at` (2,) m, and the way (2,) it looks."""

    name: str
    at: Floats
    gaze: Floats


@dataclass(frozen=True)
class Moonlight:
    """A light that plays the moon, and the azimuth, degrees, that it comes from; `where`: in which setups, if not all."""

    name: str
    azimuth_deg: float
    where: str = ""

    @property
    def label(self) -> str:
        """`moon key, 66° (main)`."""
        return f"{self.name}, {round(self.azimuth_deg) % 360}°{f' ({self.where})' if self.where else ''}"


@dataclass(frozen=True)
class Plan:
    """What is drawn. `lines` (2, 2) m each, from one figure to the other; `near_by` (n, 2) m: places of the set that are on
    the plan as well as cameras and figures."""

    cameras: Sequence[SeenFrom]
    figures: Sequence[Somebody]
    lines: Sequence[Floats]
    moons: Sequence[Moonlight]
    set: PlanSet
    near_by: Floats


def setups_plan(plan: Plan) -> Pixels:
    """The drawing (h, COLUMN, 3)."""
    return _Drawn(plan).pixels


class _Drawn:
    def __init__(self, plan: Plan) -> None:
        places = np.array(
            [*(one.at for one in plan.cameras), *(one.at for one in plan.figures), *plan.near_by]
        )
        low, high = places.min(axis=0) - ROOM, places.max(axis=0) + ROOM
        self.scale = float(min(COLUMN / (high - low)[0], HIGHEST / (high - low)[1], MOST_SCALE))
        self.high = round(min(HIGHEST, max(LOWEST, self.scale * float((high - low)[1]))))
        self.middle = 0.5 * (low + high)
        self.image = Image.new("RGB", (COLUMN, self.high + STRIP), PAPER)
        ground = Image.new("RGB", (COLUMN, self.high), PAPER)
        self.set_names = draw_set(ground, plan.set, scale=self.scale, middle=self.middle)
        self.image.paste(ground)
        self.draw = ImageDraw.Draw(self.image)
        for line in plan.lines:
            self._line(line)
        for camera in plan.cameras:
            self._sides(camera)
        self._moons(plan.moons)
        for figure in plan.figures:
            self._somebody(figure)
        for camera in plan.cameras:
            self._camera(camera)
        self._names(plan)
        self.draw.rectangle((0, self.high, COLUMN, self.high + STRIP), fill=PAPER)
        north_and_scale(self.draw, (0.0, self.high + 8.0), (0.0, -1.0), scale=self.scale)
        self.draw.rectangle((0, 0, COLUMN - 1, self.high - 1), outline=QUIET, width=2)

    @property
    def pixels(self) -> Pixels:
        return np.asarray(self.image)

    def at(self, place: Floats) -> tuple[float, float]:
        x, y = (self.scale * (place - self.middle)).tolist()
        return COLUMN / 2 + x, self.high / 2 - y

    def _line(self, ends: Floats) -> None:
        """Through two figures and on to the edges."""
        along = (ends[1] - ends[0]) / max(float(np.linalg.norm(ends[1] - ends[0])), 1e-9)
        far = 2.0 * COLUMN / self.scale
        dashed(
            self.draw, [self.at(ends[0] - far * along), self.at(ends[1] + far * along)], VERMILION, width=4
        )

    def _sides(self, camera: SeenFrom) -> None:
        reach = SIGHT * self.high / self.scale
        for side in (-1.0, 1.0):
            c, s = np.cos(side * camera.half_angle), np.sin(side * camera.half_angle)
            x, y = camera.forward
            end = camera.at + reach * np.array([c * x - s * y, s * x + c * y])
            self.draw.line((*self.at(camera.at), *self.at(end)), fill=INK, width=3)

    def _camera(self, camera: SeenFrom) -> None:
        """A square; a triangle across the line."""
        x, y = self.at(camera.at)
        if camera.across:
            corners = [(x, y - 1.4 * DISC), (x - 1.3 * DISC, y + DISC), (x + 1.3 * DISC, y + DISC)]
            self.draw.polygon(corners, fill=VERMILION, outline=WHITE)
        else:
            self.draw.rectangle((x - DISC, y - DISC, x + DISC, y + DISC), fill=INK, outline=WHITE, width=2)

    def _somebody(self, figure: Somebody) -> None:
        """A disc, and the way it looks."""
        x, y = self.at(figure.at)
        size = max(float(np.linalg.norm(figure.gaze)), 1e-9)
        end = self.at(figure.at + GAZE * figure.gaze / size)
        self.draw.line((x, y, *end), fill=INK, width=5)
        self.draw.ellipse((x - DISC, y - DISC, x + DISC, y + DISC), fill=WHITE, outline=INK, width=4)

    def _moons(self, moons: Sequence[Moonlight]) -> None:
        """An arrow in from the edge for each, the way its light goes, with its name."""
        spots, names, arrows = [], [], []
        for moon in moons:
            turn = np.radians(moon.azimuth_deg)
            way = np.array([np.sin(turn), -np.cos(turn)])
            half = np.array([COLUMN / 2 - 30.0, self.high / 2 - 30.0])
            out = float(np.min(half / np.maximum(np.abs(way), 1e-9)))
            start = np.array([COLUMN / 2, self.high / 2]) + out * way
            end = start - min(130.0, 0.6 * out) * way
            self.draw.line((*start, *end), fill=BLUE, width=6)
            aside = 13.0 * np.array([-way[1], way[0]])
            tip, back = end - 12.0 * way, end + 16.0 * way
            self.draw.polygon([tuple(tip), tuple(back + aside), tuple(back - aside)], fill=BLUE)
            spots.append((float(start[0]), float(start[1])))
            for along in np.linspace(start, tip, 9).tolist():
                arrows.append((along[0] - 14, along[1] - 14, along[0] + 14, along[1] + 14))
            names.append(moon.label)
        self.moon_spots, self.moon_names, self.arrows = spots, names, arrows

    def _names(self, plan: Plan) -> None:
        """Names beside what they are of, clear of one another."""
        named = [(one.name, self.at(one.at), INK) for one in plan.figures]
        named += [(name, at, VERMILION if across else INK) for name, at, across in self._cameras(plan)]
        named += [(name, spot, BLUE) for name, spot in zip(self.moon_names, self.moon_spots, strict=True)]
        sizes = [(font("label").getlength(name) + 18, 40.0) for name, _, _ in named]
        bounds = (6.0, 6.0, COLUMN - 6.0, self.high - 6.0)
        clear = [*self.arrows, *(self._look(figure) for figure in plan.figures)]
        corners = place_labels([spot for _, spot, _ in named], sizes, bounds, gap=16, clear=clear)
        for (name, _, colour), (left, top), (wide, high) in zip(named, corners, sizes, strict=True):
            self.draw.rounded_rectangle(
                (left, top, left + wide, top + high), 8, fill=PAPER, outline=colour, width=2
            )
            self.draw.text(
                (left + wide / 2, top + high / 2 - 2), name, font=font("label"), fill=colour, anchor="mm"
            )
        taken = [
            (*corner, corner[0] + w, corner[1] + h) for corner, (w, h) in zip(corners, sizes, strict=True)
        ]
        self._set_names([*taken, *self.arrows])

    def _cameras(self, plan: Plan) -> list[tuple[str, tuple[float, float], bool]]:
        """The cameras by place: one name for those that stand on one another."""
        found: list[tuple[str, tuple[float, float], bool]] = []
        for one in plan.cameras:
            x, y = self.at(one.at)
            for number, (name, at, across) in enumerate(found):
                if hypot(at[0] - x, at[1] - y) < DISC and across == one.across:
                    found[number] = f"{name}, {one.name}", at, across
                    break
            else:
                found.append((one.name, (x, y), one.across))
        return found

    def _look(self, figure: Somebody) -> Box:
        """The end of the line that shows where somebody looks, so that no name lies on it."""
        size = max(float(np.linalg.norm(figure.gaze)), 1e-9)
        x, y = self.at(figure.at + GAZE * figure.gaze / size)
        return x - 5, y - 5, x + 5, y + 5

    def _set_names(self, taken: list[Box]) -> None:
        """What of the set has a name, where there is room for it."""
        for name, (x, y) in self.set_names:
            wide = font("small").getlength(name) + 10.0
            for across, down in ASIDE:
                left = min(max(x + across - wide / 2, 6.0), COLUMN - wide - 6.0)
                top = min(max(y + down - 15.0, 6.0), self.high - 36.0)
                box = (left, top, left + wide, top + 30.0)
                if not any(overlap(box, other) for other in taken):
                    self.draw.text(
                        (left + wide / 2, top + 15.0), name, font=font("small"), fill=QUIET, anchor="mm"
                    )
                    taken.append(box)
                    break
