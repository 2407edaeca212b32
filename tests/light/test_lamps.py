"""Lamps: filaments that warm as they are dimmed, families at any kelvin."""

import numpy as np
import pytest

from preview.light.colour import chromaticity
from preview.light.lamps import is_filament, is_settable, lamp_spectrum, warmed
from preview.light.spectrum import table, xy_of_spectrum

FAMILIES = ["led-white", "fluorescent", "discharge-5600", "led-mix"]


@pytest.mark.parametrize(
    ("volts", "light", "kelvin"),
    [
        # The rerating laws: light V^3.4, colour temperature V^0.42 (an encyclopaedia's article 'Lamp rerating').
        (0.95, 0.95**3.4, 3200 * 0.95**0.42),
        (0.90, 0.90**3.4, 3200 * 0.90**0.42),
        (0.75, 0.75**3.4, 3200 * 0.75**0.42),
        (0.50, 0.50**3.4, 3200 * 0.50**0.42),
    ],
)
def test_a_filament_follows_the_laws_of_its_voltage(volts, light, kelvin):
    assert warmed(3200, level=light) == pytest.approx(kelvin, abs=0.5)


def test_half_the_light_of_a_studio_lamp():
    """Common practice, no source: a stop of dimming costs 200 to 300 K."""
    assert 200 < 3200 - warmed(3200, level=0.5) < 300


def test_full_is_its_rated_kelvin_and_darkness_has_an_end():
    assert warmed(3200, level=1.0) == 3200
    assert warmed(3200, level=0.0) == 1000
    assert warmed(2700, level=1e-9) == 1000


def test_which_lamps_warm_and_which_can_be_set():
    assert is_filament("tungsten")
    assert not any(is_filament(lamp) for lamp in (None, "flame", "led-white", "discharge-5600", "sodium"))
    assert all(is_settable(lamp) for lamp in (None, "tungsten", "daylight", *FAMILIES))
    assert not any(is_settable(lamp) for lamp in ("sodium", "mercury", "tube-cool-white", "led-4000"))


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("kelvin", [2000.0, 2700.0, 3200.0, 4300.0, 5600.0, 6500.0, 10_000.0])
def test_families_are_trimmed_to_the_plain_white_of_their_kelvin(family, kelvin):
    light = lamp_spectrum(family, kelvin)
    assert xy_of_spectrum(light) == pytest.approx(chromaticity(cct_k=kelvin), abs=1e-5)
    assert (light >= 0).all()


def test_a_family_passes_through_its_published_members():
    """Near a member's kelvin a white LED has that member's spectrum, but for the trim."""
    ours, published = lamp_spectrum("led-white", 2998.0), table("led-3000") / (table("led-3000") @ table("y"))
    assert np.abs(ours - published).max() < 0.06 * published.max()


def test_discharge_has_its_lines():
    """Mercury at 436 and 546 nm stands out of the continuum, handbooks."""
    light = lamp_spectrum("discharge-5600", 5600.0)
    for line, beside in ((11, 15), (33, 29)):  # 435 against 455, 545 against 525 nm
        assert light[line] > 1.2 * light[beside]


def test_unknown_lamp_is_a_key_error():
    with pytest.raises(KeyError):
        lamp_spectrum("no-such-lamp", 3200.0)
