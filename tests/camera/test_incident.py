"""The stop that a meter says, against the exposure equation and worked examples."""

from __future__ import annotations

from math import log2, pi

import pytest

from preview.camera.exposure import INCIDENT_CONSTANT, LUX_PER_FOOTCANDLE, footcandles
from preview.camera.incident import (
    DOME_CONSTANT,
    constant_of,
    exposure_value,
    footlamberts,
    metered_stop,
    over_grey,
    stop_words,
)
from preview.script.models.camera import Camera


def camera(stop: float = 2.8, iso: float = 800.0) -> Camera:
    return Camera.model_validate(
        {"lens": {"focal": 35, "stop": stop}, "at": [0, 0, 1], "aim": [0, 1, 1], "iso": iso}
    )


@pytest.mark.parametrize("iso", [100, 200, 400, 800, 1600, 3200])
def test_flat_receptor_by_the_rule_of_25(iso: float) -> None:
    """EX-06: fc = 25 N^2 / (S t) says T/2.8 at 9600 / S footcandles for N^2 = 8, at 1/48 s."""
    lux = 9600.0 / iso * LUX_PER_FOOTCANDLE
    assert metered_stop(lux, camera(iso=iso), dome=False) == pytest.approx(8.0**0.5, rel=1e-6)


def test_dome_by_its_own_constant() -> None:
    """EX-08: C = 340, N^2 = 8, 1/48 s: 1305.6 lx at ISO 100, 163.2 lx = 15.2 fc at ISO 800."""
    assert metered_stop(1305.6, camera(iso=100), dome=True) == pytest.approx(8.0**0.5, rel=1e-6)
    assert metered_stop(163.2, camera(iso=800), dome=True) == pytest.approx(8.0**0.5, rel=1e-6)
    assert footcandles(163.2) == pytest.approx(15.2, abs=0.05)


def test_constants_lie_in_what_the_standard_allows() -> None:
    """EX-02: 240 to 400 for a flat receptor, 320 to 540 for a dome."""
    assert 240.0 <= constant_of(dome=False) == INCIDENT_CONSTANT <= 400.0
    assert 320.0 <= constant_of(dome=True) == DOME_CONSTANT <= 540.0


def test_apertures_add_in_squares() -> None:
    """EX-24: T/5.657 and T/4 alone are T/6.928 together."""
    here = camera()
    lux = [INCIDENT_CONSTANT * square / (800.0 / 48.0) for square in (32.0, 16.0)]
    assert [metered_stop(one, here, dome=False) for one in lux] == pytest.approx([5.657, 4.0], rel=1e-3)
    assert metered_stop(sum(lux), here, dome=False) == pytest.approx(6.928, rel=1e-4)


def test_over_grey_is_twice_the_log_of_the_stops() -> None:
    here = camera(stop=2.0)
    grey = INCIDENT_CONSTANT * 4.0 / (800.0 / 48.0)
    assert over_grey(grey, here, dome=False) == pytest.approx(0.0, abs=1e-9)
    assert over_grey(2.0 * grey, here, dome=False) == pytest.approx(1.0)
    assert over_grey(grey, here, dome=True) == pytest.approx(log2(INCIDENT_CONSTANT / 340.0))
    assert over_grey(0.0, here, dome=True) == -float("inf")


@pytest.mark.parametrize(
    ("stop", "words"),
    [
        (4.0, "T4"),
        (4.49, "T4 and a third"),
        (5.04, "T4 and two thirds"),
        (5.657, "T5.6"),
        (2.8, "T2.8"),
        (1.0, "T1"),
        (0.707, "T0.7"),
        (0.3, "below T0.5"),
        (11.314, "T11"),
        (22.6, "T22"),
        (128.0, "T128"),
        (200.0, "above T128"),
        (None, "no stop"),
    ],
)
def test_thirds(stop: float | None, words: str) -> None:
    """EX-12: full stops are powers of the square root of 2, a third of a stop is 2^(1/6)."""
    assert stop_words(stop) == words


def test_footlamberts_of_a_grey_card() -> None:
    """EX-16: 18 % under 100 fc is 18 fL, 61.673 cd/m2."""
    luminance = 0.18 * 100.0 * LUX_PER_FOOTCANDLE / pi
    assert luminance == pytest.approx(61.673, rel=1e-5)
    assert footlamberts(luminance) == pytest.approx(18.0, rel=1e-9)


def test_exposure_value_of_a_spot() -> None:
    """EX-18: an 18 % card under 1000 lx is EV 8.8404 by K = 12.5; EX-04: 8 cd/m2 at ISO 100 is N = 8 at 1 s, EV 6."""
    assert exposure_value(0.18 * 1000.0 / pi) == pytest.approx(8.8404, abs=1e-4)
    assert exposure_value(8.0) == pytest.approx(6.0)
    assert exposure_value(0.0) is None
