"""Bearings: sixteen directions round a subject, at three heights, checked by where things land in the frame and by the
sides of a triangle, not by the program's own angles. Where one word ends and the next begins is common practice, no
source."""

from __future__ import annotations

from math import acos, cos, degrees, hypot, radians, sin

import numpy as np
import pytest

from preview.camera.bearing import away_from_lens, bearing, compass, compass_letters
from preview.camera.view import View, look

SUBJECT = np.array([1.0, 4.0, 1.5])
SIXTEEN = [22.5 * n for n in range(16)]
HEIGHTS = (-20.0, 15.0, 45.0)
BANDS = {
    "front": (0, 25),
    "three-quarter front": (25, 65),
    "side": (65, 115),
    "three-quarter back": (115, 155),
}
BANDS["back"] = (155, 180)
CAMERAS = {
    "level": ((-2.0, -5.0, 1.5), 0.0),
    "rolled": ((-2.0, -5.0, 1.5), 20.0),
    "rolled the other way": ((3.5, -1.0, 1.2), -35.0),
    "raised": ((4.0, -2.0, 6.0), 0.0),
    "low, beyond": ((0.0, 11.0, 0.3), 0.0),
}


def camera(name: str) -> View:
    at, roll = CAMERAS[name]
    return look(np.array(at), SUBJECT, roll=radians(roll), tan_half_width=0.4, tan_half_height=0.3)


def towards(azimuth: float, height: float) -> np.ndarray:
    """By the handbook's spherical angles: azimuth clockwise from north, y north, x east."""
    a, h = radians(azimuth), radians(height)
    return np.array([cos(h) * sin(a), cos(h) * cos(a), sin(h)])


def round_by_triangle(azimuth: float, at: np.ndarray) -> float:
    """Degrees at the subject between the lens and a point 1 m towards the source, on the plan, by the law of cosines."""
    to_lens = hypot(*(at[:2] - SUBJECT[:2]))
    point = SUBJECT[:2] + np.array([sin(radians(azimuth)), cos(radians(azimuth))])
    across = hypot(*(point - at[:2]))
    return degrees(acos((1.0 + to_lens**2 - across**2) / (2.0 * to_lens)))


def lands_right(azimuth: float, view: View, roll: float) -> float:
    """How far right of the subject a thing a little way towards the source, at its height, lands in the frame once that is
    turned upright; below 0 for left."""
    step = 1e-3 * np.array([sin(radians(azimuth)), cos(radians(azimuth)), 0.0])
    uv, _ = view.project(np.stack([SUBJECT, SUBJECT + step]))
    right, down = (uv[1] - uv[0]) * (view.tan_half_width, view.tan_half_height)
    # A camera that is rolled clockwise shows the world turned the other way.
    return float(right * cos(radians(roll)) - down * sin(radians(roll)))


@pytest.mark.parametrize("name", CAMERAS)
@pytest.mark.parametrize("height", HEIGHTS)
def test_sixteen_directions(name: str, height: float) -> None:
    view, roll = camera(name), CAMERAS[name][1]
    for azimuth in SIXTEEN:
        found = bearing(towards(azimuth, height), SUBJECT, view)
        turn = round_by_triangle(azimuth, view.position)
        assert found.round_deg == pytest.approx(turn, abs=1e-4)
        assert found.up_deg == pytest.approx(height, abs=1e-6)
        low, high = BANDS[found.name]
        assert low <= turn <= high
        if 1.0 < turn < 179.0:
            assert found.side == ("right" if lands_right(azimuth, view, roll) > 0.0 else "left")
        if 5.0 < turn < 175.0:
            assert f"from camera {found.side}, {turn:.0f}° round" in found.words
            assert found.short.startswith(f"{found.name}, camera {found.side}, ")
        way = "up" if height > 0.0 else "down"
        assert found.words.endswith(f", {abs(height):.0f}° {way}")
        assert found.short.endswith(f", {abs(height):.0f}° {way}")


@pytest.mark.parametrize("height", HEIGHTS)
def test_straight_from_and_towards_the_lens_have_no_side(height: float) -> None:
    view = camera("level")
    back = degrees(np.arctan2(*(SUBJECT - view.position)[:2]))
    for turn, name in ((0.0, "back"), (3.0, "back"), (180.0, "front"), (-176.5, "front")):
        found = bearing(towards(back + turn, height), SUBJECT, view)
        assert found.camera_side is None
        assert found.words.startswith(f"{name} light, ")
        assert found.short == f"{name}, {abs(height):.0f}° {'up' if height > 0 else 'down'}"


def test_steep_light_comes_from_above_whatever_its_azimuth() -> None:
    view = camera("level")
    for azimuth in SIXTEEN:
        assert bearing(towards(azimuth, 60.0), SUBJECT, view).words == "top light, 60° up"
        assert bearing(towards(azimuth, -70.0), SUBJECT, view).words == "from below, 70° down"
        assert bearing(towards(azimuth, 85.0), SUBJECT, view).short == "top, 85° up"
    assert bearing(towards(0.0, 59.0), SUBJECT, view).name == "back"  # 161.6 degrees round
    assert bearing(towards(90.0, 62.0), SUBJECT, view).short == "high side, camera right, 62° up"


def test_upside_down_left_is_the_frames_left() -> None:
    at = np.array(CAMERAS["level"][0])
    view = look(at, SUBJECT, roll=radians(180.0), tan_half_width=0.4, tan_half_height=0.3)
    for azimuth in SIXTEEN:
        if 1.0 < round_by_triangle(azimuth, at) < 179.0:
            found = bearing(towards(azimuth, 15.0), SUBJECT, view)
            assert found.side == ("right" if lands_right(azimuth, view, 0.0) > 0.0 else "left")


@pytest.mark.parametrize("roll", [0.0, 40.0, 130.0])
def test_from_above_back_is_the_top_of_the_frame(roll: float) -> None:
    """A camera that looks down: what lies towards a back light lands higher in the frame, towards a light from camera
    right farther right, wherever the subject stands in the frame."""
    at = SUBJECT + np.array([0.7, -0.4, 8.0])
    view = look(
        at, at + np.array([0.0, 0.05, -8.0]), roll=radians(roll), tan_half_width=0.4, tan_half_height=0.3
    )
    for azimuth in SIXTEEN:
        found = bearing(towards(azimuth, 15.0), SUBJECT, view)
        step = 1e-3 * towards(azimuth, 0.0)
        uv, _ = view.project(np.stack([SUBJECT, SUBJECT + step]))
        right, down = (uv[1] - uv[0]) * (view.tan_half_width, view.tan_half_height)
        assert found.round_deg == pytest.approx(degrees(acos(down / hypot(right, down))), abs=1.0)
        if abs(right) > 0.05 * hypot(right, down):
            assert found.side == ("right" if right > 0.0 else "left")


def test_away_from_the_lens_is_level_and_of_length_one() -> None:
    for name in CAMERAS:
        away = away_from_lens(SUBJECT, camera(name))
        assert away[2] == 0.0
        assert np.linalg.norm(away) == pytest.approx(1.0)
        assert away @ (SUBJECT - camera(name).position) > 0.0


def test_compass() -> None:
    """The eight points of the compass, 45 degrees apart."""
    told = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west", "north"]
    assert [compass(45.0 * n) for n in range(9)] == told
    assert [compass(azimuth) for azimuth in (22.0, 23.0, 337.0, 338.0)] == [
        "north",
        "north-east",
        "north-west",
        "north",
    ]
    assert [compass_letters(azimuth) for azimuth in (0.0, 135.0, 270.0)] == ["N", "SE", "W"]
