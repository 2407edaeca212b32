"""Binding: how what is sewn on cloth rides on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from preview.build.mesh import Floats, Indices, vertex_normals
from preview.build.sculpt.sheets import Cloth


@dataclass(frozen=True)
class Binding:
    """How details ride on cloth: each vertex on its nearest vertices of the sheet, as their frames turn."""

    near: Indices
    share: Floats
    offset: Floats
    """(n, near, 3) in the frame of each of them."""


def bound(points: Floats, cloth: Cloth) -> Binding:
    tree = cKDTree(cloth.vertices)
    distance, near = tree.query(points, k=5)
    share = 1.0 / (distance + 6.0) ** 2
    share /= share.sum(axis=1, keepdims=True)
    frames = _frames(cloth, cloth.vertices)
    offset = np.einsum("nki,nkij->nkj", points[:, None] - cloth.vertices[near], frames[near])
    return Binding(near.astype(np.int32), share, offset)


def carried_along(binding: Binding, cloth: Cloth, posed: Floats) -> Floats:
    frames = _frames(cloth, posed)[binding.near]
    places = posed[binding.near] + np.einsum("nkj,nkij->nki", binding.offset, frames)
    result: Floats = np.einsum("nk,nki->ni", binding.share, places)
    return result


def _frames(cloth: Cloth, vertices: Floats) -> Floats:
    """Axes (n, 3, 3) as columns at each vertex: along one edge, across it, out of the cloth; evened with its neighbours."""
    faces = cloth.faces
    normal = vertex_normals(vertices, faces)
    ends = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    for _ in range(3):
        total = np.stack(
            [np.bincount(ends[:, 0], normal[ends[:, 1], a], len(vertices)) for a in range(3)], axis=1
        )
        normal = normal + total
        normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    first = np.full(len(vertices), -1)
    first[ends[::-1, 0]] = ends[::-1, 1]
    along = vertices[first] - vertices
    along -= np.einsum("ij,ij->i", along, normal)[:, None] * normal
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-9)
    return np.stack([along, np.cross(normal, along), normal], axis=2)
