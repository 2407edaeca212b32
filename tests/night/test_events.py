"""Rise, set, twilights and culminations against almanacs' times and two other libraries.

Conventions on all sides: rise and set of the upper limb at 34' below the true horizon; twilights of the sun's middle,
without refraction; level horizon.
"""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from math import degrees, pi, radians
from pathlib import Path

import pytest

from preview.night.ephemeris import moon_at, sun_at
from preview.night.events import (
    TWILIGHTS,
    eclipse,
    events_of,
    length,
    moon_up,
    overlap,
    sun_below,
)
from preview.night.observer import NightSpan, Observer, instant, night_of
from preview.script.place_and_time import zone_of
from tests.night.places import FAR_NORTH, observer, random_nights

SKYFIELD = json.loads(Path(__file__).with_name("skyfield_references.json").read_text(encoding="utf-8"))[
    "cases"
]
GRAZING_DEG_PER_HOUR = 1.5
"""A body that rises more slowly crosses the 0.025 degrees in which two ephemerides may differ in a minute."""


def day_from(at: datetime) -> NightSpan:
    return NightSpan(at.date(), at, at + timedelta(days=1))


def times(place: Observer, span: NightSpan) -> dict[str, list[datetime]]:
    found: dict[str, list[datetime]] = {}
    for event in events_of(place, span):
        found.setdefault(event.name, []).append(event.at)
    return found


@pytest.mark.parametrize(
    ("place", "start", "wanted"),
    [
        (
            (51.5074, -0.1278),
            "2025-11-05T00:00",
            {
                "moonrise": "15:54:13",
                "moonset": "07:01:46",
                "sunset": "16:26:07",
                "astronomical dusk": "18:20:23",
            },
        ),
        (
            (-33.8688, 151.2093),
            "2026-01-03T00:00",
            {
                "moonrise": "09:21:05",
                "moonset": "19:06:57",
                "sunset": "09:09:43",
                "astronomical dusk": "10:52:48",
            },
        ),
    ],
)
def test_times_that_three_libraries_agree_on(
    place: tuple[float, float], start: str, wanted: dict[str, str]
) -> None:
    """Skyfield with DE421, astronomy-engine and PyEphem, to 2 seconds; asked is one minute."""
    span = day_from(datetime.fromisoformat(start).replace(tzinfo=UTC))
    found = times(observer(*place), span)
    for name, clock in wanted.items():
        at = datetime.fromisoformat(f"{start[:10]}T{clock}+00:00")
        assert abs(found[name][0] - at) < timedelta(seconds=10), name


@pytest.mark.parametrize("case", SKYFIELD, ids=lambda case: f"{case['latitude_deg']:.0f} {case['time'][:10]}")
def test_against_skyfield(case: dict) -> None:  # type: ignore[type-arg]
    """Forty days and places, ten of them beyond the polar circle; none is left out."""
    place = observer(case["latitude_deg"], case["longitude_deg"], case["height_m"])
    found = times(place, day_from(datetime.fromisoformat(case["time"])))
    for name, wanted in case["events"].items():
        own = found.get(name, [])
        assert len(own) == len(wanted), name
        for at, other in zip(own, wanted, strict=True):
            assert abs(at - datetime.fromisoformat(other)) < timedelta(seconds=10), name


def test_against_pyephem() -> None:
    """Fifty nights and places; of those only events are left out in which the body grazes the horizon."""
    import ephem

    checked = 0
    for place, start in random_nights(50, seed=1908):
        found = times(place, day_from(start))
        for name, own in found.items():
            if name in ("moon highest", "sun lowest"):
                continue
            for at in own:
                if abs(_speed(place, name, at)) < GRAZING_DEG_PER_HOUR:
                    continue
                other = _of_pyephem(ephem, place, name, at - timedelta(hours=2))
                assert abs(at - other) < timedelta(seconds=60), (name, place, at)
                checked += 1
    assert checked > 350


def _speed(place: Observer, name: str, at: datetime) -> float:
    """Degrees an hour of a body's height."""
    seen = moon_at if name.startswith("moon") else sun_at
    after, before = (seen(place, at + sign * timedelta(minutes=3)).true_height for sign in (1, -1))
    return degrees(after - before) * 10.0


def _of_pyephem(ephem, place: Observer, name: str, since: datetime) -> datetime:  # type: ignore[no-untyped-def]
    site = ephem.Observer()
    site.lat, site.lon, site.elevation, site.pressure = place.latitude, place.longitude, place.height, 0
    site.date = ephem.Date(since.replace(tzinfo=None))
    body = ephem.Moon() if name.startswith("moon") else ephem.Sun()
    twilight = TWILIGHTS.get(name.split()[0])
    site.horizon = radians(-34.0 / 60.0 if twilight is None else twilight)
    rises = name.endswith(("rise", "dawn"))
    search = site.next_rising if rises else site.next_setting
    found: datetime = search(body, use_center=twilight is not None).datetime().replace(tzinfo=UTC)
    return found


def test_culminations() -> None:
    """The moon is highest due south or north, the sun lowest due north or south: the meridian."""
    for place, start in random_nights(12, seed=3):
        for event in events_of(place, day_from(start)):
            if event.name not in ("moon highest", "sun lowest"):
                continue
            seen = (moon_at if "moon" in event.name else sun_at)(place, event.at)
            off = (seen.azimuth + pi / 2.0) % pi - pi / 2.0
            assert abs(off) < 0.03 or abs(degrees(seen.true_height)) > 80.0


def test_polar_day_night_and_white_night() -> None:
    """70 N 19 E: no sunset at midsummer, no sunrise at midwinter, and no dark in late July."""
    summer = night_of(FAR_NORTH, date(2026, 6, 20))
    assert sun_below(FAR_NORTH, summer, None) == ()
    assert "sunset" not in times(FAR_NORTH, summer)
    winter = night_of(FAR_NORTH, date(2026, 12, 20))
    assert sun_below(FAR_NORTH, winter, None) == ((winter.start, winter.end),)
    assert "sunrise" not in times(FAR_NORTH, winter)
    # At midwinter noon the sun stands 90 - 70 - 23.4 = -3.4 degrees high, so civil twilight is all that there is of day.
    assert length(sun_below(FAR_NORTH, winter, -6.0)) < timedelta(hours=21)
    bright = night_of(FAR_NORTH, date(2026, 8, 10))
    assert sun_below(FAR_NORTH, bright, None) != ()
    assert sun_below(FAR_NORTH, bright, TWILIGHTS["nautical"]) == ()


def test_moon_below_the_horizon_for_days() -> None:
    """Near full, a summer moon stands low: 70 N has it below the horizon at the end of June 2026, 70 S above."""
    night = night_of(FAR_NORTH, date(2026, 6, 29))
    assert moon_up(FAR_NORTH, night) == ()
    south = observer(-70.0, 19.0)
    span = night_of(south, date(2026, 6, 29))
    assert moon_up(south, span) == ((span.start, span.end),)


def test_spans_follow_the_height() -> None:
    """Every twenty minutes of eight nights: in a span the sun is below its height, outside it is not."""
    for place, start in random_nights(8, seed=99):
        span = day_from(start)
        for twilight in TWILIGHTS.values():
            dark = sun_below(place, span, twilight)
            for at in span.every(20):
                inside = any(begins <= at <= ends for begins, ends in dark)
                height = degrees(sun_at(place, at).true_height)
                assert inside == (height < twilight) or abs(height - twilight) < 0.02
        up = moon_up(place, span)
        for at in span.every(30):
            moon = moon_at(place, at)
            inside = any(begins <= at <= ends for begins, ends in up)
            over = degrees(moon.true_height + moon.radius) + 34.0 / 60.0
            assert inside == (over > 0.0) or abs(over) < 0.02


def test_overlap() -> None:
    start = datetime(2026, 1, 1, tzinfo=UTC)
    a, b, c, d = (start + timedelta(hours=hours) for hours in (0, 2, 1, 3))
    assert overlap(((a, b),), ((c, d),)) == ((c, b),)
    assert overlap(((a, c),), ((b, d),)) == ()
    assert length(((a, b), (b, d))) == timedelta(hours=3)


def test_night_in_which_clocks_go_back() -> None:
    """The European rule (Directive 2000/84/EC): on the last Sunday of October clocks go back at 01:00 universal time."""
    place = Observer(radians(51.5), radians(1.2), 0.0, zone_of("CET"))
    night = night_of(place, date(2026, 10, 24))
    assert night.end - night.start == timedelta(hours=25)
    assert instant(place, night.evening, datetime(2026, 1, 1, 21, 30).time()) == datetime(
        2026, 10, 24, 19, 30, tzinfo=UTC
    )
    assert instant(place, night.evening, datetime(2026, 1, 1, 4, 0).time()) == datetime(
        2026, 10, 25, 3, 0, tzinfo=UTC
    )
    # 02:30 comes twice: the first is summer time's.
    assert instant(place, night.evening, datetime(2026, 1, 1, 2, 30).time()) == datetime(
        2026, 10, 25, 0, 30, tzinfo=UTC
    )


def test_night_in_which_clocks_go_forward() -> None:
    """On the last Sunday of March, 02:30 never comes."""
    place = Observer(radians(51.5), radians(1.2), 0.0, zone_of("CET"))
    night = night_of(place, date(2026, 3, 28))
    assert night.end - night.start == timedelta(hours=23)
    with pytest.raises(
        ValueError, match="02:30 never comes in this night: the clocks go forward, and it is 03:30 then"
    ):
        instant(place, night.evening, datetime(2026, 1, 1, 2, 30).time())


def test_eclipse_of_the_moon() -> None:
    """3 March 2026, total: the dark shadow from 09:50 to 13:17 (almanacs, from memory)."""
    found = eclipse(day_from(datetime(2026, 3, 3, 0, tzinfo=UTC)))
    assert found is not None
    assert found.kind == "total"
    assert abs(found.start - datetime(2026, 3, 3, 9, 50, tzinfo=UTC)) < timedelta(minutes=2)
    assert abs(found.end - datetime(2026, 3, 3, 13, 17, tzinfo=UTC)) < timedelta(minutes=2)
    assert eclipse(day_from(datetime(2026, 4, 3, 0, tzinfo=UTC))) is None
