"""Wet ground: as dark as published, shining as much as it is wet, its pools fixed in the world."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from preview.build.buildings.wall import build_box
from preview.build.land.ground import build_ground
from preview.build.surfaces import matt, surfaces_of
from preview.build.world import gather
from preview.light.vectors import dot
from preview.script.models.pieces.ground import Ground
from preview.script.models.pieces.things import Box
from preview.trace import wet
from preview.trace.geometry import Geometry, Points
from preview.trace.mottle import faded, value_noise
from preview.trace.patterns import mottled
from preview.trace.wet import hollows, under_water, wetted
from tests.build.standing import site

Array = NDArray[np.float32]


def column(*vector: float) -> Array:
    """(3, 1), to stand beside (3, n)."""
    return np.array(vector, np.float32)[:, None]


UP = column(0.0, 0.0, 1.0)


def even_fresnel(ior: float) -> float:
    """Reflectance for even light from all sides: Fresnel's formulae, integrated over the projected hemisphere."""
    cosine = (np.arange(100_000) + 0.5) / 100_000
    inside = np.sqrt(1.0 - (1.0 - cosine**2) / ior**2)
    across = ((cosine - ior * inside) / (cosine + ior * inside)) ** 2
    along = ((ior * cosine - inside) / (ior * cosine + inside)) ** 2
    return float(np.mean((across + along) * cosine))


@pytest.mark.parametrize(
    ("held", "ior"),
    [(wet.INTO_WATER, 1.333), (wet.INTO_GROUND, wet.GROUND), (wet.WATER_TO_GROUND, wet.GROUND / 1.333)],
)
def test_reflectances_for_even_light_are_fresnels(held: float, ior: float) -> None:
    assert held == pytest.approx(even_fresnel(ior), abs=2e-4)


@pytest.mark.parametrize(
    ("dry", "wetted_to", "within"),
    [
        (0.39, 0.23, 0.02),  # sand, solar albedo list: dry 0.39, wet 0.23, a ratio of 0.59
        (0.082, 0.041, 0.005),  # common practice, no source: wet asphalt is half as light as dry
    ],
)
def test_wet_ground_is_as_dark_as_published(dry: float, wetted_to: float, within: float) -> None:
    """Of even light, what enters the film (Fresnel) and comes back out of it."""
    back = (1.0 - even_fresnel(1.333)) * under_water(np.float32(dry))
    assert back == pytest.approx(wetted_to, abs=within)


def test_angstroms_own_model_is_lighter_by_little() -> None:
    """Angstrom 1925: (1 - p) r / (1 - p r) with p = 1 - 1 / n^2. Lekner and Dorf's two corrections both darken, and
    leave black black, white white."""
    dry = np.linspace(0.02, 0.98, 49, dtype=np.float32)
    p = 1.0 - 1.0 / 1.333**2
    angstrom = (1.0 - p) * dry / (1.0 - p * dry)
    ratio = under_water(dry) / angstrom
    assert (ratio < 1.0).all()
    assert (ratio > 0.85).all()
    assert (under_water(dry) < dry).all()
    assert under_water(np.array([0.0, 1.0], np.float32)) == pytest.approx([0.0, 1.0], abs=1e-6)


def asphalt(wetness: float, position: Array, facet: Array = UP, **more: Any) -> wet.Wetted:
    count = position.shape[1]
    return wetted(
        np.full((3, count), 0.08, np.float32),
        np.full(count, more.pop("ior", 1.0), np.float32),
        np.full(count, more.pop("roughness", 0.0), np.float32),
        np.full(count, wetness, np.float32),
        position,
        np.broadcast_to(facet, position.shape),
        **more,
    )


def level(count: int = 200_000, size: float = 60.0) -> Array:
    places = np.random.default_rng(3).random((3, count), dtype=np.float32) * np.float32(size)
    places[2] = 0.04
    return places


def test_the_wetter_the_darker_the_smoother_the_more_pools() -> None:
    steps = [asphalt(w, level()) for w in (0.0, 0.1, 0.25, 0.5, 0.7, 0.85, 1.0)]
    darkness = [float(s.reflectance.mean()) for s in steps]
    assert darkness == sorted(darkness, reverse=True)
    assert darkness[0] == pytest.approx(0.08)
    assert darkness[3] == pytest.approx(darkness[6])
    smooth = [float(np.median(s.roughness)) for s in steps[1:]]
    assert smooth == sorted(smooth, reverse=True)
    assert [float(s.ior[0]) for s in steps[3:]] == pytest.approx([1.333] * 4)
    pools = [float((s.pool > 0.5).mean()) for s in steps]
    assert pools[:4] == [0.0] * 4
    assert 0.0 < pools[4] < 0.1 < pools[6] < 0.4
    assert pools[4] < pools[5] < pools[6]
    still = steps[6].roughness[steps[6].pool == 1.0]
    assert still == pytest.approx(wet.POOL, rel=1e-3)
    film = steps[6].roughness[steps[6].pool == 0.0]
    assert np.percentile(film, 1) > 0.1
    assert np.percentile(film, 99) < 0.3


def test_wetness_has_no_steps() -> None:
    places = level(20_000)
    for one in (1e-4, 0.3, 0.5, 0.8):
        first, second = (asphalt(w, places) for w in (one, one + 1e-3))
        assert np.abs(first.ior - second.ior).max() < 0.01
        assert np.abs(first.reflectance - second.reflectance).max() < 1e-3
        assert np.percentile(np.abs(first.roughness - second.roughness), 99) < 0.02


def test_pools_are_of_a_size_to_step_over() -> None:
    """Chords through pools along a line: most between 0.2 and 3 m. Common practice, no source."""
    step = 0.02
    count = 200_000
    along = np.arange(count, dtype=np.float32) * np.float32(step)
    places = np.stack([along, np.float32(0.37) * along, np.full(count, 0.04, np.float32)])
    wet_there = asphalt(1.0, places).pool > 0.5
    edges = np.flatnonzero(np.diff(wet_there.astype(np.int8)))
    chords = np.diff(edges)[0 if wet_there[edges[0] + 1] else 1 :: 2] * step * np.hypot(1.0, 0.37)
    assert len(chords) > 200
    assert 0.3 < np.median(chords) < 1.5
    assert np.percentile(chords, 95) < 4.0


def test_slopes_and_walls_hold_a_film_but_no_pool() -> None:
    places = level(20_000)
    for facet in ([1.0, 0.0, 0.0], [0.0, 0.3, 0.954], [0.0, 0.0, -1.0]):
        film = asphalt(1.0, places, column(*facet))
        assert not film.pool.any()
        assert film.ior == pytest.approx(1.333)
        assert film.roughness == pytest.approx(wet.SMOOTHEST)


def test_paint_is_not_darkened_and_keeps_its_smoothness() -> None:
    film = asphalt(0.5, level(100), ior=1.5, roughness=0.05)
    assert film.reflectance == pytest.approx(0.08)
    assert film.roughness == pytest.approx(0.05)
    assert film.ior == pytest.approx(1.333)


def test_the_dry_stay_as_they_are() -> None:
    film = asphalt(0.0, level(100), ior=1.5, roughness=0.2)
    assert film.reflectance == pytest.approx(0.08)
    assert film.ior == pytest.approx(1.5)
    assert film.roughness == pytest.approx(0.2)


def test_far_away_the_pattern_fades_to_its_mean() -> None:
    places = level()
    near, far = (
        asphalt(1.0, places, footprint=np.full(places.shape[1], size, np.float32)) for size in (0.001, 5.0)
    )
    whole = asphalt(1.0, places)
    assert near.pool == pytest.approx(whole.pool, abs=1e-3)
    assert np.ptp(far.pool) == 0.0
    assert far.pool[0] == pytest.approx(whole.pool.mean(), abs=0.03)
    assert np.ptp(far.roughness) < 1e-6


def test_hollows_at_another_height_are_others() -> None:
    """The pool on the road does not run on across the kerb."""
    road = level(50_000)
    pavement = road + column(0.0, 0.0, 0.12)
    assert abs(float(np.corrcoef(hollows(road), hollows(pavement))[0, 1])) < 0.5


def seen(geometry: Geometry, eye: list[float], aim: Array, footprint: Array | None = None) -> Points:
    """The points that an eye sees when it looks at places aim (3, n)."""
    direction = aim - column(*eye)
    direction /= np.sqrt(dot(direction, direction))
    hit = geometry.rays.hit(np.broadcast_to(column(*eye), direction.shape).T, direction.T)
    assert (hit.face >= 0).all()
    return geometry.points(hit, direction, footprint=footprint)


def wet_ground(wetness: float, material: str = "asphalt") -> Geometry:
    world = gather(
        build_ground(
            "ground", Ground.model_validate({"material": material, "size": [80, 80], "wet": wetness}), site()
        )
    )
    return Geometry(world, surfaces_of(world))


def test_the_same_place_is_as_wet_wherever_the_camera_stands() -> None:
    geometry = wet_ground(1.0)
    aim = level(5000, 20.0)
    aim[2] = 0.0
    one, other = (seen(geometry, eye, aim) for eye in ([-3.0, -4.0, 1.5], [9.0, 30.0, 6.0]))
    assert one.ior == pytest.approx(1.333)
    assert one.roughness.min() < 0.02 < 0.1 < one.roughness.max()
    # Hits differ by rounding, so banks may by a shade.
    assert np.percentile(np.abs(one.roughness - other.roughness), 99) < 1e-3
    assert np.percentile(np.abs(one.reflectance - other.reflectance), 99) < 1e-4


def test_a_wet_box_has_pools_on_its_top_alone() -> None:
    model = Box.model_validate(
        {"at": [0, 0], "size": [30, 30, 1], "material": "concrete", "wet": 1, "turn": 17}
    )
    world = gather(build_box("box", model, site()))
    assert world.wets == (1.0,)
    geometry = Geometry(world, surfaces_of(world))
    top = level(4000, 12.0) - column(6.0, 6.0, 0.04 - 1.0)
    points = seen(geometry, [0.0, 0.0, 20.0], top)
    assert points.roughness.min() < 0.02
    assert (points.ior > 1.3).all()
    side = np.random.default_rng(1).random((3, 4000), dtype=np.float32)
    points = seen(geometry, [60.0, 0.0, 0.5], side)
    assert points.facet[2] == pytest.approx(0.0, abs=1e-6)
    assert points.roughness.min() > 0.1


def test_pools_lie_flat_on_ground_that_is_shaded_round() -> None:
    tilted = gather(
        [
            type(part)(
                part.name,
                part.material,
                part.vertices,
                part.faces,
                np.tile([0.1, 0.0, 0.995], (len(part.vertices), 1)),
                part.wet,
            )
            for part in build_ground("ground", Ground.model_validate({"size": [80, 80], "wet": 1}), site())
        ]
    )
    geometry = Geometry(tilted, surfaces_of(tilted))
    aim = level(5000, 20.0)
    aim[2] = 0.0
    points = seen(geometry, [-3.0, -4.0, 1.5], aim)
    pool = points.roughness < 0.0181
    assert pool.sum() > 300
    assert points.normal[2][pool] == pytest.approx(1.0, abs=1e-5)
    assert points.normal[0][points.roughness > 0.2] == pytest.approx(0.1, abs=1e-4)


def test_mottle_fades_with_the_footprint_and_keeps_its_mean() -> None:
    places = level(50_000)
    count = places.shape[1]
    grey = np.full((3, count), 0.2, np.float32)
    rough, grain = np.full(count, 0.3, np.float32), np.full(count, 0.05, np.float32)
    spread = []
    for size in (None, 0.001, 0.02, 0.05, 0.2):
        footprint = None if size is None else np.full(count, size, np.float32)
        spread.append(float(mottled(grey, rough, grain, places, footprint=footprint)[0].std()))
    assert spread[0] == pytest.approx(spread[1], rel=0.01)
    assert spread == sorted(spread, reverse=True)
    assert spread[-1] == pytest.approx(0.0, abs=1e-6)
    assert mottled(grey, rough, grain, places)[0].mean() == pytest.approx(0.2, rel=0.01)


def test_what_is_left_of_a_pattern_is_what_averaging_leaves() -> None:
    """Against the mean over a square pixel, measured with 100 places in each."""
    rng = np.random.default_rng(5)
    places = level(4000)
    strength = value_noise(places).std()
    for size in (0.25, 0.5, 1.0, 1.5):
        total = np.zeros(4000)
        for _ in range(100):
            within = np.zeros((3, 4000), np.float32)
            within[:2] = (rng.random((2, 4000)) - 0.5) * size
            total += value_noise(places + within)
        left = (total / 100).std() / strength
        assert faded(np.array([size], np.float32), np.float32(1.0))[0] == pytest.approx(left, abs=0.18)


def test_points_know_their_coats() -> None:
    """A matt surface has none; taking some of the points takes theirs."""
    geometry = wet_ground(0.0)
    aim = level(100, 20.0)
    aim[2] = 0.0
    dry = seen(geometry, [0.0, 0.0, 2.0], aim)
    assert (dry.ior == 1.0).all()
    assert (dry.roughness == 0.0).all()
    shining = seen(wet_ground(1.0), [0.0, 0.0, 2.0], aim)
    some = np.array([7, 3, 50])
    assert (shining.take(some).roughness == shining.roughness[some]).all()
    assert (shining.take(some).ior == shining.ior[some]).all()
    plain = geometry.resurfaced(matt(np.full((1, 3), 0.5, np.float32)))
    assert (seen(plain, [0.0, 0.0, 2.0], aim).reflectance == 0.5).all()
