"""Grain against the noise model of EMVA Standard 1288: variance in electrons is their number and read noise squared.

Numbers are worked by hand from the model's constants: 40 000 electrons at a clip 6 stops over grey make 625 at grey.
"""

from math import sqrt

import numpy as np
import pytest

from preview.camera import grain
from preview.script.models.camera import Camera


def camera(**changes):
    values = {
        "format": {"width": 36, "height": 24},
        "lens": {"focal": 35},
        "at": [0, -5, 1.5],
        "aim": [0, 0, 1.5],
        "balance": 6000,
    }
    return Camera.model_validate(values | changes)


def flat(value, height=512, width=768):
    return np.full((height, width, 3), value, np.float32)


def deviation_of_sensor(found, camera):
    from preview.camera.balance import balance_matrix

    sensor = found.reshape(-1, 3).astype(np.float64) @ np.linalg.inv(balance_matrix(camera)).T
    return sensor.std(axis=0), np.corrcoef(sensor.T)


@pytest.mark.parametrize(("iso", "electrons"), [(800, 625.0), (1600, 312.5), (3200, 156.25)])
def test_noise_at_grey(iso, electrons):
    """sqrt(n + 4^2) / n of grey in each photosite; 4096 across 768 pixels are 28.44 to a pixel."""
    subject = camera(iso=iso)
    found = grain.with_grain(flat(0.18), subject, seed=5)
    deviation, together = deviation_of_sensor(found, subject)
    wanted = 0.18 * sqrt(electrons + 16.0) / electrons / sqrt((4096 / 768) ** 2)
    assert deviation == pytest.approx([wanted] * 3, rel=0.01)
    assert np.abs(together - np.eye(3)).max() < 0.01
    assert found.mean() == pytest.approx(0.18, rel=1e-3)


def test_twice_the_iso_is_a_stop_of_shot_noise():
    """Where light is plenty, the variance doubles with the ISO."""
    one, two = (
        deviation_of_sensor(grain.with_grain(flat(4.0), camera(iso=iso), seed=1), camera())[0][1]
        for iso in (800, 1600)
    )
    assert (two / one) ** 2 == pytest.approx(2.0, rel=0.02)


def test_in_the_dark_the_reading_is_left():
    """4 electrons of 40 000, clip at 11.52; twice the ISO makes it twice as large."""
    for iso, wanted in ((800, 11.52 * 4 / 40_000), (1600, 2 * 11.52 * 4 / 40_000)):
        found = grain.with_grain(flat(0.0), camera(iso=iso), seed=2)
        deviation, _ = deviation_of_sensor(found, camera())
        assert deviation * 4096 / 768 == pytest.approx([wanted] * 3, rel=0.01)


def test_a_smaller_picture_of_the_same_sensor_is_calmer():
    large = grain.with_grain(flat(0.18, 1024, 1536), camera(), seed=1)
    small = grain.with_grain(flat(0.18, 256, 384), camera(), seed=1)
    assert large[..., 1].std() / small[..., 1].std() == pytest.approx(4.0, rel=0.02)


def test_a_picture_finer_than_the_sensor_is_no_noisier_than_a_photosite():
    assert grain.photosites_per_pixel(camera(), width=8192, height=5461) == 1.0
    assert grain.photosites_per_pixel(camera(), width=2048, height=1365) == pytest.approx(4.0, rel=0.001)


def test_a_warm_light_balanced_out_leaves_blue_the_noisier():
    found = grain.with_grain(flat(0.18), camera(balance=2800), seed=1)
    red, _, blue = found.reshape(-1, 3).std(axis=0)
    assert blue > 1.5 * red


def test_the_seed_alone_decides():
    one, again, other = (grain.with_grain(flat(0.18, 20, 30), camera(), seed=s) for s in (3, 3, 4))
    assert (one == again).all()
    assert (one != other).any()
