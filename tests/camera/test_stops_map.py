"""The stops map: right bands, readable by everybody."""

from itertools import pairwise

import numpy as np
import pytest

from preview.camera.stops_map import BLACK, WHITE, legend_entries, stops_map
from preview.script.models.camera import Latitude

USUAL = Latitude()
WIDE = Latitude(under=9, over=8)


def colour_at(stops, latitude=USUAL):
    return tuple(stops_map(np.array([[stops]], dtype=np.float32), latitude)[0, 0].tolist())


@pytest.mark.parametrize(
    "latitude", [USUAL, WIDE, Latitude(under=0.3, over=0.2), Latitude(under=6.5, over=20)]
)
def test_legend_covers_every_stop_once(latitude):
    entries = legend_entries(latitude)
    assert entries[0].low == -np.inf
    assert entries[-1].high == np.inf
    for darker, lighter in pairwise(entries):
        assert darker.high == lighter.low
        assert darker.low < darker.high
    assert len({entry.rgb for entry in entries}) == len(entries)


def test_legend_is_the_map():
    for entry in legend_entries(USUAL):
        low = max(entry.low, -30.0)
        middle = (low + min(entry.high, 30.0)) / 2
        assert colour_at(middle) == entry.rgb


def test_grey_black_and_clipped_are_said_in_words():
    entries = legend_entries(USUAL)
    (zero,) = (entry for entry in entries if entry.low <= 0 < entry.high)
    assert zero.words == "18 % grey"
    assert len(set(zero.rgb)) == 1
    assert "black" in entries[0].words
    assert "clipped" in entries[-1].words


def test_ends_follow_the_latitude():
    assert colour_at(-7.01) == BLACK
    assert colour_at(-6.99) != BLACK
    assert colour_at(5.99) != WHITE
    assert colour_at(6.0) == WHITE
    assert colour_at(-np.inf) == BLACK
    assert colour_at(7.0, WIDE) != WHITE


@pytest.mark.filterwarnings("ignore:.*tritanomaly is based on the shift paradigm")
@pytest.mark.parametrize(("latitude", "apart"), [(USUAL, 4.0), (WIDE, 3.0)])
@pytest.mark.parametrize("sight", [None, "Deuteranomaly", "Protanomaly", "Tritanomaly"])
def test_neighbours_tell_apart_whatever_the_sight(colour_science, sight, latitude, apart):
    """Machado et al. 2009, full severity: neighbours differ by CIEDE2000 of 4 (3 for a sensor of 17 stops).

    Lightness climbs all the way, so the order reads without hue. A difference of 1 is just noticeable side by
    side, 2 to 3 at a glance (common practice, no source).
    """
    encoded = np.array([entry.rgb for entry in legend_entries(latitude)]) / 255
    linear = colour_science.models.eotf_sRGB(encoded)
    if sight is not None:
        linear = np.clip(linear @ colour_science.blindness.matrix_cvd_Machado2009(sight, 1.0).T, 0, 1)
    lab = colour_science.XYZ_to_Lab(
        colour_science.RGB_to_XYZ(linear, "sRGB"),
        colour_science.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"],
    )
    assert (np.diff(lab[:, 0]) > 2.0).all()
    assert colour_science.difference.delta_E_CIE2000(lab[:-1], lab[1:]).min() >= apart
