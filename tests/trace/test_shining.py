"""What rays see of a source against what the source sends: the same light, reckoned from the other end."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest

from preview.light.beam import relative_intensity
from preview.light.emitters.ball import Ball
from preview.light.emitters.cloth import Cloth
from preview.light.emitters.gated import Gated
from preview.light.emitters.patch import Patch
from preview.light.emitters.tube import Tube
from preview.light.vectors import around, dot
from preview.trace.sampling import spread_points

CENTRE = np.array([0.4, 0.3, 3.0])
DOWN = np.array([0.1, -0.2, -1.0]) / np.sqrt(1.05)
ALONG = np.array([0.8, 0.6, 0.0])
UNEVEN = np.outer(np.linspace(1.0, 3.0, 5), np.array([0.0, 200.0, 100.0, 50.0]))
BALL = Ball(CENTRE, 0.5, 1000.0)
EMITTERS = {
    "ball": BALL,
    "even disc": Patch(CENTRE, DOWN, (0.7, 0.7), 500.0),
    "even ellipse": Patch(CENTRE, DOWN, (0.7, 0.3), 500.0),
    "even rectangle": Patch(CENTRE, DOWN, (0.9, 0.4), 500.0, round=False),
    "beam": Patch(CENTRE, DOWN, (0.5, 0.5), 5000.0, profile=partial(relative_intensity, beam=0.6, field=1.1)),
    "tube": Tube(CENTRE, ALONG, 1.2, 0.05, 300.0),
    "cloth": Cloth(CENTRE, DOWN, (0.9, 0.6), UNEVEN),
    "cloth half in the way": Gated(BALL, CENTRE + DOWN + ALONG * 0.5, DOWN, (0.5, 0.5), 0.3),
    "two cloths": Gated(
        Gated(Patch(CENTRE, DOWN, (0.7, 0.7), 500.0), CENTRE + DOWN, DOWN, (0.3, 0.9), 0.5),
        CENTRE + 1.2 * DOWN,
        DOWN,
        (0.9, 0.2),
        0.3,
    ),
}
PLACES = [
    pytest.param([0.0, 0.0, 0.0], [0.0, 0.0, 1.0], id="below"),
    pytest.param([2.5, 1.0, 0.5], [-0.6, 0.0, 0.8], id="aside"),
    pytest.param([0.5, 0.6, 1.7], [0.0, 0.96, 0.28], id="near, part of it below the horizon"),
]


def column(vector: list[float], count: int) -> np.ndarray:
    return np.repeat(np.array(vector, np.float32)[:, None], count, axis=1)


@pytest.mark.parametrize("kind", EMITTERS)
@pytest.mark.parametrize(("place", "normal"), PLACES)
def test_luminance_over_solid_angle_is_illuminance(kind, place, normal):
    """E = integral of L cos d omega (CIE S 017, illuminance), over a cone with the source in it."""
    emitter = EMITTERS[kind]
    count = 2**17
    points, normals = column(place, count), column(normal, count)
    u = spread_points(count)
    direction, distance, lux = emitter.arrive(points, normals, u)
    passing = emitter.passing(points, direction, distance)
    lux = lux if passing is None else lux * passing
    sent = float((lux * np.maximum(dot(direction, normals), 0.0)).mean(dtype=np.float64))
    middle = direction.mean(axis=1)
    middle /= np.linalg.norm(middle)
    depth = 1.001 * (1.0 - (middle @ direction).min()) + 1e-3
    cosine = 1.0 - u[0] * np.float32(depth)
    cone = around(middle[:, None], np.sqrt(np.maximum(1.0 - cosine**2, 0.0)), cosine, u[1])
    luminance, _ = emitter.shining(points, cone)
    seen = float((luminance * np.maximum(dot(cone, normals), 0.0)).mean(dtype=np.float64)) * 2 * np.pi * depth
    assert sent > 1.0
    assert seen == pytest.approx(sent, rel=6e-3)


@pytest.mark.parametrize("kind", EMITTERS)
def test_a_ray_meets_the_source_where_its_light_comes_from(kind):
    emitter = EMITTERS[kind]
    count = 512
    rng = np.random.default_rng(2)
    points = (rng.random((3, count)) * 3.0 - 1.5).astype(np.float32) * np.array([[1], [1], [0.3]], np.float32)
    u = (0.1 + 0.8 * rng.random((2, count))).astype(np.float32)
    direction, distance, lux = emitter.arrive(points, np.zeros_like(points), u)
    lit = lux > 0.0
    luminance, met = emitter.shining(points, direction)
    assert lit.sum() > count / 2
    assert (luminance[lit] > 0.0).all()
    assert met[lit] == pytest.approx(distance[lit], rel=1e-4)


@pytest.mark.parametrize("kind", EMITTERS)
def test_a_ray_that_misses_sees_nothing(kind):
    """Away from it, past it, and from behind a source that shines one way."""
    emitter = EMITTERS[kind]
    points = column([0.0, 0.0, 0.0], 2)
    directions = np.array([-CENTRE / np.linalg.norm(CENTRE), [0.0, 0.8, 0.6]], np.float32).T
    luminance, distance = emitter.shining(points, directions)
    assert (luminance == 0.0).all()
    assert np.isinf(distance).all()
    if "ball" not in kind and kind not in ("tube", "cloth half in the way"):
        behind = column([0.4, 0.3, 5.0], 1)
        luminance, distance = emitter.shining(behind, column([0.0, 0.0, -1.0], 1))
        assert luminance[0] == 0.0
        assert np.isinf(distance[0])


def test_cloth_dims_what_lies_behind_it():
    """The middle of a ball through a rectangle that passes 0.3."""
    gated = Gated(BALL, CENTRE - [0, 0, 1.0], np.array([0.0, 0, -1]), (0.1, 0.1), 0.3)
    point = column([0.4, 0.3, 0.0], 2)
    direction = np.array([[0.0, 0.0, 1.0], [0.1, 0.0, np.sqrt(0.99)]], np.float32).T
    assert gated.shining(point, direction)[0] == pytest.approx([300.0, 1000.0])
