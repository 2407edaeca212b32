"""Sums: with gloss, panes, haze and bounce too, layers add up to the frame, as one light of all sources shows it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from preview.commands.prepare import Ready, prepare
from preview.light.light import Light
from preview.trace.mix import mixed, uncertainty, weights
from preview.trace.plate import Plate, trace
from preview.trace.quality import Quality
from tests.script.scenes import scene

WIDTH, HEIGHT = 96, 54

SCENE = """
set:
  - ground: {material: asphalt, wet: 0.9, size: [60, 60]}
  - house: {name: house, at: [0, 6], size: [7, 4], windows: [{wall: front, from_left: 2, size: [2, 1.4], bars: no}]}
  - box: {at: [1.2, 1.0], size: [0.8, 0.8, 1.2], turn: 20 deg, material: red paint}
haze: {visibility: 80 m}
camera: {lens: {focal: 28 mm}, at: [0.5, -5, 1.6], aim: [0, 2, 1.0]}
fixtures:
  - {name: soft, head: led-mat-120cm, at: [-3, -1, 2.5], aim: [0.5, 2, 0.5], level: 30 %, kelvin: 4300 K, stand: no}
  - {name: hard, head: hmi-fresnel-1200, at: [6, -3, 4], aim: [0, 3, 0], through: [{gel: half-cto}], level: 4 %}
  - {name: lamp, practical: {kind: street_lamp, at: [-2.5, 3, 4.5]}}
  - {name: moon, moon: {azimuth: 120 deg, elevation: 40 deg, lux: 2}}
  - {name: sky, sky: {lux: 0.4}}
"""


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory) -> Ready:
    """Of the rig nothing glows, so that one light may have all the sources."""
    made = prepare(scene(tmp_path_factory.mktemp("sums"), SCENE))
    return replace(made, stage=replace(made.stage, glow_of_part=(None,) * len(made.stage.glow_of_part)))


def plate_of(ready: Ready, lights: tuple[Light, ...]) -> Plate:
    return trace(
        ready.stage,
        lights,
        ready.view,
        width=WIDTH,
        height=HEIGHT,
        quality=Quality(0.05, rounds=8, bounce_rays=16, haze_samples=48),
        haze=ready.haze,
    )


@pytest.fixture(scope="module")
def plate(ready: Ready) -> Plate:
    return plate_of(ready, ready.lights)


def test_the_mix_is_the_sum_of_the_layers(ready, plate):
    """In float64, by the definition: each at its gain, in its colour."""
    whole = np.zeros((HEIGHT, WIDTH, 3))
    squares = np.zeros((HEIGHT, WIDTH))
    for light, layer, error in zip(ready.lights, plate.layers, plate.errors, strict=True):
        assert layer.max() > 0.0
        factor = light.gain * np.array(light.colour)
        whole += layer.astype(np.float64) * factor
        # Light's colours have luminance 1 (test_colour): its gain alone dims the error.
        squares += (error.astype(np.float64) * light.gain) ** 2
    assert weights(ready.lights)[0, 0] == pytest.approx(0.3 * ready.lights[0].colour[0], rel=1e-5)
    assert mixed(plate, ready.lights) == pytest.approx(whole, rel=1e-6, abs=1e-9)
    assert uncertainty(plate, ready.lights) == pytest.approx(np.sqrt(squares), rel=1e-4, abs=1e-7)


def test_all_sources_in_one_light_are_the_sum_of_their_layers(ready, plate):
    """Superposition, through coats, glass and haze. Together they draw other random numbers: means over blocks."""
    together = replace(ready.lights[0], emitters=tuple(e for light in ready.lights for e in light.emitters))
    whole = plate_of(ready, (together,)).layers[0]
    assert blocks(whole) == pytest.approx(blocks(np.sum(plate.layers, axis=0)), rel=0.03)


def test_a_light_of_half_is_half(ready, plate):
    """A source that is there twice gives twice as much of everything: direct, mirrored, bounced and scattered."""
    for name in ("soft", "lamp"):
        light = next(light for light in ready.lights if light.name == name)
        twice = replace(light, emitters=light.emitters * 2)
        layer = plate.layers[plate.lights.index(name)]
        assert blocks(plate_of(ready, (twice,)).layers[0]) == pytest.approx(2.0 * blocks(layer), rel=0.03)


def blocks(picture: np.ndarray) -> np.ndarray:
    """Means over blocks of 18 x 16 pixels."""
    return picture[..., 1].astype(float).reshape(HEIGHT // 18, 18, WIDTH // 16, 16).mean(axis=(1, 3)).ravel()
