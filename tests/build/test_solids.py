"""Solids: closed, of the volume that geometry gives them, wound outward."""

from __future__ import annotations

import numpy as np
import pytest

from preview.build.land.course import band, bends, beside, points_of, stones
from preview.build.mesh import Part
from preview.build.solids import boxes, extruded, hexahedra, plate, round_bar, turned_on_lathe
from preview.faults import UserError
from tests.build.probing import open_edges, volume


def triangles(part: Part) -> np.ndarray:
    return part.vertices[part.faces]


def test_boxes_hold_their_volume() -> None:
    both = boxes([[0, 0, 0], [5, 5, 5]], [[1, 2, 3], [6, 6, 6]])
    assert volume(both) == pytest.approx(1 * 2 * 3 + 1)
    assert open_edges(both) == 0


@pytest.mark.parametrize("turn", [1, -1])
def test_a_prism_winds_outward_whichever_way_its_profile_runs(turn: int) -> None:
    # An L of three unit squares, seen whole from its corner.
    profile = [(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)]
    solid = extruded([profile[0], *profile[1:][::turn]], -0.5, 1.5)
    assert volume(solid) == pytest.approx(3 * 2)
    assert open_edges(solid) == 0


def test_a_plate_loses_its_holes_and_stays_closed() -> None:
    pierced = plate((0, 4), (0, 3), [(1, 1, 2, 2), (2.5, 0.5, 3.5, 2.75), (0, -1, 0.5, 0.5)])
    solid = pierced.body(-0.1, 0.2)
    left = 12 - 1 - 2.25 - 0.25
    assert volume(solid) == pytest.approx(left * 0.3)
    assert open_edges(solid) == 0


def test_hexahedra_are_numbered_as_boxes_are() -> None:
    unit = np.array([[[i & 1, i >> 1 & 1, i >> 2] for i in range(8)]], dtype=float)
    assert volume(hexahedra(unit)) == pytest.approx(1.0)


def test_a_lathe_turns_a_prism_of_many_sides() -> None:
    sides, radius, height = 24, 0.3, 2.0
    profile = [(0, 0), (radius, 0), (radius, 0), (radius, height), (radius, height), (0, height)]
    part = turned_on_lathe("x", "metal", profile, centre=[1, 2, 3], sides=sides)
    # Area of a regular polygon in its circle: n/2 r^2 sin(2 pi / n).
    area = sides / 2 * radius**2 * np.sin(2 * np.pi / sides)
    assert volume(triangles(part) - [1, 2, 3]) == pytest.approx(area * height)
    assert open_edges(triangles(part)) == 0


def test_lathe_normals_are_round_on_the_side_and_hard_at_the_rim() -> None:
    profile = [(0, 0), (1, 0), (1, 0), (1, 2), (1, 2), (0, 2)]
    part = turned_on_lathe("x", "metal", profile, centre=[0, 0, 0], sides=16)
    side = part.vertices[:, 2] == 2.0
    rim = side & (np.hypot(part.vertices[:, 0], part.vertices[:, 1]) > 0.99)
    upward = part.normals[rim][:, 2]
    assert set(np.round(upward, 6)) == {0.0, 1.0}
    level = part.normals[rim][np.abs(upward) < 0.5]
    radial = part.vertices[rim][np.abs(upward) < 0.5] * [1, 1, 0]
    np.testing.assert_allclose(level, radial, atol=1e-6)


def test_a_round_bar_is_a_closed_prism_along_its_path() -> None:
    sides, radius = 12, 0.05
    part = round_bar("x", "metal", [[0, 0, 0], [0, 1, 1], [0, 2, 2]], [radius] * 3, sides=sides)
    area = sides / 2 * radius**2 * np.sin(2 * np.pi / sides)
    assert volume(triangles(part)) == pytest.approx(area * np.sqrt(8), rel=1e-6)
    assert open_edges(triangles(part)) == 0


def test_a_band_has_the_area_of_its_width_times_its_path() -> None:
    # Pappus: a mitred band that lies evenly about its path loses on one side of a bend what it gains on the other.
    line = np.array([[0.0, 0.0], [6.0, 0.0], [6.0, 5.0], [9.0, 9.0]])
    solid = band(line, (-1.0, 1.0), (0.0, 0.5))
    assert volume(solid) == pytest.approx((6 + 5 + 5) * 2 * 0.5)
    assert open_edges(solid) == 0


def test_a_closed_band_is_a_ring() -> None:
    square = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0], [0.0, 0.0]])
    solid = band(square, (-0.5, 0.5), (0.0, 1.0))
    assert volume(solid) == pytest.approx(5**2 - 3**2)
    assert open_edges(solid) == 0


def test_stones_fill_a_band_but_for_their_joints() -> None:
    line = np.array([[0.0, 0.0], [10.0, 0.0]])
    solid = stones(line, (1.0, 1.5), (0.0, 0.2), length=1.0, joint=0.01)
    assert volume(solid) == pytest.approx(10 * (1 - 0.01) * 0.5 * 0.2)


def test_offsets_are_to_the_right_and_bends_to_the_right_are_positive() -> None:
    line = np.array([[0.0, 0.0], [0.0, 5.0], [5.0, 5.0]])
    np.testing.assert_allclose(beside(line, 1.0), [[1, 0], [1, 4], [5, 4]], atol=1e-12)
    np.testing.assert_allclose(bends(line), [0, np.pi / 2, 0])


@pytest.mark.parametrize(
    ("along", "words"),
    [([(1, 1), (1, 1)], "no length"), ([(0, 0), (5, 0), (0, 0.1)], "doubles back")],
)
def test_paths_that_cannot_be_built_along_are_refused_in_words(
    along: list[tuple[float, float]], words: str
) -> None:
    with pytest.raises(UserError, match=words):
        points_of("lane", along)
