"""Keys of vehicles, camp and market: what cannot be built is said, places can be aimed at, cameras may sit in a car."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.script.scenes import SMALL, faults, scene

ON_GROUND = "camera: {lens: {focal: 35 mm}, at: [0, -8], aim: [0, 4]}\n"


@pytest.mark.parametrize(
    ("piece", "said"),
    [
        ("car: {at: [0, 0], length: 9}", "length: a saloon is 2.73 to 6.82 m long, 4.55 m usually"),
        ("boat: {at: [0, 0], length: 12}", "length: a boat is 2.64 to 6.6 m long, 4.4 m usually"),
        ("car: {at: [0, 0], paint: blue car pain}", 'no material "blue car pain"; did you mean "blue car paint"?'),
        ("string: {along: [[0, 0], [40, 0]], spacing: 0.06}", "a string has 400 at the most"),
        ("string: {along: [[0, 0], [4, 0]], height: 2, sag: 2}", "sag: it would hang down to the ground"),
        ("string: {along: [[0, 0], [1, 0]], spacing: 5}", "the string is shorter than this, so it has no bulb"),
        ("rocks: {at: [0, 0], size: [2, 1]}", "size: the smallest, 2 m, is larger than the largest, 1 m"),
        ("rocks: {at: [0, 0], size: [2, 11]}", "size: a rock is 8 m across at the most"),
        ("driftwood: {at: [0, 0], length: [3, 1]}", "length: the shortest, 3 m, is longer than the longest, 1 m"),
        ("tent: {at: [0, 0], size: [40, 3]}", "size: a tent is 0.8 to 12 m wide and deep"),
        ("stall: {at: [0, 0], height: 9}", "height: a stall is 1.8 to 4.5 m high"),
        ("stall: {at: [0, 0], stripe: tartan}", 'stripe: no material "tartan"'),
        ("washing: {along: [[0, 0], [3, 0], [5, 1]]}", "a washing line goes from one post to another: two points"),
        ("washing: {along: [[0, 0], [60, 0]]}", "along: a washing line is 1 to 20 m long"),
    ],
)  # fmt: skip
def test_what_cannot_be_built_is_said(tmp_path, piece, said):
    assert any(said in fault for fault in faults(tmp_path, f"set:\n  - {piece}\n{SMALL}"))


def test_lamps_seats_and_bulbs_can_be_named(tmp_path):
    made = scene(
        tmp_path,
        "set:\n"
        "  - van: {at: [3, 4], facing: 90}\n"
        "  - string: {name: lights, along: [[0, 0], [4, 0]]}\n"
        "  - lamp_post: {name: mast, kind: double, at: [0, 9], facing: 90}\n"
        "fixtures:\n"
        "  - {name: tail, practical: {kind: tail_lamp, at: van.tail.left}}\n"
        "  - {name: bulb, practical: {kind: bulb, at: 'lights[2]'}}\n" + SMALL,
    )
    # A van that faces east has its left to the north, its tail to the west.
    x, y, _ = made.anchors["van.tail.left"].position
    assert (x, y) == pytest.approx((3 - 2.255, 4 + 0.836), abs=1e-6)
    assert made.anchors["van.tail.left"].facing == pytest.approx((-1, 0, 0), abs=1e-9)
    assert made.anchors["mast.lamp[1]"].position[0] == pytest.approx(-1.4)
    assert made.anchors["mast.lamp"].position[0] == pytest.approx(1.4)
    assert made.anchors["bulb"].position == pytest.approx(made.anchors["lights[2]"].position)


def test_a_camera_may_sit_in_a_car_but_not_in_its_engine(tmp_path):
    car = "set:\n  - car: {at: [0, 0], facing: 0}\n"
    lens = "camera: {{lens: {{focal: 35 mm}}, at: {}, aim: [0, 9, 1]}}\n"
    scene(tmp_path, car + lens.format("[-0.3, -0.2, 1.1]"))
    assert any("the car car" in fault for fault in faults(tmp_path, car + lens.format("[0, 1.6, 0.5]")))


def test_things_stand_on_sloping_ground(tmp_path):
    made = scene(
        tmp_path,
        "set:\n  - ground: {slope: {rise: 10 %, towards: 0}}\n  - car: {at: [0, 10], facing: 0}\n" + SMALL,
    )
    level = scene(tmp_path, "set:\n  - car: {at: [0, 10], facing: 0}\n" + SMALL)
    rise = np.array(made.anchors["car.roof"].position) - np.array(level.anchors["car.roof"].position)
    assert rise == pytest.approx([0, 0, 1.0], abs=0.05)


@pytest.mark.parametrize(
    "piece",
    [
        "string: {along: [[-7, 4], [-7, 4]]}",
        "street: {along: [[4, 8], [4, 8]]}",
        "street: {along: [[4, 8], [4, 8], [9, 8]]}",
        "footpath: {along: [[4, 8], [9, 8], [9, 8]]}",
    ],
)
def test_a_path_that_stands_still_is_told(tmp_path: Path, piece: str) -> None:
    told = faults(tmp_path, f"{ON_GROUND}set:\n  - {piece}\n")
    assert any("the path stands still here" in fault for fault in told)


def test_what_a_person_wears_and_a_polygon_are_told_in_words(tmp_path: Path) -> None:
    told = "\n".join(
        faults(
            tmp_path,
            f"{ON_GROUND}set:\n  - trees: {{in: [[0, 0], [1, 1]]}}\n"
            "cast:\n  - {name: Ana, at: [0, 0], facing: 180, wears: dress, hood: up}\n",
        )
    )
    assert "a dress has no hood; a raincoat has" in told
    assert "needs three or more points, not 2" in told
