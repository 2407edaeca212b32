"""Trees: where they stand, how high, and how light comes through them."""

from __future__ import annotations

import numpy as np
import pytest
from embreex.mesh_construction import TriangleMesh
from embreex.rtcore_scene import EmbreeScene

from preview.build.mesh import Part
from preview.build.trees import FEW, MANY, build_trees
from preview.script.models.pieces.growth import Trees
from preview.script.places_of_trees import tree_stands
from tests.build.standing import site

KINDS = ["broadleaf", "conifer", "bare", "pear"]


def part(parts: list[Part], ending: str) -> Part:
    return next(part for part in parts if part.name.endswith(ending))


def shadow_fraction(parts: list[Part], radius: float) -> float:
    """Share of vertical rays, from the ground round the origin within `radius`, that do not reach the sky."""
    scene = EmbreeScene()
    for each in parts:
        TriangleMesh(scene, each.vertices[each.faces].astype(np.float32))
    side = np.linspace(-radius, radius, 120)
    x, y = (grid.ravel() for grid in np.meshgrid(side, side))
    inside = x**2 + y**2 < radius**2
    origins = np.stack([x, y, np.full_like(x, 0.01)], axis=1)[inside].astype(np.float32)
    upwards = np.tile(np.float32([0, 0, 1]), (len(origins), 1))
    found = scene.run(origins, upwards, query="OCCLUDED", dists=np.full(len(origins), 1e3, np.float32))
    return float(np.mean(np.asarray(found) == 0))


def crown_radius(parts: list[Part]) -> float:
    """Median distance of the outermost tenth of twigs or leaves from the trunk's foot."""
    away = np.sort(np.linalg.norm(parts[-1].vertices[:, :2], axis=1))
    return float(np.median(away[int(0.9 * len(away)) :]))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("count", [1, FEW + 1, MANY + 1])
def test_sound_triangles(kind: str, count: int) -> None:
    model = Trees(kind=kind, along=[(0, 0), (300, 40)], count=count, height=(4, 9), seed=5)
    for each in build_trees("grove", model, site()):
        assert np.isfinite(each.vertices).all()
        assert each.vertices[:, 2].min() >= 0.0
        np.testing.assert_allclose(np.linalg.norm(each.normals, axis=1), 1.0, atol=1e-9)
        assert each.faces.min() == 0
        assert each.faces.max() == len(each.vertices) - 1


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("count", "least", "most"), [(1, 5600, 14000), (15, 3200, 8000), (80, 1600, 5600)])
def test_triangles_are_bounded(kind: str, count: int, least: int, most: int) -> None:
    model = Trees(kind=kind, along=[(0, 0), (300, 0)], count=count)
    faces = sum(len(each.faces) for each in build_trees("grove", model, site()))
    assert least * count < faces <= most * count


@pytest.mark.parametrize("kind", KINDS)
def test_same_seed_same_trees(kind: str) -> None:
    def grown(seed: int) -> list[Part]:
        model = Trees(kind=kind, rows=(2, 3), **{"from": (0, 0)}, seed=seed)
        return build_trees("grove", model, site())

    for first, again, other in zip(grown(4), grown(4), grown(5), strict=True):
        assert first.vertices.tobytes() == again.vertices.tobytes()
        assert first.faces.tobytes() == again.faces.tobytes()
        assert first.normals.tobytes() == again.normals.tobytes()
        assert first.vertices.tobytes() != other.vertices.tobytes()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("count", [7, MANY + 5])
def test_each_tree_stands_in_its_place_at_its_height(kind: str, count: int) -> None:
    model = Trees(kind=kind, along=[(0, 0), (40.0 * count, 0)], count=count, height=(3, 12), seed=9)
    stands = np.array(tree_stands(model))
    parts = build_trees("grove", model, site())
    assert np.ptp(stands[:, 2]) > 3.0
    everything = np.concatenate([each.vertices for each in parts])
    nearest = np.argmin(np.abs(everything[:, :1] - stands[None, :, 0]), axis=1)
    tops = np.array([everything[nearest == tree, 2].max() for tree in range(count)])
    np.testing.assert_allclose(tops, stands[:, 2], rtol=0.01)
    feet = part(parts, ".wood").vertices
    feet = feet[feet[:, 2] < 1e-6]
    for x, y, height in stands:
        foot = feet[np.abs(feet[:, 0] - x) < 5.0]
        np.testing.assert_allclose(foot.mean(axis=0)[:2], [x, y], atol=0.01 * height)


def test_parts_and_materials() -> None:
    def named(kind: str) -> list[tuple[str, str]]:
        return [(p.name, p.material) for p in build_trees("oak", Trees(kind=kind, at=[(0, 0)]), site())]

    assert named("broadleaf") == [("oak.wood", "bark"), ("oak.leaves", "leaves")]
    assert named("pear") == [("oak.wood", "bark"), ("oak.leaves", "leaves")]
    assert named("conifer") == [("oak.wood", "dark bark"), ("oak.leaves", "dark leaves")]
    assert named("bare") == [("oak.wood", "bark")]


def test_light_breaks_up_under_a_crown() -> None:
    fractions = {}
    for kind in KINDS:
        parts = build_trees("tree", Trees(kind=kind, at=[(0, 0)], height=(8, 8), seed=2), site())
        fractions[kind] = shadow_fraction(parts, 0.8 * crown_radius(parts))
    assert 0.3 < fractions["broadleaf"] < 0.95
    assert 0.3 < fractions["pear"] < 0.95
    assert fractions["broadleaf"] < fractions["conifer"] <= 1.0
    assert fractions["bare"] < 0.5 * fractions["broadleaf"]


@pytest.mark.parametrize("kind", ["broadleaf", "pear", "conifer"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_leaves_are_clumped_as_in_real_crowns(kind: str, seed: int) -> None:
    """Gap fraction P = exp(-clumping x G x leaf area index), clumping 1 for leaves strewn at random.

    Source: N. Breda, Ground-based measurements of leaf area index, J. Exp. Botany 54 (2003), 2403-2417, Beer-
    Lambert law of the gap fraction. Clumping of real canopies 0.3 (conifers) to 0.95: from memory.
    """
    leaves = part(
        build_trees("tree", Trees(kind=kind, at=[(0, 0)], height=(8, 8), seed=seed), site()), ".leaves"
    )
    corners = leaves.vertices[leaves.faces]
    radius = 0.6 * crown_radius([leaves])
    inside = np.linalg.norm(corners.mean(axis=1)[:, :2], axis=1) < radius
    level_area = 0.5 * np.abs(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 2])
    layers = level_area[inside].sum() / (np.pi * radius**2)
    clumping = -np.log(1.0 - shadow_fraction([leaves], radius)) / layers
    assert 0.3 < clumping < 0.95


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_distant_conifers_are_no_row_of_poles(seed: int) -> None:
    """Level from one side, leaves close over every trunk and stand before more than a third of its upper half."""
    model = Trees(
        kind="conifer", along=[(0, 0), (3000, 0)], count=MANY + 1, height=(10, 10), scatter=0, seed=seed
    )
    parts = build_trees("line", model, site())
    leaves, wood = part(parts, ".leaves"), part(parts, ".wood")
    assert leaves.vertices[:, 2].max() > wood.vertices[:, 2].max() + 0.2
    scene = EmbreeScene()
    TriangleMesh(scene, leaves.vertices[leaves.faces].astype(np.float32))
    # Points strewn evenly over each triangle of the wood.
    shares = np.random.default_rng(1).dirichlet([1, 1, 1], size=(len(wood.faces), 20))
    points = np.einsum("fsk,fkd->fsd", shares, wood.vertices[wood.faces]).reshape(-1, 3)
    points = points[points[:, 2] > 5.0].astype(np.float32)
    assert len(points) > 1000
    level = np.tile(np.float32([0, -1, 0]), (len(points), 1))
    found = scene.run(points, level, query="OCCLUDED", dists=np.full(len(points), 1e3, np.float32))
    assert np.mean(np.asarray(found) == 0) > 1 / 3


def test_amount_of_leaf() -> None:
    def faces(leaves: float) -> int:
        return len(part(build_trees("t", Trees(at=[(0, 0)], leaves=leaves), site()), ".leaves").faces)

    assert faces(2.0) == 2 * faces(1.0) == 4 * faces(0.5)


def test_leaf_faces_agree_with_their_normals() -> None:
    """A leaf wound against its shading normal would be lit from its far side."""
    leaves = part(build_trees("t", Trees(at=[(0, 0)], seed=3), site()), ".leaves")
    corners = leaves.vertices[leaves.faces]
    faces = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    agree = np.einsum("ij,ij->i", faces, leaves.normals[leaves.faces[:, 0]]) > 0
    assert agree.mean() > 0.97


def test_wood_winds_outwards() -> None:
    wood = part(build_trees("t", Trees(kind="bare", at=[(0, 0)], seed=3), site()), ".wood")
    corners = wood.vertices[wood.faces]
    faces = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    assert (np.einsum("ij,ij->i", faces, wood.normals[wood.faces].sum(axis=1)) > 0).mean() > 0.99


class TestStands:
    def test_points_are_kept(self) -> None:
        stands = np.array(tree_stands(Trees(at=[(1.5, -2), (3, 4)], scatter=1.0)))
        np.testing.assert_array_equal(stands[:, :2], [[1.5, -2], [3, 4]])

    def test_rows_run_east_and_further_rows_lie_north(self) -> None:
        model = Trees(rows=(2, 3), spacing=5, scatter=0, **{"from": (-14, 14)})
        expected = [[-14, 14], [-9, 14], [-4, 14], [-14, 19], [-9, 19], [-4, 19]]
        np.testing.assert_allclose(np.array(tree_stands(model))[:, :2], expected)

    def test_path_keeps_equal_distances_round_its_corner(self) -> None:
        model = Trees(along=[(0, 0), (10, 0), (10, 5)], count=4, scatter=0)
        expected = [[0, 0], [5, 0], [10, 0], [10, 5]]
        np.testing.assert_allclose(np.array(tree_stands(model))[:, :2], expected)

    def test_scatter_is_bounded_and_even_over_its_disc(self) -> None:
        def places(scatter: float) -> np.ndarray:
            model = Trees(rows=(40, 50), scatter=scatter, **{"from": (0, 0)})
            return np.array(tree_stands(model))[:, :2]

        off = np.linalg.norm(places(0.6) - places(0.0), axis=1)
        assert off.max() <= 0.6
        # A disc's inner half of area lies within radius / sqrt 2; 2,000 draws, four standard deviations.
        assert np.mean(off < 0.6 / np.sqrt(2)) == pytest.approx(0.5, abs=4 * 0.5 / np.sqrt(2000))

    def test_heights_fill_their_range(self) -> None:
        heights = np.array(tree_stands(Trees(rows=(20, 20), height=(3, 4.5), **{"from": (0, 0)})))[:, 2]
        assert heights.min() >= 3.0
        assert heights.max() <= 4.5
        assert heights.mean() == pytest.approx(3.75, abs=4 * 1.5 / np.sqrt(12 * 400))
