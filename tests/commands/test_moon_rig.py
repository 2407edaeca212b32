"""Rigs for the moon: geometry, photometry and sums against closed forms, rigs against the scene they are pasted into."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import acos, atan, atan2, cos, degrees, hypot, log2, radians, sin, tan
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from preview.camera.framing import view_of
from preview.commands.metering.readings import levels, receptor_at
from preview.commands.prepare import prepare
from preview.commands.rig.around import Around, Target, Watcher
from preview.commands.rig.command import RigOptions, rig
from preview.commands.rig.footing import STEEPEST, ground_trouble
from preview.commands.rig.lifts import HIGHEST, LIFTS, bases, lift_for, lift_part
from preview.commands.rig.light import distance_stops, looks_deg, relative, shadows_apart
from preview.commands.rig.places import (
    CLEARS,
    Perch,
    angle_between,
    direction,
    offsets,
    perches,
)
from preview.commands.rig.stock import Stock, nearest_gel
from preview.commands.rig.units import Unit, apparent_deg
from preview.faults import UserError
from preview.light.heads import row_output
from preview.script.read import read_script
from preview.sheets.answer.blocks import Answer, Drawing, Pictures, Table, Words
from preview.sheets.answer.write import write_answer
from preview.sheets.data import json_text
from preview.sheets.drawing import COLUMN
from preview.trace.store import Scratch
from preview.trade.catalogue import usual

FIELD = """
title: An open field
set:
  - ground: {name: field, material: grass, size: [400, 400]}
cast:
  - {name: Ann, person: woman, at: [0, 0], facing: 180}
  - {name: Bob, person: man, at: [1.5, 0.5], facing: 200}
camera: {format: super35-3perf, lens: {focal: 35 mm, stop: 2.0}, at: [0, -6, 1.6], aim: Ann.face}
fixtures:
  - {name: low moon, moon: {azimuth: 40, elevation: 35, lux: 2}}
setups:
  tight: {camera: {lens: {focal: 75 mm}, at: [0.5, -3, 1.6], aim: Ann.face}}
"""
STOPS = 0.05
"""What matters on set."""


def written(folder: Path, text: str) -> Path:
    path = folder / "scene.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def answered(folder: Path, text: str, azimuth: float, elevation: float, **more: Any) -> Answer:
    script = read_script(written(folder, text))
    return rig(script, RigOptions(azimuth, elevation, across=96, **more), store=Scratch())


@pytest.fixture(scope="module")
def field(tmp_path_factory: pytest.TempPathFactory) -> Answer:
    """The field's rigs for 8 lux, three-quarter back from camera left."""
    return answered(tmp_path_factory.mktemp("field"), FIELD, 320.0, 35.0, lux=8.0)


def around_of(folder: Path, text: str, azimuth: float, elevation: float) -> Around:
    scene = read_script(written(folder, text)).scene()
    ready = prepare(scene)
    mark = np.array([0.0, 0.0, 1.5])
    target = Target("here", mark, mark)
    watcher = Watcher("main", view_of(scene), ready.world, ready.stage.solid.rays)
    return Around(
        scene,
        ready.world,
        ready.stage.solid.rays,
        (watcher,),
        target,
        (),
        radians(azimuth),
        radians(elevation),
    )


def sentences(answer: Answer) -> str:
    return " ".join(line for block in answer.blocks if isinstance(block, Words) for line in block.sentences)


# Where lamps are.


@pytest.mark.parametrize(("throw", "elevation"), [(5.0, 35.0), (20.0, 20.0), (60.0, 3.0), (12.0, 60.0)])
def test_lamp_is_as_high_and_as_far_as_the_triangle_says(
    tmp_path: Path, throw: float, elevation: float
) -> None:
    around = around_of(tmp_path, FIELD, 75.0, elevation)
    (perch,) = perches(around, [(around.azimuth, around.elevation)], [throw])
    up = 1.5 + throw * sin(radians(elevation))
    assert perch.at[2] == pytest.approx(up)
    assert perch.height == pytest.approx(up, abs=1e-3)
    assert perch.off == pytest.approx(throw * cos(radians(elevation)))
    assert tan(radians(elevation)) == pytest.approx((perch.at[2] - 1.5) / perch.off)
    # Clockwise from north, x to the east.
    assert degrees(atan2(perch.at[0], perch.at[1])) == pytest.approx(75.0)
    assert (perch.lift is None) == (up > HIGHEST)


def test_height_counts_from_the_ground_where_the_lamp_stands(tmp_path: Path) -> None:
    # Common knowledge of slopes: 10 % climbs a metre in ten.
    text = FIELD.replace("size: [400, 400]", "size: [400, 400], slope: {rise: 10 %, towards: 0}")
    around = around_of(tmp_path, text, 0.0, 25.0)
    (perch,) = perches(around, [(0.0, radians(25.0))], [20.0])
    off = 20.0 * cos(radians(25.0))
    assert perch.height == pytest.approx(1.5 + 20.0 * sin(radians(25.0)) - 0.1 * off, abs=0.02)


def test_ways_are_cheated_by_so_many_degrees(tmp_path: Path) -> None:
    around = around_of(tmp_path, FIELD, 40.0, 35.0)
    ways = offsets(around.azimuth, around.elevation, aside=(0.0, 15.0), lower=(0.0, 10.0))
    found = [angle_between(around, Perch(*way, 1.0, np.zeros(3), 1.0)) for way in ways]
    # By the spherical law of cosines.
    one, two = radians(35.0), radians(25.0)
    corner = sin(one) * sin(two) + cos(one) * cos(two) * cos(radians(15.0))
    aside = sin(one) ** 2 + cos(one) ** 2 * cos(radians(15.0))
    wanted = [0.0, degrees(acos(aside)), 10.0, degrees(acos(corner))]
    assert found == pytest.approx(wanted, abs=1e-4)


def test_no_way_goes_below_the_horizon() -> None:
    assert all(height > 0.0 for _, height in offsets(0.0, radians(3.0), aside=(0.0,), lower=(0.0, 10.0)))


# What lifts them.


@pytest.mark.parametrize(
    ("height", "name"),
    # Classes from memory, typical.
    [
        (2.0, "stand"),
        (4.5, "stand"),
        (4.6, "wind-up stand"),
        (8.0, "scaffold tower"),
        (10.9, "boom lift, 12 m class"),
        (16.0, "boom lift, 18 m class"),
        (25.0, "boom lift, 26 m class"),
    ],
)
def test_simplest_lift_that_is_high_enough(height: float, name: str) -> None:
    lift = lift_for(height)
    assert lift is not None
    assert lift.name == name


def test_nothing_lifts_higher_than_the_list() -> None:
    assert lift_for(HIGHEST + 0.1) is None
    assert lift_for(3.0, weight_kg=60.0) == LIFTS[1]
    assert [lift.highest for lift in LIFTS] == sorted(lift.highest for lift in LIFTS)
    assert all(lift.source.startswith(("from memory", "common practice")) for lift in LIFTS)


def test_boom_reaches_no_farther_than_its_class(tmp_path: Path) -> None:
    terrain = read_script(written(tmp_path, FIELD)).scene().terrain
    for lift in LIFTS:
        at = np.array([3.0, 4.0, lift.highest])
        for base in bases(lift, at, at - np.array([0.0, 0.0, 1.5]), lift.highest):
            assert hypot(base[0] - at[0], base[1] - at[1]) <= lift.reaches + 1e-6
            part = lift_part("rig", lift, at, base, terrain)
            assert (part is None) == lift.stands_below
            if part is not None:
                assert part.vertices[:, 2].min() == pytest.approx(0.0, abs=0.01)
                assert part.vertices[:, 2].max() < at[2]


# What stops them.


def test_rise_that_clears_a_box_is_the_lever_rule(tmp_path: Path) -> None:
    # A box 6 m high whose far edge is 9 m off hides what is lower than the line over its top, from a mark 1.5 m up.
    text = FIELD.replace("cast:", "  - box: {name: block, at: [0, 7], size: [30, 4, 6]}\ncast:")
    text = text.replace("at: [0, 0]", "at: [-4, 0]")
    around = around_of(tmp_path, text, 0.0, 15.0)
    (perch,) = perches(around, [(0.0, radians(15.0))], [30.0])
    assert perch.why == "block in the way to here"
    over_front, over_back = ((6.0 - 1.5) / edge for edge in (5.0, 9.0))
    needed = perch.off * max(over_front, over_back) - (perch.at[2] - 1.5)
    told = float(perch.remedy.split(" m higher")[0])
    assert needed <= told <= needed + CLEARS[0] + 0.05


@pytest.mark.parametrize(
    ("piece", "words"),
    [
        (
            "ground: {name: pond, material: water, at: [0, 12], size: [8, 8], height: 0.01}",
            "stand in water (pond)",
        ),
        ("street: {name: lane, along: [[-30, 12], [30, 12]], width: 5}", "stand on a road (lane)"),
        (
            "hedge: {name: beech, along: [[-5, 12], [5, 12]], height: 1.6, thickness: 1.5}",
            "stand in the hedge beech",
        ),
        ("house: {name: cottage, at: [0, 12], size: [8, 6]}", "stand on or in the house cottage"),
        (
            "wall: {name: old wall, along: [[-5, 12], [5, 12]], height: 2, thickness: 0.5}",
            "stand in the old wall",
        ),
        ("box: {name: block, at: [0, 12], size: [3, 3, 2]}", "stand in the box block"),
    ],
)
def test_nothing_stands_where_it_cannot(tmp_path: Path, piece: str, words: str) -> None:
    around = around_of(tmp_path, FIELD.replace("cast:", f"  - {piece}\ncast:"), 0.0, 30.0)
    at = np.array([0.0, 12.0, 8.0])
    assert words in (ground_trouble(around, LIFTS[2], at, (0.0, 12.0)) or "free")
    assert ground_trouble(around, LIFTS[2], at - np.array([30.0, 0.0, 0.0]), (-31.0, 30.0)) is None


def test_nobody_is_below_a_lift(tmp_path: Path) -> None:
    around = around_of(tmp_path, FIELD, 0.0, 90.0)
    boom, at = LIFTS[4], np.array([0.5, 0.0, 14.0])
    assert "nobody works below" in (ground_trouble(around, boom, at, (0.5, 6.0)) or "")
    assert ground_trouble(around, boom, at + np.array([0.0, 6.0, 0.0]), (0.5, 12.0)) is None


@pytest.mark.parametrize(("azimuth", "why"), [(0.0, "in shot in main"), (90.0, ""), (180.0, "")])
def test_a_lamp_behind_whom_the_camera_looks_at_is_in_shot(tmp_path: Path, azimuth: float, why: str) -> None:
    # The camera stands to the south and looks north along the level; its frame is some 24 degrees high.
    text = FIELD.replace("at: [0, 0]", "at: [-4, 0]").replace("aim: Ann.face", "aim: [0, 4, 1.6]")
    around = around_of(tmp_path, text, azimuth, 8.0)
    (perch,) = perches(around, [(around.azimuth, around.elevation)], [20.0])
    assert perch.why == why


@pytest.mark.parametrize(("rise", "goes"), [("4 deg", True), ("8 deg", False)])
def test_boom_lifts_stand_on_level_ground(tmp_path: Path, rise: str, goes: bool) -> None:
    text = FIELD.replace("size: [400, 400]", f"size: [400, 400], slope: {{rise: {rise}, towards: 45}}")
    around = around_of(tmp_path, text, 180.0, 30.0)
    at = np.array([0.0, -20.0, 8.0])
    trouble = ground_trouble(around, LIFTS[3], at, (0.0, -22.0))
    assert (trouble is None) == goes, trouble
    assert goes == (float(rise.split()[0]) < STEEPEST)


# What light they give.


def bare(stock: Stock, **more: Any) -> Unit:
    return stock.bare(20.0, 15.0, covers=radians(10.0), wide=radians(30.0), lift=LIFTS[3], **more)[0]


def test_bare_head_gives_the_inverse_square() -> None:
    stock = Stock(usual(), 5600.0)
    for unit in stock.bare(20.0, 15.0, covers=radians(10.0), wide=radians(30.0), lift=LIFTS[3]):
        row = usual().heads[unit.head.name]
        candela = row_output(row, flood=unit.flood if unit.flood is not None else 1.0, lens=unit.lens).candela
        lost = 0.5 * sum({"single": 1, "double": 2}[name] for name in unit.scrims) + unit.stops
        gain = unit.candela / candela
        assert unit.count * candela * gain * 2.0**-lost / 15.0**2 == pytest.approx(20.0, rel=1e-6)
        assert unit.output.beam is not None
        assert unit.output.beam >= radians(10.0)


def test_power_is_that_of_all_heads() -> None:
    stock = Stock(usual(), 5600.0)
    strongest = float(stock.candela.max())
    asked = 2.5 * strongest / 8.0**2
    unit = stock.bare(
        asked, 8.0, covers=radians(4.0), wide=radians(4.0), lift=replace(LIFTS[2], carries=900.0)
    )[0]
    assert unit.count >= 3
    assert unit.watts == unit.count * usual().heads[unit.head.name].watts
    assert unit.count * unit.candela / 8.0**2 >= asked


@pytest.mark.parametrize(("near", "far"), [(10.0, 10.0), (10.0, 20.0), (12.0, 15.0), (40.0, 44.0)])
def test_fall_off_is_two_stops_a_doubling(near: float, far: float) -> None:
    assert distance_stops(near, far) == pytest.approx(2.0 * log2(far / near))
    unit = bare(Stock(usual(), 5600.0))
    mark = np.array([0.0, 0.0, 1.0])
    at = mark + near * direction(0.7, 0.5)
    # On the axis, behind the mark.
    behind = at + (mark - at) / near * far
    perch = Perch(0.7, 0.5, near, at, at[2])
    assert relative(perch, unit, mark, behind[None])[0] == pytest.approx(-2.0 * log2(far / near), abs=1e-3)


def test_beam_takes_half_at_its_edge() -> None:
    # The definition of a beam angle, ANSI/IES LS-1: half the axial intensity.
    unit = bare(Stock(usual(), 5600.0))
    assert unit.output.beam is not None
    at, mark = np.array([0.0, 0.0, 5.0]), np.array([0.0, 10.0, 5.0])
    half = unit.output.beam / 2.0
    edge = at + 10.0 * np.array([sin(half), cos(half), 0.0])
    perch = Perch(0.0, 0.0, 10.0, at, 5.0)
    assert relative(perch, unit, mark, edge[None])[0] == pytest.approx(-1.0, abs=0.01)


def test_shadows_of_two_figures_differ_by_the_angle_at_the_lamp() -> None:
    places = [np.array([-2.0, 0.0, 1.6]), np.array([3.0, 1.0, 1.6])]
    faces = [Target(str(n), place, place) for n, place in enumerate(places)]
    lamp = np.array([1.0, 14.0, 9.0])
    one, two, across = (
        float(np.hypot(*way[:2])) for way in (places[0] - lamp, places[1] - lamp, places[1] - places[0])
    )
    # By the law of cosines on the plan.
    wanted = degrees(acos((one**2 + two**2 - across**2) / (2.0 * one * two)))
    assert shadows_apart(Perch(0.0, 0.6, 15.0, lamp, 9.0), faces) == pytest.approx(wanted)
    assert shadows_apart(Perch(0.0, 0.6, 15.0, lamp, 9.0), faces[:1]) is None


def test_apparent_sizes() -> None:
    # The moon: radius 1737.4 km at 384 400 km, 0.518 degrees.
    assert apparent_deg(2 * 1737.4e3, 384_400e3) == pytest.approx(0.518, abs=0.001)
    unit = bare(Stock(usual(), 5600.0))
    perch = Perch(0.0, 0.5, 15.0, np.zeros(3), 8.0)
    assert looks_deg(perch, unit) == pytest.approx(degrees(2.0 * atan(unit.size_m / 30.0)))


@pytest.mark.parametrize(
    ("lamp", "kelvin", "wanted", "gel"),
    # Common practice, no source: full CTB on tungsten for daylight. 131 mired take 5500 K to 3200 K, by arithmetic.
    [
        ("tungsten", 3200.0, 5600.0, "full-ctb"),
        ("discharge-5600", 5500.0, 3200.0, "three-quarter-cto"),
        ("discharge-5600", 5600.0, 5600.0, None),
    ],
)
def test_gel_is_the_one_the_trade_would_take(
    lamp: str, kelvin: float, wanted: float, gel: str | None
) -> None:
    name, gain = nearest_gel(lamp, kelvin, wanted, tuple(usual().gels.values()))
    assert name == gel
    assert (gain < 1.0) == (gel is not None)


# The whole answer.


def test_rigs_read_as_asked_where_they_are_pasted(field: Answer, tmp_path: Path) -> None:
    rigs = field.data["rigs"]
    assert 3 <= len(rigs) <= 6
    best = rigs[0]
    pasted = FIELD.replace(
        "fixtures:\n", "fixtures:\n" + "".join(f"  {line}\n" for line in best["yaml"].splitlines())
    )
    mark = yaml.safe_dump(best["mark"], default_flow_style=True, width=1000).strip()
    scene = read_script(written(tmp_path, pasted + f"marks:\n  - {mark}\n")).scene()
    ready = prepare(scene)
    names = {fixture["name"] for fixture in best["fixtures"]}
    assert all(one.motive == "moon" for one in scene.fixtures if one.name in names)
    mine = replace(ready, lights=tuple(light for light in ready.lights if light.name in names))
    assert len(mine.lights) == best["count"]
    held = receptor_at(scene, scene.marks[0])
    lux = float(levels(mine, (held,), rays=2048, bounces=1, seed=7, store=Scratch()).total.sum())
    assert abs(log2(lux / 8.0)) < STOPS
    assert abs(log2(best["read_lux"] / 8.0)) < STOPS


def test_bare_rigs_agree_with_the_inverse_square(field: Answer) -> None:
    rows = usual().heads
    told = 0
    for one in field.data["rigs"]:
        if one["frame_m"] is not None:
            continue
        told += 1
        candela = row_output(
            rows[one["head"]], flood=1.0 if one["flood"] is None else one["flood"], lens=one["lens"]
        ).candela
        wire = sum({"single": 0.5, "double": 1.0}[name] for name in one["scrims"])
        gel = 0.0 if one["gel"] is None else usual().gels[one["gel"]].stops or 0.0
        lux = one["count"] * candela * one["level"] * 2.0 ** -(wire + gel) / one["throw_m"] ** 2
        # What the ground sends back, and that a gel's loss is its row's on its own lamp alone.
        assert abs(log2(one["read_lux"] / lux)) < 0.25, one["head"]
    assert told


def test_no_rig_is_in_any_frame(field: Answer, tmp_path: Path) -> None:
    script = read_script(written(tmp_path, FIELD))
    for setup in script.setups:
        view = view_of(script.scene(setup=setup))
        for one in field.data["rigs"]:
            assert all(part["status"] != "in shot" for part in one["setups"][setup])
            uv, depth = view.project(np.array([one["at_m"]]))
            assert depth[0] < 0.0 or not ((uv[0] > 0.0) & (uv[0] < 1.0)).all()


def test_figures_of_a_rig_hang_together(field: Answer) -> None:
    for one in field.data["rigs"]:
        assert one["lift"]["highest_m"] >= one["lamp_up_m"]
        assert one["watts"] == one["count"] * usual().heads[one["head"]].watts
        at = np.array(one["at_m"])
        assert one["throw_m"] ** 2 == pytest.approx(
            one["off_m"] ** 2 + (at[2] - _face_height(field)) ** 2, rel=0.01
        )
        assert one["difference_stops"] == pytest.approx(log2(one["read_lux"] / one["asked_lux"]))
        # Ann and Bob are 1.6 m apart: from afar their shadows lie nearly one way.
        assert 0.0 < one["shadows_apart_deg"] < degrees(2.0 * atan(0.8 / (one["off_m"] - 1.6)))
        assert one["over_cast_stops"] is not None
    points = [one["points"] for one in field.data["rigs"]]
    assert points == sorted(points)
    # The camera department's rule, fc = 25 N^2 / (S t), common practice: T2, 1/48 s and the script's usual ISO 800.
    grey_lux = 10.764 * 25.0 * 2.0**2 * 48.0 / 800.0
    assert field.data["asked_grey_stops"] == pytest.approx(log2(8.0 / grey_lux), abs=0.01)
    assert field.data["strongest"]["lux"] > 8.0


def _face_height(answer: Answer) -> float:
    """Of the mark, from one rig's triangle."""
    one = answer.data["rigs"][0]
    return float(one["at_m"][2] - one["throw_m"] * sin(radians(one["elevation_deg"])))


def test_answer_is_told_drawn_and_written(field: Answer, tmp_path: Path) -> None:
    pictures, drawing = (
        next(block for block in field.blocks if isinstance(block, kind)) for kind in (Pictures, Drawing)
    )
    assert isinstance(pictures, Pictures)
    assert isinstance(drawing, Drawing)
    assert [cell.name.partition(",")[0] for cell in pictures.cells][:2] == ["The moon asked for", "Rig 1"]
    assert all(cell.picture is not None and cell.picture.max() > 0 for cell in pictures.cells)
    assert drawing.pixels.shape[1:] == (COLUMN, 3)
    tables = {block.title: block for block in field.blocks if isinstance(block, Table)}
    rigs = len(field.data["rigs"])
    assert [len(tables[title].rows) for title in ("Where they stand", "What they give")] == [rigs, rigs]
    assert [row[:2] for row in tables["In shot or not"].rows] == [
        (f"{number}", setup) for number in range(1, rigs + 1) for setup in ("main", "tight")
    ]
    assert all(
        len(row) == len(table.heads) == len(table.align) for table in tables.values() for row in table.rows
    )
    cautions = [block for block in field.blocks if isinstance(block, Words) and block.caution]
    assert "Overhead lines" in " ".join(cautions[0].sentences)
    assert "nan" not in json_text(field.data)
    assert write_answer(field, tmp_path)[0] == "moon-rig.png"


def test_what_is_asked_is_what_the_scripts_moon_gives(tmp_path: Path) -> None:
    answer = answered(tmp_path, FIELD, 200.0, 30.0)
    assert answer.data["asked"]["lux"] == pytest.approx(2.0, rel=0.01)
    assert answer.data["asked"]["taken_out"] == ["low moon"]
    assert answer.data["rigs"]


def test_softness_that_is_asked_for_ranks(tmp_path: Path) -> None:
    answer = answered(tmp_path, FIELD, 320.0, 30.0, lux=8.0, looks_deg=8.0)
    best = answer.data["rigs"][0]
    assert best["frame_m"] is not None
    assert 4.0 < best["looks_deg"] < 16.0


# What cannot be done is said.


def said(answer: Answer, words: Sequence[str]) -> None:
    assert answer.data["rigs"] == []
    text = sentences(answer)
    assert "No rig does it" in text
    for word in words:
        assert word in text, text
    assert answer.data["along"]


def test_water_all_round(tmp_path: Path) -> None:
    text = FIELD.replace("material: grass, size: [400, 400]", "material: sand, size: [5, 5]").replace(
        "set:", "set:\n  - ground: {name: sea, material: water, size: [500, 500], height: -0.4}"
    )
    said(answered(tmp_path, text, 320.0, 35.0), ["would stand in water (sea)", "No other direction"])


def test_a_direction_from_behind_a_house(tmp_path: Path) -> None:
    text = FIELD.replace("cast:", "  - house: {name: barn, at: [0, 5], size: [60, 6]}\ncast:")
    answer = answered(tmp_path, text, 0.0, 12.0)
    said(answer, ["barn in the way to Ann.face", "The nearest direction from which one does is"])
    assert answer.data["nearest"]["off_direction_deg"] > 15.0
    assert any("higher clears it" in row["helps"] for row in answer.data["along"])


def test_indoors(tmp_path: Path) -> None:
    text = FIELD.replace("cast:", "  - house: {name: hut, at: [0, 0], size: [9, 7]}\ncast:")
    said(answered(tmp_path, text, 0.0, 35.0), ["hut in the way"])


@pytest.mark.parametrize(("lux", "word"), [(3e6, "under what is asked"), (1e-4, "over what is asked")])
def test_light_that_no_head_gives(tmp_path: Path, lux: float, word: str) -> None:
    said(answered(tmp_path, FIELD, 320.0, 35.0, lux=lux), [word])


def test_straight_overhead_hangs_over_nobody(tmp_path: Path) -> None:
    answer = answered(tmp_path, FIELD, 0.0, 90.0)
    for one in answer.data["rigs"]:
        assert min(hypot(one["at_m"][0] - x, one["at_m"][1] - y) for x, y in ((0.0, 0.0), (1.5, 0.5))) >= 2.5
        assert one["elevation_deg"] >= 79.0
    assert any("nobody works below" in row["what"] for row in answer.data["along"])


def test_nobody_in_the_scene(tmp_path: Path) -> None:
    text = FIELD[: FIELD.index("cast:")] + (
        "camera: {format: super35-3perf, lens: {focal: 35 mm, stop: 2.0}, at: [0, -6, 1.6], aim: [0, 4, 1]}\n"
    )
    answer = answered(tmp_path, text, 320.0, 20.0, lux=5.0)
    assert answer.data["rigs"]
    assert answer.data["rigs"][0]["over_cast_stops"] is None
    heads = {head for block in answer.blocks if isinstance(block, Table) for head in block.heads}
    assert heads.isdisjoint({"over the cast, stops", "shadows apart"})


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (RigOptions(0.0, 0.0), "not between 1 and 90 degrees"),
        (RigOptions(0.0, 91.0), "not between 1 and 90 degrees"),
        (RigOptions(0.0, 30.0, lux=0.0), "not more than none"),
        (RigOptions(0.0, 30.0, mark="Anne.face"), 'did you mean "Ann.face"'),
        (RigOptions(0.0, 30.0, setup="wide"), "wide"),
    ],
)
def test_what_makes_no_sense_is_told(tmp_path: Path, options: RigOptions, words: str) -> None:
    with pytest.raises(UserError, match=words):
        rig(read_script(written(tmp_path, FIELD)), options, store=Scratch())
