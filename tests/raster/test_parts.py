"""Parts of the raster engine: windows, the faces seen in them, the sky by harmonics."""

from __future__ import annotations

import numpy as np
import pytest

from preview.light.emitters.dome import Dome, TownGlow
from preview.raster.driver import canvas
from preview.raster.hits import Triangles
from preview.raster.projection import Projection, through
from preview.raster.sky import sky_lux
from preview.trace.geometry import Points
from tests.raster import yard


def on_screen(projection: Projection, points: np.ndarray) -> np.ndarray:
    """GL's own way from the world to its normalised coordinates (n, 3): OpenGL 4.6 core, section 13.8."""
    clip = np.column_stack([points, np.ones(len(points))]) @ (projection.to_clip @ projection.to_eye).T
    return clip[:, :3] / clip[:, 3:]


@pytest.fixture
def places() -> np.ndarray:
    return np.random.default_rng(3).uniform([-2.0, 0.0, 0.0], [2.0, 5.0, 2.5], (50, 3))


def test_the_camera_s_window_is_the_view(places):
    eye = yard.view()
    found = on_screen(through(eye, width=320, height=200, u=0.5, v=0.5), places)
    uv, _ = eye.project(places)
    assert 0.5 + 0.5 * found[:, 0] == pytest.approx(uv[:, 0])
    assert 0.5 - 0.5 * found[:, 1] == pytest.approx(uv[:, 1])


def test_a_place_within_the_pixel_is_moved_to_its_middle(places):
    plain, moved = (
        through(yard.view(), width=320, height=200, u=u, v=v) for u, v in ((0.5, 0.5), (0.2, 0.9))
    )
    shift = on_screen(moved, places) - on_screen(plain, places)
    assert shift[:, 0] == pytest.approx((0.5 - 0.2) * 2.0 / 320)
    assert shift[:, 1] == pytest.approx((0.9 - 0.5) * 2.0 / 200)


@pytest.mark.parametrize("far", [None, 30.0], ids=["from a point", "in parallel"])
def test_closeness_comes_back_from_depth(places, far):
    eye = yard.view()
    axes = np.stack([eye.right, eye.up, eye.forward])
    window = Projection(eye.position, axes, np.array([-1.0, -2.0]), np.array([3.0, 1.0]), 0.1, far)
    depth = 0.5 + 0.5 * on_screen(window, places)[:, 2]
    forward = (places - eye.position) @ eye.forward
    expected = 1.0 / forward if far is None else -forward
    assert window.closeness(depth.astype(np.float32)) == pytest.approx(expected, rel=1e-4)
    nothing = window.closeness(np.ones(1, np.float32))
    assert nothing == (0.0 if far is None else -np.inf)


def test_boxes_out_of_sight_are_known():
    window = through(yard.view(), width=320, height=200, u=0.5, v=0.5)
    boxes = np.array(
        [
            [[-1, 0, 0], [1, 1, 1]],  # before the camera
            [[-1, -12, 0], [1, -10, 1]],  # behind it
            [[40, 0, 0], [41, 1, 1]],  # beside it
            [[-50, -50, -1], [50, 50, 0]],  # round it
        ],
        float,
    )
    assert window.misses(boxes).tolist() == [False, True, True, False]


def test_faces_seen_are_those_that_rays_meet():
    """Against Embree, at the same places within the pixels."""
    yard.need_driver()
    world, eye = yard.yard().solid, yard.view()
    with canvas() as sheet:
        sheet.hold(world.world)
        window = through(eye, width=160, height=100, u=0.3, v=0.8)
        face = sheet.faces(window, width=160, height=100, worlds=(0,))[::-1].ravel()
    row, column = (axis.ravel() for axis in np.mgrid[0:100, 0:160])
    ways = eye.rays(((column + 0.3) / 160).astype(np.float32), ((row + 0.8) / 100).astype(np.float32))
    origin = np.broadcast_to(eye.position.astype(np.float32), (len(row), 3))
    expected = world.rays.hit(origin, np.ascontiguousarray(ways.T))
    same = face == expected.face
    assert same.mean() > 0.999
    found = Triangles(world.world).hits(face, ways, eye.position)
    there = same & (face >= 0)
    assert found.distance[there] == pytest.approx(expected.distance[there], rel=1e-4)
    assert np.isinf(found.distance[face < 0]).all()
    assert found.u[there] == pytest.approx(expected.u[there], abs=1e-3)
    assert found.v[there] == pytest.approx(expected.v[there], abs=1e-3)


def facing(normals: np.ndarray, transmission: float = 0.0) -> Points:
    normal = np.ascontiguousarray(normals.T, np.float32)
    flat = np.zeros(len(normals), np.float32)
    nowhere = np.zeros_like(normal)
    return Points(
        position=nowhere,
        start=nowhere,
        normal=normal,
        facet=normal,
        slope=nowhere,
        spread=flat,
        reflectance=nowhere,
        transmission=flat + np.float32(transmission),
        ior=flat + 1,
        roughness=flat,
        part=flat.astype(np.int32),
    )


@pytest.fixture
def normals() -> np.ndarray:
    some = np.random.default_rng(5).normal(size=(40, 3))
    return some / np.linalg.norm(some, axis=1)[:, None]


def test_an_even_sky(normals):
    """E = E0 (1 + cos) / 2 for a surface at an angle from level: the view factor of the sky (Moon and Spencer)."""
    found = sky_lux(Dome(2.0), facing(normals))
    assert found == pytest.approx(2.0 * (1.0 + normals[:, 2]) / 2.0, abs=2e-3)
    through_a_leaf = sky_lux(Dome(2.0), facing(normals, 0.5))
    assert through_a_leaf == pytest.approx(found + 0.5 * (2.0 - found), abs=2e-3)


def test_a_sky_with_a_town(normals):
    """Against the integral of luminance times cosine over the upper hemisphere, by brute force."""
    dome = Dome(2.0, 1.0, TownGlow(0.7, 2.0, 1.2))
    height, turn = np.meshgrid((np.arange(400) + 0.5) / 400, (np.arange(400) + 0.5) * (2.0 * np.pi / 400))
    level = np.sqrt(1.0 - height**2)
    ways = np.stack([level * np.cos(turn), level * np.sin(turn), height]).reshape(3, -1)
    seen = dome.luminance(ways.astype(np.float32)) * (2.0 * np.pi / ways.shape[1])
    expected = np.array([(np.maximum(normal @ ways, 0.0) * seen).sum() for normal in normals])
    upward = normals[:, 2] > 0.0
    found = sky_lux(dome, facing(normals))
    assert found[upward] == pytest.approx(expected[upward], rel=0.1)
    assert found == pytest.approx(expected, abs=0.1 * 2.0)
