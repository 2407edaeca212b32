"""Heads that mix LED: what is asked comes out, at the most that the emitters have, and no more than they have."""

from itertools import product

import numpy as np
import pytest

from preview.light.colour import chromaticity
from preview.light.colour_reading import read_xy
from preview.light.mixing import mixed_to_xy, mixture
from preview.light.spaces import xyz_of
from preview.light.spectrum import table, xy_of_spectrum, xyz_of_spectrum
from preview.script.models.heads import Mixed
from preview.trade.catalogue import spectrum

ROW = spectrum("led-mix")


def mixed(**words):
    return mixture(Mixed.model_validate(words), lamp="led-mix", rated_k=5600.0, kelvin=5600.0)


@pytest.mark.parametrize("kelvin", [2200, 2700, 3200, 4300, 5600, 10_000])
@pytest.mark.parametrize("green", [-10, 0, 10])
def test_white_comes_out_as_asked(kelvin, green):
    found = mixed(kelvin=kelvin, green=green)
    assert found.reached
    assert xy_of_spectrum(found.spectrum) == pytest.approx(
        chromaticity(cct_k=kelvin, duv=green * 0.001), abs=1e-6
    )


@pytest.mark.parametrize(
    ("hue", "emitter"), [(0, "led-mix-red"), (120, "led-mix-green"), (240, "led-mix-blue")]
)
def test_full_hues_are_single_emitters(hue, emitter):
    found = mixed(hue=f"{hue} deg")
    assert found.weights[emitter] == pytest.approx(1.0)
    assert sum(found.weights.values()) == pytest.approx(1.0, abs=1e-6)
    assert found.spectrum == pytest.approx(table(emitter) / (table(emitter) @ table("y")), abs=1e-6)


def test_no_saturation_is_the_white():
    found = mixed(hue="200 deg", saturation="0 %", kelvin=4300)
    assert xy_of_spectrum(found.spectrum) == pytest.approx(chromaticity(cct_k=4300), abs=1e-6)


@pytest.mark.parametrize(
    ("hue", "word"),
    [(0, "red"), (30, "orange"), (120, "green"), (180, "cyan"), (240, "blue"), (310, "magenta")],
)
def test_hues_have_the_colour_of_their_name(hue, word):
    """Common practice, no source: the wheel of any colour picker."""
    found = mixed(hue=f"{hue} deg")
    assert word in (read_xy(xy_of_spectrum(found.spectrum)).hue or "orange")


def test_deep_blue_gives_a_few_per_cent():
    """Common practice, no source: a saturated blue costs four to five stops of the lux of white."""
    assert 0.02 < mixed(hue="240 deg").output < 0.10
    assert mixed(kelvin=5600).output == pytest.approx(1.0)


@pytest.mark.parametrize("kelvin", [1800, 3200, 5600, 9000])
def test_no_other_drive_gives_more(kelvin):
    """Against a search of all drives on a grid, the fourth emitter by hand, the other three solved for."""
    wanted = xyz_of(chromaticity(cct_k=kelvin))
    names = [name for name, _ in ROW.emitters]
    spectra = np.stack([share * table(name) / (table(name) @ table("y")) for name, share in ROW.emitters])
    xyz = xyz_of_spectrum(spectra)
    most = 0.0
    for lime, scale in product(np.linspace(0, 1, 41), np.linspace(0, 1.9, 400)):
        rest = np.linalg.solve(xyz[:3].T, scale * wanted - lime * xyz[3])
        if rest.min() >= 0 and rest.max() <= 1:
            most = max(most, scale)
    assert names[3] == "led-mix-lime"
    found = mixed_to_xy(ROW, chromaticity(cct_k=kelvin))
    assert most <= found.output + 1e-9
    assert found.output == pytest.approx(most, rel=0.02)


@pytest.mark.parametrize("drive", list(product((0, 0.5, 1), repeat=3))[1:])
def test_weights_are_within_what_emitters_have(drive):
    red, green, blue = drive
    xyz = xyz_of_spectrum(np.array([table(name) for name, _ in ROW.emitters])[:3])
    asked = red * xyz[0] + green * xyz[1] + blue * xyz[2]
    found = mixed_to_xy(ROW, (float(asked[0] / asked.sum()), float(asked[1] / asked.sum())))
    assert all(0 <= weight <= 1 for weight in found.weights.values())
    assert max(found.weights.values()) == pytest.approx(1.0, abs=1e-6)


def test_what_is_out_of_reach_goes_to_the_edge_and_is_told():
    """A spectral green that no LED has: the nearest on the way from white has no red and no blue to spare."""
    found = mixed_to_xy(ROW, (0.05, 0.80))
    assert not found.reached
    x, y = xy_of_spectrum(found.spectrum)
    white = np.array(chromaticity(cct_k=5600))
    step, way = np.array([x, y]) - white, np.array([0.05, 0.80]) - white
    assert step[0] * way[1] - step[1] * way[0] == pytest.approx(0.0, abs=1e-6)
    assert 0.3 < np.linalg.norm(step) / np.linalg.norm(way) < 1.0
    assert min(found.weights.values()) == pytest.approx(0.0, abs=1e-4)


def test_a_white_too_warm_and_green_is_out_of_reach():
    """Beyond the line from the red emitter to the lime one."""
    assert mixed(kelvin=2000).reached
    assert not mixed(kelvin=2000, green=10).reached
