"""Vignette against the cosine law."""

from math import atan, cos, hypot, tan

import numpy as np
import pytest

from preview.camera.format import Area
from preview.camera.vignette import transmission

AREA = Area(24.89, 13.87)


def test_the_corner_loses_the_stops_that_are_told():
    corner = 0.5 * hypot(24.89, 13.87)
    light = transmission(width=2489, height=1387, area=AREA, corner_mm=corner, stops=1.5)
    assert np.log2(light[0, 0]) == pytest.approx(-1.5, abs=0.01)
    assert light[693, 1244] == pytest.approx(1.0, abs=1e-4)
    np.testing.assert_allclose(light, light[::-1, ::-1], rtol=1e-4)


def test_it_falls_as_the_fourth_power_of_a_cosine():
    """cos^4 of the angle (S. F. Ray): the corner's angle from its loss, elsewhere the tangent in proportion."""
    corner = 0.5 * hypot(24.89, 13.87)
    light = transmission(width=2489, height=1387, area=AREA, corner_mm=corner, stops=2.0)
    widest = atan(1.0)
    assert cos(widest) ** 4 == pytest.approx(0.25)
    for x_mm in (3.0, 6.0, 12.0):
        wanted = cos(atan(tan(widest) * x_mm / corner)) ** 4
        assert light[693, 1244 + round(100 * x_mm)] == pytest.approx(wanted, rel=0.002)


def test_a_frame_cut_from_the_format_keeps_away_from_its_corners():
    light = transmission(width=240, height=100, area=Area(24.0, 10.0), corner_mm=20.0, stops=2.0)
    assert light.min() > 0.4
