"""Rigging: apertures that stay free, stands that reach the ground, cloths of the asked size."""

from __future__ import annotations

import numpy as np
import pytest
from embreex.mesh_construction import TriangleMesh
from embreex.rtcore_scene import EmbreeScene

from preview.build.grip import Placed, frame_parts
from preview.build.mesh import Part
from preview.build.rigging import BEHIND_LENS, aperture_part, head_parts

AIMS = [(0, -1, 0), (1, 0.4, -0.5), (-0.3, -1, 0.6), (0, 0, -1), (0.01, 0, 1)]
SHAPES = [("beam", 0.25, None), ("beam", 0.6, None), ("panel", None, (1.2, 0.3)), ("panel", None, (0.3, 1.2))]


def blocked(parts: list[Part], origins: np.ndarray, directions: np.ndarray) -> np.ndarray:
    scene = EmbreeScene()
    for each in parts:
        TriangleMesh(scene, each.vertices[each.faces].astype(np.float32))
    reach = np.full(len(origins), 50.0, np.float32)
    found = scene.run(
        origins.astype(np.float32), directions.astype(np.float32), query="OCCLUDED", dists=reach
    )
    return np.asarray(found) == 0


def areas(part: Part) -> np.ndarray:
    """Vector areas (m, 3) of its triangles."""
    corners = part.vertices[part.faces]
    return 0.5 * np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])


def volume(part: Part) -> float:
    """Enclosed volume by the divergence theorem; negative for a body turned inside out."""
    return float(np.einsum("ij,ij->i", areas(part), part.vertices[part.faces].mean(axis=1)).sum() / 3.0)


@pytest.mark.parametrize("aim", AIMS)
@pytest.mark.parametrize(("shape", "aperture", "size"), SHAPES)
@pytest.mark.parametrize("stand", [True, False])
def test_aperture_is_free(aim: tuple, shape: str, aperture: float, size: tuple, stand: bool) -> None:
    place = {"at": (1, 2, 3), "aim": aim, "shape": shape, "aperture_m": aperture, "size_m": size}
    lens = aperture_part("key", **place)
    axis = np.array(aim) / np.linalg.norm(aim)
    starts = lens.vertices[lens.faces].mean(axis=1)
    random = np.random.default_rng(1)
    ways = random.standard_normal((40, 3))
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    # Anything up to 75 degrees off the axis: wider than the field of a beam.
    ways = ways[ways @ axis > np.cos(np.radians(75))]
    origins, directions = np.repeat(starts, len(ways), axis=0), np.tile(ways, (len(starts), 1))
    parts = head_parts("key", **place, stand=stand)
    head = [each for each in parts if each.name == "key.head"]
    assert not blocked(head, origins, directions).any()
    assert blocked(head, starts, np.tile(-axis, (len(starts), 1))).all()
    assert volume(head[0]) > 0


@pytest.mark.parametrize("aim", AIMS)
def test_lens_shines_along_the_aim_with_the_asked_area(aim: tuple) -> None:
    axis = np.array(aim) / np.linalg.norm(aim)
    disc = aperture_part("k", at=(1, 2, 3), aim=aim, shape="beam", aperture_m=0.4, size_m=None)
    assert disc.name == "k.lens"
    assert len(disc.faces) == 32
    # A regular polygon of n corners on a circle: n / 2 r^2 sin(2 pi / n).
    np.testing.assert_allclose(areas(disc).sum(axis=0), 16 * 0.04 * np.sin(np.pi / 16) * axis, atol=1e-12)
    panel = aperture_part("k", at=(1, 2, 3), aim=aim, shape="panel", aperture_m=None, size_m=(1.2, 0.5))
    np.testing.assert_allclose(areas(panel).sum(axis=0), 0.6 * axis, atol=1e-12)
    for part in (disc, panel):
        np.testing.assert_allclose(part.normals, np.tile(axis, (len(part.normals), 1)), atol=1e-12)
        np.testing.assert_allclose((part.vertices - [1, 2, 3]) @ axis, 0, atol=1e-12)


def test_ball_is_a_sphere() -> None:
    ball = aperture_part("k", at=(1, 2, 3), aim=(0, -1, 0), shape="ball", aperture_m=0.6, size_m=None)
    np.testing.assert_allclose(np.linalg.norm(ball.vertices - [1, 2, 3], axis=1), 0.3, atol=1e-12)
    assert volume(ball) == pytest.approx(4 / 3 * np.pi * 0.3**3, rel=0.03)
    assert np.linalg.norm(areas(ball), axis=1).sum() == pytest.approx(4 * np.pi * 0.3**2, rel=0.02)


@pytest.mark.parametrize("ground", [0.0, 0.45, -1.2])
def test_stand_reaches_the_ground_and_no_deeper(ground: float) -> None:
    where = {"aim": (0, -1, -0.3), "shape": "beam", "aperture_m": 0.25, "size_m": None}
    head, stand = head_parts("key", at=(2, -1, 3), **where, stand=True, ground=ground)
    assert (head.name, stand.name) == ("key.head", "key.stand")
    assert stand.vertices[:, 2].min() == pytest.approx(ground, abs=0.005)
    assert stand.vertices[:, 2].min() >= ground
    # It meets the yoke's spigot, and its feet stand round the load.
    assert stand.vertices[:, 2].max() == pytest.approx(head.vertices[:, 2].min(), abs=0.01)
    feet = stand.vertices[stand.vertices[:, 2] < ground + 0.05]
    middle = 0.5 * (head.vertices.min(axis=0) + head.vertices.max(axis=0))
    angles = np.sort(np.arctan2(*(feet[:, :2] - middle[:2]).T))
    assert np.diff(np.append(angles, angles[0] + 2 * np.pi)).max() < np.radians(150)


def test_no_stand_for_hung_or_grounded_heads() -> None:
    where = {"aim": (0, -1, 0), "shape": "beam", "aperture_m": 0.25, "size_m": None}
    hung = head_parts("key", at=(0, 0, 4), **where, stand=False)
    assert [part.name for part in hung] == ["key.head"]
    assert hung[0].vertices[:, 2].max() > 4.2
    grounded = head_parts("key", at=(0, 0, 0.2), **where, stand=True)
    assert [part.name for part in grounded] == ["key.head"]


def test_taller_stands_are_thicker() -> None:
    def section(height: float) -> float:
        """Mean area of metal per metre of height, legs included."""
        where = {"aim": (0, -1, 0), "shape": "beam", "aperture_m": 0.2, "size_m": None}
        return volume(head_parts("key", at=(0, 0, height), **where, stand=True)[1]) / height

    assert section(4.5) > 1.3 * section(1.2) > 0


def test_steep_head_is_carried_clear_of_its_stand() -> None:
    where = {"aim": (0, 0, -1), "shape": "beam", "aperture_m": 0.25, "size_m": None}
    stand = head_parts("key", at=(0, 0, 4), **where, stand=True)[1]
    column = stand.vertices[stand.vertices[:, 2] > 1.0]
    assert np.linalg.norm(column[:, :2], axis=1).min() > 0.5


@pytest.mark.parametrize("axis", [(0, -1, 0), (0.6, -1, -0.5), (0, 0, -1)])
def test_cloth_faces_along_the_axis_with_level_width(axis: tuple) -> None:
    unit = np.array(axis) / np.linalg.norm(axis)
    placed = Placed(np.array([1, 2, 2.5]), unit, (2.4, 1.2))
    frame, cloth = frame_parts("soft", placed, stands=False)
    assert (frame.name, cloth.name, cloth.material) == ("soft.frame", "soft.cloth", "white card")
    np.testing.assert_allclose(areas(cloth).sum(axis=0), 2.4 * 1.2 * unit, atol=1e-12)
    np.testing.assert_allclose(cloth.vertices.min(axis=0) + cloth.vertices.max(axis=0), [2, 4, 5], atol=1e-12)
    edges = cloth.vertices[[1, 2]] - cloth.vertices[[0, 1]]
    level = [np.linalg.norm(edge) for edge in edges if abs(edge[2]) < 1e-9]
    assert level[0] == pytest.approx(2.4)
    # The tube lies round the cloth, not over it.
    starts = cloth.vertices[cloth.faces].mean(axis=1)
    assert not blocked([frame], starts, np.tile(unit, (2, 1))).any()
    assert volume(frame) > 0


def test_frame_on_two_stands() -> None:
    axis = np.array([0, -1, -0.4]) / np.linalg.norm([0, -1, -0.4])
    placed = Placed(np.array([0, 0, 2.5]), axis, (2.4, 2.4))
    frame, stand, cloth = frame_parts("soft", placed, stands=True, ground=0.3)
    assert [part.name for part in (frame, stand, cloth)] == ["soft.frame", "soft.frame stand", "soft.cloth"]
    low = stand.vertices[stand.vertices[:, 2] < 0.32]
    assert stand.vertices[:, 2].min() >= 0.3
    assert (low[:, 0] < -1.2).any()
    assert (low[:, 0] > 1.2).any()
    assert frame.vertices[:, 2].min() > 1.2
    bare = frame_parts("soft", placed, stands=False)
    assert [part.name for part in bare] == ["soft.frame", "soft.cloth"]


BODIES = [
    pytest.param("beam", 0.30, None, (0.44, 0.52, 0.50), id="a box with a barrel"),
    pytest.param("beam", 0.20, None, (0.27, 0.27, 0.36), id="a drum"),
    pytest.param("panel", None, (1.2, 0.3), (1.26, 0.35, 0.13), id="a tray"),
]


@pytest.mark.parametrize(("shape", "aperture", "size", "body"), BODIES)
@pytest.mark.parametrize("turn", [0.0, 0.5, np.pi / 2])
def test_a_body_has_its_own_measures_however_it_is_turned(shape, aperture, size, body, turn) -> None:
    """The housing, told from its yoke as what lies straight behind the front, is as wide, high and deep as asked."""
    place = {"at": (0, 0, 3), "aim": (0, 1, 0), "shape": shape, "aperture_m": aperture, "size_m": size}
    (head,) = head_parts("key", **place, body_m=body, turn=turn, stand=False)
    assert volume(head) > 0
    across, up, deep = body
    steps = np.linspace(-0.499, 0.499, 9)
    inside = np.array([[x * across, -2.0, z * up] for x in steps for z in steps])
    if body[0] == body[1]:
        inside = inside[np.hypot(inside[:, 0], inside[:, 2]) < 0.48 * across]
    # Clockwise as the light goes, towards the north, as seen by somebody who looks north.
    cosine, sine = np.cos(turn), np.sin(turn)
    turned = np.stack(
        [
            cosine * inside[:, 0] + sine * inside[:, 2],
            inside[:, 1],
            cosine * inside[:, 2] - sine * inside[:, 0] + 3.0,
        ],
        axis=1,
    )
    north = np.tile([0.0, 1.0, 0.0], (len(turned), 1))
    assert blocked([head], turned, north).all()
    assert head.vertices[:, 1].min() == pytest.approx(-deep - BEHIND_LENS, abs=0.03)
    assert head.vertices[:, 1].max() <= 0.02


@pytest.mark.parametrize(("shape", "aperture", "size", "body"), BODIES)
def test_a_body_leaves_its_front_free(shape, aperture, size, body) -> None:
    place = {"at": (0, 0, 3), "aim": (0.3, 1, -0.4), "shape": shape, "aperture_m": aperture, "size_m": size}
    lens = aperture_part("key", **place, turn=0.5)
    parts = head_parts("key", **place, body_m=body, turn=0.5, stand=True)
    axis = np.array([0.3, 1, -0.4]) / np.linalg.norm([0.3, 1, -0.4])
    starts = lens.vertices[lens.faces].mean(axis=1)
    head = [part for part in parts if part.name == "key.head"]
    assert not blocked(head, starts, np.tile(axis, (len(starts), 1))).any()
    assert blocked(head, starts, np.tile(-axis, (len(starts), 1))).all()
