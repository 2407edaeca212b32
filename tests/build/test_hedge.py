"""Hedge: a leafy box of the asked size that light does not pass."""

from __future__ import annotations

import numpy as np
from embreex.mesh_construction import TriangleMesh
from embreex.rtcore_scene import EmbreeScene

from preview.build.hedge import MOST_LEAVES, build_hedge
from preview.script.models.pieces.growth import Hedge
from tests.build.standing import site

MODEL = Hedge(along=[(-3, 0), (3, 0), (3, 5)], height=1.4, thickness=0.8, seed=3)


def test_size_and_place() -> None:
    core, leaves = build_hedge("hedge", MODEL, site())
    assert (core.name, leaves.name) == ("hedge.core", "hedge.leaves")
    points = leaves.vertices
    # The bulk within a leaf of its box: x from -3 to 3.4, y from -0.4 to 5.
    low, high = np.percentile(points, [1, 99], axis=0)
    np.testing.assert_allclose(low[:2], [-3.0, -0.4], atol=0.12)
    np.testing.assert_allclose(high, [3.4, 5.0, 1.4], atol=0.15)
    assert points[:, 2].min() >= 0.0
    assert core.vertices[:, 2].min() >= 0.0
    assert core.vertices[:, 2].max() < points[:, 2].max()
    for part in (core, leaves):
        assert np.isfinite(part.vertices).all()
        np.testing.assert_allclose(np.linalg.norm(part.normals, axis=1), 1.0, atol=1e-9)


def test_light_does_not_pass() -> None:
    scene = EmbreeScene()
    for part in build_hedge("hedge", MODEL, site()):
        TriangleMesh(scene, part.vertices[part.faces].astype(np.float32))
    x, z = (grid.ravel() for grid in np.meshgrid(np.linspace(-2.8, 2.4, 80), np.linspace(0.02, 1.1, 30)))
    origins = np.stack([x, np.full_like(x, -3.0), z], axis=1).astype(np.float32)
    north = np.tile(np.float32([0, 1, 0]), (len(x), 1))
    found = scene.run(origins, north, query="OCCLUDED", dists=np.full(len(x), 3.9, np.float32))
    assert (np.asarray(found) == 0).all()


def test_core_winds_outwards() -> None:
    """The divergence theorem: volume of the core, its open underside lying in z = 0, is near that of its box."""
    core = build_hedge("hedge", Hedge(along=[(0, 0), (10, 0)], height=1.4, thickness=0.8), site())[0]
    corners = core.vertices[core.faces]
    # The field (0, 0, z) has divergence 1 and no flow through z = 0.
    vector_area = 0.5 * np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    volume = float(np.sum(vector_area[:, 2] * corners[..., 2].mean(axis=1)))
    assert 0.6 * 10 * 1.4 * 0.8 < volume < 10 * 1.4 * 0.8


def test_irregular_top() -> None:
    leaves = build_hedge("hedge", Hedge(along=[(0, 0), (12, 0)]), site())[1].vertices
    tops = [leaves[np.abs(leaves[:, 0] - x) < 0.2, 2].max() for x in np.arange(0.5, 12, 0.4)]
    assert 0.01 < np.std(tops) < 0.15


def test_same_seed_same_hedge_and_bounded_leaves() -> None:
    def grown(seed: int, length: float = 6.0) -> bytes:
        return build_hedge("h", Hedge(along=[(0, 0), (length, 0)], seed=seed), site())[1].vertices.tobytes()

    assert grown(1) == grown(1) != grown(2)
    assert len(grown(1, 300.0)) == MOST_LEAVES * 4 * 3 * 8
