"""Smaller pieces of the set: sizes, heights, free ways, sound surfaces."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from preview.build.buildings.fence import build_fence
from preview.build.buildings.shelter import build_shelter
from preview.build.buildings.wall import build_box, build_wall
from preview.build.land.ground import build_ground
from preview.build.land.street import build_street
from preview.build.mesh import Part
from preview.build.things.lamp_post import build_lamp_post
from preview.faults import UserError
from preview.script.models.pieces.buildings import Shelter
from preview.script.models.pieces.ground import Ground, Street
from preview.script.models.pieces.things import Box, Fence, LampPost, Wall
from preview.script.street_plan import post_lamp, shelter_bench, shelter_lamp
from tests.build.probing import (
    backs_seen,
    looks_from_around,
    random_directions,
    rays_of,
    shared_planes,
)
from tests.build.standing import site

BENT = [[-6, 0], [0, 0], [4, 5]]


def fence(**given: Any) -> list[Part]:
    return build_fence("fence", Fence.model_validate({"along": BENT, **given}), site())


def all_vertices(parts: list[Part]) -> np.ndarray:
    return np.concatenate([p.vertices for p in parts])


def street(**given: Any) -> list[Part]:
    return build_street("street", Street.model_validate({"along": BENT, **given}), site())


def wall(**given: Any) -> list[Part]:
    return build_wall("wall", Wall.model_validate({"along": BENT, **given}), site())


PIECES: dict[str, list[Part]] = {
    **{f"fence {kind}": fence(kind=kind, gates=[{"from_start": 2}]) for kind in ("picket", "rail", "board")},
    "street": street(centre_line=True),
    "street without kerb": street(kerb=0, pavement=[2, 0]),
    "brick wall": wall(),
    "stone wall round a yard": wall(along=[[-4, -4], [4, -4], [4, 4], [-4, 4], [-4, -4]], material="stone"),
    "low wall": wall(height=0.3),
    "shelter": build_shelter("shelter", Shelter(at=(0, 0)), site()),
    "lamp post": build_lamp_post("post", LampPost(at=(0, 0), facing=23), site()),
    "lamp post without arm": build_lamp_post("post", LampPost(at=(0, 0), arm=0, facing=23), site()),
    "box": build_box("box", Box.model_validate({"at": [1, 0], "size": [1, 2, 3], "turn": 20}), site()),
}


@pytest.mark.parametrize("label", PIECES)
def test_every_face_that_is_seen_looks_out_and_lies_alone_in_its_plane(label: str) -> None:
    world, rays = rays_of(PIECES[label])
    origins, directions, hit = looks_from_around(
        world, rays, np.random.default_rng(5), centre=(0, 0, 1), radius=11, count=20_000
    )
    assert (hit.face >= 0).sum() > 1000
    assert backs_seen(world, directions, hit) == []
    assert shared_planes(world, origins, directions, hit) == []


def test_ground_is_level_and_covers_its_size() -> None:
    (part,) = build_ground(
        "ground", Ground.model_validate({"at": [3, 4], "size": [60, 30], "height": -0.5}), site()
    )
    np.testing.assert_allclose(part.vertices.min(axis=0), [-27, -11, -0.5])
    np.testing.assert_allclose(part.vertices.max(axis=0), [33, 19, -0.5])
    corners = part.vertices[part.faces]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    assert cross[:, 2].min() > 0
    assert cross[:, 2].sum() / 2 == pytest.approx(60 * 30)


def test_a_long_picket_fence_stays_within_its_budget() -> None:
    parts = build_fence("f", Fence.model_validate({"along": [[0, 0], [20, 0]]}), site())
    assert sum(len(p.faces) for p in parts) < 8000


def test_pickets_reach_the_fence_height_and_posts_stand_in_the_ground() -> None:
    parts = build_fence("f", Fence.model_validate({"along": [[0, 0], [6, 0]], "height": 1.2}), site())
    (part,) = parts
    assert part.material == "white paint"
    assert part.vertices[:, 2].min() < -0.05
    assert 1.2 <= part.vertices[:, 2].max() <= 1.3


@pytest.mark.parametrize(("swing", "side"), [("80 deg", -1), ("-80 deg", 1)])
def test_an_open_gate_leaves_its_way_free_and_swings_to_the_right_of_the_path(swing: str, side: int) -> None:
    gate = {"from_start": 4.0, "width": 1.1, "open": swing}
    parts = build_fence("f", Fence.model_validate({"along": [[0, 0], [10, 0]], "gates": [gate]}), site())
    _, rays = rays_of(parts)
    rng = np.random.default_rng(2)
    x = rng.uniform(-1.0, 11.0, 20_000)
    start = np.stack([x, np.full_like(x, -3.0), rng.uniform(0.2, 0.9, len(x))], axis=1).astype(np.float32)
    north = np.broadcast_to(np.array([0, 1, 0], np.float32), start.shape).copy()
    free = ~rays.blocked(start, north, np.full(len(start), 6.0, np.float32))
    in_gate = (x > 4.3) & (x < 4.0 + 1.1 - 0.08)
    assert free[in_gate].all()
    assert free[(x < -0.1) | (x > 10.1)].all()
    # Pickets of 68 mm with gaps of 52 mm, less rails and posts.
    assert 0.15 < free[(x > 0.1) & (x < 3.9)].mean() < 0.45
    # The path runs east: its right is south.
    leaf = all_vertices([p for p in parts if p.name == "f.gate[0]"])
    assert np.sign(leaf[np.abs(leaf[:, 1]).argmax(), 1]) == side


@pytest.mark.parametrize(
    ("gates", "words"),
    [
        ([{"from_start": 5.5}], "runs into a corner, an end or another gate"),
        ([{"from_start": 1}, {"from_start": 1.5}], "5 m from the start"),
        ([{"from_start": 30}], "beyond the fence, which is 12.4 m long"),
    ],
)
def test_gates_that_do_not_fit_are_refused_in_words(gates: list[dict[str, float]], words: str) -> None:
    with pytest.raises(UserError, match=words):
        fence(gates=gates)


def test_a_street_lies_on_the_ground_with_its_pavements_a_kerb_higher() -> None:
    parts = {
        p.name: p
        for p in street(along=[[0, 0], [20, 0]], width=6, kerb=0.12, pavement=[2, 3], centre_line=True)
    }
    way = parts["street.carriageway"].vertices
    # 4 cm above the ground at its edges; a mean crossfall of 1 in 50 lifts its crown by 6 cm over half of 6 m.
    assert way[:, 2].max() == pytest.approx(0.04 + 3 / 50)
    edge = way[(np.abs(way[:, 1]) > 2.999) & (way[:, 2] > 0), 2]
    assert edge == pytest.approx(0.04)
    assert (way[:, 1].min(), way[:, 1].max()) == pytest.approx((-3, 3))
    assert parts["street.kerb"].vertices[:, 2].max() == pytest.approx(0.16, abs=1e-3)
    pavement = parts["street.pavement"].vertices
    assert 0.15 < pavement[:, 2].max() < 0.16
    # The path runs east: left is north.
    assert pavement[:, 1].max() == pytest.approx(3 + 0.125 + 2, abs=1e-3)
    assert pavement[:, 1].min() == pytest.approx(-3 - 0.125 - 3, abs=1e-3)
    assert parts["street.line"].vertices[:, 2].max() == pytest.approx(0.103, abs=1e-4)


@pytest.mark.parametrize("arm", [0.0, 0.2, 1.0, 2.5])
def test_the_lamp_of_a_post_hangs_free_under_its_hood(arm: float) -> None:
    model = LampPost(at=(1, 2), arm=arm, height=5, facing=float(np.degrees(0.7)))
    _, rays = rays_of(build_lamp_post("post", model, site()))
    lamp = np.array(post_lamp(model, 0.7))
    rng = np.random.default_rng(1)
    down = random_directions(rng, 5000)
    down[:, 2] = -np.abs(down[:, 2])
    # The glass is a disc of 0.25 m; its light must get away.
    around = rng.uniform(0, 2 * np.pi, 5000)
    origins = lamp + 0.12 * np.stack([np.cos(around), np.sin(around), 0 * around], axis=1)
    blocked = rays.blocked(origins.astype(np.float32), down, np.full(5000, 20, np.float32))
    assert blocked.mean() < 0.15
    above = rays.hit(lamp[None].astype(np.float32), np.array([[0, 0, 1]], np.float32))
    assert 0.05 < above.distance[0] < 0.15


def test_a_lamp_post_stands_at_its_place() -> None:
    parts = build_lamp_post("post", LampPost(at=(1, 2), arm=1.2, height=5, facing=90), site())
    post = next(p for p in parts if p.name == "post.post").vertices
    np.testing.assert_allclose((post.min(axis=0) + post.max(axis=0))[:2] / 2, [1, 2], atol=1e-6)
    hood = next(p for p in parts if p.name == "post.hood").vertices
    np.testing.assert_allclose((hood.min(axis=0) + hood.max(axis=0))[:2] / 2, [1 + 1.2, 2], atol=1e-6)


def test_a_shelter_is_open_to_the_front_and_keeps_its_lamp_and_bench() -> None:
    model = Shelter.model_validate({"at": [3, 4], "facing": 180})
    parts = build_shelter("s", model, site())
    _, rays = rays_of(parts)
    lamp = np.array([shelter_lamp(model)], np.float32)
    up = rays.hit(lamp, np.array([[0, 0, 1]], np.float32))
    assert up.distance[0] == pytest.approx(0.24 - 0.13, abs=1e-4)
    knee = np.array([[3.3, 4.5, 0.3]], np.float32)
    south, north = np.array([[0, -1, 0]], np.float32), np.array([[0, 1, 0]], np.float32)
    assert not np.isfinite(rays.hit(knee - np.array([[0, 0.6, 0]], np.float32), south).distance[0])
    assert np.isfinite(rays.hit(knee, north).distance[0])
    bench = next(p for p in parts if p.name == "s.bench" and p.material == "weathered wood").vertices
    np.testing.assert_allclose(
        (bench.min(axis=0) + bench.max(axis=0))[:2] / 2, shelter_bench(model)[:2], atol=2e-3
    )
    assert bench[:, 2].max() == pytest.approx(shelter_bench(model)[2])
    assert all_vertices(parts)[:, 2].max() == pytest.approx(model.height)


def test_a_wall_is_as_high_and_thick_as_asked() -> None:
    parts = {p.name: p for p in wall(along=[[0, 0], [5, 0]], height=1.8, thickness=0.3)}
    assert parts["wall.coping"].vertices[:, 2].max() == pytest.approx(1.8)
    bricks = parts["wall"].vertices
    assert (bricks[:, 1].min(), bricks[:, 1].max()) == pytest.approx((-0.15, 0.15))


def test_a_box_is_turned_clockwise_about_its_middle() -> None:
    (part,) = build_box(
        "b", Box.model_validate({"at": [1, 2], "size": [2, 0.2, 0.5], "height": 0.3, "turn": 90}), site()
    )
    np.testing.assert_allclose(part.vertices.min(axis=0), [0.9, 1, 0.3], atol=1e-9)
    np.testing.assert_allclose(part.vertices.max(axis=0), [1.1, 3, 0.8], atol=1e-9)
    (part,) = build_box("b", Box.model_validate({"at": [0, 0], "size": [2, 0.2, 0.5], "turn": 30}), site())
    # Its east end has gone south.
    assert part.vertices[part.vertices[:, 0].argmax(), 1] < 0


def test_the_upper_bays_of_a_shelter_are_glazed() -> None:
    """Between the sheet below and the frame's top bar; the front stays open."""
    parts = build_shelter("shelter", Shelter(at=(0, 0), size=(3.6, 1.5), facing=0.0), site())
    (glass,) = [p for p in parts if p.material == "window glass"]
    assert glass.name == "shelter.pane"
    assert len(glass.faces) == 2 * (2 + 1 + 1), "two bays behind, one at each side"
    low, high = glass.vertices.min(axis=0), glass.vertices.max(axis=0)
    assert low == pytest.approx([0.04 - 1.8, 0.04 - 0.75, 0.74], abs=1e-3)
    assert high == pytest.approx([1.8 - 0.04, 0.75 - 0.08, 2.4 - 0.13 - 0.06 - 0.02], abs=1e-3)
    world, _ = rays_of(parts)
    assert "window glass" not in world.materials


@pytest.mark.parametrize(
    "parts",
    [
        build_ground("ground", Ground.model_validate({"wet": 0.4}), site()),
        street(wet=0.4, centre_line=True),
        wall(wet=0.4),
        build_box("box", Box.model_validate({"at": [1, 0], "size": [1, 2, 3], "wet": 0.4}), site()),
    ],
    ids=["ground", "street", "wall", "box"],
)
def test_a_wet_piece_is_wet_all_over(parts: list[Part]) -> None:
    assert {p.wet for p in parts} == {0.4}
    assert {p.wet for p in street()} == {0.0}
