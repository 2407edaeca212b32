"""Shadows where they belong only: no light through walls, no specks on lit surfaces, sources close by."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.ndimage import maximum_filter, median_filter, minimum_filter

from preview.build.mesh import Part, flat, smooth
from preview.camera.view import View, look
from preview.commands.prepare import Ready, prepare
from preview.light.emitters.ball import Ball
from preview.light.emitters.distant import Distant
from preview.light.emitters.patch import Patch
from preview.light.light import Emitter
from preview.trace.plate import Plate, trace
from preview.trace.quality import Quality
from preview.trace.receptors import read
from preview.trace.stage import Stage
from tests.script.scenes import scene
from tests.trace.metering import grey_world, lux_at, sphere_of_receptors, white

DIRECT = Quality(0.05, rounds=3, bounce_rays=0)

HOUSE = """
set:
  - ground: {material: grass}
  - house: {name: house, at: [0, 9], size: [9, 6], floor: 0.5, roof: ROOF, porch: {depth: 2.2}}
camera: {lens: {focal: 24 mm}, at: [0, -5, 1.6], aim: [0, 9, 1.6]}
fixtures:
  - {name: low sun, moon: {azimuth: 205 deg, elevation: 8 deg, lux: 50000}}
  - {name: high sun, moon: {azimuth: 70 deg, elevation: 62 deg, lux: 100000}}
  - {name: soft sun, moon: {azimuth: 350 deg, elevation: 30 deg, lux: 50000, size: 40 deg}}
  - {name: sky, sky: {lux: 20000}}
  - {name: lamp, head: {candela: 500000, beam: 60 deg, field: 90 deg}, at: [-6, 6, 3], aim: [0, 9, 2], stand: no}
"""


def house(folder: Path, roof: str) -> Ready:
    return prepare(scene(folder, HOUSE.replace("ROOF", roof)))


@pytest.mark.parametrize(
    "roof", ["{shape: gable, pitch: 38 deg}", "{shape: hip, pitch: 30 deg}", "{shape: flat}"]
)
def test_a_closed_house_is_dark_inside(roof, tmp_path):
    """Straight lines: daylight outside, nothing inside, direct or bounced, right into the corners of the room."""
    ready = house(tmp_path, roof)
    inside_x, inside_y = 4.5 - 0.18 - 0.01, 3.0 - 0.18 - 0.01
    corners = [
        [x, 9 + y, z] for x in (-inside_x, inside_x) for y in (-inside_y, inside_y) for z in (0.51, 3.28)
    ]
    middles = [[0, 9, z] for z in (0.51, 1.9, 3.28)]
    places = np.array(corners + middles)
    rng = np.random.default_rng(3)
    facing = rng.standard_normal((6, 3))
    facing /= np.linalg.norm(facing, axis=1, keepdims=True)
    reading = read(
        np.repeat(places, 6, axis=0),
        np.tile(facing, (len(places), 1)),
        ready.stage.solid,
        ready.lights,
        rays=256,
        bounce_rays=256,
    )
    assert reading.direct.max() == 0.0
    assert reading.indirect.max() == 0.0
    outside = read(
        np.array([[0, 2.0, 1.5]]),
        np.array([[0, -1.0, 0]]),
        ready.stage.solid,
        ready.lights,
        rays=64,
        bounce_rays=64,
    )
    assert outside.direct[0, 0] > 30_000
    assert outside.indirect[:, 0, 1].sum() > 1000


def test_a_frame_from_inside_a_closed_house_is_black(tmp_path):
    """The same through the tracer of frames: every pixel sees the room, and none is lit."""
    ready = house(tmp_path, "{shape: gable, pitch: 38 deg}")
    view = look(
        np.array([3.9, 6.6, 2.9]),
        np.array([-2.0, 11.0, 1.0]),
        roll=0.0,
        tan_half_width=1.2,
        tan_half_height=0.9,
    )
    quality = Quality()
    plate = trace(ready.stage, ready.lights, view, width=160, height=120, quality=quality)
    assert plate.depth.max() < 12.0
    assert np.max(plate.layers) == 0.0


def icosphere(radius: float, centre: list[float], *, subdivisions: int) -> Part:
    import trimesh

    ball = trimesh.creation.icosphere(subdivisions=subdivisions, radius=radius)
    return smooth("sphere", "grey", np.asarray(ball.vertices) + centre, np.asarray(ball.faces, np.int32))


def square(centre: list[float], half: float) -> Part:
    x, y, z = centre
    corners = np.array(
        [[x - half, y - half, z], [x + half, y - half, z], [x + half, y + half, z], [x - half, y + half, z]]
    )
    return flat("square", "grey", corners[[[0, 1, 2], [0, 2, 3]]])


def shot(part: Part, emitter: Emitter, view: View, *, size: int = 128) -> Plate:
    """A frame of one grey part of reflectance 0.5 under one light, without bounce."""
    world = grey_world([part], reflectance=0.5)
    return trace(
        Stage(world, grey_world(), grey_world(), ()),
        [white(emitter)],
        view,
        width=size,
        height=size,
        quality=DIRECT,
    )


SOURCES = {
    "moon": Distant(np.array([0.0, -0.28, 0.96]), 100.0, np.radians(0.26)),
    "soft moon": Distant(np.array([0.0, -0.28, 0.96]), 100.0, np.radians(10.0)),
    "bulb": Ball(np.array([0.5, -1.0, 6.0]), 0.03, 1e6),
    "panel": Patch(
        np.array([0.5, -1.0, 6.0]), np.array([-0.08, 0.16, -0.98]) / 0.9965, (0.6, 0.6), 4000.0, round=False
    ),
}
"""The moons' direction and the panel's axis are unit to within a thousandth."""


@pytest.mark.parametrize("far", [0.0, 150.0])
@pytest.mark.parametrize("source", SOURCES)
def test_no_specks_on_a_plane(source, far):
    """Each pixel of a lit plane against a receptor's own sum there; nothing may shadow itself, far from the origin too."""
    shift = np.array([far, far, 0.0])
    emitter = _moved(SOURCES[source], shift)
    view = look(np.array([0, -3.0, 3.0]) + shift, shift, roll=0.0, tan_half_width=0.3, tan_half_height=0.3)
    plate = shot(square([far, far, 0.0], 8.0), emitter, view)
    shown = plate.layers[0][..., 0] * np.pi / 0.5
    rows = np.arange(8, 128, 16)
    uv = (np.stack(np.meshgrid(rows, rows), axis=-1).reshape(-1, 2) + 0.5) / 128
    direction = view.directions(uv.astype(np.float32)).astype(float)
    places = view.position + direction * (-view.position[2] / direction[:, 2])[:, None]
    expected = lux_at(emitter, places, [0, 0, 1.0], rays=1024).reshape(8, 8)
    assert shown[np.ix_(rows, rows)] == pytest.approx(expected, rel=0.02)
    # Between them it is smooth: no pixel strays from its neighbours'.
    around = _median_of_neighbours(shown)
    assert (shown / around).min() > 0.97
    assert (shown / around).max() < 1.03


def _moved(emitter: Emitter, shift: np.ndarray) -> Emitter:
    return emitter if isinstance(emitter, Distant) else replace(emitter, centre=emitter.centre + shift)


def _median_of_neighbours(picture: np.ndarray) -> np.ndarray:
    return median_filter(picture, size=5, mode="nearest")


@pytest.mark.parametrize("subdivisions", [3, 6])
@pytest.mark.parametrize("source", ["moon", "bulb"])
def test_no_specks_on_a_ball(source, subdivisions):
    """A round ball lit from the camera's side is as bright as its rounded normals say: E cos(a), to near the limb."""
    emitter = SOURCES[source]
    view = look(np.array([0.3, -1.5, 4.5]), np.zeros(3), roll=0.0, tan_half_width=0.12, tan_half_height=0.12)
    plate = shot(icosphere(0.5, [0, 0, 0], subdivisions=subdivisions), emitter, view)
    expected = _on_ideal_ball(emitter, view, 128)
    shown = plate.layers[0][..., 0] * np.pi / 0.5
    # A pixel's samples lie anywhere in it, so its light lies between its neighbours', or at most 3 % past them.
    lowest, highest = minimum_filter(expected, 3), maximum_filter(expected, 3)
    frontal = lowest > 0.2 * np.nanmax(expected)
    assert frontal.sum() > 5000
    assert (shown[frontal] / lowest[frontal]).min() > 0.97
    assert (shown[frontal] / highest[frontal]).max() < 1.03


def _on_ideal_ball(emitter: Emitter, view: View, size: int) -> np.ndarray:
    """Lux (size, size) at the middle of each pixel on a true ball of 0.5 m at the origin, 0 beside it."""
    place = (np.arange(size) + 0.5) / size
    uv = np.stack(np.meshgrid(place, place), axis=-1).reshape(-1, 2)
    direction = view.directions(uv.astype(np.float32)).astype(float)
    along = -(direction @ view.position)
    inside = along**2 - view.position @ view.position + 0.25
    met = inside > 0.0
    places = view.position + direction[met] * (along[met] - np.sqrt(inside[met]))[:, None]
    lux = np.zeros(size * size)
    lux[met] = lux_at(emitter, places, places / 0.5, rays=64)
    return lux.reshape(size, size)


@pytest.mark.parametrize("height", [0.6, 1.2, 2.4, 5.0])
def test_a_soft_source_close_by(height):
    """Howell, four corner rectangles: the ground under the middle of a square of 2.4 m, from 5 m down to 0.6 m."""
    half = 1.2
    source = Patch(
        np.array([0, 0, height]), np.array([0, 0, -1.0]), (half, half), 100.0 * 4 * half**2, round=False
    )
    ratio = half / height
    root = np.sqrt(1 + ratio**2)
    expected = 4 * 100.0 * ratio / root * np.arctan(ratio / root)
    view = look(
        np.array([0, -0.001, height * 0.9]), np.zeros(3), roll=0.0, tan_half_width=0.02, tan_half_height=0.02
    )
    plate = shot(square([0, 0, 0], 8.0), source, view, size=64)
    assert plate.layers[0].mean() * np.pi / 0.5 == pytest.approx(expected, rel=0.02)


def test_receptors_all_round_a_ball_agree_with_its_lit_half():
    """Lambert: a ball in parallel light of E lux catches E pi r^2 lumens, by receptors just off its surface."""
    world = grey_world([icosphere(0.5, [0, 0, 0], subdivisions=5)])
    places, inward, area = sphere_of_receptors(0.505, polar=96, turns=24)
    lux = lux_at(Distant(np.array([0, 0, 1.0]), 100.0, 0.005), places, -inward, world=world, rays=16)
    assert lux @ area == pytest.approx(100.0 * np.pi * 0.505**2, rel=5e-3)
