"""Locks: many hairs lying together, as narrow ribbons with a ridge, combed over a surface."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from preview.build.mesh import Floats, Indices
from preview.build.sculpt.nets import normals
from preview.build.sculpt.shapes import Shape

Field = Callable[[Floats, Floats], Floats]
"""Places (n, 3) and unit normals to the way (n, 3) that hair lies there."""


@dataclass(frozen=True)
class Tress:
    """A mesh with its tints (n, 3)."""

    vertices: Floats
    faces: Indices
    normals: Floats
    tint: Floats


def unit(vectors: Floats) -> Floats:
    result: Floats = vectors / np.maximum(np.linalg.norm(vectors, axis=-1, keepdims=True), 1e-9)
    return result


def gathered(*tresses: Tress) -> Tress:
    starts = np.cumsum([0] + [len(t.vertices) for t in tresses])
    return Tress(
        np.concatenate([t.vertices for t in tresses]),
        np.concatenate([t.faces + n for t, n in zip(tresses, starts, strict=False)]).astype(np.int32),
        np.concatenate([t.normals for t in tresses]),
        np.concatenate([t.tint for t in tresses]),
    )


def roots(
    vertices: Floats,
    faces: Indices,
    wanted: Callable[[Floats], Floats],
    spacing: float,
    lot: np.random.Generator,
) -> Floats:
    """Places (n, 3) on a mesh where `wanted` is positive, none nearer to another than `spacing` over the root of it."""
    a, b, c = (vertices[faces[:, i]] for i in range(3))
    area = 0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1)
    count = int(6 * area.sum() / spacing**2)
    face = lot.choice(len(faces), count, p=area / area.sum())
    u, v = lot.random((2, count, 1))
    over = u + v > 1
    u, v = np.where(over, 1 - u, u), np.where(over, 1 - v, v)
    places = a[face] + u * (b - a)[face] + v * (c - a)[face]
    density = wanted(places)
    places, density = places[density > 0], density[density > 0]
    reach = spacing / np.sqrt(density)
    tree = cKDTree(places)
    alive = np.ones(len(places), dtype=bool)
    for i, near in enumerate(tree.query_ball_point(places, reach)):
        if alive[i]:
            alive[near] = False
            alive[i] = True
    return np.asarray(places[alive])


def combed(
    surface: Shape,
    start: Floats,
    field: Field,
    *,
    length: Floats,
    rise: Floats,
    points: int,
    fall: float = 0.0,
    floor: Shape | None = None,
) -> tuple[Floats, Floats]:
    """Paths (n, points, 3) and the ways out (n, points, 3) of locks that lie over a surface.

    `rise` (n, points) mm above it, after its root never lower than `floor`. With `fall` hair hangs: below
    that height it only rests on what it meets.
    """
    # Short strides where the skull is round, long ones where hair hangs.
    strides = np.linspace(0.7, 1.3, points) / (points - 1)
    path, outward = [], []
    place = start.copy()
    way = np.zeros_like(start)
    for k in range(points):
        normal = normals(surface, place, 1.0)
        distance = surface(place)
        least = rise[:, k] if floor is None or k == 0 else np.maximum(rise[:, k], floor(place))
        lift = least - distance
        lift = np.where(place[:, 2] < fall, np.maximum(lift, 0.0), lift)
        place = place + np.clip(lift, -6.0, 12.0)[:, None] * normal
        path.append(place)
        outward.append(normal)
        ahead = field(place, normal)
        hanging = ((place[:, 2] < fall) & (surface(place) > rise[:, k] + 0.5))[:, None]
        ahead = np.where(hanging, ahead, ahead - np.einsum("ij,ij->i", ahead, normal)[:, None] * normal)
        way = unit(0.45 * way + unit(ahead))
        place = place + way * (length * strides[k])[:, None]
    return np.stack(path, axis=1), np.stack(outward, axis=1)


def ribbons(
    path: Floats, outward: Floats, width: Floats, *, ridge: float, shade: Floats, lay: Floats | None = None
) -> Tress:
    """Ribbons along paths (n, k, 3): `width` (n, k) mm, their middle raised by `ridge` of it; `shade` (n, k) their tint.

    `lay` (n,) radians turns each about its run, so that one edge stands up. Double-sided.
    """
    count, along, _ = path.shape
    run = unit(np.gradient(path, axis=1))
    out = unit(outward - np.einsum("nki,nki->nk", outward, run)[..., None] * run)
    side = np.cross(run, out)
    if lay is not None:
        cosine, sine = np.cos(lay)[:, None, None], np.sin(lay)[:, None, None]
        out, side = cosine * out + sine * side, cosine * side - sine * out
    half = 0.5 * width[..., None]
    vertices = np.stack(
        [path - half * side - 2 * ridge * half * out, path, path + half * side - 2 * ridge * half * out],
        axis=2,
    )
    tilt = 0.6
    normal = np.stack([unit(out - tilt * side), out, unit(out + tilt * side)], axis=2)
    tint = np.repeat(np.repeat(shade[:, :, None, None], 3, axis=2), 3, axis=3)
    index = (np.arange(count)[:, None, None] * along + np.arange(along - 1)[:, None]) * 3 + np.arange(2)
    a, b, c, d = index, index + 1, index + 4, index + 3
    # Seen from outside, `side` is to the left of the run.
    faces = np.stack([np.stack([a, b, c], axis=-1), np.stack([a, c, d], axis=-1)], axis=-2)
    return Tress(
        vertices.reshape(-1, 3),
        faces.reshape(-1, 3).astype(np.int32),
        normal.reshape(-1, 3),
        tint.reshape(-1, 3),
    )
