"""The table against the Academy's own transform, from which it is made."""

from __future__ import annotations

import numpy as np

from preview.camera.develop import display_values, picture
from preview.camera.display_table import BRIGHTEST, sheet_picture


def test_greys_from_black_to_white() -> None:
    """From eleven stops under 18 % grey to far beyond white, within a step of 255 and never darker as light rises."""
    stops = np.linspace(-11.0, 15.0, 1024)
    grey = np.repeat((0.18 * 2.0**stops).astype(np.float32)[np.newaxis, :, np.newaxis], 3, axis=2)
    wide = np.tile(grey, (64, 1, 1))
    found = sheet_picture(wide).astype(float).mean(axis=0)
    exact = 255.0 * display_values(grey)[0]
    assert np.abs(found - exact).max() < 1.0
    assert (np.diff(found[:, 1]) > -0.3).all()
    assert sheet_picture(np.zeros((1, 1, 3), np.float32)).max() == 0


def test_colours_of_a_night() -> None:
    """Warm, cold and pure colours, at random, from deep shade to a lamp seen: 99 % within 2 of 255, 99.9 % within 4."""
    rng = np.random.default_rng(11)
    level = 0.18 * 2.0 ** rng.uniform(-9.0, 8.0, (200, 300, 1))
    tint = 10.0 ** rng.uniform(-1.2, 0.0, (200, 300, 3))
    linear = (level * tint / tint.max(axis=2, keepdims=True)).astype(np.float32)
    apart = np.abs(sheet_picture(linear).astype(float) - picture(linear).astype(float))
    assert np.percentile(apart, 99.0) <= 2.0
    assert np.percentile(apart, 99.9) <= 4.0
    assert apart.mean() < 0.4


def test_pure_sodium_and_beyond() -> None:
    """A balance for daylight leaves sodium's blue below nought."""
    linear = np.array(
        [[[0.5, 0.2, -0.015], [2.0, 0.7, -0.1], [BRIGHTEST * 9, 0, 0], [1e9, np.inf, 1]]], np.float32
    )
    apart = np.abs(sheet_picture(linear).astype(float) - picture(linear).astype(float))[0]
    assert (apart[0] <= 3).all()
    assert (apart[1] <= 8).all()
    assert (apart[2:] <= 8).all()
