"""Ephemeris: where sun and moon stand over a place, by astronomy-engine.

Positions are those seen from the place itself, not from the earth's middle: without that a moon stands up to a
degree too high. Heights are of the middle of the disc over a level horizon. `true_height` is without the air's
refraction, `height` with it (Saemundsson's formula: J. Meeus, Astronomical Algorithms, 16.4, as astronomy-engine has
it); of what is below the horizon both are the true one. The earth's shadow is not reckoned: see `eclipse` in `events.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from math import asin, atan2, cos, degrees, radians, sin, sqrt
from typing import Any

from preview.night.observer import Observer

MOON_RADIUS_KM = 1737.4
"""Source: mean radius of the moon, as the International Astronomical Union gives it."""

HOUR = timedelta(hours=1)
OBLIQUITY = radians(23.4393)
POLE = (0.0, -sin(OBLIQUITY), cos(OBLIQUITY))
"""Of the ecliptic, on the equator and equinox of the year 2000. Source: J. Meeus, Astronomical Algorithms, 22.2."""

Way = tuple[float, float, float]
"""A unit direction, east, north, up."""


@dataclass(frozen=True)
class Sun:
    """Radians: azimuth clockwise from true north, heights above a level horizon."""

    azimuth: float
    height: float
    true_height: float


@dataclass(frozen=True)
class Moon:
    """The moon as seen from a place. Radians; `azimuth` clockwise from true north.

    `phase_angle`: between sun and earth as seen from the moon, 0 when full. `lit`: the share of its disc that is lit.
    `waxing`: whether it grows. `distance_km`: from the place. `radius`: half its apparent diameter. `seen`: from where
    and when.
    """

    azimuth: float
    height: float
    true_height: float
    phase_angle: float
    lit: float
    waxing: bool
    distance_km: float
    radius: float
    seen: tuple[Observer, datetime]

    @property
    def limb(self) -> Way:
        """The unit direction on the sky, square to that of the moon, in which its bright side lies."""
        sun = sun_at(*self.seen)
        return _limb(direction(self.azimuth, self.true_height), direction(sun.azimuth, sun.true_height))

    @property
    def is_up(self) -> bool:
        """Whether the middle of its disc is above the horizon."""
        return self.height > 0.0


def direction(azimuth: float, height: float) -> Way:
    """A unit direction, east, north, up, to a place in the sky."""
    return sin(azimuth) * cos(height), cos(azimuth) * cos(height), sin(height)


@lru_cache(maxsize=20_000)
def sun_at(observer: Observer, at: datetime) -> Sun:
    """The sun at an instant."""
    azimuth, height, true_height, _ = _seen("Sun", observer, at)
    return Sun(azimuth, height, true_height)


@lru_cache(maxsize=20_000)
def moon_at(observer: Observer, at: datetime) -> Moon:
    """The moon at an instant."""
    import astronomy

    azimuth, height, true_height, distance = _seen("Moon", observer, at)
    geocentric = astronomy.GeoMoon(time_of(at))
    moon, light = (geocentric.x, geocentric.y, geocentric.z), _sunwards(at)
    back, onwards = tuple(-part for part in moon), tuple(b - a for a, b in zip(moon, light, strict=True))
    phase_angle = _turn((back[0], back[1], back[2]), (onwards[0], onwards[1], onwards[2]))
    east_of_sun = sum(part * pole for part, pole in zip(_cross(light, moon), POLE, strict=True))
    return Moon(
        azimuth,
        height,
        true_height,
        phase_angle,
        (1.0 + cos(phase_angle)) / 2.0,
        east_of_sun > 0.0,
        distance,
        asin(MOON_RADIUS_KM / distance),
        (observer, at),
    )


def _sunwards(at: datetime) -> Way:
    """The sun from the earth's middle, astronomical units, on the equator and equinox of 2000: straight between whole
    hours, which is right to a hundred thousandth of a degree."""
    hour = at.replace(minute=0, second=0, microsecond=0)
    share = (at - hour) / HOUR
    x, y, z = (
        a + share * (b - a)
        for a, b in zip(_sun_on_the_hour(hour), _sun_on_the_hour(hour + HOUR), strict=True)
    )
    return x, y, z


@lru_cache(maxsize=4_000)
def _sun_on_the_hour(hour: datetime) -> Way:
    import astronomy

    sun = astronomy.GeoVector(astronomy.Body.Sun, time_of(hour), True)
    return sun.x, sun.y, sun.z


def _seen(body: str, observer: Observer, at: datetime) -> tuple[float, float, float, float]:
    """Azimuth, height with and without refraction, radians; distance in km."""
    import astronomy

    time, here = time_of(at), place_of(observer)
    equator = astronomy.Equator(getattr(astronomy.Body, body), time, here, True, True)
    horizon = astronomy.Horizon(time, here, equator.ra, equator.dec, astronomy.Refraction.Airless)
    lifted = (
        horizon.altitude + astronomy.RefractionAngle(astronomy.Refraction.Normal, horizon.altitude)
        if horizon.altitude > -1.0
        else horizon.altitude
    )
    height = lifted if lifted > 0.0 else horizon.altitude
    return (
        radians(horizon.azimuth),
        radians(height),
        radians(horizon.altitude),
        float(equator.dist * astronomy.KM_PER_AU),
    )


def _limb(moon: Way, sun: Way) -> Way:
    """The unit direction square to the moon's on the great circle to the sun; up where they are in one line."""
    along = sum(a * b for a, b in zip(moon, sun, strict=True))
    square = [b - along * a for a, b in zip(moon, sun, strict=True)]
    length = sqrt(sum(part**2 for part in square))
    if length < 1e-9:
        return 0.0, 0.0, 1.0
    east, north, up = (part / length for part in square)
    return east, north, up


def _turn(one: Way, other: Way) -> float:
    """Radians between two directions of any length."""
    across = _cross(one, other)
    return atan2(sqrt(sum(part**2 for part in across)), sum(a * b for a, b in zip(one, other, strict=True)))


def _cross(one: Way, other: Way) -> Way:
    return (
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    )


def time_of(at: datetime) -> Any:
    """An instant as astronomy-engine has it."""
    import astronomy

    seconds = at.second + at.microsecond * 1e-6
    return astronomy.Time.Make(at.year, at.month, at.day, at.hour, at.minute, seconds)


def place_of(observer: Observer) -> Any:
    """A place as astronomy-engine has it."""
    import astronomy

    return astronomy.Observer(degrees(observer.latitude), degrees(observer.longitude), observer.height)
