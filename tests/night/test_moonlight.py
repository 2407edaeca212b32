"""Moonlight against the published model's numbers and the range that has been measured."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from math import degrees, pi, radians, sin

import pytest

from preview.night.ephemeris import Moon, moon_at
from preview.night.moonlight import (
    air_mass,
    disc_luminance,
    facing_lux,
    level_lux,
    lux_above_air,
    passed_by_air,
    passed_by_cloud,
)
from tests.night.places import EAST_MEETS_WEST, observer


def test_full_moon_above_the_air() -> None:
    """Krisciunas and Schaefer 1991: 10^(-0.4 x 3.84) = 0.029107 footcandles, 0.31331 lux."""
    assert lux_above_air(phase_angle=0.0) == pytest.approx(0.31331, rel=1e-3)


def test_half_moon_is_a_tenth() -> None:
    """The same: 0.0910 of the full moon at a phase angle of 90 degrees."""
    assert lux_above_air(phase_angle=pi / 2.0) == pytest.approx(0.02851, rel=3e-3)
    assert lux_above_air(phase_angle=-pi / 2.0) == lux_above_air(phase_angle=pi / 2.0)


@pytest.mark.parametrize(
    ("height_deg", "mass"),
    [(90, 1.0), (60, 1.15399), (30, 1.99429), (10, 5.58604), (6, 8.84149), (1, 26.3106), (0, 37.9196)],
)
def test_air_mass(height_deg: float, mass: float) -> None:
    """Kasten and Young 1989 as pvlib 0.16.1 has it: get_relative_airmass, model kastenyoung1989."""
    assert air_mass(radians(height_deg)) == pytest.approx(mass, rel=1e-5)


def test_air_mass_high_up_is_the_models_own() -> None:
    """Krisciunas and Schaefer 1991: (1 - 0.96 sin^2 Z)^-0.5, 1.14708 at Z = 30; from 45 degrees up they agree to 2 %."""
    for height_deg in (45.0, 60.0, 75.0, 90.0):
        own = (1.0 - 0.96 * sin(radians(90.0 - height_deg)) ** 2) ** -0.5
        assert air_mass(radians(height_deg)) == pytest.approx(own, rel=0.02)


def test_end_to_end() -> None:
    """51.5074 N 0.1278 W, 5 November 2025, 22:00: 0.1562 lux on level ground, 0.1865 with (384 400 / 351 800)^2."""
    moon = moon_at(EAST_MEETS_WEST, datetime(2025, 11, 5, 22, tzinfo=UTC))
    assert degrees(moon.phase_angle) == pytest.approx(6.833, abs=0.01)
    lux = level_lux(moon, extinction=0.25)
    assert lux == pytest.approx(0.1865, rel=0.01)
    assert lux * (moon.distance_km / 384400.0) ** 2 == pytest.approx(0.1562, rel=0.01)
    assert facing_lux(moon, extinction=0.25) * sin(moon.height) == pytest.approx(lux, rel=1e-9)


def test_never_more_than_has_been_measured() -> None:
    """C. Kyba, A. Mohar and T. Posch 2017: full moons give 0.05 to 0.1 lux typically, 0.32 at most. Three years."""
    place = observer(5.0, 20.0)
    start = datetime(2025, 1, 1, tzinfo=UTC)
    most = max(
        level_lux(moon_at(place, start + timedelta(hours=hours)), extinction=0.17)
        for hours in range(0, 3 * 365 * 24, 17)
    )
    assert 0.2 < most < 0.32


def test_disc_luminance() -> None:
    """A full moon above the air has 0.31331 lx over 6.422e-5 sr = 4879 cd/m2; 60 degrees up, k = 0.25, 3746."""
    for height_deg, luminance in ((60.0, 3746.0),):
        moon = full(height_deg)
        assert disc_luminance(moon, extinction=0.25) == pytest.approx(luminance, rel=0.01)
    assert disc_luminance(full(90.0), extinction=1e-9) == pytest.approx(4879.0, rel=0.001)


def test_luminance_is_of_the_lit_part() -> None:
    """Half a disc gives a tenth of the light: its lit part is a fifth as bright. Arithmetic on the model."""
    half = full(60.0, phase_deg=90.0)
    assert half.lit == pytest.approx(0.5)
    ratio = disc_luminance(half, extinction=0.25) / disc_luminance(full(60.0), extinction=0.25)
    assert ratio == pytest.approx(0.0910 / 0.5, rel=3e-3)


def full(height_deg: float, phase_deg: float = 0.0) -> Moon:
    from math import asin, cos

    height = radians(height_deg)
    lit = (1.0 + cos(radians(phase_deg))) / 2.0
    return Moon(
        0.0,
        height,
        height,
        radians(phase_deg),
        lit,
        True,
        384400.0,
        asin(1737.4 / 384400.0),
        (EAST_MEETS_WEST, datetime(2026, 1, 1, tzinfo=UTC)),
    )


@pytest.mark.parametrize(("eighths", "left"), [(0, 1.0), (4, 0.9290), (6, 0.7180), (8, 0.25)])
def test_cloud(eighths: int, left: float) -> None:
    """Kasten and Czeplak 1980: 1 - 0.75 (N / 8)^3.4, worked by hand."""
    assert passed_by_cloud(eighths / 8.0) == pytest.approx(left, abs=5e-4)


def test_below_the_horizon_there_is_none() -> None:
    for height_deg in (-0.01, -20.0):
        moon = full(height_deg)
        assert facing_lux(moon, extinction=0.2) == 0.0
        assert level_lux(moon, extinction=0.2) == 0.0
        assert disc_luminance(moon, extinction=0.2) == 0.0


def test_extinction() -> None:
    """A magnitude is a factor of 10^0.4: overhead, one magnitude leaves 39.8 %."""
    assert passed_by_air(pi / 2.0, extinction=1.0) == pytest.approx(0.39811, rel=1e-4)
