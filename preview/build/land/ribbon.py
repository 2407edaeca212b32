"""Ribbon: what follows a path and lies on the ground: sheets with a body below, blocks side by side, flat shapes on top.

Offsets are metres to the right of the way the path runs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from preview.build.land.course import beside, directions, is_closed
from preview.build.mesh import Floats, Indices, Part, vertex_normals
from preview.build.solids import quads

Heights = Callable[[Floats, Floats], Floats]

MITRE = 0.003
"""Width of the joint where a body is cut at a bend, metres."""


@dataclass(frozen=True)
class Way:
    """A path (k, 2) by how far one has gone along it, mitred at its bends."""

    line: Floats

    @property
    def starts(self) -> Floats:
        """Metres from the start to each point (k,)."""
        return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(self.line, axis=0), axis=1))])

    @property
    def length(self) -> float:
        return float(self.starts[-1])

    def stations(self, step: float) -> Floats:
        """Distances (s,) from the start, no more than `step` apart, with every bend among them."""
        starts = self.starts
        found = [
            np.linspace(a, b, max(1, int(np.ceil((b - a) / step - 1e-9))), endpoint=False)
            for a, b in pairwise(starts)
        ]
        return np.concatenate([*found, starts[-1:]])

    def plan(self, distance: Floats, offset: Floats) -> Floats:
        """Plan points (..., 2) at distances from the start and offsets from the path, of one shape."""
        starts = self.starts
        leg = np.clip(np.searchsorted(starts, distance, side="right") - 1, 0, len(starts) - 2)
        share = ((distance - starts[leg]) / (starts[leg + 1] - starts[leg]))[..., None]
        # A mitre is as much longer as the bend is sharp: points move out along it in proportion.
        mitre = beside(self.line, 1.0) - self.line
        out = mitre[leg] + share * (mitre[leg + 1] - mitre[leg])
        middle = self.line[leg] + share * (self.line[leg + 1] - self.line[leg])
        return np.asarray(middle + offset[..., None] * out)

    def ahead(self, distance: float) -> Floats:
        """Unit direction (2,) of the path so far from its start."""
        leg = int(np.clip(np.searchsorted(self.starts, distance, side="right") - 1, 0, len(self.line) - 2))
        return directions(self.line)[leg]


def sheet(
    name: str,
    material: str,
    points: Floats,
    bottom: Floats | float | None,
    *,
    wet: float = 0.0,
    tint: Floats | None = None,
    closed: bool = False,
) -> Part:
    """A sheet over points (s, u, 3), rounded, looking up, u to the right; down to `bottom` it has flat sides, if given.

    `bottom` (s, u) or one height below the points, metres; `tint` (s, u, 3); `closed`: its end is its start.
    """
    rows, columns = points.shape[:2]
    number = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1]
    faces = np.concatenate(
        [np.stack([a, b, c], axis=-1).reshape(-1, 3), np.stack([a, c, d], axis=-1).reshape(-1, 3)]
    ).astype(np.int32)
    vertices = points.reshape(-1, 3)
    normals = vertex_normals(vertices, faces)
    colour = None if tint is None else tint.reshape(-1, 3)
    if bottom is not None:
        low = points.copy()
        low[..., 2] = points[..., 2] - bottom
        ways = [
            _skirt(points[:, 0], low[:, 0], inward=True),
            _skirt(points[:, -1], low[:, -1], inward=False),
            np.stack([low[:-1, :-1], low[1:, :-1], low[1:, 1:], low[:-1, 1:]], axis=2).reshape(-1, 4, 3),
        ]
        if not closed:
            ways += [_skirt(points[0], low[0], inward=False), _skirt(points[-1], low[-1], inward=True)]
        body = quads(np.concatenate(ways))
        cross = np.cross(body[:, 1] - body[:, 0], body[:, 2] - body[:, 0])
        length = np.linalg.norm(cross, axis=1)
        body, cross = body[length > 1e-12], cross[length > 1e-12] / length[length > 1e-12, None]
        faces = np.concatenate([faces, (len(vertices) + np.arange(3 * len(body))).reshape(-1, 3)]).astype(
            np.int32
        )
        vertices = np.concatenate([vertices, body.reshape(-1, 3)])
        normals = np.concatenate([normals, np.repeat(cross, 3, axis=0)])
        if colour is not None:
            colour = np.concatenate([colour, np.ones((3 * len(body), 3))])
    return Part(
        name, material, vertices, faces, normals, wet, None if colour is None else colour.astype(np.float32)
    )


def _skirt(top: Floats, low: Floats, *, inward: bool) -> Floats:
    """Quadrangles (n, 4, 3) between two edges (k, 3), looking to the right of the way they run, or to the left."""
    found = np.stack([top[:-1], low[:-1], low[1:], top[1:]], axis=1)
    return found[:, ::-1] if inward else found


@dataclass(frozen=True)
class Blocks:
    """Bodies side by side on a way: from and to along it (n,), left and right of it (n,), tint (n, 3)."""

    start: Floats
    end: Floats
    left: Floats
    right: Floats
    tint: Floats

    def chosen(self, which: NDArray[np.bool_]) -> Blocks:
        return Blocks(
            self.start[which], self.end[which], self.left[which], self.right[which], self.tint[which]
        )

    def cut_at_bends(self, way: Way) -> tuple[Blocks, NDArray[np.int64]]:
        """Those that would run round a bend in two, and of which each was part (n,)."""
        starts = way.starts[1:-1]
        number = np.arange(len(self.start))
        bodies = self
        while True:
            place = np.searchsorted(starts, bodies.start + MITRE, side="right")
            bend = np.append(starts, np.inf)[place]
            across = bend < bodies.end - MITRE
            if not across.any():
                return bodies, number
            again = np.concatenate([np.arange(len(bodies.start)), np.flatnonzero(across)])
            start = np.concatenate([bodies.start, bend[across] + MITRE / 2])
            end = np.concatenate([np.where(across, bend - MITRE / 2, bodies.end), bodies.end[across]])
            bodies = Blocks(start, end, bodies.left[again], bodies.right[again], bodies.tint[again])
            number = number[again]

    def shortened(self, longest: float) -> Blocks:
        """Each in as many pieces end to end as keep them so short, metres."""
        count = np.maximum(1, np.ceil((self.end - self.start) / longest - 1e-9).astype(int))
        again = np.repeat(np.arange(len(count)), count)
        place = np.arange(len(again)) - np.repeat(np.cumsum(count) - count, count)
        each = ((self.end - self.start) / count)[again]
        start = self.start[again] + place * each
        return Blocks(start, start + each, self.left[again], self.right[again], self.tint[again])

    def middles(self, way: Way) -> Floats:
        """Plan points (n, 2)."""
        return way.plan(0.5 * (self.start + self.end), 0.5 * (self.left + self.right))


def blocks(
    name: str,
    material: str,
    way: Way,
    bodies: Blocks,
    top: Heights,
    *,
    deep: float,
    chamfer: float = 0.0,
    tilt: Floats | None = None,
    wet: float = 0.0,
) -> Part | None:
    """Blocks whose heads lie at height `top` of plan points, `deep` metres high; with a `chamfer` round their heads.

    `tilt` (4, n): metres by which each corner of a head is higher, near left first, counterclockwise from above.
    """
    bodies, which = bodies.cut_at_bends(way)
    tilt = None if tilt is None else tilt[:, which]
    count = len(bodies.start)
    if count == 0:
        return None
    inset = np.array([0.0, chamfer]) if chamfer > 0 else np.array([0.0])
    rings = []
    for level in inset:
        corner_s = np.stack(
            [bodies.start + level, bodies.start + level, bodies.end - level, bodies.end - level]
        )
        corner_u = np.stack(
            [bodies.left + level, bodies.right - level, bodies.right - level, bodies.left + level]
        )
        plan = way.plan(corner_s, corner_u)
        height = top(plan[..., 0].ravel(), plan[..., 1].ravel()).reshape(4, count)
        height = height if tilt is None else height + tilt
        rings.append(np.concatenate([plan, (height - (chamfer - level))[..., None]], axis=-1))
    foot = rings[0].copy()
    foot[..., 2] -= deep
    rings.insert(0, foot)
    stack = np.stack(rings)
    faces = [np.moveaxis(stack[-1], 1, 0), np.moveaxis(stack[0], 1, 0)[:, ::-1]]
    for low, high in pairwise(stack):
        for side in range(4):
            after = (side + 1) % 4
            faces.append(np.stack([low[side], low[after], high[after], high[side]], axis=1))
    flat = quads(np.concatenate(faces))
    cross = np.cross(flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0])
    unit = cross / np.maximum(np.linalg.norm(cross, axis=1, keepdims=True), 1e-30)
    # Both triangles of each quadrangle come in the order of the blocks.
    tint = np.tile(np.tile(bodies.tint, (len(faces), 1)), (2, 1))
    return Part(
        name,
        material,
        flat.reshape(-1, 3),
        np.arange(3 * len(flat), dtype=np.int32).reshape(-1, 3),
        np.repeat(unit, 3, axis=0),
        wet,
        np.repeat(tint, 3, axis=0).astype(np.float32),
    )


def laid(length: float, size: float, joint: float, *, shift: float = 0.0) -> tuple[Floats, Floats]:
    """From and to of pieces of about a size with joints between that fill a length; `shift` is a share of one."""
    count = max(1, round(length / size))
    each = length / count
    edges = np.clip((np.arange(count + 2) - shift) * each, 0.0, length)
    start, end = edges[:-1] + joint / 2, edges[1:] - joint / 2
    some = end - start > 0.15 * each
    return start[some], end[some]


def flat_on(
    name: str,
    material: str,
    plan: Floats,
    faces: Indices,
    height: Floats,
    *,
    wet: float = 0.0,
    tint: Floats | None = None,
) -> Part:
    """A flat shape, rounded, of plan points (n, 2) at heights (n,), that looks up."""
    vertices = np.column_stack([plan, height])
    return Part(
        name,
        material,
        vertices,
        faces,
        vertex_normals(vertices, faces),
        wet,
        None if tint is None else tint.astype(np.float32),
    )


def is_ring(line: Floats) -> bool:
    """Whether a path ends where it starts."""
    return is_closed(line)


def together(parts: Sequence[Part | None]) -> list[Part]:
    """Those that there are, one part for each name and material."""
    groups: dict[tuple[str, str], list[Part]] = {}
    for part in parts:
        if part is not None:
            groups.setdefault((part.name, part.material), []).append(part)
    return [_one(group) for group in groups.values()]


def _one(parts: list[Part]) -> Part:
    first = parts[0]
    if len(parts) == 1:
        return first
    starts = np.cumsum([0] + [len(part.vertices) for part in parts[:-1]])
    tints = [
        np.ones((len(part.vertices), 3), np.float32) if part.tint is None else part.tint for part in parts
    ]
    return Part(
        first.name,
        first.material,
        np.concatenate([part.vertices for part in parts]),
        np.concatenate([part.faces + start for part, start in zip(parts, starts, strict=True)]).astype(
            np.int32
        ),
        np.concatenate([part.normals for part in parts]),
        first.wet,
        np.concatenate(tints),
    )
