"""What is told of rigs for the moon: words against the figures they stand for, pictures and plan against the rigs."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from math import cos, hypot, log2, radians, sin
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from PIL import Image, ImageDraw

from preview.camera.in_shot import Sighting
from preview.commands.metering.readings import levels, receptor_at
from preview.commands.prepare import prepare
from preview.commands.rig.command import RigOptions, rig
from preview.commands.rig.in_shot import clear_words
from preview.commands.rig.words import footcandle_figures, level_words, lux_words, numbered, stops_word
from preview.commands.shot import shot
from preview.script.read import read_script
from preview.sheets.answer.blocks import Answer, Drawing, Pictures, Table, Words
from preview.sheets.drawing import INK, SHADE, overlap
from preview.sheets.from_above import NORTH_AND_SCALE_HIGH, bar_metres, north_and_scale
from preview.sheets.rig_marks import carriers, number_places
from preview.sheets.rig_plan import _Drawn
from preview.sheets.rig_plan_data import Camera, Figure, Plan, RigMark
from preview.trace.store import Scratch

SHORE = """
title: A shore
set:
  - ground: {name: sea, material: water, size: [500, 500], height: -1.0}
  - ground: {name: beach, material: sand, size: [400, 400], slope: {rise: 2 deg, towards: 180}}
  - street: {name: lane, along: [[-60, -40], [60, -40]], width: 5}
  - box: {name: block, at: [6.9, 4], size: [1.5, 1.5, 25]}
cast:
  - {name: Ann, person: woman, at: [0, 0], facing: 180}
  - {name: Bob, person: man, at: [1.5, 0.5], facing: 200}
camera: {format: super35-3perf, lens: {focal: 35 mm, stop: 2.0}, at: [0, -6, 1.8], aim: Ann.face}
fixtures:
  - {name: low moon, moon: {azimuth: 40, elevation: 35, lux: 2}}
  - {name: night sky, sky: {lux: 1.5}}
"""
"""The sea lies to the north, lower than the beach; a block stands in the way of a moon in the north-east."""
MEADOW = """
title: A meadow
set:
  - ground: {name: meadow, material: grass, size: [400, 400]}
cast:
  - {name: Ann, person: woman, at: [0, 0], facing: 180}
camera: {format: super35-3perf, lens: {focal: 35 mm, stop: 2.0}, at: [0, -6, 1.6], aim: Ann.face}
fixtures:
  - {name: low moon, moon: {azimuth: 40, elevation: 35, lux: 2}}
"""
ACROSS = 96


def written(folder: Path, text: str) -> Path:
    path = folder / "scene.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def answered(folder: Path, text: str, azimuth: float, elevation: float, **more: Any) -> Answer:
    options = RigOptions(azimuth, elevation, across=ACROSS, **more)
    return rig(read_script(written(folder, text)), options, store=Scratch())


@pytest.fixture(scope="module")
def shore(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    return answered(tmp_path_factory.mktemp("shore"), SHORE, 60.0, 25.0, lux=8.0)


@pytest.fixture(scope="module")
def meadow(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    return answered(tmp_path_factory.mktemp("meadow"), MEADOW, 320.0, 20.0, lux=8.0)


def sentences(answer: Answer, title: str) -> tuple[str, ...]:
    return next(
        block.sentences for block in answer.blocks if isinstance(block, Words) and block.title == title
    )


def cautions(answer: Answer) -> str:
    return next(
        " ".join(block.sentences) for block in answer.blocks if isinstance(block, Words) and block.caution
    )


# Words for figures.


@pytest.mark.parametrize(
    ("numbers", "of", "words"),
    [
        ([2], 5, "rig 2"),
        ([1, 3], 5, "rigs 1 and 3"),
        ([2, 3, 4], 5, "rigs 2 to 4"),
        ([1, 3, 4], 5, "rigs 1, 3 and 4"),
        ([1, 2, 3], 3, "all rigs"),
        ([1], 1, "rig 1"),
    ],
)
def test_rigs_are_counted_as_one_says_them(numbers: list[int], of: int, words: str) -> None:
    assert numbered(numbers, of) == words


def test_lux_are_told_in_footcandles_too() -> None:
    # A foot is 0.3048 m by definition, so a footcandle is 10.764 lux.
    assert [footcandle_figures(lux) for lux in (0.15, 10.764, 86.09, 1000.0)] == ["0.014", "1.0", "8.0", "93"]
    assert lux_words(86.09) == "86.1 lux (8.0 fc)"


def test_levels_are_round_and_none_is_said_in_its_sense() -> None:
    assert [level_words(level) for level in (0.5588, 1.0, 0.0423)] == ["56 %", "100 %", "4.2 %"]
    assert [stops_word(stops) for stops in (0.0, -9.0, -0.34)] == ["0.0", "no light", "−0.3"]


def sighted(kind: Any, status: Any, **more: Any) -> Sighting:
    return Sighting(0, f"moon rig.{kind}", kind, status, "", 10.0, **more)


def test_where_a_part_is_out_of_frame_is_told_by_edge_angle_and_metres() -> None:
    above = sighted("head", "clear", clear_deg=5.2, clear_m=4.4, clear_of="top")
    right = sighted("frame", "clear", clear_deg=2.0, clear_m=1.1, clear_of="right")
    behind = sighted("stand", "clear", clear_deg=120.0, clear_m=7.0, clear_of="left")
    hidden = sighted("stand", "hidden", hidden_by=("hedge.leaves",))
    assert clear_words([above]) == "above the frame by 5° (4.4 m)"
    assert clear_words([above, right]) == "right of the frame by 2° (1.1 m)"
    assert clear_words([behind]) == "behind the lens (7.0 m)"
    assert clear_words([hidden]) == "hidden by hedge"
    assert clear_words([above, hidden]) == "above the frame by 5° (4.4 m), part hidden by hedge"
    assert clear_words([above, sighted("stand", "in shot")]) == "in shot"


# What a whole answer tells.


def test_first_line_says_how_far_off_the_direction_rigs_are(shore: Answer, meadow: Answer) -> None:
    offs = [one["off_direction_deg"] for one in shore.data["rigs"]]
    assert min(offs) >= 0.5
    nearest = offs.index(min(offs)) + 1
    first = sentences(shore, "")[0]
    assert f"none on the direction asked; rig {nearest} is nearest, {min(offs):.0f}° off." in first
    assert meadow.data["rigs"][0]["off_direction_deg"] < 0.5
    assert "none on the direction" not in sentences(meadow, "")[0]


def test_head_and_lift_are_told_apart_with_what_is_left(shore: Answer) -> None:
    table = next(block for block in shore.blocks if isinstance(block, Table) and "In shot" in block.title)
    rows = iter(table.rows)
    for one in shore.data["rigs"]:
        for setup, parts in one["setups"].items():
            number, of, lamp, lift, left = next(rows)
            assert (number, of) == (str(one["number"]), setup)
            least = min(part["clear_m"] for part in parts if part["clear_m"] is not None)
            assert float(left) == pytest.approx(least, abs=0.051)
            for told, wanted in ((lamp, False), (lift, True)):
                mine = [part for part in parts if part["part"].endswith(("stand", "lift")) == wanted]
                assert f"({min(part['clear_m'] for part in mine):.1f} m)" in told


def test_cautions_are_those_that_the_place_calls_for(shore: Answer, meadow: Answer) -> None:
    told = cautions(shore)
    near = min(one["footing"]["water_m"] for one in shore.data["rigs"] if one["footing"]["water_m"])
    for word in (
        f"Water {near:.0f} m from a base (sea)",
        "life jackets",
        "Soft ground",
        "Road (lane)",
        "up to 2°",
    ):
        assert word in told, told
    plain = cautions(meadow)
    for word in ("Water", "Soft ground", "Road", "A slope"):
        assert word not in plain, plain
    for word in ("Overhead lines", "residual-current", "local codes decide"):
        assert word in told
        assert word in plain


def test_what_all_rigs_have_in_common_is_said_once(meadow: Answer) -> None:
    told = sentences(meadow, "Rig by rig")
    # All are on the direction asked, and nobody stands there but one.
    assert told[0].startswith("All rigs. Three-quarter back light from camera left")
    own = [line for line in told if not line.startswith("All rigs.")]
    assert [line.partition(".")[0] for line in own] == [f"Rig {n}" for n in range(1, len(own) + 1)]
    shared = set.intersection(*(set(line.partition(". ")[2].split(". ")) for line in own))
    assert not shared - {""}
    against = [line.partition("Against it")[2] for line in own if "Against it" in line]
    assert not any("what lifts it" in line or "shaded" in line for line in against)


def test_frames_say_what_holds_them_and_weights_what_the_lift_takes(shore: Answer) -> None:
    weights = [
        row[3]
        for block in shore.blocks
        if isinstance(block, Table) and block.title == "Where they stand"
        for row in block.rows
    ]
    for one, told in zip(shore.data["rigs"], weights, strict=True):
        assert told == f"{one['weight_kg']:.0f} of {one['lift']['carries_kg']:.0f}"
        assert one["weight_kg"] <= one["lift"]["carries_kg"]
    held = [one for one in shore.data["rigs"] if one["frame_m"] is not None]
    assert held
    for one in held:
        line = next(
            line for line in sentences(shore, "Rig by rig") if line.startswith(f"Rig {one['number']}.")
        )
        assert ("holds it with the head" in line) == (one["frame_held"] == "on the lift")
        assert ("on stands of its own" in line) == (one["frame_held"] == "on stands of its own")


def pasted(answer: Answer, folder: Path, number: int) -> Any:
    """The shore without its moon and with one rig, and the mark to read it."""
    one = answer.data["rigs"][number]
    fixtures = "fixtures:\n" + "".join(f"  {line}\n" for line in one["yaml"].splitlines())
    text = "\n".join(line for line in SHORE.splitlines() if "low moon" not in line) + "\n"
    mark = yaml.safe_dump(one["mark"], default_flow_style=True, width=1000).strip()
    text = text.replace("fixtures:\n", fixtures) + f"marks:\n  - {mark}\n"
    return prepare(read_script(written(folder, text)).scene())


def test_meter_reads_the_rig_with_all_else_as_told(shore: Answer, tmp_path: Path) -> None:
    ready = pasted(shore, tmp_path, 0)
    held = receptor_at(ready.scene, ready.scene.marks[0])
    read = levels(ready, (held,), rays=2048, bounces=1, seed=7, store=Scratch())
    best = shore.data["rigs"][0]
    assert abs(log2(float(read.total.sum()) / (best["read_lux"] + shore.data["other_lux"]))) < 0.05
    assert shore.data["other_lux"] > 0.3
    told = " ".join(sentences(shore, "In the script"))
    assert f"moon rig alone: {lux_words(best['read_lux'])}; with all else" in told
    away = float(np.linalg.norm(np.array(best["mark"]["at"]) - best["at_m"]))
    assert f"so it is {away:.1f} m from the lamp; the throw is {best['throw_m']:.1f} m" in told


def test_each_picture_is_lit_by_its_rig_alone(shore: Answer, tmp_path: Path) -> None:
    pictures = next(block for block in shore.blocks if isinstance(block, Pictures))
    cells = [cell for cell in pictures.cells if cell.name.startswith("Rig")]
    assert len(cells) == 2
    for cell in cells:
        number = int(cell.name.removeprefix("Rig ").partition(",")[0]) - 1
        alone = shot(pasted(shore, tmp_path, number), store=Scratch(), width=ACROSS, seed=1).picture
        assert cell.picture is not None
        assert abs(float(cell.picture.mean()) - float(alone.mean())) < 0.02 * float(alone.mean())


# The plan.


DISC = 28.0
BOUNDS = (0.0, 0.0, 1456.0, 900.0)


@pytest.mark.parametrize(
    "spots",
    [
        [(300.0, 300.0)],
        [(300.0, 300.0), (300.0, 300.0)],
        [(300.0, 300.0), (310.0, 302.0), (325.0, 300.0), (330.0, 310.0), (900.0, 100.0)],
        [(1440.0, 10.0), (1430.0, 20.0), (1440.0, 10.0)],
    ],
)
def test_numbers_stand_at_true_places_or_aside_of_them_all(spots: list[tuple[float, float]]) -> None:
    discs = number_places(spots, disc=DISC, bounds=BOUNDS)
    assert len(discs) == len(spots)
    for one, two in combinations(discs, 2):
        assert hypot(one[0] - two[0], one[1] - two[1]) >= 2.0 * DISC
    for disc, spot in zip(discs, spots, strict=True):
        assert hypot(disc[0] - spot[0], disc[1] - spot[1]) < 8.0 * DISC
        for other in spots:
            # It hides no other lamp's place.
            assert other == spot or hypot(disc[0] - other[0], disc[1] - other[1]) > DISC
        if disc != spot:
            assert DISC <= disc[0] <= BOUNDS[2] - DISC
            assert DISC <= disc[1] <= BOUNDS[3] - DISC
    assert discs[-1] == spots[-1] or len(spots) != 5


def test_every_lift_is_named_with_the_rigs_it_carries() -> None:
    rigs = [
        RigMark(1, (20.0, 7.0), (20.0, 7.0), 2.5, "scaffold tower"),
        RigMark(2, (20.1, 7.0), (20.1, 7.0), 2.5, "scaffold tower"),
        RigMark(3, (30.0, 9.0), (33.0, 9.0), 2.3, "boom lift, 12 m class"),
        RigMark(4, (20.0, 7.0), (20.0, 7.0), 1.8, "wind-up stand"),
    ]
    assert [one.words for one in carriers(rigs)] == ["scaffold tower 1, 2", "boom lift 3", "wind-up stand 4"]
    assert carriers(rigs)[1].base == (33.0, 9.0)


def plan(**more: Any) -> Plan:
    figures, cameras = (
        (Figure("Ann", (0.0, 0.0), (0.0, -1.0)),),
        (Camera("main", (0.0, -6.0), (0.0, 1.0), 0.4),),
    )
    return replace(Plan((0.0, 0.0), radians(300.0), (), figures, cameras, ()), **more)


@pytest.mark.parametrize("found", [True, False])
def test_plan_takes_in_what_is_asked_and_found(found: bool) -> None:
    asked = tuple((-d * sin(radians(60.0)), d * cos(radians(60.0))) for d in (5.0, 20.0, 32.0))
    nearest = RigMark(None, (20.0, 58.0), (23.0, 63.0), 2.5, "boom lift, 26 m class")
    rigs = (nearest,) if found else ()
    drawn = _Drawn(plan(rigs=rigs, refused=asked, shown=asked))
    for place in (*asked, *((nearest.lamp, nearest.base) if found else ()), (0.0, 0.0), (0.0, -6.0)):
        x, y = drawn.at(place)
        assert 0.0 < x < drawn.size[0]
        assert 0.0 < y < drawn.size[1]
    # Each place that is refused is crossed there.
    pixels = np.asarray(drawn.image)
    for place in asked:
        x, y = (round(v) for v in drawn.at(place))
        assert tuple(pixels[y, x]) == INK


def test_no_name_lies_on_the_arrow_to_the_moon_or_on_a_lamp() -> None:
    rigs = tuple(RigMark(n, (-8.0 - 0.1 * n, 5.0), (-8.0, 5.0), 1.4, "stand") for n in range(1, 5))
    drawn = _Drawn(plan(rigs=rigs))
    assert {text for _, text, _, _ in drawn.labels} == {"Ann", "main", "moon asked for", "stand 1, 2, 3, 4"}
    lamps = [drawn.at(rig.lamp) for rig in rigs]
    arrow = [drawn.at((-d * sin(radians(60.0)), d * cos(radians(60.0)))) for d in np.linspace(0.0, 30.0, 400)]
    for left, top, right, bottom in drawn.names:
        assert not any(left <= x <= right and top <= y <= bottom for x, y in (*lamps, *arrow))
    for one, two in combinations(drawn.names, 2):
        assert overlap(one, two) == 0.0


@pytest.mark.parametrize("turn", [0.0, 45.0, 100.0, 250.0])
@pytest.mark.parametrize(("scale", "fine"), [(44.0, 1.0), (88.0, 2.0), (3.3, 1.0)])
def test_north_points_north_and_the_bar_is_as_long_as_it_says(turn: float, scale: float, fine: float) -> None:
    image = Image.new("RGB", (1456, 200), SHADE)
    north = sin(radians(turn)), -cos(radians(turn))
    left, top, right, bottom = north_and_scale(
        ImageDraw.Draw(image), (10.0, 10.0), north, scale=scale, fine=fine
    )
    assert (left, top, bottom - top) == (10.0, 10.0, NORTH_AND_SCALE_HIGH * fine)
    ink = np.asarray(image).astype(int).sum(axis=2) < 300
    rows, columns = np.nonzero(ink)
    assert rows.min() >= top
    assert rows.max() <= bottom
    assert columns.max() <= right
    # The pointer sticks out of the ring, towards north.
    x, y = columns - (left + NORTH_AND_SCALE_HIGH * fine / 2), rows - (top + NORTH_AND_SCALE_HIGH * fine / 2)
    out = (np.hypot(x, y) > 23.0 * fine) & (columns < left + NORTH_AND_SCALE_HIGH * fine)
    middle = np.array([x[out].mean(), y[out].mean()])
    assert middle @ np.array(north) / np.linalg.norm(middle) > 0.99
    # The bar's line runs through the middle, past the ring.
    line = ink[round(top + NORTH_AND_SCALE_HIGH * fine / 2), round(left + NORTH_AND_SCALE_HIGH * fine) :]
    long = int(np.argmin(line[np.argmax(line) :]))
    assert long == pytest.approx(bar_metres(scale, longest=240.0 * fine) * scale, abs=5.0 * fine)


@pytest.mark.parametrize("scale", [0.7, 3.3, 12.0, 44.0, 130.0, 900.0])
def test_bar_is_a_round_length_and_neither_short_nor_long(scale: float) -> None:
    metres = bar_metres(scale, longest=240.0)
    assert f"{metres:e}"[0] in "125"
    assert 240.0 / 2.5 <= metres * scale <= 240.0 + 1e-6


def test_drawing_tells_what_it_shows_where_no_rig_does_it(tmp_path: Path) -> None:
    text = MEADOW.replace("material: grass, size: [400, 400]", "material: sand, size: [5, 5]").replace(
        "set:", "set:\n  - ground: {name: sea, material: water, size: [500, 500], height: -0.4}"
    )
    answer = answered(tmp_path, text, 320.0, 35.0, lux=8.0)
    drawing = next(block for block in answer.blocks if isinstance(block, Drawing))
    assert "crossed where nothing can stand" in drawing.note
    assert "Numbers" not in drawing.note
    assert "Water (sea)" in cautions(answer)
