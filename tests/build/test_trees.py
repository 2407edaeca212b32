"""Trees: where they stand, how high, how they branch, and how light comes through them."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest
from embreex.mesh_construction import TriangleMesh
from embreex.rtcore_scene import EmbreeScene
from numpy.typing import ArrayLike

from preview.build.assemble import assemble
from preview.build.growth import levels
from preview.build.growth.branches import RADIUS_POWER, grow
from preview.build.growth.levels import LEVELS, MOST_SHARE, levels_of, shares
from preview.build.growth.species import SPECIES
from preview.build.growth.trees import build_trees
from preview.build.mesh import Floats, Part
from preview.build.site import Site
from preview.script.models.pieces.growth import Planted, Shrubs, Trees
from preview.script.places_of_trees import tree_stands
from preview.script.read import read_scene
from tests.build.standing import site

TREES = ["broadleaf", "conifer", "pine", "birch", "willow", "pear", "apple", "bare", "dead"]
SHRUBS = ["rounded", "loose"]
LEAFED = [kind for kind, species in SPECIES.items() if species.foliage is not None]
AWAY = [5.0, 12.0, 25.0, 42.0, 70.0, 150.0]
"""Distances of an eye, one in each level."""


def plants(kind: str, **keys: object) -> Planted:
    return (Shrubs if kind in SHRUBS else Trees).model_validate({"kind": kind, **keys})


def seen_from(*away: float) -> Site:
    """A site looked at from so far south of its middle."""
    return site(eyes=tuple((0.0, -distance, 1.6) for distance in away))


def built(kind: str, viewed: Site, **keys: object) -> list[Part]:
    keys = {"height": (3, 3)} | keys
    return build_trees("grove", plants(kind, **keys), viewed)  # type: ignore[arg-type]


def part(parts: list[Part], ending: str) -> Part:
    return next(part for part in parts if part.name.endswith(ending))


def scene_of(parts: list[Part]) -> EmbreeScene:
    scene = EmbreeScene()
    for each in parts:
        TriangleMesh(scene, each.vertices[each.faces].astype(np.float32))
    return scene


def blocked(scene: EmbreeScene, origins: ArrayLike, towards: tuple[float, float, float]) -> np.ndarray:
    start = np.ascontiguousarray(origins, np.float32)
    ways = np.tile(np.array(towards, np.float32), (len(start), 1))
    return (
        np.asarray(scene.run(start, ways, query="OCCLUDED", dists=np.full(len(start), 1e3, np.float32))) == 0
    )


def shadow_fraction(parts: list[Part], radius: float) -> float:
    """Share of vertical rays, from the ground round the origin within `radius`, that do not reach the sky."""
    side = np.linspace(-radius, radius, 120)
    x, y = (grid.ravel() for grid in np.meshgrid(side, side))
    inside = x**2 + y**2 < radius**2
    origins = np.stack([x, y, np.full_like(x, 0.01)], axis=1)[inside]
    return float(np.mean(blocked(scene_of(parts), origins, (0.0, 0.0, 1.0))))


def crown_radius(parts: list[Part]) -> float:
    """Median distance of the outermost tenth of twigs or leaves from the trunk's foot."""
    away = np.sort(np.linalg.norm(parts[-1].vertices[:, :2], axis=1))
    return float(np.median(away[int(0.9 * len(away)) :]))


def areas(part: Part) -> Floats:
    corners = part.vertices[part.faces].astype(np.float64)
    return 0.5 * np.linalg.norm(
        np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1
    )


class TestTriangles:
    @pytest.mark.parametrize("kind", [*TREES, *SHRUBS])
    def test_sound(self, kind: str) -> None:
        places = [(0.0, away) for away in AWAY]
        for each in built(kind, site(eyes=((0.0, 0.0, 1.6),)), at=places, height=(2.5, 3), seed=5):
            assert each.vertices.dtype == each.normals.dtype == np.float32
            assert np.isfinite(each.vertices).all()
            assert each.vertices[:, 2].min() >= 0.0
            np.testing.assert_allclose(np.linalg.norm(each.normals, axis=1), 1.0, atol=1e-5)
            assert each.faces.min() == 0
            assert each.faces.max() == len(each.vertices) - 1
            assert areas(each).min() > 1e-12
            assert each.tint is not None
            assert each.tint.dtype == np.float32
            assert each.tint.shape == each.vertices.shape
            assert each.tint.min() > 0.0
            assert each.tint.max() < 12.0

    @pytest.mark.parametrize("kind", TREES)
    def test_fewer_the_farther_off(self, kind: str) -> None:
        counts = [
            sum(len(each.faces) for each in built(kind, seen_from(away), at=[(0, 0)], height=(6, 6)))
            for away in AWAY
        ]
        assert counts[0] < 150_000
        assert counts[0] > 1.5 * counts[3] > 3 * counts[5]
        assert counts[5] < 6000

    def test_a_scene_of_many_has_no_more_than_it_may(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(levels, "MOST", 60_000)
        model = Trees.model_validate({"rows": [5, 8], "from": [-20, 6], "kind": "birch"})
        looked_at = seen_from(2.0)
        object.__setattr__(looked_at.scene, "set", (("grove", model),))
        share = shares(looked_at)
        assert share.max() < 0.2
        assert share.min() == share.max()
        faces = sum(len(each.faces) for each in build_trees("grove", model, looked_at))
        assert 0.5 * 60_000 < faces < 1.5 * 60_000

    def test_far_trees_are_finer_where_there_are_few(self) -> None:
        assert shares(seen_from(50.0)).tolist() == [1.0, 1.0, *[MOST_SHARE] * (len(LEVELS) - 2)]

    def test_same_seed_same_trees(self) -> None:
        def grown(seed: int) -> list[Part]:
            return built("pear", seen_from(60.0), rows=(2, 3), **{"from": (0, 0)}, seed=seed)

        for first, again, other in zip(grown(4), grown(4), grown(5), strict=True):
            for array in ("vertices", "faces", "normals", "tint"):
                assert getattr(first, array).tobytes() == getattr(again, array).tobytes()
            assert first.vertices.tobytes() != other.vertices.tobytes()

    def test_leaf_faces_agree_with_their_normals(self) -> None:
        """A leaf wound against its shading normal would be lit from its far side."""
        for away in AWAY:
            leaves = part(built("broadleaf", seen_from(away), at=[(0, 0)], height=(3, 3), seed=3), ".leaves")
            corners = leaves.vertices[leaves.faces]
            faces = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
            assert (np.einsum("ij,ij->i", faces, leaves.normals[leaves.faces].mean(axis=1)) > 0).mean() > 0.97

    def test_wood_winds_outwards(self) -> None:
        wood = part(built("broadleaf", seen_from(12.0), at=[(0, 0)], seed=3), ".wood")
        corners = wood.vertices[wood.faces]
        faces = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        assert (np.einsum("ij,ij->i", faces, wood.normals[wood.faces].sum(axis=1)) > 0).mean() > 0.99


class TestStanding:
    @pytest.mark.parametrize("kind", TREES)
    def test_each_in_its_place_at_its_height(self, kind: str) -> None:
        model = plants(kind, along=[(0, 0), (280, 0)], count=8, height=(2, 8), seed=9)
        stands = np.array(tree_stands(model))
        # From one end, so that every level is there.
        parts = build_trees("grove", model, site(eyes=((0.0, -5.0, 1.6),)))  # type: ignore[arg-type]
        assert np.ptp(stands[:, 2]) > 3.0
        assert len(np.unique(levels_of(stands, site(eyes=((0.0, -5.0, 1.6),))))) > 3
        everything = np.concatenate([each.vertices for each in parts])
        nearest = np.argmin(np.abs(everything[:, :1] - stands[None, :, 0]), axis=1)
        tops = np.array([everything[nearest == tree, 2].max() for tree in range(8)])
        np.testing.assert_allclose(tops, stands[:, 2], rtol=0.01)
        feet = part(parts, ".wood").vertices
        feet = feet[feet[:, 2] < 1e-5]
        for x, y, height in stands:
            foot = feet[
                np.linalg.norm(feet[:, :2] - [x, y], axis=1) < 2.2 * SPECIES[kind].trunk.radius * height
            ]
            np.testing.assert_allclose(foot.mean(axis=0)[:2], [x, y], atol=0.015 * height)

    def test_feet_follow_the_ground(self) -> None:
        class Hill(Site):
            def ground(self, x: ArrayLike, y: ArrayLike) -> Floats:
                return 0.25 * np.asarray(x, float) + 2.0

        level = site()
        flat = built("pear", level, along=[(0, 0), (30, 0)], count=4, scatter=0)
        hill = built("pear", Hill(level.scene), along=[(0, 0), (30, 0)], count=4, scatter=0)
        for on_flat, on_hill in zip(flat, hill, strict=True):
            lifted = on_hill.vertices[:, 2] - on_flat.vertices[:, 2]
            foot = np.round(on_flat.vertices[:, 0] / 10.0) * 10.0
            near = np.abs(on_flat.vertices[:, 0] - foot) < 1.0
            np.testing.assert_allclose(lifted[near], 0.25 * foot[near] + 2.0, atol=1e-4)

    def test_a_piece_is_the_same_in_every_setup(self, tmp_path: Path) -> None:
        """A tree far from the script's own camera and near the other's is near in both."""
        file = tmp_path / "two.yaml"
        file.write_text(
            "set:\n  - trees: {kind: pear, at: [[0, 30], [3, 80]], seed: 2}\n"
            "  - shrubs: {at: [[2, 28]]}\n  - hedge: {along: [[-4, 40], [4, 40]]}\n"
            "  - grass: {in: [[-3, 20], [3, 20], [3, 26], [-3, 26]]}\n"
            "  - reeds: {along: [[-3, 27], [3, 27]], width: 1}\n"
            "camera: {lens: {focal: 35}, at: [0, -20, 1.6], aim: [0, 30, 2]}\n"
            "setups: {close: {camera: {at: [0, 22, 1.6]}}}\n",
            encoding="utf-8",
        )
        main, close = assemble(read_scene(file)), assemble(read_scene(file, setup="close"))
        assert main.names == close.names
        for array in ("vertices", "normals", "faces", "tint"):
            assert getattr(main, array).tobytes() == getattr(close, array).tobytes()
        # And not because distance did not matter.
        file.write_text(
            file.read_text().replace("setups:", "looks: {x: {camera: {iso: 400}}}\n#"), encoding="utf-8"
        )
        assert len(assemble(read_scene(file)).faces) < 0.8 * len(main.faces)

    def test_parts_and_materials(self) -> None:
        def named(kind: str, **keys: object) -> list[tuple[str, str]]:
            return [(p.name, p.material) for p in built(kind, site(), at=[(0, 0)], **keys)]

        wood, leaves = ("grove.wood", "bark"), ("grove.leaves", "leaves")
        assert named("broadleaf") == named("pear") == named("loose") == [wood, leaves]
        assert named("broadleaf", season="winter") == named("bare") == named("dead") == [wood]
        firs = [("grove.wood", "dark bark"), ("grove.leaves", "needles")]
        assert named("conifer") == named("conifer", season="winter") == firs


class TestLevels:
    """All levels of one tree are the same tree to the light."""

    @pytest.mark.parametrize("kind", LEAFED)
    def test_the_same_area_of_leaf(self, kind: str) -> None:
        height = (1.0, 1.0) if kind in SHRUBS else (3, 3)
        found = [
            areas(part(built(kind, seen_from(away), at=[(0, 0)], height=height, seed=4), ".leaves")).sum()
            for away in AWAY[::2]
        ]
        np.testing.assert_allclose(found, found[0], rtol=0.13)

    @pytest.mark.parametrize("kind", [*TREES, *SHRUBS])
    def test_the_same_silhouette(self, kind: str) -> None:
        """What of the sky behind it each level hides, from the side that the camera stands on."""
        height = 1.0 if kind in SHRUBS else 3.0
        side = np.linspace(-0.6 * height, 0.6 * height, 220)
        x, z = (grid.ravel() for grid in np.meshgrid(side, np.linspace(0.01, height, 220)))
        origins = np.stack([x, np.full_like(x, -20.0), z], axis=1)
        hidden = [
            np.mean(blocked(scene_of(built(kind, seen_from(away), at=[(0, 0)], height=(height, height), seed=4)),
                            origins, (0.0, 1.0, 0.0)))
            for away in AWAY[::2]
        ]  # fmt: skip
        np.testing.assert_allclose(hidden, hidden[0], rtol=0.15)

    @pytest.mark.parametrize("kind", ["broadleaf", "birch", "conifer", "pear"])
    def test_the_same_brightness(self, kind: str) -> None:
        """Mean of what the leaves that the camera sees send back of a light three-quarters behind it, shadows and all."""
        toward = np.array([-0.6, -0.6, 0.53], np.float32)
        found = []
        for away in AWAY[::2]:
            leaves = part(built(kind, seen_from(away), at=[(0, 0)], height=(3, 3), seed=4), ".leaves")
            scene = scene_of([leaves])
            grid = np.linspace(-1.3, 1.3, 110)
            x, z = (each.ravel() for each in np.meshgrid(grid, np.linspace(0.4, 3.0, 110)))
            start = np.stack([x, np.full_like(x, -20.0), z], axis=1).astype(np.float32)
            hit = scene.run(start, np.tile(np.array([0, 1, 0], np.float32), (len(start), 1)), output=True)
            face = np.asarray(hit["primID"])
            there = face >= 0
            point = start[there] + np.asarray(hit["tfar"])[there, None] * np.array([0, 1, 0], np.float32)
            assert leaves.tint is not None
            corner = leaves.faces[face[there], 0]
            cosine = leaves.normals[corner] @ toward
            cosine *= np.where(leaves.normals[corner][:, 1] > 0.0, -1.0, 1.0)
            lit = ~blocked(
                scene, point + 0.004 * toward - np.array([0, 0.004, 0], np.float32), (-0.6, -0.6, 0.53)
            )
            found.append(float(np.mean(np.maximum(cosine, 0.0) * leaves.tint[corner, 1] * lit)))
        np.testing.assert_allclose(found, found[0], rtol=0.2)

    def test_the_nearest_camera_of_all_decides(self) -> None:
        stands = np.array([[0.0, 0.0, 9.0], [100.0, 0.0, 9.0], [400.0, 0.0, 9.0]])
        assert levels_of(stands, seen_from(5.0)).tolist() == [0, 5, 5]
        both = site(eyes=((0.0, -5.0, 1.6), (100.0, 20.0, 1.6)))
        assert levels_of(stands, both).tolist() == [0, 2, 5]
        assert levels_of(stands, site()).tolist() == [0, 0, 0]


class TestLight:
    def test_breaks_up_under_a_crown(self) -> None:
        fractions = {}
        for kind in ("broadleaf", "pear", "conifer", "bare"):
            parts = built(kind, seen_from(10.0), at=[(0, 0)], height=(6, 6), seed=2)
            fractions[kind] = shadow_fraction(parts, 0.8 * crown_radius(parts))
        assert 0.3 < fractions["broadleaf"] < 0.97
        assert 0.3 < fractions["pear"] < 0.97
        assert fractions["bare"] < 0.6 * fractions["broadleaf"]

    @pytest.mark.parametrize("kind", ["broadleaf", "pear", "birch", "conifer"])
    @pytest.mark.parametrize("away", [10.0, 70.0])
    def test_leaves_are_clumped_as_in_real_crowns(self, kind: str, away: float) -> None:
        """Gap fraction P = exp(-clumping x G x leaf area index), clumping 1 for leaves strewn at random.

        Source: N. Breda, Ground-based measurements of leaf area index, J. Exp. Botany 54 (2003), 2403-2417, Beer-
        Lambert law of the gap fraction. Clumping of real canopies 0.3 (conifers) to 0.95: from memory.
        """
        for seed in (1,):
            leaves = part(built(kind, seen_from(away), at=[(0, 0)], height=(3, 3), seed=seed), ".leaves")
            corners = leaves.vertices[leaves.faces]
            radius = 0.6 * crown_radius([leaves])
            inside = np.linalg.norm(corners.mean(axis=1)[:, :2], axis=1) < radius
            level_area = 0.5 * np.abs(
                np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 2]
            )
            layers = level_area[inside].sum() / (np.pi * radius**2)
            clumping = -np.log(1.0 - shadow_fraction([leaves], radius)) / layers
            assert 0.25 < clumping < 0.97

    @pytest.mark.parametrize("seed", [1, 2])
    def test_distant_conifers_are_no_row_of_poles(self, seed: int) -> None:
        """Level from one side, leaves close over every trunk and stand before more than a third of its upper half."""
        parts = built(
            "conifer",
            seen_from(70.0),
            along=[(-40, 0), (40, 0)],
            count=6,
            height=(10, 10),
            scatter=0,
            seed=seed,
        )
        leaves, wood = part(parts, ".leaves"), part(parts, ".wood")
        assert leaves.vertices[:, 2].max() > 0.97 * wood.vertices[:, 2].max()
        # Points strewn evenly over each triangle of the wood.
        shares = np.random.default_rng(1).dirichlet([1, 1, 1], size=(len(wood.faces), 3))
        points = np.einsum("fsk,fkd->fsd", shares, wood.vertices[wood.faces]).reshape(-1, 3)
        points = points[points[:, 2] > 5.0]
        assert len(points) > 500
        assert blocked(scene_of([leaves]), points, (0.0, -1.0, 0.0)).mean() > 1 / 3

    def test_sky_shows_between_the_leaves_of_a_crown(self) -> None:
        """Not a solid ball: some of the level rays through the crown's heart pass, and not many."""
        grid = np.linspace(-1.5, 1.5, 100)
        x, z = (each.ravel() for each in np.meshgrid(grid, np.linspace(3.5, 6.5, 100)))
        origins = np.stack([x, np.full_like(x, -20.0), z], axis=1)
        for kind, low, high in (("broadleaf", 0.6, 0.995), ("birch", 0.5, 0.98), ("bare", 0.15, 0.75)):
            parts = built(kind, seen_from(10.0), at=[(0, 0)], height=(9, 9), seed=4)
            assert low < blocked(scene_of(parts), origins, (0.0, 1.0, 0.0)).mean() < high, kind


class TestNature:
    """Measures of real trees; from memory where no table is named."""

    @pytest.mark.parametrize("kind", TREES)
    def test_slenderness(self, kind: str) -> None:
        """Height over diameter at breast height: 20 to 50 in the open, up to 80 in a stand; silviculture, from memory."""
        trunk = SPECIES[kind].trunk
        assert 20.0 <= 1.0 / (2.0 * trunk.radius) <= 60.0

    @pytest.mark.parametrize("kind", ["broadleaf", "birch", "pear", "apple", "willow"])
    def test_crown_width_against_the_trunk(self, kind: str) -> None:
        """Crown diameter is 12 to 30 times that of the trunk: Hemery, Savill and Pryor, Forest Ecology and Management
        215 (2005), 285-294, for broadleaved trees, widened; from memory."""
        leaves = part(built(kind, seen_from(25.0), at=[(0, 0)], height=(9, 9), seed=2), ".leaves")
        ratio = 2.0 * crown_radius([leaves]) / (18.0 * SPECIES[kind].trunk.radius)
        assert 12.0 < ratio < 30.0

    @pytest.mark.parametrize(
        ("kind", "low", "high"),
        [
            ("broadleaf", 3.0, 8.0),
            ("birch", 2.0, 6.0),
            ("conifer", 3.0, 11.0),
            ("pear", 2.0, 8.0),
            ("apple", 2.0, 8.0),
        ],
    )
    def test_leaf_area_index(self, kind: str, low: float, high: float) -> None:
        """Leaf area over the ground that the crown covers. Source: Asner, Scurlock and Hicke, Global Ecology and
        Biogeography 12 (2003), 191-205, temperate deciduous 5.1 +- 1.6, needle leaved 5.5 +- 3.4; from memory. Crowns that
        stand alone are the thinner."""
        leaves = part(built(kind, seen_from(25.0), at=[(0, 0)], height=(9, 9), seed=2), ".leaves")
        assert low < areas(leaves).sum() / (np.pi * crown_radius([leaves]) ** 2) < high

    @pytest.mark.parametrize(
        ("kind", "low", "high"),
        [("broadleaf", 6, 12), ("birch", 3, 7), ("pear", 5, 9), ("apple", 5, 10), ("willow", 7, 14)],
    )
    def test_near_leaves_have_their_real_size(self, kind: str, low: float, high: float) -> None:
        """Centimetres, of blades from base to tip: floras, from memory. A tree small enough to have all its leaves."""
        foliage = SPECIES[kind].foliage
        assert foliage is not None
        assert low <= 100.0 * foliage.length_m <= high
        leaves = part(built(kind, seen_from(5.0), at=[(0, 0)], height=(3, 3), seed=2), ".leaves")
        longest = leaves.vertices[leaves.faces]
        sides = np.linalg.norm(longest - np.roll(longest, 1, axis=1), axis=2).max(axis=1)
        assert 0.6 * low < 100.0 * np.median(sides) < 1.1 * high

    @pytest.mark.parametrize("kind", [*TREES, *SHRUBS])
    def test_branches_are_never_thicker_than_what_bears_them(self, kind: str) -> None:
        species = SPECIES[kind]
        grown = grow((7, 2), species.trunk, species.orders, trees=3)
        for parent, child in itertools.pairwise(grown):
            thickest = np.repeat(parent.radii.max(axis=2), child.family, axis=1)
            assert (child.radii[..., 0] <= thickest * 1.001).all()
            assert child.points.dtype == child.radii.dtype == np.float32

    def test_radius_follows_length_by_its_power(self) -> None:
        """Weber and Penn 1995: a branch's radius over its parent's is their lengths' ratio to a power of 1.2 to 1.3
        in most of their tables, 2 for a willow (from memory), where it is not held by the place it springs from."""
        assert 1.2 <= RADIUS_POWER <= 2.0
        species = SPECIES["broadleaf"]
        _, limbs, boughs = grow((7, 2), species.trunk, species.orders[:2], trees=3)
        against = boughs.lengths / np.repeat(limbs.lengths, boughs.family, axis=1)
        expected = np.repeat(limbs.radii[..., 0], boughs.family, axis=1) * against**RADIUS_POWER
        free = boughs.radii[..., 0] / expected > 0.999
        assert free.mean() > 0.4
        assert (boughs.radii[..., 0][free] <= expected[free] * 1.001).all()

    def test_winter_twigs_have_four_orders(self) -> None:
        species = SPECIES["birch"]
        assert species.sprays is not None
        bare = part(built("birch", seen_from(5.0), at=[(0, 0)], season="winter"), ".wood")
        leafed = part(built("birch", seen_from(5.0), at=[(0, 0)]), ".wood")
        assert len(bare.faces) > 1.1 * len(leafed.faces)
        assert len((*species.orders, species.sprays)) == 4

    def test_birches_are_white_with_dark_marks(self) -> None:
        wood = part(built("birch", seen_from(5.0), at=[(0, 0)], height=(9, 9)), ".wood")
        assert wood.tint is not None
        trunk = wood.tint[
            (np.linalg.norm(wood.vertices[:, :2], axis=1) < 0.15) & (wood.vertices[:, 2] < 2.5), 1
        ]
        assert np.median(trunk) > 0.6
        assert 0.04 < (trunk < 0.3).mean() < 0.5
        twigs = wood.tint[np.linalg.norm(wood.vertices[:, :2], axis=1) > 1.0, 1]
        assert np.median(twigs) < 0.3

    def test_autumn_turns_leaves_from_green(self) -> None:
        def hue(season: str) -> Floats:
            tint = part(built("broadleaf", seen_from(10.0), at=[(0, 0)], season=season), ".leaves").tint
            assert tint is not None
            return tint.mean(axis=0)

        summer, autumn = hue("summer"), hue("autumn")
        assert 0.8 < summer[0] / summer[1] < 1.2
        assert autumn[0] / autumn[1] > 1.4
        assert 0.6 < summer[1] < 1.2

    def test_amount_of_leaf(self) -> None:
        def area(leaves: float) -> float:
            return float(
                areas(part(built("broadleaf", seen_from(25.0), at=[(0, 0)], leaves=leaves), ".leaves")).sum()
            )

        assert area(2.0) == pytest.approx(2.0 * area(1.0), rel=0.05)
        assert area(0.5) == pytest.approx(0.5 * area(1.0), rel=0.05)


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
