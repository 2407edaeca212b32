"""Parts: triangles of one material under one name, the coin in which every builder pays.

Builders return parts in world metres (z up). A part's vertices carry shading normals, so an edge is hard where
its vertices are split and round where they are shared. Faces wind counterclockwise seen from outside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.int32]


@dataclass(frozen=True)
class Part:
    """vertices (n, 3) m, faces (m, 3), normals (n, 3) unit; `name` like `house.roof`; `material` of the catalogue.

    `wet`: 0 dry to 1 after heavy rain. `tint` (n, 3) float32: what each vertex's reflectance is of the material's, linear
    ACEScg, or None where it is the same all over.
    """

    name: str
    material: str
    vertices: Floats
    faces: Indices
    normals: Floats
    wet: float = 0.0
    tint: NDArray[np.float32] | None = None


def flat(name: str, material: str, triangles: Floats, *, wet: float = 0.0) -> Part:
    """A faceted part from triangles (m, 3, 3)."""
    edge1 = triangles[:, 1] - triangles[:, 0]
    edge2 = triangles[:, 2] - triangles[:, 0]
    normals = np.cross(edge1, edge2)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-30)
    return Part(
        name,
        material,
        triangles.reshape(-1, 3),
        np.arange(3 * len(triangles), dtype=np.int32).reshape(-1, 3),
        np.repeat(normals, 3, axis=0),
        wet,
    )


def smooth(name: str, material: str, vertices: Floats, faces: Indices) -> Part:
    """A round part: normals averaged over the faces that share a vertex, weighted by area."""
    return Part(name, material, vertices, faces, vertex_normals(vertices, faces))


def vertex_normals(vertices: Floats, faces: Indices) -> Floats:
    """Unit normals (n, 3) of a smooth surface: those of the faces round each vertex, by their area."""
    a, b, c = (vertices[faces[:, corner]] for corner in range(3))
    cross = np.cross(b - a, c - a)
    normals = np.zeros_like(vertices)
    for axis in range(3):
        for corner in range(3):
            normals[:, axis] += np.bincount(faces[:, corner], cross[:, axis], len(vertices))
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-30)
    return normals


BOX_QUADS = np.array(
    [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]], dtype=np.int32
)
"""Corners of a box numbered x + 2 y + 4 z; outward quads: bottom, top, south, north, west, east."""


def turned(points: Floats, azimuth: float, at: Floats) -> Floats:
    """Local points (..., 3) placed in the world.

    Local axes of a piece: y the way its front looks, z up, x = y turned clockwise seen from above (east, when
    the front looks north). `azimuth` radians: where y points, clockwise from north. `at` (3,) metres.
    """
    cosine, sine = np.cos(azimuth), np.sin(azimuth)
    rotation = np.array([[cosine, sine, 0.0], [-sine, cosine, 0.0], [0.0, 0.0, 1.0]])
    return points @ rotation.T + at


def stood(
    part: Part, *, azimuth: float, at: Sequence[float], height: float = 0.0, scale: float = 1.0
) -> Part:
    """A local part with its front to `azimuth` at a plan point (2,) and height, metres, `scale` times as large."""
    return replace(
        part,
        vertices=turned(part.vertices * scale, azimuth, np.array([*at, height])),
        normals=turned(part.normals, azimuth, np.zeros(3)),
    )
