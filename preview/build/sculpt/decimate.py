"""Decimation: a closed mesh with fewer triangles where its surface is nearly flat."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats, Indices

CHEAPEST = 0.12
"""Share of the edges that a round may collapse."""


def edges_of(faces: Indices) -> Indices:
    """Undirected edges (k, 2), low index first, each once."""
    both = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    both.sort(axis=1)
    return np.unique(both, axis=0)


def face_normals(vertices: Floats, faces: Indices) -> Floats:
    """Unnormalised, twice the area long."""
    a, b, c = (vertices[faces[:, i]] for i in range(3))
    cross: Floats = np.cross(b - a, c - a)
    return cross


def _quadrics(vertices: Floats, faces: Indices) -> Floats:
    """Sum of squared plane distances, weighted by area, of the faces round every vertex: (n, 4, 4)."""
    normal = face_normals(vertices, faces)
    twice_area = np.linalg.norm(normal, axis=1)
    normal = normal / np.maximum(twice_area, 1e-12)[:, None]
    plane = np.concatenate([normal, -np.einsum("ij,ij->i", normal, vertices[faces[:, 0]])[:, None]], axis=1)
    each = plane[:, :, None] * plane[:, None, :] * twice_area[:, None, None]
    result = np.zeros((len(vertices), 4, 4))
    for corner in range(3):
        np.add.at(result, faces[:, corner], each)
    return result


def _shared_neighbours(edges: Indices, count: int) -> Floats:
    """How many vertices both ends of each edge are joined to; 2 on a clean closed surface."""
    both = np.concatenate([edges, edges[:, ::-1]])
    both = both[np.argsort(both[:, 0], kind="stable")]
    start = np.searchsorted(both[:, 0], np.arange(count + 1))
    keys = np.sort(edges[:, 0].astype(np.int64) * count + edges[:, 1])
    degree = start[edges[:, 0] + 1] - start[edges[:, 0]]
    owner = np.repeat(np.arange(len(edges)), degree)
    within = np.arange(len(owner)) - np.repeat(np.cumsum(degree) - degree, degree)
    third = both[start[edges[owner, 0]] + within, 1]
    low, high = np.minimum(third, edges[owner, 1]), np.maximum(third, edges[owner, 1])
    wanted = low.astype(np.int64) * count + high
    found = keys[np.minimum(np.searchsorted(keys, wanted), len(keys) - 1)] == wanted
    return np.bincount(owner[found], minlength=len(edges)).astype(float)


def decimated(
    vertices: Floats,
    faces: Indices,
    target: int,
    *,
    weight: Floats | None = None,
    cheapest: float = CHEAPEST,
) -> tuple[Floats, Indices]:
    """At most about `target` faces, by rounds of independent edge collapses, cheapest first.

    `weight` (n,): how dear detail is at a vertex. Closed surfaces stay closed and edges stay shared by two faces.
    Source: M. Garland, P. Heckbert, "Surface simplification using quadric error metrics", SIGGRAPH 1997.
    """
    weight = np.ones(len(vertices)) if weight is None else weight
    quadrics = _quadrics(vertices, faces) * weight[:, None, None]
    lot = np.random.default_rng(0)
    for _ in range(200):
        if len(faces) <= target:
            break
        edges = edges_of(faces)
        u, v = edges.T
        middle = 0.5 * (vertices[u] + vertices[v])
        pair = quadrics[u] + quadrics[v]
        places = np.stack([middle, vertices[u], vertices[v]], axis=1)
        flat = np.concatenate([places, np.ones((*places.shape[:2], 1))], axis=2)
        costs = np.einsum("eci,eij,ecj->ec", flat, pair, flat)
        choice = costs.argmin(axis=1)
        length = np.linalg.norm(vertices[u] - vertices[v], axis=1)
        # A little of the edge's length keeps triangles even where the surface is flat and every cost is nought.
        cost = costs[np.arange(len(edges)), choice] + 4e-5 * length**4 * 0.5 * (weight[u] + weight[v])
        cost[_shared_neighbours(edges, len(vertices)) != 2] = np.inf
        new = places[np.arange(len(edges)), choice]

        # Among the cheaper edges the order is by lot: costs vary so smoothly that few would be cheapest of their ring.
        allowed = cost <= np.quantile(cost[np.isfinite(cost)], cheapest)
        rank = np.where(allowed, lot.permutation(len(edges)), np.inf)
        near = np.full(len(vertices), np.inf)
        np.minimum.at(near, u, rank)
        np.minimum.at(near, v, rank)
        wider = near.copy()
        np.minimum.at(wider, u, near[v])
        np.minimum.at(wider, v, near[u])
        near = wider
        budget = min((len(faces) - target) // 2 + 1, len(edges))
        chosen = np.flatnonzero(allowed & (rank <= np.minimum(near[u], near[v])))
        chosen = chosen[np.argsort(cost[chosen])][:budget]

        moved = vertices.copy()
        target_of = np.arange(len(vertices))
        moved[u[chosen]] = new[chosen]
        moved[v[chosen]] = new[chosen]
        target_of[v[chosen]] = u[chosen]
        before, after = face_normals(vertices, faces), face_normals(moved, faces)
        turned = np.einsum("ij,ij->i", before, after) < 0.3 * np.linalg.norm(before, axis=1) * np.linalg.norm(
            after, axis=1
        )
        dying = np.zeros(len(faces), dtype=bool)
        mapped = target_of[faces]
        for i in range(3):
            dying |= mapped[:, i] == mapped[:, (i + 1) % 3]
        spoilt = np.zeros(len(vertices), dtype=bool)
        spoilt[faces[turned & ~dying].reshape(-1)] = True
        keep = chosen[~(spoilt[u[chosen]] | spoilt[v[chosen]])]
        if len(keep) == 0:
            break
        target_of = np.arange(len(vertices))
        target_of[v[keep]] = u[keep]
        vertices = vertices.copy()
        vertices[u[keep]] = new[keep]
        quadrics[u[keep]] += quadrics[v[keep]]
        mapped = target_of[faces]
        alive = (
            (mapped[:, 0] != mapped[:, 1]) & (mapped[:, 1] != mapped[:, 2]) & (mapped[:, 2] != mapped[:, 0])
        )
        faces = mapped[alive]
        used, flat_faces = np.unique(faces, return_inverse=True)
        faces = flat_faces.reshape(-1, 3).astype(np.int32)
        vertices, quadrics, weight = vertices[used], quadrics[used], weight[used]
    return vertices, faces
