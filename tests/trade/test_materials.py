"""Materials against measured reflectances, published ratios of wet to dry, and the order that everybody sees."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from preview.light.spaces import ACESCG
from preview.trade.catalogue import _table, material, names

MEASURED = json.loads(Path(__file__).with_name("measured_reflectances.json").read_text(encoding="utf-8"))
CLASSES = MEASURED["classes"]
ALL = names("materials")


@pytest.mark.parametrize(
    ("name", "measured"),
    [
        ("asphalt", "car park"),
        ("old asphalt", "road"),
        ("concrete", "pavement"),
        ("new concrete", "drive"),
        ("sand", "sand"),
        ("dry soil", "soil"),
        ("roof tiles", "clay tile"),
        ("bark", "forest bark"),
        ("weathered wood", "dead wood"),
        ("dead leaves", "litter"),
        ("gravel", "gravel"),
        ("ash", "ash"),
        ("charred wood", "charred wood"),
        ("dry grass", "dry grass"),
        ("grass", "canopy, modelled"),
    ],
)
def test_material_lies_among_measured_ones(name: str, measured: str) -> None:
    """Between the 10 and 90 % quantiles of spectra that the file names, and of about their hue."""
    known, row = CLASSES[measured], material(name)
    assert known["low"] * 0.99 <= row.reflectance <= known["high"] * 1.01
    assert chromaticity(name) == pytest.approx(known["xy"], abs=0.025)


def test_dark_bark_is_the_darkest_measured() -> None:
    """Dead spruce; the lightest is dead birch, 0.333."""
    assert material("dark bark").reflectance == pytest.approx(CLASSES["forest bark"]["least"], rel=0.1)


@pytest.mark.parametrize(
    ("wet", "dry", "ratio", "within"),
    [
        # Sand 0.23 wet, 0.39 dry, solar (diracdelta.co.uk, a list of albedos).
        ("wet sand", "sand", 0.23 / 0.39, 0.06),
        # Bare loam 0.14 wet, 0.30 dry: Idso et al. 1975, Journal of Applied Meteorology 14, from memory.
        ("wet soil", "dry soil", 0.14 / 0.30, 0.06),
        ("wet asphalt", "asphalt", 0.5, 0.06),  # from memory
    ],
)
def test_wet_ground_is_darker_by_the_published_factor(
    wet: str, dry: str, ratio: float, within: float
) -> None:
    assert material(wet).reflectance / material(dry).reflectance == pytest.approx(ratio, abs=within)


@pytest.mark.parametrize(("wet", "dry"), [("wet sand", "sand"), ("wet soil", "dry soil"), ("mud", "soil")])
def test_what_is_wet_shines_and_is_more_coloured(wet: str, dry: str) -> None:
    """Common practice, no source: a film of water mirrors, and deepens the hue."""
    assert material(wet).ior == pytest.approx(1.333, abs=0.001)
    assert material(dry).ior == 1.0
    assert saturation(wet) > saturation(dry)


@pytest.mark.parametrize(
    "order",
    [
        (
            "black",
            "charred wood",
            "asphalt",
            "old asphalt",
            "gravel",
            "concrete",
            "new concrete",
            "limestone",
        ),
        ("dark bark", "bark", "weathered wood", "wood"),
        ("mud", "wet soil", "soil", "dry soil", "sand", "old snow", "snow"),
        ("wet asphalt", "asphalt", "concrete", "white paint"),
        ("brick", "yellow brick", "render", "whitewash"),
        ("dark cloth", "denim", "cloth", "light cloth"),
        ("water", "ice", "old snow", "snow"),
        ("grass", "dry grass", "straw"),
    ],
)
def test_materials_stand_in_the_order_that_everybody_sees(order: tuple[str, ...]) -> None:
    """Common practice, no source."""
    found = [material(name).reflectance for name in order]
    assert found == sorted(found), dict(zip(order, found, strict=True))


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        (
            "snow",
            0.80,
            0.98,
        ),  # visible 0.96 to 0.98, new, clean, deep: Grenfell et al. 1994, as quoted; 0.8 all solar
        ("old snow", 0.40, 0.80),  # 0.40, solar, old; less in the infrared than seen
        ("limestone", 0.35, 0.60),  # IES Handbook, from memory
        ("yellow brick", 0.30, 0.48),  # IES Handbook, dark to light buff, from memory
        ("brick", 0.10, 0.30),  # red, new to dark: IES Handbook, from memory
        ("whitewash", 0.55, 0.80),  # handbooks, from memory
        ("leaves", 0.06, 0.13),  # chart foliage 0.130; PROSPECT-D 0.09 to 0.11
    ],
)
def test_material_within_the_range_of_handbooks(name: str, low: float, high: float) -> None:
    assert low <= material(name).reflectance <= high


def test_leaf_passes_what_a_leaf_model_says() -> None:
    """PROSPECT-D (prosail 2.0.5), structure 1.5 to 1.8, chlorophyll 40 to 60: passes 0.05 to 0.10, luminous."""
    row = material("leaves")
    assert 0.045 <= row.reflectance * row.transmission <= 0.105


@pytest.mark.parametrize("name", [name for name in ALL if material(name).transmission > 0])
def test_thin_things_neither_make_light_nor_pass_all(name: str) -> None:
    row = material(name)
    assert row.reflectance * (1.0 + row.transmission) < 0.95
    assert max(row.rgb) * (1.0 + row.transmission) < 1.0


def test_heavier_cloth_passes_less() -> None:
    """Common practice, no source."""
    passed = [
        material(n).reflectance * material(n).transmission
        for n in ("tarpaulin", "canvas", "tent cloth", "curtain", "net curtain")
    ]
    assert passed == sorted(passed)


@pytest.mark.parametrize("name", ALL)
def test_every_row_is_whole_and_plausible(name: str) -> None:
    """Colours lie where those of surfaces do: inside the triangle of the surfaces' gamut, no purer than strong paint."""
    row = material(name)
    assert len(row.source) > 15
    x, y = chromaticity(name)
    assert 0.12 <= x <= 0.66
    assert 0.04 <= y <= 0.58
    assert x + y < 1.0
    height, size = row.relief
    assert 0.0 <= height <= 0.02
    assert size > 0.0
    # Steeper, and hills would hide what no noise over a flat triangle can.
    assert height / size <= 0.25
    assert row.grain <= 1.0


@pytest.mark.parametrize("name", ["grey card", "white card", "black", "window glass", "grey paint"])
def test_neutral_things_are_neutral(name: str) -> None:
    assert chromaticity(name) == pytest.approx((0.3127, 0.3290), abs=0.003)


def test_grounds_that_light_rakes_have_relief() -> None:
    for name in ("grass", "bark", "asphalt", "gravel", "snow", "brick", "render", "sand", "soil", "concrete"):
        assert material(name).relief[0] > 0.0, name
    for name in ("grey card", "white card", "glass", "white car paint", "water"):
        assert material(name).relief[0] == 0.0, name


def chromaticity(name: str) -> tuple[float, float]:
    """CIE 1931 x, y under D65, as the catalogue gives its tint in linear Rec.709: by the primaries of BT.709."""
    table = _table("materials")
    to_xyz = np.array(
        [
            [0.4123908, 0.3575843, 0.1804808],
            [0.2126390, 0.7151687, 0.0721923],
            [0.0193308, 0.1191948, 0.9505322],
        ]
    )
    xyz = to_xyz @ np.array(table[name]["tint"], float)
    return float(xyz[0] / xyz.sum()), float(xyz[1] / xyz.sum())


def saturation(name: str) -> float:
    """How far a colour is from grey, as the spread of its channels over their mean."""
    rgb = np.array(material(name).rgb)
    return float(np.ptp(rgb) / (ACESCG.luminance @ rgb))
