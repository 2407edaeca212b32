"""Heights of the ground against closed forms and scipy's splines; what stands on it; pictures that are none."""

from __future__ import annotations

from math import cos, radians, sin, tan
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from scipy.interpolate import CubicHermiteSpline

from preview.script.models.pieces.ground import Ground
from preview.script.scene import Scene
from preview.script.terrain import MOST_PIXELS, Terrain, terrain_of
from tests.script.scenes import SMALL, faults, found, scene


def terrain(*grounds: dict[str, Any], folder: Path = Path()) -> Terrain:
    pieces = [(f"ground {number}", Ground.model_validate(ground)) for number, ground in enumerate(grounds)]
    return terrain_of(pieces, folder, lambda facing, at: facing)  # type: ignore[arg-type, return-value]


def test_a_slope_is_a_plane() -> None:
    """z = height + tan(rise) along the azimuth, from the middle of the ground."""
    slope = {"rise": "6 deg", "towards": 30}
    ground = terrain({"at": [3, 4], "size": [80, 60], "height": 1.5, "slope": slope})
    rng = np.random.default_rng(1)
    x, y = rng.uniform(-36, 42, 500), rng.uniform(-25, 33, 500)
    plane = 1.5 + tan(radians(6)) * (sin(radians(30)) * (x - 3) + cos(radians(30)) * (y - 4))
    np.testing.assert_allclose(ground.height(x, y), plane, atol=1e-12)


def test_eight_per_cent_climbs_eight_centimetres_a_metre() -> None:
    ground = terrain({"slope": {"rise": "8 %", "towards": 90}})
    assert float(ground.height(10.0, 7.0)) == pytest.approx(0.8)


def test_rows_run_from_north_to_south_and_from_west_to_east() -> None:
    ground = terrain({"at": [10, 20], "size": [40, 20], "heights": [[1, 2, 3], [4, "50 cm", 6], [7, 8, 9]]})
    x, y = np.meshgrid([-10, 10, 30], [30, 20, 10])
    np.testing.assert_allclose(ground.height(x, y), [[1, 2, 3], [4, 0.5, 6], [7, 8, 9]], atol=1e-6)


def test_between_heights_the_ground_is_scipys_hermite_spline() -> None:
    """Catmull-Rom: the slope at each height is half the way between its neighbours; at the ends the rows go on straight."""
    rows = np.random.default_rng(2).normal(size=(5, 7))
    ground = terrain({"size": [6, 4], "heights": rows.tolist()})

    def spline(values: np.ndarray, axis: int) -> CubicHermiteSpline:
        padded = np.moveaxis(values, axis, 0)
        padded = np.concatenate([2 * padded[:1] - padded[1:2], padded, 2 * padded[-1:] - padded[-2:-1]])
        slopes = np.moveaxis(0.5 * (padded[2:] - padded[:-2]), 0, axis)
        return CubicHermiteSpline(np.arange(values.shape[axis]), values, slopes, axis=axis)

    x, y = np.linspace(-3, 3, 61), np.linspace(2, -2, 41)
    down = spline(spline(rows, 1)(x + 3), 0)(2 - y)
    np.testing.assert_allclose(ground.height(*np.meshgrid(x, y)), down, atol=1e-6)


def test_a_plane_of_heights_stays_a_plane() -> None:
    x, y = np.meshgrid(np.linspace(-4, 4, 9), np.linspace(3, -3, 7))
    ground = terrain({"size": [8, 6], "heights": (0.3 * x - 0.2 * y + 1).tolist()})
    rng = np.random.default_rng(3)
    east, north = rng.uniform(-4, 4, 300), rng.uniform(-3, 3, 300)
    np.testing.assert_allclose(ground.height(east, north), 0.3 * east - 0.2 * north + 1, atol=1e-6)


@pytest.mark.parametrize(("kind", "white"), [("uint8", 255), ("uint16", 65535)])
def test_a_picture_is_read_once_and_is_as_high_as_its_relief(tmp_path: Path, kind: str, white: int) -> None:
    grey = np.random.default_rng(4).integers(0, white, (9, 13), endpoint=True).astype(kind)
    grey[0, 0], grey[8, 12] = 0, white
    Image.fromarray(grey).save(tmp_path / "hill.png")
    ground = terrain({"size": [12, 8], "heights": "hill.png", "relief": [-1, "3 m"]}, folder=tmp_path)
    x, y = np.meshgrid(np.arange(-6, 7), np.arange(4, -5, -1))
    np.testing.assert_allclose(ground.height(x, y), -1 + 4 * grey.astype(float) / white, atol=1e-5)
    assert ground.surfaces[0].rows is not None
    assert ground.surfaces[0].rows.dtype == np.float32
    again = terrain({"size": [12, 8], "heights": "hill.png", "relief": [-1, "3 m"]}, folder=tmp_path)
    assert np.shares_memory(np.asarray(again.surfaces[0].rows), np.asarray(again.surfaces[0].rows))


def test_the_highest_ground_that_covers_a_place_is_the_one(tmp_path: Path) -> None:
    ground = terrain(
        {"size": [40, 40]},
        {"size": [10, 10], "height": 0.5},
        {"at": [30, 0], "size": [30, 10], "height": -0.8},
    )
    np.testing.assert_allclose(ground.height([0, 5, 5.1, 19, 21, 60], 0.0), [0.5, 0.5, 0, 0, -0.8, 0])


def test_a_ground_without_a_height_lies_on_the_slope_before_it() -> None:
    ground = terrain(
        {"slope": {"rise": "10 %", "towards": 0}}, {"at": [0, 10], "size": [4, 4], "material": "gravel"}
    )
    patch = ground.surface("ground 1")
    assert patch is not None
    assert float(patch.height(np.array(1.0), np.array(11.0))) == pytest.approx(1.1)


STANDING = """\
set:
  - ground: {name: hill, size: [200, 200], slope: {rise: 10 %, towards: east post}}
  - lamp_post: {name: east post, at: [50, 0], height: 5, arm: 1, facing: 90}
  - shelter: {name: stop, at: [-10, 10]}
  - house: {name: house, at: [20, 30], size: [8, 6]}
  - box: {name: crate, at: [-20, 0], size: [1, 1, 1], height: 0.2}
  - fence: {name: fence, along: [[0, 10], [10, 10]], gates: [{from_start: 4, width: 2}]}
  - wall: {name: wall, along: [[0, -10], [20, -10]], height: 2}
  - street: {name: road, along: [[0, -30], [40, -30]]}
cast:
  - {name: Ada, at: [10, 0], facing: 0, height: 1.7}
  - {name: Bo, at: [10, 3], ground: 0.4, facing: 0, height: 1.7}
marks:
  - {name: low, at: [20, 5]}
  - {name: high, at: {at: [20, 5], above: 1.5}}
  - {name: over Ada, at: {of: Ada.eyes, offset: [10, 0, 0], above: 2 m}}
  - {name: fixed, at: [20, 5, 1.5]}
"""


def test_named_places_are_lifted_by_the_ground_they_stand_on(tmp_path: Path) -> None:
    given = scene(tmp_path, STANDING + SMALL)
    height = {name: anchor.position[2] for name, anchor in given.anchors.items()}
    # The slope climbs to the east by a tenth, from 0 in the middle.
    assert height["east post.top"] == pytest.approx(5 + 5)
    assert height["east post.lamp"] == pytest.approx(5 + 4.9)
    assert height["stop.roof"] == pytest.approx(-1 + 2.4)
    assert height["house.front"] == pytest.approx(2 + 0.45 + 1.4)
    assert height["crate.top"] == pytest.approx(-2 + 1.2)
    assert height["fence.gate"] == pytest.approx(0.5 + 0.55)
    assert height["fence.end"] == pytest.approx(1.0 + 0.55)
    assert height["wall.start"] == pytest.approx(1.0)
    assert height["wall.end"] == pytest.approx(2.0 + 1.0)
    assert height["hill"] == 0.0
    assert height["Ada.feet"] == pytest.approx(1.0)
    assert height["Bo.feet"] == pytest.approx(0.4)
    assert (height["low"], height["high"], height["fixed"]) == pytest.approx((2.0, 3.5, 1.5))
    assert height["over Ada"] == pytest.approx(2.0 + 2.0)


def test_who_stands_on_a_street_stands_on_its_pavement_or_its_camber(tmp_path: Path) -> None:
    text = """\
set:
  - street: {name: road, along: [[0, 0], [40, 0]], width: 6, kerb: 0.12, pavement: [2, 0]}
  - footpath: {name: way, along: [[0, 20], [40, 20]], width: 2, kind: boardwalk}
  - box: {name: crate, at: [10, 4], size: [1, 1, 1]}
cast: [{name: Ada, at: [10, 0], facing: 0}, {name: Bo, at: [10, 4.5], facing: 0}, {name: Cy, at: [10, 20], facing: 0}]
"""
    anchors = scene(tmp_path, text + SMALL).anchors
    # 4 cm at the gutters, 1 in 50 over 3 m to the crown; a kerb of 12 cm over the gutter.
    assert anchors["Ada.feet"].position[2] == pytest.approx(0.10)
    assert anchors["Bo.feet"].position[2] == pytest.approx(0.16)
    assert anchors["crate.top"].position[2] == pytest.approx(1.16)
    assert anchors["Cy.feet"].position[2] == pytest.approx(0.14)


def test_a_camera_below_a_hill_is_told(tmp_path: Path) -> None:
    text = "set: [{ground: {name: hill, size: [90, 90], slope: {rise: 20 %, towards: 180}}}]\n"
    # The camera of the least scene stands 5 m to the south, where the hill is 1 m high; 20 m to the south it is 4 m.
    assert isinstance(scene(tmp_path, text + SMALL), Scene)
    low = SMALL.replace("[0, -5, 1.5]", "[0, -20, 1.5]")
    assert faults(tmp_path, text + low) == [
        "scene.yaml:2: camera.at: the camera is below hill (1.5 m, where the ground is at 4 m); say how high it is"
    ]
    on = SMALL.replace("[0, -5, 1.5]", "{at: [0, -20], above: 1.5}")
    given = scene(tmp_path, text + on)
    np.testing.assert_allclose(given.point(given.camera.at), [0, -20, 5.5])


def picture(folder: Path, name: str, *, mode: str = "L", size: tuple[int, int] = (4, 4)) -> None:
    Image.new(mode, size).save(folder / name)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ("heights: none.png, relief: 3", "set[0].ground.heights: there is no file {folder}/none.png"),
        (
            "heights: words.png, relief: 3",
            "set[0].ground.heights: words.png is not a picture that can be read",
        ),
        (
            "heights: half.png, relief: 3",
            "set[0].ground.heights: half.png cannot be read as a picture (image file is truncated",
        ),
        (
            "heights: colour.png, relief: 3",
            "set[0].ground.heights: colour.png is not plain grey; save it in 8 or 16 bit grey, without colour",
        ),
        (
            "heights: dot.png, relief: 3",
            "set[0].ground.heights: dot.png is 1 by 1 pixels; 2 by 2 are the least",
        ),
        (
            "heights: wide.png, relief: 3",
            f"set[0].ground.heights: wide.png is {MOST_PIXELS + 1} by 2 pixels; {MOST_PIXELS} a side are the most",
        ),
        (
            "heights: grey.png",
            "set[0].ground.heights: say how high black and white of the picture are, such as relief: [0, 12 m]",
        ),
        (
            "heights: [[0, 0], [0, 0]], relief: 3",
            "set[0].ground.relief: relief goes with heights from a picture: rows say how high they are",
        ),
        (
            "heights: [[0, 1], [2]]",
            "set[0].ground.heights: the rows hold 1 to 2 heights; all must hold as many",
        ),
        ("heights: [[0, 1]]", "set[0].ground.heights: two rows of two heights are the least"),
        ("heights: 3", "set[0].ground.heights: 3 is neither rows of heights nor the name of a picture"),
        ("relief: [3, 1]", "set[0].ground.relief: the lowest comes first, and the highest is above it"),
        ("slope: {rise: 50 deg, towards: 0}", "set[0].ground.slope.rise: must be at most 45 deg"),
        ("slope: {rise: 0, towards: 0}", "set[0].ground.slope.rise: must be more than 0, not 0"),
        ("slope: {rise: 6 deg, towards: nowhere}", 'set[0].ground.slope.towards: no place "nowhere"'),
    ],
)
def test_what_is_no_ground_is_told(tmp_path: Path, more: str, told: str) -> None:
    (tmp_path / "words.png").write_text("no picture")
    picture(tmp_path, "grey.png")
    picture(tmp_path, "colour.png", mode="RGB")
    picture(tmp_path, "dot.png", size=(1, 1))
    picture(tmp_path, "wide.png", size=(MOST_PIXELS + 1, 2))
    Image.fromarray(np.random.default_rng(1).integers(0, 255, (90, 90), np.uint8)).save(
        tmp_path / "whole.png"
    )
    (tmp_path / "half.png").write_bytes((tmp_path / "whole.png").read_bytes()[:3000])
    sentences = found(tmp_path, f"set: [{{ground: {{{more}}}}}]\n")
    assert len(sentences) == 1
    assert sentences[0].startswith(told.replace("{folder}", str(tmp_path)))


def test_too_many_rows_are_told(tmp_path: Path) -> None:
    rows = [[0, 1]] * 101
    (told,) = found(tmp_path, f"set: [{{ground: {{heights: {rows}}}}}]\n")
    assert (
        told == "set[0].ground.heights: 101 rows of 2 heights are too many; give more than 100 as a picture"
    )


@pytest.mark.parametrize(
    ("place", "told"),
    [
        ("{at: [1, 2]}", "at is a plan point here, with a height above the ground"),
        ("{at: [1, 2, 3], above: 1}", "at is a plan point here, with a height above the ground"),
        ("{at: [1, 2], of: house, above: 1}", "a place is at a plan point or of another place, not both"),
    ],
)
def test_places_above_the_ground_that_are_none(tmp_path: Path, place: str, told: str) -> None:
    (sentence,) = faults(tmp_path, SMALL.replace("[0, -5, 1.5]", place))
    assert sentence.startswith(f"scene.yaml:1: camera.at: {told}")
