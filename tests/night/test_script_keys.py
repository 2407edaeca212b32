"""The script's place, night and real moon: what is read, what is refused, and what follows."""

# ruff: noqa: E501 - sentences are written whole
from __future__ import annotations

import zoneinfo
from datetime import UTC, date, datetime, time, timedelta
from math import degrees, radians
from pathlib import Path

import pytest

from preview.commands.check import check
from preview.commands.notes.night import moon_notes, night_notes
from preview.light.emitters.phased import Phased
from preview.light.lights import lights_of
from preview.night.ephemeris import moon_at
from preview.night.moonlight import facing_lux
from preview.script import place_and_time
from preview.script.explain import defaults
from preview.script.real_moon import moment_of, observer_of
from preview.script.schema import schema
from tests.night.places import observer
from tests.script.scenes import SMALL, faults, scene

PLACE = "place: {latitude: 51.5 N, longitude: 1.2 E, zone: CET}\n"
NIGHT = "night: {date: 2026-10-24, time: 21:30}\n"
MOON = "fixtures: [{name: moon, moon: real}]\n"
REAL = SMALL + PLACE + NIGHT + MOON


@pytest.mark.parametrize(
    ("written", "degrees_"),
    [
        (51.5, 51.5),
        ("51.5 N", 51.5),
        ("33.9 S", -33.9),
        ("-33.9", -33.9),
        ("−33.9", -33.9),
        ("51° 30' N", 51.5),
        ("51°30′36″N", 51.51),
        ("51 deg 30 min n", 51.5),
        (90, 90.0),
    ],
)
def test_latitudes(written: object, degrees_: float) -> None:
    assert degrees(place_and_time.latitude(written)) == pytest.approx(degrees_, abs=1e-9)


@pytest.mark.parametrize(
    ("written", "degrees_"), [("1.2 E", 1.2), ("70.5 W", -70.5), (-180, -180.0), ("0° 7′ 30″ W", -0.125)]
)
def test_longitudes(written: object, degrees_: float) -> None:
    assert degrees(place_and_time.longitude(written)) == pytest.approx(degrees_, abs=1e-9)


@pytest.mark.parametrize(
    ("written", "hours"),
    [("+02:00", 2), ("-3:30", -3.5), ("UTC+2", 2), (2, 2), (-7, -7), (5.5, 5.5), ("+0545", 5.75)],
)
def test_offsets(written: object, hours: float) -> None:
    zone = place_and_time.zone_of(place_and_time.zone(written))
    assert datetime(2026, 7, 1, tzinfo=zone).utcoffset() == timedelta(hours=hours)


def test_zones_follow_the_clocks() -> None:
    """The zone of the database itself is what is used: every name that it has is read, whatever its capitals."""
    for name in sorted(zoneinfo.available_timezones())[::25]:
        read = place_and_time.zone_of(place_and_time.zone(name.upper()))
        for day in (datetime(2026, 1, 15), datetime(2026, 7, 15)):
            assert (
                day.replace(tzinfo=read).utcoffset()
                == day.replace(tzinfo=zoneinfo.ZoneInfo(name)).utcoffset()
            )


def test_a_mistyped_zone_is_answered_with_one_near_it() -> None:
    for name in ("CET", "EST5EDT"):
        with pytest.raises(ValueError, match=f'did you mean "{name}"'):
            place_and_time.zone(name + "T")
    # The last part alone is what people remember.
    far = max((name for name in zoneinfo.available_timezones() if name.count("/") == 1), key=len)
    with pytest.raises(ValueError, match=f'did you mean "{far}"'):
        place_and_time.zone(far.rpartition("/")[2][:-1])


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("21:30", time(21, 30)),
        ("02:15", time(2, 15)),
        ("9:30 pm", time(21, 30)),
        ("12:05 am", time(0, 5)),
        ("12:05 PM", time(12, 5)),
        ("0:00", time(0, 0)),
    ],
)
def test_clocks(written: str, read: time) -> None:
    assert place_and_time.clock(written) == read


@pytest.mark.parametrize(
    ("written", "share"), [("30 %", 0.3), (30, 0.3), ("3/8", 0.375), ("overcast", 1.0), ("clear", 0.0)]
)
def test_cloud(written: object, share: float) -> None:
    assert place_and_time.cloud(written) == pytest.approx(share)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("place: {latitude: 91, longitude: 1, zone: CET}", ["2: place.latitude: a latitude lies between -90 and 90 degrees, not 91"]),
        ("place: {latitude: 51.5 E, longitude: 1, zone: CET}", ['2: place.latitude: "51.5 E" is not a latitude; E is no side of a latitude; write 51.5 N or -33.9']),
        ("place: {latitude: -51 N, longitude: 1, zone: CET}", ['2: place.latitude: "-51 N" has a sign and a letter; write 51.5 N or -33.9']),
        ("place: {latitude: 51° 70' N, longitude: 1, zone: CET}", ['2: place.latitude: "51° 70\' N" has more than 60 minutes or seconds; write 51.5 N or -33.9']),
        ("place: {latitude: 51.5, longitude: 200, zone: CET}", ["2: place.longitude: a longitude lies between -180 and 180 degrees, not 200"]),
        ("place: {latitude: 51.5, longitude: 1.2}", ["2: place.zone: is missing: say whose clocks: a name of the time zone database, such as CET, or +02:00"]),
        ("place: {latitude: 51.5, longitude: 1.2, zone: CETT}", ['2: place.zone: no time zone "CETT"; did you mean "CET"?']),
        ("place: {latitude: 51.5, longitude: 1.2, zone: +15:00}", ["2: place.zone: no clock is +15:00 from universal time; offsets go to 14 hours"]),
        ("place: somewhere", ['2: place: a group of keys (latitude, longitude, zone, height, north) is needed, not "somewhere"']),
        (NIGHT, ["2: night: a night needs a place on earth: place: {latitude: 57 N, longitude: 4 E, zone: CET}"]),
        (PLACE + "night: 2026-02-29", ["3: night: February 2026 has 28 days; there is no 29"]),
        (PLACE + "night: {date: 24.10.2026}", ['3: night.date: "24.10.2026" is no date; write year, month and day: 2026-10-24']),
        (PLACE + "night: {date: 1815-06-18}", ["3: night.date: the sky is reckoned for the years 1900 to 2100, not 1815"]),
        (PLACE + "night: {time: 21:30}", ["3: night.date: is missing: say which evening the night begins on, such as date: 2026-10-24"]),
        (PLACE + "night: {date: 2026-10-24, time: 21:99}\n" + MOON, ['3: night.time: a day ends at 23:59, so "21:99" is no time of it; write 21:30, 02:15 or 9:30 pm']),
        (PLACE + "night: [1]", ["3: night: a list is no night; write night: 2026-10-24, or night: {date: 2026-10-24, time: 21:30}"]),
        (PLACE + "night: {date: 2026-10-24, cloud: 9/8}", ['3: night.cloud: must be at most 100 %, not "9/8"']),
        (PLACE + "night: {date: 2026-10-24, cloud: some}", ['3: night.cloud: "some" is no share of the sky; write 30 %, 3/8, clear or overcast']),
        (PLACE + "night: {date: 2026-03-28, time: 02:30}", ["3: night.time: 02:30 never comes in this night: the clocks go forward, and it is 03:30 then"]),
        (PLACE + "night: 2026-10-24\n" + MOON, ["4: fixtures[0].moon: a real moon needs its time: night: {date: 2026-10-24, time: 21:30}"]),
        (PLACE + MOON, ["3: fixtures[0].moon: a real moon needs its night: night: {date: 2026-10-24, time: 21:30}"]),
        (MOON, ["2: fixtures[0].moon: a real moon needs a place on earth: place: {latitude: 57 N, longitude: 4 E, zone: CET}"]),
        ("fixtures: [{name: moon, moon: reel}]", ['2: fixtures[0].moon: "reel" is no moon; write real, or {azimuth: 250, elevation: 35}']),
        ("fixtures: [{name: moon, moon: {azimuth: 20}}]", ["2: fixtures[0].moon.elevation: is missing: say how high it stands, in degrees above the horizon, or write moon: real"]),
        (
            PLACE + NIGHT + "fixtures: [{name: moon, moon: {real: yes, azimuth: 20, lux: 3}}]",
            [
                "4: fixtures[0].moon.azimuth: the azimuth of a real moon follows from place, night and time; leave it out",
                "4: fixtures[0].moon.lux: the lux of a real moon follows from place, night and time; leave it out; dim it with the fixture's level",
            ],
        ),
        (PLACE + NIGHT + "setups: {late: {night: 2026-10-25}}", ["4: setups.late.night: setups and looks are of one place and one night, the script's own; another night is another script"]),
        (PLACE + NIGHT + "looks: {late: {place: {zone: CET}}}", ["4: looks.late.place: setups and looks are of one place and one night, the script's own; another night is another script"]),
        # A place that could not be read is told of once, and nothing that hangs on it.
        ("place: {latitude: 91, longitude: 1, zone: CET}\n" + NIGHT + MOON, ["2: place.latitude: a latitude lies between -90 and 90 degrees, not 91"]),
    ],
)  # fmt: skip
def test_what_is_refused(tmp_path: Path, text: str, told: list[str]) -> None:
    assert faults(tmp_path, SMALL + text + "\n") == [f"scene.yaml:{one}" for one in told]


def test_the_real_moon_of_a_scene(tmp_path: Path) -> None:
    """The scene's azimuth, elevation, lux and size are those of the night room for the instant by the clocks of the place."""
    read = scene(tmp_path, REAL)
    moon = read.fixtures[0].moon
    assert moon is not None
    assert read.place is not None
    assert read.night is not None
    assert moment_of(read.place, read.night) == datetime(2026, 10, 24, 19, 30, tzinfo=UTC)
    seen = moon_at(observer_of(read.place), datetime(2026, 10, 24, 19, 30, tzinfo=UTC))
    assert (moon.azimuth, moon.elevation) == (seen.azimuth, seen.height)
    assert moon.lux == pytest.approx(facing_lux(seen, extinction=0.25))
    assert degrees(moon.size) == pytest.approx(0.53, abs=0.04)
    assert moon.is_visible


def test_a_time_after_midnight_belongs_to_the_same_night(tmp_path: Path) -> None:
    read = scene(tmp_path, REAL.replace("21:30", "04:15"))
    assert read.place is not None
    assert read.night is not None
    assert read.night.date == date(2026, 10, 24)
    assert moment_of(read.place, read.night) == datetime(2026, 10, 25, 3, 15, tzinfo=UTC)


def test_north_turns_the_plan(tmp_path: Path) -> None:
    """With true north at 90 degrees of the plan, the plan's east, a moon in the true east comes from the plan's south."""
    usual = scene(tmp_path, REAL).fixtures[0].moon
    turned = scene(tmp_path, REAL.replace("zone: CET", "zone: CET, north: 90 deg")).fixtures[0].moon
    assert usual is not None
    assert turned is not None
    assert degrees(turned.azimuth) == pytest.approx((degrees(usual.azimuth) + 90.0) % 360.0)
    assert turned.elevation == usual.elevation


def test_cloud_and_air_dim_it(tmp_path: Path) -> None:
    """Under 50 % cloud 1 - 0.75 x 0.5^3.4 is left; half a magnitude of extinction takes more than a quarter of one."""
    clear = scene(tmp_path, REAL).fixtures[0].moon
    clouded = scene(tmp_path, REAL.replace("21:30", "21:30, cloud: 4/8")).fixtures[0].moon
    hazy = scene(tmp_path, REAL.replace("21:30", "21:30, extinction: 0.5")).fixtures[0].moon
    assert clear is not None
    assert clouded is not None
    assert hazy is not None
    assert clouded.lux / clear.lux == pytest.approx(1 - 0.75 * 0.5**3.4)
    assert hazy.lux < 0.8 * clear.lux


def test_what_is_given_of_a_real_moon_is_kept(tmp_path: Path) -> None:
    text = REAL.replace("moon: real", "moon: {real: yes, size: 8 deg, kelvin: 5000}")
    moon = scene(tmp_path, text).fixtures[0].moon
    assert moon is not None
    assert degrees(moon.size) == pytest.approx(8.0)
    assert moon.kelvin == 5000.0
    assert not moon.is_visible
    (light,) = lights_of(scene(tmp_path, text))
    assert not isinstance(light.emitters[0], Phased)


def test_a_setup_may_have_the_real_moon(tmp_path: Path) -> None:
    text = (
        SMALL
        + PLACE
        + NIGHT
        + "fixtures: [{name: moon, moon: {azimuth: 20, elevation: 30}}]\nsetups: {true: {fixtures: {moon: {moon: real}}}}\n"
    )
    plain, real = (
        scene(tmp_path, text).fixtures[0].moon,
        scene(tmp_path, text.replace("{true:", "{night:"), setup="night").fixtures[0].moon,
    )
    assert plain is not None
    assert real is not None
    assert not plain.real
    assert degrees(plain.azimuth) == pytest.approx(20.0)
    assert degrees(real.azimuth) == pytest.approx(124.0, abs=1.0)


def test_below_the_horizon_it_gives_no_light_and_says_so(tmp_path: Path) -> None:
    read = scene(tmp_path, REAL.replace("21:30", "14:00"))
    moon = read.fixtures[0].moon
    assert moon is not None
    assert moon.lux == 0.0
    assert moon.elevation < 0.0
    (light,) = lights_of(read)
    assert light.emitters[0].lux == 0.0  # type: ignore[attr-defined]
    told = list(moon_notes(read))
    assert told[0].startswith("moon: at 14:00 the moon is ")
    assert told[0].endswith(
        "° below the horizon and gives no light; between noon and noon it is up from 17:41 to 06:43."
    )
    assert told[1] == "At 14:00 the sun is up; its light is not in the picture."


def test_what_check_says_of_the_night(tmp_path: Path) -> None:
    told = list(night_notes(scene(tmp_path, REAL)))
    assert told == [
        "The night of Saturday 24 October 2026, 21:30 CEST, at 51.5° N 1.2° E.",
        "moon: the true moon, waxing gibbous, 97 % lit, 33° up from 124° of the plan, 0.14 lux facing it.",
    ]
    assert list(night_notes(scene(tmp_path, SMALL))) == []
    # A longitude of the wrong sign, or clocks of another continent.
    wrong = scene(tmp_path, REAL.replace("1.2 E", "120 W"))
    assert (
        "Look at longitude and zone again: the clocks of CET are 10 h ahead of the sun at 51.5° N 120° W."
        in night_notes(wrong)
    )
    twice = scene(tmp_path, REAL.replace("21:30", "02:30"))
    assert "02:30 comes twice in this night, as the clocks go back: the first is meant." in night_notes(twice)
    dusk = scene(tmp_path, REAL.replace("21:30", "19:10"))
    assert any("the sun is only 5° below the horizon" in one for one in moon_notes(dusk))
    cloudy = scene(tmp_path, REAL.replace("21:30", "21:30, cloud: 50 %"))
    assert any(one.endswith("under 50 % cloud on average.") for one in moon_notes(cloudy))
    assert any("shadows are drawn as in a gap" in one for one in moon_notes(cloudy))


def test_check_and_explain_tell_it(tmp_path: Path) -> None:
    file = tmp_path / "scene.yaml"
    file.write_text(REAL, encoding="utf-8")
    told = "\n".join(str(part) for part in check(file, explain=False))
    assert "moon: the true moon, waxing gibbous" in told
    rows = {path: (value, why) for path, value, why in defaults(scene(tmp_path, REAL))}
    seen = moon_at(observer(51.5, 1.2), datetime(2026, 10, 24, 19, 30, tzinfo=UTC))
    lux = facing_lux(seen, extinction=0.25)
    assert rows["fixtures[0].moon.lux"] == (f"{lux:.4g} lux", "the true moon's")
    assert rows["fixtures[0].moon.azimuth"][0].startswith("123.9")
    assert rows["place.north"][0] == "0 deg"
    assert rows["night.cloud"][0] == "0 %"


def test_the_schema_knows_them() -> None:
    import jsonschema

    whole = schema()
    checks = jsonschema.Draft202012Validator(whole)
    camera = {"lens": {"focal": 35}, "at": [0, -5, 1.5], "aim": [0, 0, 1.5]}
    place = {"latitude": "51.5 N", "longitude": 1.2, "zone": "CET", "north": "20 deg"}
    for night in ("2026-10-24", {"date": "2026-10-24", "time": "21:30", "cloud": "3/8"}):
        for moon in ("real", {"real": True, "size": "8 deg"}, {"azimuth": 20, "elevation": 30}):
            script = {
                "camera": camera,
                "place": place,
                "night": night,
                "fixtures": [{"name": "m", "moon": moon}],
            }
            assert list(checks.iter_errors(script)) == []
    for wrong in ({"azimuth": 20}, "reel"):
        script = {"camera": camera, "fixtures": [{"name": "m", "moon": wrong}]}
        assert list(checks.iter_errors(script)) != []
    assert list(checks.iter_errors({"camera": camera, "place": {"latitude": 1, "longitude": 2}})) != []


def test_latitude_in_radians(tmp_path: Path) -> None:
    read = scene(tmp_path, SMALL + PLACE)
    assert read.place is not None
    assert read.place.latitude == pytest.approx(radians(51.5))
