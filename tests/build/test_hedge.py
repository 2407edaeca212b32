"""Hedge: a leafy body of the asked size that light does not pass."""

from __future__ import annotations

import numpy as np
from embreex.mesh_construction import TriangleMesh
from embreex.rtcore_scene import EmbreeScene

from preview.build.growth.hedge import LARGEST, LEAF, MOST_LEAVES, build_hedge
from preview.build.mesh import Part
from preview.script.models.pieces.growth import Hedge
from tests.build.standing import site

MODEL = Hedge(along=[(-3, 0), (3, 0), (3, 5)], height=1.4, thickness=0.8, seed=3)
FAR = site(eyes=((0.0, -20.0, 1.6),))


def straight(length: float, *, away: float, **keys: object) -> list[Part]:
    model = Hedge.model_validate({"along": [[0, 0], [length, 0]], **keys})
    return build_hedge("h", model, site(eyes=((length / 2, -away, 1.6),)))


def sizes(leaves: Part) -> np.ndarray:
    """Of each leaf, from base to tip."""
    corner = leaves.vertices.reshape(-1, 4, 3)
    return np.linalg.norm(corner[:, 2] - corner[:, 0], axis=1)


def test_size_and_place() -> None:
    core, leaves = build_hedge("hedge", MODEL, FAR)
    assert (core.name, leaves.name) == ("hedge.core", "hedge.leaves")
    points = leaves.vertices
    # The bulk within a leaf of its box: x from -3 to 3.4, y from -0.4 to 5.
    low, high = np.percentile(points, [1, 99], axis=0)
    np.testing.assert_allclose(low[:2], [-3.0, -0.4], atol=0.12)
    np.testing.assert_allclose(high, [3.4, 5.0, 1.4], atol=0.15)
    assert points[:, 2].min() >= -0.1
    assert core.vertices[:, 2].max() < points[:, 2].max()
    for part in (core, leaves):
        assert np.isfinite(part.vertices).all()
        np.testing.assert_allclose(np.linalg.norm(part.normals, axis=1), 1.0, atol=1e-5)
        assert part.tint is not None
        assert part.tint.shape == part.vertices.shape
        assert part.tint.min() > 0.0


def test_light_does_not_pass() -> None:
    scene = EmbreeScene()
    for part in build_hedge("hedge", MODEL, FAR):
        TriangleMesh(scene, part.vertices[part.faces].astype(np.float32))
    x, z = (grid.ravel() for grid in np.meshgrid(np.linspace(-2.8, 2.4, 80), np.linspace(0.02, 1.1, 30)))
    origins = np.stack([x, np.full_like(x, -3.0), z], axis=1).astype(np.float32)
    north = np.tile(np.array([0, 1, 0], np.float32), (len(x), 1))
    found = scene.run(origins, north, query="OCCLUDED", dists=np.full(len(x), 3.9, np.float32))
    assert (np.asarray(found) == 0).all()


def test_its_core_is_closed_and_winds_outwards() -> None:
    """The divergence theorem: its volume is near that of its box; every edge has a face on both sides."""
    core = straight(10.0, away=20.0, height=1.4, thickness=0.8)[0]
    corners = core.vertices[core.faces]
    vector_area = 0.5 * np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    volume = float(np.sum(vector_area * corners.mean(axis=1)) / 3.0)
    assert 0.5 * 10 * 1.4 * 0.8 < volume < 10 * 1.4 * 0.8
    edges = np.concatenate([core.faces[:, [0, 1]], core.faces[:, [1, 2]], core.faces[:, [2, 0]]])
    forth = {(a, b) for a, b in edges.tolist()}
    assert len(forth) == len(edges)
    assert forth == {(b, a) for a, b in forth}


def test_no_straight_edges() -> None:
    """The shears leave a top that wavers by centimetres, and shoulders that are round."""
    leaves = straight(12.0, away=8.0)[1].vertices
    tops = [leaves[np.abs(leaves[:, 0] - x) < 0.2, 2].max() for x in np.arange(0.5, 12, 0.4)]
    assert 0.01 < np.std(tops) < 0.15
    middle, shoulder = (leaves[np.abs(np.abs(leaves[:, 1]) - y) < 0.04, 2] for y in (0.05, 0.33))
    assert np.percentile(middle, 95) > np.percentile(shoulder, 95) + 0.04


def test_leaves_cover_it_as_privet_does() -> None:
    """From the front, leaves alone hide nearly all that is behind them."""
    scene = EmbreeScene()
    leaves = straight(4.0, away=8.0)[1]
    TriangleMesh(scene, leaves.vertices[leaves.faces].astype(np.float32))
    x, z = (grid.ravel() for grid in np.meshgrid(np.linspace(0.5, 3.5, 120), np.linspace(0.15, 1.0, 50)))
    origins = np.stack([x, np.full_like(x, -3.0), z], axis=1).astype(np.float32)
    north = np.tile(np.array([0, 1, 0], np.float32), (len(x), 1))
    # As far as the middle of the hedge.
    found = scene.run(origins, north, query="OCCLUDED", dists=np.full(len(x), 3.0, np.float32))
    assert 0.8 < (np.asarray(found) == 0).mean() < 1.0


def test_leaves_are_finer_the_nearer_a_camera() -> None:
    near, far = (sizes(straight(4.0, away=away)[1]) for away in (4.0, 25.0))
    # Privet and box have leaves of 2 to 6 cm: floras, from memory.
    assert 0.02 < np.median(near) < 0.06
    assert np.median(far) > 2.0 * np.median(near)
    areas = [
        np.linalg.norm(np.cross(c[:, 1] - c[:, 0], c[:, 2] - c[:, 0]), axis=1).sum()
        for c in (
            part.vertices[part.faces].astype(float)
            for part in (straight(4.0, away=away)[1] for away in (4.0, 25.0))
        )
    ]
    np.testing.assert_allclose(areas[1], areas[0], rtol=0.1)
    assert LEAF < LARGEST


def test_a_turned_hedge_is_no_greener() -> None:
    summer, autumn = (
        part.tint.mean(axis=0)
        for season in ("summer", "autumn")
        if (part := straight(3.0, away=15.0, season=season)[1]).tint is not None
    )
    assert autumn[0] / autumn[1] > 1.3 * summer[0] / summer[1]


def test_same_seed_same_hedge_and_bounded_leaves() -> None:
    first, again, other = (straight(6.0, away=20.0, seed=seed)[1].vertices.tobytes() for seed in (1, 1, 2))
    assert first == again != other
    long = build_hedge("h", Hedge(along=[(0, 0), (300, 0)], height=3.0), site())[1]
    assert 0.98 * MOST_LEAVES < len(long.vertices) / 4 < 1.02 * MOST_LEAVES
