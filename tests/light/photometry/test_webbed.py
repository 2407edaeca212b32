"""A luminaire of a photometric file as receptors, rays and cloth meet it, against closed forms and our own heads."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from math import pi
from pathlib import Path

import numpy as np
import pytest

from preview.build.grip import Placed
from preview.light.beam import relative_intensity
from preview.light.emitters.ball import Ball
from preview.light.emitters.gated import Gated
from preview.light.emitters.patch import Patch
from preview.light.emitters.tube import Tube
from preview.light.emitters.webbed import Webbed
from preview.light.modifiers.passage import falling_on
from preview.light.photometry.opening import POINT, Opening, disc
from preview.light.photometry.read import web_of_file
from preview.light.photometry.web import Web
from preview.light.vectors import around, dot
from preview.trace.digest import digest
from preview.trace.sampling import spread_points
from tests.trace.metering import lumens_of, lux_at

FILES = Path(__file__).parent / "files"
CENTRE = np.array([0.4, 0.3, 3.0])
DOWN = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, -1.0]])
ASKEW = np.array([[0.6, 0.0, 0.8], [0.0, 1.0, 0.0], [0.8, 0.0, -0.6]])
LOPSIDED = web_of_file(FILES / "asymmetric-0.ldt")
OPENINGS = {
    "point": POINT,
    "rectangle": Opening("rectangle", (0.9, 0.4, 0.0)),
    "ellipse": Opening("ellipse", (0.9, 0.5, 0.0)),
    "upright disc": Opening("ellipse", (0.0, 0.5, 0.5)),
    "box": Opening("box", (0.9, 0.4, 0.2)),
    "ellipsoid": Opening("ellipsoid", (0.9, 0.4, 0.6)),
    "short cylinder": Opening("cylinder", (0.6, 0.6, 0.2)),
    "long cylinder": Opening("cylinder", (1.2, 0.1, 0.1), straight=0),
}


def even(candela: float = 1000.0) -> Web:
    """The same all round."""
    return Web("C", np.array([0.0, pi / 2, pi]), np.zeros(1), np.full((1, 3), candela), POINT, "")


def of_curve(curve, *, step: float = 0.5) -> Web:
    """The same all round its axis, told at every `step` degrees."""
    angle = np.radians(np.arange(0.0, 180.0 + step / 2, step))
    return Web("C", angle, np.zeros(1), np.asarray(curve(angle), float)[None], POINT, "")


def webbed(opening: Opening, axes: np.ndarray = DOWN, web: Web = LOPSIDED) -> Webbed:
    return Webbed(web, CENTRE, axes, opening)


@pytest.mark.parametrize("kind", OPENINGS)
@pytest.mark.parametrize("axes", [DOWN, ASKEW], ids=["down", "askew"])
def test_luminance_over_solid_angle_is_illuminance(kind, axes):
    """E = integral of L cos d omega (CIE S 017, illuminance), over a cone with the source in it."""
    emitter = webbed(OPENINGS[kind], axes, even())
    count = 2**17
    points = np.repeat(np.array([[0.9], [-0.3], [0.8]], np.float32), count, axis=1)
    normals = np.repeat(np.array([[0.0], [0.6], [0.8]], np.float32), count, axis=1)
    u = spread_points(count)
    direction, _, lux = emitter.arrive(points, normals, u)
    sent = float((lux * np.maximum(dot(direction, normals), 0.0)).mean(dtype=np.float64))
    middle = direction.mean(axis=1)
    middle /= np.linalg.norm(middle)
    depth = 1.001 * float((1.0 - middle @ direction).max()) + 1e-6
    cosine = 1.0 - u[0] * np.float32(depth)
    cone = around(middle[:, None], np.sqrt(np.maximum(1.0 - cosine**2, 0.0)), cosine, u[1])
    luminance, _ = emitter.shining(points, cone)
    seen = float((luminance * np.maximum(dot(cone, normals), 0.0)).mean(dtype=np.float64)) * 2 * pi * depth
    assert sent > 100.0
    assert seen == pytest.approx(sent, rel=1.2e-2)


@pytest.mark.parametrize("kind", OPENINGS)
def test_a_ray_meets_the_opening_where_its_light_comes_from(kind):
    emitter = webbed(OPENINGS[kind], web=even())
    rng = np.random.default_rng(2)
    points = (rng.random((3, 512)) * 3.0 - 1.5).astype(np.float32)
    u = (0.1 + 0.8 * rng.random((2, 512))).astype(np.float32)
    direction, distance, lux = emitter.arrive(points, np.zeros_like(points), u)
    luminance, met = emitter.shining(points, direction)
    assert (lux > 0.0).all()
    assert (luminance > 0.0).all()
    assert met == pytest.approx(distance, rel=1e-3)
    luminance, met = emitter.shining(points, -direction)
    assert (luminance == 0.0).all()
    assert np.isinf(met).all()


@pytest.mark.parametrize(
    "name", ["round-2002.ies", "floodlight-b-2002.ies", "upwards-1995.ies", "road-3.ldt", "asymmetric-0.ldt"]
)
def test_all_lumens_of_a_file_arrive(name):
    """Counted by a sphere of receptors all round; upwards as well."""
    web = web_of_file(FILES / name)
    emitter = Webbed(web, np.zeros(3), ASKEW, web.opening)
    assert lumens_of(emitter, radius=4.0, polar=128, turns=96, rays=16) == pytest.approx(
        web.lumens(), rel=5e-3
    )


@pytest.mark.parametrize("kind", OPENINGS)
def test_far_away_it_is_the_file(kind):
    """I = E d^2, at any angle, whatever the opening."""
    emitter = webbed(OPENINGS[kind], ASKEW)
    rng = np.random.default_rng(5)
    way = rng.normal(size=(40, 3))
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    expected = LOPSIDED.intensity(ASKEW @ way.T)
    lux = lux_at(emitter, CENTRE + 200.0 * way, -way, rays=16)
    assert lux * 200.0**2 == pytest.approx(expected, rel=0.02, abs=150)


@pytest.mark.parametrize("degrees", [(18, 26), (50, 66), (105, 150)])
def test_a_file_made_of_a_beam_is_that_head(degrees):
    """Near and far, on and off the axis, within 1 %."""
    beam, field = np.radians(degrees)
    curve = of_curve(
        lambda angle: 5000 * relative_intensity(np.cos(angle).astype(np.float32), beam=beam, field=field)
    )
    profile = partial(relative_intensity, beam=beam, field=field)
    head = Patch(CENTRE, np.array([0.0, 0.0, -1.0]), (0.15, 0.15), 5000.0, profile=profile)
    file = webbed(disc(0.3), web=curve)
    angle = np.linspace(0.0, 0.4, 4) * field
    away = np.stack([np.sin(angle), np.zeros(4), -np.cos(angle)], axis=1)
    for distance in (0.8, 3.0, 20.0):
        places = CENTRE + distance * away
        lux = lux_at(head, places, -away)
        assert lux_at(file, places, -away) == pytest.approx(lux, rel=0.01)


def test_a_lambertian_file_is_an_even_panel():
    """And so what a rectangle of even luminance gives: the configuration factor of its closed form is tried on Patch."""
    curve = of_curve(lambda angle: 800 * np.maximum(np.cos(angle), 0.0))
    panel = Patch(CENTRE, np.array([0.0, 0.0, -1.0]), (0.6, 0.3), 800.0, round=False)
    places = np.array([[0.4, 0.3, 2.5], [1.0, 0.3, 1.0], [2.0, -1.0, 0.0]])
    facing = np.array([[0.0, 0.0, 1.0], [0.0, 0.6, 0.8], [-0.6, 0.0, 0.8]])
    file = webbed(Opening("rectangle", (1.2, 0.6, 0.0)), web=curve)
    assert lux_at(file, places, facing) == pytest.approx(lux_at(panel, places, facing), rel=4e-3)


def test_a_sphere_that_shines_evenly_is_a_ball():
    """An even ball of luminance L has I = pi r^2 L. Its section stands for it, two diameters from its middle 4.5 % short,
    ten diameters 0.2 %.
    """
    ball = Ball(CENTRE, 0.25, 1000.0 / (pi * 0.25**2))
    file = webbed(Opening("ellipsoid", (0.5, 0.5, 0.5)), web=even())
    places = CENTRE + np.array([[0.0, 0.0, -1.0], [0.6, 0.8, 0.0], [0.0, 3.0, 4.0]])
    facing = (CENTRE - places) / np.linalg.norm(CENTRE - places, axis=1, keepdims=True)
    assert lux_at(file, places, facing) == pytest.approx(lux_at(ball, places, facing), rel=0.06)
    assert lux_at(file, places[2:], facing[2:]) == pytest.approx(
        lux_at(ball, places[2:], facing[2:]), rel=3e-3
    )
    assert file.softness(np.array([2.0], np.float32)) == pytest.approx(0.125)


def test_a_long_cylinder_is_a_tube():
    """A Lambertian cylinder: intensity falls with the sine from its axis, which lies along horizontal 0 here."""
    v, h = np.radians(np.arange(0, 180.1, 2.5)), np.radians(np.arange(0, 360.1, 2.5))
    table = 300 * np.sqrt(1.0 - (np.sin(v) * np.cos(h[:, None])) ** 2)
    file = webbed(Opening("cylinder", (1.2, 0.06, 0.06), straight=0), web=Web("C", v, h, table, POINT, ""))
    tube = Tube(CENTRE, np.array([1.0, 0.0, 0.0]), 1.2, 0.03, 300.0)
    places = CENTRE + np.array([[0.0, 0.0, -0.6], [0.5, 0.8, -0.5], [2.0, 0.0, -1.0]])
    facing = np.array([[0.0, 0.0, 1.0], [0.0, -0.6, 0.8], [-0.8, 0.0, 0.6]])
    assert lux_at(file, places, facing) == pytest.approx(lux_at(tube, places, facing), rel=0.01)


def test_the_rule_is_the_mean_of_many_samples():
    """Four places of the opening tell the unshadowed light: as few rays as any flat source."""
    for kind, opening in OPENINGS.items():
        emitter = webbed(opening, web=even())
        place, facing = CENTRE - [0.5, 0.2, 2.5], np.array([0.0, 0.0, 1.0])
        rule = emitter.rule().T
        points = np.repeat(place.astype(np.float32)[:, None], rule.shape[1], axis=1)
        direction, _, lux = emitter.arrive(points, points, rule)
        assert (lux * direction[2]).mean() == pytest.approx(lux_at(emitter, place, facing)[0], rel=2e-3), kind


def test_cloth_in_front_is_lit_as_the_file_says():
    """Lumens that fall on a frame: the integral of the web over its solid angle, and cloth dims what goes through."""
    emitter = webbed(OPENINGS["rectangle"])
    down = np.array([0.0, 0.0, -1.0])
    falling = falling_on(emitter, Placed(CENTRE + 2.0 * down, down, (8.0, 8.0)))
    v, h = np.meshgrid(np.linspace(0, pi / 2, 901), np.linspace(0, 2 * pi, 721))
    edge = 2.0 * np.tan(v) * np.maximum(abs(np.cos(h)), abs(np.sin(h))) <= 4.0
    way = np.stack([np.sin(v) * np.cos(h), np.sin(v) * np.sin(h), np.cos(v)]).reshape(3, -1)
    whole = (LOPSIDED.intensity(way).reshape(v.shape) * np.sin(v) * edge)[:-1].sum()
    assert falling.mean() * 64.0 == pytest.approx(whole * (pi / 1800) * (pi / 360), rel=0.01)
    gated = Gated(emitter, CENTRE + 0.5 * down, down, (5.0, 5.0), 0.25)
    place = CENTRE - [0.0, 0.0, 3.0]
    assert lux_at(gated, place, -down) == pytest.approx(0.25 * lux_at(emitter, place, -down), rel=1e-4)


def test_its_content_is_its_digest():
    again = webbed(OPENINGS["box"], web=web_of_file(FILES / "asymmetric-0.ldt"))
    assert digest(webbed(OPENINGS["box"])) == digest(again)
    again.arrive(np.zeros((3, 1), np.float32), np.zeros((3, 1), np.float32), np.zeros((2, 1), np.float32))
    assert digest(webbed(OPENINGS["box"])) == digest(again)
    brighter = replace(LOPSIDED, candela=LOPSIDED.candela * 1.001)
    others = [
        webbed(OPENINGS["ellipsoid"]),
        webbed(OPENINGS["box"], ASKEW),
        webbed(OPENINGS["box"], web=brighter),
    ]
    assert digest(again) not in [digest(other) for other in others]


def test_what_the_camera_sees_of_it():
    """I / (area cos): a Lambertian panel is as bright from everywhere before it, a ball from everywhere."""
    panel = webbed(OPENINGS["rectangle"], web=of_curve(lambda angle: 800 * np.maximum(np.cos(angle), 0.0)))
    angle = np.array([0.0, 30.0, 60.0, 100.0])
    leaving = np.stack([np.sin(np.radians(angle)), np.zeros(4), -np.cos(np.radians(angle))]).astype(
        np.float32
    )
    assert panel.luminance(leaving) == pytest.approx([800 / 0.36] * 3 + [0.0], rel=1e-3)
    ball = webbed(Opening("ellipsoid", (0.5, 0.5, 0.5)), web=even())
    assert ball.luminance(leaving) == pytest.approx(1000 / (pi * 0.25**2), rel=1e-3)
    from_the_side = webbed(Opening("box", (0.9, 0.4, 0.2)), web=even()).luminance(np.eye(3, dtype=np.float32))
    assert from_the_side == pytest.approx([1000 / 0.08, 1000 / 0.18, 1000 / 0.36], rel=1e-3)


@pytest.mark.parametrize("size", [(0.9, 0.4, 0.02), (1.2, 0.05, 0.05), (0.1, 0.1, 0.8)])
def test_a_box_shows_its_sides_to_who_looks_at_them(size):
    """Corners of what each point sees of it lie on the box's own outline, a little aside of square to it as well."""
    emitter = webbed(Opening("box", size), ASKEW, even())
    half = np.array(size) / 2.0
    corners = np.array([[0, 0, 0.999999, 0.999999], [0, 0.999999, 0, 0.999999]], np.float32)
    for facing in range(3):
        if facing == int(np.argmax(half)):
            continue
        others = [axis for axis in range(3) if axis != facing]
        for aside in (0.0, 0.3):
            local = np.zeros(3)
            local[facing], local[others] = 5.0, aside * half[others]
            points = np.repeat((CENTRE + local @ ASKEW).astype(np.float32)[:, None], 4, axis=1)
            direction, distance, _ = emitter.arrive(points, points, corners)
            at = ASKEW @ (points + distance * direction - CENTRE[:, None])
            assert np.abs(at[others]).max(axis=1) == pytest.approx(half[others], rel=0.02)
            assert np.abs(at[others]).min(axis=1) == pytest.approx(half[others], rel=0.02)


def test_a_short_cylinder_throws_as_wide_a_penumbra_as_its_sides_do():
    """Standard deviations of places seen from the side: of the height h / sqrt 12, of an even disc d / 4."""
    emitter = webbed(OPENINGS["short cylinder"], web=even())
    u = spread_points(4096)
    points = np.repeat((CENTRE + np.array([60.0, 0.0, 0.0])).astype(np.float32)[:, None], 4096, axis=1)
    direction, distance, _ = emitter.arrive(points, points, u)
    at = points + distance * direction
    assert at[2].std() == pytest.approx(0.2 / 12**0.5, rel=0.01)
    assert at[1].std() == pytest.approx(0.6 / 4.0, rel=0.01)
