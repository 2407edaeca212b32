"""The bounce in frames: steady while the camera moves, and no light where walls keep it out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates, maximum_filter, minimum_filter

from preview.camera.view import View, look
from preview.commands.prepare import Ready, prepare
from preview.trace.plate import Plate, trace
from preview.trace.quality import QUALITIES, Quality
from preview.trace.receptors import read
from tests.script.scenes import scene

Floats = NDArray[np.float64]
LOOK = QUALITIES["look"]

ROOM = """
set:
  - ground: {material: plaster}
  - box: {name: back, at: [0, 4.05], size: [8, 0.1, 3], material: plaster}
  - box: {name: left, at: [-3.05, 1], size: [0.1, 6, 3], material: render}
  - box: {name: right, at: [3.05, 1], size: [0.1, 6, 3], material: brick}
  - box: {name: ceiling, at: [0, 1], size: [8, 8, 0.1], height: 3, material: plaster}
  - box: {name: screen, at: [0, 2.2], size: [2.2, 0.1, 2.2], material: grey card}
  - box: {name: crate, at: [-1.6, 1.2], size: [0.7, 0.7, 0.7], turn: 25 deg, material: cloth}
camera: {lens: {focal: 21 mm}, at: [0, -3, 1.5], aim: [0, 4, 1.5]}
fixtures:
  - name: hidden
    head: {candela: 20000, beam: 110 deg, field: 160 deg}
    at: [0, 3, 1.2]
    aim: [0, 3, 3]
    stand: no
"""
"""A lamp behind a screen that lights a ceiling: what the camera sees of walls and floor is bounce."""


def shot(ready: Ready, view: View, *, width: int, height: int, quality: Quality = LOOK) -> Plate:
    return trace(ready.stage, ready.lights, view, width=width, height=height, quality=quality)


def places(view: View, plate: Plate) -> Floats:
    """Where each pixel's middle is in the world (height, width, 3), inf for sky."""
    height, width = plate.depth.shape
    row, column = np.mgrid[0:height, 0:width].reshape(2, -1) + 0.5
    ways = view.rays((column / width).astype(np.float32), (row / height).astype(np.float32)).astype(float).T
    return (view.position + ways * plate.depth.reshape(-1, 1)).reshape(height, width, 3)


def test_the_bounce_is_steady_in_a_move(tmp_path):
    """2 cm aside: the same places of walls, floor and crate are as bright, but for 4 per cent.

    Where surfaces are smooth within two pixels, and the lamp's own light does not fall.
    """
    ready = prepare(scene(tmp_path, ROOM))
    width, height = 384, 216
    extent = {"roll": 0.0, "tan_half_width": 0.6, "tan_half_height": 0.6 * height / width}
    size = {"width": width, "height": height}
    first, second = (look(np.array([x, -3.0, 1.5]), np.array([x, 4.0, 1.5]), **extent) for x in (0.0, 0.02))
    one, other = (shot(ready, view, **size) for view in (first, second))
    direct = shot(ready, first, **size, quality=replace(LOOK, bounce_rays=0, rounds=1)).layers[0][..., 1]
    here = one.layers[0][..., 1].astype(float)
    at = places(first, one)
    uv, _ = second.project(at.reshape(-1, 3))
    spot = (uv * [width, height] - 0.5).T[::-1]

    def there(picture: NDArray[np.float32]) -> Floats:
        return map_coordinates(picture.astype(float), spot, order=1, mode="nearest").reshape(height, width)

    distance = np.linalg.norm(at - second.position, axis=2)
    smooth = maximum_filter(one.part, 5) == minimum_filter(one.part, 5)
    smooth &= np.abs(there(other.depth) - distance) < 0.01 * distance
    smooth &= maximum_filter(direct, 5) == 0.0
    assert smooth.mean() > 0.4
    assert here[smooth].min() > 1.0
    changed = there(other.layers[0][..., 1])[smooth] / here[smooth] - 1.0
    assert np.sqrt((changed**2).mean()) < 0.045
    assert np.percentile(np.abs(changed), 99) < 0.2
    assert abs(changed.mean()) < 0.01


CLOSED = """
set:
  - ground: {material: plaster}
  - box: {name: front, at: [0, 2], size: [4, 0.1, 2.5], material: plaster}
  - box: {name: back, at: [0, 6], size: [4, 0.1, 2.5], material: plaster}
  - box: {name: left, at: [-2, 4], size: [0.1, 4.1, 2.5], material: plaster}
  - box: {name: right, at: [2, 4], size: [0.1, 4.1, 2.5], material: plaster}
  - box: {name: lid, at: [0, 4], size: [4.2, 4.2, 0.1], height: 2.45, material: plaster}
  - box: {name: crate, at: [0.5, 0.5], size: [0.5, 0.5, 0.5]}
camera: {lens: {focal: 24 mm}, at: [-3, -4, 3.2], aim: [0, 3, 0.8]}
fixtures:
  - {name: bulb, practical: {kind: bulb, lumens: 100000, at: [0.4, 3.2, 0.3]}}
  - {name: soft, head: led-mat-120cm, at: [0, 4, 1.2], aim: [0.5, 2, 0.2], stand: no}
  - {name: spot, head: {candela: 1000000, beam: 20 deg}, at: [0, 3, 1], aim: [-1.9, 2.1, 0], stand: no}
"""


def test_nothing_leaves_a_closed_room(tmp_path):
    """Walls 10 cm thick, lamps close to them: outside, direct or bounced, nothing at all, into the corners."""
    ready = prepare(scene(tmp_path, CLOSED))
    quality = replace(LOOK, bounces=3)
    plate = shot(ready, ready.view, width=128, height=72, quality=quality)
    names = {ready.world.names[part] for part in np.unique(plate.part[plate.part >= 0])}
    assert {"front", "left", "lid", "crate", "ground"} <= names
    assert np.max(plate.layers) == 0.0
    corners = [[x, y, z] for x in (-2.06, 2.06) for y in (1.94, 6.06) for z in (0.01, 1.2, 2.4)]
    facing = np.random.default_rng(5).standard_normal((len(corners) * 4, 3))
    facing /= np.linalg.norm(facing, axis=1, keepdims=True)
    outside = read(
        np.repeat(np.array(corners), 4, axis=0),
        facing,
        ready.stage.solid,
        ready.lights,
        rays=256,
        bounce_rays=256,
        bounces=3,
    )
    assert outside.direct.max() == 0.0
    assert outside.indirect.max() == 0.0
    inside = read(
        np.array([[0, 4, 1.0]]), np.array([[0, 0, -1.0]]), ready.stage.solid, ready.lights, bounces=3
    )
    assert inside.indirect[:, 0, 1].min() > 10.0


PEN = """
set:
  - ground: {material: plaster}
  - wall: {name: pen, along: [[-2, 0], [2, 0], [2, 4], [-2, 4], [-2, 0]], height: 1.2, thickness: 0.1, material: plaster}
camera: {lens: {focal: 24 mm}, at: [0, -6, 6], aim: [0, 2, 0]}
fixtures:
  - {name: lamp, practical: {kind: bulb, at: [0, 2, 0.4]}}
"""


def leaked(folder: Path, quality: Quality) -> float:
    """The brightest place outside a pen without a roof over the bounce inside it; nothing can get out by any path."""
    ready = prepare(scene(folder, PEN))
    size = {"width": 256, "height": 144}
    plate = shot(ready, ready.view, **size, quality=quality)
    direct = shot(ready, ready.view, **size, quality=replace(quality, bounce_rays=0)).layers[0][..., 1]
    at = places(ready.view, plate)
    ground = plate.part == ready.world.names.index("ground")
    across, along = np.abs(at[..., 0]), np.abs(at[..., 1] - 2.0)
    inside = ground & (across < 1.8) & (along < 1.8)
    outside = ground & ((across > 2.2) | (along > 2.2))
    assert direct[outside].max() == 0.0
    bounce = plate.layers[0][..., 1] - direct
    assert bounce[inside].mean() > 0.5
    return float(bounce[outside].max() / bounce[inside].mean())


def test_next_to_nothing_leaks_along_the_ground(tmp_path):
    """Ground within and without a thin wall is one plane, along which the coarse grid is smoothed."""
    assert leaked(tmp_path, LOOK) < 0.002
    assert leaked(tmp_path, replace(QUALITIES["draft"], rounds=2)) < 0.005
