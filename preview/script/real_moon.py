"""Real moon: the true moon of a script's place, night and time, turned into the script's plan."""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache
from math import cos, sin, tau

from preview.night.ephemeris import Moon as SeenMoon
from preview.night.observer import Observer, instant
from preview.script.models.fixtures import Fixture
from preview.script.models.night import Night, PlaceOnEarth
from preview.script.models.sky import Moon
from preview.script.place_and_time import zone_of


def observer_of(place: PlaceOnEarth) -> Observer:
    """A script's place as the sky is seen from it."""
    return Observer(place.latitude, place.longitude, place.height, zone_of(place.zone))


def moment_of(place: PlaceOnEarth, night: Night) -> datetime | None:
    """The instant that a night's time names; None without one, ValueError for one that never comes."""
    return None if night.time is None else instant(observer_of(place), night.date, night.time)


@lru_cache(maxsize=64)
def moon_of(place: PlaceOnEarth, night: Night) -> SeenMoon | None:
    """The true moon at the night's time; azimuth from true north. None without a time."""
    from preview.night.ephemeris import moon_at

    at = moment_of(place, night)
    return None if at is None else moon_at(observer_of(place), at)


def in_plan(azimuth: float, place: PlaceOnEarth) -> float:
    """An azimuth from true north as one of the script's plan, radians, 0 to a turn."""
    return (azimuth + place.north) % tau


def way_in_plan(way: tuple[float, float, float], place: PlaceOnEarth) -> tuple[float, float, float]:
    """A direction east, north, up as one along x, y, z of the script's plan."""
    east, north, up = way
    turn, ahead = sin(place.north), cos(place.north)
    return east * ahead + north * turn, north * ahead - east * turn, up


def under_the_sky(fixture: Fixture, place: PlaceOnEarth | None, night: Night | None) -> Fixture:
    """The fixture, a real moon of it with its true azimuth, elevation, lux and apparent size; lux 0 below the horizon."""
    if fixture.moon is None or not fixture.moon.real or place is None or night is None:
        return fixture
    seen = moon_of(place, night)
    if seen is None:
        return fixture
    from preview.night.moonlight import facing_lux

    found = {
        "azimuth": in_plan(seen.azimuth, place),
        "elevation": seen.height,
        "lux": facing_lux(seen, extinction=night.extinction, cloud=night.cloud),
        "size": fixture.moon.size if "size" in fixture.moon.model_fields_set else 2.0 * seen.radius,
    }
    return fixture.model_copy(update={"moon": _with(fixture.moon, found)})


def _with(moon: Moon, found: dict[str, float]) -> Moon:
    """The moon with what follows filled in; what the file gives is still told from it."""
    return Moon.model_construct(_fields_set=set(moon.model_fields_set), **{**dict(moon), **found})
