"""Exposure against the trade's table, with ISO 2720 and ISO 12232 behind it."""

from math import pi, radians

import numpy as np
import pytest

from preview.camera import exposure
from preview.script.models.camera import Camera


def camera(**changes):
    values = {"lens": {"focal": 35, "stop": 8**0.5}, "at": [0, -5, 1.5], "aim": [0, 0, 1.5], "iso": 100}
    return Camera.model_validate(values | changes)


@pytest.mark.parametrize(
    ("iso", "footcandles"), [(100, 96), (200, 48), (400, 24), (800, 12), (1600, 6), (3200, 3)]
)
def test_footcandles_by_the_camera_departments_rule(iso, footcandles):
    """fc = 25 N^2 / (S t), N^2 = 8, 24 frames a second, 180 degrees (EX-06 of the check values)."""
    found = exposure.footcandles(exposure.grey_illuminance_of(camera(iso=iso)))
    assert found == pytest.approx(footcandles, rel=1e-6)


def test_constant_lies_in_the_range_of_iso_2720():
    """240 to 400 for a flat receptor (ISO 2720:1974, quoted in colour-hdri's exposure module)."""
    assert 240 <= exposure.INCIDENT_CONSTANT <= 400


def test_constant_agrees_with_iso_12232():
    """18 % card by standard output sensitivity: H = 0.65 L t / N^2 = 10 / S gives E = 1031.09 lx (EX-09)."""
    luminance = 10 / 100 / 0.65 * 8 * 48
    illuminance = luminance * pi / 0.18
    assert illuminance == pytest.approx(1031.09, rel=0.001)
    assert exposure.grey_illuminance_of(camera()) == pytest.approx(illuminance, rel=0.005)


def test_grey_card_comes_out_grey():
    """An 18 % card under the right light is 0.18 E / pi cd/m2."""
    luminance = 0.18 * exposure.grey_illuminance_of(camera()) / pi
    assert luminance * exposure.exposure_scale(camera()) == pytest.approx(0.18)


def test_worked_example_of_a_published_module():
    """N 8, 1 s, ISO 100: 160 lx with C = 250 (EX-04); ours is C / 250 of it."""
    found = exposure.grey_illuminance(iso=100, stop=8, time_s=1)
    assert found * 250 / exposure.INCIDENT_CONSTANT == pytest.approx(160)


@pytest.mark.parametrize(
    ("angle", "fps", "seconds"), [("180 deg", 24, 1 / 48), ("172.8 deg", 24, 1 / 50), ("180 deg", 25, 1 / 50)]
)
def test_exposure_time(angle, fps, seconds):
    """EX-10."""
    found = exposure.exposure_time(camera(shutter={"fps": fps, "angle": angle}))
    assert found == pytest.approx(seconds, rel=1e-9)


def test_half_the_shutter_angle_costs_a_stop():
    half = camera(shutter={"fps": 24, "angle": 90})
    assert half.shutter.angle == pytest.approx(radians(90))
    ratio = exposure.grey_illuminance_of(half) / exposure.grey_illuminance_of(camera())
    assert ratio == pytest.approx(2.0)


def test_full_stops_double_the_light():
    """T 1 to 32 by powers of the root of two (EX-12)."""
    wanted = [
        exposure.grey_illuminance(iso=100, stop=stop, time_s=1 / 48)
        for stop in (1, 1.4142, 2, 2.8284, 4, 5.6569, 8, 11.314, 16, 22.627, 32)
    ]
    assert np.log2(np.array(wanted) / wanted[0]) == pytest.approx(np.arange(11), abs=1e-3)


def test_stops_from_grey():
    found = exposure.stops_from_grey(np.array([0.18, 0.36, 0.045, 0.0, -0.1], dtype=np.float32))
    assert found.dtype == np.float32
    assert found[:3] == pytest.approx([0, 1, -2], abs=1e-5)
    assert np.isneginf(found[3:]).all()


def test_incident_stops():
    """Key and fill 800 lx against fill alone 100 lx are 3 stops apart (EX-23)."""
    apart = exposure.incident_stops(800, camera()) - exposure.incident_stops(100, camera())
    assert apart == pytest.approx(3.0)
    assert exposure.incident_stops(exposure.grey_illuminance_of(camera()), camera()) == pytest.approx(0)
    assert exposure.incident_stops(0.0, camera()) == -np.inf


def test_a_full_moon_alone_is_many_stops_under_at_iso_800():
    """0.25 lx (a clear full moon, published lists) at T/2.8, 24 frames a second: 129 lx wanted, 9 stops."""
    assert exposure.incident_stops(0.25, camera(iso=800)) == pytest.approx(-9.0, abs=0.1)
