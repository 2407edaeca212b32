"""Haze against closed forms, quadrature and the path tracer Mitsuba 3: what comes through, what is scattered.

Source of the values of Mitsuba: `haze_references.json`, which says how they were made.
"""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from math import exp, inf, pi
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad

from preview.build.solids import boxes
from preview.camera.view import View, look
from preview.light.emitters.ball import Ball
from preview.light.emitters.distant import Distant
from preview.light.emitters.dome import Dome
from preview.light.emitters.gated import Gated
from preview.light.light import Emitter, Light
from preview.script.models.air import Haze as HazeOfScript
from preview.trace.haze import Haze
from preview.trace.rays import Rays
from preview.trace.scatter import scattered
from preview.trace.scatter_field import ScatterField

REFERENCES = json.loads((Path(__file__).parent / "haze_references.json").read_text())
CASES = REFERENCES["cases"]


def columns(*vectors: tuple[float, float, float]) -> np.ndarray:
    return np.array(vectors, np.float32).T


def one(value: float) -> np.ndarray:
    return np.array([value], np.float32)


def air(points: list[list[list[float]]] | None = None) -> Rays:
    """Boxes, each its low and high corner, that stop light."""
    triangles = [boxes(low, high) for low, high in points or []]
    if not triangles:
        return Rays(np.zeros((0, 3), np.float32), np.zeros((0, 3), np.int32))
    corners = np.concatenate(triangles).reshape(-1, 3).astype(np.float32)
    return Rays(corners, np.arange(len(corners), dtype=np.int32).reshape(-1, 3))


def along_north(eye: tuple[float, float, float] = (0.0, -5.0, 0.0), *, half_width: float = 1e-3) -> View:
    start = np.array(eye)
    return look(
        start,
        start + np.array([0.0, 1.0, 0.0]),
        roll=0.0,
        tan_half_width=half_width,
        tan_half_height=half_width,
    )


def field_of(
    emitter: Emitter,
    haze: Haze,
    *,
    rays: Rays | None = None,
    view: View | None = None,
    samples: int = 256,
    step: int = 8,
    seed: int = 1,
    threads: int = 1,
    name: str = "lamp",
) -> ScatterField:
    with ThreadPoolExecutor(threads) as pool:
        return scattered(
            Light(name, (emitter,), 1.0, (1.0, 1.0, 1.0)),
            rays or air(),
            view or along_north(),
            haze,
            width=64,
            height=64,
            step=step,
            samples=samples,
            seed=seed,
            pool=pool,
        )


def middle(field: ScatterField, distance: float = inf) -> float:
    return float(field.at(one(0.5), one(0.5), one(distance))[0])


def point_source(place: list[float], candela: float) -> Ball:
    radius = 1e-3
    return Ball(np.array(place, float), radius, candela / (pi * radius**2))


# What comes through.


def test_one_sees_a_fiftieth_of_the_contrast_at_the_visibility() -> None:
    """Koschmieder 1924: the contrast threshold is 2 %."""
    haze = HazeOfScript(visibility=120.0)
    passing = Haze(haze.extinction).passing(columns((0, 0, 0)), columns((0, 1, 0)), one(120.0))
    assert passing[0] == pytest.approx(0.02, rel=1e-3)


@pytest.mark.parametrize("rise", [0.0, 1e-6, 1e-3, 0.4, -0.4, 1.0, -1.0])
@pytest.mark.parametrize("height", [-3.0, 0.0, 1.0, 1.5, 25.0])
@pytest.mark.parametrize("distance", [0.0, 0.5, 7.0, 300.0])
def test_haze_that_thins_against_quadrature(rise: float, height: float, distance: float) -> None:
    """The integral of 0.03 exp(-max(z - 1, 0) / 6) along the way, by QUADPACK (Piessens et al. 1983)."""
    haze = Haze(0.03, falloff=6.0, base=1.0)
    across = (1.0 - rise * rise) ** 0.5
    direction = columns((0.6 * across, 0.8 * across, rise))
    crossing = [(1.0 - height) / rise] if rise and 0.0 < (1.0 - height) / rise < distance else None
    expected, _ = quad(
        lambda along: 0.03 * exp(-max(height + rise * along - 1.0, 0.0) / 6.0),
        0.0,
        distance,
        points=crossing,
        epsabs=1e-9,
        limit=200,
    )
    depth = haze.depth(columns((4, 5, height)), direction, one(distance))
    assert depth[0] == pytest.approx(expected, rel=2e-5, abs=1e-7)
    if expected > 0.0:
        back = haze.depth(
            columns((4, 5, height)), direction, haze.reach(columns((4, 5, height)), direction, depth)
        )
        assert back[0] == pytest.approx(expected, rel=1e-4)


def test_even_haze_takes_away_by_the_law_of_beer() -> None:
    haze = Haze(0.05)
    start, direction = columns((1, 2, 3)), columns((0, 0.6, -0.8))
    assert haze.passing(start, direction, one(10.0))[0] == pytest.approx(exp(-0.5), rel=1e-6)
    assert haze.passing(start, direction, one(inf))[0] == 0.0
    assert haze.reach(start, direction, one(0.5))[0] == pytest.approx(10.0, rel=1e-6)
    assert haze.density(start)[0] == np.float32(0.05)


def test_only_ways_that_lead_up_leave_haze_that_thins() -> None:
    """Straight up from the ground the depth is extinction x falloff."""
    haze = Haze(0.05, falloff=8.0)
    ways = columns((0, 0, 1), (0, 0.8, 0.6), (0, 1, 0), (0, 0.8, -0.6))
    depth = haze.depth(np.zeros((3, 4), np.float32), ways, np.full(4, inf, np.float32))
    assert depth[:2] == pytest.approx([0.4, 0.4 / 0.6], rel=1e-5)
    assert np.isinf(depth[2:]).all()
    assert np.isinf(haze.reach(np.zeros((3, 1), np.float32), ways[:, :1], one(0.5))[0])
    assert haze.density(columns((0, 0, 8), (0, 0, -2))) == pytest.approx([0.05 / np.e, 0.05])


# The phase function.


@pytest.mark.parametrize("forward", [-0.5, 0.0, 0.5, 0.8, 0.9])
def test_phase_scatters_all_of_it_and_so_far_forwards(forward: float) -> None:
    """Over all directions the phase is 1, its mean cosine the parameter. Source: Henyey and Greenstein 1941."""
    haze = Haze(0.1, forward=forward)

    def phase(cosine: float) -> float:
        return float(haze.phase(np.array([cosine]))[0])

    whole, _ = quad(lambda c: 2.0 * pi * phase(c), -1.0, 1.0, epsabs=1e-7, limit=200)
    mean, _ = quad(lambda c: 2.0 * pi * c * phase(c), -1.0, 1.0, epsabs=1e-7, limit=200)
    assert (whole, mean) == pytest.approx((1.0, forward), abs=1e-4)
    turned = haze.turn(((np.arange(20000) + 0.5) / 20000).astype(np.float32))
    assert turned.mean() == pytest.approx(forward, abs=1e-3)
    # Its second moment too: (1 + 2 g^2) / 3, from the Legendre series, whose terms are g^n.
    assert (turned.astype(float) ** 2).mean() == pytest.approx((1.0 + 2.0 * forward**2) / 3.0, abs=1e-3)


# One scattering.


def emitter_of(case: dict[str, Any]) -> Emitter:
    if case["source"] == "point":
        return point_source(case["place"], case["candela"])
    return Distant(np.array(case["towards"], float), case["lux"], 1e-3)


def haze_of(case: dict[str, Any]) -> Haze:
    return Haze(case["extinction"], forward=case["forward"], albedo=case["albedo"])


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_light_scattered_once_against_mitsuba(case: dict[str, Any]) -> None:
    """0.5 %; the references' own standard errors are 0.1 % at the most."""
    assert case["se"] < 0.0015 * case["luminance"]
    expected = case["luminance"] * exp(case["extinction"] * case.get("above", 0.0))
    field = field_of(emitter_of(case), haze_of(case), rays=air(case.get("boxes")), samples=1024)
    distance = case.get("far", inf)
    assert middle(field, distance) == pytest.approx(expected, rel=0.005)


def test_light_scattered_by_thinning_haze_against_quadrature() -> None:
    """The integral of density x albedo x phase x lux x what comes through, along a way that climbs."""
    haze = Haze(0.08, falloff=3.0, base=0.5, forward=0.6, albedo=0.8)
    place, eye, way = np.array([2.0, 1.0, 2.5]), np.array([0.0, -5.0, 0.0]), np.array([0.0, 0.8, 0.6])
    view = look(eye, eye + way, roll=0.0, tan_half_width=1e-3, tan_half_height=1e-3)

    def passing(start: np.ndarray, direction: np.ndarray, distance: float) -> float:
        depth, _ = quad(
            lambda t: 0.08 * exp(-max(start[2] + direction[2] * t - 0.5, 0.0) / 3.0), 0, distance, limit=200
        )
        return exp(-depth)

    def arriving(along: float) -> float:
        point = eye + along * way
        reach = float(np.linalg.norm(place - point))
        towards = (place - point) / reach
        cosine = float(towards @ way)
        phase = (1 - 0.36) / (4 * pi * (1.36 - 1.2 * cosine) ** 1.5)
        density = 0.08 * exp(-max(point[2] - 0.5, 0.0) / 3.0)
        lux = 500.0 / reach**2 * passing(point, towards, reach)
        return density * 0.8 * phase * lux * passing(eye, way, along)

    field = field_of(point_source([2.0, 1.0, 2.5], 500.0), haze, view=view, samples=512)
    for distance in (4.0, 8.0, 40.0):
        expected, _ = quad(arriving, 0.0, distance, epsrel=1e-4, limit=100)
        assert middle(field, distance) == pytest.approx(expected, rel=0.02)


def in_even_light(distance: float, *, lux: float = 10.0, start: float = 0.0) -> float:
    """From light that falls square on a ray of even haze between two distances: closed form."""
    phase = (1 - 0.25) / (4 * pi * 1.25**1.5)
    return 0.9 * phase * lux * (exp(-0.05 * start) - exp(-0.05 * distance))


OVERHEAD = Distant(np.array([0.0, 0.0, 1.0]), 10.0, 1e-3)
EVEN = Haze(0.05, forward=0.5, albedo=0.9)


@pytest.mark.parametrize("distance", [0.0, 1.0, 3.0, 10.0, 30.0, inf])
def test_what_is_near_has_little_haze_before_it(distance: float) -> None:
    assert middle(field_of(OVERHEAD, EVEN), distance) == pytest.approx(
        in_even_light(distance), rel=0.005, abs=1e-6
    )


def test_a_roof_takes_away_just_the_part_below_it() -> None:
    """Dark from 4 m to 8 m from the eye; in front of that and beyond it nothing changes."""
    roofed = field_of(OVERHEAD, EVEN, rays=air([[[-3, -1, 0.95], [3, 3, 1.05]]]), samples=1024)
    part = in_even_light(8.0, start=4.0)
    assert middle(roofed, 3.5) == pytest.approx(in_even_light(3.5), rel=0.03)
    assert middle(roofed, 30.0) == pytest.approx(in_even_light(30.0) - part, rel=0.01)
    assert middle(roofed) == pytest.approx(in_even_light(inf) - part, rel=0.01)


def test_something_near_does_not_glow_with_the_haze_behind_it() -> None:
    """A post 1 m away before a wall 20 m away: side by side within a cell, each has its own haze before it."""
    rays = air([[[-0.05, -4.0, -3], [0.05, -3.9, 3]], [[-30, 15, -30], [30, 15.2, 30]]])
    field = field_of(OVERHEAD, EVEN, rays=rays, view=along_north(half_width=0.5)).smoothed()
    u = np.linspace(0.4, 0.6, 21).astype(np.float32)
    half = np.full(21, 0.5, np.float32)
    assert field.at(u, half, np.full(21, 1.0, np.float32)) == pytest.approx(in_even_light(1.0), rel=0.04)
    # Near the frame's middle, where the way to the wall is 20 m but for 2 %. What hangs over it shades nothing.
    assert field.at(u, half, np.full(21, 20.0, np.float32)) == pytest.approx(in_even_light(20.0), rel=0.03)


def test_even_sky_all_round_is_as_bright_through_haze_as_without() -> None:
    """Light from all sides is scattered into a way as it is out of it: of a sky above, the share that comes from above.

    Looking straight up, all but 1 - cdf(0) of what the phase gathers lies above the horizon.
    """
    haze = Haze(0.05, falloff=10.0, forward=0.8, albedo=1.0)
    eye = np.array([0.0, 0.0, 0.0])
    up = View(eye, np.array([1.0, 0, 0]), np.array([0.0, 1, 0]), np.array([0.0, 0, 1]), 1e-3, 1e-3)
    above, _ = quad(lambda c: 2 * pi * (1 - 0.64) / (4 * pi * (1.64 - 1.6 * c) ** 1.5), 0.0, 1.0)
    field = field_of(Dome(pi), haze, view=up, samples=512)
    mean = float(field.luminance[:, :, -1].mean())
    assert mean == pytest.approx(above * (1.0 - exp(-0.5)), rel=0.01)


def test_cloth_dims_a_beam_in_the_air() -> None:
    lamp = point_source([4.0, 2.0, 0.0], 1000.0)
    cloth = Gated(lamp, np.array([3.0, 2.0, 0.0]), np.array([-1.0, 0, 0]), (50.0, 50.0), 0.25)
    bare = field_of(lamp, EVEN)
    # Beside the lamp all light towards the ray crosses it.
    assert middle(field_of(cloth, EVEN)) == pytest.approx(0.25 * middle(bare), rel=0.01)


def test_the_same_whatever_the_threads_and_another_for_another_seed_or_light() -> None:
    def field(**more: Any) -> np.ndarray:
        lamp = Ball(np.array([1.0, 0.0, 1.0]), 0.3, 100.0)
        view = along_north(half_width=0.5)
        rays = air([[[0.2, -1, -1], [0.4, 1, 0.7]]])
        return field_of(lamp, EVEN, rays=rays, view=view, samples=16, step=1, **more).luminance

    first = field()
    assert np.array_equal(first, field(threads=3))
    assert not np.array_equal(first, field(seed=2))
    assert not np.array_equal(first, field(name="other"))


def test_smoothing_takes_noise_away() -> None:
    """Bars over the whole way: what a few samples find below them is a matter of chance, the truth is nearly even."""
    bars = air([[[-40, y, 2.0], [40, y + 0.4, 2.1]] for y in range(-5, 60)])
    view = along_north(half_width=0.3)
    rough = field_of(OVERHEAD, EVEN, rays=bars, view=view, samples=8, step=2)
    truth = field_of(OVERHEAD, EVEN, rays=bars, view=view, samples=512, step=2).luminance[:, :, -1]

    def error(field: ScatterField) -> float:
        return float(np.sqrt(((field.luminance[17:, :, -1] - truth[17:]) ** 2).mean()))

    assert error(rough.smoothed()) < 0.6 * error(rough)


def test_smoothing_leaves_a_beam_its_edge() -> None:
    """The left half of the frame lies in the shadow of a roof that ends above the camera."""
    roof = air([[[-400, -50, 2.0], [0, 400, 2.1]]])
    view = along_north(half_width=0.5)
    row = field_of(OVERHEAD, EVEN, rays=roof, view=view, samples=8, step=2).smoothed().luminance[20, :, -1]
    assert row[:15].max() < 0.02 * row[17:].min()


def test_fewest_cells_still_are_a_field() -> None:
    field = field_of(OVERHEAD, EVEN, step=64, samples=1)
    assert field.luminance.shape[:2] == (2, 2)
    assert 0.0 < middle(field.smoothed()) < 2.0 * in_even_light(inf)


# A strong head far off, in frame.


FAR_LAMP = [0.8, 38.0, 4.5]


def from_point(direction: np.ndarray, distance: float, place: list[float], haze: Haze) -> float:
    """From a point source of 50 000 cd in even haze, along a ray from (0, -6, 1.6): by QUADPACK."""
    eye, g = np.array([0.0, -6.0, 1.6]), haze.forward

    def arriving(along: float) -> float:
        away = np.array(place) - eye - along * direction
        reach = float(np.linalg.norm(away))
        phase = (1 - g * g) / (4 * pi * (1 + g * g - 2 * g * float(away @ direction) / reach) ** 1.5)
        return (
            haze.extinction * haze.albedo * phase * 5e4 / reach**2 * exp(-haze.extinction * (reach + along))
        )

    nearest = float((np.array(place) - eye) @ direction)
    points = [nearest] if 0.0 < nearest < distance else None
    return float(quad(arriving, 0.0, min(distance, 900.0), points=points, limit=400)[0])


LANE = Haze(3.912 / 300.0)


def lane(rays: Rays | None = None, **more: Any) -> tuple[ScatterField, View]:
    eye = np.array([0.0, -6.0, 1.6])
    view = look(eye, eye + np.array([0.0, 1, 0]), roll=0.0, tan_half_width=0.45, tan_half_height=0.45)
    lamp = point_source(FAR_LAMP, 5e4)
    return field_of(lamp, LANE, rays=rays, view=view, samples=32, step=2, **more), view


@pytest.mark.parametrize("distance", [2.0, 6.0, 15.0, 30.0, inf])
def test_air_before_a_far_lamp_is_told_from_the_eye_on_and_without_grain(distance: float) -> None:
    """3 % of quadrature, a twentieth of a stop, at rays that pass 2 to 20 m beside a lamp 44 m away."""
    field, view = lane()
    u = np.array([0.11, 0.3, 0.39, 0.61, 0.77, 0.9], np.float32)
    v = np.array([0.2, 0.33, 0.61, 0.45, 0.7, 0.4], np.float32)
    expected = [from_point(way, distance, FAR_LAMP, LANE) for way in view.rays(u, v).T.astype(float)]
    assert field.at(u, v, np.full(6, distance, np.float32)) == pytest.approx(expected, rel=0.03)


def test_something_near_shows_the_same_air_before_its_middle_as_before_its_edges() -> None:
    """A slab 6 m from the eye and 12 cells wide: its middle cells end there, those at its edge go on to the lamp.

    Light comes to the air before it over its top, 1.5 m high, down to where the line from the lamp meets a ray.
    """
    field, view = lane(air([[[-1.0, 0.0, -2.0], [1.0, 0.1, 1.5]]]))
    u = np.linspace(0.39, 0.61, 31).astype(np.float32)
    way = view.rays(u, np.full(31, 0.7, np.float32)).astype(float)
    fall = (FAR_LAMP[2] - 1.5) / FAR_LAMP[1]
    lit = (1.6 - 1.5 + 6.0 * fall) / (fall * way[1] - way[2])
    assert (lit < 0.6 * 6.0 / way[1]).all()
    expected = [from_point(w, d, FAR_LAMP, LANE) for w, d in zip(way.T, lit, strict=True)]
    found = field.smoothed().at(u, np.full(31, 0.7, np.float32), np.asarray(6.0 / way[1], np.float32))
    assert found == pytest.approx(expected, rel=0.12)


def test_smoothing_leaves_alone_what_no_shadow_falls_on() -> None:
    """Beside a lamp neighbours differ by their place alone, and that is known."""
    field, _ = lane()
    assert np.allclose(field.smoothed().luminance, field.luminance, rtol=2e-3, atol=1e-4)
