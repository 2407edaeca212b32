"""Flat and dome receptors against what defines them: the cosine, the cardioid, and their integrals over large sources."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate

from preview.build.mesh import Part
from preview.light.emitters.ball import Ball
from preview.light.emitters.distant import Distant
from preview.light.emitters.dome import Dome
from preview.light.emitters.patch import Patch
from preview.light.light import Emitter
from preview.trace.geometry import Geometry
from preview.trace.receptors import Reading, read
from tests.trace.metering import grey_world, white

UP, ASIDE = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0])


def reading(
    emitter: Emitter,
    facing: np.ndarray,
    *,
    dome: bool,
    world: Geometry | None = None,
    at: tuple[float, float, float] = (0.0, 0.0, 0.0),
    rays: int = 4096,
    bounce_rays: int = 0,
    tolerance: float = 0.0,
) -> Reading:
    return read(
        np.array([at]),
        facing[np.newaxis].astype(float),
        world or grey_world(),
        [white(emitter)],
        domes=np.array([dome]),
        rays=rays,
        bounce_rays=bounce_rays,
        tolerance=tolerance,
    )


def turned(degrees: float) -> np.ndarray:
    """So far off upright, towards x."""
    return np.cos(np.radians(degrees)) * UP + np.sin(np.radians(degrees)) * ASIDE


@pytest.mark.parametrize(
    ("degrees", "share"), [(0, 1.0), (30, 0.93301), (60, 0.75), (90, 0.5), (120, 0.25), (150, 0.06699)]
)
def test_dome_follows_the_cardioid(degrees: float, share: float) -> None:
    """EX-21: (1 + cos) / 2, the projected area of half a sphere."""
    moon = Distant(UP, 100.0, 1e-3)
    lux = reading(moon, turned(degrees), dome=True).direct[0, 0]
    assert lux == pytest.approx(100.0 * share, rel=1e-3, abs=1e-2)


@pytest.mark.parametrize("degrees", [0, 30, 60, 80, 100])
def test_flat_follows_the_cosine(degrees: float) -> None:
    moon = Distant(UP, 100.0, 1e-3)
    lux = reading(moon, turned(degrees), dome=False).direct[0, 0]
    assert lux == pytest.approx(100.0 * max(0.0, np.cos(np.radians(degrees))), rel=1e-3, abs=1e-2)


@pytest.mark.parametrize("degrees", [0, 45, 90, 180])
def test_dome_under_an_even_sky(degrees: float) -> None:
    """Closed form: of a half space of luminance L, the cardioid takes pi L (1 + cos / 2)."""
    sky = Dome(np.pi * 50.0)
    lux = reading(sky, turned(degrees), dome=True).direct[0, 0]
    assert lux == pytest.approx(np.pi * 50.0 * (1.0 + np.cos(np.radians(degrees)) / 2.0), rel=0.005)


@pytest.mark.parametrize("degrees", [0, 45, 90])
def test_flat_under_an_even_sky(degrees: float) -> None:
    """Closed form: pi L (1 + cos) / 2."""
    lux = reading(Dome(np.pi * 50.0), turned(degrees), dome=False).direct[0, 0]
    assert lux == pytest.approx(np.pi * 50.0 * (1.0 + np.cos(np.radians(degrees))) / 2.0, rel=0.005)


def test_dome_before_a_ball() -> None:
    """A ball of half angle a seen along the axis: pi L ((1 - cos a) + sin^2 a / 2), at any distance."""
    lux = reading(Ball(np.array([0.0, 0.0, 2.0]), 1.2, 1000.0), UP, dome=True).direct[0, 0]
    sine = 1.2 / 2.0
    assert lux == pytest.approx(np.pi * 1000.0 * (1.0 - np.sqrt(1.0 - sine**2) + sine**2 / 2.0), rel=2e-3)


@pytest.mark.parametrize("degrees", [0, 40, 75, 110])
def test_dome_before_a_large_panel_against_quadrature(degrees: float) -> None:
    """An even panel of 2.4 x 1.6 m a metre and a half off; scipy's adaptive quadrature of L (1 + cos) / 2 dOmega."""
    height, half, luminance = 1.5, (1.2, 0.8), 200.0
    panel = Patch(np.array([0.0, 0.0, height]), -UP, half, luminance * 4.0 * half[0] * half[1], round=False)
    facing = turned(degrees)

    def element(y: float, x: float) -> float:
        away = np.array([x, y, height])
        distance = np.sqrt(away @ away)
        # Cosine at the panel over the distance squared: its solid angle.
        return luminance * (1.0 + facing @ away / distance) / 2.0 * height / distance**3

    truth = integrate.dblquad(element, -half[0], half[0], -half[1], half[1], epsrel=1e-6)[0]
    # `across` of an axis straight down gives x first.
    assert reading(panel, facing, dome=True).direct[0, 0] == pytest.approx(truth, rel=3e-3)


def test_flow_is_what_a_turned_flat_receptor_reads() -> None:
    """The light vector's length is the most that any flat receptor reads there."""
    ball = Ball(np.array([1.0, 2.0, 3.0]), 0.05, 1e5)
    got = reading(ball, UP, dome=False)
    flow = got.flow[0, 0]
    towards = np.array([1.0, 2.0, 3.0]) / np.sqrt(14.0)
    assert flow / np.linalg.norm(flow) == pytest.approx(towards, abs=1e-3)
    turned_to_it = reading(ball, towards, dome=False).direct[0, 0]
    assert np.linalg.norm(flow) == pytest.approx(turned_to_it, rel=1e-3)


def floor(half: float) -> Geometry:
    corners = half * np.array([[-1.0, -1, 0], [1, -1, 0], [1, 1, 0], [-1, 1, 0]])
    part = Part("floor", "grey", corners, np.array([[0, 1, 2], [0, 2, 3]]), np.tile(UP, (4, 1)))
    return grey_world([part], reflectance=0.4)


@pytest.mark.parametrize(("dome", "factor"), [(False, 0.0), (True, 0.5)])
def test_bounce_off_a_wide_floor_facing_up(dome: bool, factor: float) -> None:
    """A floor without end of luminance E rho / pi fills the lower half: a dome that looks up takes pi L / 2 of it, a flat
    receptor none."""
    moon = Distant(UP, 100.0, 1e-3)
    got = reading(moon, UP, dome=dome, world=floor(400.0), at=(0, 0, 1.0), bounce_rays=4096)
    assert got.indirect[0, 0, 1] == pytest.approx(100.0 * 0.4 * factor, rel=0.01, abs=1e-6)


def test_bounce_off_a_wide_floor_from_above() -> None:
    """A dome that looks straight down takes pi L (1 + 1 / 2) of it, but for its own shadow, of which it has none."""
    moon = Distant(UP, 100.0, 1e-3)
    got = reading(moon, -UP, dome=True, world=floor(400.0), at=(0, 0, 1.0), bounce_rays=4096)
    assert got.indirect[0, 0, 1] == pytest.approx(100.0 * 0.4 * 1.5, rel=0.01)


@pytest.mark.parametrize("dome", [False, True])
def test_fewer_rays_where_they_agree(dome: bool) -> None:
    """A half-hidden panel: what is asked for is met, with the rays that it takes."""
    panel = Patch(np.array([0.0, 0.0, 3.0]), -UP, (1.0, 1.0), 4000.0, round=False)
    corners = np.array([[-2.0, -2, 1.5], [0.2, -2, 1.5], [0.2, 2, 1.5], [-2, 2, 1.5]])
    flag = grey_world([Part("flag", "grey", corners, np.array([[0, 1, 2], [0, 2, 3]]), np.tile(-UP, (4, 1)))])
    exact = reading(panel, turned(20), dome=dome, world=flag, rays=65536).direct[0, 0]
    quick = reading(panel, turned(20), dome=dome, world=flag, rays=4096, tolerance=0.004).direct[0, 0]
    assert exact > 0.0
    assert quick == pytest.approx(exact, rel=0.01)
