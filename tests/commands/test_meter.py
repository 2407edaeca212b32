"""The meter: from a script to what it says, against closed forms and the definitions of ratios."""

from __future__ import annotations

import json
from math import cos, log2, radians
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from preview import cli
from preview.commands.metering.directions import cheeks_of, key_and_fill, ratio
from preview.sheets.meter_card import MARKS

OPEN = """\
title: A bare field
camera: {lens: {focal: 50 mm, stop: 2.8}, at: [0, -6, 1.6], aim: [0, 0, 1.6], iso: 800, balance: 5600 K}
fixtures:
  - {name: left, at: [-3, -4, 1.6], aim: [0, 0, 1.6], head: HEAD}
  - {name: right, at: [6, -8, 1.6], aim: [0, 0, 1.6], level: 50 %, head: HEAD}
  - {name: rim, at: [0, 5, 1.6], aim: [0, 0, 1.6], head: RIM}
marks:
  - {name: middle, at: [0, 0, 1.6], facing: 180}
  - {name: near, at: [-1.5, -2, 1.6], facing: 180}
looks:
  low: {fixtures: {left: {level: 25 %}}}
"""
WIDE = "beam: 60 deg, field: 100 deg, aperture: 5 cm"
OPEN = OPEN.replace("HEAD", f"{{candela: 4000, {WIDE}, kelvin: 5600}}")
OPEN = OPEN.replace("RIM", f"{{candela: 2500, {WIDE}, kelvin: 3200}}")
FACE = """\
cast: [{name: Ada, at: [0, 0], facing: 180, height: 1.75}]
camera: {lens: {focal: 85 mm, stop: 2.8}, at: [0, -3, 1.62], aim: Ada.face, iso: 800, balance: 5600 K}
fixtures:
  - {name: key, at: [-2, -2, 1.64], aim: Ada.face, head: {candela: 3000, shape: ball, aperture: 30 cm, kelvin: 5600}}
"""


@pytest.fixture
def run(tmp_path: Path):  # type: ignore[no-untyped-def]
    def call(script: str, *words: str) -> Result:
        file = tmp_path / "field.yaml"
        file.write_text(script, encoding="utf-8")
        return CliRunner().invoke(cli.app, ["meter", str(file), "--out", str(tmp_path / "out"), *words])

    return call


def told(answer: Result) -> dict:  # type: ignore[type-arg]
    assert answer.exception is None, answer.output
    return dict(json.loads(answer.stdout))


def test_key_to_fill() -> None:
    """EX-23: 800 lx with the key and 100 lx without it are 8 to 1, 3 stops."""
    answer = key_and_fill(["key", "fill"], np.array([700.0, 100.0]), np.array([700.0, 100.0]))
    assert answer is not None
    assert answer.ratio is not None
    assert answer.key == "key"
    assert [answer.fill_lux, answer.ratio.to_one, answer.ratio.stops] == pytest.approx([100.0, 8.0, 3.0])


def test_a_shaded_key_still_bounces() -> None:
    """What a hand before the meter takes away is the key's direct light alone."""
    answer = key_and_fill(["key"], np.array([90.0]), np.array([100.0]))
    assert answer is not None
    assert answer.fill_lux == pytest.approx(10.0)


def test_no_ratio_without_light() -> None:
    assert ratio(1.0, 0.0) is None
    assert key_and_fill(["key"], np.zeros(1), np.zeros(1)) is None
    assert cheeks_of(0.0, 0.0, "right").brighter == "even"


def test_lux_stops_and_ratios_of_three_heads(run) -> None:  # type: ignore[no-untyped-def]
    """Inverse square and cosine, each head seen from its side; the receptor is held 6 cm before the mark."""
    mark = told(run(OPEN, "--json"))["marks"][0]
    place = np.array([0.0, -0.06])
    lux = {}
    for name, at, candela in (("left", (-3, -4), 4000.0), ("right", (6, -8), 2000.0)):
        away = np.array(at) - place
        distance = float(np.hypot(*away))
        lux[name] = candela / distance**2 * -away[1] / distance
    got = {one["fixture"]: one for one in mark["fixtures"]}
    # Six centimetres off what it is aimed at, a head is less than half a per cent below its axis.
    for name, expected in lux.items():
        assert got[name]["lux"] == pytest.approx(expected, rel=0.01)
    assert got["rim"]["lux"] == 0.0
    whole = sum(lux.values())
    assert mark["flat"]["stops"] == pytest.approx(
        log2(whole / (25.0 * 10.76391 * 2.8**2 / (800 / 48))), abs=0.02
    )
    assert mark["key"]["key"] == "left"
    assert mark["key"]["ratio"]["to_one"] == pytest.approx(whole / lux["right"], rel=0.01)
    assert (got["left"]["way"]["side"], got["right"]["way"]["side"]) == ("left", "right")
    assert got["left"]["way"]["round_deg"] == pytest.approx(36.9, abs=0.7)
    assert mark["back"]["fixture"] == "rim"
    assert mark["back"]["lux"] == pytest.approx(2500.0 / 5.06**2, rel=0.01)


def test_dome_of_three_heads(run) -> None:  # type: ignore[no-untyped-def]
    """The cardioid: the rim light stands straight behind, where a dome has nothing."""
    got = {one["fixture"]: one for one in told(run(OPEN, "--json"))["marks"][0]["fixtures"]}
    angle = np.arctan2(3.0, 3.94)
    assert got["left"]["dome_lux"] == pytest.approx(
        4000.0 / (9.0 + 3.94**2) * (1.0 + cos(angle)) / 2.0, rel=0.01
    )
    assert got["rim"]["dome_lux"] == pytest.approx(0.0, abs=0.01)


def test_falloff_by_the_inverse_square(run) -> None:  # type: ignore[no-untyped-def]
    falloff = {one["fixture"]: one for one in told(run(OPEN, "--json"))["falloffs"]}["left"]
    assert (falloff["near"], falloff["far"]) == ("near", "middle")
    near, far = np.hypot(1.5, 1.94), np.hypot(3.0, 3.94)
    assert falloff["stops"] == pytest.approx(2.0 * log2(far / near), abs=0.02)
    assert falloff["by_distance"] == pytest.approx(falloff["stops"], abs=0.02)


def test_colour_against_colour_science(run, colour_science) -> None:  # type: ignore[no-untyped-def]
    """Two lights of the daylight series at 5600 K and nothing else: their kelvin by Ohno 2013."""
    got = told(run(OPEN, "--json"))["marks"][0]["colour"]
    xy = colour_science.temperature.CCT_to_xy_CIE_D(5600.0)
    uv = colour_science.XYZ_to_UCS(colour_science.xy_to_XYZ(xy))
    kelvin, duv = colour_science.temperature.uv_to_CCT_Ohno2013(colour_science.UCS_to_uv(uv))
    assert got["kelvin"] == pytest.approx(kelvin, abs=25.0)
    assert got["duv"] == pytest.approx(duv, abs=3e-4)
    assert got["words"] == "on the balance"


def test_a_look_traces_nothing(run, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    first = told(run(OPEN, "--json"))
    monkeypatch.setattr("preview.trace.receptors.read", None)
    low = told(run(OPEN, "--json", "--look", "low"))
    (before,) = (one for one in first["marks"][0]["fixtures"] if one["fixture"] == "left")
    (after,) = (one for one in low["marks"][0]["fixtures"] if one["fixture"] == "left")
    assert after["lux"] == pytest.approx(0.25 * before["lux"], rel=1e-6)


def test_cheeks_are_the_cameras(run) -> None:  # type: ignore[no-untyped-def]
    """A lamp from camera left lights that cheek, which is the right one of somebody who faces the lens."""
    cheeks = told(run(FACE, "--json"))["marks"][0]["cheeks"]
    assert (cheeks["brighter"], cheeks["left_is"]) == ("left", "right")
    assert cheeks["left_lux"] > 4.0 * cheeks["right_lux"]


def test_a_figure_alone_means_its_face(run) -> None:  # type: ignore[no-untyped-def]
    face, alone = told(run(FACE, "--json", "Ada.face", "Ada"))["marks"]
    assert alone["flat"] == face["flat"]
    assert alone["cheeks"] == face["cheeks"]
    assert (face["note"], alone["note"]) == (None, "Held before the face, Ada.face.")
    assert "Held before the face, Ada.face." in run(FACE, "Ada").stdout


def test_a_meter_is_held_outside_a_coat(run) -> None:  # type: ignore[no-untyped-def]
    """The place is under the coat; a lamp ahead is read by the inverse square from where the meter says it is held."""
    script = FACE.replace("height: 1.75", "height: 1.75, pose: sit, seat: 0.46, wears: coat").replace(
        "at: [-2, -2, 1.64], aim: Ada.face", "at: [0, -4, 1.1], aim: Ada.chest"
    )
    (chest,) = told(run(script, "--json", "Ada.chest"))["marks"]
    out = float(chest["note"].removeprefix("Held ").partition(" cm")[0]) / 100.0
    assert chest["note"].endswith(" cm farther out, clear of Ada.")
    assert 0.02 <= out <= 0.2
    # Direct light alone, to a few centimetres of where the chest is.
    assert chest["direct_lux"] == pytest.approx(3000.0 / (4.0 - 0.15 - out) ** 2, rel=0.08)


def test_no_colour_without_light(run) -> None:  # type: ignore[no-untyped-def]
    """A ten-thousandth of the light lies 13 stops lower."""
    assert told(run(FACE, "--json"))["marks"][0]["colour"] is not None
    dim = FACE.replace("name: key,", "name: key, level: 0.01 %,")
    assert told(run(dim, "--json"))["marks"][0]["colour"] is None
    answer = run(dim)
    assert "Colour: too little light to have one." in answer.stdout
    assert " K, Duv" not in answer.stdout


def test_figures_by_fixture_stand_in_columns(run) -> None:  # type: ignore[no-untyped-def]
    """Footcandles first, lux beside them, each column flush right; what comes of them are the data's figures."""
    script = OPEN.replace("name: right", "name: a second lamp with a long name").replace(
        "level: 50 %", "level: 5 %"
    )
    lines = run(script, "middle").stdout.splitlines()
    start = lines.index("  Each fixture alone:")
    rows = [line for line in lines[start + 1 : start + 8] if " lx " in line]
    assert len(rows) == 2
    assert lines[lines.index(rows[1]) - 1] == "    a second lamp with a long name"
    assert len({line.index(" fc ") for line in rows}) == len({line.index(" lx ") for line in rows}) == 1
    data = told(run(script, "--json", "middle"))["marks"][0]["fixtures"]
    for line, one in zip(rows, data, strict=False):
        footcandles, lux = (float(line.partition(f" {unit} ")[0].split()[-1]) for unit in ("fc", "lx"))
        assert [footcandles, lux] == pytest.approx([one["footcandles"], one["lux"]], rel=5e-3)
        assert lux / footcandles == pytest.approx(10.76391, rel=5e-3)


def test_near_to_far_is_from_lamp_to_meter(run) -> None:  # type: ignore[no-untyped-def]
    """The receptor hangs 6 cm before its mark; a string of bulbs has no one place to count from."""
    script = OPEN.replace(
        "marks:",
        "  - {name: bulbs, practical: {kind: string, at: lights, watts: 15}}\n"
        "set: [{string: {name: lights, along: [[-3, 2], [3, 2]], height: 3, spacing: 1 m}}]\nmarks:",
    )
    falloffs = {one["fixture"]: one for one in told(run(script, "--json"))["falloffs"]}
    assert set(falloffs) == {"left", "right", "rim"}
    assert falloffs["left"]["near_m"] == pytest.approx(np.hypot(1.5, 2.0 - 0.06), abs=1e-6)
    text = run(script).stdout
    assert "Near to far, from lamp to meter:" in text
    left = falloffs["left"]
    assert f"lx) at near at {left['near_m']:.1f} m" in text


def test_eye_light_of_a_ball(run) -> None:  # type: ignore[no-untyped-def]
    """Half-way between lens and lamp, so 22.5 degrees to the left of the axis: at 9, R sin 22.5 off the middle; along
    the plane of incidence R cos(i) / 2 over the distance smaller, across it 1 / cos(i)."""
    report = told(run(FACE, "--json"))
    eyes = [one for one in report["eyes"] if one["note"] is None]
    assert [one["eye"] for one in eyes] == ["left", "right"]
    for eye in eyes:
        (image,) = eye["lights"]
        assert image["hidden"] is None
        assert image["clock"] == pytest.approx(9.0, abs=0.2)
        assert image["off_centre"] == pytest.approx(7.8 * np.sin(radians(22.5)) / 5.85, rel=0.06)
        size = 300.0 * 7.8 / (2.0 * 1000.0 * np.hypot(2.0, 2.0 - 0.1))
        assert image["height_mm"] == pytest.approx(size / cos(radians(22.5)), rel=0.06)
    behind = report["marks"][0]["behind"]
    assert behind is None or behind["stops"] is None


def test_spot_of_a_wall(run) -> None:  # type: ignore[no-untyped-def]
    """A matt wall under a known lux has E rho / pi; its exposure is the meter's own."""
    script = """\
set: [{wall: {name: back wall, along: [[-20, 3], [20, 3]], height: 12, material: concrete}}]
camera: {lens: {focal: 50 mm, stop: 2.8}, at: [0, -6, 1.6], aim: [0, 3, 1.6], iso: 800}
fixtures: [{name: moon, moon: {azimuth: 180, elevation: 40, lux: 50}}]
"""
    (spot,) = told(run(script, "--json", "--spot", "50%,50%"))["spots"]
    assert spot["hits"].startswith("back wall")
    assert spot["distance_m"] == pytest.approx(9.0, abs=0.3)
    assert spot["fixtures"][0]["share"] == pytest.approx(1.0)
    grey = 25.0 * 10.76391 * 2.8**2 / (800 / 48)
    assert spot["stops"] == pytest.approx(log2(spot["luminance"] * np.pi / grey / 0.18), abs=1e-3)
    # Concrete is some 30 % in the catalogue, mottled.
    assert 0.15 < spot["luminance"] * np.pi / (50.0 * cos(radians(40.0))) < 0.6


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("midle",), 'did you mean "middle"?'),
        (("--spot", "hello"), "is no place of the frame"),
        (("--spot", "1..2,3"), "is no place of the frame"),
        (("--spot", "2000,10"), "lies outside the frame"),
    ],
)
def test_what_the_user_can_mend(tmp_path: Path, capfd, words: tuple[str, ...], said: str) -> None:  # type: ignore[no-untyped-def]
    file = tmp_path / "field.yaml"
    file.write_text(OPEN, encoding="utf-8")
    assert cli.run(["meter", str(file), "--out", str(tmp_path / "out"), *words]) == 2
    assert said in capfd.readouterr().err
    assert not (tmp_path / "out").exists()


def test_chosen_marks_words_and_files(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    answer = run(OPEN, "near")
    assert answer.exception is None, answer.output
    assert "\nnear\n" in answer.stdout
    assert "\nmiddle\n" not in answer.stdout
    assert "stops under grey" in answer.stdout or "over grey" in answer.stdout
    assert max(map(len, answer.stdout.splitlines()[:-1])) <= 80
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["meter.json", "meter.png"]


def test_cards_are_paged(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    marks = "".join(f"  - {{name: m{n}, at: [{n}, 0, 1], facing: 180}}\n" for n in range(MARKS + 1))
    script = OPEN.split("marks:")[0] + "marks:\n" + marks
    report = told(run(script, "--json"))
    assert report["files"] == ["meter.png", "meter-2.png", "meter.json"]
    assert len(report["marks"]) == MARKS + 1


def test_a_scene_without_marks_or_people(run) -> None:  # type: ignore[no-untyped-def]
    report = told(run(OPEN.split("marks:")[0], "--json"))
    assert report["marks"] == []
