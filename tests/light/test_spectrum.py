"""Spectra against CIE tables and the datasets of a reference library."""

import numpy as np
import pytest

from preview.light import make_spectra
from preview.light.colour import chromaticity
from preview.light.colour_reading import read_xy
from preview.light.lamps import lamp_spectrum
from preview.light.spectrum import (
    TABLE,
    WAVELENGTHS,
    daylight,
    luminous_share,
    radiator,
    table,
    white,
    xy_of_spectrum,
)
from preview.trade.catalogue import names, spectrum

FIXED = [name for name in names("spectra") if spectrum(name).column is not None]


@pytest.mark.filterwarnings("ignore")
def test_committed_table_is_what_its_script_makes(colour_science):
    made = make_spectra.with_arc(make_spectra.columns())
    header = next(line for line in TABLE.read_text().splitlines() if not line.startswith("#")).split(",")
    assert header == ["nm", *made]
    assert table("nm") == pytest.approx(WAVELENGTHS)
    for name, values in made.items():
        assert table(name) == pytest.approx(values, rel=1e-5, abs=1e-6), name


@pytest.mark.parametrize(
    ("name", "illuminant"),
    [(name, key) for name, key in make_spectra.PUBLISHED.items() if key[:2] in ("FL", "HP", "LE")],
)
def test_chromaticity_against_cie(colour_science, name, illuminant):
    """CIE 15:2004 tables T.6 to T.8, CIE 15:2018 for LED, as carried in colour-science."""
    expected = colour_science.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"][illuminant]
    assert xy_of_spectrum(table(name)) == pytest.approx(expected, abs=3e-4)


@pytest.mark.parametrize("kelvin", [1000, 1900, 3200, 4300, 4700, 5000, 5600, 6500, 12_000, 25_000])
def test_plain_white_has_the_chromaticity_of_its_kelvin(kelvin):
    assert xy_of_spectrum(white(kelvin)) == pytest.approx(chromaticity(cct_k=kelvin), abs=1.2e-4)


@pytest.mark.parametrize(
    ("name", "kelvin"), [("D50", 5002.8), ("D55", 5502.4), ("D65", 6503.6), ("D75", 7504.2)]
)
def test_daylight_against_published_illuminants(colour_science, name, kelvin):
    """CIE 15:2004 table T.1; their kelvin is 1.4388 / 1.4380 of the nominal."""
    published = np.array([colour_science.SDS_ILLUMINANTS[name][nm] for nm in WAVELENGTHS])
    ours = daylight(kelvin)
    assert ours / ours[36] == pytest.approx(published / published[36], abs=0.004)


def test_radiator_against_illuminant_a(colour_science):
    """CIE 15:2004: A is a radiator of 2848 K x 1.4388 / 1.4350."""
    published = np.array([colour_science.SDS_ILLUMINANTS["A"][nm] for nm in WAVELENGTHS])
    ours = radiator(2848 * 1.4388 / 1.4350)
    assert ours / ours[36] == pytest.approx(published / published[36], rel=2e-4)


def test_low_pressure_sodium_is_its_line(colour_science):
    """V(589 nm) 0.769, 525 lm a watt (CO-07 of the check values, CIE 1924): kept on a grid that has no 589."""
    lamp = table("low-pressure-sodium")
    assert lamp @ table("y") / lamp.sum() == pytest.approx(0.7650, abs=0.005)
    assert (lamp @ WAVELENGTHS) / lamp.sum() == pytest.approx(589.2, abs=0.01)
    line = colour_science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"][589.2]
    assert xy_of_spectrum(lamp) == pytest.approx(line[:2] / line.sum(), abs=0.0015)


def test_lines_keep_their_power_and_place():
    shared = make_spectra.lines({436.0: 2.0, 577.5: 1.0})
    assert shared.sum() == pytest.approx(3.0)
    assert shared @ WAVELENGTHS == pytest.approx(2 * 436.0 + 577.5)
    assert np.count_nonzero(shared) == 4


@pytest.mark.parametrize("name", FIXED)
def test_kelvin_that_names_a_lamp_is_the_nearest_to_its_colour(name):
    assert read_xy(xy_of_spectrum(lamp_spectrum(name, 5600.0))).kelvin == pytest.approx(
        spectrum(name).kelvin, abs=1.0
    )


@pytest.mark.parametrize("name", names("spectra"))
def test_every_spectrum_is_light(name):
    row = spectrum(name)
    light = lamp_spectrum(name, row.kelvin)
    assert len(row.source) > 10
    assert (light >= 0).all()
    assert light @ table("y") == pytest.approx(1.0)
    made = [row.law is not None, row.column is not None, bool(row.shapes), bool(row.emitters)]
    assert made.count(True) == 1


def test_luminous_share_of_a_flat_filter():
    assert luminous_share(white(3200), np.full(81, 0.25)) == pytest.approx(0.25)
