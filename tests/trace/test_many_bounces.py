"""Many bounces: light that goes round and round in closed rooms and corners, against closed forms and Mitsuba 3."""

from __future__ import annotations

import numpy as np
import pytest

from preview.build.mesh import Part, smooth
from preview.camera.view import look
from preview.light.emitters.ball import Ball
from preview.light.emitters.patch import Patch
from preview.light.light import Emitter
from preview.trace.plate import trace
from preview.trace.quality import Quality
from preview.trace.receptors import read
from preview.trace.stage import Stage
from tests.trace.metering import grey_world, white
from tests.trace.test_against_mitsuba import REFERENCES, SCENES

LUMENS, RADIUS = 1000.0, 2.0
DIRECT_MEAN = LUMENS / (4.0 * np.pi * RADIUS**2)
"""Lux on the wall of a sphere of RADIUS, as a mean."""

EAST, UP = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
SOURCES: dict[str, Emitter] = {
    "bulb off the middle": Ball(np.array([0.9, -0.3, 0.4]), 0.01, LUMENS / (4 * np.pi**2 * 0.01**2)),
    "large ball": Ball(np.array([0.0, 0.4, 0.0]), 0.7, LUMENS / (4 * np.pi**2 * 0.7**2)),
    "panel": Patch(np.array([0.3, 0.5, -0.4]), UP, (0.4, 0.3), LUMENS / np.pi, round=False),
    "panel before the wall": Patch(1.5 * EAST, EAST, (0.6, 0.6), LUMENS / np.pi, round=False),
}


def hollow(*, subdivisions: int = 5) -> Part:
    """A sphere about the origin."""
    import trimesh

    sphere = trimesh.creation.icosphere(subdivisions=subdivisions, radius=RADIUS)
    return smooth("sphere", "grey", np.asarray(sphere.vertices), np.asarray(sphere.faces, np.int32))


def turns(reflectance: float, bounces: int) -> float:
    """The first terms of the geometric series, the direct light left out."""
    return float(sum(reflectance**turn for turn in range(1, bounces + 1)))


@pytest.mark.parametrize("source", SOURCES)
@pytest.mark.parametrize("bounces", [1, 2, 3])
@pytest.mark.parametrize("reflectance", [0.7])
def test_anywhere_in_a_sphere(source, bounces, reflectance):
    """A diffuse sphere gives every place of its wall the same: by the i-th bounce, rho^i of the mean direct lux.

    Source: the integrating sphere (W. E. Sumpner 1892), whose interreflection is the geometric series.
    """
    rng = np.random.default_rng(1)
    places = rng.standard_normal((6, 3))
    places /= np.linalg.norm(places, axis=1, keepdims=True)
    reading = read(
        0.998 * RADIUS * places,
        -places,
        grey_world([hollow()], reflectance=reflectance),
        [white(SOURCES[source])],
        rays=16,
        bounce_rays=16384,
        bounces=bounces,
    )
    expected = DIRECT_MEAN * turns(reflectance, bounces)
    # Beside the wall one place in some tens is very bright: six readings scatter by 3 to 4 per cent.
    close = source == "panel before the wall"
    assert reading.indirect[0].mean() == pytest.approx(expected, rel=0.03 if close else 0.008)
    assert reading.indirect[0] == pytest.approx(expected, rel=0.12 if close else 0.03)


@pytest.mark.parametrize("subdivisions", [3, 6])
@pytest.mark.parametrize("middle", [0.0, -1.2], ids=["far", "near"])
def test_a_hollow_is_not_darkened(subdivisions, middle):
    """A ball in the middle of a sphere lights its wall evenly, whether a pixel covers many triangles or a triangle
    many pixels: E = pi L (r / R)^2 (Lambert)."""
    world = grey_world([hollow(subdivisions=subdivisions)], reflectance=0.6)
    view = look(
        np.array([middle, -1.5, 0.0]),
        np.array([0.6, -1.5, 0]),
        roll=0.0,
        tan_half_width=0.5,
        tan_half_height=0.5,
    )
    lamp = white(Ball(np.zeros(3), 0.3, 1000.0))
    quality = Quality(0.05, rounds=2, bounce_rays=0)
    plate = trace(
        Stage(world, grey_world(), grey_world(), ()), [lamp], view, width=24, height=24, quality=quality
    )
    # The triangles lie within 0.5 % of the sphere, inside it.
    assert plate.layers[0][..., 1] == pytest.approx(0.6 * 1000.0 * (0.3 / RADIUS) ** 2, rel=0.015)


@pytest.mark.parametrize("bounces", [1, 2, 3])
def test_a_frame_of_the_inside_of_a_sphere(bounces):
    """The same through the coarse grid of a frame: even everywhere, without blotches, and as bright as the series."""
    world = grey_world([hollow()], reflectance=0.6)
    stage = Stage(world, grey_world(), grey_world(), ())
    view = look(np.array([-1.2, 0.3, 0.2]), EAST, roll=0.0, tan_half_width=0.8, tan_half_height=0.6)
    light = white(SOURCES["large ball"])

    def shown(bounce_rays: int) -> np.ndarray:
        quality = Quality(0.05, rounds=4, bounce_rays=bounce_rays, bounces=bounces)
        plate = trace(stage, [light], view, width=80, height=60, quality=quality)
        assert np.isfinite(plate.depth).all()
        return plate.layers[0][..., 1].astype(float)

    bounce = (shown(32) - shown(0)) * np.pi / 0.6
    expected = DIRECT_MEAN * turns(0.6, bounces)
    assert bounce.mean() == pytest.approx(expected, rel=0.01)
    assert bounce.std() < 0.03 * expected


SHARED = [
    pytest.param(scene, point, id=f"{scene}: {point['name']}")
    for scene in ("M1", "M3", "M7")
    for point in REFERENCES[scene]["points"]
    if point["depth"] > 3 and "mean over" not in point["name"]
]


@pytest.mark.parametrize(("scene", "point"), SHARED)
def test_corner_box_and_cube_by_all_bounces(scene, point):
    """MI-04, MI-09, MI-11, MI-14, MI-15: a path of depth d has d - 2 bounces; two of them lie between one and all."""
    world, source = SCENES[scene]()

    def lux(bounces: int) -> float:
        reading = read(
            np.array([point["point"]]),
            np.array([point["normal"]]),
            world,
            [source],
            rays=4096,
            bounce_rays=32768,
            bounces=bounces,
        )
        return float(reading.direct[0, 0] + reading.indirect[0, 0, 0])

    one, two, all_ = (lux(bounces) for bounces in (1, 2, point["depth"] - 2))
    assert all_ == pytest.approx(point["E"], rel=0.005)
    assert one < two < all_ * 1.001
    if scene == "M7":
        # The third bounce and on is nearly even: in the mean rho^3 / (1 - rho) of the direct light's.
        assert two + 104.167 * 0.5**3 / 0.5 == pytest.approx(point["E"], rel=0.02)
        assert lux(3) + 104.167 * 0.5**4 / 0.5 == pytest.approx(point["E"], rel=0.01)


@pytest.mark.parametrize("bounces", [1, 2, 3])
def test_the_mean_over_a_cubes_walls(bounces):
    """PH-24: flux balance, as for one bounce in test_analytic: by k bounces the first k terms of the series."""
    world, source = SCENES["M7"]()
    nodes, weights = np.polynomial.legendre.leggauss(4)
    x, y = (grid.ravel() for grid in np.meshgrid(nodes + 1, nodes + 1))
    share = np.outer(weights, weights).ravel() / 4
    reading = read(
        np.stack([x, y, np.full(16, -2.0)], axis=1),
        np.tile(UP, (16, 1)),
        world,
        [source],
        rays=16,
        bounce_rays=8192,
        bounces=bounces,
    )
    assert reading.indirect[0, :, 1] @ share == pytest.approx(104.167 * turns(0.5, bounces), rel=0.01)
