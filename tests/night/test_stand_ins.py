"""Heads that play the moon beside the moon itself, a script's own moon beside the true one, where it is wanted."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from math import degrees, log2
from pathlib import Path

import pytest

from preview.commands.sky.command import SkyOptions, sky, tonight_of
from preview.commands.sky.stand_ins import own_moon_words, stand_ins, two_moons_words
from preview.commands.sky.tables import lit_words
from preview.commands.sky.words import about, opening_words, zone_told
from preview.night.ephemeris import moon_at
from preview.night.month import NightFit, ranked
from preview.night.moonlight import facing_lux
from preview.script.read import Script, read_script
from preview.script.real_moon import observer_of
from preview.sheets.answer.blocks import Table

YARD = """
title: A yard
camera: {lens: {focal: 35 mm, stop: 2.8}, at: [0, -5, 1.5], aim: [0, 10, 3], iso: 800}
place: {latitude: 57 N, longitude: 4 E, zone: CET, north: 20}
night: {date: 2026-10-24, time: 21:30}
cast: [{name: Ana, person: woman, at: [0, 0], facing: 180}]
marks: [{name: spot, at: [0, 0, 1], facing: 180}]
"""
HEAD = "head: {candela: 9000, beam: 30 deg, field: 60 deg, aperture: 5 cm, kelvin: 5000}"


def script(folder: Path, fixtures: str, **changes: str) -> Script:
    text = YARD + f"fixtures: [{fixtures}]\n"
    for old, new in changes.items():
        text = text.replace(old.replace("_", " "), new)
    file = folder / "yard.yaml"
    file.write_text(text, encoding="utf-8")
    return read_script(file)


def key(at: str, aim: str = "[0, 0, 1]", name: str = "edge", more: str = "") -> str:
    return f"{{name: {name}, at: {at}, aim: {aim}, motive: moon, {HEAD}{more}}}"


def test_where_the_light_of_heads_comes_from(tmp_path: Path) -> None:
    """By plane trigonometry: at the mark of a head that is aimed its way, at its aim of one that is not; what is bounced
    comes from its board."""
    scene = script(
        tmp_path,
        ", ".join(
            [
                key("[10, 10, 11]", aim="[1, 0, 1]"),
                key("[-10, 20, 5]", aim="[-10, 40, 5]", name="wash"),
                key(
                    "[8, -8, 1]",
                    aim="[8, 0, 1]",
                    name="bounced",
                    more=", through: [{bounce: 2x2 m, of: white-foam, away: 8, to: [0, 0, 1]}]",
                ),
                key("[3, 0, 1]", name="off", more=", level: off"),
                f"{{name: lamp, at: [0, 9, 3], aim: [0, 0, 1], {HEAD}}}",
            ]
        ),
    ).scene()
    edge, wash, bounced = stand_ins(scene)
    assert (edge.fixture, edge.where) == ("edge", "spot")
    # The receptor is held a few centimetres before the mark.
    assert degrees(edge.azimuth) == pytest.approx(45.0, abs=0.3)
    assert degrees(edge.height) == pytest.approx(35.264, abs=0.3)
    assert (wash.where, degrees(wash.azimuth)) == ("what it is aimed at", pytest.approx(180.0))
    assert (bounced.where, degrees(bounced.azimuth)) == ("spot", pytest.approx(90.0, abs=0.5))


def test_two_moons_are_told_in_degrees(tmp_path: Path) -> None:
    """The difference is that of the two whole numbers that are told."""
    tonight = tonight_of(script(tmp_path, "{name: moon, moon: real}, " + key("[10, 10, 5]")), SkyOptions())
    at = moon_at(tonight.observer, datetime(2026, 10, 24, 19, 30, tzinfo=UTC))
    stands = round(degrees(at.azimuth) + 20.0)
    assert two_moons_words(tonight) == (
        f"Two moons: the moon itself stands at {stands}° of the plan; edge comes to spot from 45°, {stands - 45}° off."
    )
    assert tonight.observer == observer_of(tonight.place)
    # On its own side there is one moon.
    near = tonight_of(
        script(tmp_path, "{name: moon, moon: {azimuth: 50, elevation: 9}}, " + key("[9, 9, 5]")), SkyOptions()
    )
    assert two_moons_words(near) == ""
    below = tonight_of(
        script(tmp_path, "{name: moon, moon: real}, " + key("[9, 9, 5]"), **{"21:30": "14:00"}), SkyOptions()
    )
    assert two_moons_words(below) == ""


def test_a_script_s_own_moon_against_the_true_one(tmp_path: Path) -> None:
    own = script(tmp_path, "{name: moon, moon: {azimuth: 50, elevation: 9, lux: 0.5}, level: 50 %}")
    tonight = tonight_of(own, SkyOptions())
    moon = moon_at(tonight.observer, datetime(2026, 10, 24, 19, 30, tzinfo=UTC))
    stops = log2(0.25 / facing_lux(moon, extinction=0.25))
    assert own_moon_words(tonight).startswith(
        f"The script's moon (50° of the plan, 9° up, 0.25 lux) is {stops:.1f} stops brighter than the true one at 21:30 "
    )
    assert stops > 0.3
    day = tonight_of(own, SkyOptions(date=date(2026, 10, 11)))
    assert own_moon_words(day).endswith("is its own: the true one is below the horizon at 21:30.")
    assert own_moon_words(tonight_of(script(tmp_path, "{name: moon, moon: real}"), SkyOptions())) == ""


def test_a_real_moon_is_no_wish(tmp_path: Path) -> None:
    """With a head that plays it, that says where it is wanted; without one nothing does, and that is said."""
    led = tonight_of(script(tmp_path, "{name: moon, moon: real}, " + key("[10, 10, 5]")), SkyOptions())
    assert led.asked.words == "from 45° of the plan, as edge at spot, within 30°, 5° to 31° up"
    assert not led.no_wish
    bare = tonight_of(script(tmp_path, "{name: moon, moon: real}"), SkyOptions())
    assert bare.asked.words == "anywhere, 5° to 90° up"
    assert "Neither the script nor --want says where the moon is wanted" in " ".join(opening_words(bare))
    asked = tonight_of(script(tmp_path, "{name: moon, moon: real}"), SkyOptions(want="anywhere"))
    assert asked.asked.words == bare.asked.words


def test_nights_that_are_all_too_short_are_told_so(tmp_path: Path) -> None:
    tonight = tonight_of(
        script(tmp_path, "{name: moon, moon: {azimuth: 120, elevation: 10}}", **{"2026-10-24": "2026-10-28"}),
        SkyOptions(),
    )
    told = opening_words(tonight)[-1]
    if any(night.is_long_enough for night in tonight.month):
        pytest.fail("the month has a long night after all")
    assert "No night of October 2026 has a moon from 120° of the plan" in told
    assert "for two hours of the dark; the longest is " in told
    assert "Best nights" not in told


def test_short_nights_are_in_the_order_that_is_told(tmp_path: Path) -> None:
    """Of those that are told as equally long the brightest is first, whatever their seconds; long ones by light alone."""
    (seen, *_) = tonight_of(script(tmp_path, "{name: moon, moon: real}"), SkyOptions()).month

    def night(day: int, minutes: float, lux: float) -> NightFit:
        start = datetime(2026, 10, day, 20, tzinfo=UTC)
        span = (start, start + timedelta(minutes=minutes))
        return replace(seen, evening=date(2026, 10, day), fit=(span,), best_lux=lux)

    nights = [
        night(1, 90.4, 0.034),
        night(2, 89.8, 0.081),
        night(3, 100, 0.01),
        night(4, 130, 0.05),
        night(5, 300, 0.04),
    ]
    assert [one.evening.day for one in ranked(nights)] == [4, 5, 3, 2, 1]


@pytest.mark.parametrize(
    ("shares", "told"),
    [
        ([0.46, 0.3, 0.08], "46 % to 8 %"),
        ([0.1, 0.5, 0.98], "10 % to 98 %"),
        ([0.03, 0.01, 0.0, 0.05], "0 % to 5 %"),
        ([0.5], "50 %"),
        ([0.9] * 30, "all phases"),
    ],
)
def test_how_much_is_lit_in_nights_together(shares: list[float], told: str) -> None:
    assert lit_words(shares) == told


def test_a_month_without_dark_has_all_phases(tmp_path: Path) -> None:
    answer = sky(
        script(tmp_path, "{name: moon, moon: real}", **{"57_N": "69.6 N", "2026-10-24": "2026-06-21"}),
        SkyOptions(),
    )
    (last,) = (block for block in answer.blocks if isinstance(block, Table) and "June" in block.title)
    assert last.rows == (("Mon 1 to Tue 30", "all phases", "never dark: the sun does not set"),)
    (when,) = (block for block in answer.blocks if isinstance(block, Table) and block.title == "When")
    assert when.note.startswith("Times are CEST, 2 h ahead of universal time.")
    assert not any("quarter of" in cell or "the quarter" in cell for cell in last.note.split(";"))


def test_the_zone_that_is_in_force(tmp_path: Path) -> None:
    winter = tonight_of(
        script(tmp_path, "{name: moon, moon: real}", **{"2026-10-24": "2026-11-24"}), SkyOptions()
    )
    assert zone_told(winter) == "Times are CET, 1 h ahead of universal time."
    assert about(winter).endswith("clocks of CET, 1 h ahead of universal time")
    change = tonight_of(script(tmp_path, "{name: moon, moon: real}"), SkyOptions())
    assert about(change).endswith("clocks of CET (CEST then CET)")
