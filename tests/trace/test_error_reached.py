"""The error reached: what a plate states that chance has left in it, against what is truly wrong with it.

The truth is a plate of our own with many more samples, whose light is checked against Mitsuba 3 and closed forms
elsewhere (test_images_against_mitsuba, test_analytic, test_gloss). Bounce and haze, which no plate states, are left out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from preview.commands.prepare import Ready, prepare
from preview.light.spaces import ACESCG
from preview.trace.plate import Plate, trace
from preview.trace.quality import QUALITIES, Quality
from preview.trace.rays import Rays
from preview.trace.seen import seen
from preview.trace.tile import tiles
from tests.script.scenes import scene

Floats = NDArray[np.float64]
WIDTH, HEIGHT = 128, 72
CONVERGED = Quality(0.01, samples=16, rounds=16, bounce_rays=0)
BLINDING = 1e4
"""cd/m2 from which a pixel is of a lamp itself."""

SCENES = {
    "penumbra": """
set:
  - ground: {material: grey card, size: [40, 40]}
  - box: {at: [0.3, 0.5], size: [0.5, 0.5, 1.2], turn: 20 deg, material: grey card}
camera: {lens: {focal: 28 mm}, at: [0.5, -4, 2.2], aim: [0.3, 0.5, 0.4]}
fixtures:
  - {name: key, head: led-mat-120cm, at: [-2.5, 1.5, 2.5], aim: [0.5, 0.5, 0.3]}
""",
    "foliage": """
set:
  - ground: {material: grass, size: [40, 40]}
  - trees: {kind: broadleaf, at: [[0, 2]], height: [4, 4], leaves: 0.4, seed: 3}
  - hedge: {along: [[-3, 1], [-1, 1]], height: 1.0}
camera: {lens: {focal: 28 mm}, at: [0, -4, 1.6], aim: [0, 2, 2]}
fixtures:
  - {name: key, head: led-mat-120cm, at: [-3, -1, 3], aim: [0, 2, 2]}
""",
    "glossy floor": """
set:
  - ground: {material: varnished wood, size: [40, 40]}
  - wall: {along: [[-4, 4], [4, 4]], height: 2.5, material: plaster}
  - box: {at: [0.6, 1.0], size: [0.5, 0.5, 0.9], turn: 20 deg, material: grey paint}
camera: {lens: {focal: 28 mm}, at: [0, -4, 1.4], aim: [0, 2, 0.4]}
fixtures:
  - {name: key, head: led-mat-60cm, at: [-2, 3.0, 3.4], aim: [0, 0, 0]}
""",
}


@dataclass(frozen=True)
class Shown:
    """Luminance and stated error (height, width) cd/m2 of a scene's one light; edge: where samples differ."""

    value: Floats
    error: Floats
    edge: NDArray[np.bool_]
    plate: Plate


@pytest.fixture(scope="module")
def shown(tmp_path_factory):
    """A scene by name at a quality and seed; each is traced once."""
    folder = tmp_path_factory.mktemp("scenes")

    @cache
    def made(name: str) -> Ready:
        return prepare(scene(folder, SCENES[name]))

    @cache
    def one(name: str, quality: Quality, seed: int = 1) -> Shown:
        ready = made(name)
        direct = replace(quality, bounce_rays=0)
        plate = trace(
            ready.stage, ready.lights, ready.view, width=WIDTH, height=HEIGHT, quality=direct, seed=seed
        )
        edge = np.zeros((HEIGHT, WIDTH), bool)
        for tile in tiles(WIDTH, HEIGHT, quality.samples):
            edge[tile.place] = seen(ready.stage, ready.view, tile).edge.reshape(tile.rows, tile.columns)
        value = plate.layers[0].astype(np.float64) @ ACESCG.luminance
        return Shown(value, plate.errors[0].astype(np.float64), edge, plate)

    return one


def rms(values: Floats) -> float:
    return float(np.sqrt(np.mean(np.square(values))))


def doubtful(one: Shown, truth: Floats) -> NDArray[np.bool_]:
    """Pixels of set and cast that a plate says chance has a part in."""
    there = (one.error > 0.0) & (truth < BLINDING) & (one.plate.part >= 0)
    assert there.sum() > 500
    return there


@pytest.mark.parametrize("name", SCENES)
@pytest.mark.parametrize(
    ("quality", "least", "most"), [("draft", 0.5, 1.3), ("look", 0.5, 1.6), ("final", 0.5, 2.0)]
)
def test_the_error_stated_is_the_error_there_is(name, quality, least, most, shown):
    """As a mean over the frame, root of squares. A final's samples are still four, which miss what lies between them."""
    one, truth = shown(name, QUALITIES[quality]), shown(name, CONVERGED, 98).value
    here = doubtful(one, truth)
    ratio = rms((one.value - truth)[here]) / rms(one.error[here])
    assert least < ratio < most
    # Half of the pixels lie within 0.67 of a normal deviation; those that have many neighbours in them nearer.
    middle = np.median(np.abs(one.value - truth)[here] / one.error[here])
    assert 0.2 < middle < 1.4


@pytest.mark.parametrize("name", ["foliage", "penumbra"])
def test_edges_whose_samples_agree_are_doubted_too(name, shown):
    """Four samples of a twig that all lie in shadow do not tell that all of it does: no such pixel is far off, unsaid."""
    one, truth = shown(name, QUALITIES["look"]), shown(name, CONVERGED, 98).value
    edges = one.edge & (truth < BLINDING) & (one.plate.part >= 0)
    off = np.abs(one.value - truth) > 0.1 * (truth + 0.03)
    unsaid = one.error < 0.01 * np.abs(one.value - truth)
    assert (edges & off).sum() > 50
    assert (edges & off & unsaid).sum() <= 0.02 * edges.sum()


@pytest.mark.parametrize("name", SCENES)
def test_two_seeds_differ_by_what_is_stated(name, shown):
    """What is chance is independent of the seed's own; the rest, what neighbours share, both seeds have alike."""
    one, other = (shown(name, QUALITIES["look"], seed) for seed in (1, 2))
    here = doubtful(one, one.value) & (other.error > 0.0)
    between = (one.value - other.value)[here]
    stated = np.hypot(one.error, other.error)[here]
    assert 0.3 < rms(between) / rms(stated) < 1.3
    # No seed is brighter: the mean lies within three deviations of none, where nine pixels share what they found.
    assert abs(between.mean()) < 3.0 * rms(between) / np.sqrt(len(between) / 9.0)


@pytest.mark.parametrize("name", SCENES)
def test_a_better_quality_leaves_less(name, shown, monkeypatch):
    rays = {}
    real = Rays.blocked
    asked = [0]

    def counting(self, origins, *rest):
        asked[0] += len(origins)
        return real(self, origins, *rest)

    monkeypatch.setattr(Rays, "blocked", counting)
    truth = shown(name, CONVERGED, 98).value
    stated, true = [], []
    for number, quality in enumerate(("draft", "look", "final")):
        asked[0] = 0
        one = shown(name, replace(QUALITIES[quality], mark_rays=7 + number))
        rays[quality] = asked[0]
        dim = (truth < BLINDING) & (one.plate.part >= 0)
        stated.append(float(np.mean(one.error[dim])))
        true.append(rms((one.value - truth)[dim]))
    assert rays["draft"] < rays["look"] < rays["final"]
    assert true[0] > true[1] > true[2]
    assert stated[1] > stated[2]


@pytest.mark.parametrize("name", ["foliage", "penumbra"])
def test_a_looser_target_asks_for_less(name, shown, monkeypatch):
    """All else equal: the target alone, in stops, decides how many rays there are."""
    real = Rays.blocked
    asked = [0]

    def counting(self, origins, *rest):
        asked[0] += len(origins)
        return real(self, origins, *rest)

    monkeypatch.setattr(Rays, "blocked", counting)
    numbers, errors = [], []
    for target in (1.0, 0.3, 0.1, 0.03):
        asked[0] = 0
        one = shown(name, Quality(target, rounds=12))
        numbers.append(asked[0])
        errors.append(float(np.mean(one.error[one.plate.part >= 0])))
    assert numbers == sorted(numbers)
    assert numbers[-1] > 1.5 * numbers[0]
    assert errors == sorted(errors, reverse=True)


def test_what_noise_is_left_is_not_alike_in_neighbours(shown):
    """Grain, not blotches: on edges, which share with nobody, one pixel's error tells nothing of the next one's."""
    one, other = (shown("foliage", QUALITIES["look"], seed) for seed in (1, 2))
    noise = (one.value - other.value) / np.maximum(np.hypot(one.error, other.error), 1e-6)
    edges = one.edge & (one.error > 1e-3) & (one.plate.part >= 0)
    for down, right in ((0, 1), (1, 0), (1, 1)):
        here, there = (
            (slice(None, -down or None), slice(None, -right or None)),
            (slice(down, None), slice(right, None)),
        )
        both = edges[here] & edges[there]
        assert both.sum() > 500
        pair = np.clip(noise[here][both], -3, 3), np.clip(noise[there][both], -3, 3)
        # One over the root of their number is what chance alone makes of none.
        assert abs(np.corrcoef(*pair)[0, 1]) < 0.05 + 3.0 / np.sqrt(both.sum())
