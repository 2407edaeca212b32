"""The mirror of a cornea against closed forms: the mirror equation, its angle, its edge."""

from __future__ import annotations

from math import asin, pi

import numpy as np
import pytest

from preview.build.sculpt.cornea import EDGE, INDEX, IRIS_RADIUS, RADIUS, Cornea, cornea_of, reflected

AXIS, RIGHT, UP = np.array([0.0, -1.0, 0.0]), np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
EYE = Cornea(np.zeros(3), AXIS)


@pytest.mark.parametrize("distance", [0.1, 0.5, 3.0])
def test_image_by_the_mirror_equation(distance: float) -> None:
    """h' = h R / (2 d + R) for a small object before a convex mirror, seen from far off along the same axis."""
    height = 1e-3 * distance
    source = np.array([[0.0, -(RADIUS + distance), height]])
    normal = EYE.normals(source, 1e4 * AXIS)[0]
    assert RADIUS * normal[2] == pytest.approx(height * RADIUS / (2.0 * distance + RADIUS), rel=2e-4)


def test_angles_at_the_mirror_are_even() -> None:
    """Alhazen's problem: source and eye at one angle from the normal, in one plane with it."""
    source, eye = np.array([[0.3, -0.4, 0.2]]), np.array([-0.2, -0.5, 0.1])
    normal = EYE.normals(source, eye)[0]
    place = RADIUS * normal
    away = [(to - place) / np.linalg.norm(to - place) for to in (source[0], eye)]
    assert away[0] @ normal == pytest.approx(away[1] @ normal, abs=1e-9)
    assert np.linalg.det([normal, *away]) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("towards", "hours"), [((0, 1), 12.0), ((1, 0), 3.0), ((0, -1), 6.0), ((-1, 0), 9.0), ((1, 1), 1.5)]
)
def test_clock_and_how_far_out(towards: tuple[int, int], hours: float) -> None:
    """A distant source 40 degrees off the lens is seen at 20 degrees off the axis: R sin 20 from the middle."""
    aside = (towards[0] * RIGHT + towards[1] * UP) / np.hypot(*towards)
    way = np.cos(np.radians(40.0)) * AXIS + np.sin(np.radians(40.0)) * aside
    normal = EYE.normals(way[np.newaxis], 1e6 * AXIS, distant=True)[0]
    clock, share = EYE.clock(normal, right=RIGHT, up=UP)
    assert clock % 12.0 == pytest.approx(hours % 12.0, abs=1e-3)
    assert share == pytest.approx(RADIUS * np.sin(np.radians(20.0)) / IRIS_RADIUS, rel=1e-4)


@pytest.mark.parametrize(("off", "seen"), [(0.95, True), (1.05, False)])
def test_nothing_beyond_the_limbus(off: float, seen: bool) -> None:
    """The cornea ends where its sphere is as wide as the iris, so at twice that angle off the lens sources are lost."""
    assert asin(5.85 / 7.8) == pytest.approx(EDGE)
    angle = off * EDGE
    normal = np.cos(angle) * AXIS + np.sin(angle) * UP
    assert EYE.shows(normal[np.newaxis], 1e3 * AXIS)[0] == seen


def test_cornea_meets_the_eyeball_at_the_limbus() -> None:
    cornea = cornea_of(np.zeros(3), 12e-3, AXIS)
    rim = cornea.centre + RADIUS * (np.cos(EDGE) * AXIS + np.sin(EDGE) * UP)
    assert np.linalg.norm(rim) == pytest.approx(12e-3, rel=1e-9)


def test_reflectance_at_the_middle() -> None:
    """Fresnel: ((n - 1) / (n + 1))^2, 2.5 %."""
    assert reflected(1.0) == pytest.approx(((INDEX - 1.0) / (INDEX + 1.0)) ** 2, rel=1e-4)
    assert reflected(0.0) == pytest.approx(1.0, abs=1e-4)
    assert reflected(np.cos(pi / 4)) > reflected(1.0)
