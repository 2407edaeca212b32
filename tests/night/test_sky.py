"""`preview sky`: what each setup sees, what the chart and tables say, what cannot be, and the nights of a month."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from math import degrees, log2, pi, radians
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from preview.cli import app, run
from preview.commands.notes.night import night_notes
from preview.commands.sky.asked import sky_options
from preview.commands.sky.command import SkyOptions, sky, tonight_of
from preview.commands.sky.drawing import chart_of, tilt
from preview.commands.sky.sight import State, stretches_of, way
from preview.commands.sky.tables import exposure_words
from preview.commands.sky.wanted import wanted
from preview.commands.sky.words import before_words, opening_words, zone_told
from preview.faults import UserError
from preview.night.ephemeris import moon_at
from preview.night.month import ranked
from preview.night.moonlight import disc_luminance
from preview.script.read import Script, read_script
from preview.sheets.answer.blocks import Drawing, Table, Words
from preview.sheets.drawing import COLUMN
from preview.sheets.night_chart import BANDS, night_chart, tick_hours

YARD = """
title: A yard
camera: {lens: {focal: 35 mm, stop: 2.8}, at: [0, -5, 1.5], aim: [0, 10, 7], iso: 800}
place: {latitude: 51.5 N, longitude: 1.2 E, zone: CET, north: 160}
night: {date: 2026-10-20, time: 21:30}
set:
  - ground: {}
  - wall: {name: barrier, along: [[WALL, 20], [60, 20]], height: 30}
cast: [{name: Ana, person: woman, at: [0, 0], facing: 180}]
fixtures: [{name: moon, moon: real}]
setups: {away: {camera: {aim: [0, -9, 1.5]}}}
"""


def script(folder: Path, *, wall: str = "50", **changes: str) -> Script:
    text = YARD.replace("WALL", wall)
    for old, new in changes.items():
        text = text.replace(
            {
                "date": "2026-10-20",
                "north": "160",
                "latitude": "51.5 N",
                "longitude": "1.2 E",
                "moon": "real",
            }[old],
            new,
        )
    file = folder / "yard.yaml"
    file.write_text(text, encoding="utf-8")
    return read_script(file)


def test_when_the_disc_is_in_frame(tmp_path: Path) -> None:
    """Minute by minute: in frame where the angles from the lens's axis are inside the frame's, by plane trigonometry."""
    tonight = tonight_of(script(tmp_path), SkyOptions())
    main, away = tonight.sights
    assert away.stretches == ()
    assert main.stretches
    axis = np.array([0.0, 15.0, 5.5])
    # 24.89 x 18.66 mm, three perforations high: 13.87 mm. Half the frame over 35 mm.
    for at in (tonight.shown[0] + minute * timedelta(minutes=1) for minute in range(0, 800, 3)):
        moon = moon_at(tonight.observer, at)
        if not moon.is_up:
            continue
        ahead = way(main.scene, moon)
        level = np.hypot(axis[1], axis[2])
        forward, up = axis / level, np.array([0.0, -axis[2], axis[1]]) / level
        depth = ahead @ forward
        across, upright = (ahead[0] / depth, (ahead @ up) / depth) if depth > 0.0 else (9.0, 9.0)
        edge = max(
            abs(across) - main.view.tan_half_width,
            abs(upright) - main.view.tan_half_height,
        )
        if abs(edge) < 0.012:
            continue
        assert (main.at(at) is not None) == (edge < 0.0), at


def test_what_stands_before_it(tmp_path: Path) -> None:
    """A wall 30 m high across half of the frame hides the disc while it is on that half: by similar triangles."""
    clear = tonight_of(script(tmp_path), SkyOptions()).sights[0]
    half = tonight_of(script(tmp_path, wall="0"), SkyOptions())
    sight = half.sights[0]
    assert {one.state for one in clear.stretches} == {"clear"}
    assert {one.state for one in sight.stretches} == {"clear", "part", "hidden"}
    for one in sight.stretches:
        middle = way(sight.scene, moon_at(half.observer, one.start + (one.end - one.start) / 2))
        height = 1.5 + 25.0 * middle[2] / middle[1]
        behind = middle[0] > 0.0 and height < 30.0
        if one.state != "part":
            assert behind == (one.state == "hidden")
        assert one.behind == (None if one.state == "clear" else "barrier")
    (edge,) = (one for one in sight.stretches if one.state == "part")
    # A quarter of a degree a minute: a disc of half a degree needs two to five minutes past an upright edge.
    assert timedelta(minutes=1) < edge.end - edge.start < timedelta(minutes=9)


def test_what_flickers_is_one_stretch() -> None:
    """Minutes clear, hidden, clear behind leaves are one stretch partly hidden; what stays so for long is told apart."""
    start = datetime(2026, 10, 20, 20, tzinfo=UTC)
    seen = "c" * 20 + "hchhchchhpc" + "h" * 9 + "c" * 8 + "hh" + "c" * 8
    names: dict[str, State] = {"c": "clear", "h": "hidden", "p": "part"}
    states = {
        start + place * timedelta(minutes=1): (names[letter], Counter({"pears": 1} if letter != "c" else {}))
        for place, letter in enumerate(seen)
    }
    # A gap parts two stretches of one kind.
    states |= {start + timedelta(hours=3): ("clear", Counter())}
    told = [
        (one.state, round((one.end - one.start) / timedelta(minutes=1)), one.behind)
        for one in stretches_of(states)
    ]
    assert told == [
        ("clear", 20, None),
        ("part", 11, "pears"),
        ("hidden", 9, "pears"),
        ("clear", 8, None),
        ("hidden", 2, "pears"),
        ("clear", 8, None),
        ("clear", 1, None),
    ]


def test_exposure_of_the_disc(tmp_path: Path) -> None:
    """Grey is 18 % of E / pi, E = 269.1 lx s N^2 / (t S): the disc's stops over it, and whether they clip, by hand."""
    tonight = tonight_of(script(tmp_path), SkyOptions())
    moon = moon_at(tonight.observer, tonight.moment or tonight.shown[0])
    grey = 0.18 * 269.1 * 2.8**2 * 48.0 / 800.0 / pi
    stops = tonight.sights[0].stops(moon)
    assert stops == pytest.approx(log2(disc_luminance(moon, extinction=0.25) / grey), abs=0.01)
    hour = tonight.hour(tonight.moment or tonight.shown[0])
    assert stops is not None
    over = tonight.sights[0].scene.camera.latitude.over
    clips = ", clips" if stops > over else ""
    assert exposure_words(tonight.sights[0], hour) == f"{stops:.1f} stops over grey{clips}"
    assert clips
    assert tonight.sights[0].stops(replace(hour.moon, height=-0.1)) is None


def test_bearing_of_moonlight_is_the_cameras(tmp_path: Path) -> None:
    """The lens looks along the plan's north: a moon there is behind her, one in the plan's east to camera right."""
    tonight = tonight_of(script(tmp_path), SkyOptions())
    main, _ = tonight.sights
    for hour in tonight.hours():
        if not hour.moon.is_up or hour.moon.height > radians(58):
            continue
        comes = main.bearing(hour.moon)
        plan = (hour.plan_deg + 180.0) % 360.0 - 180.0
        # The lens looks along the plan's north: what comes from there comes from behind, 180 degrees round.
        assert comes.round_deg == pytest.approx(180.0 - abs(plan), abs=1.5)
        if 10.0 < abs(plan) < 170.0:
            assert comes.side == ("right" if plan > 0 else "left")
        assert comes.up_deg == pytest.approx(degrees(hour.moon.height), abs=0.01)


def test_answer_and_its_data(tmp_path: Path) -> None:
    answer = sky(script(tmp_path), SkyOptions())
    told = " ".join(
        sentence for block in answer.blocks if isinstance(block, Words) for sentence in block.sentences
    )
    assert "Sunset 18:52, sunrise 08:29" in told
    # Of the script's time, as `preview check` has it, not of midnight.
    seen = moon_at(
        tonight_of(script(tmp_path), SkyOptions()).observer, datetime(2026, 10, 20, 19, 30, tzinfo=UTC)
    )
    assert f"{100 * seen.lit:.0f} % lit" in told
    assert f"{100 * seen.lit:.0f} % lit" in " ".join(night_notes(script(tmp_path).scene()))
    assert "The moon is never in frame in away." in told
    assert "At 21:30 it stands" in told
    tables = {block.title: block for block in answer.blocks if isinstance(block, Table)}
    names = [row[0] for row in tables["When"].rows]
    assert names == sorted(names, key=[event["name"] for event in answer.data["events"]].index)
    assert tables["When"].rows[names.index("sunset")][:3] == ("sunset", "18:52", "Tue 20")
    assert sum(row[0] == "› 21:30" for row in tables["By the hour"].rows) == 1
    json.dumps(answer.data, allow_nan=False)
    seen = answer.data["at_the_time"]
    assert seen["lux_level"] == pytest.approx(
        seen["lux_facing"] * np.sin(np.radians(seen["moon_height_deg"])), rel=1e-6
    )
    assert seen["lux_level_under_cloud"] == pytest.approx(0.25 * seen["lux_level"])
    assert seen["moon_plan_azimuth_deg"] == pytest.approx((seen["moon_azimuth_deg"] + 160.0) % 360.0)
    assert len(answer.data["month"]["nights"]) == 31
    for block in answer.blocks:
        if isinstance(block, Table):
            assert all(len(row) == len(block.heads) == len(block.align) for row in block.rows)
            assert not any("nan" in cell or "None" in cell for row in block.rows for cell in row)


def sentences(folder: Path, **changes: str) -> str:
    tonight = tonight_of(script(folder, **changes), SkyOptions())
    return " ".join((*before_words(tonight), *opening_words(tonight)))


def test_what_cannot_be_is_said(tmp_path: Path) -> None:
    north = {"latitude": "70 N", "longitude": "19 E"}
    day = sentences(tmp_path, date="2026-06-20", **north)
    assert "The sun does not set in this night: there is no dark to light." in day
    night = sentences(tmp_path, date="2026-12-20", **north)
    assert (
        "The sun does not rise: it is below the horizon from noon to noon; dark, nautical twilight over"
        in night
    )
    white = sentences(tmp_path, date="2026-08-10", **north)
    assert "it never gets dark: the sun goes no lower than 5°, and nautical twilight lasts all night" in white
    down = sentences(tmp_path, date="2026-06-29", **north)
    assert (
        "below the horizon all night: it lights nothing and is in no shot. It does not rise in these 24 hours."
        in down
    )
    assert "in frame" not in down
    late = sentences(tmp_path, date="2026-10-09")
    assert (
        "only after dawn has begun, so there is no moon in the dark" in late
        or "below the horizon all night" in late
    )
    early = sentences(tmp_path, date="2026-10-13")
    assert "gone before it is dark, so there is no moon in the dark" in early
    eclipsed = sentences(tmp_path, date="2026-08-27")
    assert "A partial eclipse of the moon darkens it from " in eclipsed
    wrong = sentences(tmp_path, longitude="120 W")
    assert "Look at longitude and zone again" in wrong


def test_night_in_which_the_clocks_go_back(tmp_path: Path) -> None:
    """The hour that comes twice is told twice, each with its zone; the chart's ticks do not fall on one another."""
    tonight = tonight_of(script(tmp_path, date="2026-10-24"), SkyOptions())
    assert tonight.clocks_change == datetime(2026, 10, 25, 1, 0, tzinfo=UTC)
    told = [tonight.clock(hour.at) for hour in tonight.hours()]
    assert told.index("02:00 CEST") + 1 == told.index("02:00 CET")
    assert zone_told(tonight) == "Times are CEST until 03:00, then CET."
    assert len(set(told)) == len(told)
    ticks = [tick.at for tick in chart_of(tonight).ticks]
    assert len({after - before for before, after in pairwise(ticks)}) == 1
    assert "The clocks go back in this night, from 03:00 CEST to 02:00 CET." in opening_words(tonight)
    assert "The clocks go forward in this night, from 02:00 CET to 03:00 CEST." in sentences(
        tmp_path, date="2026-03-28"
    )


@pytest.mark.parametrize(
    ("words", "inside", "outside"),
    [
        ("back left", (150.0, "left"), (150.0, "right")),
        ("camera left back", None, None),
        ("three-quarter back, right", (140.0, "right"), (165.0, "right")),
        ("side right", (90.0, "right"), (120.0, "right")),
        ("front", (20.0, "left"), (70.0, "left")),
        ("back", (170.0, "left"), (110.0, "left")),
    ],
)
def test_directions_in_words(
    tmp_path: Path, words: str, inside: tuple[float, str] | None, outside: tuple[float, str] | None
) -> None:
    scene = script(tmp_path).scene()
    if inside is None or outside is None:
        with pytest.raises(UserError, match="is no direction of light"):
            wanted(scene, words)
        return
    look = wanted(scene, words)
    tonight = tonight_of(script(tmp_path), SkyOptions())
    sight, moon = tonight.sights[0], moon_at(tonight.observer, tonight.shown[0])

    def stands(place: tuple[float, str]) -> bool:
        # The lens looks along the plan's north; the moon so far round, 20 degrees up.
        plan = (180.0 - place[0]) * (1 if place[1] == "right" else -1)
        turned = replace(moon, azimuth=radians(plan - 160.0), height=radians(20.0))
        return look.there(sight, turned) and look.height(turned)

    assert stands(inside)
    assert not stands(outside)


def test_direction_as_an_azimuth_and_as_the_script_has_it(tmp_path: Path) -> None:
    scene = script(tmp_path).scene()
    look = wanted(scene, "240", around=radians(20.0), heights=(radians(10.0), radians(45.0)))
    assert look.words == "from 240° of the plan, within 20°, 10° to 45° up"
    own = wanted(script(tmp_path, moon="{azimuth: 250, elevation: 30}").scene(), None)
    assert own.azimuth == pytest.approx(radians(250.0))
    assert own.words == "from 250° of the plan, as moon of the script, within 30°, 15° to 45° up"
    assert wanted(replace(scene, fixtures=()), None).words.startswith("anywhere")


def test_nights_of_the_month(tmp_path: Path) -> None:
    """Of each fit night its best minute is dark, bright enough and where it is wanted; of no other is any."""
    tonight = tonight_of(script(tmp_path), SkyOptions(want="back right", least_lux=0.05))
    best = ranked(tonight.month)
    assert best
    short = [
        (-round(one.time / timedelta(minutes=1)), -one.best_lux) for one in best if not one.is_long_enough
    ]
    assert short == sorted(short)
    assert len(short) > 1
    assert all(one.is_long_enough for one in best[: sum(one.is_long_enough for one in best)])
    enough = [one.best_lux for one in best if one.is_long_enough]
    assert enough == sorted(enough, reverse=True)
    sight = tonight.sights[0]
    for night in tonight.month:
        times = [
            start + step * timedelta(minutes=5)
            for start, end in night.dark
            for step in range(int((end - start) / timedelta(minutes=5)))
        ]
        fits = []
        for at in times:
            hour = tonight.hour(at)
            comes = sight.bearing(hour.moon) if hour.moon.is_up else None
            fits.append(
                comes is not None
                and comes.round_deg >= 115.0
                and comes.side == "right"
                and 5.0 <= comes.up_deg <= 60.0
                and hour.facing_lux >= 0.05
            )
        told = night.time / timedelta(minutes=5)
        assert abs(sum(fits) - told) <= 4
        assert (night.verdict == "no") == (not night.fit)
        assert night.why


def test_chart(tmp_path: Path) -> None:
    """The sky darkens in lightness, band by band; where the chart is dark the sun is 18 degrees down."""
    tonight = tonight_of(script(tmp_path, date="2026-10-24"), SkyOptions())
    chart = chart_of(tonight)
    pixels = night_chart(chart)
    assert pixels.shape[1] == COLUMN
    # Sunset with 34' of refraction and half of the sun's 32'; then the twilights' own heights.
    assert [least for least, _, _ in BANDS] == [pytest.approx(-50 / 60, abs=1e-3), -6.0, -12.0, -18.0, -90.0]
    light = [0.2126 * r + 0.7152 * g + 0.0722 * b for _, _, (r, g, b) in BANDS]
    assert all(before - after > 25 for before, after in pairwise(light))
    row = pixels[120].astype(int)
    for at in (tonight.shown[0] + quarter * timedelta(minutes=15) for quarter in range(1, 54)):
        x = 20 + (at - chart.start) / (chart.end - chart.start) * (COLUMN - 40)
        height = degrees(tonight.hour(at).sun.true_height)
        band = next(colour for least, _, colour in BANDS if height >= least)
        near = min(abs(height - least) for least, _, _ in BANDS)
        marked = tonight.moment is not None and abs(at - tonight.moment) < timedelta(minutes=5)
        if near > 0.6 and not marked:
            assert abs(row[round(x)] - band).max() <= 3, at
    assert sum(disc.height_deg > 0 for disc in chart.discs) == len(chart.discs) >= 10


def test_ticks_have_room() -> None:
    for hours in (5, 8, 13, 16, 24):
        assert (COLUMN - 40) / hours * tick_hours(timedelta(hours=hours)) >= 150


def test_tilt_of_the_lit_side(tmp_path: Path) -> None:
    """A waxing moon at dusk in the north's middle latitudes is lit on its right, below; in the south's on its left."""
    north = tonight_of(script(tmp_path, date="2026-10-17"), SkyOptions(time=time(20, 0)))
    south = tonight_of(script(tmp_path, date="2026-10-17", latitude="35 S"), SkyOptions(time=time(20, 0)))
    for tonight, sign in ((north, 1), (south, -1)):
        hour = tonight.hour(tonight.moment or tonight.shown[0])
        assert hour.moon.is_up
        assert hour.moon.waxing
        assert np.cos(tilt(hour.moon)) * sign > 0.3
        assert np.sin(tilt(hour.moon)) < 0.0


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--date", "2026-02-30"], "--date: February 2026 has 28 days; there is no 30"),
        (["--time", "26:10"], '--time: a day ends at 23:59, so "26:10" is no time of it; write 21:30, 02:15 or 9:30 pm'),
        (["--month", "october"], '--month: "october" is no month; write year and month: 2026-10'),
        (["--month", "2026-13"], "--month: there is no month 13; write year and month: 2026-10"),
        (["--heights", "45,10"], "--heights: from 0 to 90 degrees, the low one first, such as 10,45, not '45,10'"),
        (["--cloud", "200 %"], "--cloud: from 0 to 100 % of the sky, not 200 %"),
        (["--within", "0"], "--within: more than 0 and at most 180 degrees, not 0"),
        (["--lux", "5"], "--lux: no moon gives more than about 0.3 lux, and this asks for 5"),
        (["--want", "sideways"], "--want 'sideways' is no direction of light; write what the camera sees"),
        (["--setup", "awry"], 'no setup "awry"; did you mean "away"?'),
        (["--date", "2026-03-28", "--time", "02:30"], "02:30 never comes in this night: the clocks go forward"),
    ],
)  # fmt: skip
def test_what_is_asked_wrongly(
    tmp_path: Path, arguments: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    script(tmp_path)
    assert run(["sky", str(tmp_path / "yard.yaml"), "--out", str(tmp_path / "out"), *arguments]) == 2
    assert told in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_without_a_place_or_a_night(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bare = "camera: {lens: {focal: 35 mm}, at: [0, -5, 1.5], aim: [0, 0, 1.5]}\n"
    file = tmp_path / "bare.yaml"
    file.write_text(bare, encoding="utf-8")
    assert run(["sky", str(file)]) == 2
    assert f"{file}: nothing says where on earth it lies; add place:" in capsys.readouterr().err
    file.write_text(bare + "place: {latitude: 10, longitude: 20, zone: +01:00}\n", encoding="utf-8")
    assert run(["sky", str(file)]) == 2
    assert (
        f"{file}: nothing says which night; add night: 2026-10-24, or ask with --date"
        in capsys.readouterr().err
    )
    assert run(["sky", str(file), "--date", "2026-10-24", "--out", str(tmp_path / "out")]) == 0


def test_command_writes_its_files(tmp_path: Path) -> None:
    script(tmp_path)
    out = tmp_path / "out"
    done = CliRunner().invoke(
        app, ["sky", str(tmp_path / "yard.yaml"), "--out", str(out), "--json", "--page"]
    )
    assert done.exit_code == 0, done.output
    assert {"sky.png", "sky.json", "sky.html"} <= {file.name for file in out.iterdir()}
    data = json.loads((out / "sky.json").read_text(encoding="utf-8"))
    assert data == json.loads(done.output)
    assert data["night"]["time"] == "2026-10-20T21:30:00+02:00"


def test_options_are_read_as_a_script_reads_them() -> None:
    options = sky_options(
        setup=None, date="2026-11-02", time="9:30 pm", cloud="3/8", month="2026-12", want=None, within="0.5 rad",
        heights="10 deg,45", lux="0.01 fc", dark="civil",
    )  # fmt: skip
    assert (options.date, options.time, options.month) == (date(2026, 11, 2), time(21, 30), date(2026, 12, 1))
    assert options.cloud == 0.375
    assert options.around == pytest.approx(0.5)
    assert options.heights == pytest.approx((radians(10), radians(45)))
    assert options.least_lux == pytest.approx(0.1076, rel=1e-3)


def test_drawing_says_what_it_shows(tmp_path: Path) -> None:
    answer = sky(script(tmp_path), SkyOptions())
    (drawing,) = (block for block in answer.blocks if isinstance(block, Drawing))
    assert drawing.alternative.startswith("The night of Tuesday 20 October 2026 from 18:27 to 08:54")
