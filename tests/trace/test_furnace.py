"""Furnaces: in even light a coat or a pane shows never more than there is, and a white one as much."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from preview.build.mesh import Part, flat, smooth
from preview.build.surfaces import matt
from preview.build.world import gather
from preview.camera.view import View, look
from preview.light.emitters.ball import Ball
from preview.light.emitters.dome import Dome
from preview.light.light import Light
from preview.trace.geometry import Geometry
from preview.trace.plate import Plate, trace
from preview.trace.quality import Quality
from preview.trace.stage import Stage
from tests.trace.metering import grey_world, white

EVEN = 100.0
"""cd/m2, wherever one looks."""
GLASS = 1.52


def coated(parts: list[Part], *, reflectance: float, ior: float, roughness: float) -> Geometry:
    count = len(parts)
    bare = matt(np.full((count, 3), reflectance, np.float32))
    coat = np.full(count, ior, np.float32), np.full(count, roughness, np.float32)
    return Geometry(gather(parts), replace(bare, ior=coat[0], roughness=coat[1]))


def square(centre: list[float], normal: list[float], half: float) -> Part:
    """A flat square that looks along `normal`."""
    out = np.array(normal, float) / np.linalg.norm(normal)
    right = np.cross([0.0, 1.0, 0.0], out)
    right /= np.linalg.norm(right)
    up = np.cross(out, right)
    a, b, c, d = (
        np.array(centre, float) + half * (x * right + y * up) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    )
    return flat("square", "grey", np.array([[a, b, c], [a, c, d]]))


def shot(stage: Stage, light: Light, view: View, *, bounce_rays: int) -> Plate:
    quality = Quality(0.05, rounds=4, bounce_rays=bounce_rays)
    return trace(stage, [light], view, width=32, height=24, quality=quality)


def ground_in_even_light(*, elevation_deg: float, **coat: float) -> float:
    """What an eye so high above a plane sees of it, over what the whole sky sends: the mean of a small frame."""
    ground = coated([square([0, 0, 0], [0, 0, 1], 500.0)], **coat)
    up = np.radians(elevation_deg)
    eye = 20.0 * np.array([0.0, -np.cos(up), np.sin(up)])
    view = look(eye, np.zeros(3), roll=0.0, tan_half_width=0.02, tan_half_height=0.015)
    stage = Stage(ground, grey_world(), grey_world(), ())
    plate = shot(stage, white(Dome(np.pi * EVEN)), view, bounce_rays=32)
    assert np.isfinite(plate.depth).all()
    return float(plate.layers[0].mean(dtype=np.float64)) / EVEN


@pytest.mark.parametrize("ior", [1.333, 1.5])
@pytest.mark.parametrize("roughness", [0.01, 0.05, 0.2, 0.4])
def test_a_coat_adds_nothing_to_even_light(ior, roughness):
    """The white furnace: a surface of reflectance 1 in even light is as bright as the light, and never brighter.

    What single scattering in a rough coat loses grows as the eye goes down; a coat too rough to mirror shows no sky,
    which is Fresnel's share.
    """
    least = {
        0.01: (0.999, 0.999, 0.999),
        0.05: (0.998, 0.995, 0.97),
        0.2: (0.995, 0.97, 0.85),
        0.4: (0.95, 0.90, 0.72),
    }
    for elevation, lowest in zip((90.0, 30.0, 15.0), least[roughness], strict=True):
        shown = ground_in_even_light(elevation_deg=elevation, reflectance=1.0, ior=ior, roughness=roughness)
        assert lowest < shown < 1.002
    assert ground_in_even_light(elevation_deg=5.0, reflectance=1.0, ior=ior, roughness=roughness) < 1.002


def fresnel(cosine: float, ior: float) -> float:
    """Reflectance of one face for unpolarised light (Fresnel's formulae, any optics text)."""
    inside = np.sqrt(1.0 - (1.0 - cosine**2) / ior**2)
    across = (cosine - ior * inside) / (cosine + ior * inside)
    along = (ior * cosine - inside) / (ior * cosine + inside)
    return float((across**2 + along**2) / 2.0)


@pytest.mark.parametrize("elevation_deg", [90.0, 60.0, 30.0, 15.0])
def test_black_under_a_smooth_coat_shows_fresnels_share_of_the_sky(elevation_deg):
    shown = ground_in_even_light(elevation_deg=elevation_deg, reflectance=0.0, ior=1.333, roughness=0.0)
    assert shown == pytest.approx(fresnel(np.sin(np.radians(elevation_deg)), 1.333), rel=0.01)


def pane(centre: list[float], normal: list[float], half: float) -> Geometry:
    return coated([square(centre, normal, half)], reflectance=0.004, ior=GLASS, roughness=0.01)


@pytest.mark.parametrize("tilt_deg", [50.0, 70.0, 85.0])
def test_a_pane_before_an_even_sky_is_not_to_be_seen(tilt_deg):
    """What a sheet of glass keeps back it mirrors: both together are the sky. Tilted so far that it mirrors sky too."""
    up = np.radians(50.0)
    forward = np.array([0.0, np.cos(up), np.sin(up)])
    turn = np.radians(tilt_deg)
    normal = -np.cos(turn) * forward + np.sin(turn) * np.array([1.0, 0.0, 0.0])
    eye = np.array([0.0, 0.0, 2.0])
    view = look(eye, eye + forward, roll=0.0, tan_half_width=0.2, tan_half_height=0.15)
    glass = pane(list(eye + 4.0 * forward), list(normal), 0.5)
    hits = glass.rays.hit(np.tile(eye, (9, 1)).astype(np.float32), view.directions(PLACES))
    assert np.isfinite(hits.distance[4])
    assert np.isinf(hits.distance[0])
    plate = shot(Stage(grey_world(), grey_world(), glass, ()), white(Dome(np.pi * EVEN)), view, bounce_rays=8)
    assert plate.layers[0] == pytest.approx(EVEN, rel=1e-4)


PLACES = (
    np.stack(np.meshgrid([0.03, 0.5, 0.97], [0.03, 0.5, 0.97]), axis=-1).reshape(-1, 2).astype(np.float32)
)


@pytest.mark.parametrize("tilt_deg", [20.0, 45.0, 70.0])
def test_a_pane_in_a_room_of_one_brightness_is_not_to_be_seen(tilt_deg):
    """Inside a sphere that a ball in its middle lights evenly: one wall behind the glass, the other before it."""
    import trimesh

    sphere = trimesh.creation.icosphere(subdivisions=5, radius=2.0)
    wall = smooth("sphere", "grey", np.asarray(sphere.vertices), np.asarray(sphere.faces, np.int32))
    turn = np.radians(tilt_deg)
    glass = pane([0.6, -1.5, 0.0], [-np.cos(turn), 0.0, -np.sin(turn)], 0.15)
    view = look(
        np.array([-0.4, -1.5, 0.0]),
        np.array([0.6, -1.5, 0.0]),
        roll=0.0,
        tan_half_width=0.25,
        tan_half_height=0.1875,
    )
    light = white(Ball(np.zeros(3), 0.3, 1000.0))
    expected = 0.6 * 1000.0 * (0.3 / 2.0) ** 2
    world = grey_world([wall], reflectance=0.6)
    plate = shot(Stage(world, grey_world(), glass, ()), light, view, bounce_rays=0)
    assert plate.layers[0][..., 1] == pytest.approx(expected, rel=0.01)
    # Before a black wall it shows what it mirrors: it is there.
    black = shot(Stage(_with_a_black_place(world), grey_world(), glass, ()), light, view, bounce_rays=0)
    mirrored = black.layers[0][12, 16, 1] / expected
    slab = 2.0 / (1.0 + 1.0 / fresnel(np.cos(turn), GLASS))
    assert mirrored == pytest.approx(slab, rel=0.05)


def _with_a_black_place(sphere: Geometry) -> Geometry:
    """The same triangles, black about where the eye looks."""
    world = sphere.world
    middles = world.vertices[world.faces].mean(axis=1)
    part = ((middles[:, 0] > 1.0) & (np.abs(middles[:, 2]) < 0.3)).astype(np.int32)
    two = replace(world, part_of_face=part, names=("grey", "black"), materials=("grey",) * 2, wets=(0.0,) * 2)
    return Geometry(two, matt(np.array([[0.6] * 3, [0.0] * 3], np.float32)))
