"""Skins of the catalogue by the classes of the Individual Typology Angle, arctan((L* - 50) / b*) in degrees.

A. Chardon, I. Cretois, C. Hourseau, "Skin colour typology and suntanning pathways", International Journal of
Cosmetic Science 13 (1991); S. Del Bino, F. Bernerd, "Variations in skin colour and the biological consequences of
ultraviolet radiation exposure", British Journal of Dermatology 169 (2013). The classes' bounds from memory.
"""

from __future__ import annotations

from typing import Any, get_args

import numpy as np
import pytest

from preview.script.models.cast import Figure
from preview.trade import catalogue

CLASSES = {
    "very light": (55, 90),
    "light": (41, 55),
    "medium": (28, 41),
    "tan": (10, 28),
    "brown": (-30, 10),
    "dark": (-90, -30),
}


def lab(colour: Any, name: str) -> np.ndarray:
    """CIE 1976 L*a*b* of a row under D65: reflectances are linear ACEScg, adapted so that grey stays grey."""
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    xyz = colour.RGB_to_XYZ(
        np.array(catalogue.material(f"skin {name}").rgb),
        "ACEScg",
        illuminant=white,
        chromatic_adaptation_transform="Bradford",
    )
    return np.asarray(colour.XYZ_to_Lab(xyz, white))


def test_every_class_is_a_skin_of_the_script() -> None:
    assert set(get_args(Figure.model_fields["skin"].annotation)) == set(CLASSES)


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", CLASSES)
def test_skin_lies_in_its_class(colour_science: Any, name: str) -> None:
    lightness, _, yellow = lab(colour_science, name)
    low, high = CLASSES[name]
    assert low < np.degrees(np.arctan((lightness - 50) / yellow)) < high


@pytest.mark.filterwarnings("ignore")
def test_reflectance_is_that_of_the_lightness(colour_science: Any) -> None:
    """CIE 1976: L* = 116 (Y / Yn)^(1/3) - 16."""
    for name in CLASSES:
        lightness = lab(colour_science, name)[0]
        expected = ((lightness + 16) / 116) ** 3
        assert catalogue.material(f"skin {name}").reflectance == pytest.approx(expected, rel=0.01)


@pytest.mark.filterwarnings("ignore")
def test_redness_and_yellowness_are_those_of_skin(colour_science: Any) -> None:
    """Living skin: a* about 5 to 18, b* about 10 to 22, from memory of surveys."""
    for name in CLASSES:
        _, red, yellow = lab(colour_science, name)
        assert 5 < red < 18
        assert 10 < yellow < 22
