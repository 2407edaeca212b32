"""Scatter: plants strewn over land stand in it, evenly, and no two in each other."""

from __future__ import annotations

import numpy as np
import pytest

from preview.script.models.pieces.growth import FILLED, Shrubs, Trees, area_of
from preview.script.places_of_trees import tree_stands
from preview.script.scatter import inside, strewn

L_SHAPE = [(0.0, 0.0), (40.0, 0.0), (40.0, 15.0), (20.0, 15.0), (20.0, 30.0), (0.0, 30.0)]


def apart(points: np.ndarray) -> float:
    """Metres between the two nearest of points (n, 2)."""
    away = np.linalg.norm(points[:, None] - points[None], axis=2)
    return float(away[np.triu_indices(len(points), 1)].min())


def places(model: Trees | Shrubs) -> np.ndarray:
    return np.array(tree_stands(model))[:, :2]


def test_inside_of_an_l() -> None:
    points = np.array([[5.0, 25.0], [30.0, 25.0], [30.0, 10.0], [-1.0, 10.0], [19.0, 29.0], [21.0, 16.0]])
    assert inside(points, np.array(L_SHAPE)).tolist() == [True, False, True, False, True, False]
    assert inside(points, np.array(L_SHAPE[::-1])).tolist() == [True, False, True, False, True, False]


def test_area_of_an_l() -> None:
    assert area_of(L_SHAPE) == area_of(L_SHAPE[::-1]) == 40 * 15 + 20 * 15


def test_count_and_spacing_are_kept() -> None:
    model = Trees.model_validate({"in": L_SHAPE, "count": 60, "spacing": 3})
    found = places(model)
    assert len(found) == model.number == 60
    assert inside(found, np.array(L_SHAPE)).all()
    assert apart(found) >= 3.0


def test_without_a_count_the_land_is_filled() -> None:
    """Darts thrown until no more find room cover 0.547 of the land with their discs: 0.70 a square of the spacing (the
    jamming limit of random sequential adsorption of discs, from memory); FILLED stays below it."""
    model = Trees.model_validate({"in": L_SHAPE, "spacing": 3})
    assert len(places(model)) == model.number == round(FILLED * 900 / 9)
    assert 0.7 * 0.7 < FILLED < 0.7
    assert apart(places(model)) >= 3.0


def test_without_a_spacing_they_keep_off_each_other_all_the_same() -> None:
    found = places(Trees.model_validate({"in": L_SHAPE, "count": 200}))
    # The mean room of each is 4.5 m2; chance alone would set two of 200 within 0.1 m of each other.
    assert apart(found) > 1.0


def test_where_there_is_no_room_all_stand_nearer() -> None:
    found = places(Trees.model_validate({"in": [[0, 0], [4, 0], [4, 4], [0, 4]], "count": 30, "spacing": 3}))
    assert len(found) == 30
    assert 0.3 < apart(found) < 3.0


def test_they_are_strewn_evenly() -> None:
    """Of a square's 400, each quarter has 100; darts that keep apart spread more evenly than chance: five sigma of that."""
    found = strewn(((0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0)), 400, None, 3)
    counts = np.bincount(2 * (found[:, 0] > 20.0) + (found[:, 1] > 20.0), minlength=4)
    assert np.abs(counts - 100).max() < 5 * np.sqrt(400 * 0.25 * 0.75)


def test_the_same_seed_the_same_places() -> None:
    square = ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0))
    first = strewn(square, 20, 1.0, 1).copy()
    strewn.cache_clear()
    np.testing.assert_array_equal(first, strewn(square, 20, 1.0, 1))
    assert (first != strewn(square, 20, 1.0, 2)).any()
    with pytest.raises(ValueError, match="read-only"):
        strewn(square, 20, 1.0, 1)[0] = 0.0


def test_a_belt_lies_along_its_path() -> None:
    model = Trees.model_validate({"along": [[0, 0], [60, 0], [60, 40]], "width": 8, "count": 80, "seed": 2})
    found = places(model)
    assert len(found) == 80
    off = np.minimum(
        np.hypot(np.maximum(found[:, 0] - 60, 0), found[:, 1]),
        np.hypot(found[:, 0] - 60, np.minimum(found[:, 1], 0)),
    )
    assert off.max() < 4.0 * np.sqrt(2) + 1e-9
    assert np.abs(found[found[:, 0] < 55, 1]).max() > 3.0
    assert len({tuple(row) for row in np.sign(found).tolist()}) > 1


def test_a_belt_is_filled_by_its_spacing() -> None:
    model = Shrubs.model_validate({"along": [[0, 0], [50, 0]], "width": 4, "spacing": 2})
    assert model.number == len(places(model)) == round(FILLED * 50 * 4 / 4)
    assert apart(places(model)) >= 2.0


@pytest.mark.parametrize(
    "land", [((0.0, 9.0), (9.0, 9.0), (18.0, 9.0)), ((0.0, 0.0), (300.0, 300.0), (300.0, 300.001))]
)
def test_land_of_hardly_any_width_is_planted_all_the_same(land: tuple[tuple[float, float], ...]) -> None:
    """The script is told where there is no land; here it must only come to an end."""
    found = strewn(land, 7, 1.0, 1)
    assert len(found) == 7
    corners = np.array(land)
    assert (found >= corners.min(axis=0) - 1e-9).all()
    assert (found <= corners.max(axis=0) + 1e-9).all()
    assert len(np.unique(found, axis=0)) > 3
