"""The picture against the Academy's output transform."""

from math import pi

import numpy as np
import pytest

from preview.camera import develop
from preview.camera.exposure import grey_illuminance_of
from preview.light.colour import chromaticity, rgb
from preview.script.models.camera import Camera


def grey(*values):
    return np.repeat(np.array(values, dtype=np.float32)[np.newaxis, :, np.newaxis], 3, axis=2)


def test_eighteen_per_cent_grey_is_ten_nits():
    """ACES 2 SDR puts scene grey at 10 of 100 nits; 0.34919 encoded (TD-01 of the check values)."""
    value = develop.display_values(grey(0.18))[0, 0]
    assert value == pytest.approx([0.34919] * 3, abs=0.0005)
    nits = 100 * ((value[0] + 0.055) / 1.055) ** 2.4
    assert nits == pytest.approx(10.0, abs=0.03)


def test_ladder_of_stops():
    """TD-02."""
    stops = np.array([-3, -2, -1, 0, 1, 2, 3, 4, 6])
    expected = [0.0480, 0.1201, 0.2214, 0.3492, 0.4947, 0.6421, 0.7710, 0.8668, 0.9641]
    found = develop.display_values(grey(*(0.18 * 2.0**stops)))[0]
    assert found[:, 1] == pytest.approx(expected, abs=0.001)


def test_scene_white_and_black():
    """TD-04: a diffuse white is far from display white."""
    found = develop.display_values(grey(1.0, 0.9, 0.0))[0, :, 1]
    assert found == pytest.approx([0.7067, 0.6866, 0.0], abs=0.001)


def test_pure_primaries():
    """TD-07: gamut compression keeps them inside the display."""
    primaries = np.array([[[1, 0, 0], [0, 0, 1]]], dtype=np.float32)
    found = develop.display_values(primaries)[0]
    assert found == pytest.approx(np.array([[0.877, 0, 0.040], [0, 0.211, 0.647]]), abs=0.01)


def test_beyond_all_latitude_is_white_not_nonsense():
    found = develop.picture(grey(1e9, np.inf, -np.inf))[0]
    assert (found[:2] >= 254).all()
    assert (found[2] == 0).all()


def test_input_is_left_alone():
    linear = grey(0.18, 0.5)
    before = linear.copy()
    develop.picture(linear)
    assert (linear == before).all()


def test_rows_do_not_depend_on_their_block():
    """More rows than one thread takes, in a gradient: the same values as row by row."""
    rows = np.linspace(0.001, 2.0, 3 * develop.ROWS + 5, dtype=np.float32)
    linear = np.repeat(np.repeat(rows[:, None, None], 4, axis=1), 3, axis=2)
    whole = develop.display_values(linear)
    one_by_one = np.concatenate([develop.display_values(linear[i : i + 1]) for i in range(len(rows))])
    assert (whole == one_by_one).all()


def test_dither_keeps_the_mean_and_stays_within_a_step():
    """A field between two codes is drawn in just those two, in the proportion that averages to it."""
    flat = np.full((200, 200, 3), 0.18, dtype=np.float32)
    exact = 255 * float(develop.display_values(flat)[0, 0, 1])
    found = develop.picture(flat)
    assert set(np.unique(found)) == {int(exact), int(exact) + 1}
    # 40 000 pixels: standard error of the mean at most 0.5 / 200
    assert found[..., 1].mean() == pytest.approx(exact, abs=4 * 0.5 / 200)


def test_dither_is_the_same_each_time():
    ramp = grey(*np.linspace(0.0, 0.05, 300))
    assert (develop.picture(ramp) == develop.picture(ramp)).all()


def test_black_stays_black():
    assert (develop.picture(np.zeros((64, 64, 3), dtype=np.float32)) == 0).all()


def test_grey_card_in_tungsten_light_develops_to_grey():
    """Lit to the meter by 3200 K with the camera at 3200 K, an 18 % card is scene-linear 0.18 in each channel."""
    camera = Camera.model_validate(
        {"lens": {"focal": 35}, "at": [0, 0, 0], "aim": [0, 1, 0], "balance": "3200 K"}
    )
    luminance = 0.18 * grey_illuminance_of(camera) / pi
    radiance = np.full((2, 3, 1), luminance) * np.array(rgb(chromaticity(cct_k=3200)))
    found = develop.scene_linear(radiance.astype(np.float32), camera)
    assert found.shape == (2, 3, 3)
    assert found.dtype == np.float32
    assert found == pytest.approx(np.full((2, 3, 3), 0.18), rel=1e-5)


def test_missing_view_is_said_in_a_sentence(monkeypatch):
    from preview.faults import UserError

    monkeypatch.setattr(develop, "VIEW", "no such view")
    develop._to_display.cache_clear()
    try:
        with pytest.raises(UserError, match="no built-in config with the view 'no such view'"):
            develop.display_values(grey(0.18))
    finally:
        develop._to_display.cache_clear()
