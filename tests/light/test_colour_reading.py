"""Colour temperature, Duv and their words against reference values and the trade."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from preview.light.colour import chromaticity, rgb
from preview.light.colour_reading import ColourReading, colour_words, hue_word, read_colour, read_xy
from preview.light.spaces import ACESCG, xyz_of


def acescg(xy):
    """Linear ACEScg of a chromaticity, out of gamut or not."""
    return ACESCG.from_xyz @ xyz_of(xy)


@pytest.mark.parametrize(
    ("xy", "kelvin", "duv"),
    [
        (
            (0.44758, 0.40745),
            2855.5,
            0.0,
        ),  # illuminant A by Ohno 2013, two libraries (CO-14 of the check values)
        ((0.33243, 0.34744), 5502.4, 0.00325),  # D55, likewise
        ((0.31272, 0.32903), 6504.3, 0.00321),  # D65, likewise
        ((0.5330, 0.4150), 1959.3, 0.0008),  # HP1 of CIE 15:2004, two libraries (CO-04)
        ((0.4778, 0.4158), 2506.0, 0.0007),  # HP2 (CO-05)
    ],
)
def test_against_published_temperatures(xy, kelvin, duv):
    found = read_colour(acescg(xy))
    assert found.kelvin == pytest.approx(kelvin, abs=2.0)
    assert found.mired == pytest.approx(1e6 / found.kelvin)
    assert found.duv == pytest.approx(duv, abs=5e-5)


def test_the_worked_example_of_ohno(colour_science):
    """u, v = 0.1978, 0.3122: 6507.47 K, Duv +0.00322. Y. Ohno, LEUKOS 2014, as the reference library prints it (CO-13)."""
    u, v = 0.1978, 0.3122
    found = read_xy((3 * u / (2 * u - 8 * v + 4), 2 * v / (2 * u - 8 * v + 4)))
    assert found.kelvin == pytest.approx(6507.47, abs=1.0)
    assert found.duv == pytest.approx(0.00322, abs=1e-5)


@pytest.mark.parametrize("duv", [-0.04, -0.012, 0.0, 0.003, 0.02, 0.045])
@pytest.mark.parametrize("mired", [45, 80, 153, 180, 249, 311, 400, 512, 700, 900])
def test_against_reference_library(colour_science, mired, duv):
    """Ohno 2013 in colour-science, over all that lamps are; within 0.3 mired, which no meter tells."""
    xy = chromaticity(cct_k=1e6 / mired, duv=duv)
    cct, expected = colour_science.temperature.uv_to_CCT_Ohno2013(colour_science.xy_to_UCS_uv(xy))
    found = read_xy(xy)
    assert found.mired == pytest.approx(1e6 / cct, abs=0.3)
    assert found.duv == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize("scale", [1e-6, 1.0, 1e6])
def test_luminance_does_not_matter(scale):
    triple = np.array(rgb(chromaticity(cct_k=3200, duv=0.01)))
    assert read_colour(scale * triple).kelvin == pytest.approx(3200, abs=2)


@pytest.mark.parametrize("dark", [(0, 0, 0), (-1, 0, 0), (np.nan, 1, 1), (np.inf, 1, 1)])
def test_no_light_has_no_colour(dark):
    with pytest.raises(ValueError, match="no light"):
        read_colour(dark)


@given(st.tuples(*[st.floats(0, 1e6, allow_nan=False, allow_subnormal=False)] * 3))
def test_every_light_has_a_reading_in_range(triple):
    if ACESCG.luminance @ np.array(triple) < 1e-12:
        return
    found = read_colour(triple)
    assert 1000 <= found.kelvin <= 25_000
    assert np.isfinite(found.duv)
    assert colour_words(found, balance_k=4300)


@pytest.mark.parametrize(
    ("kelvin", "duv", "balance", "words"),
    [
        (3200, 0.0, 3200, "on the balance"),
        (5600, 0.0, 5600, "on the balance"),  # daylight has no cast of its own
        (5600, 0.0, 4000, "cool by 71 mired"),
        (3200, 0.0, 4000, "warm by 63 mired"),
        (4000, 0.010, 3200, "cool by 63 mired, green"),
        (3200, -0.004, 3200, "a little magenta"),
        (5600, 0.020, 5600, "very green"),
    ],
)
def test_words(kelvin, duv, balance, words):
    assert colour_words(read_xy(chromaticity(cct_k=kelvin, duv=duv)), balance_k=balance) == words


def test_a_balance_of_4000_splits_tungsten_and_daylight():
    """Common practice, no source: near 4000 K tungsten is about as warm as daylight is cool."""
    balance = 1e6 / 4000
    warm = read_xy(chromaticity(cct_k=3200)).mired - balance
    cool = balance - read_xy(chromaticity(cct_k=5600)).mired
    assert warm > 50
    assert cool > 50
    assert warm == pytest.approx(cool, abs=12)


def test_tint_takes_a_cast_away():
    green = read_xy(chromaticity(cct_k=4000, duv=0.010))
    assert colour_words(green, balance_k=4000) == "green"
    assert colour_words(green, balance_k=4000, tint=10) == "on the balance"


@pytest.mark.parametrize(
    ("xy", "words"),
    [
        ((0.15, 0.04), "deep blue, no colour temperature"),
        ((0.70, 0.295), "deep red, no colour temperature"),
        ((0.17, 0.72), "deep green, no colour temperature"),
        ((0.25, 0.10), "deep violet, no colour temperature"),
    ],
)
def test_far_off_the_locus_a_hue_stands_for_the_temperature(xy, words):
    reading = read_xy(xy)
    assert colour_words(reading, balance_k=5600) == words
    assert abs(reading.duv) > 0.05 or not 1000 < reading.kelvin < 25_000


@pytest.mark.parametrize(
    ("wavelength", "word"),
    [
        (460, "blue"),
        (490, "cyan"),
        (530, "green"),
        (575, "yellow"),
        (584, "amber"),
        (595, "orange"),
        (640, "red"),
    ],
)
def test_hue_words_of_single_wavelengths(colour_science, wavelength, word):
    """As everybody calls them: common practice, no source."""
    observer = colour_science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    xyz = observer[wavelength]
    assert hue_word(tuple(xyz[:2] / xyz.sum())).split()[-1] == word


def test_a_reading_may_be_made_by_hand():
    assert colour_words(ColourReading(3200, 0.0, 312.5), balance_k=3200) == "on the balance"
