"""Stand-ins: from where the heads that play the moon light the set, beside the moon that one sees; a script's own moon
beside the true one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import asin, atan2, degrees, log2, radians, tau
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from preview.commands.sky.sight import main_mark
from preview.commands.sky.tonight import Tonight
from preview.night.moonlight import facing_lux
from preview.night.words import lux_words
from preview.script.models.fixtures import Fixture
from preview.script.motives import MOON, motive_of
from preview.script.scene import Scene

Floats = NDArray[np.float64]

LIT: Final = radians(30.0)
"""Off its axis, how far a head is taken to light a place. Common practice, no source."""
TWO: Final = 15.0
"""Degrees from which shadows are seen to come of two moons. Common practice, no source."""


@dataclass(frozen=True)
class StandIn:
    """A fixture that plays the moon: `where` its light comes to, a mark or what it is aimed at, and from which azimuth and
    height there, radians of the plan."""

    fixture: str
    where: str
    azimuth: float
    height: float


def stand_ins(scene: Scene) -> tuple[StandIn, ...]:
    """The heads of a scene that play the moon and are on."""
    mark, place = main_mark(scene)
    found = []
    for fixture in scene.fixtures:
        if fixture.moon is not None or motive_of(fixture) != MOON or fixture.level <= 0.0:
            continue
        if fixture.at is None or fixture.aim is None:
            continue
        source, aim = _from_and_to(scene, fixture, scene.point(fixture.at), scene.point(fixture.aim))
        lights_mark = _between(aim - source, place - source) <= LIT
        away = source - (place if lights_mark else aim)
        away = away / np.linalg.norm(away)
        found.append(
            StandIn(
                fixture.name,
                mark if lights_mark else "what it is aimed at",
                atan2(away[0], away[1]) % tau,
                asin(float(np.clip(away[2], -1.0, 1.0))),
            )
        )
    return tuple(found)


def _from_and_to(scene: Scene, fixture: Fixture, at: Floats, aim: Floats) -> tuple[Floats, Floats]:
    """Where a head's light last comes from and goes to, m: of one that is bounced, the last board and what that is for."""
    boards = [thing for thing in fixture.through if thing.bounce is not None]
    if not boards:
        return at, aim
    from preview.light.lights import lights_of

    (light,) = lights_of(replace(scene, fixtures=(fixture,)))
    (*_, board) = (np.asarray(one.centre) for one in light.modifiers if one.kind == "bounce")
    return board, aim if boards[-1].to is None else scene.point(boards[-1].to)


def _between(one: Floats, other: Floats) -> float:
    cosine = float(one @ other) / max(float(np.linalg.norm(one) * np.linalg.norm(other)), 1e-12)
    return float(np.arccos(np.clip(cosine, -1.0, 1.0)))


def own_moon(scene: Scene) -> Fixture | None:
    """The first moon of a scene whose place the script says; None for a real one."""
    moons = (one for one in scene.fixtures if one.moon is not None and one.level > 0.0)
    return next((one for one in moons if one.moon is not None and not one.moon.real), None)


def own_moon_words(tonight: Tonight) -> str:
    """Where a script's own moon stands and what it gives, against the true one at the script's time."""
    own = own_moon(tonight.scene)
    if own is None or own.moon is None or tonight.moment is None:
        return ""
    lux, hour = own.moon.lux * own.level, tonight.hour(tonight.moment)
    when = tonight.clock(tonight.moment)
    mine = (
        f"The script's moon ({_plan(degrees(own.moon.azimuth))}° of the plan, {degrees(own.moon.elevation):.0f}° up, "
        f"{lux_words(lux)} lux)"
    )
    if not hour.moon.is_up:
        return f"{mine} is its own: the true one is below the horizon at {when}."
    true = facing_lux(hour.moon, extinction=tonight.night.extinction, cloud=tonight.night.cloud)
    stops = log2(lux / true)
    against = (
        "as bright as"
        if abs(stops) < 0.05
        else f"{abs(stops):.1f} stops {'brighter' if stops > 0.0 else 'darker'} than"
    )
    return (
        f"{mine} is {against} the true one at {when} ({_plan(hour.plan_deg)}°, {degrees(hour.moon.height):.0f}° up, "
        f"{lux_words(true)} lux)."
    )


def two_moons_words(tonight: Tonight) -> str:
    """How far the heads that play the moon are off the one that is seen; nothing where they are on its side."""
    seen = _seen_deg(tonight)
    found = stand_ins(tonight.scene)
    if seen is None or not any(_off(seen, one) >= TWO for one in found):
        return ""
    parts, last = [], None
    for one in found:
        to = "" if one.where == last else f" to {one.where}"
        parts.append(f"{one.fixture} comes{to} from {_plan(degrees(one.azimuth))}°, {_off(seen, one)}° off")
        last = one.where
    among = f" in {tonight.scene.setup}" if len(tonight.sights) > 1 else ""
    return f"Two moons{among}: the moon itself stands at {seen}° of the plan; {'; '.join(parts)}."


def _seen_deg(tonight: Tonight) -> int | None:
    """The azimuth in the plan of the moon that a camera would see at the script's time; None without one."""
    own = own_moon(tonight.scene)
    if own is not None and own.moon is not None:
        return _plan(degrees(own.moon.azimuth))
    if tonight.moment is None:
        return None
    hour = tonight.hour(tonight.moment)
    return _plan(hour.plan_deg) if hour.moon.is_up else None


def _off(seen: int, one: StandIn) -> int:
    """Of the degrees as they are told."""
    return abs((_plan(degrees(one.azimuth)) - seen + 180) % 360 - 180)


def _plan(azimuth_deg: float) -> int:
    return round(azimuth_deg) % 360


def stand_ins_data(tonight: Tonight) -> list[dict[str, Any]]:
    """The heads that play the moon, as plain values."""
    return [
        {
            "fixture": one.fixture,
            "comes_to": one.where,
            "plan_azimuth_deg": degrees(one.azimuth),
            "height_deg": degrees(one.height),
        }
        for one in stand_ins(tonight.scene)
    ]
