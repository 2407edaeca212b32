"""On figure: what a cheat changes on one figure, between two readings of it, the strongest change first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np

from preview.commands.prepare import Ready
from preview.commands.setups.cheats import Cheat
from preview.commands.setups.moon_side import Source, apart_deg, eyes_of, source_of
from preview.commands.setups.seen import Lit
from preview.sheets.answer.words import signed

STOPS: Final = 0.1
DEGREES: Final = 2.0
MIRED: Final = 3.0
FRAME: Final = 0.01
"""What is less than these is not told; the last is a share of the frame's width."""
ONE_STOP, ONE_COLOUR, ONE_TURN, ONE_FRAME = 0.5, 15.0, 15.0, 0.05
"""Changes that are as strong as one another: stops, mireds, degrees, shares of the frame. Common practice, no source."""


@dataclass(frozen=True)
class OnFigure:
    """What a cheat changes on one figure: with it, less without it. Stops as exposed, mireds warmer positive; degrees that
    its own fixture comes round from the lens, clockwise in the world, and up; shares of the frame's width, to the right.
    None where there is no such light with it or without it, or nothing to compare. `lost`, `gained`: the lights that play
    the moon and reach the figure only without it, or only with it. `strength`: of the strongest, 1 where it is seen."""

    key_stops: float | None
    fill_stops: float | None
    ratio_stops: float | None
    rim_stops: float | None
    colour_mired: float | None
    round_deg: float | None
    azimuth_deg: float | None
    up_deg: float | None
    frame_share: float | None
    lost: tuple[str, ...]
    gained: tuple[str, ...]
    words: str
    strength: float


@dataclass(frozen=True)
class _Change:
    strength: float
    words: str


@dataclass(frozen=True)
class _Pair:
    """Something with the cheat and without it; None where there is none."""

    now: float | None
    then: float | None

    @property
    def by(self) -> float | None:
        return None if self.now is None or self.then is None else self.now - self.then

    def told(self, digits: int) -> float:
        """The difference of the figures as they are shown elsewhere."""
        assert self.now is not None
        assert self.then is not None
        return round(round(self.now, digits) - round(self.then, digits), digits)


NOTHING: Final = _Pair(None, None)


def on_figure(name: str, cheat: Cheat, ready: Ready, without: Ready, now: Lit, then: Lit) -> OnFigure:
    """Of a setup as it is (`ready`, `now`), against it without the cheat."""
    judged = not (now.unseen or then.unseen)
    key = _Pair(now.face.key_stops, then.face.key_stops) if judged else NOTHING
    fill = _Pair(now.face.fill_stops, then.face.fill_stops) if judged else NOTHING
    ratio = _Pair(_ratio(now), _ratio(then)) if judged else NOTHING
    rim = _Pair(now.face.rim_stops, then.face.rim_stops)
    colour = _Pair(_mired(now), _mired(then)) if judged else NOTHING
    come = _source(ready, now, name, cheat), _source(without, then, name, cheat)
    round_, up, azimuth = NOTHING, NOTHING, None
    if come[0] is not None and come[1] is not None:
        round_ = _Pair(come[0].way.round_deg, come[1].way.round_deg)
        up = _Pair(come[0].height_deg, come[1].height_deg)
        azimuth = apart_deg(come[1].azimuth_deg, come[0].azimuth_deg)
    place = _Pair(_across(ready, name), _across(without, name))
    lost, gained = _only(then, now), _only(now, then)
    changes = [
        *(_Change(inf, f"{light} no longer reaches ({now.reach[light].why_not})") for light in lost),
        *(_Change(inf, f"reached by {light}") for light in gained),
        *_seen(now, then),
        *_stops("key", key),
        *_stops("fill", fill),
        *_stops("rim", rim),
        *_turned(colour, 1.0, MIRED, ONE_COLOUR, "key {:.0f} mired warmer", "key {:.0f} mired cooler"),
        *_turned(round_, 1.0, DEGREES, ONE_TURN, "{:.0f}° farther round", "{:.0f}° more frontal"),
        *_turned(up, 1.0, DEGREES, ONE_TURN, "{:.0f}° higher", "{:.0f}° lower"),
        *_turned(
            place,
            100.0,
            FRAME,
            ONE_FRAME,
            "{:.0f} % of the frame to the right",
            "{:.0f} % of the frame to the left",
        ),
    ]
    changes.sort(key=lambda one: -one.strength)
    return OnFigure(
        key.by,
        fill.by,
        ratio.by,
        rim.by,
        colour.by,
        round_.by,
        azimuth,
        up.by,
        place.by,
        lost,
        gained,
        ", ".join(one.words for one in changes),
        min(1e3, changes[0].strength) if changes else 0.0,
    )


def _ratio(lit: Lit) -> float | None:
    key = lit.face.key
    return None if key is None or key.ratio is None else key.ratio.stops


def _mired(lit: Lit) -> float | None:
    colour = lit.face.key_colour
    return None if colour is None or colour.hue is not None else colour.mired


def _only(one: Lit, other: Lit) -> tuple[str, ...]:
    """The lights that play the moon and reach the figure in one reading; in the other they are on, and do not."""
    return tuple(
        name
        for name, reach in one.reach.items()
        if reach.reaches and name in other.reach and not other.reach[name].comes
    )


def _seen(now: Lit, then: Lit) -> Iterator[_Change]:
    if now.in_frame != then.in_frame:
        yield _Change(inf, "comes into frame" if now.in_frame else f"goes {now.unseen}")


def _stops(what: str, pair: _Pair) -> Iterator[_Change]:
    if pair.by is not None and abs(pair.by) >= STOPS:
        yield _Change(abs(pair.by) / ONE_STOP, f"{what} {signed(pair.told(1))} stop")


def _turned(pair: _Pair, times: float, least: float, one: float, more: str, less: str) -> Iterator[_Change]:
    """A change told without its sign, `times` as large; nothing under the least that is told."""
    if pair.by is None or abs(pair.by) < least:
        return
    amount = pair.told(0) if times == 1.0 else times * pair.by
    yield _Change(abs(pair.by) / one, (more if pair.by > 0.0 else less).format(abs(amount)))


def _source(ready: Ready, lit: Lit, figure: str, cheat: Cheat) -> Source | None:
    """Where a cheated fixture comes to a figure from; None for a cheat of a figure, and where it is not there, is off or
    does not reach."""
    if cheat.section != "fixtures" or (cheat.name in lit.reach and not lit.reach[cheat.name].reaches):
        return None
    who = next(each for each in ready.scene.cast if each.name == figure)
    for fixture, light in zip(ready.scene.fixtures, ready.lights, strict=True):
        if fixture.name == cheat.name and fixture.level > 0.0:
            return source_of(ready, who, fixture, light)
    return None


def _across(ready: Ready, figure: str) -> float | None:
    """Where in the frame's width a figure's eyes are, 0 to 1 within it; None behind the lens."""
    who = next(each for each in ready.scene.cast if each.name == figure)
    uv, depth = ready.view.project(eyes_of(ready.scene, who)[np.newaxis])
    return float(uv[0, 0]) if depth[0] > 0.0 else None
