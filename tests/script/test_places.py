"""Named places against positions worked out by hand."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, radians, sin, sqrt
from pathlib import Path

import numpy as np
import pytest

from preview.script.scene import Anchor
from tests.script.scenes import SMALL, scene

# A house 8 m along its front and 6 m deep round (10, 20); floor 0.5 m, walls 3 m; the front looks south, so somebody
# who looks at it has west on their left.
SOUTH = """\
set:
  - house: {name: house, at: [10, 20], size: [8, 6], walls: 3, floor: 0.5, roof: {pitch: 45 deg}, porch: {depth: 2},
            doors: [{from_left: 5, size: [1, 2]}, {wall: back, from_left: 1, size: [1, 2]}],
            windows: [{from_left: 1, sill: 1, size: [2, 1]}, {wall: left, from_left: 1, sill: 1, size: [1, 1]}]}
"""


def places(tmp_path: Path, text: str) -> dict[str, Anchor]:
    return dict(scene(tmp_path, text + SMALL).anchors)


def check(
    anchor: Anchor, position: Sequence[float], facing: list[float] | None = None, *, within: float = 1e-9
) -> None:
    np.testing.assert_allclose(anchor.position, position, rtol=0, atol=within)
    if facing is not None:
        assert anchor.facing is not None
        np.testing.assert_allclose(anchor.facing, facing, rtol=0, atol=within)


def test_a_house_that_looks_south(tmp_path: Path) -> None:
    found = places(tmp_path, SOUTH)
    check(found["house"], [10, 20, 2])
    check(found["house.front"], [10, 17, 2], [0, -1, 0])
    check(found["house.back"], [10, 23, 2], [0, 1, 0])
    check(found["house.left"], [6, 20, 2], [-1, 0, 0])
    check(found["house.right"], [14, 20, 2], [1, 0, 0])
    assert found["house.front"].size == (8, 3)
    assert found["house.left"].size == (6, 3)
    # The front's left end is at x = 6; the door's middle 5.5 m to its right, 1 m above the floor.
    check(found["house.door"], [11.5, 17, 1.5], [0, -1, 0])
    assert found["house.door[0]"] == found["house.door"]
    # Seen from behind the left end of the back wall is at x = 14.
    check(found["house.door[1]"], [12.5, 23, 1.5], [0, 1, 0])
    # A window's place is 28 mm behind its wall's face, so that a lit one glows behind both its sashes.
    check(found["house.window"], [8, 17.028, 2], [0, -1, 0])
    assert found["house.window[0]"].size == (2, 1)
    # Seen from the west the left end of the left wall is the northern one.
    check(found["house.window[1]"], [6.028, 21.5, 2], [-1, 0, 0])
    check(found["house.room"], [10, 20, 2])
    # 45 degrees over half of 6 m rise by 3 m.
    check(found["house.roof"], [10, 20, 6.5])
    check(found["house.porch"], [10, 16, 0.5], [0, -1, 0])
    # 0.15 m to the right of the opening, a quarter of a metre out, 2.1 m above the floor.
    check(found["house.porch.lamp"], [12.15, 16.75, 2.6])
    # Half a metre is three risers of 0.167 m, two treads of 0.29 m; the lower one reaches to 2.58 m from the wall.
    check(found["house.porch.step"], [11.5, 17 - 2 - 1.5 * 0.29, 0.5 / 3])


def test_a_house_that_looks_east(tmp_path: Path) -> None:
    found = places(tmp_path, SOUTH.replace("floor:", "facing: 90 deg, floor:"))
    check(found["house.front"], [13, 20, 2], [1, 0, 0])
    # Somebody who looks west at it has south on their left.
    check(found["house.left"], [10, 16, 2], [0, -1, 0])
    check(found["house.door"], [13, 16 + 5.5, 1.5], [1, 0, 0])
    check(found["house.porch.lamp"], [13.25, 16 + 6.15, 2.6])


def test_no_porch_no_lamp(tmp_path: Path) -> None:
    found = places(tmp_path, SOUTH.replace(", porch: {depth: 2}", ""))
    assert "house.room" in found
    assert not [name for name in found if "porch" in name]


def test_the_lamp_stays_on_the_porch(tmp_path: Path) -> None:
    text = SOUTH.replace("from_left: 5, size: [1, 2]", "from_left: 6.8, size: [1, 2]")
    check(places(tmp_path, text)["house.porch.lamp"], [6 + 6.8 - 0.15, 16.75, 2.6])


NEAR = 0.02
"""Metres by which a body that stands or sits at ease is off its straight axis."""


def test_standing_figures(tmp_path: Path) -> None:
    """Fractions of stature from memory of anthropometric tables: eyes 0.936, chest 0.72."""
    found = places(tmp_path, "cast: [{name: A, at: [1, 2], ground: 0.5, facing: 90, height: 2}]\n")
    check(found["A"], [1, 2, 0.5 + 1.44], [1, 0, 0], within=NEAR)
    check(found["A.chest"], [1 + 0.058 * 2, 2, 0.5 + 1.44], [1, 0, 0], within=NEAR)
    check(found["A.face"], [1 + 0.07 * 2, 2, 0.5 + 1.84], [1, 0, 0], within=0.005)
    check(found["A.eyes"], [1 + 0.09 * 2 / 1.75, 2, 0.5 + 1.872], [1, 0, 0], within=0.005)
    check(found["A.feet"], [1, 2, 0.5], [1, 0, 0])


def test_sitting_figures(tmp_path: Path) -> None:
    """Sitting, the eyes are the seat's height and 0.46 of stature above the feet (from memory, as above)."""
    found = places(tmp_path, "cast: [{name: A, at: [1, 2], facing: 0, height: 1.7, pose: sit, seat: 0.5}]\n")
    check(found["A.eyes"], [1, 2 + 0.09 * 1.7 / 1.75, 0.5 + 0.46 * 1.7])
    # All that is above the seat comes down by as much.
    check(found["A.chest"], [1, 2 + 0.058 * 1.7, 0.5 + 0.46 * 1.7 - (0.936 - 0.72) * 1.7], within=2 * NEAR)
    check(found["A.feet"], [1, 2 + 0.24 * 1.7, 0], within=2 * NEAR)


def test_figures_that_face_each_other(tmp_path: Path) -> None:
    text = "cast: [{name: A, at: [0, 0], facing: B.face}, {name: B, at: [3, 3], facing: A.eyes}]\n"
    found = places(tmp_path, text)
    check(found["A"], [0, 0, 0.72 * 1.75], [sqrt(0.5), sqrt(0.5), 0], within=NEAR)
    check(found["B"], [3, 3, 0.72 * 1.75], [-sqrt(0.5), -sqrt(0.5), 0], within=NEAR)


def test_a_face_turns_with_the_head(tmp_path: Path) -> None:
    text = "cast: [{name: A, at: [0, 0], facing: 0, head: {turn: 30 deg}}]\n"
    check(
        places(tmp_path, text)["A.face"],
        [0.1225 * sqrt(0.25), 0.1225 * sqrt(0.75), 1.61],
        [0.5, sqrt(0.75), 0],
        within=0.01,
    )


def test_eyes_face_what_they_look_at(tmp_path: Path) -> None:
    """The head turns as far as a neck turns, 70 degrees, and the eyes take the rest."""
    text = "cast: [{name: A, at: [0, 0], facing: 0, looks_at: [50, -5, 1.6]}]\n"
    found = places(tmp_path, text)
    check(found["A.face"], found["A.face"].position, [sin(radians(70)), cos(radians(70)), 0], within=0.01)
    check(found["A.eyes"], found["A.eyes"].position, [50 / hypot(50, 5), -5 / hypot(50, 5), 0], within=0.01)


def test_gaze_leaves_the_head(tmp_path: Path) -> None:
    text = "cast: [{name: A, at: [0, 0], facing: 0, gaze: [5, 10, 1.638]}]\n"
    found = places(tmp_path, text)
    check(found["A.face"], [0, 0.1225, 1.61], [0, 1, 0], within=0.005)
    check(found["A.eyes"], found["A.eyes"].position, [sqrt(0.2), 2 * sqrt(0.2), 0], within=0.01)


def test_two_who_look_at_each_other_and_at_a_lamp(tmp_path: Path) -> None:
    """Whatever order things are written in: a place that hangs on a face that looks at a place."""
    text = """\
cast:
  - {name: A, at: [0, 0], facing: 0, looks_at: B.eyes}
  - {name: B, at: [2, 2], facing: 180, looks_at: A.eyes}
  - {name: C, at: [5, 0], facing: 0, looks_at: bulb}
fixtures:
  - {name: bulb, practical: {kind: bulb, at: [5, 3, 1.6]}}
"""
    found = places(tmp_path, text)
    away = np.subtract(found["B.eyes"].position, found["A.eyes"].position)
    way = (away / np.linalg.norm(away)).tolist()
    check(found["A.eyes"], found["A.eyes"].position, way, within=0.03)
    check(found["B.eyes"], found["B.eyes"].position, [-each for each in way], within=0.03)
    check(found["C.face"], found["C.face"].position, [0, 1, 0], within=0.02)


def test_a_lantern_hangs_from_the_hand(tmp_path: Path) -> None:
    """Before the chest, an arm's length off at most (0.44 of stature to the knuckles, Drillis and Contini)."""
    found = places(tmp_path, "cast: [{name: A, at: [0, 0], facing: 0, pose: lantern}]\n")
    x, y, z = found["A.lantern"].position
    assert 0.3 < y < 0.44 * 1.75
    assert 0.0 < x < 0.35
    assert 1.0 < z < 1.4
    hand = found["A.hand.right"].position
    assert np.hypot(x - hand[0], y - hand[1]) < 0.1
    # The bail of a storm lantern 16 cm across stands 24 cm over the middle of its globe.
    assert hand[2] - z == pytest.approx(0.24, abs=0.05)


def test_a_scene_turns_what_it_places_the_same_way(tmp_path: Path) -> None:
    text = "cast: [{name: A, at: [0, 0], facing: B.eyes}, {name: B, at: [3, 1], facing: 30}]\n"
    made = scene(tmp_path, text + SMALL)
    azimuth = made.azimuth(made.cast[0].facing, np.array([0.0, 0.0, 0.0]))
    facing = made.anchors["A"].facing
    assert facing is not None
    np.testing.assert_allclose(facing, [np.sin(azimuth), np.cos(azimuth), 0], atol=1e-9)


def test_street_furniture(tmp_path: Path) -> None:
    text = """\
set:
  - lamp_post: {name: post, at: [2, 3], height: 5, arm: 1, facing: 270}
  - shelter: {name: stop, at: [10, 10], size: [4, 2], height: 2.4, facing: 180}
  - fence: {name: fence, along: [[0, 0], [4, 0], [4, 4]], height: 1, gates: [{from_start: 5, width: 2}]}
  - street: {name: road, along: [[0, -20], [10, -20]]}
  - box: {name: crate, at: [9, 1], size: [1, 2, 0.5], height: 1}
  - ground: {name: lawn, at: [5, 6], size: [50, 40], height: 0.0}
  - wall: {name: wall, along: [[0, 30], [0, 34]], height: 2}
  - mesh: {name: cart, file: cart.obj, at: [20, 21], height: 0.3}
  - trees: {name: pair, at: [[20, 0], [24, 0]], height: [10, 10]}
"""
    found = places(tmp_path, text)
    check(found["post"], [2, 3, 2.5])
    check(found["post.lamp"], [1, 3, 4.9], [0, 0, -1])
    check(found["post.top"], [2, 3, 5], [0, 0, 1])
    check(found["stop"], [10, 10, 1.2], [0, -1, 0])
    check(found["stop.roof"], [10, 10, 2.4])
    check(found["stop.lamp"], [10, 10, 2.16], [0, 0, -1])
    # The back is to the north.
    check(found["stop.bench"], [10, 11 - 0.33, 0.45], [0, -1, 0])
    # Five to seven metres along is one to three metres north on the second leg; its right is east.
    check(found["fence.gate"], [4, 2, 0.5], [1, 0, 0])
    assert found["fence.gate[0]"].size == (2, 1)
    check(found["fence"], [4, 0, 0.5])
    check(found["fence.end"], [4, 4, 0.5])
    # On the crown of 6.5 m with edges 4 cm above the ground and a mean crossfall of 1 in 50.
    check(found["road"], [5, -20, 0.04 + 3.25 / 50])
    check(found["road.start"], [0, -20, 0.04 + 3.25 / 50])
    check(found["crate"], [9, 1, 1.25])
    check(found["crate.top"], [9, 1, 1.5], [0, 0, 1])
    check(found["lawn"], [5, 6, 0], [0, 0, 1])
    check(found["wall.top"], [0, 32, 2], [0, 0, 1])
    check(found["cart"], [20, 21, 0.3])
    check(found["pair"], [22, 0, 6.2])
    check(found["pair[1]"], [24, 0, 6.2])


def test_fixtures_and_marks_are_places(tmp_path: Path) -> None:
    text = """\
fixtures:
  - {name: kicker, head: hmi-fresnel-2500, at: {of: key, offset: [1, 0, 0]}, aim: key}
  - {name: key, head: hmi-fresnel-2500, at: [1, 2, 3], aim: spot}
marks:
  - {name: spot, at: [4, 5, 1]}
"""
    found = places(tmp_path, text)
    check(found["key"], [1, 2, 3])
    check(found["kicker"], [2, 2, 3])
    check(found["spot"], [4, 5, 1])


@pytest.mark.parametrize("angle", [0, 90, 200])
def test_a_lit_window_is_its_window(tmp_path: Path, angle: float) -> None:
    text = SOUTH.replace("floor:", f"facing: {angle}, floor:")
    found = places(
        tmp_path, text + "fixtures: [{name: lit, practical: {kind: window, at: 'house.window[1]'}}]\n"
    )
    assert found["lit"] == found["house.window[1]"]
