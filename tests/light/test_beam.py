"""Beam profiles against the definitions of beam and field angle, with published and closed-form lumens."""

from math import cos, pi, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from preview.light import beam


@given(st.floats(2.0, 80.0), st.floats(1.05, 2.2))
def test_half_at_the_beam_edge_and_a_tenth_at_the_field_edge(beam_deg, wider):
    """Beam and field angle by definition: 50 % and 10 % of the axial intensity."""
    field_deg = beam_deg * wider
    edges = np.cos(np.radians([0.0, beam_deg / 2, field_deg / 2])).astype(np.float32)
    found = beam.relative_intensity(edges, beam=radians(beam_deg), field=radians(field_deg))
    # float32 cosines near the axis are worth a few ten-thousandths of a radian
    assert found == pytest.approx([1.0, 0.5, 0.1], abs=0.02 if beam_deg < 8 else 2e-3)


def test_gaussian_beam():
    """FWHM 26 deg Gaussian: field 47.388 deg, 0.230461 lm per cd (quadrature; BM-05 of the check values)."""
    assert beam.power(beam=radians(26), field=radians(47.388)) == pytest.approx(2.0, abs=1e-4)
    found = beam.lumens(candela=1.0, beam=radians(26), field=radians(47.388))
    assert found == pytest.approx(0.230461, rel=1e-4)


def test_flattest_top_nears_the_uniform_cone():
    """A uniform cone of 26 deg holds 0.161038 lm per cd: 2 pi (1 - cos half angle)."""
    found = beam.lumens(candela=1.0, beam=radians(26), field=radians(26.02))
    assert found == pytest.approx(0.161038, rel=2e-3)


@pytest.mark.parametrize(("beam_deg", "field_deg"), [(5, 30), (10, 11), (50, 66), (105, 150), (120, 168.522)])
def test_lumens_against_adaptive_quadrature(beam_deg, field_deg):
    """scipy.integrate.quad over the profile as the definitions state it."""
    from scipy.integrate import quad

    power = np.log(np.log2(10)) / np.log(field_deg / beam_deg)

    def zone(angle):
        return 2 * pi * np.sin(angle) * np.exp(-np.log(2) * (2 * np.degrees(angle) / beam_deg) ** power)

    whole, _ = quad(zone, 0, pi / 2, points=[radians(beam_deg) / 2], limit=200)
    found = beam.lumens(candela=1.0, beam=radians(beam_deg), field=radians(field_deg))
    assert found == pytest.approx(whole, rel=1e-5)


def test_lambertian_source():
    """1000 cd is 3141.593 lm; half intensity at 60 deg off the axis, a tenth at 84.261 (BM-02)."""
    assert beam.lambertian_lumens(1000) == pytest.approx(3141.593, rel=1e-6)
    assert beam.lambertian_candela(3141.593) == pytest.approx(1000, rel=1e-6)
    assert cos(beam.LAMBERTIAN_BEAM / 2) == pytest.approx(0.5)


def test_a_beam_of_lambertian_angles_is_nearly_lambertian():
    lumens = beam.lumens(candela=1.0, beam=beam.LAMBERTIAN_BEAM, field=radians(168.522))
    assert lumens == pytest.approx(pi, rel=0.05)


def test_candela_from_a_reading():
    """Inverse square: 68 lux at 10 m is 6800 cd."""
    assert beam.candela_of_reading(lux=68.0, distance=10.0) == pytest.approx(6800.0)


def test_candela_of_lumens_turns_lumens_back():
    angles = {"beam": radians(30), "field": radians(52)}
    assert beam.lumens(candela=beam.candela_of_lumens(900, **angles), **angles) == pytest.approx(900)


def test_nothing_shines_backwards():
    cosines = np.array([-1.0, -1e-3, 0.0], dtype=np.float32)
    found = beam.relative_intensity(cosines, beam=radians(150), field=radians(175))
    assert found.dtype == np.float32
    assert found.tolist() == [0.0, 0.0, 0.0]


@pytest.mark.parametrize(("inner", "outer"), [(30, 30), (40, 30), (0, 30)])
def test_beam_must_be_narrower_than_its_field(inner, outer):
    with pytest.raises(ValueError, match="less than the field angle"):
        beam.power(beam=radians(inner), field=radians(outer))
