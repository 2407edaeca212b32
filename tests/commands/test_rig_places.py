"""Where rigs for the moon may stand, what holds their frames, how large they look, and which direction is nearest."""

from __future__ import annotations

from dataclasses import replace
from math import atan, cos, degrees, log2, pi, radians, sin, tan
from pathlib import Path

import numpy as np
import pytest

from preview.camera.framing import view_of
from preview.commands.metering.frames import frames_of
from preview.commands.metering.readings import Receptor
from preview.commands.prepare import prepare
from preview.commands.rig.around import Around, Target, Watcher
from preview.commands.rig.footing import FROM_WATER, LEFT_FREE, footing_of, ground_trouble
from preview.commands.rig.frames import FRAME_STANDS, HELD_OUT, within
from preview.commands.rig.lifts import LIFTS
from preview.commands.rig.light import SeenSet, looks_deg, seen_set
from preview.commands.rig.nearest import STEP, nearest_candidates, rings
from preview.commands.rig.places import Perch, direction, perches, shown
from preview.commands.rig.search import (
    AT_EASE,
    EDGE,
    Candidate,
    candidates_at,
    edge_points,
    frame_stands,
    search,
)
from preview.commands.rig.stock import MOST_HEADS, SPARE, Stock
from preview.commands.rig.trial import fixtures_of, lights_of_rig, looks_of, tried
from preview.commands.rig.units import ON_LIFT, ON_STANDS, Unit, frame_kg
from preview.script.read import read_script
from preview.trace.store import Scratch
from preview.trade.catalogue import usual

FIELD = """
title: An open field
set:
  - ground: {name: field, material: grass, size: [400, 400]}
cast:
  - {name: Ann, person: woman, at: [-8, -2], facing: 180}
camera: {format: super35-3perf, lens: {focal: 35 mm, stop: 2.0}, at: [0, -6, 1.6], aim: [0, 10, 1.6]}
"""
STAND, TOWER, BOOM = LIFTS[0], LIFTS[2], LIFTS[4]


def around_of(folder: Path, pieces: str = "", azimuth: float = 0.0, elevation: float = 30.0) -> Around:
    """The field with some more in it, and its mark 1.5 m above its middle."""
    path = folder / "scene.yaml"
    path.write_text(FIELD.replace("cast:", f"{pieces}\ncast:"), encoding="utf-8")
    scene = read_script(path).scene()
    ready = prepare(scene)
    rays, mark = ready.stage.solid.rays, np.array([0.0, 0.0, 1.5])
    watcher = Watcher("main", view_of(scene), ready.world, rays)
    target = Target("here", mark, mark)
    return Around(scene, ready.world, rays, (watcher,), target, (), radians(azimuth), radians(elevation))


def trouble(around: Around, lift_number: int, x: float, y: float) -> str:
    """What is against a lift right below a lamp; `free` for nothing."""
    at = np.array([x, y, around.scene.terrain.footing(x, y) + 8.0])
    return ground_trouble(around, LIFTS[lift_number], at, (x, y)) or "free"


# What they stand on.


BEACH = """  - ground: {name: beach, material: sand, at: [0, 20], size: [80, 20], height: 0.02}
  - ground: {name: sea, material: water, at: [0, 60], size: [200, 60.5], height: 0.01}
  - ground: {name: wet edge, material: wet sand, at: [-30, 16], size: [20, 8], height: 0.04}"""
"""The sand ends at 30 m north, where the sea begins."""


@pytest.mark.parametrize(("gap", "goes"), [(0.3, False), (1.6, False), (2.5, True), (6.0, True)])
def test_what_stands_keeps_off_water(tmp_path: Path, gap: float, goes: bool) -> None:
    around = around_of(tmp_path, BEACH)
    for number, lift in enumerate(LIFTS[:3]):
        y = 30.0 - gap - lift.across / 2.0
        assert (gap > FROM_WATER) == goes
        assert trouble(around, number, 0.0, y) == ("free" if goes else "less than 2 m from water (sea)")
        footing = footing_of(around, lift, (0.0, y))
        assert footing.water_m == pytest.approx(gap, abs=0.25)
        assert footing.water == "sea"
        assert (footing.ground, footing.material, footing.soft) == ("beach", "sand", True)


def test_no_water_is_none(tmp_path: Path) -> None:
    footing = footing_of(around_of(tmp_path), STAND, (10.0, 10.0))
    assert footing.water_m is None
    assert footing.words == "field, grass"
    assert not footing.soft


def test_towers_and_lifts_keep_off_wet_ground(tmp_path: Path) -> None:
    around = around_of(tmp_path, BEACH)
    for number in (2, 3, 4, 5):
        assert "on wet ground (wet edge, wet sand)" in trouble(around, number, -30.0, 16.0)
    # A stand goes there, and it is said what it stands on.
    assert trouble(around, 0, -30.0, 16.0) == "free"
    footing = footing_of(around, STAND, (-30.0, 16.0))
    assert footing.wet
    assert footing.soft


@pytest.mark.parametrize("wet", [0.0, 0.7])
def test_paving_bears_a_lift_wet_or_dry_and_grass_dry_alone(tmp_path: Path, wet: float) -> None:
    yard = f"  - ground: {{name: yard, material: cobbles, at: [30, 0], size: [30, 30], height: 0.02, wet: {wet}}}\n"
    lawn = (
        f"  - ground: {{name: lawn, material: grass, at: [-30, 0], size: [30, 30], height: 0.02, wet: {wet}}}"
    )
    around = around_of(tmp_path, yard + lawn)
    assert trouble(around, 4, 30.0, 0.0) == "free"
    assert ("wet ground" in trouble(around, 4, -30.0, 0.0)) == (wet > 0.0)


@pytest.mark.parametrize("towards", [0, 30, 45, 90, 200])
def test_slope_is_that_of_the_ground_whichever_way_it_falls(tmp_path: Path, towards: int) -> None:
    rise = f"slope: {{rise: 7 %, towards: {towards}}}"
    around = around_of(
        tmp_path,
        f"  - ground: {{name: hill, material: grass, at: [0, 150], height: 20, size: [99, 99], {rise}}}",
    )
    # 7 in 100.
    assert footing_of(around, BOOM, (5.0, 140.0)).slope_deg == pytest.approx(degrees(atan(0.07)), abs=0.05)
    assert trouble(around, 4, 5.0, 140.0) == "free"
    steep = rise.replace("7 %", "9 %")
    around = around_of(
        tmp_path,
        f"  - ground: {{name: hill, material: grass, at: [0, 150], height: 20, size: [99, 99], {steep}}}",
    )
    assert trouble(around, 4, 5.0, 140.0) == "the ground slopes 5°, too much for a boom lift"
    assert trouble(around, 0, 5.0, 140.0) == "free"


@pytest.mark.parametrize(("gap", "goes"), [(0.5, False), (0.9, False), (1.2, True), (2.5, True)])
def test_room_is_left_about_a_base(tmp_path: Path, gap: float, goes: bool) -> None:
    wall = "  - wall: {name: old wall, along: [[-20, 30], [20, 30]], height: 2.5, thickness: 0.5}"
    around = around_of(tmp_path, wall)
    assert goes == (gap > LEFT_FREE)
    for number in (2, 4):
        lift = LIFTS[number]
        y = 29.75 - gap - lift.across / 2.0
        assert trouble(around, number, 0.0, y) == ("free" if goes else "less than 1 m from the old wall")
        footing = footing_of(around, lift, (0.0, y))
        assert footing.free_m == pytest.approx(gap, abs=0.06)
        assert footing.beside == "old wall"
    # A stand needs less.
    assert trouble(around, 0, 0.0, 29.75 - 0.5 - STAND.across / 2.0) == "free"


# What cameras see of them.


@pytest.mark.parametrize(
    ("wall", "words"),
    [(3.5, "in shot in main"), (4.5, "less than 0.5 m from showing in main"), (5.5, None)],
)
def test_what_hides_covers_with_room_to_spare(tmp_path: Path, wall: float, words: str | None) -> None:
    # The lens is 1.6 m up and 35.5 m from a head whose top is 5.5 m up: the line over it passes a wall 26 m off at 4.46 m.
    assert pytest.approx(4.46, abs=0.01) == 1.6 + 3.9 * 26.0 / 35.5
    around = around_of(
        tmp_path,
        f"  - wall: {{name: old wall, along: [[-40, 20], [40, 20]], height: {wall}, thickness: 0.1}}",
    )
    said, _ = shown(around, TOWER, np.array([0.0, 30.0, 5.0]), (0.0, 30.0))
    assert said == words


def test_degrees_from_the_frame_are_those_at_the_lens(tmp_path: Path) -> None:
    around = around_of(tmp_path)
    view = around.watchers[0].view
    # A stand off to the right: its nearest edge's bearing less half the frame's.
    at = np.array([20.0, 20.0, 1.6])
    said, clear = shown(around, replace(STAND, across=1.0), at, (20.0, 20.0))
    assert said is None
    nearest = min(degrees(atan(x / y)) for x in (19.5, 20.5) for y in (25.5, 26.5))
    assert clear == pytest.approx(nearest - degrees(atan(view.tan_half_width)), abs=0.1)


def test_clearance_counts_in_the_ranking_and_so_does_the_ground(tmp_path: Path) -> None:
    around = around_of(tmp_path, elevation=35.0)
    stock, seen = Stock(usual(), 5600.0), seen_set(around)
    (perch,) = perches(around, [(radians(70.0), radians(35.0))], [20.0])
    assert perch.why == ""
    assert perch.footing is not None
    ease = next(candidates_at(around, stock, replace(perch, clear_deg=30.0), seen, 8.0, None))
    near = next(candidates_at(around, stock, replace(perch, clear_deg=1.0), seen, 8.0, None))
    sloped = replace(perch, clear_deg=30.0, footing=replace(perch.footing, slope_deg=4.5))
    tilted = next(candidates_at(around, stock, sloped, seen, 8.0, None))
    shady = next(
        candidates_at(around, stock, replace(perch, clear_deg=30.0, faces_shade=(0.9, 0.0)), seen, 8.0, None)
    )
    assert near.points - ease.points == pytest.approx(edge_points(1.0))
    assert near.reasons[[name for name, _ in near.reasons].index(EDGE)][1] > 0.5
    assert tilted.points > ease.points + 0.5
    assert dict(tilted.reasons)["sloping ground"] > 0.5
    assert shady.points > ease.points + 0.5
    costs = [edge_points(clear) for clear in (0.0, 1.0, 3.0, AT_EASE, 40.0, np.inf)]
    assert costs == sorted(costs, reverse=True)
    assert costs[0] == 1.0
    assert costs[-2:] == [0.0, 0.0]


# What holds frames.


@pytest.mark.parametrize(("number", "height"), [(0, 2.6), (0, 4.2), (1, 5.5), (2, 7.0), (4, 13.0), (3, 4.0)])
@pytest.mark.parametrize("lux", [2.0, 40.0])
def test_something_holds_each_frame_where_it_is(number: int, height: float, lux: float) -> None:
    lift, up, stock = LIFTS[number], radians(25.0), Stock(usual(), 5600.0)
    throw = (height - 1.5) / sin(up)
    units = stock.soft(lux, max(throw, 6.0), lift=lift, height=height, up=up, every_cloth=True)
    for unit in units:
        assert unit.frame_m is not None
        assert unit.weight_kg <= lift.carries
        middle = height - unit.away * sin(up)
        half = 0.5 * unit.frame_m * cos(up)
        if unit.held == ON_STANDS:
            assert middle + half <= FRAME_STANDS
            assert middle - half > 0.0
        else:
            assert unit.held == ON_LIFT
            assert not lift.stands_below
            assert unit.away <= HELD_OUT
            assert unit.frame_m <= lift.frame
            weight = 15.0 if unit.head.weight is None else unit.head.weight
            assert unit.weight_kg == pytest.approx(weight + frame_kg(unit.frame_m))
    if number in (0, 4):
        assert units
    if height > FRAME_STANDS + HELD_OUT:
        assert all(unit.held == ON_LIFT for unit in units)


def test_stands_of_a_frame_need_ground_as_well(tmp_path: Path) -> None:
    unit = framed_unit(Stock(usual(), 5600.0), "half-grid")
    at = np.array([0.0, 0.0, 1.5]) + 18.0 * direction(radians(90.0), radians(8.0))
    perch = Perch(radians(90.0), radians(8.0), 18.0, at, float(at[2]), STAND, (float(at[0]), float(at[1])))
    assert frame_stands(around_of(tmp_path), perch, unit)
    # Just under the frame, clear of the head's own stand.
    x = float(at[0]) - unit.away * cos(radians(8.0))
    pond = f"  - ground: {{name: pond, material: water, at: [{x:.2f}, 0], size: [0.6, 3], height: 0.01}}"
    assert not frame_stands(around_of(tmp_path, pond), perch, unit)
    lane = f"  - street: {{name: lane, along: [[{x:.2f}, -30], [{x:.2f}, 30]], width: 0.6, pavement: [0, 0]}}"
    assert not frame_stands(around_of(tmp_path, lane), perch, unit)


# What light they give.


def test_a_lamp_that_burns_what_stands_beside_it_ranks_lower(tmp_path: Path) -> None:
    around, stock = around_of(tmp_path, elevation=35.0), Stock(usual(), 5600.0)
    (perch,) = perches(around, [(radians(70.0), radians(35.0))], [20.0])
    # A wall a quarter of the way from the lamp: four stops more than at the mark, by the inverse square.
    places = np.repeat((perch.at + 0.25 * (np.array([0.0, 0.0, 1.5]) - perch.at))[None], 9, axis=0)
    burnt = SeenSet(places, ("wall",) * 9, np.ones(9, bool))
    reasons = dict(next(candidates_at(around, stock, perch, burnt, 8.0, None)).reasons)
    assert reasons["too much light on the set"] == pytest.approx(0.4 * (4.0 - 1.0), rel=0.02)
    fine = replace(burnt, places=np.zeros((9, 3)))
    reasons = dict(next(candidates_at(around, stock, perch, fine, 8.0, None)).reasons)
    assert reasons["too much light on the set"] == 0.0


@pytest.mark.parametrize("lift", [STAND, TOWER, BOOM])
@pytest.mark.parametrize("throw", [8.0, 25.0])
def test_strongest_is_the_most_that_is_found(lift: object, throw: float) -> None:
    stock, row = Stock(usual(), 5600.0), next(one for one in LIFTS if one is lift)
    covers = radians(8.0)
    lux, words = stock.strongest(throw, covers=covers, lift=row)
    assert stock.bare(0.99 * lux, throw, covers=covers, wide=covers, lift=row)
    assert not stock.bare(1.01 * lux, throw, covers=covers, wide=covers, lift=row)
    assert words.endswith("bare")
    # By the inverse square, of every number of heads that it carries, a spare third of a stop and more left.
    most = max(
        count * candela
        for count in range(1, MOST_HEADS + 1)
        for candela, weight, beam in zip(stock.candela, stock.weights, stock.beams, strict=True)
        if beam >= covers and count * weight <= row.carries
    )
    assert lux == pytest.approx(most / throw**2 / 2.0**SPARE, rel=1e-6)


def test_search_tells_the_most_light_to_be_had(tmp_path: Path) -> None:
    around, stock = around_of(tmp_path, azimuth=70.0, elevation=35.0), Stock(usual(), 5600.0)
    found = search(around, stock, lux=1e6, looks=None)
    assert found.free
    assert not found.candidates
    assert found.strongest is not None
    nearest = min(perch.throw for perch in found.free)
    assert 0.0 < found.strongest.lux < 1e6
    assert found.strongest.lux <= 4 * float(stock.candela.max()) / nearest**2
    assert search(around, stock, lux=0.9 * found.strongest.lux, looks=None).candidates


def framed_unit(stock: Stock, cloth: str, feet: int = 8) -> Unit:
    units = stock.soft(20.0, 18.0, lift=STAND, height=4.0, up=radians(10.0), every_cloth=True)
    return next(
        one for one in units if one.cloth == cloth and one.frame_m == pytest.approx(feet * 0.3048, abs=0.01)
    )


@pytest.mark.parametrize("cloth", ["quarter-grid", "half-grid", "full-grid"])
def test_a_frame_looks_as_large_as_the_meter_says(tmp_path: Path, cloth: str) -> None:
    around = around_of(tmp_path, elevation=10.0)
    unit = framed_unit(Stock(usual(), 5600.0), cloth)
    at = np.array([0.0, 0.0, 1.5]) + 18.0 * direction(0.0, radians(10.0))
    perch = Perch(0.0, radians(10.0), 18.0, at, float(at[2]), STAND, (float(at[0]), float(at[1])))
    candidate = Candidate(perch, unit, 0.0, ())
    ready = prepare(around.scene)
    lights = lights_of_rig(ready, fixtures_of(candidate, [0.0, 0.0, 1.5], level=1.0, taken=()))
    looks = looks_of(around, candidate, lights[0])
    facing = at - around.mark.meter
    held = Receptor("here", around.mark.meter, facing / np.linalg.norm(facing), None)
    (reading,) = frames_of(replace(ready, lights=lights), (held,))
    (mark,) = reading.marks
    assert mark.size_deg is not None
    assert looks == pytest.approx(mark.size_deg, rel=1e-3)
    assert mark.direct == pytest.approx(unit.direct, abs=0.06)
    # The estimate that ranks is near it; all of the frame would look as large as this:
    whole = degrees(2.0 * atan(2.438 / pi**0.5 / (18.0 - unit.away)))
    assert looks_deg(perch, unit) == pytest.approx(looks, rel=0.1)
    assert looks <= whole * 1.02
    assert (looks < 0.6 * whole) == (cloth == "quarter-grid")


def test_a_trial_tells_what_its_frame_does(tmp_path: Path) -> None:
    around, stock = around_of(tmp_path, azimuth=90.0, elevation=10.0), Stock(usual(), 5600.0)
    (perch,) = perches(around, [(around.azimuth, around.elevation)], [18.0])
    assert perch.why == ""
    unit = framed_unit(stock, "quarter-grid")
    bare = next(
        one
        for one in candidates_at(around, stock, perch, seen_set(around), 8.0, None)
        if not one.unit.is_soft
    )
    pair = [replace(bare, unit=unit), bare]
    framed, plain = tried(
        around, prepare(around.scene), pair, [0.0, 0.0, 1.5], lux=8.0, store=Scratch(), seed=1
    )
    assert not isinstance(framed, str)
    assert not isinstance(plain, str)
    assert framed.direct == pytest.approx(unit.direct, abs=0.06)
    # What leaves the head outside the cone of the frame's area misses it.
    beam, field = unit.output.beam, unit.output.field
    assert beam is not None
    assert field is not None
    assert unit.frame_m is not None
    edge = atan(unit.frame_m / pi**0.5 / unit.away)
    spill = 1.0 - within(beam, field, edge) / within(beam, field, pi / 2.0)
    assert framed.spill == pytest.approx(spill, abs=0.06)
    assert (plain.direct, plain.spill, plain.fill_stops) == (None, None, None)
    assert framed.close == plain.close == ()
    assert 0.0 < framed.clear_deg <= plain.clear_deg


def test_what_misses_a_frame_goes_past_it_unweakened() -> None:
    unit = framed_unit(Stock(usual(), 5600.0), "quarter-grid")
    assert unit.frame_m is not None
    throw, edge = 18.0, atan(unit.frame_m / pi**0.5 / unit.away)
    offs = np.array([0.0, 0.98 * edge, 1.02 * edge])
    on, inside, past = unit.along(offs, np.full(3, throw), throw)
    assert on == pytest.approx(1.0)
    bare = float(unit.output.profile(np.cos(offs[2:]).astype(np.float32))[0])
    cloth = (1.0 - unit.direct) * cos(offs[2])
    assert past == pytest.approx(bare / unit.passes + cloth, rel=1e-4)
    assert past > inside


# What is nearest.


def test_rings_are_as_far_off_as_they_say(tmp_path: Path) -> None:
    around = around_of(tmp_path, azimuth=75.0, elevation=12.0)
    ahead = direction(around.azimuth, around.elevation)
    told = list(rings(around))
    assert [off for off, _ in told] == pytest.approx(list(np.arange(STEP, 180.0, STEP))[: len(told)])
    every = []
    for off, ways in told:
        made = np.array([direction(*way) for way in ways])
        assert np.degrees(np.arccos(made @ ahead)) == pytest.approx(np.full(len(ways), off), abs=1e-4)
        every.append(made)
    # No direction of the sky is farther from all of them than a step's diagonal.
    whole = np.concatenate(every)
    for azimuth in range(0, 360, 17):
        for elevation in (5.0, 20.0, 45.0, 80.0):
            way = direction(radians(azimuth), radians(elevation))
            gap = degrees(np.arccos(min(1.0, float((whole @ way).max()))))
            assert gap <= STEP or degrees(np.arccos(float(way @ ahead))) < STEP


def test_nearest_goes_up_as_far_as_it_must(tmp_path: Path) -> None:
    # Over a wall 9.5 m above the mark and 8 m off one must look 50 degrees up: 38 above the 12 asked for. It is too long
    # to go round.
    wall = "  - wall: {name: old wall, along: [[-80, 8.1], [80, 8.1]], height: 11, thickness: 0.2}"
    around = around_of(tmp_path, wall, azimuth=0.0, elevation=12.0)
    stock, clears = Stock(usual(), 5600.0), degrees(atan(9.5 / 8.0))
    assert not search(around, stock, lux=8.0, looks=None).free
    off, candidates = next(nearest_candidates(around, stock, seen_set(around), lux=8.0, looks=None))
    assert clears - 12.0 <= off + 1.0
    assert off < clears - 12.0 + 2.0 * STEP
    for one in candidates:
        over = one.perch.at[1] * tan(radians(clears)) if one.perch.at[1] > 8.0 else 0.0
        assert one.perch.at[2] - 1.5 >= over - 0.3
        assert log2(1.0 - one.perch.shade) > -1.0
