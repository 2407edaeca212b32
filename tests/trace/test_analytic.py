"""Receptors against closed forms of photometry, configuration factors and numeric integrals.

PH numbers are those of the project's table of check values; `F` is a configuration factor from a receptor to a
Lambertian source of luminance L, so that the illuminance is pi L F.

Source of the factors: J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors, section B; for
rectangles also P. Tregenza and S. Sharples, Daylighting Algorithms, 3.14 and 3.15. Each was confirmed by quadrature.
"""

from __future__ import annotations

import numpy as np
import pytest

from preview.build.mesh import flat, smooth
from preview.build.solids import boxes
from preview.camera.view import look
from preview.light.emitters.ball import Ball
from preview.light.emitters.distant import Distant
from preview.light.emitters.dome import Dome
from preview.light.emitters.patch import Patch
from preview.light.emitters.tube import Tube
from preview.trace.plate import trace
from preview.trace.quality import Quality
from preview.trace.receptors import read
from preview.trace.stage import Stage
from tests.trace.metering import grey_world, lumens_of, lux_at, sphere_of_receptors, white

UP, DOWN = np.array([0.0, 0.0, 1.0]), np.array([0.0, 0.0, -1.0])
EAST, WEST = np.array([1.0, 0.0, 0.0]), np.array([-1.0, 0.0, 0.0])
ORIGIN = np.zeros(3)


def point(candela: float, centre: list[float]) -> Ball:
    """A ball small enough to be a point."""
    return Ball(np.array(centre), 1e-3, candela / (np.pi * 1e-6))


def disc(radius: float, height: float, luminance: float) -> Patch:
    """An even Lambertian disc over the origin that looks down."""
    return Patch(height * UP, DOWN, (radius, radius), luminance * np.pi * radius**2)


def rectangle(x: tuple[float, float], y: tuple[float, float], height: float, luminance: float) -> Patch:
    """An even Lambertian rectangle that looks down."""
    centre = np.array([sum(x) / 2, sum(y) / 2, height])
    half = (x[1] - x[0]) / 2, (y[1] - y[0]) / 2
    return Patch(centre, DOWN, half, luminance * 4 * half[0] * half[1], round=False)


def test_inverse_square():
    """PH-01, definition of candela and lux: 1000 cd at 5 m is 40 lx."""
    assert lux_at(point(1000, [0, 0, 5]), ORIGIN, UP)[0] == pytest.approx(40.0, rel=1e-5)


def test_cosine():
    """PH-02, definition: 1000 cd 4 m up and 3 m aside is 32 lx on level ground; 40 lx on a card turned to it."""
    lamp = point(1000, [3, 0, 4])
    level, turned = lux_at(lamp, ORIGIN, [UP, [0.6, 0, 0.8]])
    assert level == pytest.approx(32.0, rel=1e-5)
    assert turned == pytest.approx(40.0, rel=1e-5)


def test_nothing_from_behind():
    """A flat receptor reads nothing of a light behind its back."""
    assert lux_at(point(1000, [0, 0, 5]), ORIGIN, DOWN)[0] == 0.0


@pytest.mark.parametrize(
    ("radius", "height", "expected"),
    [
        pytest.param(0.5, 2.0, 184.7996, id="PH-06: R 0.5 m at 2 m"),
        pytest.param(1.5, 1.5, 1570.796, id="PH-07: h = R"),
    ],
)
def test_disc_on_its_axis(radius, height, expected):
    """Howell, disc parallel to the receptor: F = R^2 / (R^2 + h^2); L = 1000 cd/m2."""
    assert lux_at(disc(radius, height, 1000), ORIGIN, UP)[0] == pytest.approx(expected, rel=2e-3)


def test_disc_beside_an_upright_receptor():
    """PH-09, Howell, disc square to the receptor's plane: R 1 m, h 2 m, 1.5 m off the axis, F = 0.0656356."""
    lux = lux_at(disc(1.0, 2.0, 1000), [1.5, 0, 0], WEST)[0]
    assert lux == pytest.approx(np.pi * 1000 * 0.0656356, rel=3e-3)


@pytest.mark.parametrize(
    ("a", "b", "c", "facing", "factor"),
    [
        pytest.param(1, 1, 1, UP, 0.1385316, id="PH-10: parallel, 1 x 1 at 1"),
        pytest.param(1, 1, 1, EAST, 0.05573420, id="PH-12: perpendicular, 1 x 1 at 1"),
        pytest.param(2, 1.5, 3, EAST, 0.02158403, id="PH-13: perpendicular, 2 x 1.5 at 3"),
    ],
)
def test_rectangle_over_a_corner(a, b, c, facing, factor):
    """Howell; Tregenza and Sharples 3.14, 3.15: the receptor lies below a corner of a rectangle a x b at height c."""
    lux = lux_at(rectangle((0, a), (0, b), c, 1000), ORIGIN, facing)[0]
    assert lux == pytest.approx(np.pi * 1000 * factor, rel=3e-3)


def test_square_beside_the_receptor():
    """PH-15: 1 x 1 m of 1000 cd/m2 2 m up, receptor 1.5 m aside: 102.6147 lx by corner rectangles."""
    lux = lux_at(rectangle((-0.5, 0.5), (-0.5, 0.5), 2, 1000), [1.5, 0, 0], UP)[0]
    assert lux == pytest.approx(102.6147, rel=2e-3)


def test_twelve_foot_frame():
    """PH-16: 12 x 12 ft of 100 cd/m2 at 6 m is 33.0852 lx (four corner rectangles), 12 % under the point formula."""
    half = 6 * 0.3048
    lux = lux_at(rectangle((-half, half), (-half, half), 6, 100), ORIGIN, UP)[0]
    assert lux == pytest.approx(33.0852, rel=2e-3)


@pytest.mark.parametrize(("height", "high_by"), [(10.0, 0.0100), (5.0, 0.0400)])
def test_five_times_rule(height, high_by):
    """PH-18, IES practice: at 5 diameters (5 radii) the inverse square is 1 % (4 %) high for an even disc."""
    lux = lux_at(disc(1.0, height, 1000), ORIGIN, UP, rays=16384)[0]
    assert np.pi * 1000 / height**2 / lux - 1 == pytest.approx(high_by, abs=4e-4)


@pytest.mark.parametrize("distance", [0.15, 0.5, 2.0, 30.0])
def test_even_ball_at_any_distance(distance):
    """PH-19, Lambert: pi L (R / D)^2 exactly, however near: 1e4 cd/m2, R 0.1 m; 78.5398 lx at 2 m."""
    lux = lux_at(Ball(distance * UP, 0.1, 1e4), ORIGIN, UP)[0]
    assert lux == pytest.approx(np.pi * 1e4 * (0.1 / distance) ** 2, rel=2e-3)


def test_terminator_of_a_lit_sphere():
    """PH-21, geometry: a point 3 m from the middle of a sphere of 0.5 m lights it to acos(1/6) = 80.4059 deg."""
    before, after = np.radians([80.4059 - 0.05, 80.4059 + 0.05])
    outward = np.array([[np.sin(a), 0, np.cos(a)] for a in (0.0, before, after)])
    top, lit, dark = lux_at(point(1000, [0, 0, 3]), 0.5 * outward, outward, rays=256)
    assert top == pytest.approx(1000 / 2.5**2, rel=1e-4)
    assert lit > 0.0
    assert dark == 0.0


def test_flux_on_a_lit_sphere():
    """PH-21: the same sphere catches 2 pi I (1 - sqrt(1 - (r/D)^2)) = 87.8810 lm of 1000 cd."""
    places, inward, area = sphere_of_receptors(0.5, polar=192, turns=6)
    lux = lux_at(point(1000, [0, 0, 3]), places, -inward, rays=16)
    assert lux @ area == pytest.approx(87.8810, rel=2e-3)


def walls(luminance: float, half: float = 2.0) -> list[Patch]:
    """A closed cube of luminous walls that look inwards."""
    axes = [sign * axis for axis in np.eye(3) for sign in (1.0, -1.0)]
    candela = luminance * 4 * half**2
    return [Patch(half * axis, -axis, (half, half), candela, round=False) for axis in axes]


@pytest.mark.parametrize("position", [[0, 0, 0], [1.2, -0.7, 0.4]])
@pytest.mark.parametrize("facing", [[0, 0, 1], [1, 0, 0], [0.48, -0.6, 0.64]])
def test_luminous_furnace(position, facing):
    """PH-22, classical: 100 cd/m2 all round is 314.159 lx anywhere, whichever way the receptor faces."""
    assert lux_at(walls(100), position, facing, rays=16384)[0] == pytest.approx(314.159, rel=2e-3)


def icosphere(radius: float, *, subdivisions: int = 5):
    import trimesh

    ball = trimesh.creation.icosphere(subdivisions=subdivisions, radius=radius)
    return smooth("sphere", "grey", np.asarray(ball.vertices), np.asarray(ball.faces, np.int32))


def test_a_grey_ball_vanishes_into_a_grey_furnace():
    """PH-22: in 100 cd/m2 all round a convex body of reflectance 0.18 is 18 cd/m2 all over, in the frame too."""
    view = look(np.array([0, -3.0, 0]), ORIGIN, roll=0.0, tan_half_width=0.2, tan_half_height=0.2)
    world = grey_world([icosphere(0.5)], reflectance=0.18)
    quality = Quality(0.01, samples=8, rounds=8, bounce_rays=0)
    plate = trace(
        Stage(world, grey_world(), grey_world(), ()),
        [white(*walls(100, 4.0))],
        view,
        width=96,
        height=96,
        quality=quality,
    )
    inside = np.isfinite(plate.depth) & (_from_middle(96) < 0.75)
    shown = plate.layers[0][inside]
    assert inside.sum() > 3000
    assert shown.mean() == pytest.approx(18.0, rel=5e-3)
    # 64 samples of each wall, of which every pixel sees three or four, some across its own horizon.
    assert np.median(np.abs(shown / 18.0 - 1.0)) < 0.02


def _from_middle(size: int) -> np.ndarray:
    place = (np.arange(size) + 0.5) / size * 2 - 1
    return np.hypot(place[:, None], place[None, :])


@pytest.mark.parametrize("tilt_deg", [0, 30, 60, 90, 150, 180])
def test_sky_on_tilted_ground(tilt_deg):
    """An even dome of 0.8 lx on level ground gives (1 + cos tilt) / 2 of it to a tilted plane: 1 level, 1/2 upright.

    Source: the isotropic sky of B. Y. H. Liu and R. C. Jordan 1963, used throughout solar engineering.
    """
    tilt = np.radians(tilt_deg)
    lux = lux_at(Dome(0.8), [5, -3, 1], [np.sin(tilt), 0, np.cos(tilt)], rays=16384)[0]
    assert lux == pytest.approx(0.8 * (1 + np.cos(tilt)) / 2, rel=2e-3, abs=1e-6)


@pytest.mark.parametrize("size_deg", [0.5, 5, 20, 40])
@pytest.mark.parametrize("elevation_deg", [25, 50, 90])
def test_moon_on_level_ground(size_deg, elevation_deg):
    """An even disc wholly above the horizon gives level ground lux x sin(elevation) exactly, however large it looks.

    Source: the nonuniform solid angle (Nusselt's projection) of a cone of half angle s about a normal's cosine c is
    pi sin^2(s) c while the cone does not cross the plane.
    """
    elevation = np.radians(elevation_deg)
    moon = Distant(np.array([0, np.cos(elevation), np.sin(elevation)]), 0.25, np.radians(size_deg) / 2)
    lux = lux_at(moon, [40, -3, 0], UP)[0]
    assert lux == pytest.approx(0.25 * np.sin(elevation), rel=2e-3)


def exact_tube(
    length: float, radius: float, luminance: float, position: np.ndarray, facing: np.ndarray
) -> float:
    """Illuminance by adaptive quadrature over the side of a Lambertian cylinder along x, its middle the origin."""
    from scipy.integrate import dblquad

    def element(turn: float, x: float) -> float:
        outward = np.array([0.0, np.cos(turn), np.sin(turn)])
        away = position - (np.array([x, 0.0, 0.0]) + radius * outward)
        square = away @ away
        leaving, arriving = away @ outward, -(away @ facing)
        return luminance * radius * max(leaving, 0.0) * max(arriving, 0.0) / square**2

    value, _ = dblquad(element, -length / 2, length / 2, 0, 2 * np.pi, epsabs=1e-4, epsrel=1e-4)
    return float(value)


@pytest.mark.parametrize(
    ("position", "facing"),
    [
        pytest.param([0, 0, -1.0], [0, 0, 1.0], id="1 m below its middle"),
        pytest.param([0, 0, -0.3], [0, 0, 1.0], id="0.3 m below its middle"),
        pytest.param([1.1, 0.4, -1.5], [0, 0, 1.0], id="past its end, aside"),
        pytest.param([0.9, -0.8, -0.6], [0, 0.8, 0.6], id="turned to it"),
    ],
)
def test_tube_against_quadrature(position, facing):
    """A Lambertian cylinder of 1.2 m x 26 mm, 8000 cd/m2 (scipy.integrate.dblquad over its whole side).

    The tracer's tube is the face that it shows, a strip through its axis; its true side stands a radius nearer, which
    at 1 m is worth 0.7 %.
    """
    length, radius, luminance = 1.2, 0.013, 8000.0
    tube = Tube(ORIGIN, EAST, length, radius, luminance * 2 * radius * length)
    expected = exact_tube(length, radius, luminance, np.array(position), np.array(facing))
    assert lux_at(tube, position, facing)[0] == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize(
    ("emitter", "expected"),
    [
        pytest.param(Ball(np.array([0.3, 0.1, -0.2]), 0.4, 500.0), 4 * np.pi**2 * 0.4**2 * 500, id="ball"),
        pytest.param(disc(0.5, 0.0, 1000), np.pi * 1000 * np.pi * 0.25, id="disc"),
        pytest.param(rectangle((-0.7, 0.7), (-0.2, 0.2), 0.0, 1000), np.pi * 1000 * 0.56, id="rectangle"),
        pytest.param(Tube(ORIGIN, EAST, 1.2, 0.013, 250.0), np.pi**2 * 250, id="tube"),
    ],
)
def test_lumens_of_even_sources(emitter, expected):
    """Lambert: a luminous surface of luminance L sends out pi L per m2 (PH-33); a tube's area is pi times its face."""
    assert lumens_of(emitter, radius=3.0) == pytest.approx(expected, rel=3e-3)


@pytest.mark.parametrize("reflectance", [0.2, 0.8])
def test_first_bounce_in_a_closed_cube(reflectance):
    """PH-24, flux balance of CIE 171:2006 5.8: all the flux that walls reflect falls on walls again.

    10 000 lm in the middle of a cube of 96 m2: 104.167 lx direct, reflectance times that by one bounce, as means
    over the walls (Gauss's nodes over a quarter of one wall; the others are alike).
    """
    cube = grey_world([flat("cube", "grey", boxes(ORIGIN - 2, ORIGIN + 2))], reflectance=reflectance)
    nodes, weights = np.polynomial.legendre.leggauss(4)
    x, y = (grid.ravel() for grid in np.meshgrid(nodes + 1, nodes + 1))
    share = np.outer(weights, weights).ravel() / 4
    reading = read(
        np.stack([x, y, np.full(16, -2.0)], axis=1),
        np.tile(UP, (16, 1)),
        cube,
        [white(point(10_000 / (4 * np.pi), [0, 0, 0]))],
        rays=16,
        bounce_rays=8192,
    )
    assert reading.direct[0] @ share == pytest.approx(104.167, rel=2e-3)
    assert reading.indirect[0, :, 1] @ share == pytest.approx(reflectance * 104.167, rel=0.01)
