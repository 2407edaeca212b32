"""Reflections in whole frames: where panes, eyes and wet ground show a lamp, by the geometry of mirrors."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from preview.build.mesh import flat
from preview.build.surfaces import matt
from preview.build.world import gather
from preview.camera.view import View, look
from preview.commands.prepare import Ready, prepare
from preview.light.emitters.ball import Ball
from preview.trace.geometry import Geometry
from preview.trace.plate import Plate, trace
from preview.trace.quality import Quality
from preview.trace.stage import Stage
from tests.script.scenes import scene
from tests.trace.metering import grey_world, white
from tests.trace.test_furnace import fresnel

Floats = np.ndarray
CLEAN = Quality(0.05, rounds=4, bounce_rays=0)


def shot(ready: Ready, view: View, *, width: int, height: int, quality: Quality = CLEAN) -> Plate:
    return trace(ready.stage, ready.lights, view, width=width, height=height, quality=quality)


def pixel_of(view: View, place: Floats, *, width: int, height: int) -> Floats:
    """Column and row (2,) of a place (3,) in a picture."""
    uv, depth = view.project(np.asarray(place, float)[np.newaxis])
    assert depth[0] > 0.0
    return uv[0] * [width, height] - 0.5


def slab(cosine: float, ior: float) -> float:
    """What a sheet of glass mirrors, both faces and all turns between them: 2 R / (1 + R) (any optics text)."""
    one = fresnel(cosine, ior)
    return 2.0 * one / (1.0 + one)


EYES = """
set:
  - ground: {material: grass}
cast:
  - {name: Ida, at: [0, 0], facing: 180, height: 1.7}
camera: {lens: {focal: 100 mm}, at: [0, -1.2, 1.59], aim: Ida.eyes}
fixtures:
  - {name: key, head: {shape: panel, size: [0.6 m, 0.6 m], candela: 2400}, at: KEY, aim: Ida.eyes}
  - {name: behind, head: {shape: panel, size: [0.6 m, 0.6 m], candela: 2400}, at: [1.0, 1.6, 2.1], aim: Ida.eyes}
"""
CORNEAL = ("irises", "pupils")
"""Parts of a figure that its corneas cover: they are modelled on its surface."""
CORNEA = 1.376
"""Refractive index of the cornea (handbooks)."""


@pytest.mark.parametrize("key", [[-1.0, -1.6, 2.1], [0.6, -1.6, 1.7]])
def test_eyes_carry_a_catchlight_of_the_key(key, tmp_path):
    """At the place of the cornea whose normal halves the angle between lamp and lens, as bright as Fresnel's share of
    the lamp's own luminance; none of a lamp behind the head."""
    ready = prepare(scene(tmp_path, EYES.replace("KEY", str(key))))
    size = {"width": 160, "height": 90}
    eye = ready.scene.point(ready.scene.camera.aim)
    view = look(
        np.array([0.0, -1.2, eye[2]]), eye, roll=0.0, tan_half_width=0.05, tan_half_height=0.05 * 9 / 16
    )
    plate = shot(ready, view, **size)
    names = ready.world.names
    eyes = np.isin(plate.part, [names.index(f"Ida.{part}") for part in CORNEAL])
    bright, behind = (np.where(eyes, layer[..., 1], 0.0) for layer in plate.layers)
    columns = np.arange(160)
    for side in (-1, 1):
        centre, radius = cornea(ready, side)
        assert radius == pytest.approx(0.0078, rel=0.03)
        place, cosine = mirror_place(centre, radius, view.position, np.array(key))
        column, row = pixel_of(view, place, **size)
        own = np.where((columns - 79.5) * side > 0, bright, 0.0)
        peak = own.max()
        rows, across = np.nonzero(own > 0.7 * peak)
        assert rows.mean() == pytest.approx(row, abs=1.0)
        assert across.mean() == pytest.approx(column, abs=1.0)
        assert len(rows) < 20
        assert names[plate.part[round(row), round(column)]].removeprefix("Ida.") in CORNEAL
        # The iris itself, lit by the same key, adds a little.
        mirrored = 2400.0 / 0.36 * fresnel(cosine, CORNEA)
        assert mirrored < peak < 1.15 * mirrored
        assert peak > 8.0 * np.median(own[own > 0.0])
    assert 0.0 <= behind.max() < 0.005 * bright.max()


def cornea(ready: Ready, side: int) -> tuple[Floats, float]:
    """Centre (3,) and radius of the sphere through what an eye's cornea covers, by least squares."""
    world = ready.world
    numbers = [world.names.index(f"Ida.{part}") for part in CORNEAL]
    faces = world.faces[np.isin(world.part_of_face, numbers)]
    used = np.unique(faces)
    vertices = world.vertices[used[world.normals[used, 1] < -0.5]].astype(float)
    own = vertices[vertices[:, 0] * side > 0]
    solved = np.linalg.lstsq(np.c_[2 * own, np.ones(len(own))], (own**2).sum(axis=1), rcond=None)[0]
    return solved[:3], float(np.sqrt(solved[3] + solved[:3] @ solved[:3]))


def mirror_place(centre: Floats, radius: float, eye: Floats, lamp: Floats) -> tuple[Floats, float]:
    """Where a convex mirror shows a lamp to an eye, and the cosine there: its normal halves the angle between the two."""
    normal = np.array([0.0, -1.0, 0.0])
    for _ in range(100):
        place = centre + radius * normal
        to_eye, to_lamp = ((end - place) / np.linalg.norm(end - place) for end in (eye, lamp))
        normal = (to_eye + to_lamp) / np.linalg.norm(to_eye + to_lamp)
    return place, float(normal @ to_eye)


def smooth_road(roughness: float) -> Geometry:
    """Black level ground under a film of water."""
    corners = np.array([[-300.0, -300, 0], [300, -300, 0], [300, 300, 0], [-300, 300, 0]])
    black = matt(np.zeros((1, 3), np.float32))
    film = np.full(1, 1.333, np.float32), np.full(1, roughness, np.float32)
    part = flat("road", "grey", corners[[[0, 1, 2], [0, 2, 3]]])
    return Geometry(gather([part]), replace(black, ior=film[0], roughness=film[1]))


@pytest.mark.parametrize("distance", [20.0, 30.0, 45.0])
def test_a_street_lamps_streak_is_as_long_as_its_grazing_angle_says(distance):
    """A facet tilted by t turns the mirrored ray by 2 t up or down, but aside by 2 t sin(grazing) only: so the streak is
    1 / sin(grazing) times as high as wide (geometry; M. Minnaert, Light and Colour in the Outdoors, on glitter paths)."""
    eye, lamp = np.array([0.0, 0.0, 1.6]), np.array([0.0, distance, 5.0])
    mirror = np.array([0.0, distance * 1.6 / 6.6, 0.0])
    grazing = np.arctan2(1.6, mirror[1])
    view = look(eye, mirror, roll=0.0, tan_half_width=0.15, tan_half_height=0.15)
    source = white(Ball(lamp, 0.05, 1e6))
    stage = Stage(smooth_road(0.03), grey_world(), grey_world(), ())
    plate = trace(stage, [source], view, width=200, height=200, quality=CLEAN)
    picture = plate.layers[0][..., 1]
    rows, columns = np.nonzero(picture > 0.5 * picture.max())
    high, wide = np.ptp(rows) + 1, np.ptp(columns) + 1
    assert high / wide == pytest.approx(1.0 / np.sin(grazing), rel=0.15)
    assert high / wide > 3.0
    assert rows.mean() == pytest.approx(99.5, abs=0.1 * high + 2)
    assert columns.mean() == pytest.approx(99.5, abs=0.6)


STREET = """
set:
  - ground: {material: asphalt, wet: WET, size: [200, 200]}
camera: {aspect: 1, lens: {focal: 28 mm}, at: [0, 0, 1.6], aim: [0, 8, 0.2]}
fixtures:
  - {name: lamp, practical: {kind: street_lamp, at: [0, 20, 5.0]}}
"""


def test_only_wet_asphalt_has_a_streak(tmp_path):
    """Dry, no pixel between lamp and camera stands out of its row; wet, those under the lamp do, down to the feet."""

    def contrast(wet: float) -> tuple[Floats, float]:
        """Of each row before the lamp: the middle over what is 20 columns aside."""
        ready = prepare(scene(tmp_path, STREET.replace("WET", str(wet))))
        plate = shot(ready, ready.view, width=120, height=120)
        first = round(pixel_of(ready.view, np.array([0, 12.0, 0]), width=120, height=120)[1])
        ground = plate.layers[0][first:, :, 1]
        middle = ground[:, 58:62].mean(axis=1)
        aside = np.concatenate([ground[:, 36:42], ground[:, 78:84]], axis=1).mean(axis=1)
        return middle / aside, float(ground.max())

    dry, dry_peak = contrast(0.0)
    assert dry.max() < 1.25
    damp, damp_peak = contrast(0.5)
    assert damp.min() > 1.5
    wet, wet_peak = contrast(0.9)
    assert np.median(wet) > 2.5
    assert dry_peak < damp_peak < wet_peak
    assert wet_peak > 30.0 * dry_peak


HOUSE = """
set:
  - ground: {material: asphalt}
  - house:
      name: house
      at: [0, 6]
      size: [7, 4]
      windows: [{wall: front, from_left: 2.5, sill: 0.5, size: [2, 2], bars: no}]
camera: {lens: {focal: 35 mm}, at: [0.3, -3, 1.7], aim: [0, 4, 1.9]}
fixtures:
  - {name: globe, head: {shape: ball, candela: 500, aperture: 0.6 m}, at: [-0.5, -5, 2.4], aim: [0, 0, 2], stand: no}
"""


def test_a_window_mirrors_a_lamp_outside(tmp_path):
    """The image of a globe lies as far behind the pane as the globe stands before it: there, of its size, as bright as
    both faces mirror."""
    ready = prepare(scene(tmp_path, HOUSE))
    size = {"width": 200, "height": round(200 / ready.view.aspect)}
    plate = shot(ready, ready.view, **size)
    picture = plate.layers[0][..., 1]
    pane = ready.stage.panes.world.vertices[:, 1]
    assert np.ptp(pane) < 1e-5
    globe = np.array([-0.5, -5.0, 2.4])
    image = globe * [1, -1, 1] + [0, 2.0 * float(pane[0]), 0]
    column, row = pixel_of(ready.view, image, **size)
    away = image - ready.view.position
    share = slab(away[1] / np.linalg.norm(away), 1.52)
    luminance = 500.0 / (np.pi * 0.3**2)
    rows, columns = np.nonzero(picture > 0.5 * share * luminance)
    inside = picture[round(row), round(column)]
    # What is behind the pane, a dark room, adds a little.
    assert inside == pytest.approx(share * luminance, rel=0.05)
    assert rows.mean() == pytest.approx(row, abs=0.5)
    assert columns.mean() == pytest.approx(column, abs=0.5)
    radius = 0.3 / np.linalg.norm(away) / (2.0 * ready.view.tan_half_width) * size["width"]
    assert len(rows) == pytest.approx(np.pi * radius**2, rel=0.15)


def test_a_bare_hole_mirrors_nothing(tmp_path):
    ready = prepare(scene(tmp_path, HOUSE))
    bare = replace(ready, stage=replace(ready.stage, panes=grey_world()))
    size = {"width": 100, "height": round(100 / ready.view.aspect)}
    glazed, hole = (shot(one, one.view, **size).layers[0] for one in (ready, bare))
    assert glazed.max() > 20.0 * hole.max()


@pytest.mark.parametrize(
    ("turn_deg", "ior"), [(0.0, 1.5), (0.0, 1.52), (45.0, 1.52), (60.0, 1.52), (75.0, 1.52)]
)
def test_a_pane_lets_by_what_it_does_not_mirror(turn_deg, ior):
    """A sheet of n = 1.5 lets 0.92 of the light by, seen straight on (textbooks: 92 %)."""
    wall = flat("wall", "grey", np.array([[[-0.5, 4, -0.5], [0.5, 4, -0.5], [0, 4, 1]]]))
    turn = np.radians(turn_deg)
    along = np.array([np.cos(turn), np.sin(turn), 0.0])
    corners = [np.array([0, 2.0, 0]) + x * along + [0, 0, z] for x, z in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    sheet = flat("pane", "grey", np.array(corners)[[[0, 1, 2], [0, 2, 3]]])
    film = np.full(1, ior, np.float32), np.full(1, 0.01, np.float32)
    glass = Geometry(
        gather([sheet]), replace(matt(np.zeros((1, 3), np.float32)), ior=film[0], roughness=film[1])
    )
    view = look(np.zeros(3), np.array([0, 4.0, 0]), roll=0.0, tan_half_width=0.02, tan_half_height=0.02)
    lamp = white(Ball(np.array([0.0, 0.5, 3.0]), 0.02, 1e5))
    shown = [
        trace(
            Stage(grey_world([wall]), grey_world(), panes, ()), [lamp], view, width=9, height=9, quality=CLEAN
        ).layers[0][4, 4, 1]
        for panes in (glass, grey_world())
    ]
    passing = float(shown[0] / shown[1])
    assert passing == pytest.approx(1.0 - slab(np.cos(turn), ior), abs=4e-3)
    if turn_deg == 0.0:
        assert passing == pytest.approx(0.92, abs=0.005)


def test_a_pane_dims_no_light_on_the_wall_behind_it(tmp_path):
    """Seen from within the room, the wall that a lamp outside lights is the same to the bit with and without glass."""
    ready = prepare(scene(tmp_path, HOUSE))
    bare = replace(ready, stage=replace(ready.stage, panes=grey_world()))
    view = look(
        np.array([0.0, 5.0, 1.8]),
        np.array([0.5, 8.0, 1.5]),
        roll=0.0,
        tan_half_width=0.4,
        tan_half_height=0.3,
    )
    glazed, hole = (shot(one, view, width=64, height=48).layers[0] for one in (ready, bare))
    assert glazed.max() > 0.5
    assert glazed.tobytes() == hole.tobytes()
