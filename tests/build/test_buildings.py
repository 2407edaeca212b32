"""Claddings, sheds, garages, shops: tight but for their openings, as large as their models say, laid as masons lay."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from preview.build.buildings import masonry
from preview.build.buildings.cladding import DEPTH, NEAR, SOME_WAY_OFF
from preview.build.buildings.face import Face
from preview.build.buildings.house import build_house, build_outbuilding
from preview.build.buildings.shops import build_shops
from preview.build.mesh import Part
from preview.build.world import gather
from preview.script import shops_plan
from preview.script.families import FAMILIES
from preview.script.house_plan import (
    bounds,
    cladding_of,
    direction_in_world,
    house_of,
    in_world,
    porch_lamp,
    porch_seat,
    wall_frame,
)
from preview.script.models.pieces.buildings import Garage, Shed, Shops
from tests.build.probing import (
    backs_seen,
    escapes,
    looks_from_around,
    random_directions,
    rays_of,
    shared_planes,
)
from tests.build.standing import site
from tests.build.test_house import WINDOW, house, inside, local, part_of

CLADDINGS: list[dict[str, Any]] = [
    {"material": "red paint", "cladding": "battened"},
    {"material": "brick", "bond": "english"},
    {"material": "stone", "floor": 0.1},
    {"material": "render"},
    {"material": "log", "floor": 0.5},
]
THIN = ("curtains", "blinds", "furniture")
"""Parts of thin cloth, which have no inside."""


def shops(**given: Any) -> Shops:
    return Shops.model_validate({"at": [2, 9], "bays": 2, "facing": 160, "goods": False, **given})


def solid(parts: list[Part]) -> list[Part]:
    return [part for part in parts if not any(word in part.name for word in THIN)]


@pytest.mark.parametrize("given", CLADDINGS)
def test_no_light_leaves_a_house_whatever_its_walls(given: dict[str, Any]) -> None:
    model, rng = house(**given), np.random.default_rng(1)
    _, rays = rays_of(build_house("house", model, site()))
    assert not escapes(rays, inside(model, rng, 60_000), random_directions(rng, 60_000)).any()


@pytest.mark.parametrize("given", CLADDINGS)
def test_light_leaves_any_wall_through_its_window_alone(given: dict[str, Any]) -> None:
    model, rng = house(**given, windows=[{**WINDOW, "wall": "left"}]), np.random.default_rng(2)
    _, rays = rays_of(build_house("house", model, site()))
    origins, directions = inside(model, rng, 100_000), random_directions(rng, 100_000)
    out = escapes(rays, origins, directions)
    assert out.sum() > 100
    frame, hole = wall_frame(model, "left"), bounds(model, model.windows[0])
    start = local(model, origins[out]) - frame.start
    heading = local(model, origins[out] + directions[out]) - frame.start - start
    # Stones and bricks round their edges off over the depth of their joints.
    slack = 1e-4 + DEPTH[cladding_of(model.material, model.cladding)] * (model.material != "log")
    across = start - (start @ frame.outward / (heading @ frame.outward))[:, None] * heading
    assert (across @ frame.along).min() >= hole.left - slack
    assert (across @ frame.along).max() <= hole.right + slack
    assert across[:, 2].min() >= hole.bottom - slack
    assert across[:, 2].max() <= hole.top + slack


@pytest.mark.parametrize("given", CLADDINGS)
def test_every_face_of_a_wall_looks_out_and_lies_alone(given: dict[str, Any]) -> None:
    openings = {"windows": [WINDOW], "doors": [{"from_left": 4, "over": 0.3}], "porch": {"seat": "swing"}}
    parts = solid(build_house("house", house(**given, **openings), site()))
    world, rays = rays_of(parts)
    origins, directions, hit = looks_from_around(
        world, rays, np.random.default_rng(7), centre=(2, 9, 1), radius=14, count=4000
    )
    assert backs_seen(world, directions, hit) == []
    assert shared_planes(world, origins, directions, hit) == []


@pytest.mark.parametrize("given", [c for c in CLADDINGS if c.get("cladding") != "battened"])
def test_walls_are_as_long_and_as_deep_as_the_script_says(given: dict[str, Any]) -> None:
    """The outermost faces lie on the plan's rectangle; only logs' ends go past it."""
    model = house(**given, facing=0, roof={"shape": "hip"})
    parts = build_house("house", model, site())
    walls = np.concatenate([p.vertices for p in parts if p.name == "house.walls"]) - [2.0, 9.0, 0.0]
    if model.material == "log":
        middle = np.abs(walls) < [4.0, 2.5, np.inf]
        assert np.abs(walls[middle[:, 1], 0]).max() == pytest.approx(4.5, abs=0.012)
        assert np.abs(walls[middle[:, 0], 1]).max() == pytest.approx(3.0, abs=0.012)
    else:
        np.testing.assert_allclose(walls.max(axis=0)[:2], [4.5, 3.0], atol=1e-3)
        np.testing.assert_allclose(walls.min(axis=0)[:2], [-4.5, -3.0], atol=1e-3)
    assert min(p.vertices[:, 2].min() for p in parts) == pytest.approx(-0.6), "it stands on a foundation"


def test_bricks_are_of_the_usual_size_and_number() -> None:
    """215 x 65 mm with joints of 10 mm: 60 to the square metre in stretcher bond, as brick merchants reckon.

    Source: firstinarchitecture.co.uk, standard brick sizes; armstrongsupplies.co.uk, brick dimensions.
    """
    units = masonry.bricks((0.0, 9.0), (0.0, 3.0), "stretcher", np.random.default_rng(1))
    whole = (units.right - units.left)[:, 0] > 0.2
    assert (units.right - units.left)[whole].mean() == pytest.approx(0.215, abs=5e-4)
    assert (units.high - units.low).mean() == pytest.approx(0.065, abs=5e-4)
    halves = (~whole).sum()
    assert (whole.sum() + 0.5 * halves) / 27.0 == pytest.approx(60.0, rel=0.02)


@pytest.mark.parametrize("bond", ["stretcher", "flemish", "english"])
def test_no_joint_stands_over_another(bond: Any) -> None:
    """What a bond is for: upright joints of neighbouring courses lie a quarter of a brick apart. Common practice."""
    units = masonry.bricks((0.0, 4.5), (0.0, 1.5), bond, np.random.default_rng(1))
    row = np.round(units.low / masonry.COURSE).astype(int)
    for course in range(row.max()):
        here, above = (units.right[row == n, 0] for n in (course, course + 1))
        here, above = here[here < 4.49], above[above < 4.49]
        assert np.abs(here[:, None] - above[None]).min() > 0.05
    # ... and in a course they leave no more than the joint between them.
    for course in range(row.max() + 1):
        left, right = np.sort(units.left[row == course, 0]), np.sort(units.right[row == course, 0])
        np.testing.assert_allclose(left[1:] - right[:-1], masonry.JOINT, atol=1e-9)
        assert (left[0], right[-1]) == pytest.approx((0.0, 4.5))


def test_bricks_stop_at_openings_and_at_a_gables_slopes() -> None:
    face = Face(6.0, 0.0, 3.0, 5.0, ())
    units = masonry.bricks((0.0, 6.0), (0.0, 5.0), "flemish", np.random.default_rng(1))
    cut = units.within(face.ends).around([(1.0, 0.9, 2.1, 2.2)])
    for edge, side in ((cut.left, 0), (cut.right, 1)):
        for level, height in ((0, cut.low), (1, cut.high)):
            limit = face.ends(height)[side]
            assert ((edge[:, level] - limit) * (1 if side == 0 else -1)).min() > -1e-9
    overlap = (cut.left[:, 0] < 2.1 - 1e-9) & (cut.right[:, 0] > 1.0 + 1e-9)
    overlap &= (cut.low < 2.2 - 1e-9) & (cut.high > 0.9 + 1e-9)
    assert not overlap.any()
    area = ((cut.right - cut.left).mean(axis=1) * (cut.high - cut.low)).sum()
    assert area == pytest.approx((18.0 + 6.0 - 1.1 * 1.3) * 0.8, rel=0.04), (
        "a fifth of a Flemish wall is mortar"
    )


def test_bricks_differ_from_each_other_about_their_material() -> None:
    part = part_of(build_house("house", house(material="brick"), site()), "house.walls", "brick")
    assert part.tint is not None
    assert part.tint.dtype == np.float32
    bricks = np.unique(np.round(part.tint, 5), axis=0)
    assert len(bricks) > 3000
    assert part.tint.mean() == pytest.approx(0.95, abs=0.06)
    assert 0.12 < bricks.std() < 0.3


def test_detail_falls_with_distance_from_the_nearest_camera_of_any_setup() -> None:
    model = house(material="brick", facing=180)
    count = {}
    for label, eyes in {
        "none": (),
        "near": ((2.0, 0.0, 1.6),),
        "both": ((2.0, 0.0, 1.6), (2.0, -40.0, 1.6)),
        "some way off": ((2.0, 6.0 - NEAR - 5.0, 1.6),),
        "far": ((2.0, 6.0 - SOME_WAY_OFF - 1.0, 1.6),),
    }.items():
        parts = build_house("house", model, site(eyes=eyes))
        count[label] = sum(len(p.faces) for p in parts if p.name == "house.walls" and p.material == "brick")
    assert count["near"] == count["both"], "the nearest decides"
    assert count["none"] > count["near"] > 3 * count["some way off"] > 0
    assert count["far"] == 0


@pytest.mark.parametrize("model", [Shed(at=(2, 9)), Garage.model_validate({"at": [2, 9], "facing": 200})])
def test_a_shed_or_garage_is_tight_when_shut(model: Shed | Garage) -> None:
    as_house = house_of(model).model_copy(update={"windows": []})
    rng = np.random.default_rng(4)
    _, rays = rays_of(build_house("shed", as_house, site()))
    escaped = escapes(rays, inside(as_house, rng, 60_000), random_directions(rng, 60_000))
    assert escaped.mean() < 2e-5
    parts = build_outbuilding("shed", model, site())
    assert any(p.material == "window glass" for p in parts)
    assert part_of(parts, "shed.floor").vertices[:, 2].max() == pytest.approx(0.06)


@pytest.mark.parametrize("kind", [Shed, Garage])
def test_its_door_opens_outwards(kind: type[Shed]) -> None:
    model = kind.model_validate({"at": [2, 9], "open": 80})
    as_house = house_of(model)
    assert as_house.facing == pytest.approx(np.pi), "angles that are read are not read again"
    assert as_house.doors[0].open == pytest.approx(np.radians(80))
    parts = build_outbuilding("shed", model, site())
    out = np.concatenate([local(as_house, p.vertices) for p in parts if p.name == "shed.doors[0]"])[:, 1]
    width = model.door[0] * (0.5 if kind is Garage else 1.0)
    assert out.max() == pytest.approx(model.size[1] / 2 + width, abs=0.12)
    rng = np.random.default_rng(5)
    _, rays = rays_of(parts)
    assert escapes(rays, inside(as_house, rng, 20_000), random_directions(rng, 20_000)).mean() > 0.01


@pytest.mark.parametrize(
    "label", ["shed", "garage", "shops", "shops with blinds", "one shop", "house with shutters"]
)
def test_every_face_of_a_small_building_looks_out_and_lies_alone(label: str) -> None:
    build: dict[str, Any] = {
        "shed": lambda: build_outbuilding("it", Shed(at=(2, 9)), site()),
        "garage": lambda: build_outbuilding("it", Garage.model_validate({"at": [2, 9], "open": 35}), site()),
        "shops": lambda: build_shops("it", shops(goods=True), site()),
        "shops with blinds": lambda: build_shops("it", shops(bays=1, blinds=[True], floors=3), site()),
        "one shop": lambda: build_shops("it", shops(bays=1, floors=1, material="render"), site()),
        "house with shutters": lambda: build_house(
            "it",
            house(windows=[{**WINDOW, "shutters": True}, {"from_left": 5, "size": [1.6, 1.2]}], furnished=True,
                  chimney={"pots": 4, "from_left": 3}, roof={"material": "metal"}),
            site(),
        ),
    }  # fmt: skip
    world, rays = rays_of(solid(build[label]()))
    origins, directions, hit = looks_from_around(
        world, rays, np.random.default_rng(7), centre=(2, 9, 2), radius=16, count=8000
    )
    assert (hit.face >= 0).sum() > 500
    assert backs_seen(world, directions, hit) == []
    assert shared_planes(world, origins, directions, hit) == []


def _in_front(model: Shops, points: np.ndarray) -> np.ndarray:
    """World points in the front wall's frame."""
    shell = shops_plan.shell(model)
    frame = wall_frame(shell, "front")
    away = local(shell, points) - frame.start
    return np.stack([away @ frame.along, away[:, 2], away @ frame.outward], axis=1)


@pytest.mark.parametrize("bay", [0, 1])
@pytest.mark.parametrize("upstairs", [False, True])
def test_light_leaves_a_shop_through_its_own_glass_alone(bay: int, upstairs: bool) -> None:
    model, rng = shops(), np.random.default_rng(6)
    shell = shops_plan.shell(model)
    parts = [p for p in build_shops("shops", model, site()) if "curtains" not in p.name]
    _, rays = rays_of(parts)
    low, high = (shops_plan.GROUND + 0.05, shops_plan.GROUND + 2.6) if upstairs else (0.2, 3.1)
    count = 80_000
    frame = wall_frame(shell, "front")
    a = model.bay * bay + 0.4 + (model.bay - 0.8) * rng.random(count)
    c = -1.2 - (model.depth - 1.7) * rng.random(count)
    b = low + (high - low) * rng.random(count)
    origins = in_world(
        shell, frame.start + a[:, None] * frame.along + c[:, None] * frame.outward + b[:, None] * [0, 0, 1]
    )
    directions = random_directions(rng, count)
    out = escapes(rays, origins, directions)
    assert out.sum() > 200
    start = _in_front(model, origins[out])
    heading = _in_front(model, origins[out] + directions[out]) - start
    # In the plane of the solid wall, which the bricks' faces stand before.
    across = start - ((start[:, 2] + 0.02) / heading[:, 2])[:, None] * heading
    own = shops_plan.bay(model, bay)
    holes = [own.display, own.lobby]
    if upstairs:
        holes = [h for h in shops_plan.upper_windows(model) if own.left < h.left < own.right]
    through = np.zeros(len(across), bool)
    for hole in holes:
        through |= (
            (across[:, 0] > hole.left - 1e-3)
            & (across[:, 0] < hole.right + 1e-3)
            & (across[:, 1] > hole.bottom - 1e-3)
            & (across[:, 1] < hole.top + 1e-3)
        )
    assert through.all()


def test_shops_are_as_large_as_they_say_and_named_as_they_are_built() -> None:
    model = shops(bays=3, facing=180, goods=True)
    parts = build_shops("shops", model, site())
    brick = np.concatenate([p.vertices for p in parts if p.name == "shops.walls"]) - [2.0, 9.0, 0.0]
    np.testing.assert_allclose(brick.max(axis=0)[:2], [7.5, 4.0], atol=1e-3)
    np.testing.assert_allclose(brick.min(axis=0)[:2], [-7.5, -4.0], atol=1e-3)
    coping = part_of(parts, "shops.coping")
    assert coping.vertices[:, 2].max() == pytest.approx(shops_plan.roof_height(model) + shops_plan.PARAPET)
    places = dict(FAMILIES[Shops].places("shops", model, model.facing))
    for number in range(3):
        window = places[f"shops.window[{number}]"]
        pane = part_of(parts, f"shops.windows[{number}].pane").vertices
        middle = 0.5 * (pane.min(axis=0) + pane.max(axis=0))
        np.testing.assert_allclose(window.position, middle, atol=0.05)
        assert window.facing == pytest.approx((0.0, -1.0, 0.0))
        # A lit window glows 2 cm behind its place, behind the pane.
        assert window.position[1] > middle[1] + 0.005
        assert window.size == pytest.approx(
            (np.ptp(pane[:, 0]) + 0.034, np.ptp(pane[:, 2]) + 0.034), abs=1e-6
        )
    assert len([name for name in places if name.startswith("shops.upper.window[")]) == 6
    assert any(p.name == "shops.goods" for p in parts)


def test_nobody_stands_in_a_wall_of_shops_but_in_their_rooms_and_lobbies() -> None:
    model = shops(bays=2, facing=180)
    family = FAMILIES[Shops]
    front_y = 9.0 - 4.0
    for point, what in {
        (2.0 - 5.0 + 1.0, front_y + 3.0, 1.6): None,
        (2.0 - 4.9, front_y + 3.0, 1.6): "a wall of shops",
        (2.0 - 5.0 + 4.2, front_y + 0.4, 1.6): None,
        (2.0, front_y + 3.0, 3.3): "a floor of shops",
        (2.0, front_y - 0.5, 1.6): None,
    }.items():
        assert family.inside(np.array(point), "shops", model) == what


def test_a_porchs_seat_and_lamp_leave_the_lamp_its_light() -> None:
    model = house(porch={"seat": "swing"}, doors=[{"from_left": 4}], furnished=True)
    rng = np.random.default_rng(8)
    world, rays = rays_of(build_house("house", model, site()))
    lamp = np.broadcast_to(in_world(model, porch_lamp(model)), (8000, 3)).astype(np.float32)
    directions = random_directions(rng, 8000)
    hit = rays.hit(lamp, directions)
    met = np.array([world.names[p] for p in world.part_of_face[hit.face]])
    met[hit.face < 0] = "outside"
    own = np.isin(met, ["house.porch.bracket"])
    assert own.mean() < 0.35, "the shade takes what would go up, no more"
    assert own[directions[:, 2] < 0.2].mean() < 0.03
    towards_wall = directions @ direction_in_world(model, wall_frame(model, "front").outward) < -0.5
    level = np.abs(directions[:, 2]) < 0.4
    assert np.isin(met[towards_wall & level], ["house.walls", "house.doors[0]"]).mean() > 0.9
    seat = porch_seat(model)
    assert seat is not None
    swing = local(
        model, part_of(build_house("house", model, site()), "house.porch.swing", "white paint").vertices
    )
    assert swing[:, :2].mean(axis=0) == pytest.approx(seat[:2], abs=0.25)
    assert np.abs(swing[:, 2] - seat[2]).min() < 1e-6


@pytest.mark.parametrize("kind", ["open", "half", "drawn", "net"])
def test_curtains_leave_as_much_of_the_window_as_they_are_drawn(kind: str) -> None:
    """Shares of a level pencil of rays that is as wide as the glass."""
    model = house(windows=[{**WINDOW, "curtains": kind, "bars": False}])
    parts = build_house("house", model, site())
    cloth = [p for p in parts if p.name == "house.windows[0].curtains" and p.material != "dark paint"]
    world = gather(cloth)
    assert {p.material for p in cloth} <= {"curtain", "net curtain"}
    _, rays = rays_of(cloth)
    frame, hole = wall_frame(model, "front"), bounds(model, model.windows[0])
    rng = np.random.default_rng(9)
    a = hole.left + (hole.right - hole.left) * rng.random(8000)
    b = hole.bottom + (hole.top - hole.bottom) * rng.random(8000)
    start = frame.start + a[:, None] * frame.along + frame.outward + b[:, None] * [0, 0, 1]
    way = np.broadcast_to(direction_in_world(model, -frame.outward), (8000, 3)).astype(np.float32)
    free = escapes(rays, in_world(model, start), way).mean()
    low, high = {"open": (0.6, 0.85), "half": (0.3, 0.5), "drawn": (0.0, 0.005), "net": (0.4, 0.6)}[kind]
    assert low <= free <= high
    assert np.ptp(world.vertices[:, 1]) > 0.02, "it hangs in folds"


def test_a_light_over_the_door_makes_its_doorway_higher() -> None:
    plain, lit = (house(doors=[{"from_left": 4, "over": over}]) for over in (0, "35 cm"))
    assert bounds(lit, lit.doors[0]).top - bounds(plain, plain.doors[0]).top == pytest.approx(0.35)
    rng = np.random.default_rng(10)
    shares = []
    for model in (plain, lit):
        _, rays = rays_of(build_house("house", model, site()))
        shares.append(escapes(rays, inside(model, rng, 60_000), random_directions(rng, 60_000)).mean())
    assert shares[0] < 1e-5 < 1e-4 < shares[1]


def test_a_furnished_room_stays_within_its_walls_and_clear_of_its_lamp() -> None:
    model = house(furnished=True, facing=0, windows=[WINDOW])
    parts = [p for p in build_house("house", model, site()) if p.name == "house.furniture"]
    points = np.concatenate([p.vertices for p in parts]) - [2.0, 9.0, 0.0]
    assert np.abs(points[:, 0]).max() < 4.5 - model.thickness + 0.02
    assert np.abs(points[:, 1]).max() < 3.0 - model.thickness + 0.02
    assert points[:, 2].min() > 0.45 - 0.02
    assert points[:, 2].max() < 0.45 + 2.8 + 0.02
    lamp = np.array([0.0, 0.0, 0.45 + 1.5])
    assert np.linalg.norm(points - lamp, axis=1).min() > 0.2
    assert not [
        p for p in build_house("house", house(furnished=False), site()) if p.name == "house.furniture"
    ]


def test_a_row_too_long_to_build_is_told() -> None:
    found = list(FAMILIES[Shops].misfits(shops(bays=40, bay=6), ("set", 0, "shops")))
    assert found == [(("set", 0, "shops", "bays"), "the row is 240 m long; 200 m is the most")]
    assert not list(FAMILIES[Shops].misfits(shops(), ("set", 0, "shops")))
