"""Vehicles, camp, market and lamps: sizes, sound surfaces, lamps that shine out, closed things that are closed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from preview.build.assemble import BUILDERS
from preview.build.mesh import Part
from preview.build.things.vehicle import pressed_sheets
from preview.build.world import gather
from preview.script.boat_plan import hull
from preview.script.camp_plan import bulbs, tent_size
from preview.script.families import FAMILIES
from preview.script.models.pieces import PIECES
from preview.script.vehicle_plan import SIZES
from preview.trace.rays import Rays
from preview.trade.catalogue import material, names
from tests.build.probing import backs_seen, looks_from_around, rays_of, volume
from tests.build.standing import site

CLOTHS = ("tent cloth", "canvas", "light cloth", "red cloth")
"""Single sheets by design: seen from both sides."""
THINGS: dict[str, tuple[str, dict[str, Any]]] = {
    "saloon": ("car", {}),
    "saloon with a door open": ("car", {"doors": {"left": 60}, "steer": 20}),
    "estate": ("car", {"kind": "estate"}),
    "van": ("van", {}),
    "pick-up": ("pickup", {}),
    "tractor": ("tractor", {}),
    "bicycle": ("bicycle", {}),
    "boat": ("boat", {}),
    "boat heeled": ("boat", {"heel": 15, "oars": "none"}),
    "campfire": ("campfire", {}),
    "fire of driftwood": ("campfire", {"wood": "driftwood", "stones": False}),
    "ridge tent": ("tent", {}),
    "dome tent": ("tent", {"kind": "dome"}),
    "bell tent": ("tent", {"kind": "bell", "door": 0}),
    "rocks": ("rocks", {}),
    "driftwood": ("driftwood", {}),
    "string": ("string", {"along": [[-3, 0], [0, 1], [3, 0]]}),
    "stall": ("stall", {}),
    "stall of bread": ("stall", {"goods": "bread"}),
    "phone box": ("phone_box", {}),
    "washing": ("washing", {"along": [[-3, 0], [3, 0]]}),
    **{f"lamp {kind}": ("lamp_post", {"kind": kind}) for kind in ("double", "column", "bracket", "bollard")},
    **{
        f"prop {kind}": ("prop", {"kind": kind})
        for kind in (
            "crate", "pallet", "barrel", "bench", "table", "chair", "bin", "bollard", "signpost", "ladder",
            "sacks", "candle",
        )
    },
}  # fmt: skip


def built(key: str, **given: Any) -> list[Part]:
    model = PIECES[key].model_validate({**({} if "along" in given else {"at": [0, 0]}), **given})
    return BUILDERS[type(model)]("it", model, site())


def points(parts: list[Part]) -> np.ndarray:
    return np.concatenate([part.vertices for part in parts])


def places(key: str, *, azimuth: float = 0.0, **given: Any) -> dict[str, Any]:
    model = PIECES[key].model_validate({**({} if "along" in given else {"at": [0, 0]}), **given})
    return dict(FAMILIES[type(model)].places("it", model, azimuth))


@pytest.mark.parametrize("label", THINGS)
def test_surfaces_are_sound(label: str) -> None:
    """Unit normals on the side that faces look to, materials that there are, tints that fit; no face without an area."""
    key, given = THINGS[label]
    for part in built(key, **given):
        assert part.name.startswith("it")
        assert part.material in names("materials")
        assert np.isfinite(part.vertices).all()
        assert part.faces.min() >= 0
        assert part.faces.max() < len(part.vertices)
        used = np.unique(part.faces)
        np.testing.assert_allclose(np.linalg.norm(part.normals[used], axis=1), 1.0, atol=1e-3)
        corners = part.vertices[part.faces]
        areas = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        outward = np.einsum("ij,ij->i", areas, part.normals[part.faces].sum(axis=1))
        wrong = (outward < -1e-7) & (np.linalg.norm(areas, axis=1) > 2e-6)
        assert wrong.mean() < 0.006, (
            f"{part.name} {part.material}: {wrong.sum()} faces look against their normals"
        )
        if part.tint is not None:
            assert part.tint.shape == part.vertices.shape
            assert part.tint.dtype == np.float32
            assert (part.tint > 0).all()
            assert (np.median(part.tint, axis=0) * material(part.material).rgb < 1.0).all()


@pytest.mark.parametrize("label", THINGS)
def test_no_back_of_a_face_is_seen(label: str) -> None:
    """Rays from all round and above; cloth is a single sheet by design, and is left out."""
    key, given = THINGS[label]
    parts = [part for part in built(key, **given) if part.material not in CLOTHS]
    if not parts:
        return
    world, rays = rays_of(parts)
    size = np.ptp(world.vertices, axis=0).max()
    _, directions, hit = looks_from_around(
        world, rays, np.random.default_rng(7), centre=(0, 0, 0.4 * size), radius=3 * size, count=12_000
    )
    met = hit.face >= 0
    assert met.sum() > 60
    corners = world.vertices[world.faces[hit.face[met]]].astype(float)
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-30)
    backs = np.sum(normal * directions[met], axis=1) > 0.02
    assert backs.mean() < 0.004, backs_seen(world, directions, hit)


@pytest.mark.parametrize(
    ("key", "given", "kind"),
    [
        ("car", {}, "saloon"),
        ("car", {"kind": "estate"}, "estate"),
        ("van", {}, "van"),
        ("pickup", {}, "pick-up"),
        ("boat", {}, "boat"),
        ("bicycle", {"lean": 0}, "bicycle"),
        ("tractor", {}, "tractor"),
    ],
)
def test_vehicles_are_as_long_and_high_as_told(key: str, given: dict[str, Any], kind: str) -> None:
    """Class sizes are typical, from memory; what is built keeps to them, and to another length that is asked for."""
    sizes = SIZES[kind]
    for length in (sizes.length, 1.1 * sizes.length):
        parts = built(key, facing=0, length=length, **given)
        plates = ("white paint", "yellow paint") if kind != "boat" else ()
        span = np.ptp(points([p for p in parts if p.material not in plates]), axis=0)
        tolerance = 0.012
        assert span[1] == pytest.approx(length, abs=tolerance)
        assert points(parts)[:, 2].max() == pytest.approx(sizes.height * length / sizes.length, abs=0.02)
        assert points(parts)[:, 2].min() == pytest.approx(0.0, abs=0.06)


@pytest.mark.parametrize("kind", ["saloon", "estate", "van", "pick-up"])
def test_a_body_is_as_large_as_told(kind: str) -> None:
    """What is stored, to a millimetre; its wheels stand on the ground."""
    sizes = SIZES[kind]
    sheets = points(list(pressed_sheets(kind).values()))
    assert np.ptp(sheets[:, 1]) == pytest.approx(sizes.length, abs=0.001)
    assert sheets[:, 0].max() == pytest.approx(sizes.width / 2, abs=0.001)
    assert sheets[:, 2].max() == pytest.approx(sizes.height, abs=0.001)
    key = {"saloon": "car", "estate": "car", "van": "van", "pick-up": "pickup"}[kind]
    given = {"kind": kind} if key == "car" else {}
    wheels = points([p for p in built(key, facing=0, **given) if p.name == "it.wheels"])
    assert wheels[:, 2].min() == pytest.approx(0.0, abs=0.001)
    assert wheels[:, 0].max() == pytest.approx(-wheels[:, 0].min(), abs=1e-6)
    assert wheels[:, 0].max() < sizes.width / 2


@pytest.mark.parametrize(
    ("key", "given"),
    [("car", {}), ("car", {"kind": "estate"}), ("van", {}), ("pickup", {}), ("tractor", {}), ("bicycle", {})],
)
@pytest.mark.parametrize("lamp", ["head", "tail", "brake"])
def test_lamps_shine_out_of_their_bowls(key: str, given: dict[str, Any], lamp: str) -> None:
    """Within 8 degrees of straight on, from all over what shines, nothing that stops light is in the way."""
    found = places(key, **given)
    spots = [place for name, place in found.items() if name.startswith(f"it.{lamp}.")] or [
        place for name, place in found.items() if name == f"it.{lamp}"
    ]
    if not spots:
        return
    _, rays = rays_of(built(key, facing=0, **given))
    rng = np.random.default_rng(4)
    for spot in spots:
        out = np.array(spot.facing)
        assert out[1] == (1.0 if lamp == "head" else -1.0)
        across, up = (rng.random((2, 400)) - 0.5) * 0.8 * np.array(spot.size)[:, None]
        starts = np.array(spot.position) + np.column_stack([across, 0 * across, up]) + 0.001 * out
        ways = out + 0.14 * rng.standard_normal((400, 3)) * 0.5
        ways /= np.linalg.norm(ways, axis=1, keepdims=True)
        blocked = rays.blocked(
            starts.astype(np.float32), ways.astype(np.float32), np.full(400, 30, np.float32)
        )
        assert blocked.mean() < 0.1, f"{spot} {blocked.mean():.2f}"


def test_the_left_of_a_car_is_its_drivers() -> None:
    """Facing north, its left is west."""
    found = places("car", azimuth=0.0)
    assert found["it.head.left"].position[0] < 0 < found["it.head.right"].position[0]
    assert found["it.seat.driver"].position[0] < 0
    assert places("car", azimuth=0.0, driver="right")["it.seat.driver"].position[0] > 0


def test_a_closed_boot_is_dark() -> None:
    """Light within the boot of a saloon gets out nowhere but through the windows: boot, body and panes stop it together."""
    world = gather(built("car", facing=0))
    rays = Rays(world.vertices, world.faces)
    rng = np.random.default_rng(3)
    ways = rng.standard_normal((20_000, 3))
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    starts = np.tile(np.array([0.0, -1.80, 0.72], np.float32), (len(ways), 1))
    free = ~rays.blocked(starts, ways.astype(np.float32), np.full(len(ways), 20, np.float32))
    upward = ways[:, 2] > -0.05
    assert free[upward].mean() < 0.001


def test_a_door_swings_out_about_its_hinge() -> None:
    closed = {p.material: p for p in built("car", facing=0) if p.name == "it.door.left"}
    opened = {p.material: p for p in built("car", facing=0, doors={"left": 60}) if p.name == "it.door.left"}
    paint = "silver car paint"
    assert opened[paint].vertices[:, 0].min() < closed[paint].vertices[:, 0].min() - 0.7
    assert np.ptp(opened[paint].vertices[:, 1]) < np.ptp(closed[paint].vertices[:, 1]) - 0.2
    np.testing.assert_allclose(opened[paint].vertices[:, 2], closed[paint].vertices[:, 2], atol=1e-9)
    right = [
        next(p for p in built("car", facing=0, doors={"left": a}) if p.name == "it.door.right")
        for a in (0, 60)
    ]
    np.testing.assert_array_equal(right[0].vertices, right[1].vertices)


def test_a_bicycle_has_wheels_of_iso_5775() -> None:
    """Size 37-622: a bead seat of 622 mm and a tyre of 37 mm make 696 mm across (ISO 5775-1, from memory)."""
    tyres = next(p for p in built("bicycle", facing=0, lean=0) if p.name == "it.tyres")
    low = tyres.vertices[tyres.vertices[:, 2] < 0.70]
    assert low[:, 2].max() == pytest.approx(0.696, abs=0.001)
    assert low[:, 2].min() == pytest.approx(0.0, abs=0.001)


def test_a_pallet_is_that_of_its_standard() -> None:
    """1200 by 800 by 144 mm: EN 13698-1, from memory."""
    span = np.ptp(points(built("prop", kind="pallet", facing=0)), axis=0)
    np.testing.assert_allclose(span, [1.200, 0.800, 0.144], atol=1e-6)


def test_a_boat_floats_its_planks_outside_its_hull_and_lies_on_its_bilge() -> None:
    along, up = np.meshgrid(np.linspace(0.1, 0.9, 9), np.linspace(0.1, 0.9, 9))
    widest = np.abs(hull(along, up)[..., 0]).max()
    planks = next(p for p in built("boat", facing=0) if p.name == "it.planks").vertices
    assert widest < planks[:, 0].max() < widest + 0.06
    for heel in (-18, 12):
        parts = built("boat", facing=0, heel=heel)
        assert points(parts)[:, 2].min() == pytest.approx(-0.03, abs=0.025)
    gunwale = places("boat", heel=12)["it.gunwale"].position
    assert gunwale[2] < places("boat")["it.gunwale"].position[2]


@pytest.mark.parametrize("kind", ["ridge", "dome", "bell"])
def test_tents_are_as_large_as_asked_and_open_to_the_front(kind: str) -> None:
    given: dict[str, Any] = {"kind": kind, "size": [2.4, 3.0], "height": 1.8, "facing": 0}
    model = PIECES["tent"].model_validate({"at": [0, 0], **given})
    assert tent_size(model) == (2.4, 3.0, 1.8)  # type: ignore[arg-type]
    cloth = next(p for p in built("tent", **given) if p.name == "it.cloth")
    assert cloth.vertices[:, 2].max() == pytest.approx(1.8, abs=0.03)
    assert np.ptp(cloth.vertices[:, 0]) == pytest.approx(2.4, abs=0.2)
    rays = Rays(cloth.vertices.astype(np.float32), cloth.faces)
    start, north = np.array([[0.02, 0, 0.5]], np.float32), np.array([[0, 1, 0]], np.float32)
    assert not rays.blocked(start, north, np.array([9], np.float32))[0]
    assert rays.blocked(start, -north, np.array([9], np.float32))[0]
    closed = next(p for p in built("tent", **{**given, "door": 0}) if p.name == "it.cloth")
    shut = Rays(closed.vertices.astype(np.float32), closed.faces)
    rng = np.random.default_rng(1)
    ways = rng.standard_normal((4000, 3))
    ways[:, 2] = np.abs(ways[:, 2]) + 0.02
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    free = ~shut.blocked(np.tile(start, (4000, 1)), ways.astype(np.float32), np.full(4000, 9, np.float32))
    assert free.mean() < 0.002


def test_a_phone_box_lets_no_light_past_its_roof_and_posts() -> None:
    parts = built("phone_box", facing=0)
    _, rays = rays_of(parts)
    lamp = np.array(places("phone_box")["it.lamp"].position)
    rng = np.random.default_rng(2)
    ways = rng.standard_normal((6000, 3))
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    free = ~rays.blocked(
        np.tile(lamp, (6000, 1)).astype(np.float32), ways.astype(np.float32), np.full(6000, 9, np.float32)
    )
    assert not free[ways[:, 2] > 0.75].any(), "through the roof"
    assert not free[(ways[:, 1] < -0.8) & (np.abs(ways[:, 0]) < 0.3)].any(), "through the back"
    assert free[(ways[:, 1] > 0.8) & (np.abs(ways[:, 2]) < 0.3)].mean() > 0.6, "the door is glazed"
    assert points(parts)[:, 2].max() == pytest.approx(2.4)


def test_bulbs_hang_evenly_below_their_wire() -> None:
    model = PIECES["string"].model_validate(
        {"along": [[0, 0], [6, 0], [6, 3]], "spacing": 0.5, "height": 3, "sag": 0.4}
    )
    hung = bulbs(model)  # type: ignore[arg-type]
    assert len(hung) == 18
    plan = np.hypot(*np.diff(hung[:, :2], axis=0).T)
    assert plan[:11] == pytest.approx(0.5)
    # The middle of the longest span is lowest, by the sag; a span of half the length sags a quarter.
    assert hung[:12, 2].min() == pytest.approx(3 - 0.4 - 0.075, abs=0.005)
    assert hung[12:, 2].min() == pytest.approx(3 - 0.1 - 0.075, abs=0.005)
    named = places("string", along=[[0, 0], [6, 0], [6, 3]], spacing=0.5, height=3, sag=0.4)
    assert named["it[17]"].position == pytest.approx(hung[17])


def test_rocks_keep_to_their_sizes() -> None:
    for part in built("rocks", spread=0, count=1, size=[0.9, 0.9]):
        assert np.ptp(part.vertices[:, :2], axis=0).max() == pytest.approx(0.9, abs=0.12)
        assert volume(part.vertices[part.faces]) > 0.05
        assert part.vertices[:, 2].min() < 0 < part.vertices[:, 2].max()


@pytest.mark.parametrize("kind", ["double", "column", "bracket", "bollard"])
def test_lamps_of_posts_hang_free(kind: str) -> None:
    """Most of what a lamp sends down and aside gets away; of a bollard's, what its rings leave."""
    model: dict[str, Any] = {"kind": kind, "facing": 0}
    _, rays = rays_of(built("lamp_post", **model))
    found = places("lamp_post", **model)
    rng = np.random.default_rng(6)
    ways = rng.standard_normal((4000, 3))
    if kind in ("double", "bracket"):
        ways[:, 2] = -np.abs(ways[:, 2])
    else:
        ways[:, 2] *= 0.25
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    for name, place in found.items():
        if ".lamp" in name:
            start = np.tile(np.array(place.position) - [0, 0, 0.01], (4000, 1)).astype(np.float32)
            blocked = rays.blocked(start, ways.astype(np.float32), np.full(4000, 12, np.float32))
            assert blocked.mean() < (0.9 if kind == "bollard" else 0.25), name
