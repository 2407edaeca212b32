"""Gels as transmissions: shifts and losses on the lamp they are made for, and on others; any order and number."""

from itertools import permutations
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from preview.light.colour_reading import read_xy
from preview.light.filters import filtered, shift_filter, stops_lost, transmission
from preview.light.lamps import lamp_spectrum
from preview.light.spectrum import WAVELENGTHS, mired_filter, radiator, white, xy_of_spectrum
from preview.script.models.through import Through
from preview.trade.catalogue import GelRow, names, usual

GELS = usual().gels
CONVERSIONS = [name for name, row in GELS.items() if row.mired]
NOWHERE = Path("no-folder")


def gel(name):
    return transmission(GELS[name])


def reading(spectrum):
    return read_xy(xy_of_spectrum(spectrum))


def through(*things):
    return [Through.model_validate(thing) for thing in things]


def behind(spectrum, *things):
    return filtered(spectrum, through(*things), usual(), NOWHERE)


@pytest.mark.parametrize("name", names("gels"))
def test_every_gel_is_a_transmission(name):
    passes = gel(name)
    assert passes.shape == WAVELENGTHS.shape
    assert (passes >= 0).all()
    assert (passes <= 1).all()


@pytest.mark.parametrize("name", CONVERSIONS)
def test_conversion_holds_its_shift_and_loss_on_the_lamp_of_its_design(name):
    row = GELS[name]
    lamp = white(row.design)
    assert reading(lamp * gel(name)).mired - reading(lamp).mired == pytest.approx(row.mired, abs=0.5)
    assert stops_lost(lamp, gel(name)) == pytest.approx(row.stops, abs=0.01)


@pytest.mark.parametrize("name", [name for name in CONVERSIONS if "straw" in name])
def test_straw_is_an_orange_that_leans_to_yellow(name):
    """Common practice, no source. Its Duv is over what the ideal filter of its shift gives."""
    row = GELS[name]
    lamp = white(row.design)
    plain = reading(lamp * shift_filter(row.mired, of_k=row.design))
    assert reading(lamp * gel(name)).duv - plain.duv == pytest.approx(row.duv, abs=1e-4)
    assert row.duv > 0


@pytest.mark.parametrize(
    ("kelvin", "mired", "expected"),
    [
        (5500, 112, 3404),  # Wratten 85 on daylight (CO-20 of the check values)
        (5500, 131, 3197),  # 85B
        (3200, -131, 5510),  # 80A on tungsten
        (3200, -112, 4988),  # 80B, CO-19
        (3200, -81, 4320),  # 80C
        (3200, -56, 3899),  # 80D
        (5500, 18, 5005),  # 81A
        (5500, 53, 4259),  # 81EF
        (5500, 81, 3804),  # 85C
        (3200, -21, 3431),  # 82A
        (3200, -137, 5698),  # CO-23
        (3200, -78, 4264),
        (5600, 159, 2962),
        (6500, 159, 3197),
    ],
)
def test_shift_adds_mireds(kelvin, mired, expected):
    """Reciprocal temperatures add: handbook pairs of conversion filters."""
    assert reading(white(kelvin) * shift_filter(mired, of_k=kelvin)).kelvin == pytest.approx(expected, abs=5)


def test_shift_is_the_ratio_of_two_radiators():
    """Wien's law against Planck's: what turns 3200 K to 2400 K, over the visible, within one per cent."""
    ratio = radiator(2400) / radiator(3200)
    ours = mired_filter(1e6 / 2400 - 1e6 / 3200)
    assert ours / ours[36] == pytest.approx(ratio / ratio[36], rel=0.01)


def test_shift_stays_within_the_locus():
    assert reading(white(20_000) * shift_filter(-137, of_k=20_000)).mired == pytest.approx(40, abs=1)
    assert reading(white(1100) * shift_filter(500, of_k=1100)).mired == pytest.approx(1000, abs=1)


def test_shift_takes_no_light():
    assert behind(white(3200), {"shift": 50}).gain == 1.0


@pytest.mark.parametrize(
    ("name", "density"),
    [("plus-green", 0.30), ("half-plus-green", 0.15), ("quarter-plus-green", 0.08)],
)
def test_plus_green_is_a_colour_compensating_green(name, density):
    """CO-24 of the check values, common practice: red and blue down by the density of a CC30, CC15, CC08."""
    passes = gel(name) / gel(name).max()
    for nm in (440, 660):
        assert passes[nm == WAVELENGTHS] == pytest.approx(10**-density, rel=0.10)


@pytest.mark.parametrize("strength", ["", "half-", "quarter-", "eighth-"])
def test_greens_go_green_and_magenta_and_undo_each_other(strength):
    lamp = white(5600)
    plus, minus = gel(f"{strength}plus-green"), gel(f"{strength}minus-green")
    assert reading(lamp * plus).duv > reading(lamp).duv + 0.002
    assert reading(lamp * minus).duv < reading(lamp).duv - 0.002
    both = reading(lamp * plus * minus)
    assert both.duv == pytest.approx(reading(lamp).duv, abs=1e-4)
    assert both.kelvin == pytest.approx(5600, abs=10)


def test_minus_green_clears_a_plain_tube():
    """Common practice, no source: what a minus green is for: a greenish tube among daylight lamps."""
    tube = lamp_spectrum("tube-daylight", 6500.0)
    assert reading(tube).duv > 0.006
    assert abs(reading(tube * gel("eighth-minus-green")).duv - 0.0032) < 0.001


@pytest.mark.parametrize(
    ("name", "density"), [("nd-1.5", 0.15), ("nd-3", 0.3), ("nd-6", 0.6), ("nd-9", 0.9), ("nd-12", 1.2)]
)
def test_neutral_density_by_its_definition(name, density):
    """Transmittance is 10 to the minus density, of every light alike."""
    for lamp in (white(5600), lamp_spectrum("sodium", 2000.0)):
        assert stops_lost(lamp, gel(name)) == pytest.approx(density / np.log10(2))
        assert xy_of_spectrum(lamp * gel(name)) == pytest.approx(xy_of_spectrum(lamp))


def test_blue_on_sodium_costs_far_more_than_on_tungsten():
    """Common practice, no source: sodium has next to no blue to pass; the deeper the blue, the worse."""
    sodium, tungsten = lamp_spectrum("sodium", 2000.0), white(3200)
    assert stops_lost(sodium, gel("full-ctb")) > stops_lost(tungsten, gel("full-ctb")) + 0.1
    assert stops_lost(sodium, gel("blue")) > stops_lost(tungsten, gel("blue")) + 1.0
    alone = lamp_spectrum("low-pressure-sodium", 1800.0)
    assert stops_lost(alone, gel("deep-blue")) > 8.0


def test_no_gel_changes_the_colour_of_low_pressure_sodium():
    """One line has one colour: gels only dim it. Filters act by wavelength."""
    lamp = lamp_spectrum("low-pressure-sodium", 1800.0)
    for name in ("full-ctb", "deep-blue", "green", "red"):
        assert xy_of_spectrum(lamp * gel(name)) == pytest.approx(xy_of_spectrum(lamp), abs=0.006)


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("amber", "amber"),
        ("orange", "orange"),
        ("red", "red"),
        ("deep-red", "red"),
        ("pink", "magenta"),
        ("magenta", "magenta"),
        ("purple", "purple"),
        ("lavender", "violet"),
        ("violet", "violet"),
        ("blue", "blue"),
        ("deep-blue", "blue"),
        ("steel", "cyan"),
        ("cyan", "cyan"),
        ("green", "green"),
        ("yellow", "yellow"),
    ],
)
def test_party_colours_have_the_hue_of_their_name(name, word):
    """Common practice, no source; by equal energy."""
    from preview.light.colour_reading import hue_word

    assert hue_word(xy_of_spectrum(gel(name))).split()[-1] == word


def test_order_does_not_matter_and_stacks_multiply():
    lamp = lamp_spectrum("metal-halide-4000", 4000.0)
    stack = [{"gel": "half-cto"}, {"gel": "plus-green"}, {"shift": 20}, {"scrim": "double"}]
    first = behind(lamp, *stack)
    for order in permutations(stack):
        again = behind(lamp, *order)
        assert again.gain == pytest.approx(first.gain)
        assert xy_of_spectrum(again.spectrum) == pytest.approx(xy_of_spectrum(first.spectrum))
    assert first.gain == pytest.approx(0.5 * 2.0 ** -stops_lost(lamp, gel("half-cto") * gel("plus-green")))


def test_two_halves_are_near_a_full():
    """Common practice, no source: stacked conversions add up, in mireds."""
    lamp = white(5600)
    twice = reading(lamp * gel("half-cto") ** 2).mired - reading(lamp).mired
    assert twice == pytest.approx(2 * 109, abs=8)


def test_a_row_that_no_filter_can_have_keeps_its_colour_and_loss():
    row = GelRow("wish", "invented", mired=159, stops=0.05)
    lamp = white(row.design)
    assert stops_lost(lamp, transmission(row)) == pytest.approx(0.05, abs=0.01)
    assert reading(lamp * transmission(row)).mired - reading(lamp).mired == pytest.approx(159, abs=3)


@given(
    mired=st.floats(-500, 500),
    duv=st.floats(-0.1, 0.1),
    stops=st.floats(0, 12),
    design=st.floats(1000, 25_000),
)
def test_any_conversion_that_can_be_written_is_a_filter(mired, duv, stops, design):
    """Whatever a user's catalogue may ask: a transmission of its loss, without a warning."""
    row = GelRow("wish", "invented", mired=mired, duv=duv, stops=stops, design=design)
    passes = transmission(row)
    assert np.isfinite(passes).all()
    assert (passes >= 0).all()
    assert stops_lost(white(design), passes) == pytest.approx(stops, abs=0.05)


@given(st.floats(200, 2000), st.floats(0, 800), st.floats(0, 1), st.floats(0, 1), st.floats(1e-6, 200))
def test_any_band_that_can_be_written_is_a_filter(start, width, share, floor, edge):
    row = GelRow("wish", "invented", bands=((start, start + width, share),), floor=floor, edge=edge)
    passes = transmission(row)
    assert ((passes >= 0) & (passes <= 1)).all()


def test_through_what_passes_nothing_comes_nothing():
    line = lamp_spectrum("low-pressure-sodium", 1800.0)
    row = GelRow("notch", "invented", bands=((620.0, 700.0, 0.9),), edge=0.1)
    catalogue = usual().with_rows(heads={}, gels={"notch": row}, cloths={}, lamps={})
    found = filtered(line, through({"gel": "notch"}), catalogue, NOWHERE)
    assert found.gain < 1e-20
    assert xy_of_spectrum(found.spectrum) == pytest.approx(xy_of_spectrum(line), abs=0.01)


def test_full_orange_on_tungsten_reads_as_firelight():
    """Common practice, no source: 3200 K behind a full orange is about 2000 to 2200 K."""
    found = reading(lamp_spectrum("tungsten", 3200.0) * gel("full-cto"))
    assert 2000 < found.kelvin < 2200
    assert found.hue is None
