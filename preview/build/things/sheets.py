"""Sheets: thin surfaces that are cut along curves, given a thickness, mirrored: the pressed panels of a body.

A sheet is a Part without name and material; its vertices are shared, so that its edges are where a face has no neighbour.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats, Indices, Part

ON_AXIS = 1e-6
"""How near the plane x = 0 an edge lies along which the other half goes on, metres."""

SHORTEST = 2e-5
"""Edges that are shorter are points, metres."""


def grid_sheet(points: Floats, normals: Floats) -> Part:
    """A sheet over a grid of points (rows, columns, 3); its outside is to the left of rows, seen along columns."""
    rows, columns = points.shape[:2]
    row, column = np.meshgrid(np.arange(rows - 1), np.arange(columns - 1), indexing="ij")
    here = row * columns + column
    around = np.stack([here, here + columns, here + columns + 1, here + 1], axis=-1).reshape(-1, 4)
    faces = np.concatenate([around[:, [0, 1, 2]], around[:, [0, 2, 3]]]).astype(np.int32)
    return welded(Part("", "", points.reshape(-1, 3), faces, normals.reshape(-1, 3)))


def welded(sheet: Part, *, within: float = 1e-6) -> Part:
    """The sheet with vertices of one place shared, and without the faces that so lose their area."""
    _, first, place = np.unique(
        np.round(sheet.vertices / within).astype(np.int64), axis=0, return_index=True, return_inverse=True
    )
    # In the order in which they came, so that neighbours stay together.
    order = np.argsort(first, kind="stable")
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    first = first[order]
    faces = rank[place.reshape(-1)][sheet.faces].astype(np.int32)
    a, b, c = faces.T
    faces = faces[(a != b) & (b != c) & (a != c)]
    return Part("", "", sheet.vertices[first], faces, sheet.normals[first])


def cut(sheet: Part, values: Floats) -> tuple[Part, Part]:
    """The part of a sheet where values (n,) at its vertices are positive, and the rest, cut exactly where they are 0."""
    side = np.where(np.abs(values) < 1e-9, 1e-9, values)
    inside = side > 0.0
    of_face = inside[sheet.faces]
    number = of_face.sum(axis=1)
    mixed = sheet.faces[(number == 1) | (number == 2)]
    alone = inside[mixed] if len(mixed) else np.zeros((0, 3), bool)
    alone = np.where(alone.sum(axis=1, keepdims=True) == 1, alone, ~alone)
    first = alone.argmax(axis=1)
    turn = (first[:, None] + np.arange(3)) % 3
    mixed = np.take_along_axis(mixed, turn, axis=1).astype(np.int64)
    count = len(sheet.vertices)
    ends = np.concatenate([mixed[:, [0, 1]], mixed[:, [0, 2]]])
    key = np.sort(ends, axis=1)
    _, where, place = np.unique(key[:, 0] * count + key[:, 1], return_index=True, return_inverse=True)
    near, far = ends[where].T
    share = (side[near] / (side[near] - side[far]))[:, None]
    points = sheet.vertices[near] + share * (sheet.vertices[far] - sheet.vertices[near])
    normals = sheet.normals[near] + share * (sheet.normals[far] - sheet.normals[near])
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    new = count + place.reshape(-1)
    left, right = new[: len(mixed)], new[len(mixed) :]
    lone = np.stack([mixed[:, 0], left, right], axis=1)
    others = np.concatenate(
        [np.stack([left, mixed[:, 1], mixed[:, 2]], axis=1), np.stack([left, mixed[:, 2], right], axis=1)]
    )
    in_lone = inside[mixed[:, 0]]
    in_others = np.tile(~in_lone, 2)
    whole = Part(
        "",
        "",
        np.concatenate([sheet.vertices, points]),
        sheet.faces,
        np.concatenate([sheet.normals, normals]),
    )
    within = np.concatenate([sheet.faces[number == 3], lone[in_lone], others[in_others]])
    without = np.concatenate([sheet.faces[number == 0], lone[~in_lone], others[~in_others]])
    return _of_faces(whole, within), _of_faces(whole, without)


def _of_faces(sheet: Part, faces: NDArray[np.integer]) -> Part:
    """The sheet's faces (m, 3) alone, with the vertices that they use."""
    used = np.zeros(len(sheet.vertices), bool)
    used[faces] = True
    place = np.cumsum(used) - 1
    return Part("", "", sheet.vertices[used], place[faces].astype(np.int32), sheet.normals[used])


def boundary(faces: Indices) -> Indices:
    """Edges (k, 2) that belong to one face alone, in the sense that their face runs them."""
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]).astype(np.int64)
    count = int(faces.max(initial=0)) + 1
    back = np.isin(edges[:, 0] * count + edges[:, 1], edges[:, 1] * count + edges[:, 0])
    return edges[~back].astype(np.int32)


def sunk(sheet: Part, depth: float) -> Part:
    """The sheet moved inwards, against its normals."""
    return replace(sheet, vertices=sheet.vertices - depth * sheet.normals)


def reversed_sheet(sheet: Part) -> Part:
    """The sheet seen from its other side."""
    return replace(sheet, faces=np.ascontiguousarray(sheet.faces[:, ::-1]), normals=-sheet.normals)


def rim(sheet: Part, depth: float) -> Part:
    """The walls that go inwards from the edges of a sheet, as deep; none along the plane x = 0."""
    edges = boundary(sheet.faces)
    on_axis = (np.abs(sheet.vertices[edges, 0]) < ON_AXIS).all(axis=1)
    short = np.linalg.norm(np.diff(sheet.vertices[edges], axis=1)[:, 0], axis=1) < SHORTEST
    a, b = edges[~on_axis & ~short].T
    top = sheet.vertices
    low = top - depth * sheet.normals
    corners = np.stack([top[a], low[a], low[b], top[b]], axis=1)
    normal = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-12)
    first = 4 * np.arange(len(a))[:, None]
    faces = np.concatenate([first + np.array([0, 1, 2]), first + np.array([0, 2, 3])]).astype(np.int32)
    return Part("", "", corners.reshape(-1, 3), faces, np.repeat(normal, 4, axis=0))


def mirrored(sheet: Part) -> Part:
    """The sheet on the other side of x = 0."""
    flip = np.array([-1.0, 1.0, 1.0])
    return replace(
        sheet,
        vertices=sheet.vertices * flip,
        normals=sheet.normals * flip,
        faces=np.ascontiguousarray(sheet.faces[:, ::-1]),
    )


def merged(sheets: list[Part]) -> Part:
    """One sheet of several; they share no vertices."""
    starts = np.cumsum([0] + [len(sheet.vertices) for sheet in sheets])
    return Part(
        "",
        "",
        np.concatenate([sheet.vertices for sheet in sheets]),
        np.concatenate([s.faces + start for s, start in zip(sheets, starts, strict=False)]).astype(np.int32),
        np.concatenate([sheet.normals for sheet in sheets]),
    )
