"""What was filled in: nothing that the file gives, everything that it leaves out, in the units of a script."""

# ruff: noqa: E501 - sentences and scripts are written whole
from __future__ import annotations

from pathlib import Path

from preview.script.explain import defaults
from tests.script.scenes import SMALL, scene

TEXT = """\
set:
  - ground: {material: soil}
  - house: {name: house, at: [0, 9], size: [9, 6], walls: 3, porch: , windows: [{from_left: 1, size: [1, 1]}]}
  - trees: {rows: [1, 2], from: [20, 20]}
cast:
  - {name: A, at: [0, 0], facing: 90}
fixtures:
  - {name: key, head: {candela: 9000, beam: 40 deg}, at: [-5, 0, 4], aim: A, through: [{gel: half-ctb}, {frame: 8x8 ft, cloth: half-grid}]}
  - {name: bulb, practical: {kind: bulb, watts: 30, at: house.porch.lamp}}
  - {name: lit, practical: {kind: window, at: house.window}}
marks:
  - {name: A.face}
"""


def rows(tmp_path: Path, text: str) -> dict[str, str]:
    found = defaults(scene(tmp_path, text + SMALL))
    assert len({path for path, _, _ in found}) == len(found)
    assert all(value and why for _, value, why in found)
    return {path: value for path, value, _ in found}


def test_every_default_with_its_unit(tmp_path: Path) -> None:
    told = rows(tmp_path, TEXT)
    expected = {
        "set[0].ground.name": "ground",
        "set[0].ground.size": "[400 m, 400 m]",
        "set[1].house.floor": "0.45 m",
        "set[1].house.facing": "180 deg",
        "set[1].house.roof.shape": "gable",
        "set[1].house.roof.pitch": "38 deg",
        "set[1].house.porch.depth": "2.2 m",
        "set[1].house.porch.width": "the whole front",
        "set[1].house.porch.rail": "yes",
        "set[1].house.windows[0].wall": "front",
        "set[1].house.windows[0].sill": "0.9 m",
        "set[2].trees.name": "trees",
        "set[2].trees.height": "[6 m, 9 m]",
        "set[2].trees.spacing": "5 m",
        "cast[0].height": "1.75 m",
        "cast[0].pose": "stand",
        "fixtures[0].level": "100 %",
        "fixtures[0].head.shape": "beam",
        "fixtures[0].head.kelvin": "5600 K",
        "fixtures[0].head.field": "56 deg",
        "fixtures[0].head.aperture": "0.2 m",
        "fixtures[0].through[1].away": "1.5 m",
        "fixtures[0].stand": "yes",
        "fixtures[1].practical.kelvin": "2700 K",
        "fixtures[1].practical.lumens": "355 lm",
        "fixtures[1].practical.size": "0.06 m",
        "fixtures[2].practical.luminance": "60 cd/m2",
        "marks[0].facing": "the way the named place faces, else the camera",
        "camera.format": "super35-3perf",
        "camera.lens.stop": "2.8",
        "camera.iso": "800",
        "camera.shutter.fps": "24",
        "camera.shutter.angle": "180 deg",
        "camera.balance": "5600 K",
        "camera.focus": "[0, 0, 1.5]",
        "camera.latitude.under": "7 stops",
        "camera.circle_of_confusion": "the format's diagonal over 1500",
    }
    assert {path: told.get(path) for path in expected} == expected


def test_nothing_that_is_given_or_idle(tmp_path: Path) -> None:
    told = rows(tmp_path, TEXT)
    for path in (
        "set[0].ground.material",
        "set[1].house.walls",
        "set[1].house.porch",
        "set[1].house.name",
        "set[1].house.doors",
        "set[2].trees.from",
        "set[2].trees.count",
        "cast[0].seat",
        "fixtures[0].moon",
        "fixtures[0].through[0].away",
        "fixtures[0].through[1].gel",
        "fixtures[1].practical.watts",
        "fixtures[1].stand",
        "camera.lens.focal",
        "camera.at",
    ):
        assert path not in told


def test_what_a_sky_and_a_moon_are_filled_in_with(tmp_path: Path) -> None:
    text = """\
fixtures:
  - {name: plain, sky: }
  - {name: dark, sky: {brightness: 21.6, glow: {azimuth: 90}}}
  - {name: high, moon: {azimuth: 90, elevation: 30}}
  - {name: soft, moon: {azimuth: 90, elevation: 30, size: 12 deg}}
"""
    told = rows(tmp_path, text)
    expected = {
        "fixtures[0].sky.lux": "0.002 lux",
        "fixtures[0].sky.horizon": "0.85 stops",
        "fixtures[0].sky.stars": "no",
        "fixtures[0].sky.brightness": None,
        "fixtures[0].sky.glow": None,
        "fixtures[1].sky.lux": None,
        "fixtures[1].sky.glow.stops": "2 stops",
        "fixtures[1].sky.glow.width": "60 deg",
        "fixtures[2].moon.visible": "yes",
        "fixtures[3].moon.visible": "no",
    }
    assert {path: told.get(path) for path in expected} == expected


def test_setting_a_value_takes_it_off_the_list(tmp_path: Path) -> None:
    assert "camera.lens.stop" in rows(tmp_path, "")
    text = SMALL.replace("35 mm", "35 mm, stop: 2.8")
    (tmp_path / "x").mkdir()
    assert "camera.lens.stop" not in {path for path, _, _ in defaults(scene(tmp_path / "x", text))}


def test_every_value_reads_back_as_itself(tmp_path: Path) -> None:
    """A shown default, written into the script, gives the same scene."""
    told = rows(tmp_path, TEXT)
    text = TEXT.replace("{name: A, at: [0, 0]", f"{{name: A, height: {told['cast[0].height']}, at: [0, 0]")
    text = text.replace("walls: 3", f"walls: 3, facing: {told['set[1].house.facing']}")
    text = text.replace("{candela: 9000", f"{{kelvin: {told['fixtures[0].head.kelvin']}, candela: 9000")
    plain, explicit = scene(tmp_path, TEXT + SMALL), scene(tmp_path, text + SMALL)
    assert explicit.cast == plain.cast
    assert explicit.set == plain.set
    assert explicit.fixtures == plain.fixtures


def test_how_a_head_is_set_by_default(tmp_path: Path) -> None:
    text = """\
fixtures:
  - {name: a, head: hmi-fresnel-575, at: [0, 0, 3], aim: [1, 0, 0]}
  - {name: b, head: hmi-par-575, at: [0, 0, 3], aim: [1, 0, 0]}
  - {name: c, head: led-panel-30cm, at: [0, 0, 3], aim: [1, 0, 0]}
  - {name: d, head: hmi-fresnel-575, at: [0, 0, 3], aim: [1, 0, 0], flood: 30 %}
"""
    told = rows(tmp_path, text)
    expected = {
        "fixtures[0].flood": "100 %",
        "fixtures[0].lens": None,
        "fixtures[1].flood": None,
        "fixtures[1].lens": "medium",
        "fixtures[2].kelvin": "5600 K",
        "fixtures[2].flood": None,
        "fixtures[3].flood": None,
        "fixtures[0].turn": None,
    }
    assert {path: told.get(path) for path in expected} == expected
