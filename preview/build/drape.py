"""Drape: parts built on ground of height 0 laid on the ground as it is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats, Indices, Part
from preview.script.standing import Heights

TRUE_TO = 0.004
"""Metres that an edge may run past the ground beneath it before it is cut."""
SHORT = 0.4
"""Edges shorter than this on plan, metres, are never cut."""
MOST_CUTS = 8
"""An edge of 100 m is cut into pieces of 40 cm at the most."""
STEP = 0.02
"""Metres over which the climb of the ground is taken."""


def lifted(part: Part, by: float) -> Part:
    """The part, higher by so many metres."""
    return part if by == 0.0 else replace(part, vertices=part.vertices + np.array([0.0, 0.0, by]))


def draped(part: Part, height: Heights) -> Part:
    """Each vertex lifted by the ground that stands for it; long edges are cut where the ground bends under them."""
    part = refined(part, height)
    x, y = part.vertices[:, 0], part.vertices[:, 1]
    here = height(x, y)
    vertices, normals = part.vertices.copy(), part.normals.copy()
    vertices[:, 2] += here
    # What z + h(x, y) makes of a plane's normal: the transposed inverse of its Jacobian.
    normals[:, 0] -= (height(x + STEP, y) - here) / STEP * part.normals[:, 2]
    normals[:, 1] -= (height(x, y + STEP) - here) / STEP * part.normals[:, 2]
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    return replace(part, vertices=vertices, normals=normals)


def refined(part: Part, height: Heights) -> Part:
    """The part with its edges cut in halves until each runs along the ground; neighbours that share one are cut alike."""
    vertices, normals, tint, faces = part.vertices, part.normals, part.tint, part.faces
    corners = vertices[faces, :2]
    long = (np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2) > SHORT).any(axis=1)
    open_faces, done = faces[long], [faces[~long]]
    for _ in range(MOST_CUTS):
        edges = np.sort(open_faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
        keys, back = np.unique(
            edges[:, 0].astype(np.int64) * len(vertices) + edges[:, 1], return_inverse=True
        )
        first, second = keys // len(vertices), keys % len(vertices)
        cut = _bent(vertices[first], vertices[second], height)
        marked = cut[back].reshape(-1, 3)
        whole = ~marked.any(axis=1)
        done.append(open_faces[whole])
        if whole.all():
            break
        number = np.full(len(keys), -1, np.int64)
        number[cut] = len(vertices) + np.arange(cut.sum())
        one, two = first[cut], second[cut]
        vertices = np.concatenate([vertices, 0.5 * (vertices[one] + vertices[two])])
        between = normals[one] + normals[two]
        between /= np.maximum(np.linalg.norm(between, axis=1, keepdims=True), 1e-12)
        normals = np.concatenate([normals, between])
        tint = None if tint is None else np.concatenate([tint, 0.5 * (tint[one] + tint[two])])
        open_faces = _cut(open_faces[~whole], number[back].reshape(-1, 3)[~whole])
    else:
        done.append(open_faces)
    return replace(
        part, vertices=vertices, normals=normals, tint=tint, faces=np.concatenate(done).astype(np.int32)
    )


def _bent(one: Floats, two: Floats, height: Heights) -> NDArray[np.bool_]:
    """Which edges between points (n, 3) leave the ground that their ends stand on."""
    bent = np.linalg.norm(two[:, :2] - one[:, :2], axis=1) > SHORT
    one, two = one[bent], two[bent]
    ends = height(one[:, 0], one[:, 1]), height(two[:, 0], two[:, 1])
    off = np.zeros(len(one), bool)
    for share in (0.25, 0.5, 0.75):
        point = one + share * (two - one)
        along = ends[0] + share * (ends[1] - ends[0])
        off |= np.abs(height(point[:, 0], point[:, 1]) - along) > TRUE_TO
    bent[bent] = off
    return bent


def _cut(faces: Indices, middles: NDArray[np.int64]) -> Indices:
    """Faces (n, 3) with the vertex in the middle of each of their edges, -1 where it is not cut, in smaller ones."""
    found = []
    count = (middles >= 0).sum(axis=1)
    for turn in range(3):
        order = [(corner + turn) % 3 for corner in range(3)]
        a, b, c = faces[:, order].T
        ab, bc, ca = middles[:, order].T
        # One edge cut, from a to b; or two, leaving the third from b to c whole.
        some = (count == 1) & (ab >= 0)
        found += _stack(some, (a, ab, c), (ab, b, c))
        some = (count == 2) & (bc < 0)
        found += _stack(some, (a, ab, ca), (ab, b, c), (ab, c, ca))
    a, b, c = faces.T
    ab, bc, ca = middles.T
    found += _stack(count == 3, (a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))
    return np.concatenate(found)


def _stack(some: NDArray[np.bool_], *triples: tuple[NDArray[np.int64], ...]) -> list[Indices]:
    return [np.stack([corner[some] for corner in triple], axis=1) for triple in triples]
