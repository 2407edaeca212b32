"""Coated surfaces under lamps: sheen against mirror, both against Mitsuba 3 (scalar_rgb) and closed forms."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from preview.build.mesh import Part, flat
from preview.build.surfaces import matt
from preview.build.world import gather
from preview.light.emitters.ball import Ball
from preview.light.emitters.patch import Patch
from preview.light.emitters.tube import Tube
from preview.light.light import Emitter
from preview.trace import gloss
from preview.trace.geometry import Geometry, Points
from preview.trace.gloss import mirror_luminance, mirrored, sheen
from tests.trace.metering import grey_world, white
from tests.trace.test_microfacet import smith

DOWN = np.array([0.0, 0.0, -1.0])


def floor_points(
    places: np.ndarray, eye: np.ndarray, *, roughness: float, ior: float = 1.5
) -> tuple[Points, np.ndarray]:
    """Coated points (n) of level ground at places (n, 2), with the ways (3, n) to an eye (3,)."""
    count = len(places)
    position = np.vstack([places.T, np.zeros(count)]).astype(np.float32)
    up = np.zeros((3, count), np.float32)
    up[2] = 1.0
    nothing = np.zeros(count, np.float32)
    points = Points(
        position=position,
        start=position,
        normal=up,
        facet=up,
        slope=np.zeros_like(up),
        spread=nothing,
        reflectance=np.zeros_like(up),
        transmission=nothing,
        ior=nothing + np.float32(ior),
        roughness=nothing + np.float32(roughness),
        part=np.zeros(count, np.int32),
    )
    away = np.asarray(eye, float)[:, None] - position
    return points, (away / np.linalg.norm(away, axis=0)).astype(np.float32)


def by_mirror(
    points: Points, to_eye: np.ndarray, emitter: Emitter, world: Geometry, seed: int = 1
) -> np.ndarray:
    rng = np.random.default_rng(seed)
    first, second = (rng.random((2, len(points))).astype(np.float32) for _ in range(2))
    mirror = mirrored(points, to_eye, world, first)
    return mirror_luminance(mirror, points, white(emitter), world.rays, u=second)


def mean_by_mirror(
    place: tuple[float, float],
    eye: np.ndarray,
    emitter: Emitter,
    *,
    roughness: float,
    world: Geometry | None = None,
) -> float:
    points, to_eye = floor_points(np.tile(place, (400_000, 1)), eye, roughness=roughness)
    return float(by_mirror(points, to_eye, emitter, world or grey_world())[0].mean(dtype=np.float64))


def wall(x: float) -> Part:
    """A big upright square that looks to negative x, and back."""
    a, b, c, d = (np.array(p, float) for p in ([x, -50, 0], [x, 50, 0], [x, 50, 60], [x, -50, 60]))
    return flat("wall", "grey", np.array([[a, b, c], [a, c, d]]))


LAMPS = {
    "ball": Ball(np.array([2.0, 0.3, 2.0]), 0.4, 1000.0),
    "disc": Patch(np.array([2.0, 0.3, 2.0]), DOWN, (0.4, 0.4), 500.0),
    "rectangle": Patch(np.array([2.0, 0.3, 2.0]), DOWN, (0.3, 0.4), 500.0, round=False),
    "tube": Tube(np.array([2.0, 0.3, 2.0]), np.array([0.0, 1.0, 0.0]), 0.8, 0.05, 300.0),
}


@pytest.mark.parametrize("kind", LAMPS)
@pytest.mark.parametrize(
    ("eye", "roughness"),
    [
        pytest.param([-2.0, 0.0, 2.0], 0.25, id="45 deg"),
        pytest.param([-2.0, 0.5, 2.0], 0.6, id="rough"),
        pytest.param([-8.0, -1.2, 1.5], 0.25, id="grazing"),
    ],
)
def test_sheen_and_mirror_agree(kind, eye, roughness, monkeypatch):
    """A lamp about as wide as the lobe: both ways are the same integral, so 3 per cent apart at most."""
    lamp = LAMPS[kind]
    points, to_eye = floor_points(np.zeros((1, 2)), eye, roughness=roughness)
    bright = sheen(points, to_eye, lamp)[0]
    assert bright > 0.0
    assert mean_by_mirror((0.0, 0.0), eye, lamp, roughness=roughness) == 0.0
    monkeypatch.setattr(gloss, "_narrow", lambda points, emitter: np.zeros(len(points), bool))
    assert sheen(points, to_eye, lamp)[0] == 0.0
    assert mean_by_mirror((0.0, 0.0), eye, lamp, roughness=roughness) == pytest.approx(bright, rel=0.03)


@pytest.mark.parametrize("roughness", [0.02, 0.1, 0.4])
def test_one_way_for_each_point(roughness):
    """Lamps from far narrower than the lobe to far wider: sheen or mirror brings their light, never both."""
    eye = np.array([-2.0, 0.0, 2.0])
    ways = []
    for radius in (0.005, 0.03, 0.1, 0.4, 1.0, 1.9):
        lamp = Ball(np.array([2.0, 0.0, 2.0]), radius, 1000.0)
        points, to_eye = floor_points(np.zeros((2000, 2)), eye, roughness=roughness)
        ways.append(
            (
                sheen(points, to_eye, lamp).max() > 0.0,
                by_mirror(points, to_eye, lamp, grey_world()).max() > 0.0,
            )
        )
    assert all(one != other for one, other in ways)
    assert ways[0][0]
    assert ways[-1][1]


def test_nothing_without_a_coat():
    eye = np.array([-2.0, 0.0, 2.0])
    points, to_eye = floor_points(np.zeros((500, 2)), eye, roughness=0.3, ior=1.0)
    world = Geometry(gather([wall(3.0)]), matt(np.ones((1, 3), np.float32)))
    for radius in (0.05, 1.5):
        lamp = Ball(np.array([2.0, 0.0, 2.0]), radius, 1000.0)
        assert (sheen(points, to_eye, lamp) == 0.0).all()
        assert (by_mirror(points, to_eye, lamp, world) == 0.0).all()


def mitsuba_luminance(lamp: dict[str, Any], eye: list[float], roughness: float, rays: int = 2**17) -> float:
    """Luminance of the origin on a black floor with a coat (1.5), by Mitsuba's path integrator, direct light."""
    mi = pytest.importorskip("mitsuba")
    mi.set_variant("scalar_rgb")
    scene = mi.load_dict(
        {
            "type": "scene",
            "integrator": {"type": "path", "max_depth": 2, "hide_emitters": True},
            "sensor": {
                "type": "radiancemeter",
                "to_world": mi.ScalarTransform4f().look_at(origin=eye, target=[0, 0, 0], up=[0, 0, 1]),
                "film": {
                    "type": "hdrfilm",
                    "width": 1,
                    "height": 1,
                    "rfilter": {"type": "box"},
                    "pixel_format": "luminance",
                    "component_format": "float32",
                },
                "sampler": {"type": "independent", "sample_count": rays},
            },
            "floor": {
                "type": "rectangle",
                "bsdf": {
                    "type": "roughplastic",
                    "distribution": "ggx",
                    "alpha": roughness,
                    "int_ior": 1.5,
                    "ext_ior": 1.0,
                    "diffuse_reflectance": {"type": "rgb", "value": 0.0},
                },
            },
            "lamp": lamp,
        }
    )
    return float(np.array(mi.render(scene, seed=3)).mean())


def area(luminance: float) -> dict[str, Any]:
    return {"type": "area", "radiance": {"type": "rgb", "value": luminance}}


@pytest.mark.parametrize("roughness", [0.08, 0.3])
@pytest.mark.parametrize(
    ("eye", "kind"), [([-2.0, 0.0, 2.0], "ball"), ([-3.0, -0.5, 1.5], "ball"), ([-2.0, 0.0, 2.0], "square")]
)
def test_floor_point_against_a_path_tracer(roughness, eye, kind):
    """Rough: sheen. Smooth: mirror. Masking apart or correlated differs by less than 0.2 % at these angles."""
    mi = pytest.importorskip("mitsuba")
    mi.set_variant("scalar_rgb")
    if kind == "ball":
        lamp: Emitter = Ball(np.array([2.0, 0.2, 2.0]), 0.4, 1000.0)
        theirs = {"type": "sphere", "center": [2.0, 0.2, 2.0], "radius": 0.4, "emitter": area(1000.0)}
    else:
        lamp = Patch(np.array([2.0, 0.2, 2.0]), DOWN, (0.4, 0.4), 1000.0 * 0.64, round=False)
        transform = mi.ScalarTransform4f()
        theirs = {
            "type": "rectangle",
            "to_world": transform.translate([2.0, 0.2, 2.0])
            @ transform.rotate([1, 0, 0], 180)
            @ transform.scale(0.4),
            "emitter": area(1000.0),
        }
    points, to_eye = floor_points(np.zeros((1, 2)), np.array(eye), roughness=roughness)
    own = float(sheen(points, to_eye, lamp)[0])
    assert (own > 0.0) == (roughness == 0.3)
    own += mean_by_mirror((0.0, 0.0), np.array(eye), lamp, roughness=roughness)
    assert own == pytest.approx(mitsuba_luminance(theirs, eye, roughness), rel=0.025)


def test_a_still_floor_shows_a_lit_wall():
    """Almost smooth: Fresnel x the wall's rho E / pi where the mirrored ray meets it, by the inverse square and cosine.

    45 degrees: R = 0.05024 for 1.5 (Fresnel). The ray from the origin meets the wall, 3 m off, 3 m up.
    """
    candela, lamp_at = 4000.0, np.array([1.0, 0.0, 8.0])
    lamp = Ball(lamp_at, 0.01, candela / (np.pi * 1e-4))
    world = Geometry(gather([wall(3.0)]), matt(np.full((1, 3), 0.6, np.float32)))
    away = lamp_at - np.array([3.0, 0.0, 3.0])
    lux = candela * (-away[0] / np.linalg.norm(away)) / (away @ away)
    points, to_eye = floor_points(np.zeros((20_000, 2)), np.array([-2.0, 0.0, 2.0]), roughness=0.0)
    found = by_mirror(points, to_eye, lamp, world).mean(axis=1)
    assert found == pytest.approx(0.05024 * 0.6 * lux / np.pi, rel=0.02)


def test_what_stands_before_a_source_hides_its_mirror_image():
    lamp = Patch(np.array([4.0, 0.0, 4.0]), np.array([-1.0, 0, -1]) / 2**0.5, (0.8, 0.8), 1000.0)
    eye = np.array([-2.0, 0.0, 2.0])
    points, to_eye = floor_points(np.zeros((2000, 2)), eye, roughness=0.02)
    black = matt(np.zeros((1, 3), np.float32))
    before, behind = (Geometry(gather([wall(x)]), black) for x in (3.0, 5.0))
    open_ = by_mirror(points, to_eye, lamp, grey_world())
    assert open_.mean() > 10.0
    assert by_mirror(points, to_eye, lamp, behind) == pytest.approx(open_)
    assert (by_mirror(points, to_eye, lamp, before) == 0.0).all()


def test_a_lamp_draws_a_streak_towards_the_eye():
    """A street lamp 5 m up and 20 m away, eye 1.6 m up: lengths at half the peak along and across the line of sight.

    The lobe is written out here as in Walter et al. 2007 (equations 20, 33, 38; masking by Heitz 2014), in float64,
    and integrated over the lamp's sphere by quadrature of the disc it shows.
    """
    eye, lamp_at, radius, alpha = np.array([0.0, 0.0, 1.6]), np.array([0.0, 20.0, 5.0]), 0.1, 0.15
    lamp = Ball(lamp_at, radius, 1e5)
    along = np.linspace(0.5, 19.5, 381)
    aside = np.linspace(0.0, 4.0, 401)

    def ours(places: np.ndarray) -> np.ndarray:
        return sheen(*floor_points(places, eye, roughness=alpha, ior=1.333), lamp)

    def reference(places: np.ndarray) -> np.ndarray:
        rings, turns = 6, 12
        reach = radius * np.sqrt((np.arange(rings) + 0.5) / rings)
        turn = 2 * np.pi * (np.arange(turns) + 0.5) / turns
        answer = np.zeros(len(places))
        for number, (x, y) in enumerate(places):
            point = np.array([x, y, 0.0])
            axis = lamp_at - point
            distance = np.linalg.norm(axis)
            axis /= distance
            right = np.cross(axis, [0, 0, 1.0])
            right /= np.linalg.norm(right)
            up = np.cross(right, axis)
            disc = (
                reach[:, None, None] * (np.cos(turn)[:, None] * right + np.sin(turn)[:, None] * up)
            ).reshape(-1, 3)
            out = lamp_at + disc - point
            out /= np.linalg.norm(out, axis=1)[:, None]
            view = (eye - point) / np.linalg.norm(eye - point)
            half = out + view
            half /= np.linalg.norm(half, axis=1)[:, None]
            theta = np.arccos(half[:, 2])
            density = alpha**2 / (np.pi * np.cos(theta) ** 4 * (alpha**2 + np.tan(theta) ** 2) ** 2)
            c = half @ view
            g = np.sqrt(1.333**2 - 1 + c**2)
            reflected = 0.5 * ((g - c) / (g + c)) ** 2 * (1 + ((c * (g + c) - 1) / (c * (g - c) + 1)) ** 2)
            masking = 1 / (1 + smith(view[2], alpha) + smith(out[:, 2], alpha))
            answer[number] = (
                (reflected * density * masking / (4 * view[2])).mean()
                * 1e5
                * np.pi
                * (radius / distance) ** 2
            )
        return answer

    def length(places: np.ndarray, values: np.ndarray) -> float:
        bright = places[values > values.max() / 2]
        return float(bright[-1] - bright[0])

    on_line = np.stack([np.zeros_like(along), along], axis=1)
    lengths = {}
    for name, luminance in (("ours", ours), ("reference", reference)):
        values = luminance(on_line)
        peak = along[values.argmax()]
        beside = luminance(np.stack([aside, np.full_like(aside, peak)], axis=1))
        lengths[name] = length(along, values), 2 * length(aside, beside), values.max()
    assert lengths["ours"] == pytest.approx(lengths["reference"], rel=0.01, abs=0.02)
    assert lengths["ours"][0] / lengths["ours"][1] > 4.0
