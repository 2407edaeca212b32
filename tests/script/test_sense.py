"""Every check of sense, by the sentence that it answers with."""

# ruff: noqa: E501 - sentences and scripts are written whole
from __future__ import annotations

from pathlib import Path

import pytest

from preview.script.fields import Model
from preview.script.models.cast import Figure
from preview.script.models.pieces import PIECES
from preview.script.models.pieces.buildings import Porch, Roof
from preview.script.models.pieces.ground import PATH_MATERIALS
from preview.script.models.pieces.growth import Hedge
from preview.script.models.pieces.things import Fence
from preview.script.sense_of_set import MATERIALS
from preview.trade import catalogue
from tests.script.scenes import SMALL, faults, found, scene


def house(more: str) -> str:
    return f"set: [{{house: {{name: house, at: [0, 9], size: [9, 6], {more}}}}}]\n"


def head(more: str) -> str:
    return f"fixtures: [{{name: key, at: [1, 2, 3], aim: [0, 0, 0], {more}}}]\n"


WHICH_WAY = "the field is where the light falls to 10 %, the beam where it falls to 50 %"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        # Openings and the rest of a house.
        (house("windows: [{from_left: 1, size: [1, 2]}]"), "set[0].house.windows[0]: the window reaches 2.9 m above the floor, too high for walls of 2.8 m"),
        (house("doors: [{from_left: 1, size: [1, 2.9]}]"), "set[0].house.doors[0]: the door reaches 2.9 m above the floor, too high for walls of 2.8 m"),
        (house("windows: [{from_left: 8.5, size: [1, 1]}]"), "set[0].house.windows[0]: the window ends 9.5 m from the left of a wall that is 9 m long"),
        (house("windows: [{wall: left, from_left: 5.5, size: [1, 1]}]"), "set[0].house.windows[0]: the window ends 6.5 m from the left of a wall that is 6 m long"),
        (house("windows: [{from_left: 0.1, size: [1, 1]}]"), "set[0].house.windows[0]: the window cuts the corner of the house: it must lie 0.18 to 8.82 m from the left of its wall"),
        (house("doors: [{from_left: 2}], windows: [{from_left: 2.5, size: [1, 1]}]"), "set[0].house.windows[0]: the window overlaps doors[0]"),
        (house("porch: {width: 10}"), "set[0].house.porch.width: the porch is 10 m wide, wider than the front (9 m)"),
        (house("porch: {depth: 0.3}"), "set[0].house.porch.depth: a porch 0.3 m deep holds nobody; 0.5 m is the least"),
        (house("porch: {width: 2, steps_width: 3}"), "set[0].house.porch.steps_width: the steps are 3 m wide, wider than the porch (2 m)"),
        (house("porch: {width: 2, steps_from_left: 1}"), "set[0].house.porch.steps_from_left: the steps end 2.4 m from the left of a porch that is 2 m wide"),
        (house("roof: {pitch: 2 deg}"), "set[0].house.roof.pitch: a gable roof of 2 deg is next to flat; write shape: flat"),
        (house("roof: {pitch: 60 deg, overhang: 1.5}"), "set[0].house.roof.overhang: the eaves would hang 0.7 m above the ground, over the windows; make the overhang or the pitch smaller"),
        (house("thickness: 1").replace("[9, 6]", "[9, 2.2]"), "set[0].house.size: walls 1 m thick leave no room inside"),
        (house("floor: 0.3").replace("[9, 6]", "[300, 6]"), "set[0].house.size: no house here is larger than 200 m"),
        (house("walls: 1 m"), "set[0].house.walls: must be at least 1.8 m, not \"1 m\""),
        # Water.
        ("set: [{ground: {wet: 1.2}}]\n", "set[0].ground.wet: must be at most 1, not 1.2"),
        ("set: [{street: {along: [[0, 0], [9, 0]], wet: -0.1}}]\n", "set[0].street.wet: must be at least 0, not -0.1"),
        ("set: [{wall: {along: [[9, 9], [12, 9]], wet: 2}}]\n", "set[0].wall.wet: must be at most 1, not 2"),
        ("set: [{box: {at: [0, 9], size: [1, 1, 1], wet: very}}]\n", "set[0].box.wet: \"very\" is not a number; write digits, such as 2.8"),
        # Paths, trees, fences.
        ("set: [{wall: {along: [[9, 9], [9, 9], [12, 9]]}}]\n", "set[0].wall.along[1]: the path stands still here: this point is the one before it again"),
        ("set: [{hedge: {along: [[9, 9], [9, 3 km]]}}]\n", "set[0].hedge.along: the path is 2991 m long; 2000 m is the most"),
        ("set: [{trees: {height: [3, 4]}}]\n", "set[0].trees: trees stand at points (at), in rows (rows, from), along a path (along, count) or on a piece of land (in, count): none of them is given"),
        ("set: [{trees: {at: [[9, 9]], rows: [2, 2]}}]\n", "set[0].trees: trees stand at points (at), in rows (rows, from), along a path (along, count) or on a piece of land (in, count): at and rows are given"),
        ("set: [{trees: {at: [[9, 9]], from: [1, 1]}}]\n", "set[0].trees.from: from goes with rows"),
        ("set: [{trees: {at: [[9, 9]], count: 3}}]\n", "set[0].trees.count: count goes with along or in"),
        ("set: [{trees: {in: [[0, 9], [9, 9], [18, 9]]}}]\n", "set[0].trees.in: these corners enclose no land"),
        ("set: [{trees: {in: [[9, 9], [10, 9], [10, 10]], count: 40}}]\n", "set[0].trees.count: 40 trees have no room on 0.5 m2"),
        ("set: [{shrubs: {at: [[9, 9]], width: 2}}]\n", "set[0].shrubs.width: width goes with along"),
        ("set: [{shrubs: {in: [[0, 9], [90, 9], [90, 99]], spacing: 10 cm}}]\n", "set[0].shrubs: 222750 trees are asked for; a piece has 2000 at the most"),
        ("set: [{reeds: }]\n", "set[0].reeds: say where reeds grow: on a piece of land (in) or along a path (along)"),
        ("set: [{grass: {in: [[0, 9], [9, 9], [9, 18]], along: [[0, 9], [9, 9]]}}]\n", "set[0].grass: it grows on a piece of land (in) or along a path (along): both are given"),
        ("set: [{grass: {width: 2}}]\n", "set[0].grass.width: width goes with along"),
        ("set: [{grass: {height: [50 cm, 6]}}]\n", "set[0].grass.height: nothing here grows 6 m high; 5 m is the most"),
        ("set: [{trees: {at: []}}]\n", "set[0].trees.at: no points are given"),
        ("set: [{trees: {at: [[9, 9]], height: [4, 3]}}]\n", "set[0].trees.height: the lowest comes first: [3, 4]"),
        ("set: [{trees: {at: [[9, 9]], height: [4, 70]}}]\n", "set[0].trees.height: no tree here is 70 m high; 60 m is the most"),
        ("set: [{trees: {rows: [100, 100], from: [9, 9]}}]\n", "set[0].trees: 10000 trees are asked for; a piece has 2000 at the most"),
        ("set: [{trees: {along: [[0, 9], [90 km, 9]], spacing: 1 mm}}]\n", "set[0].trees: 90000001 trees are asked for; a piece has 2000 at the most"),
        ("set: [{trees: {rows: [40, 40], from: [9, 9]}}, {trees: {rows: [40, 40], from: [9, 9]}}]\n", "set[1].trees: with these the set has 3200 trees; it may have 2000 in all"),
        ("set: [{fence: {along: [[9, 9], [12, 9]], gates: [{from_start: 2.5}]}}]\n", "set[0].fence.gates[0]: the gate ends 3.6 m from the start of a fence that is 3 m long"),
        ("set: [{fence: {along: [[9, 9], [12, 9], [12, 12]], gates: [{from_start: 2.5}]}}]\n", "set[0].fence.gates[0]: the gate runs round a corner of the fence"),
        ("set: [{fence: {along: [[9, 9], [19, 9]], gates: [{from_start: 2}, {from_start: 3}]}}]\n", "set[0].fence.gates[1]: the gate overlaps another"),
        # Names.
        ("set: [{ground: {material: gras}}]\n", "set[0].ground.material: no material \"gras\"; did you mean \"grass\"?"),
        ("cast: [{name: A, at: [0, 0], facing: 0, top: red clot}]\n", "cast[0].top: no material \"red clot\"; did you mean \"red cloth\"?"),
        ("cast: [{name: A, at: [0, 0], facing: 0}, {name: a, at: [1, 0], facing: 0}]\n", "cast[1].name: the name \"a\" is already taken in line 1"),
        ("cast: [{name: A, at: [0, 0], facing: 0}]\nfixtures: [{name: A, sky: }]\n", "fixtures[0].name: the name \"A\" is already taken in line 1"),
        ("cast: [{name: A, at: [0, 0], facing: 0}]\nmarks: [{name: A.face}, {name: A.face}]\n", "marks[1].name: the mark \"A.face\" is already in line 2"),
        ("cast: [{name: A, at: [0, 0], facing: 0}]\nmarks: [{name: a, at: [1, 1]}]\n", "marks[0].name: a mark with a place of its own cannot be named \"a\", the name in line 1"),
        ("marks: [{name: there}]\n", "marks[0].name: no place \"there\""),
        ("cast: [{name: Ada, at: [0, 0], facing: 0}]\nmarks: [{name: ada.fase}]\n", "marks[0].name: no place \"ada.fase\"; did you mean \"Ada.face\"?"),
        (house("floor: 0.3") + "marks: [{name: house.porch.lamp}]\n", "marks[0].name: no place \"house.porch.lamp\"; house has house.front, house.back, house.left, house.right, house.room, house.roof"),
        ("fixtures: [{name: moon, moon: {azimuth: 90, elevation: 30}}]\nmarks: [{name: m, at: moon}]\n", "marks[0].at: \"moon\" is the moon, which has no place"),
        ("fixtures: [{name: b, practical: {kind: bulb, at: {of: b, offset: [0, 0, 1]}}}]\n", "fixtures[0].practical.at: \"b\" hangs on itself: its place is told by its own place"),
        # Facing and aiming.
        ("cast: [{name: A, at: [0, 0], facing: A.face}]\n", "cast[0].facing: a figure cannot face its own place"),
        ("cast: [{name: A, at: [0, 0], facing: [0, 0, 2]}]\n", "cast[0].facing: a figure cannot face its own place"),
        ("set: [{lamp_post: {name: post, at: [9, 9], facing: post}}]\n", "set[0].lamp_post.facing: a lamp post cannot face its own place"),
        (head("head: hmi-fresnel-2500").replace("aim: [0, 0, 0]", "aim: {of: key}"), "fixtures[0].aim: the head is aimed at its own place"),
        ("set: [ground: ]\n" + head("head: hmi-fresnel-2500").replace("3]", "-3]"), "fixtures[0].at: the head is below ground (-3 m, where the ground is at 0 m); say how high it is"),
        # Fixtures.
        ("fixtures: [{name: a}]\n", "fixtures[0]: a fixture is exactly one of head, moon, sky or practical; none is given"),
        ("fixtures: [{name: a, sky: , moon: {azimuth: 1, elevation: 20}}]\n", "fixtures[0]: a fixture is exactly one of head, moon, sky or practical; moon and sky are given"),
        ("fixtures: [{name: a, head: hmi-fresnel-2500, aim: [0, 0]}]\n", "fixtures[0].at: is missing: a head needs where it stands: at: [-12, -1, 4.8]"),
        ("fixtures: [{name: a, head: hmi-fresnel-2500, at: [0, 0]}]\n", "fixtures[0].aim: is missing: a head needs what it is aimed at: aim: Mara"),
        ("fixtures: [{name: a, sky: , aim: [0, 0]}]\n", "fixtures[0].aim: aim goes with a head, not with a sky"),
        ("fixtures: [{name: a, practical: {kind: bulb, at: [0, 9, 1]}, at: [0, 0]}]\n", "fixtures[0].at: at goes with a head, not with a practical; write its place under practical"),
        (head("head: hmi-frenel-2500"), "fixtures[0].head: no head \"hmi-frenel-2500\"; did you mean \"hmi-fresnel-2500\"?"),
        (head("head: {beam: 40}"), "fixtures[0].head: a head needs exactly one of candela, lumens or reading; none is given"),
        (head("head: {beam: 40, candela: 1, reading: {lux: 3, at: 4}}"), "fixtures[0].head: a head needs exactly one of candela, lumens or reading; candela and reading are given"),
        (head("head: {candela: 9}"), "fixtures[0].head.beam: is missing: a head of the shape beam needs its beam angle, such as beam: 40 deg"),
        (head("head: {candela: 9, shape: panel}"), "fixtures[0].head.size: is missing: a head of the shape panel needs its size, such as size: 1.2x0.3 m"),
        (head("head: {candela: 9, shape: ball}"), "fixtures[0].head.aperture: is missing: a head of the shape ball needs its diameter, such as aperture: 60 cm"),
        (head("head: {candela: 9, shape: ball, aperture: 1, beam: 40}"), "fixtures[0].head.beam: a head of the shape ball has no beam"),
        (head("head: {candela: 9, shape: panel, size: 4x4 ft, field: 40}"), "fixtures[0].head.field: a field angle needs a beam angle beside it"),
        (head("head: {candela: 9, beam: 40, field: 30}"), f"fixtures[0].head.field: the beam (40 deg) is wider than its field (30 deg): {WHICH_WAY}"),
        (head("head: {candela: 9, beam: 40, field: 40}"), "fixtures[0].head.field: the field (40 deg) must be wider than the beam (40 deg): it is where the light falls to 10 %, the beam where it falls to 50 %"),
        (head("head: {candela: 0, beam: 40}"), "fixtures[0].head.candela: must be more than 0, not 0"),
        ("fixtures: [{name: a, practical: {kind: window, at: [0, 9, 1]}}]\n", "fixtures[0].practical.at: a lit window is at a window of a house, such as house.window[0]"),
        ("fixtures: [{name: a, practical: {kind: bulb, at: [0, 9, 1], luminance: 4}}]\n", "fixtures[0].practical.luminance: luminance is for windows and fires; give a bulb its watts or lumens"),
        ("fixtures: [{name: a, practical: {kind: bulb, at: [0, 9, 1], facing: 4}}]\n", "fixtures[0].practical.facing: facing is the way a tube runs; a bulb has none"),
        ("fixtures: [{name: a, practical: {kind: tube, at: [0, 9, 1], size: 9}}]\n", "fixtures[0].practical.size: no tube is 9 m long or wide"),
        (house("windows: [{from_left: 1, size: [1, 1]}]") + "fixtures: [{name: a, practical: {kind: window, at: house.window, luminance: 4, lumens: 4}}]\n", "fixtures[0].practical: a window needs lumens or luminance, not both"),
        (house("windows: [{from_left: 1, size: [1, 1]}]") + "fixtures: [{name: a, practical: {kind: window, at: {of: house.window, offset: [1, 0, 0]}}}]\n", "fixtures[0].practical.at: a lit window fills its opening, so it takes no offset"),
        (head("head: hmi-fresnel-2500, level: 150 %"), "fixtures[0].level: a head gives no more than full: 150 % is 0.58 stops over; choose a stronger head or move it nearer"),
        (head("head: {candela: 900, beam: 40}, level: +2 stops"), "fixtures[0].level: a head gives no more than full: 400 % is 2 stops over; choose a stronger head or move it nearer"),
        ("fixtures: [{name: a, practical: {kind: bulb, at: [0, 9, 1]}, level: 200}]\n", "fixtures[0].level: a practical gives no more than full: 200 % is 1 stop over; give it more watts, lumens or luminance"),
        (head("head: hmi-fresnel-2500, through: [{}]"), "fixtures[0].through[0]: each item of through is exactly one of gel, shift, scrim, frame, bounce, box, flag, cucoloris, doors, snoot or cloth; none is given"),
        (head("head: hmi-fresnel-2500, through: [{gel: half-ctb, scrim: single}]"), "fixtures[0].through[0]: each item of through is exactly one of gel, shift, scrim, frame, bounce, box, flag, cucoloris, doors, snoot or cloth; gel and scrim are given"),
        (head("head: hmi-fresnel-2500, through: [{gel: haf-ctb}]"), "fixtures[0].through[0].gel: no gel \"haf-ctb\"; did you mean \"half-ctb\"?"),
        (head("head: hmi-fresnel-2500, through: [{frame: 8x8 ft}]"), "fixtures[0].through[0].cloth: is missing: an empty frame does nothing; say what is in it, such as cloth: half-grid"),
        (head("head: hmi-fresnel-2500, through: [{gel: half-ctb, away: 2}]"), "fixtures[0].through[0].away: away goes with frame, bounce, flag or cucoloris, such as {frame: 8x8 ft, cloth: half-grid, away: 2}; this is a gel"),
        (head("head: hmi-fresnel-2500, through: [{frame: 40x40 m, cloth: half-grid}]"), "fixtures[0].through[0].frame: no frame is 40 m wide"),
        ("fixtures: [{name: a, sky: , through: [{frame: 1x1 m, cloth: half-grid}]}]\n", "fixtures[0].through[0].frame: a frame stands before a head; nothing else has an axis to put it on"),
    ],
)  # fmt: skip
def test_what_makes_no_sense(tmp_path: Path, text: str, told: str) -> None:
    assert found(tmp_path, text) == [told]


def test_full_is_the_most_that_a_head_gives_in_any_setup_or_look(tmp_path: Path) -> None:
    over = "a head gives no more than full: 200 % is 1 stop over; choose a stronger head or move it nearer"
    text = (
        head("head: hmi-fresnel-2500, level: full")
        + SMALL
        + "setups:\n  tight: {fixtures: {key: {level: 200 %}}}\n"
        + "looks:\n  hot: {fixtures: {key: {level: +1 stop}}}\n  dim: {fixtures: {key: {level: -1 stop}}}\n"
    )
    assert faults(tmp_path, text) == [
        f"scene.yaml:4: setups.tight.fixtures.key.level: {over}",
        f"scene.yaml:6: looks.hot.fixtures.key.level: {over}",
    ]


def test_moon_and_sky_may_be_made_brighter_than_the_script_gives_them(tmp_path: Path) -> None:
    moon = "{name: m, moon: {azimuth: 1, elevation: 20}, level: +2 stops}"
    lit = scene(tmp_path, f"fixtures: [{moon}, {{name: s, sky: , level: 300 %}}]\n" + SMALL)
    assert [fixture.level for fixture in lit.fixtures] == [4.0, 3.0]


def camera(at: str, more: str = "aim: [50, 50, 1]") -> str:
    return f"camera: {{lens: {{focal: 35}}, at: {at}, {more}}}\n"


HOUSE = house(
    "thickness: 0.2, porch: {depth: 2}, doors: [{from_left: 4}], windows: [{from_left: 1, size: [1, 1]}]"
)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("set: [{box: {name: b, at: [0, 0], size: [2, 4, 3], turn: 90}}]\n" + camera("[1.9, 0, 1]"), "camera.at: the camera stands inside the box b"),
        ("set: [{wall: {name: w, along: [[0, 0], [3, 3]], thickness: 0.3}}]\n" + camera("[1.5, 1.6, 1]"), "camera.at: the camera stands inside the wall w"),
        ("set: [{hedge: {name: h, along: [[0, 0], [3, 0]]}}]\n" + camera("[1.5, 0.3, 1]"), "camera.at: the camera stands inside the hedge h"),
        ("set: [{fence: {name: f, along: [[0, 0], [4, 0]], gates: [{from_start: 2}]}}]\n" + camera("[1.5, 0, 1]"), "camera.at: the camera stands inside the fence f"),
        ("set: [{trees: {name: t, at: [[0, 0]], height: [10, 10]}}]\n" + camera("[0.25, 0, 1]"), "camera.at: the camera stands inside a trunk of t"),
        ("set: [{lamp_post: {name: p, at: [0, 0]}}]\n" + camera("[0.05, 0, 1]"), "camera.at: the camera stands inside the lamp post p"),
        ("cast: [{name: A, at: [0, 0], facing: 0}]\n" + camera("A.face"), "camera.at: the camera stands inside the figure A"),
        (HOUSE + camera("[3.9, 6.1, 2]"), "camera.at: the camera stands inside a wall of house"),
        (HOUSE + camera("[0, 9, 0.2]"), "camera.at: the camera stands inside the floor of house"),
        (HOUSE + camera("[0, 9, 4]"), "camera.at: the camera stands inside the roof of house"),
        (HOUSE + camera("[0, 5, 0.2]"), "camera.at: the camera stands inside the porch floor of house"),
        ("set: [ground: ]\n" + camera("[0, 0, -1]"), "camera.at: the camera is below ground (-1 m, where the ground is at 0 m); say how high it is"),
        ("set: [ground: ]\n" + camera("[0, 0]"), "camera.at: the camera is at the height of ground (0 m, where the ground is at 0 m); say how high it is"),
        (camera("[0, 0, 1]", "aim: [0, 0, 1]"), "camera.aim: the camera is aimed at its own place"),
        (camera("[0, 0, 1]", "aim: [0, 3, 1], focus: [0, 0, 1]"), "camera.focus: the camera is focused on its own place"),
        (camera("[0, 0, 1]", "aim: [0, 3, 1], focus: 0"), "camera.focus: the focus must be more than 0 m away, not 0 m"),
        (camera("[0, 0, 1]", "aim: [0, 3, 1], format: super35"), "camera.format: no format \"super35\"; did you mean"),
    ],
)  # fmt: skip
def test_where_no_camera_can_be(tmp_path: Path, text: str, told: str) -> None:
    (fault,) = faults(tmp_path, text)
    assert fault.split(": ", 1)[1].startswith(told)


@pytest.mark.parametrize(
    "text",
    [
        # The door is 4 to 4.9 m from the left (west) of a front that begins at x = -4.5 and faces south at y = 6.
        HOUSE + camera("[0, 6.1, 1.5]"),
        # The window is 1 to 2 m from the left, 0.45 + 0.9 to 2.35 m above the ground.
        HOUSE + camera("[-3, 6.1, 2]"),
        HOUSE + camera("[0, 9, 1.5]"),
        HOUSE + camera("[0, 5, 1.5]"),
        HOUSE + camera("[0, 9, 30]"),
        "set: [{fence: {name: f, along: [[0, 0], [3, 0]], gates: [{from_start: 1}]}}]\n"
        + camera("[1.5, 0, 1]"),
        "set: [{box: {name: b, at: [0, 0], size: [2, 4, 3], turn: 90}}]\n" + camera("[0, 1.9, 1]"),
        "set: [{box: {name: b, at: [0, 0], size: [2, 4, 3]}}]\n" + camera("[0, 0, 3.1]"),
        "set: [{ground: {size: [4, 4]}}]\n" + camera("[9, 0, -1]"),
        camera("[0, 0, -1]"),
        "set: []\n" + camera("[0, 0, 1]"),
    ],
)
def test_where_a_camera_can_be(tmp_path: Path, text: str) -> None:
    assert scene(tmp_path, text).camera.at


def test_more_fixtures_than_there_may_be(tmp_path: Path) -> None:
    text = SMALL + "fixtures:\n" + "".join(f"  - {{name: f{n}, sky: }}\n" for n in range(65))
    assert faults(tmp_path, text) == ["scene.yaml:2: fixtures: 65 are more than the 64 that a scene may have"]


def test_a_room_of_openings_is_bounded(tmp_path: Path) -> None:
    windows = ", ".join(["{from_left: 1, size: [1, 1]}"] * 101)
    assert found(tmp_path, house(f"windows: [{windows}]")) == [
        "set[0].house.windows: 101 are more than the 100 that fit here"
    ]


def test_default_materials_are_in_the_catalogue() -> None:
    known = catalogue.names("materials")
    models: list[type[Model]] = [*PIECES.values(), Figure, Roof, Porch, Fence, Hedge]
    defaults = [
        field.default for model in models for name, field in model.model_fields.items() if name in MATERIALS
    ]
    assert len(defaults) > 10
    assert set(defaults) - {None} | set(PATH_MATERIALS.values()) <= set(known)


def test_wetness_out_of_range_is_told_with_its_line(tmp_path: Path) -> None:
    text = "set:\n  - ground:\n      material: asphalt\n      wet: 1.5\n" + SMALL
    assert faults(tmp_path, text) == ["scene.yaml:4: set[0].ground.wet: must be at most 1, not 1.5"]
    assert scene(tmp_path, text.replace("1.5\n", "0.5\n", 1)).set[0][1].wet == 0.5
