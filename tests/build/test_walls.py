"""Free-standing walls: laid, coped, as high and thick as they say, with gates that let through what they should."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from preview.build.buildings.wall import OVER, build_wall
from preview.build.buildings.wall_gate import PIER
from preview.build.mesh import Part
from preview.faults import UserError
from preview.script.families import FAMILIES
from preview.script.models.pieces.things import Wall
from tests.build.probing import backs_seen, looks_from_around, rays_of, shared_planes
from tests.build.standing import site

ALONG = [[-6, 0], [4, 0], [7, 4]]
GATES: list[dict[str, Any]] = [
    {"from_start": 2.0, "width": 1.2, "open": 0},
    {"from_start": 5.0, "width": 2.4, "open": 60, "leaf": "iron"},
]


def wall(**given: Any) -> list[Part]:
    return build_wall("wall", Wall.model_validate({"along": ALONG, **given}), site())


@pytest.mark.parametrize("material", ["brick", "stone", "concrete"])
@pytest.mark.parametrize("gates", [[], GATES])
def test_every_face_of_a_wall_looks_out_and_lies_alone(material: str, gates: list[dict[str, Any]]) -> None:
    world, rays = rays_of(wall(material=material, gates=gates))
    origins, directions, hit = looks_from_around(
        world, rays, np.random.default_rng(5), centre=(0, 0, 1), radius=11, count=6000
    )
    assert (hit.face >= 0).sum() > 500
    assert backs_seen(world, directions, hit) == []
    assert shared_planes(world, origins, directions, hit) == []


@pytest.mark.parametrize("material", ["brick", "stone"])
@pytest.mark.parametrize("height", [0.4, 1.8])
def test_a_wall_is_as_high_and_as_thick_as_it_says(material: str, height: float) -> None:
    parts = wall(along=[[-3, 0], [3, 0]], material=material, height=height, thickness=0.4)
    points = np.concatenate([p.vertices for p in parts])
    assert points[:, 2].max() == pytest.approx(height)
    faces = np.concatenate([p.vertices for p in parts if p.name == "wall" and p.material == material])
    np.testing.assert_allclose(faces.max(axis=0)[:2], [3.0, 0.2], atol=1e-3)
    np.testing.assert_allclose(faces.min(axis=0)[:2], [-3.0, -0.2], atol=1e-3)


def test_a_shut_boarded_gate_stops_a_ray_and_an_open_iron_one_does_not() -> None:
    _, rays = rays_of(wall(gates=GATES))
    rng = np.random.default_rng(1)

    def through(start: float, width: float) -> float:
        x = -6.0 + start + 0.1 + (width - 0.2) * rng.random(4000)
        z = 0.2 + 1.2 * rng.random(4000)
        origins = np.stack([x, np.full(4000, -6.0), z], axis=1).astype(np.float32)
        north = np.broadcast_to(np.array([0.0, 1.0, 0.0], np.float32), (4000, 3))
        return float(
            (~rays.blocked(origins, np.ascontiguousarray(north), np.full(4000, 12.0, np.float32))).mean()
        )

    assert through(2.0, 1.2) == 0.0
    assert through(5.0, 2.4) > 0.6
    assert through(8.5, 1.0) == 0.0, "the wall itself"


def test_gates_open_to_the_right_and_hang_between_their_piers() -> None:
    parts = wall(gates=[{"from_start": 2.0, "width": 1.2, "open": 90}])
    leaf = np.concatenate([p.vertices for p in parts if p.name == "wall.gate[0]"])
    # The wall runs east: to its right is south, and the leaf hangs at its western pier.
    assert leaf[:, 1].min() == pytest.approx(-1.17, abs=0.03)
    assert leaf[:, 0].max() < -6.0 + 2.0 + 0.15
    piers = np.concatenate([p.vertices for p in parts if p.name == "wall.piers" and p.material == "brick"])
    assert piers[:, 0].min() == pytest.approx(-6.0 + 2.0 - PIER, abs=1e-3)
    assert piers[:, 0].max() == pytest.approx(-6.0 + 3.2 + PIER, abs=1e-3)
    inner = piers[np.abs(piers[:, 0] + 3.4) < 0.6 - 1e-3]
    assert not len(inner), "nothing stands in the way"
    top = max(p.vertices[:, 2].max() for p in parts)
    assert top == pytest.approx(2.0 + OVER)


def test_a_walled_yard_with_a_gate_is_closed_but_for_it() -> None:
    yard = [[-4, -4], [4, -4], [4, 4], [-4, 4], [-4, -4]]
    _, rays = rays_of(wall(along=yard, gates=[{"from_start": 3.0, "width": 1.4, "open": 90, "leaf": "iron"}]))
    rng = np.random.default_rng(2)
    azimuth = 2 * np.pi * rng.random(20_000)
    ways = np.stack([np.sin(azimuth), np.cos(azimuth), np.zeros(20_000)], axis=1).astype(np.float32)
    middle = np.broadcast_to(np.array([0.0, 0.0, 1.0], np.float32), (20_000, 3))
    out = ~rays.blocked(np.ascontiguousarray(middle), ways, np.full(20_000, 50.0, np.float32))
    at = 4.0 * ways[out, 0] / -ways[out, 1]
    assert out.mean() == pytest.approx((np.arctan(1 / 4) + np.arctan(0.4 / 4)) / (2 * np.pi), rel=0.25)
    assert at.min() > -1.0 - 0.05
    assert at.max() < 0.4 + 0.05


def test_a_gate_is_a_place_and_a_way_through() -> None:
    model = Wall.model_validate({"along": ALONG, "gates": GATES})
    family = FAMILIES[Wall]
    places = dict(family.places("wall", model, 0.0))
    assert places["wall.gate[1]"].position == pytest.approx((0.2, 0.0, 1.0))
    assert places["wall.gate"].facing == pytest.approx((0.0, -1.0, 0.0), abs=1e-9)
    assert family.inside(np.array([0.2, 0.0, 1.0]), "wall", model) is None
    assert family.inside(np.array([-5.0, 0.0, 1.0]), "wall", model) == "the wall wall"
    late = model.model_copy(update={"gates": [model.gates[0].model_copy(update={"from_start": 9.5})]})
    assert [sentence for _, sentence in family.misfits(late, ("set", 0, "wall"))] == [
        "the gate runs round a corner of the wall"
    ]
    with pytest.raises(UserError, match="runs into a corner"):
        build_wall("wall", late, site())
