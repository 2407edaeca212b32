"""Signed distance shapes: each takes points (n, 3) and returns the distance (n,), negative inside.

Lengths are in the unit of the points; the sculpt works in millimetres. Ellipsoids, tapered chains and blends give
a bound rather than the exact distance, which is all that finding the zero surface needs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np

from preview.build.mesh import Floats

Shape = Callable[[Floats], Floats]
Triple = Sequence[float]


def mirrored(points: Floats, soft: float = 0.6) -> Floats:
    """Points folded onto x >= 0; `soft` rounds the fold so that no crease runs down the middle."""
    folded = points.copy()
    folded[:, 0] = np.sqrt(points[:, 0] ** 2 + soft * soft) - soft
    return folded


def ellipsoid(points: Floats, centre: Triple, radii: Triple) -> Floats:
    """First-order distance: the implicit value over the length of its gradient."""
    local = (points - np.asarray(centre)) / np.asarray(radii)
    level = np.sqrt(np.einsum("ij,ij->i", local, local)) + 1e-9
    slope = np.linalg.norm(local / np.asarray(radii), axis=1) + 1e-12
    distance: Floats = level * (level - 1.0) / slope
    return distance


def capsule(
    points: Floats, start: Triple, end: Triple, radius: float, end_radius: float | None = None
) -> Floats:
    """A rod with round ends, tapering linearly from `radius` to `end_radius`."""
    origin = np.asarray(start, dtype=float)
    axis = np.asarray(end, dtype=float) - origin
    along = np.clip((points - origin) @ axis / (axis @ axis), 0.0, 1.0)
    nearest = origin + along[:, None] * axis
    thickness = radius + along * ((radius if end_radius is None else end_radius) - radius)
    distance: Floats = np.linalg.norm(points - nearest, axis=1) - thickness
    return distance


def chain(points: Floats, stations: Sequence[Triple], blend: float = 0.0) -> Floats:
    """Tapered rods through stations (x, y, z, radius)."""
    rods = [capsule(points, a[:3], b[:3], a[3], b[3]) for a, b in pairwise(stations)]
    return join(blend, *rods)


def join(blend: float, *distances: Floats) -> Floats:
    """Union; within `blend` of a seam the surfaces flow into each other (quadratic fillet)."""
    result = distances[0]
    for other in distances[1:]:
        if blend > 0:
            overlap = np.maximum(blend - np.abs(result - other), 0.0) / blend
            result = np.minimum(result, other) - overlap * overlap * blend * 0.25
        else:
            result = np.minimum(result, other)
    return result


def meet(blend: float, *distances: Floats) -> Floats:
    """Intersection with rounded edges."""
    return -join(blend, *(-d for d in distances))


def carve(blend: float, solid: Floats, *tools: Floats) -> Floats:
    """The solid less the tools."""
    return meet(blend, solid, *(-t for t in tools))


def rotation(*, about_x: float = 0.0, about_y: float = 0.0, about_z: float = 0.0) -> Floats:
    """Matrix (3, 3) of turns in degrees, x first, then y, then z, right-handed."""
    (cx, cy, cz), (sx, sy, sz) = np.cos(r := np.radians([about_x, about_y, about_z])), np.sin(r)
    turn_x = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])
    turn_y = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
    turn_z = np.array([[cz, -sz, 0], [sz, cz, 0], [0, 0, 1]])
    matrix: Floats = turn_z @ turn_y @ turn_x
    return matrix


def step(edge0: float, edge1: float, values: Floats) -> Floats:
    """0 at edge0, 1 at edge1, smooth between."""
    t = np.clip((values - edge0) / (edge1 - edge0), 0.0, 1.0)
    eased: Floats = t * t * (3.0 - 2.0 * t)
    return eased


def bump(points: Floats, centre: Triple, spread: Triple) -> Floats:
    """1 at the centre, falling off as a Gaussian."""
    local = (points - np.asarray(centre)) / np.asarray(spread)
    value: Floats = np.exp(-np.einsum("ij,ij->i", local, local))
    return value
