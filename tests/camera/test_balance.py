"""White balance against reference values of two colour libraries."""

import numpy as np
import pytest

from preview.camera.balance import balance_matrix
from preview.light.colour import chromaticity, rgb
from preview.light.spaces import ACESCG, REC709, adaptation_between
from preview.script.models.camera import Camera

ACESCG_TO_REC709 = REC709.from_xyz @ adaptation_between(ACESCG.white, REC709.white) @ ACESCG.to_xyz


def colour(**light):
    return rgb(chromaticity(**light))


def camera(balance, tint=0.0):
    return Camera.model_validate(
        {"lens": {"focal": 35}, "at": [0, 0, 0], "aim": [0, 1, 0], "balance": balance, "tint": tint}
    )


@pytest.mark.parametrize("kelvin", [1800, 2700, 3200, 4300, 5600, 9000])
def test_light_of_the_balance_comes_out_neutral(kelvin):
    found = balance_matrix(camera(kelvin)) @ colour(cct_k=kelvin)
    assert found == pytest.approx([1.0, 1.0, 1.0], abs=1e-6)


def test_tint_takes_out_green():
    """A light 10 thousandths of Duv to the green is neutral with a tint of 10."""
    green = np.array(colour(cct_k=4000, duv=0.010))
    assert balance_matrix(camera(4000, tint=10)) @ green == pytest.approx([1, 1, 1], abs=1e-6)
    untouched = balance_matrix(camera(4000)) @ green
    assert untouched[1] > untouched[0]
    assert untouched[1] > untouched[2]


@pytest.mark.parametrize(
    ("balance", "light", "expected"),
    [
        (5600, colour(cct_k=3200), (1.580, 0.879, 0.400)),  # tungsten seen by a daylight camera, CO-29
        (3200, rgb((0.5330, 0.4150)), (1.816, 0.765, 0.177)),  # HP1 sodium seen by a tungsten camera, CO-30
    ],
)
def test_off_balance_light_in_linear_rec709(balance, light, expected):
    """By Bradford; reference values computed outside the project with two colour libraries.

    Ours goes by way of the ACES white, theirs straight to D65: von Kries gains multiply, so it is the same.
    """
    found = ACESCG_TO_REC709 @ balance_matrix(camera(balance)) @ np.array(light)
    assert found == pytest.approx(expected, abs=0.01)


def test_warmer_balance_makes_a_picture_cooler():
    """Common practice: a camera set to 3200 K sees moonlight of 4100 K blue; set to 5600 K, warm."""
    moon = np.array(colour(cct_k=4100))
    tungsten, daylight = balance_matrix(camera(3200)) @ moon, balance_matrix(camera(5600)) @ moon
    assert tungsten[2] > tungsten[0]
    assert daylight[0] > daylight[2]
