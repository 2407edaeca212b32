"""Lenses compared: where the camera goes, what comes into shot, frame lines, words; against geometry reckoned by hand."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from itertools import combinations, pairwise
from math import tan
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from preview import cli
from preview.camera.framing import view_of
from preview.commands import prepare as preparing
from preview.commands.coverage import rig_units
from preview.commands.lenses.command import lenses
from preview.commands.lenses.figures import Practical
from preview.commands.lenses.ladder import LensOptions, ladder, read_focals, read_formats
from preview.commands.lenses.moves import crowded
from preview.commands.lenses.names import called, fraction, span
from preview.commands.lenses.tables import round_iso
from preview.commands.lenses.trials import Trial, trials_of
from preview.commands.lenses.words import lamps_words
from preview.commands.prepare import prepare, same_set
from preview.faults import UserError
from preview.script.read import read_script
from preview.script.scene import Scene
from preview.sheets.answer.blocks import Answer, Cell, Drawing, Pictures, Table, Words
from preview.sheets.answer.sheet import answer_sheets
from preview.sheets.data import json_text
from preview.sheets.drawing import COLUMN
from preview.sheets.nested_frames import FrameLine, nested_frames, place_tabs, tab_size
from preview.trace.store import Scratch

SCRIPT: dict[str, Any] = {
    "title": "A yard",
    "set": [
        {"ground": {"material": "asphalt", "size": [400, 400]}},
        {"house": {"name": "house", "at": [0, 16], "size": [9, 6]}},
        {"house": {"name": "barn", "at": [0, -24], "size": [12, 8]}},
        {"lamp_post": {"name": "lamp", "at": [-2.6, 9], "height": 4, "facing": 180}},
    ],
    "cast": [{"name": "Ada", "at": [0, 0], "facing": 180, "height": 1.7}],
    "camera": {
        "format": "super35-3perf",
        "lens": {"focal": "50 mm", "stop": 2.8},
        "at": [0, -8, 1.6],
        "aim": "Ada.chest",
        "focus": "Ada.eyes",
        "iso": 800,
    },
    "fixtures": [
        {
            "name": "side",
            "head": "hmi-fresnel-1200",
            "at": [4.2, 1, 3.5],
            "aim": "Ada.chest",
            "level": "40 %",
        },
        {"name": "post", "practical": {"kind": "street_lamp", "at": "lamp.lamp"}},
    ],
}


def scene_of(folder: Path, **changes: Any) -> Scene:
    """The yard with other parts."""
    path = folder / "yard.yaml"
    path.write_text(yaml.safe_dump(SCRIPT | changes), encoding="utf-8")
    return read_script(path).scene()


def camera_with(**changes: Any) -> dict[str, Any]:
    return SCRIPT["camera"] | changes


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Scene:
    return scene_of(tmp_path_factory.mktemp("yard"))


@pytest.fixture(scope="module")
def from_one_place(yard: Scene) -> Answer:
    """A wide, the script's and a tight lens from one place."""
    return lenses(yard, LensOptions(focal_mm=(18.0, 50.0, 100.0), across=160), store=Scratch())


@pytest.fixture(scope="module")
def held(yard: Scene) -> Answer:
    """Ada at one size: the longest lens would stand in the barn."""
    return lenses(yard, LensOptions(focal_mm=(25.0, 50.0, 150.0), hold="Ada", across=160), store=Scratch())


def cells_of(answer: Answer) -> tuple[Cell, ...]:
    return next(block.cells for block in answer.blocks if isinstance(block, Pictures))


def table_of(answer: Answer, title: str) -> Table:
    return next(b for b in answer.blocks if isinstance(b, Table) and b.title.startswith(title))


def words_of(answer: Answer) -> list[str]:
    return [sentence for block in answer.blocks if isinstance(block, Words) for sentence in block.sentences]


def tried_with(scene: Scene, options: LensOptions) -> Trial:
    """The trial of the one lens that is asked for, beside the script's own."""
    assert options.focal_mm is not None
    (found,) = (t for t in trials_of(scene, options).each if t.camera.lens.focal == options.focal_mm[0])
    return found


def figure_of(cell: Cell, name: str) -> str:
    return dict(cell.figures)[name]


@pytest.mark.parametrize(
    ("text", "focals"),
    [
        ("24,35,50,85", (24, 35, 50, 85)),
        ("85, 35 mm,2.4 cm", (24, 35, 85)),
        ("35,35", (35,)),
        ("24..70", (24, 35, 50, 70)),
        ("100..105", (100, 105)),
    ],
)
def test_focal_lengths_as_they_are_asked_for(text, focals):
    assert read_focals(text) == focals


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "0",
            "--focal: no lens has 0 mm; from 2 to 3000 mm are taken; write --focal 24,35,50,85, or a range as 24..70",
        ),
        (
            "24,",
            '--focal: a focal length is missing in "24,"; write --focal 24,35,50,85, or a range as 24..70',
        ),
        ("24-70", '--focal: "24-70" is not a length; write --focal 24,35,50,85, or a range as 24..70'),
        (
            "70..24",
            '--focal: the range "70..24" does not rise; write --focal 24,35,50,85, or a range as 24..70',
        ),
        (
            ",".join(map(str, range(20, 33))),
            "--focal: 13 lenses are more than the 12 that are compared at once",
        ),
    ],
)
def test_focal_lengths_that_are_none_are_told_in_a_sentence(text, message):
    with pytest.raises(UserError) as fault:
        read_focals(text)
    assert str(fault.value) == message


def test_a_format_that_is_not_known_is_answered_with_one_near_it():
    assert read_formats("full-frame, super16") == ("full-frame", "super16")
    with pytest.raises(UserError, match=re.escape('no format "super-16"; did you mean "super16"?')):
        read_formats("super-16")


@given(st.floats(8, 800))
def test_the_usual_ladder_has_the_own_lens_with_one_wider_and_two_tighter(own):
    found = ladder(own)
    assert own in found
    assert len(found) == 4
    assert found[0] < own < found[2] < found[3]
    assert all(1.2 < tight / wide < 2.2 for wide, tight in pairwise(found))


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (LensOptions(hold="Adda"), 'no figure "Adda"; did you mean "Ada"?'),
        (LensOptions(match=True), "--match: it gives the lens of the same field"),
        (LensOptions(formats=("full-frame", "super16"), focal_mm=(24.0, 35.0)), "give one --focal"),
        (LensOptions(formats=("full-frame", "super16"), match=True, hold="Ada"), "give one of them"),
    ],
)
def test_options_that_do_not_go_together(yard, options, words):
    with pytest.raises(UserError) as fault:
        trials_of(yard, options)
    assert words in str(fault.value)


def test_a_figure_behind_the_camera_or_out_of_frame_cannot_be_held(tmp_path):
    behind = scene_of(tmp_path, camera=camera_with(at=[0, 5, 1.6], aim=[0, 9, 1.6], focus=4))
    with pytest.raises(UserError, match="Ada is behind the camera of main"):
        trials_of(behind, LensOptions(hold="Ada"))
    beside = scene_of(tmp_path, camera=camera_with(aim=[9, 0, 1.6], focus=8))
    with pytest.raises(UserError, match="Ada is out of the frame of main"):
        trials_of(beside, LensOptions(hold="Ada"))


@pytest.mark.parametrize("slope", [None, {"rise": "12 %", "towards": 40}])
def test_a_held_figure_keeps_size_and_place_and_the_camera_its_height(tmp_path, slope):
    """The thin lens: at one size distances are as focal lengths are; the rest is the plan and the lie of the land."""
    ground = {"material": "asphalt", "size": [400, 400]} | ({"slope": slope} if slope else {})
    given_camera = camera_with(
        at={"at": [1.5, -8], "above": 1.6}, aim={"of": "Ada.chest", "offset": [0.6, 0, 0.3]}, roll=3
    )
    scene = scene_of(tmp_path, set=[{"ground": ground}], fixtures=[], camera=given_camera)
    eyes = np.array([scene.anchors["Ada.eyes"].position])
    own = view_of(scene)
    (uv,), (depth,) = own.project(eyes)
    for trial in trials_of(scene, LensOptions(focal_mm=(16.0, 25.0, 50.0, 85.0, 200.0), hold="Ada")).each:
        assert trial.refused is None
        view = view_of(trial.scene)
        (place,), (distance,) = view.project(eyes)
        assert place == pytest.approx(uv, abs=1e-6)
        assert distance / depth == pytest.approx(trial.camera.lens.focal / 50, rel=1e-6)
        x, y, z = view.position
        assert z - scene.terrain.footing(x, y) == pytest.approx(1.6, abs=1e-6)
        # On the line of the plan, on the same side.
        line, own_line = (view.position - eyes[0])[:2], (own.position - eyes[0])[:2]
        assert line / np.linalg.norm(line) == pytest.approx(own_line / np.linalg.norm(own_line), abs=1e-6)
        assert np.linalg.norm(own_line) - np.linalg.norm(line) == pytest.approx(trial.nearer_m, abs=1e-5)


def test_a_distance_in_focus_goes_with_the_held_figure(tmp_path):
    scene = scene_of(tmp_path, camera=camera_with(focus=8.5))
    for trial in trials_of(scene, LensOptions(focal_mm=(25.0, 50.0, 75.0), hold="Ada")).each:
        _, depth = view_of(trial.scene).project(np.array([scene.anchors["Ada.eyes"].position]))
        own = 8.5 - float(view_of(scene).project(np.array([scene.anchors["Ada.eyes"].position]))[1][0])
        assert trial.camera.focus - depth[0] == pytest.approx(own, abs=1e-5)


BLOCK = {"box": {"name": "block", "at": [0, -15], "size": [3, 3, 3]}}
LAKE = {"ground": {"name": "lake", "material": "water", "at": [0, -34], "size": [80, 50], "height": -0.5}}
ELM = {"trees": {"name": "elm", "kind": "broadleaf", "at": [[0, -15]], "height": [9, 9]}}


@pytest.mark.parametrize(
    ("pieces", "off", "focal", "refused"),
    [
        ([BLOCK], 5, 150.0, "The camera would stand inside the box block."),
        ([LAKE], 5, 200.0, "The camera would stand in the water of lake."),
        ([ELM], 5, 150.0, "The camera would stand inside a trunk of elm."),
        ([], 3, 2.0, "The camera would stand inside the figure Ada."),
    ],
)
def test_a_camera_that_cannot_stand_is_refused_in_a_sentence(tmp_path, pieces, off, focal, refused):
    land = {"ground": {"material": "asphalt", "at": [0, 35], "size": [400, 100]}}
    camera = camera_with(aim={"of": "Ada.eyes"}, at=[0, -off, 1.591])
    scene = scene_of(tmp_path, set=[land, *pieces], fixtures=[], camera=camera)
    assert tried_with(scene, LensOptions(focal_mm=(focal,), hold="Ada")).refused == refused


def test_leaves_at_the_lens_leave_no_room(tmp_path):
    hedge = {"box": {"name": "crate", "at": [0, -7.4], "size": [2, 1, 2.4]}}
    scene = scene_of(tmp_path, set=[hedge], fixtures=[], camera=camera_with(at=[0, -12, 1.6]))
    ready = prepare(scene)
    near = crowded(np.array([0.0, -8.0, 1.6]), ready.world, ready.stage.solid.rays)
    assert near == "There is no room for the camera: crate is 10 cm from its lens."
    assert crowded(np.array([0.0, -9.0, 1.6]), ready.world, ready.stage.solid.rays) is None


def test_formats_with_one_lens_and_matched(yard):
    """OP-10 and OP-11's formats: field as the widths, or the same field by lenses as the widths."""
    one = trials_of(yard, LensOptions(formats=("super16", "full-frame", "super35-3perf")))
    assert [trial.name for trial in one.each] == ["full-frame", "super35-3perf", "super16"]
    widths = [view_of(trial.scene).tan_half_width for trial in one.each]
    assert widths == pytest.approx([36.0 / 100, 24.89 / 100, 12.52 / 100])
    matched = trials_of(yard, LensOptions(formats=("super16", "full-frame", "super35-3perf"), match=True))
    assert [view_of(t.scene).tan_half_width for t in matched.each] == pytest.approx([24.89 / 100] * 3)
    assert [round(trial.camera.lens.focal, 1) for trial in matched.each] == [72.3, 50.0, 25.2]
    assert [trial.own for trial in matched.each] == [False, True, False]


def test_on_a_larger_format_the_camera_goes_nearer_as_the_heights_are(yard):
    eyes = np.array([yard.anchors["Ada.eyes"].position])
    found = trials_of(yard, LensOptions(formats=("full-frame", "super35-3perf"), hold="Ada"))
    (large,), (own,) = (view_of(trial.scene).project(eyes)[1] for trial in found.each)
    assert large / own == pytest.approx(13.87 / 24.0, rel=1e-6)


def test_a_script_circle_of_confusion_and_circle_of_the_lens_go_with_the_format(tmp_path):
    lens = {"focal": 50, "image_circle": 31.1}
    scene = scene_of(tmp_path, camera=camera_with(circle_of_confusion="0.025 mm", lens=lens))
    large, own = trials_of(scene, LensOptions(formats=("full-frame", "super35-3perf"))).each
    assert large.camera.circle_of_confusion == pytest.approx(0.025 * 43.267 / 28.494, rel=1e-3)
    assert large.camera.lens.image_circle == 31.1
    assert own.camera.circle_of_confusion == 0.025
    other = tried_with(scene, LensOptions(focal_mm=(85.0,)))
    assert other.camera.lens.image_circle is None


def test_what_is_in_shot_is_what_geometry_says(from_one_place, yard):
    """The stand of the side head: its foot at x 4.2, y 1, so 9 m off, is in frame while tan(half) x 9 > about 4.2 m."""
    wide, own, tight = from_one_place.data["lenses"]
    seen = {
        row["name"]: {s["name"]: s["status"] for s in row["coverage"]["items"]}["side.stand"]
        for row in (wide, own, tight)
    }
    assert 0.5 * 24.89 / 18 * 9 > 4.9 > 3.5 > 0.5 * 24.89 / 50 * 9
    assert seen == {"18 mm": "in shot", "50 mm": "clear", "100 mm": "clear"}
    told = words_of(from_one_place)
    assert any(s.startswith('At 18 mm the head and stand of "side" are in shot; to clear: ') for s in told)
    assert "From 50 mm up nothing of the rig and no edge of the set is in shot." in told
    rig = table_of(from_one_place, "What must be moved out")
    assert rig.heads == ("", "18 mm", "50 mm", "100 mm")
    row = next(row for row in rig.rows if row[0] == 'the stand of "side"')
    # Its nearest foot stands at about x 3.7, and the frame's side at 0.69 x 9 = 6.2.
    assert row[1] == "move 2.6 m camera right"
    assert row[2].startswith("clear by ")
    assert figure_of(cells_of(from_one_place)[0], "in shot").startswith("the ")


def test_figures_of_each_lens_are_those_of_the_formulas(from_one_place, yard):
    """OP-10's formula for angles, OP-22's for the disc, OP-16's for depth; field by similar triangles."""
    view = view_of(yard)
    distance = float(view.project(np.array([yard.anchors["Ada.eyes"].position]))[1][0])
    for row, focal in zip(from_one_place.data["lenses"], (18, 50, 100), strict=True):
        angles = row["coverage"]["frame_angles"]
        assert tan(np.radians(angles["horizontal_deg"] / 2)) == pytest.approx(24.89 / 2 / focal, rel=1e-6)
        behind = row["background"]
        assert behind["at"] == "house"
        d = behind["distance_m"]
        assert d == pytest.approx(21.0, abs=4.0)
        disc = focal / 2.8 * (focal / 1000 / (distance - focal / 1000)) * (d - distance) / d
        assert behind["disc_mm"] == pytest.approx(disc, rel=1e-4)
        assert behind["share"] == pytest.approx(disc / 24.89, rel=1e-4)
        ada = row["coverage"]["figures"][0]
        assert ada["frame_width_m"] == pytest.approx(24.89 / focal * distance, rel=1e-6)
    sizes = [figure_of(cell, "Ada") for cell in cells_of(from_one_place)]
    assert len(set(sizes)) == 3


SKY = {"name": "sky", "sky": {"lux": 2.0}}
FIELD = {"ground": {"name": "field", "material": "grass", "size": [400, 120]}}


def edges_of(answer: Answer, number: int = 0) -> tuple[list[str], list[str], list[str]]:
    row = answer.data["lenses"][number]
    return row["edges_shown"], row["edges_not_made_out"], row["horizon"]


def test_an_edge_is_told_after_the_rig_and_only_where_it_is_bright_enough(tmp_path):
    side = SCRIPT["fixtures"][0]
    lit = scene_of(tmp_path, set=[FIELD], fixtures=[side, SKY])
    answer = lenses(lit, LensOptions(focal_mm=(18.0, 50.0), across=160), store=Scratch())
    assert edges_of(answer) == (["field, north edge"], [], [])
    told = words_of(answer)
    # The edge lies 68 m off, 1.3 degrees under the lens; to tilt it out of frame at 18 mm takes more than Ada has room.
    assert (
        told[1]
        == 'With every lens the set ends in frame, at the north edge of "field": hide that or build on.'
    )
    assert told[0].startswith("At 18 mm the head and stand")
    dark = scene_of(tmp_path, set=[FIELD], fixtures=[side | {"level": "off"}])
    answer = lenses(dark, LensOptions(focal_mm=(18.0, 50.0), across=160), store=Scratch())
    assert edges_of(answer) == ([], ["field, north edge"], [])
    assert not any("the set ends" in sentence for sentence in words_of(answer))


def test_a_turn_is_offered_only_where_it_keeps_the_cast(tmp_path):
    """The same frame without Ada: at 50 mm half its height is 7.9 degrees, so a tilt of some 10 puts the edge out."""
    nobody = scene_of(
        tmp_path, set=[FIELD], cast=[], fixtures=[SKY], camera=camera_with(aim=[0, 0, 1.3], focus=8)
    )
    answer = lenses(nobody, LensOptions(focal_mm=(50.0,), across=160), store=Scratch())
    (sentence,) = (s for s in words_of(answer) if "the set ends" in s)
    found = re.search(r"hide that or build on, or tilt (up|down) ([0-9.]+)° at 50 mm\.$", sentence)
    assert found is not None
    assert 5.0 < float(found[2]) < 12.0


def test_the_far_edge_of_water_is_its_horizon(tmp_path):
    shore = {"ground": {"name": "shore", "material": "sand", "size": [400, 30]}}
    sea = {"ground": {"name": "sea", "material": "water", "at": [0, 215], "size": [700, 400], "height": -0.5}}
    scene = scene_of(tmp_path, set=[shore, sea], fixtures=[SKY])
    answer = lenses(scene, LensOptions(focal_mm=(50.0,), across=160), store=Scratch())
    assert edges_of(answer) == ([], [], ["sea, north edge"])
    # A pool that ends 25 m off, 1.65 m under the lens, does so 3.8 degrees down: that is an edge.
    pool = {"ground": {"name": "sea", "material": "water", "at": [0, 16], "size": [700, 2], "height": -0.05}}
    scene = scene_of(tmp_path, set=[shore, pool], fixtures=[SKY])
    answer = lenses(scene, LensOptions(focal_mm=(50.0,), across=160), store=Scratch())
    assert edges_of(answer) == (["sea, north edge"], [], [])


def test_who_is_out_of_frame_has_no_size_and_a_focus_there_is_told(tmp_path):
    """At 8 m a 50 mm lens sees 24.89 / 50 x 8 = 3.98 m across: Bea at 2.1 has a shoulder in frame, Cy at 4 nothing."""
    cast = [
        *SCRIPT["cast"],
        {"name": "Bea", "at": [2.1, 0], "facing": 180, "height": 1.7},
        {"name": "Cy", "at": [-4.0, 0], "facing": 180, "height": 1.7},
    ]
    scene = scene_of(tmp_path, cast=cast, camera=camera_with(focus="Cy.eyes"))
    answer = lenses(scene, LensOptions(focal_mm=(20.0, 50.0), across=160), store=Scratch())
    wide, own = cells_of(answer)
    assert figure_of(own, "Bea") == "eyes out of frame right"
    assert figure_of(own, "Cy") == "out of frame left"
    assert figure_of(wide, "Cy").startswith("long shot")
    assert words_of(answer)[0] == "At 50 mm the focus is on Cy, whose face is out of frame."
    assert figure_of(own, "at Ada").startswith("frame 3.9")


def test_a_frame_on_stands_is_told_part_by_part(tmp_path):
    """The frame hangs over the picture, one of its stands comes into it: by its own distance it goes out."""
    soft = SCRIPT["fixtures"][0] | {
        "at": [6.2, 4, 4.6],
        "through": [{"frame": "8x8 ft", "cloth": "half-grid", "away": 1.5}],
    }
    scene = scene_of(tmp_path, fixtures=[soft])
    ready = prepare(scene)
    units = {unit.name: unit for unit in rig_units(ready)}
    assert set(units) == {"side.head", "side.stand", "side.frame", "side.frame stand", "side.cloth"}
    frame, stand = units["side.frame"].part.vertices, units["side.frame stand"].part.vertices
    assert frame[:, 2].min() > 2.0 > 0.1 > stand[:, 2].min()
    answer = lenses(scene, LensOptions(focal_mm=(21.0, 28.0, 50.0), across=160), store=Scratch())
    told = next(s for s in words_of(answer) if "frame's stand" in s)
    row = next(
        row for row in table_of(answer, "What must be").rows if row[0] == 'the frame\'s stand of "side"'
    )
    assert row[2].startswith("move ")
    assert row[2] in told


def test_parts_and_names_are_set_apart():
    assert called(["edge.head", "edge.stand"]) == 'the head and stand of "edge"'
    assert (
        called(["k.stand", "k.frame", "k.frame stand"])
        == "the head's stand, frame and frame's stand of \"k\""
    )
    assert called(["quay, north edge"]) == 'the north edge of "quay"'


def test_lamps_that_clip_are_told_together():
    seen = [Practical("a", 9, 1.0), Practical("b", 9, 0.0), Practical("c", 9, 0.9), Practical("d", 9, 0.2)]
    assert lamps_words(seen) == "a and c clip; d clips in part; b holds"
    assert lamps_words([]) == "none"


def test_the_script_lens_is_among_those_asked_for(yard):
    found = trials_of(yard, LensOptions(focal_mm=(24.0, 35.0, 85.0))).each
    assert [(trial.camera.lens.focal, trial.own) for trial in found] == [
        (24.0, False),
        (35.0, False),
        (50.0, True),
        (85.0, False),
    ]
    other = trials_of(yard, LensOptions(focal_mm=(24.0, 35.0), formats=("full-frame",))).each
    assert [trial.own for trial in other] == [False, False]


@pytest.mark.parametrize("across", [80, 160, 240])
def test_a_far_lamp_clips_alike_at_every_size(tmp_path, across):
    """A bulb of 350 lm, 14 cm across: 350 / (4 pi) cd over a disc of 0.0154 m2 is 1810 cd/m2. At T2.8, ISO 800, 1/48 s grey
    is 0.18 C N2 / (pi t S) = 0.0573 x 269 x 7.84 x 48 / 800 = 7.25 cd/m2: the bulb is 8.0 stops over it."""
    lamp = {"name": "far", "practical": {"kind": "bulb", "lumens": 350, "size": 0.14, "at": [0.6, 40, 3.2]}}
    pieces = [SCRIPT["set"][0]]
    for over, clips in ((7, 1.0), (9, 0.0)):
        camera = camera_with(aim=[0, 40, 1.6], focus=48, latitude={"over": over, "under": 7})
        scene = scene_of(tmp_path, set=pieces, cast=[], fixtures=[lamp], camera=camera)
        answer = lenses(scene, LensOptions(focal_mm=(50.0,), across=across), store=Scratch())
        (row,) = answer.data["lenses"]
        assert [(one["name"], one["clips"]) for one in row["practicals"]] == [("far", clips)]


def test_speeds_are_those_of_a_camera_scale():
    """The scale of a camera, thirds of a stop: 100, 125, 160, 200 ... From memory, after ISO 5800's rounded series."""
    assert [round_iso(speed) for speed in (100, 130, 150, 1670, 3350, 790)] == [
        100,
        125,
        160,
        1600,
        3200,
        800,
    ]


def test_practicals_that_show_and_the_dark(from_one_place, tmp_path):
    wide, _, tight = cells_of(from_one_place)
    assert figure_of(wide, "lamps seen").startswith("post")
    assert figure_of(tight, "lamps seen") == "none"
    dark = scene_of(
        tmp_path,
        fixtures=[f | {"level": "off"} for f in SCRIPT["fixtures"]],
    )
    answer = lenses(dark, LensOptions(focal_mm=(18.0, 50.0), across=160), store=Scratch())
    row = answer.data["lenses"][0]
    assert row["under_floor_share"] == 1.0
    assert row["ground_under_floor_share"] == 1.0
    assert figure_of(cells_of(answer)[0], "lamps seen") == "post is off"
    assert any("100 % of the ground in frame is lost" in sentence for sentence in words_of(answer))


def test_a_held_figure_is_answered_with_a_plan_and_the_barn_with_a_sentence(held):
    cells = cells_of(held)
    assert [cell.name for cell in cells] == ["25 mm", "50 mm, as in the script", "150 mm"]
    assert cells[2].picture is None
    assert cells[2].sentences == ("From there Ada is hidden by barn.",)
    assert "150 mm: From there Ada is hidden by barn." in words_of(held)
    rows = held.data["lenses"]
    assert rows[2]["no_picture"] == "From there Ada is hidden by barn."
    plan = next(block for block in held.blocks if isinstance(block, Drawing))
    assert plan.pixels.shape[1] == COLUMN
    assert "25 mm 3.95 m and 50 mm 7.90 m" in plan.alternative
    heights = [row["coverage"]["figures"][0]["fills"] for row in rows[:2]]
    assert heights[0] == pytest.approx(heights[1], rel=1e-6)


def test_the_house_behind_a_held_figure_grows_by_similar_triangles(held):
    """The figure's size kept, f / s is; the house's is f / d: by (d1 / d2) x (f2 / f1)."""
    wide, own, _ = held.data["lenses"]
    d1, d2 = wide["background"]["distance_m"], own["background"]["distance_m"]
    assert d2 - d1 == pytest.approx(4.0, abs=0.1)
    ratio = d1 / d2 * 2.0
    assert figure_of(cells_of(held)[1], "behind") == f"house {ratio:.2f} × as large, against 25 mm"
    assert any(
        f'"house" stands {ratio:.1f} times as large behind Ada at 50 mm as at 25 mm.' == s
        for s in words_of(held)
    )


def test_the_set_is_built_once_for_all_lenses(yard, monkeypatch):
    built = []
    original = preparing.set_of
    monkeypatch.setattr(preparing, "set_of", lambda *given: built.append(1) or original(*given))
    options = LensOptions(focal_mm=(25.0, 50.0), hold="Ada", across=160)
    lenses(yard, options, store=Scratch())
    assert len(built) == 1


def test_another_camera_in_the_same_set_shares_its_geometry(yard):
    ready = prepare(yard)
    wide = yard.camera.lens.model_copy(update={"focal": 20.0})
    other = same_set(ready, replace(yard, camera=yard.camera.model_copy(update={"lens": wide})))
    assert other.stage.solid is ready.stage.solid
    assert other.lights is ready.lights
    assert other.view.tan_half_width == pytest.approx(24.89 / 40)
    moved = yard.fixtures[0].model_copy(update={"level": 0.1})
    changed = same_set(ready, replace(yard, fixtures=(moved, *yard.fixtures[1:])))
    assert changed.lights[0].gain == pytest.approx(ready.lights[0].gain / 4)


def test_an_anamorphic_lens_is_told_with_its_oval(tmp_path):
    lens = {"focal": 75, "stop": 2, "squeeze": 2}
    scene = scene_of(tmp_path, camera=camera_with(format="anamorphic-35-4perf", lens=lens, aspect=2.39))
    answer = lenses(scene, LensOptions(focal_mm=(75.0,), across=160), store=Scratch())
    row = answer.data["lenses"][0]
    frame = row["coverage"]["frame_lines"]
    behind = row["background"]
    assert behind["share"] == pytest.approx(behind["disc_mm"] / 2 / (2 * frame["width_mm"]), rel=1e-6)
    assert "an oval 1/" in figure_of(cells_of(answer)[0], f"a lamp at {behind['at']}")


def test_every_answer_is_drawn_and_is_sound_data(from_one_place, held):
    for answer in (from_one_place, held):
        assert "nan" not in json_text(answer.data).lower().split()
        json.loads(json_text(answer.data), parse_constant=lambda word: pytest.fail(word))
        assert all(sheet.width == 1600 for sheet in answer_sheets(answer))
        names = {tuple(name for name, _ in cell.figures) for cell in cells_of(answer) if cell.figures}
        assert len(names) == 1


def test_what_is_in_a_tight_frame_is_inside_its_line_on_the_widest(yard):
    trials = trials_of(yard, LensOptions(focal_mm=(18.0, 35.0, 85.0))).each
    wide = view_of(trials[0].scene)
    random = np.random.default_rng(7)
    points = np.column_stack(
        [random.uniform(-6, 6, 500), random.uniform(-2, 30, 500), random.uniform(0, 6, 500)]
    )
    on_wide, _ = wide.project(points)
    for trial in trials[1:]:
        view = view_of(trial.scene)
        uv, _ = view.project(points)
        inside = ((uv > 0) & (uv < 1)).all(axis=1)
        half = 0.5 * view.tan_half_width / wide.tan_half_width
        assert half == pytest.approx(0.5 * 18.0 / trial.camera.lens.focal)
        assert (inside == (np.abs(on_wide - 0.5) < half).all(axis=1)).all()
        assert inside.any()


def test_frame_lines_are_drawn_where_the_lenses_say():
    """Half the width: a line a quarter of the drawing in from either side, within its own strokes."""
    lines = [FrameLine("20 mm", 0.6, 0.3, own=True), FrameLine("40 mm", 0.3, 0.15)]
    pixels = nested_frames(lines, picture=np.full((80, 160, 3), 128, np.uint8), picture_half=(0.6, 0.3))
    row = pixels[pixels.shape[0] // 2 + 40].astype(int)
    plain = (np.abs(row - 128).max(axis=1) < 3).nonzero()[0]
    drawn = np.setdiff1d(np.arange(60, COLUMN - 60), plain)
    scale = (COLUMN - 24) / 1.2
    assert set(np.unique(np.round((drawn - COLUMN / 2) / scale / 0.3).astype(int))) == {-1, 1}
    assert np.abs(np.abs(drawn + 0.5 - COLUMN / 2) - 0.3 * scale).max() < 6


@settings(max_examples=40)
@given(st.lists(st.floats(6, 600), min_size=1, max_size=12, unique=True), st.floats(0.4, 2.6))
def test_tabs_of_frame_lines_never_lie_on_one_another(focals, aspect):
    half = COLUMN / 2, COLUMN / 2 / aspect
    widest = min(focals)
    boxes = []
    for focal in sorted(focals):
        w, h = half[0] * widest / focal, half[1] * widest / focal
        boxes.append((half[0] - w, half[1] - h, half[0] + w, half[1] + h))
    sizes = [tab_size(f"{focal:.4g} mm") for focal in sorted(focals)]
    places = place_tabs(boxes, sizes, (0.0, 0.0, float(COLUMN), 2 * half[1]))
    tabs = [(x, y, x + w, y + h) for (x, y), (w, h) in zip(places, sizes, strict=True)]
    for one, other in combinations(tabs, 2):
        assert min(one[2], other[2]) <= max(one[0], other[0]) or min(one[3], other[3]) <= max(
            one[1], other[1]
        )
    assert all(
        x >= 0 and y >= 0 and right <= COLUMN and bottom <= 2 * half[1] for x, y, right, bottom in tabs
    )


def test_which_lenses_in_words():
    every = ("21 mm", "35 mm", "50 mm", "85 mm")
    assert span(every, every, formats=False) == "With every lens"
    assert span(every[:2], every, formats=False) == "From 35 mm down"
    assert span(every[2:], every, formats=False) == "From 50 mm up"
    assert span(("21 mm", "85 mm"), every, formats=False) == "At 21 and 85 mm"
    assert span(("21 mm",), every, formats=False) == "At 21 mm"
    assert span(("super16",), ("full-frame", "super16"), formats=True) == "On super16"
    assert [fraction(share) for share in (0.5, 1 / 11, 1 / 52, 1 / 924)] == ["0.5", "1/11", "1/50", "1/920"]


def test_formats_are_answered_with_what_gives_the_same_picture(yard):
    options = LensOptions(formats=("full-frame", "super16"), across=160)
    answer = lenses(yard, options, store=Scratch())
    table = table_of(answer, "The picture of 50 mm at T2.8, ISO 800")
    # Super 35 to full frame by the widths: 36 / 24.89.
    assert table.rows[0][2:] == ("1.00", "72.3 mm", "T4.0", "1.1 more", "1600")
    drawings = [block.title for block in answer.blocks if isinstance(block, Drawing)]
    assert drawings == ["Each frame on that of full-frame", "The formats to scale"]


@pytest.mark.parametrize(
    ("pieces", "why"),
    [
        (SCRIPT["set"], "From there Ada is hidden by barn."),
        ([BLOCK], "The camera would stand inside the box block."),
    ],
)
def test_where_no_camera_can_stand_there_are_sentences_and_no_picture(tmp_path, pieces, why):
    off = 8 if len(pieces) > 1 else 5
    scene = scene_of(
        tmp_path, set=pieces, fixtures=[], camera=camera_with(at=[0, -off, 1.591], aim="Ada.eyes")
    )
    answer = lenses(scene, LensOptions(focal_mm=(150.0,), hold="Ada", across=160), store=Scratch())
    (cell,) = (one for one in cells_of(answer) if one.name == "150 mm")
    assert cell.picture is None
    assert cell.sentences == (why,)
    assert f"150 mm: {why}" in words_of(answer)
    assert answer_sheets(answer)


def test_the_command_writes_sheet_data_and_page(tmp_path, capsys):
    scene_of(tmp_path)
    given = [
        str(tmp_path / "yard.yaml"),
        "--focal",
        "35",
        "--size",
        "160",
        "--out",
        str(tmp_path / "out"),
        "--page",
    ]
    assert cli.run(["lenses", *given]) == 0
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        "lenses.html",
        "lenses.json",
        "lenses.png",
    ]
    told = capsys.readouterr().out
    assert told.startswith("A yard: lenses from one place\n")
    assert "Wrote lenses.png, lenses.json, lenses.html in" in told
    rows = json.loads((tmp_path / "out" / "lenses.json").read_text(encoding="utf-8"))["lenses"]
    assert [(row["focal_mm"], row["own"]) for row in rows] == [(35.0, False), (50.0, True)]


@pytest.mark.parametrize("option", [["--focal", "0"], ["--hold", "Adda"], ["--format", "full"], ["--match"]])
def test_the_command_refuses_in_a_sentence_with_status_2(tmp_path, capsys, option):
    scene_of(tmp_path)
    assert cli.run(["lenses", str(tmp_path / "yard.yaml"), *option, "--out", str(tmp_path / "out")]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("--")
    assert "Traceback" not in told.err
    assert not (tmp_path / "out").exists()
