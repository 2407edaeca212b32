"""Colours of lights against CIE tables and Planck's law."""

import numpy as np
import pytest

from preview.light import colour, make_locus
from preview.light.spaces import ACESCG, BRADFORD, REC709, adaptation, xyz_of


@pytest.mark.parametrize(
    ("cct_k", "xy", "within"),
    [
        (2855.5, (0.44758, 0.40745), 1e-4),  # illuminant A, CIE 15:2004
        (2000, (0.52668, 0.41330), 1e-4),  # Planck, three libraries agree
        (3200, (0.42336, 0.39895), 1e-4),  # Planck, three libraries agree
        (5503.1, (0.33243, 0.34744), 1.5e-4),  # D55, CIE 15:2004: table made with rounded factors
        (6503.6, (0.31272, 0.32903), 1.5e-4),  # D65, likewise
    ],
)
def test_chromaticity_against_published(cct_k, xy, within):
    assert colour.chromaticity(cct_k=cct_k) == pytest.approx(xy, abs=within)


@pytest.mark.filterwarnings("ignore:Aligning")
def test_locus_table_against_planck_between_its_rows(colour_science):
    observer = colour_science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    for cct_k in (1050.0, 1333.0, 1900.0, 2710.0, 3950.0):
        xyz = colour_science.sd_to_XYZ(colour_science.sd_blackbody(cct_k, observer.shape), observer)
        assert colour.chromaticity(cct_k=cct_k) == pytest.approx(colour_science.XYZ_to_xy(xyz), abs=5e-5)


def test_committed_locus_is_what_its_script_makes(colour_science):
    committed = np.loadtxt(make_locus.TABLE, delimiter=",", comments="#")
    assert committed == pytest.approx(make_locus.rows(), abs=2e-7)


@pytest.mark.parametrize("cct_k", [1500, 2700, 4000, 4300, 4700, 5000, 5600, 9000, 20000])
def test_temperature_read_back(colour_science, cct_k):
    """CCT by Ohno 2013 gives back the kelvin asked for, in the mixture between radiator and daylight too."""
    found, _ = colour_science.temperature.uv_to_CCT_Ohno2013(
        colour_science.xy_to_UCS_uv(colour.chromaticity(cct_k=cct_k))
    )
    assert 1e6 / found == pytest.approx(1e6 / cct_k, abs=0.25)


@pytest.mark.parametrize("duv", [-0.02, 0.01, 0.02])
def test_duv_read_back(colour_science, duv):
    found = colour_science.temperature.uv_to_CCT_Ohno2013(
        colour_science.xy_to_UCS_uv(colour.chromaticity(cct_k=3200, duv=duv))
    )
    assert found[0] == pytest.approx(3200, abs=8)
    assert found[1] == pytest.approx(duv, abs=1e-4)


@pytest.mark.parametrize("cct_k", [1000, 1900, 3200, 4500, 5600, 25000])
def test_colour_has_luminance_one(cct_k):
    triple = np.array(colour.rgb(colour.chromaticity(cct_k=cct_k)))
    assert ACESCG.luminance @ triple == pytest.approx(1.0)
    assert (triple >= 0).all()


def test_light_of_the_aces_white_is_equal_parts():
    assert colour.rgb(ACESCG.white) == pytest.approx((1.0, 1.0, 1.0))


def test_acescg_of_tungsten_against_reference_library(colour_science):
    """No adaptation: the light's own chromaticity in AP1."""
    xy = colour.chromaticity(cct_k=3200)
    expected = colour_science.XYZ_to_RGB(
        colour_science.xy_to_XYZ(xy), "ACEScg", chromatic_adaptation_transform=None
    )
    assert colour.rgb(xy) == pytest.approx(expected, abs=2e-4)


def test_rec709_matrix_against_the_standard():
    """ITU-R BT.709-6: luminance 0.2126 R + 0.7152 G + 0.0722 B."""
    assert REC709.luminance == pytest.approx([0.2126, 0.7152, 0.0722], abs=5e-5)


def test_acescg_matrix_against_the_academy():
    """S-2014-004: AP1 to XYZ."""
    expected = [
        [0.6624541811, 0.1340042065, 0.1561876870],
        [0.2722287168, 0.6740817658, 0.0536895174],
        [-0.0055746495, 0.0040607335, 1.0103391003],
    ]
    assert ACESCG.to_xyz == pytest.approx(np.array(expected), abs=1e-7)


def test_bradford_matrix_against_published():
    """B. Lindbloom's page on chromatic adaptation: D65 to D50 with the ASTM whites (CO-26)."""
    found = adaptation(np.array([0.95047, 1.0, 1.08883]), np.array([0.96422, 1.0, 0.82521]))
    expected = [
        [1.0478112, 0.0228866, -0.0501270],
        [0.0295424, 0.9904844, -0.0170491],
        [-0.0092345, 0.0150436, 0.7521316],
    ]
    assert found == pytest.approx(np.array(expected), abs=1e-6)


def test_adaptation_against_two_libraries():
    """XYZ (40, 30, 10) from white A to D65: 34.198 28.950 31.071 by Bradford, 34.373 29.170 30.720 by CAT02."""
    a, d65 = np.array([109.850, 100.0, 35.585]), np.array([95.047, 100.0, 108.883])
    cat02 = np.array([[0.7328, 0.4296, -0.1624], [-0.7036, 1.6975, 0.0061], [0.0030, 0.0136, 0.9834]])
    for sharpening, expected in (
        (BRADFORD, [34.198, 28.950, 31.071]),
        (cat02, [34.373, 29.170, 30.720]),
    ):
        found = adaptation(a, d65, sharpening=sharpening) @ np.array([40.0, 30.0, 10.0])
        assert found == pytest.approx(expected, abs=0.002)


def test_xyz_of_white():
    """ASTM E308 D65 from its chromaticity."""
    assert xyz_of((0.3127, 0.3290)) == pytest.approx([0.9505, 1.0, 1.0891], abs=5e-4)
