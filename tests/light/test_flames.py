"""Candle and fire: what they give, how bright they look, how warm they are."""

from __future__ import annotations

from math import pi
from pathlib import Path

import numpy as np
import pytest

from preview.light.light import Light
from preview.light.lights import lights_of
from tests.script.scenes import SMALL, scene
from tests.trace.metering import lux_at


def light(folder: Path, words: str) -> Light:
    (only,) = lights_of(scene(folder, f"fixtures:\n  - {{name: key, practical: {words}}}\n{SMALL}"))
    return only


def candela(made: Light, *, height: float) -> float:
    """Seen level from 20 m, by the inverse square."""
    lux = lux_at(made.emitters, np.array([[0.0, -20.0, height]]), np.array([[0.0, 1.0, 0.0]]), rays=64)
    return float(lux[0]) * 400.0


def test_a_candle_is_one_candela(tmp_path):
    """13 lm of 80 W: an encyclopaedia's article on candles; so about one candela, as its name says."""
    made = light(tmp_path, "{kind: candle, at: [0, 0, 1]}")
    assert candela(made, height=1.0) == pytest.approx(1.0, rel=0.02)
    assert 5000 < made.glows[0].luminance < 15_000  # 7500 to 10 000 cd/m2, from memory
    assert 1800 <= made.kelvin <= 2000


@pytest.mark.parametrize("size", [0.5, 0.8, 1.2])
def test_a_fire_gives_what_wood_of_its_flames_gives(tmp_path, size):
    """Height of flames L = 0.235 Q^(2/5) - 1.02 D (kW, m; Heskestad, from memory) and a candle's 0.16 lm a watt.

    The two, the luminance of a flame and its heat, are independent; they agree within a stop from half a metre up.
    """
    heat = 1000 * ((size + 1.02 * 0.5 * size) / 0.235) ** 2.5
    made = light(tmp_path, f"{{kind: fire, at: [0, 0], size: {size} m}}")
    lumens = 4 * pi * candela(made, height=0.37 * size)
    assert abs(np.log2(lumens / (0.16 * heat))) < 1.0
    assert 1800 <= made.kelvin <= 2000


def test_a_fire_of_so_many_lumens(tmp_path):
    made = light(tmp_path, "{kind: fire, at: [0, 0], size: 60 cm, lumens: 5000}")
    assert 4 * pi * candela(made, height=0.22) == pytest.approx(5000, rel=0.02)
    assert made.glows[0].luminance == pytest.approx(5000 / (4 * pi * 0.236 * 0.36), rel=0.01)


def test_luminance_of_a_fire_is_as_given(tmp_path):
    made = light(tmp_path, "{kind: fire, at: [0, 0], luminance: 10000}")
    assert made.glows[0].luminance == pytest.approx(10_000)


def test_a_flame_turned_down_does_not_warm(tmp_path):
    """Soot burns as hot in a small flame as in a large one: common practice, no source."""
    full = light(tmp_path, "{kind: fire, at: [0, 0]}")
    half = light(tmp_path, "{kind: fire, at: [0, 0]}, level: 50 %")
    assert half.gain == pytest.approx(0.5)
    assert half.kelvin == full.kelvin
    assert half.colour == full.colour
