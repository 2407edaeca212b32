"""House: tight but for its openings, as large as its model says, sound to look at."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from preview.build.buildings.house import build_house
from preview.build.buildings.openings import GLASS, INNER, OUTER, SASH
from preview.build.mesh import Part
from preview.build.practicals import BEHIND_OPENING
from preview.build.world import gather, split
from preview.faults import UserError
from preview.script.house_plan import (
    LIT,
    bounds,
    in_world,
    porch_lamp,
    porch_span,
    set_back,
    wall_frame,
    wall_top,
)
from preview.script.models.pieces.buildings import House
from preview.trace.rays import Rays
from tests.build.probing import (
    backs_seen,
    escapes,
    looks_from_around,
    random_directions,
    rays_of,
    shared_planes,
)
from tests.build.standing import site

WINDOW = {"wall": "front", "from_left": 1.4, "size": [1.1, 1.3]}
PIERCED = {
    "windows": [WINDOW, {**WINDOW, "from_left": 6.3}, {**WINDOW, "wall": "left"}, {**WINDOW, "wall": "back"}],
    "doors": [{"wall": "front", "from_left": 3.9, "open": "60 deg"}],
}
SHAPES: list[dict[str, Any]] = [
    {},
    {"roof": {"shape": "hip", "pitch": "28 deg"}, "porch": {"width": 4, "depth": 1.8}},
    {"roof": {"shape": "flat"}, "porch": {"depth": 2.0, "rail": False}, "floor": 0, "material": "render"},
    {"roof": {"shape": "hip"}, "size": [6, 8], "material": "brick", "floor": 0.1, "facing": "150 deg"},
    {"roof": {"pitch": "58 deg", "overhang": 0.6}, "porch": {"depth": 3}, "floor": 0.8, "facing": "77 deg"},
    {"roof": {"pitch": "11 deg"}, "porch": {}, "thickness": 0.08},
]


def house(**given: Any) -> House:
    """Bare, unless furniture is asked for, so that rays out of its room meet nothing but itself."""
    windows = [{"curtains": "none", **window} for window in given.pop("windows", [])]
    return House.model_validate(
        {"at": [2, 9], "size": [9, 6], "furnished": False, "windows": windows, **given}
    )


def inside(model: House, rng: np.random.Generator, count: int) -> np.ndarray:
    """Random points (count, 3) in the room."""
    half = np.array(model.size) / 2 - model.thickness - 0.05
    low = np.array([*-half, max(model.floor, 0.003) + 0.02])
    high = np.array([*half, wall_top(model) - 0.02])
    return in_world(model, low + rng.random((count, 3)) * (high - low))


def local(model: House, points: np.ndarray) -> np.ndarray:
    """World points (n, 3) in the house's own axes."""
    away = points - np.array([*model.at, 0.0])
    axes = in_world(model, np.eye(3)) - np.array([*model.at, 0.0])
    return away @ axes.T


def part_of(parts: list[Part], name: str, material: str | None = None) -> Part:
    (found,) = [p for p in parts if p.name == name and material in (None, p.material)]
    return found


@pytest.mark.parametrize("shape", SHAPES)
def test_no_light_leaves_a_house_without_openings(shape: dict[str, Any]) -> None:
    model, rng = house(**shape), np.random.default_rng(1)
    _, rays = rays_of(build_house("house", model, site()))
    escaped = escapes(rays, inside(model, rng, 60_000), random_directions(rng, 60_000))
    assert not escaped.any()


def test_no_light_comes_down_into_a_house_without_openings() -> None:
    model, rng = house(porch={}), np.random.default_rng(2)
    world, rays = rays_of(build_house("house", model, site()))
    _, _, hit = looks_from_around(world, rays, rng, centre=(2, 9, 1), radius=14, count=60_000)
    seen = {world.names[part] for part in np.unique(world.part_of_face[hit.face[hit.face >= 0]])}
    assert "house.roof" in seen
    assert not seen & {"house.inside", "house.floor"}


@pytest.mark.parametrize("wall", ["front", "back", "left", "right"])
def test_light_leaves_through_the_window_alone(wall: str) -> None:
    model = house(windows=[{**WINDOW, "wall": wall}], facing="200 deg", porch={})
    rng = np.random.default_rng(3)
    parts = build_house("house", model, site())
    # Before the window stands the porch: without it every ray that is out has escaped.
    parts = [
        p
        for p in parts
        if not p.name.startswith(("house.porch", "house.eaves", "house.steps", "house.gutters"))
    ]
    _, rays = rays_of(parts)
    origins, directions = inside(model, rng, 200_000), random_directions(rng, 200_000)
    out = escapes(rays, origins, directions)
    assert out.sum() > 300
    frame = wall_frame(model, wall)  # type: ignore[arg-type]
    hole = bounds(model, model.windows[0])
    start = local(model, origins[out]) - frame.start
    heading = local(model, origins[out] + directions[out]) - frame.start - start
    away = -(start @ frame.outward) / (heading @ frame.outward)
    assert (away > 0).all()
    across = start + away[:, None] * heading
    from_left, above = across @ frame.along, across[:, 2]
    assert from_left.min() >= hole.left - 1e-4
    assert from_left.max() <= hole.right + 1e-4
    assert above.min() >= hole.bottom - 1e-4
    assert above.max() <= hole.top + 1e-4
    # ... and through all of it, to within its frame.
    assert from_left.max() - from_left.min() > 1.1 - 2 * 0.09
    assert above.max() - above.min() > 1.3 - 2 * 0.09


def test_a_shut_door_is_tight_and_an_open_one_is_not() -> None:
    rng = np.random.default_rng(4)
    share = {}
    for angle in ("0 deg", "80 deg"):
        model = house(doors=[{"wall": "front", "from_left": 3.9, "open": angle}])
        _, rays = rays_of(build_house("house", model, site()))
        share[angle] = escapes(rays, inside(model, rng, 100_000), random_directions(rng, 100_000)).mean()
    assert share["0 deg"] < 1e-5
    assert share["80 deg"] > 1e-3


def test_a_door_opens_inwards_on_its_left() -> None:
    model = house(doors=[{"wall": "front", "from_left": 3.9, "open": "90 deg"}])
    leaf = part_of(build_house("house", model, site()), "house.doors[0]", "green paint")
    frame = wall_frame(model, "front")
    from_left = (local(model, leaf.vertices) - frame.start) @ frame.along
    out = (local(model, leaf.vertices) - frame.start) @ frame.outward
    assert from_left.max() < 3.9 + 0.15
    assert out.min() < -model.thickness - 0.75


@pytest.mark.parametrize("facing", [180, 133])
def test_walls_room_and_openings_are_where_the_model_puts_them(facing: float) -> None:
    model = house(windows=[WINDOW], facing=facing, material="render", roof={"shape": "flat"})
    parts = build_house("house", model, site())
    walls = local(model, part_of(parts, "house.walls", "render").vertices)
    np.testing.assert_allclose(walls.max(axis=0)[:2], [4.5, 3.0], atol=1e-6)
    np.testing.assert_allclose(walls.min(axis=0)[:2], [-4.5, -3.0], atol=1e-6)
    floor = local(model, part_of(parts, "house.floor").vertices)
    np.testing.assert_allclose(floor.max(axis=0), [4.32, 2.82, 0.45], atol=1e-6)
    np.testing.assert_allclose(floor.min(axis=0), [-4.32, -2.82, 0.45], atol=1e-6)
    room = local(model, part_of(parts, "house.inside").vertices)
    assert room[:, 2].max() == pytest.approx(0.45 + 2.8)
    # Reveals as far as the coat of render: the front's left end is at local x = +4.5 and the wall runs towards -x.
    shell = local(model, part_of(parts, "house.walls", "render").vertices)
    reveal = shell[np.abs(shell[:, 1] - (3.0 - set_back(model) - 0.004)) < 1e-6]
    assert sorted(set(np.round(reveal[:, 0], 6))) == pytest.approx([4.5 - 2.5, 4.5 - 1.4])
    assert sorted(set(np.round(reveal[:, 2], 6))) == pytest.approx([0.45 + 0.9, 0.45 + 0.9 + 1.3])


def test_floors_ridge_and_eaves_stand_at_their_heights() -> None:
    model = house(porch={}, doors=PIERCED["doors"])
    parts = build_house("house", model, site())
    assert part_of(parts, "house.floor").vertices[:, 2].max() == pytest.approx(0.45)
    assert part_of(parts, "house.porch", "weathered wood").vertices[:, 2].max() == pytest.approx(0.45)
    # Two planes at 38 degrees over half of 6 m, the underside through the tops of the walls.
    eaves = part_of(parts, "house.eaves").vertices
    rise = 3.0 * np.tan(np.radians(38))
    middle = eaves[np.abs(local(model, eaves)[:, 1]) < 1e-6]
    assert np.abs(middle[:, 2] - (0.45 + 2.8 + rise)).min() < 1e-6


def test_the_porch_fills_its_depth_and_its_posts_stand_in_it() -> None:
    model = house(porch={"depth": 2.2, "width": 5})
    assert porch_span(model) == (2.0, 7.0)
    boards = local(
        model, part_of(build_house("house", model, site()), "house.porch", "weathered wood").vertices
    )
    assert boards[:, 0].min() == pytest.approx(4.5 - 7.0)
    assert boards[:, 0].max() == pytest.approx(4.5 - 2.0)
    assert boards[:, 1].max() == pytest.approx(3.0 + 2.2 + 0.03)


@pytest.mark.parametrize("shape", [s for s in SHAPES if "porch" in s])
def test_the_porch_lamp_hangs_free_under_the_porch(shape: dict[str, Any]) -> None:
    model, rng = house(**shape, doors=PIERCED["doors"]), np.random.default_rng(6)
    _, rays = rays_of(build_house("house", model, site()))
    lamp = np.broadcast_to(in_world(model, porch_lamp(model)), (4000, 3)).astype(np.float32)
    directions = random_directions(rng, 4000)
    hit = rays.hit(lamp, directions)
    assert hit.distance.min() > 0.03
    assert np.isfinite(hit.distance[directions[:, 2] > 0.5]).all(), "the porch has a ceiling"
    assert (~np.isfinite(hit.distance)).any(), "its light gets out"


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("pierced", [False, True])
def test_every_face_that_is_seen_looks_out_and_lies_alone_in_its_plane(
    shape: dict[str, Any], pierced: bool
) -> None:
    openings = PIERCED if pierced and "size" not in shape else {}
    world, rays = rays_of(build_house("house", house(**{"porch": {}, **shape, **openings}), site()))
    origins, directions, hit = looks_from_around(
        world, rays, np.random.default_rng(7), centre=(2, 9, 1), radius=14, count=4000
    )
    assert (hit.face >= 0).sum() > 1500
    assert backs_seen(world, directions, hit) == []
    assert shared_planes(world, origins, directions, hit) == []


def test_the_probe_for_shared_planes_finds_one() -> None:
    parts = build_house("house", house(), site())
    world, rays = rays_of([*parts, part_of(parts, "house.walls", "clapboard")])
    origins, directions, hit = looks_from_around(
        world, rays, np.random.default_rng(7), centre=(2, 9, 1), radius=14, count=2000
    )
    assert shared_planes(world, origins, directions, hit)


def test_a_house_with_porch_and_boards_stays_within_its_budget() -> None:
    parts = build_house("house", house(porch={}, **PIERCED), site())
    assert sum(len(p.faces) for p in parts) < 45_000


def test_boards_stand_before_the_wall_and_stop_at_openings() -> None:
    model = house(windows=[WINDOW])
    walls = part_of(build_house("house", model, site()), "house.walls", "clapboard")
    points = local(model, walls.vertices).reshape(-1, 3, 3)
    relief = points[(points[:, :, 1] > 3.0 + 1e-6).any(axis=1)].mean(axis=1)
    assert len(relief) > 20
    assert 0.015 < points[:, :, 1].max() - 3.0 < 0.025
    hole = bounds(model, model.windows[0])
    from_left = 4.5 - relief[:, 0]
    within = (
        (from_left > hole.left)
        & (from_left < hole.right)
        & (relief[:, 2] > hole.bottom)
        & (relief[:, 2] < hole.top)
    )
    assert not within.any()


def test_the_same_house_is_built_the_same() -> None:
    first, second = (build_house("house", house(porch={}, **PIERCED), site()) for _ in range(2))
    for one, two in zip(first, second, strict=True):
        np.testing.assert_array_equal(one.vertices, two.vertices)


def test_openings_that_do_not_fit_are_all_named() -> None:
    model = house(
        windows=[
            {"wall": "front", "from_left": 8.2, "size": [1.1, 1.3]},
            {"wall": "left", "from_left": 2.0, "size": [1.1, 2.3]},
            {"wall": "back", "from_left": 2.0, "size": [1.1, 1.3]},
        ],
        doors=[{"wall": "back", "from_left": 2.9}],
    )
    with pytest.raises(UserError) as caught:
        build_house("house", model, site())
    assert list(caught.value.faults) == [
        "house: windows[0] spans 8.2 to 9.3 m from the left end of the front wall; there is room from 0.18 to 8.82 m",
        "house: doors[0] overlaps windows[2] in the back wall",
        "house: windows[1] reaches 3.2 m above the floor; the walls end at 2.8 m",
    ]


@pytest.mark.parametrize("facing", [180, 77])
@pytest.mark.parametrize("material", ["clapboard", "brick"])
def test_a_window_has_its_pane_in_its_sash(facing: float, material: str) -> None:
    model = house(**PIERCED, facing=facing, material=material)
    parts = build_house("house", model, site())
    panes = [p for p in parts if p.material == "window glass"]
    assert [p.name for p in panes] == [f"house.windows[{i}].pane" for i in (0, 1, 3, 2)], "front, back, left"
    for part in panes:
        window = model.windows[int(part.name.split("[")[1][0])]
        frame, hole = wall_frame(model, window.wall), bounds(model, window)
        away = local(model, part.vertices) - frame.start
        # The lining covers 20 mm of the hole on each side, and the sash starts behind it.
        span = np.stack([away @ frame.along, away[:, 2]])
        assert span.min(axis=1) == pytest.approx([hole.left + 0.02, hole.bottom + 0.02], abs=1e-3)
        assert span.max(axis=1) == pytest.approx([hole.right - 0.02, hole.top - 0.02], abs=1e-3)
        out = away @ frame.outward
        glass = np.unique(np.round(out + set_back(model), 6))
        assert glass == pytest.approx([INNER + GLASS, OUTER + GLASS]), "the upper sash before the lower"
        assert -SASH < GLASS < 0.0, "bars stand before the glass and behind it"
        assert glass.min() > -LIT - BEHIND_OPENING + 0.005, "a lit window glows behind it"
        towards = local(model, part.vertices + part.normals) - local(model, part.vertices)
        assert towards @ frame.outward == pytest.approx(1.0)


def test_panes_are_met_only_where_light_could_pass() -> None:
    """Rays out of the room meet the glass, or a sash: where the solid house lets a ray out, there is a pane."""
    model = house(windows=PIERCED["windows"])
    rng = np.random.default_rng(3)
    solid, panes = split(gather(build_house("house", model, site())))
    origins, directions = inside(model, rng, 200_000), random_directions(rng, 200_000)
    rays, glass = (Rays(world.vertices, world.faces) for world in (solid, panes))
    out = escapes(rays, origins, directions)
    assert out.sum() > 1000
    assert not escapes(glass, origins[out], directions[out]).any()


def test_panes_share_no_plane_with_the_house() -> None:
    world = gather(build_house("house", house(**PIERCED), site()))
    rays = Rays(world.vertices, world.faces)
    origins, directions, hit = looks_from_around(
        world, rays, np.random.default_rng(8), centre=(2, 9, 1), radius=14, count=8000
    )
    assert any(world.materials[p] == "window glass" for p in world.part_of_face[hit.face[hit.face >= 0]])
    assert shared_planes(world, origins, directions, hit) == []
