"""Glare against the closed forms of its spread."""

from math import pi

import numpy as np
import pytest

from preview.camera.glare import BELLS, with_glare


def lamp(height=400, width=600, light=1e6):
    image = np.zeros((height, width, 3), np.float32)
    image[height // 2, width // 2] = light, 0.5 * light, 0.1 * light
    return image


def distance(height, width):
    return np.hypot(*np.meshgrid(np.arange(width) - width // 2, np.arange(height) - height // 2))


def test_none_leaves_the_picture_alone():
    image = lamp()
    assert with_glare(image, 0.0) is image


def test_the_shares_are_whole():
    assert sum(share for _, share in BELLS) == pytest.approx(1.0)


def test_light_within_a_radius():
    """A bell of width a holds 1 - a / sqrt(a^2 + r^2) of its light within r, the integral of its closed form."""
    seen = with_glare(lamp(), 0.01)[..., 0]
    away = distance(400, 600)
    for radius in (20.0, 60.0, 150.0):
        wanted = 0.99 + 0.01 * sum(share * (1.0 - a * 400 / np.hypot(a * 400, radius)) for a, share in BELLS)
        inside = seen[away <= radius].sum(dtype=np.float64) / 1e6
        assert inside - 0.99 == pytest.approx(wanted - 0.99, rel=0.03)


def test_the_skirt_falls_as_the_cube_of_distance():
    """Far from a lamp, in the middle of a large frame, what the tight bell gives is a / (2 pi r^3)."""
    tight, share = BELLS[0]
    seen = with_glare(lamp(), 0.01)[..., 0]
    rest = sum(s * a * 400 / (2 * pi) * (100.0**2 + (a * 400) ** 2) ** -1.5 for a, s in BELLS[1:])
    wanted = 1e4 * (share * tight * 400 / (2 * pi * 100.0**3) + rest)
    assert seen[200, 400] == pytest.approx(wanted, rel=0.03)
    assert seen[300, 300] == pytest.approx(seen[200, 400], rel=0.03)


def test_the_dark_stays_clean_beside_a_lamp_of_ten_million():
    """Far corners hold the closed form of the spread and the 1e-3 that was there, to 1 %."""
    image = lamp(light=1e7) + np.float32(1e-3)
    seen = with_glare(image, 1e-6)[..., 0]
    radius = np.hypot(195, 295)
    wanted = 1e-3 + 10.0 * sum(
        s * a * 400 / (2 * pi) * (radius**2 + (a * 400) ** 2) ** -1.5 for a, s in BELLS
    )
    assert seen[5, 5] == pytest.approx(wanted, rel=0.01)
    assert seen.min() >= 0.999e-3


def test_a_flat_field_loses_only_what_would_have_come_from_outside():
    seen = with_glare(np.ones((300, 500, 3), np.float32), 0.01)
    assert seen.max() <= 1.0 + 1e-6
    assert seen[150, 250] == pytest.approx(1.0, abs=0.0025)
    assert seen.min() >= 0.99


def test_the_glow_is_the_same_at_any_size():
    """A lamp of a hundredth of the height, and half of that in each direction, seen at twice the size."""
    pictures = []
    for size in (180, 720):
        image = np.zeros((size, 2 * size, 3), np.float32)
        middle, half = size // 2, size // 36
        image[middle - half : middle + half, size - half : size + half] = 1e5
        seen = with_glare(image, 0.01)
        step = size // 180
        pictures.append(seen.reshape(180, step, 360, step, 3).mean(axis=(1, 3)))
    small, large = pictures
    np.testing.assert_allclose(small[:, :150], large[:, :150], rtol=0.03)
