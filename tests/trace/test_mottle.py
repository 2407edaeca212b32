"""Mottle: every pattern keeps its material's mean, varies in its own way, and fades to it."""

from __future__ import annotations

import numpy as np
import pytest

from preview.build.mesh import flat
from preview.build.surfaces import PATTERNS, surfaces_of
from preview.build.world import gather
from preview.light.spaces import ACESCG
from preview.trace.geometry import Geometry
from preview.trace.patterns import LIES, WARMER, mottled
from preview.trace.rays import Hit

COUNT = 60_000
GRAIN = 0.05


def wall(seed: int = 1) -> np.ndarray:
    """Places on a wall 30 m long and 6 m high, above any damp."""
    rng = np.random.default_rng(seed)
    return np.stack([rng.random(COUNT) * 30, np.zeros(COUNT), 1.5 + rng.random(COUNT) * 6]).astype(np.float32)


def painted(places: np.ndarray, pattern: str, **more: np.ndarray) -> np.ndarray:
    count = places.shape[1]
    grey = np.full((3, count), 0.3, np.float32)
    variation, grain = np.full(count, 0.2, np.float32), np.full(count, GRAIN, np.float32)
    kind = np.full(count, PATTERNS.index(pattern), np.int8)  # type: ignore[arg-type]
    along = np.zeros_like(places)
    along[0] = 1.0
    return mottled(grey, variation, grain, places, pattern=kind, along=along, **more)


@pytest.mark.parametrize("pattern", PATTERNS)
def test_pattern_keeps_the_mean_and_is_not_flat(pattern: str) -> None:
    """What the catalogue says is the mean over the surface, in luminance and in every channel."""
    colour = painted(wall(), pattern)
    assert colour.mean(axis=1) == pytest.approx([0.3] * 3, rel=0.015)
    luminance = ACESCG.luminance @ colour
    assert 0.04 < luminance.std() / luminance.mean() < 0.3


@pytest.mark.parametrize("pattern", PATTERNS)
def test_hue_varies_too_and_less_than_lightness(pattern: str) -> None:
    colour = painted(wall(), pattern)
    warmth = colour[0] / colour[2]
    assert 0.004 < warmth.std() < 0.25
    assert warmth.mean() == pytest.approx(1.0, abs=0.02)


def test_warmth_has_no_luminance() -> None:
    """Of a grey; the weights are those of ACEScg, from its primaries."""
    assert float((ACESCG.luminance @ WARMER)[0]) == pytest.approx(0.0, abs=0.002)


@pytest.mark.parametrize("pattern", PATTERNS)
def test_pattern_fades_with_the_footprint(pattern: str) -> None:
    places = wall()
    sizes = (0.0005, 0.01, 0.05, 0.2, 3.0)
    spread = [
        float(painted(places, pattern, footprint=np.full(COUNT, s, np.float32))[1].std()) for s in sizes
    ]
    assert spread == sorted(spread, reverse=True)
    assert spread[0] > 0.01
    assert spread[-1] == pytest.approx(0.0, abs=1e-6)


def likeness(pattern: str, step: tuple[float, float, float]) -> float:
    """How alike a place and one a step away are, as a correlation."""
    here = wall()
    there = here + np.array(step, np.float32)[:, None]
    return float(np.corrcoef(painted(here, pattern)[1], painted(there, pattern)[1])[0, 1])


def test_boards_run_along_their_grain_streaks_down_the_wall() -> None:
    across, up = (0.08, 0.0, 0.0), (0.0, 0.0, 0.08)
    assert likeness("boards", across) > likeness("boards", up) + 0.3
    assert likeness("stained", up) > likeness("stained", across) + 0.15
    assert likeness("furrowed", up) > likeness("furrowed", across) + 0.15
    assert likeness("plain", up) == pytest.approx(likeness("plain", across), abs=0.1)


def test_patches_are_larger_than_specks() -> None:
    """A grain or two away grass is still like itself, gravel is not."""
    step = (0.12, 0.0, 0.0)
    assert likeness("patchy", step) > likeness("speckled", step) + 0.1


def test_damp_darkens_the_foot_of_a_wall_alone() -> None:
    places = wall()
    places[2] -= 1.5
    standing, lying = np.zeros(COUNT, np.float32), np.ones(COUNT, np.float32)
    dry = painted(places, "stained")[1]
    damp = painted(places, "stained", level=standing)[1] / dry
    low, high = damp[places[2] < 0.1], damp[places[2] > 1.2]
    assert low.mean() == pytest.approx(1.0 - LIES["stained"].damp, abs=0.02)
    assert high == pytest.approx(1.0)
    assert painted(places, "stained", level=lying)[1] == pytest.approx(dry)
    assert painted(places, "boards", level=standing)[1] == pytest.approx(painted(places, "boards")[1])


def slopes_on(corners: list[list[float]]) -> np.ndarray:
    """Slopes (3, n) of the relief at places all over a board with these four corners."""
    world = gather(
        [
            flat(
                "board",
                "wood",
                np.array([[corners[0], corners[1], corners[2]], [corners[0], corners[2], corners[3]]]),
            )
        ]
    )
    geometry = Geometry(world, surfaces_of(world))
    rng = np.random.default_rng(4)
    u = rng.random(4000).astype(np.float32)
    v = (rng.random(4000) * (1 - u)).astype(np.float32)
    face = rng.integers(0, 2, 4000).astype(np.int32)
    hit = Hit(np.ones(4000, np.float32), face, u, v)
    down = np.tile(np.array([[0.0], [1.0], [-0.2]], np.float32), (1, 4000))
    points = geometry.points(hit, down, footprint=np.full(4000, 1e-4, np.float32), raised=True)
    return points.slope


@pytest.mark.parametrize("turn", [0.0, 0.6, 1.2])
def test_grain_runs_along_a_board_however_it_lies(turn: float) -> None:
    """Both triangles of a long board have it run along the board: slopes are steep across it, gentle along it."""
    along = np.array([np.cos(turn), 0.0, np.sin(turn)])
    across = np.array([-np.sin(turn), 0.0, np.cos(turn)])
    low = np.array([3.0, 2.0, 1.0])
    corners = [low, low + 2.4 * along, low + 2.4 * along + 0.12 * across, low + 0.12 * across]
    slope = slopes_on([corner.tolist() for corner in corners])
    assert (across @ slope).std() > 4.0 * (along @ slope).std()
    assert (across @ slope).std() > 0.03
