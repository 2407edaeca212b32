"""Screen direction: on which side of the line between two figures each camera stands, where they look, which way they walk.

The line of action runs through two figures of whom one at least looks at the other. While all cameras keep to one side of
it, each of the two looks the same way across the screen in every setup. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence, Sized
from dataclasses import dataclass
from itertools import combinations
from math import asin, cos, degrees, radians, sin
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.bearing import Bearing, bearing
from preview.camera.view import View
from preview.commands.setups.moon_side import eyes_of
from preview.script.models.cast import Figure
from preview.script.scene import Scene
from preview.script.words import listed_all

Floats = NDArray[np.float64]

MEETS: Final = 15.0
"""Degrees, in plan, within which somebody looks at another. From memory: wider, and the other is seen from the corner of
an eye."""
ON_THE_LINE: Final = 5.0
"""Degrees from the line, seen from its middle, within which a camera is on neither side of it. Common practice, no
source."""
INTO_THE_LENS: Final = 4.0
"""Degrees. From memory: within about so much somebody seems to look at the viewer."""
TURNED_AWAY: Final = 100.0
"""Degrees off the lens past which no face is seen. Common practice, no source."""
ALONG_THE_LENS: Final = 20.0
"""Degrees from straight to or from the lens within which who walks crosses the screen neither way. Common practice, no
source."""

ACROSS: Final = ("left to right", "right to left")


@dataclass(frozen=True)
class Watched:
    """A setup as it is watched: its scene, its view, who of the cast is in frame."""

    name: str
    scene: Scene
    view: View
    in_frame: frozenset[str]


@dataclass(frozen=True)
class Look:
    """Where somebody looks, seen from the lens: `off_deg` 0 to 180 in plan, to a `side` of the camera."""

    figure: str
    off_deg: float
    side: str

    @property
    def words(self) -> str:
        """`38° camera right`."""
        if self.off_deg < INTO_THE_LENS:
            return "into the lens"
        return f"{self.off_deg:.0f}° camera {self.side}"


@dataclass(frozen=True)
class Line:
    """A line of action: `side` of each setup's camera, 1 to the left of who goes from the first figure to the second, -1
    to the right, 0 on it; `degrees_off` it, seen from its middle. `lookers`: who of the two looks at the other."""

    figures: tuple[str, str]
    lookers: tuple[str, ...]
    sides: dict[str, int]
    degrees_off: dict[str, float]

    @property
    def first(self) -> str | None:
        """The first setup that stands on a side: the others are held against it."""
        return next((setup for setup, side in self.sides.items() if side), None)

    @property
    def across(self) -> tuple[str, ...]:
        """The setups on the other side."""
        first = self.first
        if first is None:
            return ()
        return tuple(setup for setup, side in self.sides.items() if side == -self.sides[first])


@dataclass(frozen=True)
class Walk:
    """Which way somebody who walks goes over the screen, by setup: `left to right`, `to the lens`, ..."""

    figure: str
    ways: dict[str, str]

    @property
    def across(self) -> dict[str, str]:
        """Those that go over the screen."""
        return {setup: way for setup, way in self.ways.items() if way in ACROSS}

    @property
    def turns(self) -> bool:
        """Whether two setups show them go opposite ways."""
        return len(set(self.across.values())) > 1


def look_of(scene: Scene, view: View, figure: Figure) -> Look:
    """Where a figure's eyes look."""
    found = _bearing_of(scene, view, figure, gaze_of(scene, figure))
    return Look(figure.name, found.round_deg, found.side)


def gaze_of(scene: Scene, figure: Figure) -> Floats:
    """The way (3,) that a figure's eyes look, unit."""
    facing = scene.anchors[f"{figure.name}.eyes"].facing
    assert facing is not None
    return np.array(facing)


def _bearing_of(scene: Scene, view: View, figure: Figure, way: Floats) -> Bearing:
    return bearing(
        np.array([way[0], way[1], 0.0]) if np.hypot(way[0], way[1]) > 1e-6 else way,
        eyes_of(scene, figure),
        view,
    )


def side_of(one: Floats, other: Floats, camera: Floats) -> tuple[int, float]:
    """On which side of the line from one place to another (2,) a camera stands: 1 left, -1 right, 0 on it; with degrees.

    By the sign of the cross product; degrees off the line, 0 to 90, are those at its middle.
    """
    along, away = other - one, camera - 0.5 * (one + other)
    sizes = float(np.linalg.norm(along) * np.linalg.norm(away))
    if sizes < 1e-9:
        return 0, 0.0
    sine = float(along[0] * away[1] - along[1] * away[0]) / sizes
    off = degrees(asin(max(-1.0, min(1.0, abs(sine)))))
    return (0 if off < ON_THE_LINE else 1 if sine > 0.0 else -1), off


def looks_at(scene: Scene, figure: Figure, other: Figure) -> bool:
    """Whether a figure looks at another, in plan."""
    way = gaze_of(scene, figure)[:2]
    to_other = (eyes_of(scene, other) - eyes_of(scene, figure))[:2]
    sizes = float(np.linalg.norm(way) * np.linalg.norm(to_other))
    return sizes > 1e-9 and float(way @ to_other) / sizes > cos(radians(MEETS))


def lines_of(watched: Sequence[Watched]) -> tuple[Line, ...]:
    """The lines of action that some setup has in frame, with one of their figures at least."""
    answer = []
    names = [figure.name for figure in watched[0].scene.cast]
    for first, second in combinations(names, 2):
        sides, off, lookers = dict[str, int](), dict[str, float](), dict[str, None]()
        for one in watched:
            cast = {figure.name: figure for figure in one.scene.cast}
            if not {first, second} & one.in_frame:
                continue
            pairs = ((first, second), (second, first))
            looking = [a for a, b in pairs if looks_at(one.scene, cast[a], cast[b])]
            if not looking:
                continue
            lookers |= dict.fromkeys(looking)
            here, there = (eyes_of(one.scene, cast[name])[:2] for name in (first, second))
            sides[one.name], off[one.name] = side_of(here, there, one.view.position[:2])
        if sides:
            answer.append(Line((first, second), tuple(lookers), sides, off))
    return tuple(answer)


def walks_of(watched: Sequence[Watched]) -> tuple[Walk, ...]:
    """Everybody who walks, in the setups that have them in frame."""
    answer: dict[str, dict[str, str]] = {}
    for one in watched:
        for figure in one.scene.cast:
            if figure.pose != "walk" or figure.name not in one.in_frame:
                continue
            azimuth = one.scene.azimuth(figure.facing, np.array([*figure.at, 0.0]))
            way = np.array([sin(azimuth), cos(azimuth), 0.0])
            found = _bearing_of(one.scene, one.view, figure, way)
            answer.setdefault(figure.name, {})[one.name] = _walking(found)
    return tuple(Walk(name, ways) for name, ways in answer.items())


def _walking(found: Bearing) -> str:
    if found.round_deg < ALONG_THE_LENS:
        return "to the lens"
    if found.round_deg > 180.0 - ALONG_THE_LENS:
        return "from the lens"
    return ACROSS[0] if found.side == "right" else ACROSS[1]


def setups_words(names: Sequence[str], *, within: bool = False) -> str:
    """`Setups main and tight`, `Setup mist`: names that a sentence starts with; `within` it, without the capital."""
    what = "setup" if len(names) == 1 else "setups"
    return f"{what if within else what.capitalize()} {listed_all(names)}"


def _is(names: Sized) -> str:
    return "is" if len(names) == 1 else "are"


def line_sentences(line: Line, watched: Sequence[Watched]) -> list[str]:
    """What is to be said of a line: who crosses it, and how that is seen; or that nobody does."""
    one, other = line.figures
    first = line.first
    names = f"the line between {one} and {other}"
    if first is None:
        return [
            f"{setups_words(list(line.sides))} {_is(line.sides)} on {names}, so neither side of it is taken."
        ]
    said = []
    by_name = {each.name: each for each in watched}
    for setup in line.across:
        said.append(
            f"{setups_words([setup])} crosses {names}: {_crossed(line, by_name[setup], by_name[first])}."
        )
    on_it = [setup for setup, side in line.sides.items() if side == 0]
    if on_it:
        said.append(
            f"{setups_words(on_it)} {_is(on_it)} on {names}, and {'cuts' if len(on_it) == 1 else 'cut'} with either side."
        )
    keep = [setup for setup, side in line.sides.items() if side == line.sides[first]]
    if len(keep) > 1 and not line.across:
        said.append(f"{setups_words(keep)} keep to one side of {names}.")
    return said


def _crossed(line: Line, here: Watched, first: Watched) -> str:
    """`Visitor now looks camera right, as Mara does in main`."""
    told = []
    lookers = [name for name in line.figures if name in here.in_frame and name in line.lookers]
    seen = [name for name in lookers if _look(here, name).off_deg < TURNED_AWAY]
    for figure in seen or lookers:
        other = next(name for name in line.figures if name != figure)
        now, before = (_look(each, figure) for each in (here, first))
        theirs = _look(first, other)
        if other in line.lookers and theirs.side == now.side:
            told.append(f"{figure} now looks camera {now.side}, as {other} does in {first.name}")
        elif now.side != before.side:
            told.append(f"{figure} now looks camera {now.side}, in {first.name} camera {before.side}")
    return " and ".join(told) or "they change sides of the frame"


def _look(one: Watched, name: str) -> Look:
    return look_of(one.scene, one.view, next(figure for figure in one.scene.cast if figure.name == name))


def walk_sentences(walk: Walk) -> list[str]:
    """That somebody keeps or changes the way they walk over the screen."""
    across = walk.across
    for setup, way in across.items():
        before = next(iter(across))
        if way != across[before]:
            return [
                f"{walk.figure} walks {across[before]} in {before} and {way} in {setup}: in the cut they turn round."
            ]
    if len(across) > 1:
        return [f"{walk.figure} walks {next(iter(across.values()))} in {listed_all(list(across))}."]
    return []
