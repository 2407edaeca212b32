"""What everybody on a night exterior knows, seen in the program's own frames. Common practice where no source is named."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from preview.camera.exposure import exposure_scale, incident_stops, stops_from_grey
from preview.commands.metering.readings import levels, receptors
from preview.commands.prepare import Ready, prepare
from preview.light.spaces import ACESCG
from preview.trace.mix import mixed
from preview.trace.plate import Plate, trace
from preview.trace.quality import Quality
from preview.trace.store import Scratch
from tests.script.scenes import scene

Picture = np.ndarray
QUALITY = Quality(bounce_rays=6)
WHITE_STOPS = 2.47
"""A white of 1.0 over 18 % grey: log2(1 / 0.18)."""


def shot(folder: Path, text: str, *, width: int = 240) -> tuple[Ready, Plate, Picture]:
    """A scene traced, with its frame in stops from 18 % grey (height, width)."""
    ready = prepare(scene(folder, text))
    plate = trace(
        ready.stage,
        ready.lights,
        ready.view,
        width=width,
        height=round(width / ready.view.aspect),
        quality=QUALITY,
    )
    luminance = mixed(plate, ready.lights) @ ACESCG.luminance.astype(np.float32)
    return ready, plate, stops_from_grey(luminance * np.float32(exposure_scale(ready.scene.camera)))


def lux_on_marks(ready: Ready) -> np.ndarray:
    """Lux (marks,) of everything together."""
    return levels(ready, receptors(ready.scene), rays=256, bounces=1, seed=1, store=Scratch()).total.sum(
        axis=1
    )


CANDLE = """
set:
  - ground: {material: soil}
  - box: {name: table, at: [0, 0], size: [0.8, 0.6, 0.75], material: wood}
  - wall: {along: [[-4, 2.5], [4, 2.5]], height: 3}
cast:
  - {name: Mara, at: [0.55, 0.75], facing: 200 deg}
camera: {lens: {focal: 35 mm, stop: 2.8}, at: [0, -3.5, 1.4], aim: [0, 0.6, 1.1], iso: 800, balance: 3200 K}
fixtures:
  - {name: candle, practical: {kind: candle, at: [0, 0, 0.95]}}
"""


def test_a_candle_clips_while_what_it_lights_stays_dark(tmp_path):
    """Common practice: a flame in frame burns out at any night exposure; a metre away its light is stops under."""
    ready, plate, stops = shot(tmp_path, CANDLE, width=480)
    flame = (plate.part <= -2) & (np.max(plate.layers, axis=(0, 3)) > 1000)
    assert flame.sum() >= 3
    assert stops[flame].max() > WHITE_STOPS + 4.0
    around = plate.part >= 0
    assert np.median(stops[around]) < -4.0
    names = _names(plate, ready.world.names)
    assert np.median(stops[names == "wall"]) < -5.0
    # One candela a metre from a face is one lux, where the camera wants 129: seven stops under, by definition.
    assert -9.0 < np.median(stops[names == "Mara.head"]) < -6.0


def _names(plate: Plate, names: tuple[str, ...]) -> Picture:
    """The name of the solid part in each pixel (height, width), empty for anything else."""
    table = np.array([*names, ""])
    return table[np.where(plate.part >= 0, plate.part, len(names))]


MOONLIT = """
set:
  - ground: {material: grass}
  - house: {name: house, at: [0, 12], size: [8, 5], material: clapboard}
cast:
  - {name: Mara, at: [0, 1], facing: 180 deg}
camera: {lens: {focal: 32 mm, stop: 2.8}, at: [0, -6, 1.5], aim: [0, 4, 1.6], iso: ISO, balance: 4300 K}
fixtures:
  - {name: moon, moon: {azimuth: 205 deg, elevation: 45 deg, lux: 0.25}}
marks:
  - {name: open ground, at: [2, -1, 0.05], facing: [-2.99, -7.41, 7]}
"""


def test_a_real_full_moon_alone_is_no_exposure(tmp_path):
    """A clear full moon of 0.25 lx (IES Handbook's order; from memory) at T/2.8, ISO 800, 24 fps, 180 degrees.

    By E = 269 N^2 / (t S) the camera wants 129 lx: 9 stops more. Front-lit skin and boards lie that far down.
    """
    ready, plate, stops = shot(tmp_path, MOONLIT.replace("ISO", "800"))
    wanted = 25 * 10.7639 * 2.8**2 * 48 / 800
    assert incident_stops(0.25, ready.scene.camera) == pytest.approx(np.log2(0.25 / wanted), abs=0.01)
    assert lux_on_marks(ready)[0] == pytest.approx(0.25, rel=0.03)
    land = plate.part >= 0
    assert -12.5 < np.median(stops[land]) < -8.0
    assert np.quantile(stops[land], 0.99) < -6.0
    # But for what its edge pixels hold of the land, the sky is black.
    assert np.isneginf(stops[plate.part == -1]).mean() > 0.9


def test_seven_stops_of_speed(tmp_path):
    """Definition of the stop: seven more of speed lift every pixel by seven; the light stays what it was."""
    _, _, under = shot(tmp_path, MOONLIT.replace("ISO", "800"))
    _, plate, lifted = shot(tmp_path, MOONLIT.replace("ISO", "102400"))
    land = plate.part >= 0
    assert lifted[land] - under[land] == pytest.approx(7.0, abs=1e-3)


FACES = """
set:
  - ground: {material: grass}
cast:
  - {name: Ada, at: [-2.1, 0.3], facing: 160 deg, skin: light, hair: fair}
  - {name: Ben, at: [0, 0], facing: 175 deg, skin: brown, hair: black, height: 1.85}
  - {name: Cyd, at: [2.1, 0.3], facing: 200 deg, skin: dark, hair: black, pose: sit}
camera: {lens: {focal: 24 mm, stop: 2.8}, at: [0, -4.5, 1.5], aim: [0, 0, 1.45], iso: 800, balance: 4300 K}
fixtures:
  - {name: moon, moon: {azimuth: AZIMUTH, elevation: 25 deg, lux: 2, size: SIZE}}
  - {name: sky, sky: {lux: 0.05}}
"""


def _left_over_right(folder: Path, *, azimuth: int, size: str) -> dict[str, float]:
    """For each head in frame, the mean luminance of its left half over that of its right half, as seen."""
    ready, plate, stops = shot(
        folder, FACES.replace("AZIMUTH", f"{azimuth} deg").replace("SIZE", size), width=480
    )
    names = _names(plate, ready.world.names)
    answer = {}
    for who in ("Ada", "Ben", "Cyd"):
        row, column = np.nonzero(names == f"{who}.head")
        assert len(row) > 150
        middle = (column.min() + column.max()) / 2
        light = np.exp2(stops[row, column].astype(float))
        answer[who] = light[column < middle].mean() / light[column > middle].mean()
    return answer


@pytest.mark.parametrize("size", ["0.5 deg", "20 deg"])
def test_the_moon_from_the_other_side_flips_every_face(size, tmp_path):
    """Common practice: to a camera that looks north a moon in the west keys from the left, one in the east from right."""
    west = _left_over_right(tmp_path, azimuth=255, size=size)
    east = _left_over_right(tmp_path, azimuth=105, size=size)
    for who in west:
        assert west[who] > 1.6, who
        assert east[who] < 1 / 1.6, who


LEVELS = """
camera: {{lens: {{focal: 35 mm, stop: 2.8}}, at: [0, -5, 1.5], aim: [0, 0, 1.5], iso: 800}}
fixtures:
  - {{name: key, head: hmi-fresnel-2500, at: [0, {south}, 1.5], aim: [0, 0, 1.5], stand: no, through: [{through}]}}
marks:
  - {{name: face, at: [0, 0, 1.5], facing: 180 deg}}
"""


@pytest.mark.parametrize(
    ("south", "through", "stops"),
    [
        pytest.param(-20, "", -2.0, id="twice the distance: two stops"),
        pytest.param(-14.142, "", -1.0, id="1.4 times the distance: one stop"),
        pytest.param(-10, "{scrim: single}", -0.5, id="a single scrim: half a stop"),
        pytest.param(-10, "{scrim: double}", -1.0, id="a double scrim: one stop"),
        pytest.param(
            -10, "{scrim: double}, {scrim: single}", -1.5, id="a double and a single: a stop and a half"
        ),
        pytest.param(-10, "{scrim: double}, {scrim: double}", -2.0, id="two doubles: two stops"),
    ],
)
def test_what_the_meter_loses(south, through, stops, tmp_path):
    """Common practice, and the inverse square: against the bare head 10 m away."""
    bare, other = (
        lux_on_marks(prepare(scene(tmp_path, LEVELS.format(south=where, through=what))))[0]
        for where, what in ((-10, ""), (south, through))
    )
    assert np.log2(other / bare) == pytest.approx(stops, abs=0.02)


HEAD = """
camera: {{lens: {{focal: 35 mm, stop: 2.8}}, at: [0, -5, 1.5], aim: [0, 0, 1.5], iso: 800}}
fixtures:
  - {{name: key, head: {head}, at: [0, -10, 1.5], aim: [0, 0, 1.5], stand: no}}
marks:
  - {{name: face, at: [0, 0, 1.5], facing: 180 deg}}
"""


def metered(folder: Path, head: str) -> float:
    return float(lux_on_marks(prepare(scene(folder, HEAD.format(head=head))))[0])


@pytest.mark.parametrize("head", ["tungsten-fresnel-650", "hmi-fresnel-2500"])
def test_flooding_a_fresnel_costs_three_to_four_stops_and_more(head, tmp_path):
    """Common practice, no source: what a fresnel loses on its axis from full spot to full flood."""
    spot, half, flood = (metered(tmp_path, f"{head}, flood: {place} %") for place in (0, 50, 100))
    assert 3.0 < np.log2(spot / flood) < 4.6
    assert np.log2(spot / half) == pytest.approx(np.log2(half / flood), abs=0.3)


def test_watt_for_watt_an_hmi_is_some_two_stops_over_tungsten(tmp_path):
    """Common practice, no source: three to four times the light for the same watts, both at full flood."""
    for hmi, tungsten in (
        ("hmi-fresnel-6000", "tungsten-fresnel-5000"),
        ("hmi-fresnel-575", "tungsten-fresnel-650"),
    ):
        stops = np.log2(metered(tmp_path, hmi) / metered(tmp_path, tungsten))
        assert 1.0 < stops < 2.3


def test_the_lenses_of_an_hmi_par_span_five_stops_or_so(tmp_path):
    """Common practice, no source: from the narrowest lens to the frosted one."""
    lenses = ("very narrow", "narrow", "medium", "wide", "frosted")
    lux = [metered(tmp_path, f"hmi-par-1200, lens: {lens}") for lens in lenses]
    assert lux == sorted(lux, reverse=True)
    assert 4.0 < np.log2(lux[0] / lux[-1]) < 6.0
