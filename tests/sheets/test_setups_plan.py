"""Setups plan: places by plane geometry on paper, and which names stand clear of what."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from preview.sheets.drawing import COLUMN, PAPER
from preview.sheets.plan_set import FILLS, OUTLINES, Footprint, PlanSet, draw_set, nothing_wet
from preview.sheets.setups_plan import STRIP, Moonlight, Plan, SeenFrom, Somebody, setups_plan

SCALE = 20.0
MIDDLE = np.array([1.0, 2.0])
SIZE = 600, 400


def square(low: tuple[float, float], high: tuple[float, float]) -> np.ndarray:
    (left, bottom), (right, top) = low, high
    return np.array(
        [[(left, bottom), (right, bottom), (right, top)], [(left, bottom), (right, top), (left, top)]]
    )


def drawn(shown: PlanSet) -> tuple[np.ndarray, list[tuple[str, tuple[float, float]]]]:
    image = Image.new("RGB", SIZE, PAPER)
    names = draw_set(image, shown, scale=SCALE, middle=MIDDLE)
    return np.asarray(image), names


def pixel(east: float, north: float) -> tuple[int, int]:
    """Row and column of a place in metres."""
    return round(SIZE[1] / 2 - (north - MIDDLE[1]) * SCALE), round(SIZE[0] / 2 + (east - MIDDLE[0]) * SCALE)


def test_a_building_lies_where_it_stands_with_a_line_round_it() -> None:
    house = Footprint("house", "building", square((-3, 4), (5, 9)), named=True)
    picture, names = drawn(PlanSet([house], np.zeros((2, 0)), nothing_wet))
    for place in ((-2.8, 4.2), (4.8, 8.8), (1, 6.5)):
        assert tuple(picture[pixel(*place)]) == FILLS["building"]
    for place in ((-3.4, 5), (5.4, 8), (1, 3.6), (1, 9.4)):
        assert tuple(picture[pixel(*place)]) == PAPER
    row, left = pixel(-3, 6)
    assert OUTLINES["building"] in {tuple(each) for each in picture[row, left - 4 : left + 1]}
    ((name, (x, y)),) = names
    assert name == "house"
    row, column = pixel(1, 6.5)
    assert (x, y) == (pytest.approx(column, abs=24), pytest.approx(row, abs=24))


def test_water_to_its_edge_and_what_grows_as_a_patch() -> None:
    """A sea north of a line, and leaves so thin that a speck of each would be a cloud."""
    random = np.random.default_rng(1)
    leaves = np.array([1.0, -3.0])[:, np.newaxis] + random.uniform(-2, 2, (2, 3000))
    sea = PlanSet([], leaves, lambda east, north: north > 7.0, "sea")
    picture, names = drawn(sea)
    assert tuple(picture[pixel(3, 8)]) == FILLS["water"]
    assert tuple(picture[pixel(3, 6)]) == PAPER
    column = pixel(3, 0)[1]
    edge = np.flatnonzero((picture[:, column] == FILLS["water"]).all(axis=1)).max()
    assert edge == pytest.approx(pixel(3, 7)[0], abs=4)
    assert [name for name, _ in names] == ["sea"]
    middle = picture[pixel(1, -3)[0] - 25 : pixel(1, -3)[0] + 25, pixel(1, -3)[1] - 25 : pixel(1, -3)[1] + 25]
    assert (middle == FILLS["growth"]).all()


def test_what_is_built_covers_what_grows() -> None:
    leaves = np.random.default_rng(2).uniform(-2, 2, (2, 3000)) + MIDDLE[:, np.newaxis]
    hut = Footprint("hut", "thing", square((0, 1), (2, 3)))
    picture, names = drawn(PlanSet([hut], leaves, nothing_wet))
    assert tuple(picture[pixel(1, 2)]) == FILLS["thing"]
    assert tuple(picture[pixel(2.6, 2)]) == FILLS["growth"]
    assert names == []


@pytest.mark.parametrize(
    ("azimuth", "where", "label"),
    [
        (66.2, "", "moon key, 66°"),
        (359.7, "", "moon key, 0°"),
        (16.0, "tight, kept off", "moon key, 16° (tight, kept off)"),
    ],
)
def test_moonlight_says_in_which_setups(azimuth: float, where: str, label: str) -> None:
    assert Moonlight("moon key", azimuth, where).label == label


def plan(*, near_by: np.ndarray, footprints: tuple[Footprint, ...] = ()) -> Plan:
    ahead, face = np.array([0.0, 1.0]), np.array([0.0, -1.0])
    cameras = [
        SeenFrom("main", np.array([0.0, -5.0]), ahead, 0.3),
        SeenFrom("mist", np.array([0.0, -5.0]), ahead, 0.3),
    ]
    return Plan(
        cameras,
        [Somebody("Ada", np.array([0.0, 0.0]), face)],
        [],
        [Moonlight("moon", 0.0)],
        PlanSet(footprints, np.zeros((2, 0)), nothing_wet),
        near_by,
    )


def test_the_plan_reaches_to_what_stands_near_by() -> None:
    """Without a house it ends with the figure; with one that must be on it, the house's corner is on the paper."""
    house = Footprint("house", "building", square((-4, 6), (4, 10)), named=True)
    corners = np.array([[-4.0, 6.0], [4.0, 10.0]])
    alone = setups_plan(plan(near_by=np.zeros((0, 2)), footprints=(house,)))
    shown = setups_plan(plan(near_by=corners, footprints=(house,)))
    assert not (alone == FILLS["building"]).all(axis=2).any()
    share = (shown == FILLS["building"]).all(axis=2)[: shown.shape[0] - STRIP]
    # 1.6 m about cameras, figure and house: 18.2 m up the paper, 900 pixels at the most, so 8 by 4 m at its scale.
    scale = min(COLUMN / 11.2, 900 / 18.2)
    assert share.sum() == pytest.approx(8 * 4 * scale**2, rel=0.08)


def test_cameras_on_one_place_share_a_name() -> None:
    """Two names for one square would stand as though for two."""
    from preview.sheets.setups_plan import _Drawn

    made = _Drawn(plan(near_by=np.zeros((0, 2))))
    assert [name for name, _, _ in made._cameras(plan(near_by=np.zeros((0, 2))))] == ["main, mist"]
