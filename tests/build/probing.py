"""Probes: what rays say about a set: whether it is tight, which way its faces look, whether two share a plane."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats, Part
from preview.build.world import World, gather, split
from preview.trace.rays import Hit, Rays

Array = NDArray[np.float32]


def rays_of(parts: Sequence[Part]) -> tuple[World, Rays]:
    """What of the parts stops light as a world, ready for rays."""
    world, _ = split(gather(parts))
    return world, Rays(world.vertices, world.faces)


def random_directions(rng: np.random.Generator, count: int) -> Array:
    """Unit directions (count, 3), even over the sphere."""
    vectors = rng.standard_normal((count, 3))
    return (vectors / np.linalg.norm(vectors, axis=1, keepdims=True)).astype(np.float32)


def escapes(rays: Rays, origins: Floats, directions: Array) -> NDArray[np.bool_]:
    """Which rays meet nothing at all."""
    starts = np.ascontiguousarray(origins, np.float32)
    return ~rays.blocked(starts, directions, np.full(len(starts), 1e4, np.float32))


def looks_from_around(
    world: World, rays: Rays, rng: np.random.Generator, *, centre: Sequence[float], radius: float, count: int
) -> tuple[Array, Array, Hit]:
    """Rays from points on the upper half of a sphere about the set towards points near its middle: (o, d, hit)."""
    outward = random_directions(rng, count)
    # As many low as high: eaves are seen from underneath.
    outward[:, 2] = np.abs(outward[:, 2]) * rng.random(count)
    outward /= np.linalg.norm(outward, axis=1, keepdims=True)
    origins = (np.array(centre) + radius * outward).astype(np.float32)
    span = np.ptp(world.vertices, axis=0)
    aims = world.vertices.min(axis=0) + rng.random((count, 3)) * span
    directions = aims - origins
    directions = (directions / np.linalg.norm(directions, axis=1, keepdims=True)).astype(np.float32)
    return origins, directions, rays.hit(origins, directions)


def face_normals(world: World) -> Floats:
    """Unit normals (m, 3) of the faces by their winding."""
    corners = world.vertices[world.faces].astype(float)
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    unit: Floats = cross / np.linalg.norm(cross, axis=1, keepdims=True)
    return unit


def backs_seen(world: World, directions: Array, hit: Hit) -> list[str]:
    """Names of the parts whose back is what a ray met (grazing rays left out)."""
    met = np.flatnonzero(hit.face >= 0)
    facing = np.sum(face_normals(world)[hit.face[met]] * directions[met], axis=1)
    parts = world.part_of_face[hit.face[met][facing > 0.02]]
    return sorted({f"{world.names[part]} ({world.materials[part]})" for part in parts})


def shared_planes(
    world: World, origins: Array, directions: Array, hit: Hit, *, within: float = 4e-4
) -> list[str]:
    """Pairs of parts of which two faces lie in one plane, over each other, where a ray met one of them."""
    met = np.flatnonzero(hit.face >= 0)
    points = origins[met].astype(float) + directions[met] * hit.distance[met, None].astype(float)
    normals = face_normals(world)
    corners = world.vertices[world.faces].astype(float)
    level = np.sum(normals * corners[:, 0], axis=1)
    mine = hit.face[met]
    ray, other = _neighbours(points, corners)
    near = np.abs(np.sum(points[ray] * normals[other], axis=1) - level[other]) < within
    near &= np.abs(np.sum(normals[mine[ray]] * normals[other], axis=1)) > 0.9999
    near &= other != mine[ray]
    ray, other = ray[near], other[near]
    inside = _well_inside(points[ray], corners[other])
    found = set()
    for one, two in zip(mine[ray[inside]], other[inside], strict=True):
        names = sorted(world.names[part] for part in world.part_of_face[[one, two]])
        found.add(" + ".join(names))
    return sorted(found)


def _neighbours(points: Floats, corners: Floats, *, cell: float = 0.25) -> tuple[Floats, Floats]:
    """Pairs of points (n, 3) and triangles (m, 3, 3) whose bounding boxes, a hair larger, reach into the point's cell."""
    first = np.floor((corners.min(axis=1) - 1e-3) / cell).astype(int)
    spans = np.floor((corners.max(axis=1) + 1e-3) / cell).astype(int) - first + 1
    count = spans.prod(axis=1)
    triangle = np.repeat(np.arange(len(corners)), count)
    within = np.arange(len(triangle)) - np.repeat(np.cumsum(count) - count, count)
    wide, deep = spans[triangle, 0], spans[triangle, 1]
    steps = np.stack([within % wide, within // wide % deep, within // (wide * deep)], axis=1)
    base = first.min(axis=0)
    size = (first + spans).max(axis=0) - base + 1

    def number(cells: Floats) -> Floats:
        away = cells - base
        return (away[:, 0] * size[1] + away[:, 1]) * size[2] + away[:, 2]

    key = number(first[triangle] + steps)
    order = np.argsort(key, kind="stable")
    key, triangle = key[order], triangle[order]
    wanted = number(np.floor(points / cell).astype(int))
    start, stop = np.searchsorted(key, wanted), np.searchsorted(key, wanted, side="right")
    ray = np.repeat(np.arange(len(points)), stop - start)
    place = np.arange(len(ray)) - np.repeat(np.cumsum(stop - start) - (stop - start), stop - start)
    return ray, triangle[start[ray] + place]


def _well_inside(points: Floats, corners: Floats) -> NDArray[np.bool_]:
    """Whether points (n, 3) lie in triangles (n, 3, 3) and not at their edges."""
    edge1, edge2 = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    away = points - corners[:, 0]
    d11, d12, d22 = (np.sum(a * b, axis=1) for a, b in [(edge1, edge1), (edge1, edge2), (edge2, edge2)])
    p1, p2 = np.sum(away * edge1, axis=1), np.sum(away * edge2, axis=1)
    scale = d11 * d22 - d12 * d12
    u, v = (d22 * p1 - d12 * p2) / scale, (d11 * p2 - d12 * p1) / scale
    inside: NDArray[np.bool_] = (u > 0.01) & (v > 0.01) & (u + v < 0.99)
    return inside


def volume(triangles: Floats) -> float:
    """Enclosed volume of closed triangles (n, 3, 3) by the divergence theorem; positive when they wind outward."""
    return float(np.sum(triangles[:, 0] * np.cross(triangles[:, 1], triangles[:, 2])) / 6.0)


def open_edges(triangles: Floats) -> int:
    """Directed edges of triangles (n, 3, 3) that have no partner the other way: 0 for a closed surface."""
    points, index = np.unique(np.round(triangles.reshape(-1, 3), 7), axis=0, return_inverse=True)
    faces = index.reshape(-1, 3)
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    forward, counts = np.unique(edges[:, 0] * len(points) + edges[:, 1], return_counts=True)
    back = np.unique(edges[:, 1] * len(points) + edges[:, 0])
    assert counts.max() == 1, "two faces run along one edge the same way"
    return len(np.setdiff1d(forward, back))
