"""Ground as it is built: without cracks, looking up, as high as the terrain says; what lies on it lies on it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from preview.build.assemble import BUILDERS, assemble
from preview.build.land.lattice import Fineness, lattice
from preview.build.mesh import Part
from preview.build.site import Site
from preview.build.world import World
from preview.script.models.pieces import PIECES
from preview.script.read import read_scene
from preview.script.scene import Scene
from preview.script.standing import beneath
from preview.trace.rays import Rays
from tests.build.probing import backs_seen, rays_of, shared_planes
from tests.script.scenes import SMALL

EYES = np.array([[0.0, -5.0, 1.5], [8.0, 6.0, 1.7]])
HILL = "[[4, 2, 3, 6], [2, 1, 1, 3], [0, 0.5, 0, 1], [-1, -1, -0.5, 0]]"


def scene(folder: Path, text: str, camera: str = SMALL) -> Scene:
    (folder / "scene.yaml").write_text(text + camera)
    return read_scene(folder / "scene.yaml")


def parts_of(given: Scene, name: str) -> dict[str, Part]:
    piece = dict(given.set)[name]
    return {part.name: part for part in BUILDERS[type(piece)](name, piece, Site(given))}


def area(points: NDArray[np.float64], faces: NDArray[np.int32]) -> NDArray[np.float64]:
    """Signed areas (m,) on plan."""
    a, b, c = (points[faces[:, corner]] for corner in range(3))
    return 0.5 * ((b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0]))


@pytest.mark.parametrize(
    "fineness",
    [
        Fineness(1 / 16, 1 / 96, 6.0, 1 / 24),
        Fineness(0.25, 1 / 28, 30.0, 1 / 10),
        Fineness(1 / 8, 1 / 20, 9.0, 0.6),
    ],
)
@pytest.mark.parametrize(("low", "high"), [([-50, -50], [50, 50]), ([-3.7, -6.1], [12.3, 8.05])])
def test_the_lattice_covers_its_rectangle_without_a_crack(
    low: list[float], high: list[float], fineness: Fineness
) -> None:
    corners = np.array(low, float), np.array(high, float)
    points, faces = lattice(*corners, EYES, fineness)
    pieces = area(points, faces)
    assert pieces.min() > 0
    assert pieces.sum() == pytest.approx(float(np.prod(corners[1] - corners[0])), rel=1e-9)
    edges = np.sort(np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
    keys, count = np.unique(edges[:, 0].astype(np.int64) * len(points) + edges[:, 1], return_counts=True)
    assert count.max() == 2
    # An edge that only one triangle has lies on the border: no vertex hangs in the middle of another's side.
    alone = keys[count == 1]
    one, two = points[alone // len(points)], points[alone % len(points)]
    on_border = ((one == two) & ((one == corners[0]) | (one == corners[1]))).any(axis=1)
    assert on_border.all()
    assert len(np.unique(points, axis=0)) == len(points)


def test_cells_are_small_near_an_eye_and_no_larger_than_allowed_anywhere() -> None:
    fineness = Fineness(1 / 16, 1 / 96, 6.0, 1 / 24)
    points, faces = lattice(np.array([-60.0, -60.0]), np.array([60.0, 60.0]), EYES, fineness)
    corners = points[faces]
    side = np.ptp(corners, axis=1).max(axis=1)
    away = np.full(len(faces), np.inf)
    for eye in EYES:
        near = np.linalg.norm(corners - eye[:2], axis=2).max(axis=1)
        away = np.minimum(away, np.hypot(near, eye[2]))
    assert (side <= fineness.allowed(away) + 1e-9).all()
    assert side[away < 3].max() <= 1 / 16
    assert side.max() > 1


@pytest.mark.parametrize(
    "material", ["concrete", "grass", "mud", "sand", "snow", "gravel", "cobbles", "water"]
)
def test_a_hill_is_as_high_as_the_terrain_and_looks_up(tmp_path: Path, material: str) -> None:
    given = scene(
        tmp_path, f"set: [{{ground: {{material: {material}, size: [60, 60], heights: {HILL}}}}}]\n", HIGH
    )
    part = parts_of(given, "ground")["ground"]
    corners = part.vertices[part.faces]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    assert cross[:, 2].min() > 0
    over = part.vertices[:, 2] - given.terrain.height(part.vertices[:, 0], part.vertices[:, 1])
    # Concrete is the bare surface; tufts and drifts rise over it, setts lie on a bed that is lower, waves go both ways.
    low, high = {"concrete": (-1e-9, 1e-9), "cobbles": (-0.02, 1e-9), "water": (-0.02, 0.02)}.get(
        material, (-1e-9, 0.2)
    )
    assert over.min() >= low
    assert over.max() <= high
    if material not in ("concrete", "water"):
        assert np.ptp(over) > 0.01
    np.testing.assert_allclose(np.linalg.norm(part.normals, axis=1), 1.0, atol=1e-9)
    assert part.normals[:, 2].min() > 0.3


HIGH = SMALL.replace("[0, -5, 1.5]", "{at: [0, -5], above: 1.5}")

TILTED = (
    "set:\n  - ground: {name: hill, size: [200, 200], material: concrete, slope: {rise: 12 %, towards: 60}}\n"
)
ON_IT: dict[str, str] = {
    "house": "{at: [3, 30], size: [8, 6]}",
    "trees": "{at: [[3, 20], [9, 22]], height: [5, 6]}",
    "hedge": "{along: [[-6, 9], [0, 9], [6, 14]]}",
    "fence": "{along: [[-6, 9], [0, 9], [6, 14]], gates: [{from_start: 2}]}",
    "wall": "{along: [[-6, 9], [0, 9], [6, 14]], height: 2}",
    "box": "{at: [12, 9], size: [1, 2, 3], height: 0.4}",
    "street": "{along: [[-30, 9], [0, 9], [30, 14]], centre_line: yes}",
    "footpath": "{along: [[-30, 9], [0, 9], [30, 14]]}",
    "lamp_post": "{at: [12, 9], facing: 0}",
    "shelter": "{at: [12, 9]}",
}


@pytest.mark.parametrize("kind", ON_IT)
def test_a_piece_stands_on_a_slope_as_on_level_ground_and_its_places_go_with_it(
    tmp_path: Path, kind: str
) -> None:
    """What is built, and each named place, is over the slope what it is over level ground, to a millimetre."""
    text = f"  - {kind}: {{name: it, {ON_IT[kind][1:]}\n"
    level, tilted = scene(tmp_path, "set:\n" + text), scene(tmp_path, TILTED + text, HIGH)
    stands, ground = np.array([0.0, 0.0]), tilted.terrain
    for name, anchor in level.anchors.items():
        x, y, z = anchor.position
        here = tilted.anchors[name].position
        piece = dict(tilted.set)["it"]
        at = getattr(piece, "at", None)
        stands = np.array(at if isinstance(at, tuple) else (x, y))
        assert here == pytest.approx((x, y, z + float(ground.height(*stands))), abs=1e-3), name
    one, two = built(level), built(tilted)
    piece = dict(tilted.set)["it"]
    at = getattr(piece, "at", None)
    if isinstance(at, tuple):
        moved = two - one - np.array([0, 0, float(ground.height(*at))])
        if kind == "house":
            # What reaches into the ground reaches further where the ground falls away.
            assert moved[:, 2].max() < 1e-3
            moved = moved[moved[:, 2] > -1e-3]
            assert len(moved) > 0.99 * len(two)
        np.testing.assert_allclose(moved, 0, atol=1e-3)
    elif kind in ("fence", "wall", "street", "footpath"):
        # What follows a path is as high over the ground; fences and walls over that under their path, so that they stay
        # level across. Edges are cut where the ground bends, so there may be more vertices than on the level.
        x, y = one[:, 0], one[:, 1]
        lift = beneath(piece, ground)(x, y)
        away, _ = cKDTree(two).query(np.column_stack([x, y, one[:, 2] + lift]))
        assert np.quantile(away, 0.99) < 1.5e-3
        # At the inside of a bend a post stands abreast of two legs.
        assert away.max() < 0.012
    else:
        assert two[:, 2].max() - one[:, 2].max() > 0.3


def built(given: Scene) -> NDArray[np.float64]:
    world = assemble(given)
    mine = [name.split(".")[0] == "it" for name in world.names]
    return world.vertices[np.unique(world.faces[np.array(mine)[world.part_of_face]])].astype(float)


def test_every_kind_of_piece_is_asked() -> None:
    """Kinds that say by their places how high they stand, or come from a file, are asked elsewhere."""
    assert set(ON_IT) <= set(PIECES)


def over_ground(world: World, name: str, given: Scene) -> NDArray[np.float64]:
    part = world.names.index(name)
    vertices = world.vertices[np.unique(world.faces[world.part_of_face == part])].astype(float)
    return np.column_stack(
        [vertices[:, :2], vertices[:, 2] - given.terrain.height(vertices[:, 0], vertices[:, 1])]
    )


def test_a_wall_follows_a_hill_to_a_millimetre_along_its_middle(tmp_path: Path) -> None:
    text = (
        f"set:\n  - ground: {{name: hill, size: [60, 60], material: concrete, heights: {HILL}}}\n"
        "  - wall: {name: wall, along: [[-20, -3], [20, 3]], height: 1.2, material: render, thickness: 0.3}\n"
    )
    given = scene(tmp_path, text, HIGH)
    world = assemble(given)
    rays = Rays(world.vertices, world.faces)
    share = np.linspace(0.02, 0.98, 60)
    x, y = -20 + 40 * share, -3 + 6 * share
    ground = given.terrain.height(x, y)
    start = np.column_stack([x, y, ground + 5]).astype(np.float32)
    down = np.broadcast_to(np.array([0, 0, -1], np.float32), start.shape).copy()
    top = start[:, 2] - rays.hit(start, down).distance
    assert np.ptp(ground) > 0.5
    # Between its cuts, an edge may leave the ground by 4 mm.
    np.testing.assert_allclose(top, ground + 1.2, atol=0.0065)


def test_a_street_lies_on_a_hill_with_the_same_kerb_all_along(tmp_path: Path) -> None:
    text = (
        f"set:\n  - ground: {{name: hill, size: [90, 90], material: concrete, heights: {HILL}}}\n"
        "  - street: {name: lane, along: [[-30, -9], [0, 0], [4, 30]], width: 5, kerb: 0.12, manholes: no}\n"
    )
    given = scene(tmp_path, text, HIGH)
    world = assemble(given)
    way = over_ground(world, "lane.carriageway", given)
    upper = way[way[:, 2] > -0.1]
    assert upper[:, 2].min() == pytest.approx(0.04, abs=1e-3)
    assert upper[:, 2].max() == pytest.approx(0.04 + 2.5 / 50, abs=1e-3)
    kerb = over_ground(world, "lane.kerb", given)
    assert kerb[:, 2].max() == pytest.approx(0.16, abs=1e-3)


def test_two_streets_that_cross_share_no_plane_and_no_kerb_stands_in_the_way(tmp_path: Path) -> None:
    text = (
        "set:\n  - street: {name: one, along: [[-20, 0], [20, 0]], width: 6, centre_line: yes}\n"
        "  - street: {name: two, along: [[0, -20], [0, 20]], width: 5, centre_line: yes}\n"
    )
    given = scene(tmp_path, text)
    parts = [part for name in ("one", "two") for part in parts_of(given, name).values()]
    world, rays = rays_of(parts)
    rng = np.random.default_rng(3)
    start = np.column_stack([rng.uniform(-9, 9, (2500, 2)), np.full(2500, 4.0)]).astype(np.float32)
    slant = rng.uniform(-0.5, 0.5, (2500, 2))
    down = np.column_stack([slant, -np.ones(2500)])
    down = (down / np.linalg.norm(down, axis=1, keepdims=True)).astype(np.float32)
    hit = rays.hit(start, down)
    assert backs_seen(world, down, hit) == []
    assert shared_planes(world, start, down, hit) == []
    # Along both carriageways nothing is higher than their crowns and paint.
    for axis in (0, 1):
        along = np.zeros((400, 3), np.float32)
        along[:, axis], along[:, 1 - axis] = np.linspace(-15, 15, 400), 1.1
        along[:, 2] = 3.0
        straight = np.broadcast_to(np.array([0, 0, -1], np.float32), along.shape).copy()
        assert (3.0 - rays.hit(along, straight).distance).max() < 0.04 + 3 / 50 + 0.012


def test_a_patch_lies_on_its_slope(tmp_path: Path) -> None:
    text = TILTED + "  - ground: {name: patch, at: [4, 5], size: [6, 4], material: gravel}\n"
    given = scene(tmp_path, text, HIGH)
    world = assemble(given)
    over = over_ground(world, "patch", given)[:, 2]
    assert over.min() == pytest.approx(0.006, abs=1e-3)
    assert over.max() < 0.05


@pytest.mark.parametrize("kind", ["gravel", "earth", "flagstones", "boardwalk"])
def test_a_footpath_shows_no_back_and_shares_no_plane(tmp_path: Path, kind: str) -> None:
    text = f"set: [{{footpath: {{name: way, along: [[-6, 0], [0, 0], [4, 5]], kind: {kind}, width: 1.4}}}}]\n"
    given = scene(tmp_path, text)
    world, rays = rays_of(list(parts_of(given, "way").values()))
    rng = np.random.default_rng(4)
    aims = np.column_stack([rng.uniform(-6, 4, 3000), rng.uniform(-1, 5, 3000), np.full(3000, 0.05)])
    start = aims + np.column_stack([rng.uniform(-4, 4, (3000, 2)), rng.uniform(1, 4, 3000)])
    way = aims - start
    way = (way / np.linalg.norm(way, axis=1, keepdims=True)).astype(np.float32)
    hit = rays.hit(start.astype(np.float32), way)
    assert (hit.face >= 0).sum() > 300
    assert backs_seen(world, way, hit) == []
    assert shared_planes(world, start.astype(np.float32), way, hit) == []
    top = parts_of(given, "way")["way"].vertices[:, 2].max()
    wanted = {"gravel": 0.025, "earth": 0.016, "flagstones": 0.03, "boardwalk": 0.14}[kind]
    assert top == pytest.approx(wanted, abs=0.012)


def test_stones_lie_where_they_are_whoever_looks(tmp_path: Path) -> None:
    """A second setup's camera adds pebbles and takes none away or elsewhere."""
    text = "set: [{ground: {name: yard, material: gravel, size: [40, 40]}}]\n"
    more = "setups: {other: {camera: {at: [4, -5, 1.5]}}}\n"
    alone = parts_of(scene(tmp_path, text), "yard")["yard.pebbles"]
    both = parts_of(scene(tmp_path, text, SMALL + more), "yard")["yard.pebbles"]
    places = {tuple(row) for row in np.round(both.vertices[:, :2], 4)}
    mine = [tuple(row) for row in np.round(alone.vertices[:, :2], 4)]
    assert len(both.vertices) > len(alone.vertices)
    assert sum(row in places for row in mine) > 0.97 * len(mine)
