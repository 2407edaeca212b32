"""Looks: sweeps and looks are arithmetic on one plate, so every number here has a closed form or a definition beside it."""

from __future__ import annotations

import json
from math import log2
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from preview.cli import app
from preview.commands.looks import command, words
from preview.commands.looks.command import LookOptions, all_shown, compared_of, looks
from preview.commands.looks.figures import Group, LookFigures, figures_of, hold, relit
from preview.commands.looks.pictures import developed
from preview.commands.looks.sweeps import MOST, level_words, refuse_many, sweep_of, trimmed
from preview.commands.looks.words import off_white, reading_sentence
from preview.commands.metering.readings import levels
from preview.commands.prepare import Ready, prepare
from preview.commands.shot import seen, shot, stops_of
from preview.faults import UserError
from preview.light.colour_reading import ColourReading
from preview.light.finish import relit as relit_light
from preview.light.lights import lights_of
from preview.script.read import Script, read_script
from preview.sheets.answer.blocks import Answer, Pictures, Table, Words
from preview.trace import plate as plates
from preview.trace.mix import mixed
from preview.trace.store import Store

WIDTH = 64

SCENE = """
title: The yard
set:
  - ground: {name: yard, material: gravel, size: [20, 20]}
  - box: {name: wall, size: [4, 0.3, 2.5], at: [0, 4], material: plaster}
cast:
  - {name: Ida, at: [0, 1.5], facing: [1, -3, 1.6]}
camera: {lens: {focal: 35 mm, stop: 2.0}, at: [0, -3, 1.6], aim: [0.4, 2, 1.5], iso: 800, balance: 4000 K}
fixtures:
  - {name: key, head: led-cob-300, motive: moon, at: [4, -3, 4], aim: Ida.face, level: 50 %}
  - {name: ballasted, head: hmi-fresnel-1200, at: [-5, -2, 4], aim: Ida.face, level: 60 %}
  - {name: tungsten, head: tungsten-fresnel-650, at: [-4, 0, 3], aim: Ida.chest, level: 40 %}
  - {name: bulb, practical: {kind: bulb, watts: 60, kelvin: 2700, at: [1.4, 2.2, 1.9]}}
  - {name: moon, moon: {azimuth: 120 deg, elevation: 40 deg, lux: 0.2}}
looks:
  colder: {camera: {balance: 3300 K}}
  out: {fixtures: {bulb: {level: off}, key: {through: [{gel: half-cto}]}}}
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("looks")
    (folder / "yard.yaml").write_text(SCENE)
    return folder


@pytest.fixture(scope="module")
def script(folder: Path) -> Script:
    return read_script(folder / "yard.yaml")


@pytest.fixture(scope="module")
def store(folder: Path) -> Store:
    return Store(folder / "cache", most_bytes=10**9)


@pytest.fixture(scope="module")
def ready(script: Script, store: Store) -> Ready:
    return prepare(script.scene(), store=store)


def answered(script: Script, store: Store, *sweeps: tuple[Any, str], names: tuple[str, ...] = ()) -> Answer:
    return looks(script, LookOptions(None, names, sweeps, WIDTH), store=store)


def cells(answer: Answer) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = answer.data["cells"]
    return found


def refused(script: Script, *sweeps: tuple[Any, str], names: tuple[str, ...] = ()) -> str:
    with pytest.raises(UserError) as caught:
        compared_of(script, LookOptions(None, names, sweeps))
    return str(caught.value)


# What is swept.


@pytest.mark.parametrize(
    ("text", "levels_expected"),
    [
        # By definition a stop is a factor of two: four equal steps over two stops are half stops.
        ("key=25..100", [0.25, 0.35, 0.5, 0.71, 1.0]),
        ("key=25..100/3", [0.25, 0.5, 1.0]),
        ("key=-2..0 stops/3", [0.25, 0.5, 1.0]),
        ("key=100..25/3", [1.0, 0.5, 0.25]),
        ("key=-1 stop, 50 %, full, off", [0.5, 1.0, 0.0]),
        ("KEY=50", [0.5]),
    ],
)
def test_levels_go_in_equal_stops(script: Script, text: str, levels_expected: list[float]) -> None:
    sweep = sweep_of("level", text, script.scene())
    changes = [step.change["fixtures"]["key"]["level"] for step in sweep.steps]
    scenes = script.varied([step.change for step in sweep.steps])
    assert [scene.fixtures[0].level for scene in scenes] == pytest.approx(levels_expected, rel=1e-9), changes


def test_balance_goes_in_equal_mireds(script: Script) -> None:
    """The mired, 10^6 / K, is the step that looks alike. Source: definition; 3200 K is 312.5, 5600 K 178.57 mired."""
    steps = sweep_of("balance", "3200..5600/3", script.scene()).steps
    kelvins = [scene.camera.balance for scene in script.varied([step.change for step in steps])]
    assert kelvins == [3200.0, pytest.approx(1e6 / ((312.5 + 178.5714) / 2), abs=5.0), 5600.0]
    assert kelvins[1] % 10 == 0, "as it is set on a camera"


def test_stops_are_those_engraved_on_a_lens(script: Script) -> None:
    steps = sweep_of("stop", "1.4..5.6", script.scene()).steps
    assert [step.value for step in steps] == ["T1.4", "T2", "T2.8", "T4", "T5.6"]


def test_a_level_is_told_both_ways() -> None:
    assert [level_words(level) for level in (0.5, 0.25, 1.0, 0.0, 0.8)] == [
        "50 %, −1 stop",
        "25 %, −2 stops",
        "full",
        "off",
        "80 %, −0.3 stop",
    ]
    assert [trimmed(value) for value in (-0.04, 1.0, -2.25, 12.0)] == ["0", "+1", "−2.2", "+12"]


@pytest.mark.parametrize(
    ("sweeps", "words"),
    [
        ((("level", "kee=50"),), 'no fixture "kee"; did you mean "key"?'),
        ((("level", "50"),), "say which fixture, then its values, such as --level"),
        ((("level", "key=0..100"),), "equal ratios, which never come to nothing"),
        ((("level", "key=20..140"),), "--level key=20..140: a head gives no more than full: 140 % is"),
        ((("level", "key=20..20"),), "ends where it starts"),
        ((("level", "key=20.."),), "lacks an end"),
        ((("level", "key=0.5"),), "write 50 %"),
        ((("balance", "warm"),), '--balance: "warm" is not a colour temperature; write 3200 or 3200 K'),
        ((("balance", "3200,,5600"),), "--balance: a value is missing"),
        ((("balance", "500,5600"),), "--balance 500,5600: must be at least 1000 K"),
        ((("balance", "3000..6000/40"),), "a range has 2 to 24"),
        ((("stop", "f2"),), '--stop: "f2" is not a number'),
        ((("iso", "800"),), "that is as the script has it, so there is nothing to compare"),
        ((("stop", "2,4"), ("iso", "400,800"), ("tint", "0,5")), "two sweeps make a grid"),
        ((("level", "key=20,40"), ("level", "key=60")), "key is swept twice"),
        ((("stop", "1..4/5"), ("iso", "400..3200/6")), "5 by 6 are 30 pictures; 24 are the most"),
    ],
)
def test_what_cannot_be_swept_is_said(script: Script, sweeps: Any, words: str) -> None:
    assert words in refused(script, *sweeps)


def test_a_script_without_looks_says_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "bare.yaml").write_text(SCENE[: SCENE.index("looks:")])
    told = refused(read_script(tmp_path / "bare.yaml"))
    assert told.endswith("the script has no looks; write some, or sweep: --balance 3200,4400,5600")
    assert 'no look "cold"' in refused(read_script(tmp_path / "bare.yaml"), names=("cold",))


def test_a_grid_of_the_most_is_compared(script: Script) -> None:
    scene = script.scene()
    refuse_many([sweep_of("stop", "1..8/6", scene), sweep_of("iso", "400..3200/4", scene)], ())
    assert MOST == 24


def test_a_varied_scene_is_that_of_a_look_in_the_script(folder: Path, script: Script) -> None:
    """The same words in a script's look make the same scene: the whole reading of the file is the reference."""
    changes: list[dict[str, Any]] = [
        {"camera": {"balance": "3300 K", "iso": 1600, "lens": {"stop": 2.8}, "tint": 4}},
        {"fixtures": {"key": {"level": "25 %"}, "bulb": {"kelvin": "2200 K"}}},
        {"fixtures": {"tungsten": {"through": [{"gel": "full-ctb"}, {"scrim": "single"}]}}},
    ]
    written = yaml.safe_load(SCENE) | {"looks": {f"look {n}": change for n, change in enumerate(changes)}}
    file = folder / "written.yaml"
    file.write_text(yaml.safe_dump(written, sort_keys=False))
    other = read_script(file)
    for number, scene in enumerate(script.varied(changes)):
        expected = other.scene(look=f"look {number}")
        assert (scene.camera, scene.fixtures) == (expected.camera, expected.fixtures)
        assert scene.anchors == expected.anchors


# What comes of it.


@pytest.mark.parametrize(
    "change",
    [
        {"level": "10 %"},
        {"level": "off"},
        {"kelvin": "3300 K"},
        {"through": [{"gel": "half-ctb"}, {"scrim": "double"}]},
    ],
)
def test_a_light_set_otherwise_is_the_light_made_anew(
    script: Script, ready: Ready, change: dict[str, Any]
) -> None:
    for number, fixture in enumerate(ready.scene.fixtures):
        # A moon passes no gel, and an LED or a discharge lamp of one colour cannot be set to another.
        if ("through" in change and fixture.moon is not None) or (
            "kelvin" in change and fixture.name in ("key", "ballasted")
        ):
            continue
        (scene,) = script.varied([{"fixtures": {fixture.name: change}}])
        anew, again = (
            lights_of(scene)[number],
            relit_light(ready.lights[number], scene, scene.fixtures[number]),
        )
        assert again.gain == pytest.approx(anew.gain, rel=1e-12)
        assert again.colour == pytest.approx(anew.colour, rel=1e-12)
        assert again.kelvin == anew.kelvin
        assert again.emitters is ready.lights[number].emitters


def test_readings_of_a_look_are_those_that_a_meter_would_read(
    script: Script, ready: Ready, store: Store
) -> None:
    """Light adds up, and each fixture scales by itself: what is read in white and at full gives every look."""
    held = hold(ready, store=store, seed=1)
    (scene,) = script.varied([{"fixtures": {"key": {"level": "20 %"}, "tungsten": {"level": "90 %"}}}])
    lights = lights_of(scene)
    receptors = held.faces[0].receptors
    expected = levels(
        prepare(scene, store=store), receptors, rays=256, bounce_rays=512, bounces=1, seed=1, store=store
    )
    found = relit(held.unit, lights)
    for name in ("direct", "bounced", "rgb", "flow"):
        np.testing.assert_allclose(getattr(found, name), getattr(expected, name), rtol=1e-9, atol=1e-12)


def test_halving_the_key_takes_a_stop_of_it(script: Script, store: Store) -> None:
    """Key to fill is key and fill against fill: with K and F before, halving the key leaves K/2 + F against F."""
    own, half = cells(answered(script, store, ("level", "key=25")))
    before, after = own["moon"]["lux"][0], half["moon"]["lux"][0]
    moon = 0.2  # what the true moon could give here at most
    assert after == pytest.approx(before / 2, abs=moon)
    assert half["practicals"]["lux"] == pytest.approx(own["practicals"]["lux"])
    for cell in (own, half):
        expected = log2(cell["moon"]["lux"][0] / cell["practicals"]["lux"][0])
        assert cell["moon_over_practicals_stops"][0] == pytest.approx(expected)
    face, dimmer = own["faces"][0], half["faces"][0]
    if face["key"] == dimmer["key"] == "key":
        fill = own["faces"][0]["lux"] / 2.0 ** face["key_to_fill_stops"]
        assert dimmer["key_to_fill_stops"] < face["key_to_fill_stops"]
        assert dimmer["lux"] / 2.0 ** dimmer["key_to_fill_stops"] == pytest.approx(fill, rel=0.05)


def test_a_balance_moves_all_by_its_mireds(script: Script, store: Store) -> None:
    """From 4000 K to 3300 K is 53 mired: all is that much cooler against white. Source: definition of the mired."""
    own, other = cells(answered(script, store, ("balance", "3300")))
    for group in ("moon", "practicals"):
        shift = other[group]["off_white_mired"] - own[group]["off_white_mired"]
        assert shift == pytest.approx(1e6 / 4000 - 1e6 / 3300, abs=1.0)
        assert other[group]["mired"] == own[group]["mired"], "the light is the same"
    assert own["mired_apart"] == pytest.approx(other["mired_apart"])
    # A bulb of 2700 K is 370.4 mired: 120 warm of white at 4000 K.
    assert own["practicals"]["off_white_mired"] == pytest.approx(1e6 / 2700 - 1e6 / 4000, abs=2.0)
    assert "Everything reads 53 mired cooler." in other["differences"]
    assert [face["stops"] for face in own["faces"]] == [face["stops"] for face in other["faces"]]


def test_stop_and_iso_trade_against_each_other(script: Script, ready: Ready, store: Store) -> None:
    """T2 at ISO 800 and T2.8 at ISO 1600 expose alike, but for (2.8 / 2)^2 / 2 = 0.98: E = C N^2 / (t S). What was sharp
    is the same picture; only what is out of focus differs."""
    sharp = SCENE.replace("focal: 35 mm", "focal: 4 mm").replace(
        "camera: {lens", "camera: {format: {width: 2.5 mm, height: 1.4 mm}, lens"
    )
    file = script.path.parent / "sharp.yaml"
    file.write_text(sharp)
    other = read_script(file)
    answer = answered(other, store, ("stop", "2.82842712"), ("iso", "1600"))
    pictures = [
        cell.picture for block in answer.blocks if isinstance(block, Pictures) for cell in block.cells
    ]
    assert pictures[0] is not None
    assert pictures[1] is not None
    gap = np.abs(pictures[0].astype(int) - pictures[1].astype(int))
    assert np.quantile(gap, 0.98) <= 1
    own, traded = cells(answer)
    assert traded["faces"][0]["stops"] == pytest.approx(own["faces"][0]["stops"], abs=1e-5)
    assert traded["differences"] == ["More is sharp, T2.82843 for T2."]


def test_one_stop_of_iso_is_one_stop_of_every_figure(script: Script, store: Store) -> None:
    own, other = cells(answered(script, store, ("iso", "1600")))
    assert other["faces"][0]["stops"] == pytest.approx(own["faces"][0]["stops"] + 1.0)
    assert other["faces"][0]["rim_stops"] == pytest.approx(own["faces"][0]["rim_stops"] + 1.0)
    assert other["faces"][0]["key_to_fill_stops"] == own["faces"][0]["key_to_fill_stops"]
    assert other["under_floor_share"] <= own["under_floor_share"]
    assert other["differences"][0] == "The camera takes 1 stop more."


def test_looks_through_the_lens_add_up(script: Script, ready: Ready, store: Store) -> None:
    """Light is linear and so is the lens: looks that share their passes are those that go through it one by one."""
    plate = shot(ready, store=store, width=WIDTH).plate
    changes = [{"fixtures": {"key": {"level": f"{level} %"}}} for level in (5, 20, 60, 80, 100)]
    readies = [command._relit(ready, scene) for scene in script.varied(changes)]
    calls: list[int] = []
    found = developed(readies, plate, lambda number, radiance: radiance.copy(), lambda: calls.append(1))
    assert calls == [1]
    for one, radiance in zip(readies, found, strict=True):
        alone = seen(one, plate, mixed(plate, one.lights))
        gap = np.abs(stops_of(radiance, one.scene.camera) - stops_of(alone, one.scene.camera))
        assert np.quantile(gap, 0.98) < 0.01


def test_what_clips_is_told_with_how_far(script: Script, store: Store) -> None:
    """A sphere of 60 W gives about 700 lm: tens of thousands of cd/m2, far over any sensor at T2; at 64 it holds."""
    own, other = cells(answered(script, store, ("stop", "64")))
    lamp, held = own["practicals_in_frame"][0], other["practicals_in_frame"][0]
    assert lamp["in_frame"]
    assert lamp["clipped_share"] > 0.5
    stops = 2.0 * log2(64 / 2.0)
    if held["clipped_share"]:
        assert lamp["over_stops"] - held["over_stops"] == pytest.approx(stops, abs=0.5)
    else:
        assert lamp["over_stops"] < stops
        assert "The bulb holds now." in other["differences"]


@pytest.mark.parametrize("width", [64, 100, 160])
def test_how_far_a_lamp_clips_is_the_same_at_every_size(
    script: Script, ready: Ready, store: Store, width: int
) -> None:
    """A globe's luminance L = lm / (4 pi x pi d^2 / 4); grey is 0.18 C N2 / (pi t S), C 269. Source: definitions."""
    plate = shot(ready, store=store, width=width).plate
    stops = stops_of(seen(ready, plate, mixed(plate, ready.lights)), ready.scene.camera)
    (lamp,) = figures_of(ready, plate, stops, hold(ready, store=store, seed=1)).lamps
    (light,) = (light for light in ready.lights if light.name == "bulb")
    (glow,) = light.glows
    across = float(np.ptp(glow.part.vertices[:, 0]))
    lumens = glow.luminance * np.pi**2 * across**2
    assert 500 < lumens < 1000, "of a 60 W lamp"
    grey = 0.18 * 269 * 2.0**2 * 48 / (np.pi * 800)
    assert lamp.clipped == 1.0
    assert lamp.over_stops == pytest.approx(
        log2(glow.luminance / grey) - ready.scene.camera.latitude.over, abs=0.05
    )


def test_of_somebody_out_of_frame_nothing_is_told_but_that(tmp_path: Path, store: Store) -> None:
    other = SCENE.replace("cast:\n", "cast:\n  - {name: Odd, at: [-9, 1.5], facing: [1, -3, 1.6]}\n")
    (tmp_path / "two.yaml").write_text(
        other.replace("aim: [0.4, 2, 1.5],", "aim: [0.4, 2, 1.5], focus: Odd.eyes,")
    )
    answer = answered(read_script(tmp_path / "two.yaml"), store, ("iso", "1600"))
    assert answer.data["out_of_frame"] == ["Odd"]
    assert {face["figure"] for cell in cells(answer) for face in cell["faces"]} == {"Ida"}
    first = answer.blocks[0]
    assert isinstance(first, Words)
    assert first.sentences == (
        "Odd is out of frame, so nothing is told of the light there; the focus is on Odd all the same.",
    )
    rest = [
        text
        for block in answer.blocks
        if isinstance(block, Pictures)
        for cell in block.cells
        for text in (*(value for _, value in cell.figures), *cell.sentences)
    ]
    assert rest
    assert not any("Odd" in text for text in rest)


def test_with_nobody_in_frame_that_is_told(tmp_path: Path, store: Store) -> None:
    (tmp_path / "away.yaml").write_text(SCENE.replace("at: [0, 1.5], facing", "at: [-9, 1.5], facing"))
    answer = answered(read_script(tmp_path / "away.yaml"), store, ("iso", "1600"))
    first = answer.blocks[0]
    assert isinstance(first, Words)
    assert first.sentences == ("Nobody is in frame: what is told is of the light out of it.",)
    assert cells(answer)[0]["faces"][0]["figure"] == "Ida"


@settings(max_examples=200)
@given(
    st.floats(100, 500), st.floats(100, 500), st.floats(100, 500), st.floats(100, 500), st.floats(100, 500)
)
def test_mireds_that_are_printed_add_up(
    moon: float, lamp: float, white: float, warm: float, other: float
) -> None:
    """Whatever lies under the rounding: apart is the sum of what stands beside it, a shift the difference of two cells."""

    def group(mired: float, against: float) -> Group:
        colour = ColourReading(1e6 / mired, 0.0, mired)
        return Group(("x",), (1.0,), colour, mired - against, "")

    def printed(one: Group) -> int:
        word = off_white(one)
        if word == "white":
            assert abs(one.told_mired or 0) < 5
            return one.told_mired or 0
        return int(word.split()[0]) * (1 if word.endswith("warm") else -1)

    pair = group(moon, white), group(lamp, white)
    assert [abs((one.told_mired or 0) - (one.off_white_mired or 0.0)) <= 1.0 for one in pair] == [True, True]
    # Against another white both move alike, by what the table of settings says of the balance.
    moved = group(moon, other), group(lamp, other)
    for one, then in zip(pair, moved, strict=True):
        assert (then.told_mired or 0) - (one.told_mired or 0) == round(white) - round(other)
    figures = LookFigures((), (), *pair, (), 0.0, 0.0)
    told = reading_sentence(figures) or ""
    if "apart" in told:
        assert int(told.split()[-2]) == abs(printed(pair[1]) - printed(pair[0]))
    shifted = LookFigures((), (), group(moon, other), group(warm, other), (), 0.0, 0.0)
    for sentence in words._colours(figures, shifted):
        amount = int(sentence.split(" mired")[0].split()[-1])
        shift = [
            printed(now) - printed(was)
            for was, now in zip(pair, (shifted.moon, shifted.practicals), strict=True)
        ]
        assert amount in [abs(one) for one in shift]


@settings(max_examples=200)
@given(st.floats(-8, 4), st.floats(-8, 4))
def test_stops_that_are_told_are_those_between_what_is_printed(was: float, now: float) -> None:
    told = words._change(was, now)
    if told:
        assert told == pytest.approx(float(f"{now:.1f}") - float(f"{was:.1f}"), abs=1e-9)
        assert abs(told - (now - was)) <= 0.1 + 1e-9
    else:
        assert abs(now - was) < 0.2


@pytest.mark.parametrize(
    ("sweep", "steps"),
    [
        # What the lamp is without being set: a bulb says 2700 K itself.
        (("kelvin", "bulb=2200,2700,3200"), ["as scripted", "bulb 2200 K", "bulb 3200 K"]),
        (("level", "key=25,50"), ["as scripted", "key 25 %, −2 stops"]),
        (("level", "bulb=full,50"), ["as scripted", "bulb 50 %, −1 stop"]),
        (("balance", "3200,4000"), ["as scripted", "balance 3200 K"]),
        (("tint", "0,5"), ["as scripted", "tint +5"]),
    ],
)
def test_the_script_own_setting_is_not_shown_twice(script: Script, sweep: Any, steps: list[str]) -> None:
    found = compared_of(script, LookOptions(None, (), (sweep,)))
    assert [one.name for one in found.variations] == steps


def test_nothing_is_traced_from_the_cache_and_once_without(
    script: Script, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    counted: list[int] = []
    really = plates._all_tiles

    def counting(*given: Any) -> None:
        counted.append(1)
        really(*given)

    monkeypatch.setattr(plates, "_all_tiles", counting)
    fresh = Store(tmp_path / "cache", most_bytes=10**9)
    first = answered(script, fresh, ("balance", "3200,5600"))
    assert counted == [1]
    again = answered(script, fresh, ("level", "key=10..100/12"))
    assert counted == [1]
    assert len(cells(again)) == 13
    assert len(cells(first)) == 3


def test_looks_of_the_script_are_told_with_what_to_set(script: Script, store: Store) -> None:
    answer = answered(script, store)
    assert [cell["name"] for cell in cells(answer)] == ["as scripted", "colder", "out"]
    assert [cell["in_script"] for cell in cells(answer)] == [None, "colder", "out"]
    (table,) = (block for block in answer.blocks if isinstance(block, Table))
    assert table.rows == (
        ("Colder", "camera, balance", "3300 K, 53 mired cooler", "4000 K"),
        ("Out", "key, gels and scrims", "half-cto", "none"),
        ("", "bulb, level", "off", "full"),
    )
    out = cells(answer)[2]
    assert out["practicals"]["mired"] is None
    assert out["moon_over_practicals_stops"] == [None]
    assert out["differences"][0] == "The bulb is off."
    text = json.dumps(answer.data, allow_nan=False)
    assert "NaN" not in text


def test_a_hair_under_what_it_dims_to_takes_no_scrim(script: Script, store: Store) -> None:
    """From 50 % to 49 % is log2(50 / 49), 0.03 stop; to 45 %, 0.15."""
    answer = answered(script, store, ("level", "ballasted=45,49"))
    (table,) = (block for block in answer.blocks if isinstance(block, Table))
    told = {row[0].split(",")[0]: row[2] for row in table.rows}
    assert told["Ballasted 49 %"] == "49 %, −1 stop"
    assert told["Ballasted 45 %"] == "45 %, −1.2 stops (50 % and 0.2 stop of scrim)"


def test_what_does_not_dim_so_far_is_noted(script: Script, store: Store) -> None:
    answer = answered(script, store, ("level", "ballasted=10,25,60"))
    (table,) = (block for block in answer.blocks if isinstance(block, Table))
    # By definition: from 50 % to 25 % is one stop.
    assert (
        "Ballasted 25 %, −2 stops",
        "ballasted, level",
        "25 %, −2 stops (50 % and 1 stop of scrim)",
        "60 %, −0.7 stop",
    ) in table.rows
    (words,) = (block for block in answer.blocks if isinstance(block, Words))
    assert len(words.sentences) == 1
    assert "dims to 50 %" in words.sentences[0]


def test_a_cell_can_be_pasted_as_a_look(folder: Path, script: Script, store: Store) -> None:
    answer = answered(script, store, ("stop", "2,2.8"), ("level", "key=12.5,50"))
    for cell in cells(answer):
        if cell["look"] is None:
            assert cell["name"].endswith("as scripted")
            continue
        pasted = yaml.safe_load(cell["look"])
        file = folder / "pasted.yaml"
        file.write_text(yaml.safe_dump(yaml.safe_load(SCENE) | pasted, sort_keys=False))
        other = read_script(file)
        scene = other.scene(look=other.looks[0])
        assert scene.camera.lens.stop == cell["camera"]["stop"]
        assert scene.fixtures[0].level == cell["fixtures"][0]["level"]


def test_a_grid_keeps_its_rows_and_columns(script: Script, store: Store) -> None:
    answer = answered(script, store, ("stop", "2,4"), ("iso", "400,800,1600"))
    (pictures,) = (block for block in answer.blocks if isinstance(block, Pictures))
    assert pictures.columns == 3
    assert [cell.name for cell in pictures.cells] == [
        "T2, ISO 400",
        "T2, ISO 800, as scripted",
        "T2, ISO 1600",
        "T4, ISO 400",
        "T4, ISO 800",
        "T4, ISO 1600",
    ]
    apart = answered(script, store, ("stop", "2.8,4"), ("iso", "400,1600"))
    first, grid = (block for block in apart.blocks if isinstance(block, Pictures))
    assert [cell.name for cell in first.cells] == ["As scripted"]
    assert len(grid.cells) == 4


def test_without_cast_or_lights_of_a_kind_it_answers_all_the_same(tmp_path: Path, store: Store) -> None:
    """Nobody, no moon, no practical; and nothing at all that shines."""
    bare = "\n".join(
        line for line in SCENE.splitlines() if "name: Ida" not in line and "name: moon" not in line
    )
    bare = (
        bare.replace("cast:\n", "")
        .replace("aim: Ida.face", "aim: [0, 1, 1]")
        .replace("aim: Ida.chest", "aim: [0, 1, 1]")
    )
    bare = bare.replace(", motive: moon", "")
    bare = "\n".join(line for line in bare.splitlines() if "name: bulb" not in line and "out: {" not in line)
    (tmp_path / "bare.yaml").write_text(bare)
    answer = answered(read_script(tmp_path / "bare.yaml"), store)
    assert cells(answer)[1]["faces"] == []
    assert cells(answer)[1]["moon"] is None
    dark = bare[: bare.index("fixtures:")] + bare[bare.index("looks:") :]
    (tmp_path / "dark.yaml").write_text(dark)
    answer = answered(read_script(tmp_path / "dark.yaml"), store)
    assert cells(answer)[1]["under_floor_share"] == 1.0
    assert json.dumps(answer.data, allow_nan=False)


def test_figures_of_all_looks_come_in_their_order(script: Script, ready: Ready, store: Store) -> None:
    compared = compared_of(script, LookOptions(None, (), (("level", "key=100,10,50,25"),)))
    plate = shot(ready, store=store, width=WIDTH).plate
    held = hold(ready, store=store, seed=1)
    shown = all_shown(ready, plate, held, compared.variations)
    assert [one.variation for one in shown] == list(compared.variations)
    lux = [one.figures.moon.lux[0] for one in shown[1:] if one.figures.moon is not None]
    assert sorted(lux) == [lux[1], lux[3], lux[2], lux[0]] if len(lux) == 4 else len(lux) == 3
    alone = figures_of(
        ready, plate, stops_of(seen(ready, plate, mixed(plate, ready.lights)), ready.scene.camera), held
    )
    assert shown[0].figures.faces == alone.faces


def test_the_command_writes_and_prints(folder: Path, tmp_path: Path) -> None:
    runner = CliRunner()
    told = runner.invoke(
        app,
        [
            "looks",
            str(folder / "yard.yaml"),
            "--looks",
            "colder",
            "--size",
            "160",
            "--out",
            str(tmp_path / "out"),
        ],
    )
    assert told.exit_code == 0, told.output
    assert "Colder" in told.output
    assert {file.name for file in (tmp_path / "out").iterdir()} == {"looks.png", "looks.json"}
    asked = [
        "looks",
        str(folder / "yard.yaml"),
        "--iso",
        "400,800",
        "--size",
        "160",
        "--json",
        "--out",
        str(tmp_path),
    ]
    told = runner.invoke(app, asked)
    assert json.loads(told.output)["cells"][1]["camera"]["iso"] == 400
