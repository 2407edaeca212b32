"""The meter's words: ratios that have a number and ratios that have none, hours on an eye."""

from __future__ import annotations

import numpy as np
import pytest

from preview.commands.metering.directions import cheeks_of, key_and_fill
from preview.sheets.meter_eye_text import clock_words
from preview.sheets.meter_text import cheeks_line, key_line


def test_a_ratio_past_a_sensor_has_no_number() -> None:
    """Ten stops, 1024 to 1."""
    dark = cheeks_line(cheeks_of(0.0002, 50.0, "right"))
    assert dark.endswith(
        "camera left (own right) no light, camera right (own left) 4.65 fc (50.0 lx): "
        "camera left in shadow, over 1000 to 1."
    )
    assert cheeks_line(cheeks_of(50.0, 0.06, "left")).endswith("camera left brighter, 833.3 to 1, 9.7 stops.")
    key = key_and_fill(["key"], np.array([1000.0]), np.array([1000.5]))
    assert key is not None
    assert key_line(key) == (
        "Key: key. Fill, the key shaded: 0.0465 fc (0.500 lx). "
        "Key and fill to fill, the key's bounce in both: over 1000 to 1."
    )


@pytest.mark.parametrize(
    ("hours", "words"),
    [
        (12.0, "12 o'clock"),
        (0.2, "12 o'clock"),
        (2.4, "half past 2"),
        (11.9, "12 o'clock"),
        (9.8, "10 o'clock"),
    ],
)
def test_clock_words(hours: float, words: str) -> None:
    assert clock_words(hours) == words
