"""The raster engine against the traced one on hard sources, and against closed forms."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.ndimage import binary_dilation, binary_erosion

from preview.commands.prepare import prepare
from preview.light.emitters.ball import Ball
from preview.light.emitters.cloth import Cloth
from preview.light.emitters.distant import Distant
from preview.light.emitters.gated import Gated
from preview.light.emitters.patch import Patch
from preview.light.emitters.softened import Softened
from preview.light.light import Emitter, Light
from preview.raster.engine import raster
from preview.script.read import read_scene
from preview.trace.plate import Plate
from tests.raster import yard

yard.need_driver()

QUARTER = 0.25
"""Stops that the engines may differ by on lit, unshadowed points."""
NAMES = tuple(yard.LAMPS)
FLOOR, WALL = 0, 1


@pytest.fixture(scope="module")
def drawn() -> Plate:
    return raster(yard.yard(), yard.lights(), yard.view(), width=yard.WIDTH, height=yard.HEIGHT)


@pytest.fixture(scope="module")
def traced() -> Plate:
    return yard.traced(yard.yard(), yard.lights(), yard.view(), width=yard.WIDTH, height=yard.HEIGHT)


@pytest.fixture(scope="module")
def bare() -> Plate:
    """The traced engine's, were there no shadows."""
    stage = yard.without_shadows(yard.yard())
    return yard.traced(stage, yard.lights(), yard.view(), width=yard.WIDTH, height=yard.HEIGHT)


def inside_parts(part: np.ndarray, margin: int = 2) -> np.ndarray:
    """Pixels (height, width) whose neighbours within `margin` show the same part."""
    same = np.ones(part.shape, bool)
    for down in range(-margin, margin + 1):
        for right in range(-margin, margin + 1):
            same &= np.roll(part, (down, right), axis=(0, 1)) == part
    same[:margin], same[-margin:], same[:, :margin], same[:, -margin:] = False, False, False, False
    return same


def unshadowed(traced: np.ndarray, bare: np.ndarray) -> np.ndarray:
    """Pixels, and those beside them, to which the traced engine gives all the light that there would be, some at least."""
    return binary_erosion((traced > 0.98 * bare) & (bare > 1e-3 * np.quantile(bare, 0.99)))


@pytest.mark.parametrize("number", range(3), ids=NAMES)
def test_lit_points_agree(drawn, traced, bare, number):
    ours, theirs, whole = (np.asarray(p.layers[number][..., 1], float) for p in (drawn, traced, bare))
    lit = unshadowed(theirs, whole) & inside_parts(traced.part)
    assert lit.mean() > 0.15
    stops = np.abs(np.log2(ours[lit] / theirs[lit]))
    print(f"{NAMES[number]}: {lit.sum()} points, median {np.median(stops):.5f}, most {stops.max():.4f} stop")
    assert stops.max() < QUARTER
    assert np.median(stops) < 0.003


@pytest.mark.parametrize("number", range(3), ids=NAMES)
def test_shadows_fall_in_the_same_place(drawn, traced, bare, number):
    """Where less than half of the light arrives that there would be; a pixel on the border is neither in nor out.

    Where the spot's own edge falls to nothing, within a pixel, there is no shadow to compare.
    """
    whole = bare.layers[number][..., 1]
    there = inside_parts(traced.part) & (whole > 0.02 * whole.max())
    ours, theirs = (plate.layers[number][..., 1] < 0.5 * whole for plate in (drawn, traced))
    border = binary_dilation(theirs) & ~binary_erosion(theirs)
    overlap = (ours & theirs & there & ~border).sum() / ((ours | theirs) & there & ~border).sum()
    print(f"{NAMES[number]}: {(theirs & there).sum()} in shadow, overlap {overlap:.4f}")
    assert (theirs & there).sum() > 300
    assert overlap > 0.98


def test_plates_agree(drawn, traced):
    assert drawn.lights == traced.lights
    assert (drawn.part == traced.part).mean() > 0.999
    same = drawn.part == traced.part
    assert set(np.unique(traced.part)) == {-1, 0, 1, 2, 3}
    assert np.array_equal(np.isinf(drawn.depth), np.isinf(traced.depth))
    seen = same & np.isfinite(traced.depth)
    off = np.abs(drawn.depth[seen] / traced.depth[seen] - 1.0)
    assert (off < 0.01).mean() > 0.999
    assert off[inside_parts(traced.part)[seen]].max() < 1e-4
    assert (np.abs(drawn.cover - traced.cover)[same] < 0.26).mean() > 0.999
    for name in ("layers", "errors"):
        for ours, theirs in zip(getattr(drawn, name), getattr(traced, name), strict=True):
            assert (ours.shape, ours.dtype) == (theirs.shape, theirs.dtype)
    assert not np.any(drawn.errors)


def floor_places(plate: Plate) -> tuple[np.ndarray, np.ndarray]:
    """Pixels (height, width) well inside the floor, and where their middles lie on it (n, 3), by plane geometry."""
    chosen = (plate.part == FLOOR) & inside_parts(plate.part)
    row, column = np.nonzero(chosen)
    eye = yard.view()
    x = (2.0 * (column + 0.5) / yard.WIDTH - 1.0) * eye.tan_half_width
    y = (1.0 - 2.0 * (row + 0.5) / yard.HEIGHT) * eye.tan_half_height
    ways = eye.forward + x[:, None] * eye.right + y[:, None] * eye.up
    return chosen, eye.position - ways * (eye.position[2] / ways[:, 2:])


def test_inverse_square_and_cosine(drawn):
    """E = I cos / r2 under the point lamp (Lambert 1760), and a diffuse floor sends E rho / pi."""
    chosen, places = floor_places(drawn)
    away = yard.POINT_AT - places
    distance = np.linalg.norm(away, axis=1)
    expected = yard.CANDELA * away[:, 2] / distance**3 * yard.GREY / np.pi
    found = drawn.layers[NAMES.index("point")][..., 1][chosen]
    in_light = np.zeros(chosen.shape, bool)
    in_light[chosen] = found > 0.5 * expected
    lit = binary_erosion(in_light, iterations=2)[chosen]
    assert lit.mean() > 0.7
    assert found[lit] == pytest.approx(expected[lit], rel=0.01)


def test_the_post_throws_its_shadow_as_far_as_the_moon_is_low(drawn):
    """Of a post of height h the shadow ends h cot(elevation) from it, away from the moon: plane trigonometry."""
    chosen, places = floor_places(drawn)
    found = drawn.layers[NAMES.index("distant")][..., 1][chosen]
    full = yard.MOON_LUX * yard.TOWARDS[2] * yard.GREY / np.pi
    lateral = yard.TOWARDS[:2] / np.linalg.norm(yard.TOWARDS[:2])
    top = 1.8 * np.linalg.norm(yard.TOWARDS[:2]) / yard.TOWARDS[2]
    from_post = places[:, :2] - np.array([1.1, -0.4])
    along, aside = from_post @ -lateral, np.abs(from_post @ [lateral[1], -lateral[0]])
    half_post = 0.1 * np.abs(lateral).sum()
    pixel = 0.06
    shaded = (aside < 0.1 - pixel) & (along > half_post) & (along < top - 0.1 - pixel)
    beyond = (along > half_post) & (along < top + 1.0) & (aside > half_post + pixel) & (aside < 0.6)
    past = (aside < 0.5) & (along > top + half_post + pixel) & (along < top + 0.8)
    assert shaded.sum() > 20
    assert past.sum() > 20
    assert found[shaded].max() < 0.02 * full
    assert found[beyond] == pytest.approx(full, rel=0.01)
    assert found[past] == pytest.approx(full, rel=0.01)


DEMO = Path(__file__).parents[2] / "scenes" / "orchard-gate.yaml"


def made_small(emitter: Emitter) -> Emitter | None:
    """A source of the same candela from one spot; None for those that a spot cannot stand for."""
    if isinstance(emitter, Gated):
        return made_small(emitter.source)
    if isinstance(emitter, Patch):
        return replace(emitter, half_size=(yard.TINY, yard.TINY))
    if isinstance(emitter, Ball):
        scale = (emitter.radius / yard.TINY) ** 2
        return replace(emitter, radius=yard.TINY, luminance=emitter.luminance * scale)
    if isinstance(emitter, Distant):
        return replace(emitter, half_angle=1e-5)
    assert isinstance(emitter, Cloth | Softened) or emitter.softness(np.ones(1, np.float32))[0] > 1.0
    return None


def test_a_demo_scene_agrees():
    """The set of a demo scene, dry, with each of its lamps shrunk to a spot of light."""
    ready = prepare(read_scene(DEMO))
    lamps = []
    for light in ready.lights:
        emitters = tuple(small for one in light.emitters if (small := made_small(one)) is not None)
        if emitters:
            lamps.append(Light(light.name, emitters, 1.0, (1.0, 1.0, 1.0)))
    assert len(lamps) >= 5
    width = 240
    height = round(width / ready.view.aspect)
    ours = raster(ready.stage, lamps, ready.view, width=width, height=height)
    theirs = yard.traced(ready.stage, lamps, ready.view, width=width, height=height)
    assert (ours.part == theirs.part).mean() > 0.995
    same = (ours.part == theirs.part) & np.isfinite(theirs.depth)
    assert (np.abs(ours.depth[same] / theirs.depth[same] - 1.0) < 0.01).mean() > 0.995
    bare = yard.traced(yard.without_shadows(ready.stage), lamps, ready.view, width=width, height=height)
    stops = []
    for light, *layers in zip(lamps, ours.layers, theirs.layers, bare.layers, strict=True):
        mine, other, whole = (layer[..., 1] for layer in layers)
        lit = unshadowed(other, whole) & inside_parts(theirs.part, 1)
        off = np.abs(np.log2(np.maximum(mine[lit], 1e-6) / other[lit]))
        stops.append(off)
        if len(off):
            within = (off < QUARTER).mean()
            print(
                f"{light.name}: {len(off)} points, median {np.median(off):.4f}, a quarter stop holds {within:.4f}"
            )
    every = np.concatenate(stops)
    assert len(every) > 0.3 * width * height
    assert np.median(every) < 0.01
    # The rest are shingles and clapboards, within a cell of a step that shades its neighbour.
    assert (every < QUARTER).mean() > 0.98
