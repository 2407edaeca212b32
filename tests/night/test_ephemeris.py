"""Sun and moon over a place against worked examples, two other ephemeris libraries, and geometry.

Both sides of every comparison are of the middle of the disc, seen from the place, without refraction.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from math import asin, atan2, cos, degrees, pi, radians, sin, sqrt, tau
from pathlib import Path

import pytest

from preview.night.ephemeris import direction, moon_at, sun_at
from preview.night.observer import Observer
from tests.night.places import FAR_NORTH, observer, random_nights, separation_deg

SKYFIELD = json.loads(Path(__file__).with_name("skyfield_references.json").read_text(encoding="utf-8"))[
    "cases"
]


@pytest.mark.parametrize(
    ("place", "time", "height", "azimuth", "lit"),
    [
        ((34.0522, -118.2437, 89.0), "2024-10-17T11:26", 32.054, 260.667, 0.9998),
        ((51.5074, -0.1278, 11.0), "2025-11-05T22:00", 51.682, 130.791, 0.9964),
        ((51.5074, -0.1278, 11.0), "2026-06-21T01:00", -13.620, 291.438, 0.4104),
        ((64.1466, -21.9426, 0.0), "2025-12-04T23:14", 47.674, 137.482, 0.9981),
        ((-0.1807, -78.4678, 2850.0), "2026-05-31T06:00", 59.711, 206.391, 0.998),
    ],
)
def test_moon_over_places(
    place: tuple[float, float, float], time: str, height: float, azimuth: float, lit: float
) -> None:
    """Skyfield 1.55 with DE421, astronomy-engine and PyEphem 4.2.1 agree on these to 0.002 degrees."""
    moon = moon_at(observer(*place), datetime.fromisoformat(time).replace(tzinfo=UTC))
    assert degrees(moon.true_height) == pytest.approx(height, abs=0.02)
    assert degrees(moon.azimuth) == pytest.approx(azimuth, abs=0.02)
    assert moon.lit == pytest.approx(lit, abs=5e-4)


@pytest.mark.parametrize(
    ("place", "time", "height", "azimuth"),
    [
        ((34.0522, -118.2437, 89.0), "2024-10-17T11:26", -32.573, 78.771),
        ((-33.8688, 151.2093, 0.0), "2026-01-03T12:00", -26.594, 210.940),
        ((51.5074, -0.1278, 11.0), "2026-06-21T01:00", -13.989, 13.641),
    ],
)
def test_sun_over_places(place: tuple[float, float, float], time: str, height: float, azimuth: float) -> None:
    """The same, of the sun."""
    sun = sun_at(observer(*place), datetime.fromisoformat(time).replace(tzinfo=UTC))
    assert degrees(sun.true_height) == pytest.approx(height, abs=0.02)
    assert degrees(sun.azimuth) == pytest.approx(azimuth, abs=0.02)


@pytest.mark.parametrize("case", SKYFIELD, ids=lambda case: f"{case['latitude_deg']:.0f} {case['time'][:10]}")
def test_against_skyfield(case: dict) -> None:  # type: ignore[type-arg]
    """Skyfield 1.55 with DE421, by tests/night/make_skyfield_references.py. Asked is a tenth of a degree."""
    place = observer(case["latitude_deg"], case["longitude_deg"], case["height_m"])
    at = datetime.fromisoformat(case["time"])
    sun, moon = sun_at(place, at), moon_at(place, at)
    for seen, wanted in ((sun, case["sun"]), (moon, case["moon"])):
        off = separation_deg(
            seen.azimuth,
            seen.true_height,
            radians(wanted["azimuth_deg"]),
            radians(wanted["height_deg"]),
        )
        assert off < 0.02
    assert moon.distance_km == pytest.approx(case["moon"]["km"], abs=100.0)
    assert moon.lit == pytest.approx(case["moon"]["lit"], abs=2e-4)
    assert degrees(moon.phase_angle) == pytest.approx(case["moon"]["phase_angle_deg"], abs=0.03)


def test_against_pyephem() -> None:
    """PyEphem, its own theories (VSOP87, ELP of Chapront): fifty nights and places, without pressure."""
    import ephem

    for place, at in random_nights(50, seed=4711):
        site = ephem.Observer()
        site.lat, site.lon, site.elevation = place.latitude, place.longitude, place.height
        site.pressure, site.date = 0, ephem.Date(at.replace(tzinfo=None))
        for body, seen in ((ephem.Sun(), sun_at(place, at)), (ephem.Moon(), moon_at(place, at))):
            body.compute(site)
            off = separation_deg(seen.azimuth, seen.true_height, float(body.az), float(body.alt))
            assert off < 0.05, (place, at, body.name)
        moon = moon_at(place, at)
        assert moon.lit == pytest.approx(body.phase / 100.0, abs=0.002)
        assert 2.0 * degrees(moon.radius) == pytest.approx(2.0 * degrees(float(body.radius)), abs=0.001)


def geocentric(
    place: Observer, at: datetime, *, azimuth: float, height: float, km: float
) -> tuple[float, ...]:
    """Right ascension and declination in degrees, distance in km, from the earth's middle, of what a place sees.

    By mean sidereal time (J. Meeus, Astronomical Algorithms, 12.4) and the place on the ellipsoid (chapter 11).
    """
    centuries = (at - datetime(2000, 1, 1, 12, tzinfo=UTC)) / timedelta(days=36525)
    sidereal = radians(280.46061837 + 360.98564736629 * centuries * 36525 + 0.000387933 * centuries**2)
    turned = sidereal + place.longitude
    declination = asin(sin(place.latitude) * sin(height) + cos(place.latitude) * cos(height) * cos(azimuth))
    hour_angle = atan2(
        -sin(azimuth) * cos(height),
        sin(height) * cos(place.latitude) - cos(height) * sin(place.latitude) * cos(azimuth),
    )
    ascension = turned - hour_angle
    away = [
        km * cos(declination) * cos(ascension),
        km * cos(declination) * sin(ascension),
        km * sin(declination),
    ]
    flat = 1.0 - 1.0 / 298.257
    under = atan2(flat * sin(place.latitude), cos(place.latitude))
    radius = 6378.14 * cos(under) + place.height / 1000.0 * cos(place.latitude)
    own = [
        radius * cos(turned),
        radius * sin(turned),
        6378.14 * flat * sin(under) + place.height / 1000.0 * sin(place.latitude),
    ]
    x, y, z = (a + b for a, b in zip(away, own, strict=True))
    length = sqrt(x * x + y * y + z * z)
    return degrees(atan2(y, x)) % 360.0, degrees(asin(z / length)), length


EXAMPLE_47 = datetime(1992, 4, 12, tzinfo=UTC) - timedelta(seconds=59)
"""0 h of dynamical time; 59 seconds ahead of universal time in that year (Meeus, table 10.A, from memory)."""


@pytest.mark.parametrize("place", [observer(48.0, 11.0, 500.0), observer(-35.0, -70.0), FAR_NORTH])
def test_moon_of_meeus_example_47a(place: Observer) -> None:
    """J. Meeus, Astronomical Algorithms, 2nd edition: right ascension 134.688470, declination 13.768368, 368 409.7 km.

    Seen from three places and brought back to the earth's middle; nutation in sidereal time, 0.004 degrees, is left out.
    """
    moon = moon_at(place, EXAMPLE_47)
    ascension, declination, km = geocentric(
        place, EXAMPLE_47, azimuth=moon.azimuth, height=moon.true_height, km=moon.distance_km
    )
    assert ascension == pytest.approx(134.688470, abs=0.01)
    assert declination == pytest.approx(13.768368, abs=0.01)
    assert km == pytest.approx(368409.7, abs=60.0)


def test_lit_share_of_meeus_example_48a() -> None:
    """The same instant: 0.6786 of the disc is lit, phase angle 69.0756 degrees."""
    moon = moon_at(observer(48.0, 11.0), EXAMPLE_47)
    assert moon.lit == pytest.approx(0.6786, abs=5e-4)
    assert degrees(moon.phase_angle) == pytest.approx(69.0756, abs=0.03)
    assert moon.waxing


def test_sun_of_meeus_example_25a() -> None:
    """0 h of dynamical time, 13 October 1992: 13 h 13 m 31.4 s, -7° 47' 06"; PyMeeus 0.5.12 prints the same."""
    at = datetime(1992, 10, 13, tzinfo=UTC) - timedelta(seconds=59)
    place = observer(48.0, 11.0)
    sun = sun_at(place, at)
    km = 0.99766 * 149597870.7
    ascension, declination, _ = geocentric(place, at, azimuth=sun.azimuth, height=sun.true_height, km=km)
    assert ascension == pytest.approx(15.0 * (13 + 13 / 60 + 31.4 / 3600), abs=0.012)
    assert declination == pytest.approx(-(7 + 47 / 60 + 6 / 3600), abs=0.01)


@pytest.mark.parametrize(("km", "diameter_deg"), [(384400.0, 0.51793), (356967.0, 0.55773)])
def test_apparent_size(km: float, diameter_deg: float) -> None:
    """Geometry of a ball of 1737.4 km."""
    place = observer(51.5, 0.0)
    moon = moon_at(place, datetime(2025, 11, 5, 22, tzinfo=UTC))
    assert sin(moon.radius) * moon.distance_km == pytest.approx(1737.4, rel=1e-9)
    assert 2.0 * degrees(asin(sin(moon.radius) * moon.distance_km / km)) == pytest.approx(
        diameter_deg, abs=5e-4
    )


def test_refraction() -> None:
    """34.5' at the horizon, 5.3' ten degrees up, 1.0' at 45: astronomers' usual tables (from memory)."""
    place = observer(45.0, 7.0)
    lifts = {}
    for minutes in range(0, 1440, 2):
        moon = moon_at(place, datetime(2026, 10, 26, tzinfo=UTC) + timedelta(minutes=minutes))
        lifts[degrees(moon.height)] = 60.0 * degrees(moon.height - moon.true_height)
    for height, lift, within in ((0.0, 34.0, 2.5), (10.0, 5.3, 0.2), (45.0, 1.0, 0.06)):
        nearest = min((one for one in lifts if one >= 0.0), key=lambda one: abs(one - height))
        assert abs(nearest - height) < 0.5
        assert lifts[nearest] == pytest.approx(lift, abs=within)
    assert all(lift == 0.0 for height, lift in lifts.items() if height < 0.0)


def test_without_parallax_the_moon_stands_too_high() -> None:
    """The moon's horizontal parallax is about 57': a place sees it up to a degree lower than the earth's middle."""
    place, at = observer(40.0, 0.0), datetime(2026, 3, 25, 18, 0, tzinfo=UTC)
    moon = moon_at(place, at)
    ascension, declination, _ = geocentric(
        place, at, azimuth=moon.azimuth, height=moon.true_height, km=moon.distance_km
    )
    far, far_declination, _ = geocentric(place, at, azimuth=moon.azimuth, height=moon.true_height, km=1e12)
    off = separation_deg(radians(ascension), radians(declination), radians(far), radians(far_declination))
    assert off == pytest.approx(57.0 / 60.0 * cos(moon.true_height), abs=0.05)


@pytest.mark.parametrize("days", [0.0, 3.0, 9.0, 17.0, 25.0])
def test_lit_side_is_towards_the_sun(days: float) -> None:
    """The limb is square to the moon and lies on the great circle to the sun: vectors alone."""
    place, at = observer(-20.0, 30.0), datetime(2026, 5, 3, 20, tzinfo=UTC) + timedelta(days=days)
    moon, sun = moon_at(place, at), sun_at(place, at)
    ahead = direction(moon.azimuth, moon.true_height)
    towards = direction(sun.azimuth, sun.true_height)
    assert sum(a * b for a, b in zip(ahead, moon.limb, strict=True)) == pytest.approx(0.0, abs=1e-9)
    assert sum(part**2 for part in moon.limb) == pytest.approx(1.0)
    assert sum(a * b for a, b in zip(towards, moon.limb, strict=True)) > 0.0
    normal = [
        ahead[1] * towards[2] - ahead[2] * towards[1],
        ahead[2] * towards[0] - ahead[0] * towards[2],
        ahead[0] * towards[1] - ahead[1] * towards[0],
    ]
    assert sum(a * b for a, b in zip(normal, moon.limb, strict=True)) == pytest.approx(0.0, abs=1e-9)


def test_waxing_and_waning() -> None:
    """New moon of 29 January 2025, 12:36, full moon of 13 January 2025, 22:27 (Skyfield and PyEphem)."""
    place = observer(10.0, 10.0)
    new, full = datetime(2025, 1, 29, 12, 36, tzinfo=UTC), datetime(2025, 1, 13, 22, 27, tzinfo=UTC)
    hours = timedelta(hours=3)
    assert not moon_at(place, new - hours).waxing
    assert moon_at(place, new + hours).waxing
    assert moon_at(place, full - hours).waxing
    assert not moon_at(place, full + hours).waxing
    assert moon_at(place, new).lit < 0.002
    # It passes up to 5 degrees beside the shadow, so that cos^2(2.5 degrees) is the least that is lit.
    assert moon_at(place, full).lit > 0.998


def test_azimuths_go_clockwise_from_north() -> None:
    """In the north's middle latitudes both go from east by south to west."""
    place = observer(50.0, 0.0)
    noon = sun_at(place, datetime(2026, 3, 20, 12, 7, tzinfo=UTC))
    assert noon.azimuth == pytest.approx(pi, abs=0.02)
    assert 0.0 < sun_at(place, datetime(2026, 3, 20, 7, tzinfo=UTC)).azimuth < pi
    assert pi < sun_at(place, datetime(2026, 3, 20, 17, tzinfo=UTC)).azimuth < tau
