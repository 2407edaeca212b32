"""What a light has after its lamp, level, gels and mix: colour, gain, kelvin; none of it touches what is traced."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from preview.light.colour import chromaticity
from preview.light.colour_reading import colour_words, read_colour
from preview.light.lamps import practical_lumens
from preview.light.light import Light
from preview.light.lights import lights_of
from preview.light.spaces import ACESCG
from preview.trace.keys import light_digest
from tests.script.scenes import SMALL, scene

TUNGSTEN = "{shape: panel, size: 1 x 1 m, candela: 1000, kelvin: 3200, lamp: tungsten}"
MIXING = "{shape: panel, size: 1 x 1 m, candela: 1000, kelvin: 5600, lamp: led-mix}"


def light(folder: Path, words: str, *, script: str = "") -> Light:
    (only,) = lights_of(scene(folder, f"fixtures:\n  - {{name: key, {words}}}\n{script}{SMALL}"))
    return only


def head(made: str, more: str = "") -> str:
    return f"head: {made}, at: [0, 0, 3], aim: [0, 5, 1]{more}"


def xy_of(light: Light) -> tuple[float, float]:
    xyz = ACESCG.to_xyz @ np.array(light.colour)
    x, y = (xyz[:2] / xyz.sum()).tolist()
    return x, y


@pytest.mark.parametrize("lamp", ["sodium", "mercury", "tungsten", "led-4000", "low-pressure-sodium"])
def test_colour_has_luminance_one(tmp_path, lamp):
    found = light(tmp_path, f"practical: {{kind: street_lamp, at: [0, 0, 5], lamp: {lamp}}}")
    assert ACESCG.luminance @ np.array(found.colour) == pytest.approx(1.0)
    assert found.gain == 1.0


def test_a_street_lamp_is_sodium(tmp_path):
    """HP1 of CIE 15:2004, x 0.5330, y 0.4150; 1959 K (CO-04 of the check values)."""
    found = light(tmp_path, "practical: {kind: street_lamp, at: [0, 0, 5]}")
    assert xy_of(found) == pytest.approx((0.5330, 0.4150), abs=3e-4)
    assert found.kelvin == pytest.approx(1959, abs=3)


@pytest.mark.parametrize("kelvin", [1900, 3200, 4300, 5600, 9000])
def test_a_plain_light_is_the_white_of_its_kelvin(tmp_path, kelvin):
    found = light(tmp_path, head(f"{{shape: panel, size: 1 x 1 m, candela: 9, kelvin: {kelvin}}}"))
    assert xy_of(found) == pytest.approx(chromaticity(cct_k=kelvin), abs=1.5e-4)
    assert found.kelvin == kelvin


def test_a_filament_warms_with_its_level_and_not_with_scrims_and_densities(tmp_path):
    """Light as V^3.4, colour temperature as V^0.42: half the light of 3200 K is 2937 K."""
    full = light(tmp_path, head(TUNGSTEN))
    half = light(tmp_path, head(TUNGSTEN, ", level: 50 %"))
    assert full.kelvin == 3200
    assert half.kelvin == pytest.approx(3200 * 0.5 ** (0.42 / 3.4))
    assert half.gain == pytest.approx(0.5)
    assert read_colour(half.colour).kelvin == pytest.approx(half.kelvin, abs=3)
    for thing in ("{scrim: double}", "{gel: nd-3}"):
        dimmed = light(tmp_path, head(TUNGSTEN, f", through: [{thing}]"))
        assert dimmed.gain == pytest.approx(0.5, abs=0.002)
        assert xy_of(dimmed) == pytest.approx(xy_of(full), abs=1e-6)


def test_kelvin_of_the_fixture_is_the_colour_as_it_is(tmp_path):
    found = light(tmp_path, head(TUNGSTEN, ", level: 50 %, kelvin: 3000"))
    assert found.kelvin == 3000
    assert xy_of(found) == pytest.approx(chromaticity(cct_k=3000), abs=1e-4)


@pytest.mark.parametrize("made", ["led-white", "discharge-5600", "fluorescent", "white"])
def test_other_lamps_keep_their_colour_when_dimmed(tmp_path, made):
    words = f"{{shape: panel, size: 1 x 1 m, candela: 9, lamp: {made}}}"
    assert light(tmp_path, head(words, ", level: 20 %")).colour == light(tmp_path, head(words)).colour


def test_blue_costs_more_on_sodium_than_on_tungsten(tmp_path):
    """Common practice, no source."""
    practical = "practical: {{kind: street_lamp, at: [0, 0, 5], lamp: {}}}, through: [{{gel: blue}}]"
    sodium = light(tmp_path, practical.format("sodium")).gain
    tungsten = light(tmp_path, practical.format("tungsten, kelvin: 3200")).gain
    assert np.log2(tungsten / sodium) > 1.0


def test_full_orange_on_a_tungsten_head_is_firelight(tmp_path):
    """Common practice, no source."""
    found = light(tmp_path, head(TUNGSTEN, ", through: [{gel: full-cto}]"))
    assert 2000 < found.kelvin < 2200
    flame = light(tmp_path, "practical: {kind: candle, at: [0, 0, 1]}")
    assert abs(1e6 / found.kelvin - 1e6 / flame.kelvin) < 60


def test_at_a_balance_of_4000_tungsten_is_as_warm_as_daylight_is_cool(tmp_path):
    """Common practice, no source."""
    warm = light(tmp_path, head(TUNGSTEN))
    cool = light(tmp_path, head("{shape: panel, size: 1 x 1 m, candela: 9, lamp: discharge-5600}"))
    assert colour_words(read_colour(warm.colour), balance_k=4000) == "warm by 63 mired"
    assert colour_words(read_colour(cool.colour), balance_k=4000) == "cool by 71 mired"


def test_a_gel_of_ones_own(tmp_path):
    (tmp_path / "half.csv").write_text("".join(f"{nm};0,5\n" for nm in range(380, 790, 10)))
    found = light(tmp_path, head(TUNGSTEN, ", through: [{gel: {file: half.csv}}]"))
    assert found.gain == pytest.approx(0.5)
    assert xy_of(found) == pytest.approx(chromaticity(cct_k=3200), abs=1e-4)


def test_a_mix_has_its_colour_and_its_output(tmp_path):
    white = light(tmp_path, head(MIXING))
    assert white.gain == pytest.approx(1.0)
    assert white.kelvin == 5600
    green = light(tmp_path, head(MIXING, ", mix: {kelvin: 4300, green: 8}"))
    assert xy_of(green) == pytest.approx(chromaticity(cct_k=4300, duv=0.008), abs=1e-4)
    blue = light(tmp_path, head(MIXING, ", mix: {hue: 240 deg}, level: 50 %"))
    assert 0.01 < blue.gain < 0.05
    assert blue.kelvin is None
    assert blue.colour[2] > 10 * blue.colour[1]


def test_nothing_of_colour_changes_what_is_traced(tmp_path):
    """Layers are kept by emitters and glows alone."""
    bare = light_digest(light(tmp_path, head(MIXING)))
    for more in (
        ", level: 30 %",
        ", mix: {hue: 20 deg}",
        ", kelvin: 3000",
        ", through: [{gel: red}, {shift: 40}]",
    ):
        assert light_digest(light(tmp_path, head(MIXING, more))) == bare
    sodium = "practical: {{kind: street_lamp, at: [0, 0, 5]{}}}"
    assert light_digest(light(tmp_path, sodium.format(""))) == light_digest(
        light(tmp_path, sodium.format(", lamp: mercury"))
    )


def test_a_lamp_without_kelvin_has_its_usual_one(tmp_path):
    assert light(tmp_path, head("{shape: panel, size: 1 x 1 m, candela: 9, lamp: tungsten}")).kelvin == 3200
    assert light(tmp_path, head("{shape: panel, size: 1 x 1 m, candela: 9}")).kelvin == 5600
    assert light(tmp_path, "practical: {kind: street_lamp, at: [0, 0, 5], lamp: tungsten}").kelvin == 3200
    assert light(tmp_path, "practical: {kind: bulb, at: [0, 0, 2], lamp: led-white}").kelvin == 2700


def test_watts_of_another_lamp_make_its_own_lumens(tmp_path):
    """Lumens a watt, from memory, typical: LED 90, mercury 36, filament about 12."""

    def lumens(words: str) -> float | None:
        made = scene(tmp_path, f"fixtures:\n  - {{name: key, practical: {words}}}\n{SMALL}")
        practical = made.fixtures[0].practical
        assert practical is not None
        return practical_lumens(practical, made.catalogue.lamps[practical.kind])

    assert lumens("{kind: bulb, at: [0, 0, 2]}") == 710
    assert lumens("{kind: bulb, at: [0, 0, 2], watts: 120}") == 1420
    assert lumens("{kind: bulb, at: [0, 0, 2], lamp: led-2700, watts: 9}") == pytest.approx(810)
    assert lumens("{kind: street_lamp, at: [0, 0, 5], lamp: mercury, watts: 125}") == pytest.approx(4500)
    assert lumens("{kind: street_lamp, at: [0, 0, 5], lamp: mercury}") == 8500
    assert lumens("{kind: fire, at: [0, 0], watts: 40000}") == pytest.approx(6400)
    assert lumens("{kind: fire, at: [0, 0]}") is None
