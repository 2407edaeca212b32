"""Reading whole scripts: all faults at once, setups and looks, names, what a scene carries."""

# ruff: noqa: E501 - sentences and scripts are written whole
from __future__ import annotations

from math import pi, radians
from pathlib import Path

import numpy as np
import pytest

from preview.faults import UserError
from preview.script.models.pieces import PIECES
from preview.script.read import read_scene, read_script
from tests.script.scenes import SMALL, faults, found, scene

GATE = """\
title: The visitor at the gate
set:
  - ground: {material: grass}
  - house: {name: house, at: [0, 9], size: [9, 6], porch: {depth: 2.2},
            windows: [{wall: front, from_left: 1.6, sill: 0.9, size: [1.1, 1.3]}]}
cast:
  - {name: Mara, at: [-0.6, 2.5], facing: Visitor, height: 1.68}
  - {name: Visitor, at: [0.9, 0.8], facing: Mara, height: 1.81}
camera:
  lens: {focal: 35 mm, stop: 2.0}
  at: [2.2, -7.5, 1.5]
  aim: {of: Mara.eyes, offset: [0, 0, 0.1]}
  iso: 1600
  balance: 4600 K
fixtures:
  - name: moon key
    head: hmi-fresnel-2500
    at: [-12, -1, 4.8]
    aim: house
    through: [{gel: eighth-ctb}, {frame: 8x8 ft, cloth: half-grid, away: 2.0}]
  - name: porch bulb
    practical: {kind: bulb, watts: 60, kelvin: 2700, at: house.porch.lamp}
marks:
  - {name: Mara.face}
setups:
  tight: {camera: {lens: {focal: 85 mm}, at: [1.6, -4, 1.5], aim: Visitor.eyes}}
  reverse:
    camera: {at: [-3, 5, 1.6], iso: ~}
    cast: {Mara: {facing: 90 deg}}
    fixtures: {moon key: {at: [12, 3, 5], level: -1 stop}}
looks:
  colder: {camera: {balance: 3400 K, lens: {stop: 4}}, fixtures: {moon key: {level: 60 %, through: [{gel: half-ctb}, {scrim: single}]}}}
"""


def test_the_script_itself(tmp_path: Path) -> None:
    gate = scene(tmp_path, GATE)
    assert (gate.title, gate.setup, gate.look, gate.seed) == ("The visitor at the gate", "main", None, 1)
    assert [name for name, _ in gate.set] == ["ground", "house"]
    assert gate.camera.lens.focal == 35
    assert gate.camera.shutter.angle == pi
    assert gate.fixtures[0].through[1].frame == (2.4384, 2.4384)
    np.testing.assert_allclose(
        gate.point(gate.camera.aim) - gate.point(gate.camera.aim.model_copy(update={"offset": (0, 0, 0)})),
        [0, 0, 0.1],
    )


def test_a_setup_is_merged_over_the_script(tmp_path: Path) -> None:
    tight = scene(tmp_path, GATE, setup="tight")
    assert tight.setup == "tight"
    assert (tight.camera.lens.focal, tight.camera.lens.stop, tight.camera.iso) == (85, 2.0, 1600)
    assert tight.camera.at.offset == (1.6, -4.0, 1.5)
    # A place is replaced whole: the offset of the script's own aim does not linger.
    assert (tight.camera.aim.of, tight.camera.aim.offset) == ("Visitor.eyes", (0, 0, 0))


def test_a_setup_moves_cast_and_fixtures_and_puts_defaults_back(tmp_path: Path) -> None:
    reverse = scene(tmp_path, GATE, setup="reverse")
    assert reverse.cast[0].facing == radians(90)
    assert reverse.cast[0].at == (-0.6, 2.5)
    assert reverse.fixtures[0].at is not None
    assert reverse.fixtures[0].at.offset == (12, 3, 5)
    assert reverse.fixtures[0].level == 0.5
    assert reverse.fixtures[0].through[0].gel == "eighth-ctb"
    assert reverse.camera.iso == 800
    assert "iso" not in reverse.camera.model_fields_set


def test_a_look_is_arithmetic_and_leaves_frames(tmp_path: Path) -> None:
    colder = scene(tmp_path, GATE, setup="tight", look="colder")
    assert (colder.setup, colder.look) == ("tight", "colder")
    assert (colder.camera.balance, colder.camera.lens.stop, colder.camera.lens.focal) == (3400, 4, 85)
    key = colder.fixtures[0]
    assert key.level == 0.6
    assert [(thing.gel, thing.scrim, thing.cloth) for thing in key.through] == [
        ("half-ctb", None, None),
        (None, "single", None),
        (None, None, "half-grid"),
    ]


def test_names_of_setups_and_looks(tmp_path: Path) -> None:
    scene(tmp_path, GATE)
    script = read_script(tmp_path / "scene.yaml")
    assert script.setups == ("main", "tight", "reverse")
    assert script.looks == ("colder",)
    assert read_scene(tmp_path / "scene.yaml", setup="main").setup == "main"
    with pytest.raises(UserError, match=r'no setup "tigt"; did you mean "tight"\?'):
        read_scene(tmp_path / "scene.yaml", setup="tigt")
    with pytest.raises(UserError, match=r'no look "warm"; there is colder'):
        read_scene(tmp_path / "scene.yaml", look="warm")


BAD = """\
titel: The visitor
set:
  - ground: {material: gras}
  - house: {name: house, at: [0, 9], size: [9, 6], porch: {depth: 2.2, width: 12},
            windows: [{from_left: 1.6, size: [1.1, 1.3]}, {from_left: 2, size: [1.1, 1.3]}],
            doors: [{from_left: 8.5}, {wall: left, from_left: 2, size: [1, 3]}]}
  - trees: {kind: pare, rows: [3, 5]}
  - box: {name: mara, at: [20, -7], size: [1, 1, 2]}
  - hosue: {}
cast:
  - {name: Mara, at: [-0.6, 2.5], facing: Visitor, height: 1.68}
  - {name: Visitor, at: [0.9, 0.8 mm x], facing: Mara, hight: 1.81}
camera:
  lens: {focal: 35 mm, stop: on}
  at: [2.2, -7, 1.5]
  aim: Mara.elbow
  iso: .inf
  shutter: {angle: 400}
fixtures:
  - name: moon key
    head: hmi-fresnel-250
    at: [-12, -1]
    aim: house.chimney
    level: 0.6
    through: [{gel: eighth-ctb}, {frame: 8x8, cloth: haf-grid}, {away: 2}]
  - name: porch bulb
    practical: {kind: bulb, at: house.porch.lmp}
  - {name: own, head: {candela: 3, lumens: 4, beam: 40, field: 20}, at: Visitor, aim: Visitor}
  - {name: nothing}
  - {name: lit, practical: {kind: window, at: house.door}}
marks:
  - {name: Mara.fase}
  - name: Mara.face
    name: Mara.face
setups:
  tight: {camera: {lens: {focal: -85 mm}}, cast: {Vistor: {at: [0, 0]}}}
  inside: {camera: {at: [0, 6.1, 1]}}
  moved: {cast: {Mara: {at: [2.2, -7]}}}
looks:
  colder: {camera: {balance: 300 K, at: [1, 2]}, fixtures: {moon key: {level: 60 %, head: x}}}
"""

ALL_OF_IT = """\
scene.yaml:1: titel: no such key; did you mean "title"?
scene.yaml:3: set[0].ground.material: no material "gras"; did you mean "grass"?
scene.yaml:4: set[1].house.porch.width: the porch is 12 m wide, wider than the front (9 m)
scene.yaml:5: set[1].house.windows[1]: the window overlaps windows[0]
scene.yaml:6: set[1].house.doors[0]: the door ends 9.4 m from the left of a wall that is 9 m long
scene.yaml:6: set[1].house.doors[1]: the door reaches 3 m above the floor, too high for walls of 2.8 m
scene.yaml:7: set[2].trees.kind: "pare" is not one of broadleaf, conifer, pine, birch, willow, pear, apple, bare, dead; did you mean "pear"?
scene.yaml:9: set[4].hosue: no such key; did you mean "house"?
scene.yaml:11: cast[0].name: the name "Mara" is already taken in line 8
scene.yaml:12: cast[1].at[1]: "0.8 mm x" is not a length; write 3.5 (metres), 80 cm, 35 mm, 12 ft, 6 in or 5 ft 6 in
scene.yaml:12: cast[1].hight: no such key; did you mean "height"?
scene.yaml:14: camera.lens.stop: "on" is not a number; write digits, such as 2.8
scene.yaml:16: camera.aim: no place "Mara.elbow"; Mara has Mara.face, Mara.eyes, Mara.chest, Mara.feet, Mara.hand.left, Mara.hand.right
scene.yaml:17: camera.iso: ".inf" is not a number; write digits, such as 2.8
scene.yaml:18: camera.shutter.angle: must be at most 360 deg, not 400
scene.yaml:21: fixtures[0].head: no head "hmi-fresnel-250"; did you mean "hmi-fresnel-2500"?
scene.yaml:22: fixtures[0].at: the head is at the height of ground (0 m, where the ground is at 0 m); say how high it is
scene.yaml:23: fixtures[0].aim: no place "house.chimney"; house has house.front, house.back, house.left, house.right, house.door, house.door[0], house.door[1], house.window, house.window[0], house.window[1], house.room, house.roof, house.porch, house.porch.lamp, house.porch.step
scene.yaml:24: fixtures[0].level: a bare level is in per cent, so 0.6 is next to nothing; write 60 % or, if so little is meant, 0.6 %
scene.yaml:25: fixtures[0].through[1].frame: "8x8" lacks a unit, feet or metres; write 12x12 ft, 18x24 in, 1.2x0.6 m or [1.2, 0.6] (metres)
scene.yaml:25: fixtures[0].through[1].cloth: no cloth "haf-grid"; did you mean "half-grid"?
scene.yaml:25: fixtures[0].through[2]: each item of through is exactly one of gel, shift, scrim, frame, bounce, box, flag, cucoloris, doors, snoot or cloth; none is given
scene.yaml:27: fixtures[1].practical.at: no place "house.porch.lmp"; did you mean "house.porch.lamp"?
scene.yaml:28: fixtures[2].head: a head needs exactly one of candela, lumens or reading; candela and lumens are given
scene.yaml:28: fixtures[2].head.field: the beam (40 deg) is wider than its field (20 deg): the field is where the light falls to 10 %, the beam where it falls to 50 %
scene.yaml:29: fixtures[3]: a fixture is exactly one of head, moon, sky or practical; none is given
scene.yaml:30: fixtures[4].practical.at: a lit window is at a window of a house, such as house.window[0]
scene.yaml:32: marks[0].name: no place "Mara.fase"; did you mean "Mara.face"?
scene.yaml:34: marks[1].name: this key is already written in line 33
scene.yaml:36: setups.tight.camera.lens.focal: must be more than 0, not "-85 mm"
scene.yaml:36: setups.tight.cast.Vistor: no figure "Vistor"; did you mean "Visitor"?
scene.yaml:37: setups.inside.camera.at: the camera stands inside a wall of house
scene.yaml:15: camera.at: the camera stands inside the figure Mara (in the setup moved)
scene.yaml:40: looks.colder.camera.at: a look is only arithmetic: of the camera it may change iso, lens.stop, shutter, balance, tint and latitude; put the rest in a setup
scene.yaml:40: looks.colder.camera.balance: must be at least 1000 K, not "300 K"
scene.yaml:40: looks.colder.fixtures.moon key.head: a look is only arithmetic: of a fixture it may change level, kelvin, mix, and gel, shift or scrim in through; put the rest in a setup
"""


def test_all_faults_at_once_each_once_sorted_by_line(tmp_path: Path) -> None:
    told = faults(tmp_path, BAD)
    assert sorted(told) == sorted(ALL_OF_IT.splitlines())
    lines = [int(fault.split(":")[1]) for fault in told]
    assert lines == sorted(lines)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("{}", ["scene.yaml:1: camera: is missing: such as camera: {lens: {focal: 35 mm}, at: [2, -7, 1.5], aim: house}"]),
        ("camera:\n", [
            "scene.yaml:1: camera.lens: is missing: say which lens, such as lens: {focal: 35 mm, stop: 2.8}",
            "scene.yaml:1: camera.at: is missing: say where the camera is, such as at: [2.2, -7.5, 1.5]",
            "scene.yaml:1: camera.aim: is missing: say what the camera looks at, such as aim: Mara.eyes",
        ]),
        ("camera: 3\n", ["scene.yaml:1: camera: a group of keys (format, lens, at, aim, roll, focus …) is needed, not 3"]),
        (f"{SMALL}version: 2\n", ["scene.yaml:2: version: this program reads version 1 of the script format, not 2"]),
        (f"{SMALL}title: 3\n", ["scene.yaml:2: title: text is needed, not 3; put it in quotes if it is meant as text"]),
        (f"{SMALL}set: {{ground: {{}}}}\n", ["scene.yaml:2: set: a list is needed, not a group of keys; start each item below it with a dash"]),
        (f"{SMALL}set:\n - box:\n   at: [9, 9]\n   size: [1, 1, 1]\n", [
            "scene.yaml:3: set[0].box.at: is missing",
            "scene.yaml:3: set[0].box.size: is missing",
            f"scene.yaml:4: set[0].at: no such piece, or a key that is not indented below its piece; there is {', '.join(PIECES)}",
            f"scene.yaml:5: set[0].size: no such piece, or a key that is not indented below its piece; there is {', '.join(PIECES)}",
        ]),
        (f"{SMALL}set:\n - {{ground: , street: {{along: [[0, 0], [1, 0]]}}}}\n", ["scene.yaml:3: set[0]: one item of the set holds ground and street; start each with its own dash"]),
        (f"{SMALL}setups: {{main: {{}}}}\n", ['scene.yaml:2: setups.main: "main" names the script\'s own camera and levels; choose another name']),
        (f"{SMALL}setups: {{a/b: {{}}}}\n", ['scene.yaml:2: setups.a/b: "a/b" cannot name a setup: it will name a folder']),
        (f"{SMALL}setups: {{a: {{set: []}}}}\n", ["scene.yaml:2: setups.a.set: a setup changes camera, haze, cast and fixtures only"]),
        (f"{SMALL}setups: {{a: 3}}\n", ["scene.yaml:2: setups.a: a setup is a group of keys, such as {camera: {…}}"]),
        (f"{SMALL}looks: {{a: {{cast: {{}}}}}}\n", ["scene.yaml:2: looks.a.cast: a look is only arithmetic: it changes camera and fixtures; put the rest in a setup"]),
        (f"{SMALL}fixtures: [{{name: m, sky: }}]\nlooks: {{a: {{fixtures: {{m: {{through: [{{frame: 8x8 ft}}]}}}}}}}}\n", [
            "scene.yaml:3: looks.a.fixtures.m.through[0].frame: a look is only arithmetic: of a fixture it may change level, kelvin, mix, and gel, shift or scrim in through; put the rest in a setup",
            "scene.yaml:3: looks.a.fixtures.m.through[0].cloth: is missing: an empty frame does nothing; say what is in it, such as cloth: half-grid",
        ]),
        (f"{SMALL}fixtures:\n - name: s\n   sky:\n    lux: 0.1\n    brightness: 21.5\n", ["scene.yaml:6: fixtures[0].sky.brightness: a sky is given by its lux or by its brightness, not by both"]),
        (f"{SMALL}fixtures:\n - {{name: s, sky: {{lux: 0.1}}}}\nsetups: {{a: {{fixtures: {{s: {{sky: {{brightness: 20}}}}}}}}}}\n", [
            "scene.yaml:4: setups.a.fixtures.s.sky.brightness: a sky is given by its lux or by its brightness, not by both",
        ]),
        (f"{SMALL}fixtures:\n - name: s\n   sky:\n    brightness: 30\n    horizon: 9 stops\n    glow:\n      width: 200 deg\n    star: yes\n", [
            "scene.yaml:5: fixtures[0].sky.brightness: must be at most 23 magnitudes to the square arc second, not 30",
            "scene.yaml:6: fixtures[0].sky.horizon: must be at most 5 stops, not \"9 stops\"",
            "scene.yaml:7: fixtures[0].sky.glow.azimuth: is missing: say where the town lies, in degrees clockwise from north",
            "scene.yaml:8: fixtures[0].sky.glow.width: must be at most 120 deg, not \"200 deg\"",
            "scene.yaml:9: fixtures[0].sky.star: no such key; did you mean \"stars\"?",
        ]),
        (f"{SMALL}fixtures: [{{name: m, sky: }}]\nsetups: {{a: {{fixtures: {{m: off}}}}}}\n", ['scene.yaml:3: setups.a.fixtures.m: a group of keys is needed, such as {level: 60 %}, not "off"']),
        (f"{SMALL}fixtures: [{{name: m, sky: }}]\nsetups: {{a: {{fixtures: {{m: {{name: n}}}}}}}}\n", ["scene.yaml:3: setups.a.fixtures.m.name: a setup cannot change a name"]),
    ],
)  # fmt: skip
def test_what_the_reader_is_told(tmp_path: Path, text: str, told: list[str]) -> None:
    assert faults(tmp_path, text) == told


def test_a_fault_of_the_script_is_not_told_again_for_each_setup(tmp_path: Path) -> None:
    text = f"{SMALL}cast: [{{name: A, at: [0, 0], facing: nobody}}]\nsetups: {{a: {{}}, b: {{camera: {{iso: 400}}}}}}\nlooks: {{c: {{}}}}\n"
    assert faults(tmp_path, text) == ['scene.yaml:2: cast[0].facing: no place "nobody"; there is A']


def test_a_setup_mends_nothing_silently(tmp_path: Path) -> None:
    text = SMALL.replace("35 mm", "-35 mm") + "setups: {a: {camera: {lens: {focal: 50}}}}\n"
    assert faults(tmp_path, text, setup="a") == [
        'scene.yaml:1: camera.lens.focal: must be more than 0, not "-35 mm"'
    ]


def test_unnamed_pieces_are_numbered(tmp_path: Path) -> None:
    text = f"{SMALL}set:\n - box: {{at: [9, 9], size: [1, 1, 1]}}\n - box: {{at: [9, 9], size: [1, 1, 1]}}\n - box: {{name: box 3, at: [9, 9], size: [1, 1, 1]}}\n - box: {{at: [9, 9], size: [1, 1, 1]}}\n - trees: {{at: [[20, 20]]}}\n"
    assert [name for name, _ in scene(tmp_path, text).set] == ["box", "box 2", "box 3", "box 4", "trees"]


def test_what_refers_to_a_faulty_part_is_not_called_unknown(tmp_path: Path) -> None:
    text = "set: [{house: {name: house, at: [0, 9], size: [9]}}]\nfixtures: [{name: b, practical: {kind: bulb, at: house.porch.lamp}}]\n"
    assert [fault.split(":")[0] for fault in found(tmp_path, text)] == ["set[0].house.size"]


def test_keys_without_values_take_every_default(tmp_path: Path) -> None:
    text = f"{SMALL}set:\n - ground:\n - house: {{at: [0, 9], size: 9x6 m, porch: }}\nfixtures:\n - {{name: glow, sky: }}\nmarks:\nlooks:\n"
    bare = scene(tmp_path, text)
    assert bare.set[1][1].porch.depth == 2.2
    assert bare.fixtures[0].sky is not None
    assert bare.title == "scene"
