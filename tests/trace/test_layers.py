"""Layers: light adds, levels and colours are arithmetic, and a seed fixes every bit whatever the number of threads."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.ndimage import binary_erosion

from preview.commands.metering.readings import levels, receptors
from preview.commands.prepare import Ready, prepare
from preview.light.spaces import ACESCG
from preview.trace.mix import mixed
from preview.trace.plate import Plate, trace
from preview.trace.quality import Quality
from preview.trace.store import Scratch
from tests.script.scenes import scene

QUALITY = Quality(0.05)
WIDTH, HEIGHT = 160, 96

SCENE = """
set:
  - ground: {material: grass}
  - box: {at: [0.8, 1.2], size: [0.8, 0.8, 1.1], turn: 20 deg, material: grey card}
  - wall: {along: [[-4, 4], [4, 4]], height: 2.5}
camera: {lens: {focal: 28 mm}, at: [0.5, -5, 1.6], aim: [0, 2, 0.8], iso: 800}
fixtures:
  - {name: soft key, head: led-mat-120cm, at: [-3, 0, 2.5], aim: [0.5, 2, 0.5], level: LEVEL, kelvin: KELVIN}
  - {name: lantern, practical: {kind: lantern, at: [2.2, 2.5, 0.8]}}
  - {name: moon, moon: {azimuth: 120 deg, elevation: 40 deg, lux: 2}}
  - {name: sky, sky: {lux: 0.4}}
marks:
  - {name: floor, at: [0, 0.5, 0.02], facing: up}
"""


def made(folder: Path, *, level: str = "100 %", kelvin: str = "5600 K") -> Ready:
    return prepare(scene(folder, SCENE.replace("LEVEL", level).replace("KELVIN", kelvin)))


def same(first: Plate, second: Plate) -> bool:
    """Whether the layers of two plates are the same to the bit."""
    layers = zip(first.layers, second.layers, strict=True)
    return all(mine.tobytes() == theirs.tobytes() for mine, theirs in layers)


def plate_of(ready: Ready, *, seed: int = 1, threads: int | None = None, quality: Quality = QUALITY) -> Plate:
    return trace(
        ready.stage,
        ready.lights,
        ready.view,
        width=WIDTH,
        height=HEIGHT,
        quality=quality,
        seed=seed,
        threads=threads,
    )


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory) -> Ready:
    return made(tmp_path_factory.mktemp("layers"))


@pytest.fixture(scope="module")
def plate(ready: Ready) -> Plate:
    return plate_of(ready, threads=1)


@pytest.mark.parametrize("threads", [2, 3, 8])
def test_the_same_to_the_last_bit_whatever_the_threads(ready, plate, threads):
    again = plate_of(ready, threads=threads)
    assert same(again, plate)
    assert again.depth.tobytes() == plate.depth.tobytes()
    assert again.part.tobytes() == plate.part.tobytes()


def test_another_seed_has_other_noise_on_the_same_light(ready, plate):
    other = plate_of(ready, seed=2)
    # The lantern's own glass, a handful of blinding pixels, is left out.
    lit = (plate.part >= 0) & (other.part >= 0) & (np.max(plate.layers, axis=(0, 3)) < 100)
    for mine, theirs in zip(plate.layers, other.layers, strict=True):
        assert not np.array_equal(mine, theirs)
        # Their difference is chance: within four standard errors, as blocks of the frame tell it, and small at that.
        apart = _blocks(np.where(lit[..., None], theirs - mine, 0.0))
        error = apart.std(ddof=1) / np.sqrt(apart.size)
        assert abs(apart.mean()) < 4.0 * error
        assert theirs[lit].mean(dtype=float) == pytest.approx(mine[lit].mean(dtype=float), rel=0.02)


def test_light_adds(ready, plate):
    """Superposition: each fixture traced alone is its layer, and all as one light are their sum.

    Alone, a fixture draws other random numbers, so means over blocks of the frame are compared.
    """
    together = replace(ready.lights[0], emitters=tuple(e for light in ready.lights for e in light.emitters))
    stage = replace(ready.stage, glow_of_part=(None,) * len(ready.stage.glow_of_part))
    dark = {"width": WIDTH, "height": HEIGHT, "quality": QUALITY}
    apart = trace(stage, ready.lights, ready.view, **dark)
    alone = [trace(stage, [light], ready.view, **dark).layers[0] for light in ready.lights]
    whole = trace(stage, [together], ready.view, **dark).layers[0]
    for layer, own in zip(apart.layers, alone, strict=True):
        assert _blocks(own) == pytest.approx(_blocks(layer), rel=0.04, abs=0.005 * float(layer.mean()))
    assert _blocks(whole) == pytest.approx(_blocks(np.sum(apart.layers, axis=0)), rel=0.02)


def _blocks(picture: np.ndarray) -> np.ndarray:
    """Means over blocks of 32 x 32 pixels."""
    return picture[..., 1].astype(float).reshape(HEIGHT // 32, 32, WIDTH // 32, 32).mean(axis=(1, 3)).ravel()


def test_a_level_is_a_factor(tmp_path, ready, plate):
    """At 25 % the layer is the same to the last bit; the mix loses three quarters of that layer."""
    dimmed = made(tmp_path, level="25 %")
    assert same(plate_of(dimmed), plate)
    lost = 0.75 * plate.layers[0] * np.array(ready.lights[0].colour)
    assert mixed(plate, dimmed.lights) == pytest.approx(mixed(plate, ready.lights) - lost, rel=1e-4, abs=1e-5)


def test_a_level_in_stops(tmp_path, ready):
    """Two stops under is a quarter (definition of the stop), at the meter too."""
    marks = receptors(ready.scene)
    full = levels(ready, marks, rays=64, bounces=1, seed=1, store=Scratch()).total[0]
    under = made(tmp_path, level="-2 stops")
    assert levels(under, marks, rays=64, bounces=1, seed=1, store=Scratch()).total[0] == pytest.approx(
        full * [0.25, 1, 1, 1]
    )


def test_a_colour_keeps_the_lux(tmp_path, ready, plate):
    """A lamp's kelvin changes its colour and not what the meter reads: colours have luminance 1 on grey."""
    warm = made(tmp_path, kelvin="2800 K")
    marks = receptors(ready.scene)
    direct = [levels(r, marks, rays=64, bounces=1, seed=1, store=Scratch()).direct[0] for r in (ready, warm)]
    assert direct[0] == pytest.approx(direct[1], rel=1e-6)
    assert same(plate_of(warm), plate)
    box = np.isin(plate.part, [i for i, name in enumerate(ready.world.materials) if name == "grey card"])
    box = binary_erosion(box, iterations=2)  # its edge pixels hold some grass
    assert box.sum() > 200
    # Without bounce: green grass sends back less of a warm light than of a cold one.
    bare = plate_of(ready, quality=replace(QUALITY, bounce_rays=0))
    cold, warmed = (mixed(bare, r.lights)[box] for r in (ready, warm))
    assert warmed @ ACESCG.luminance == pytest.approx(cold @ ACESCG.luminance, rel=1e-3)
    assert warmed[:, 0].mean() > 1.1 * cold[:, 0].mean()
