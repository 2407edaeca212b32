"""Solids: boxes, prisms, pierced plates, round bars, as triangles in a right-handed frame of three axes (a, b, c).

Every function returns triangles (n, 3, 3) in metres that wind counterclockwise seen from outside, unless it says
otherwise. Builders pile them up by part and material in a Heap and place the heap once, at the end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preview.build.mesh import BOX_QUADS, Floats, Indices, Part, flat, turned

Heap = dict[tuple[str, str], list[Floats]]
"""Triangles by (part of the piece, material), in the piece's own frame."""


def heap_up(heap: Heap, part: str, material: str, *triangles: Floats) -> None:
    """Adds triangles to a heap."""
    heap.setdefault((part, material), []).extend(triangles)


def placed(name: str, heap: Heap, *, azimuth: float, at: ArrayLike, wet: float = 0.0) -> list[Part]:
    """The heap's triangles in the world, one faceted part for each part and material, slivers left out; all as wet."""
    parts = []
    for (part, material), pieces in heap.items():
        triangles = solid_only(np.concatenate(pieces))
        if len(triangles):
            label = f"{name}.{part}" if part else name
            standing = turned(triangles, azimuth, np.asarray(at, dtype=float))
            parts.append(flat(label, material, standing, wet=wet))
    return parts


def solid_only(triangles: Floats) -> Floats:
    """The triangles that have an area."""
    twice_area = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    return triangles[np.linalg.norm(twice_area, axis=1) > 1e-9]


def quads(corners: Floats) -> Floats:
    """Triangles (2 n, 3, 3) of quadrangles (n, 4, 3) given counterclockwise."""
    return np.concatenate([corners[:, [0, 1, 2]], corners[:, [0, 2, 3]]])


def hexahedra(corners: Floats) -> Floats:
    """Bodies (n, 8, 3) of six sides, corners numbered a + 2 b + 4 c: triangles (12 n, 3, 3)."""
    return quads(corners[:, BOX_QUADS].reshape(-1, 4, 3))


def boxes(low: ArrayLike, high: ArrayLike) -> Floats:
    """Boxes along the axes between corners (3,) or (n, 3), which broadcast: triangles (12 n, 3, 3)."""
    pair = np.broadcast_arrays(np.atleast_2d(low), np.atleast_2d(high))
    ends = np.stack(pair).astype(float)
    which = np.arange(8)
    corners = np.stack([ends[which >> axis & 1, :, axis] for axis in range(3)], axis=-1)
    return hexahedra(np.swapaxes(corners, 0, 1))


def extruded(profile: ArrayLike, start: float, end: float) -> Floats:
    """A prism: profile (k, 2) in (b, c), seen whole from its first point, drawn along a from start to end."""
    outline = np.asarray(profile, dtype=float)
    following = np.roll(outline, -1, axis=0)
    if np.sum(outline[:, 0] * following[:, 1] - outline[:, 1] * following[:, 0]) < 0:
        outline = np.concatenate([outline[:1], outline[:0:-1]])
        following = np.roll(outline, -1, axis=0)

    def at(distance: float, points: Floats) -> Floats:
        return np.concatenate([np.full((len(points), 1), distance), points], axis=1)

    near, far = at(start, outline), at(end, outline)
    sides = np.stack([near, at(start, following), at(end, following), far], axis=1)
    fan = np.arange(1, len(outline) - 1)
    caps = np.stack([np.zeros_like(fan), fan, fan + 1], axis=1)
    # An outline counterclockwise in (b, c) looks towards +a.
    return np.concatenate([quads(sides), far[caps], near[caps[:, ::-1]]])


@dataclass(frozen=True)
class Plate:
    """A rectangle in (a, b) cut into cells by its holes; `solid` (m, n) tells which cells are left standing."""

    a: Floats
    b: Floats
    solid: NDArray[np.bool_]

    def face(self, level: float, *, back: bool = False) -> Floats:
        """The plate's cells at c = level, looking to +c, or to -c for its back."""
        i, j = np.nonzero(self.solid)
        a0, a1, b0, b1 = self.a[i], self.a[i + 1], self.b[j], self.b[j + 1]
        c = np.full_like(a0, level)
        corners = np.stack([[a0, b0, c], [a1, b0, c], [a1, b1, c], [a0, b1, c]])
        corners = np.moveaxis(corners, 2, 0)
        return quads(corners[:, ::-1] if back else corners)

    def edges(self, low: float, high: float, *, rim: bool = True) -> Floats:
        """The walls of its holes, and of its rim if asked, from c = low to high, looking away from the plate."""
        found = []
        for axis in (0, 1):
            for step in (-1, 1):
                around = np.pad(self.solid, 1, constant_values=not rim)
                beside = np.roll(around, -step, axis=axis)[1:-1, 1:-1]
                i, j = np.nonzero(self.solid & ~beside)
                if axis == 0:
                    a0 = a1 = self.a[i + (step > 0)]
                    b0, b1 = self.b[j], self.b[j + 1]
                else:
                    a0, a1 = self.a[i + 1], self.a[i]
                    b0 = b1 = self.b[j + (step > 0)]
                c0, c1 = np.full_like(a0, low), np.full_like(a0, high)
                corners = np.stack([[a0, b0, c1], [a0, b0, c0], [a1, b1, c0], [a1, b1, c1]])
                corners = np.moveaxis(corners, 2, 0)
                found.append(quads(corners if step > 0 else corners[:, ::-1]))
        return np.concatenate(found)

    def body(self, low: float, high: float) -> Floats:
        """The plate as a closed solid from c = low to high."""
        return np.concatenate([self.face(high), self.face(low, back=True), self.edges(low, high)])


def plate(a: tuple[float, float], b: tuple[float, float], holes: Sequence[Sequence[float]]) -> Plate:
    """A plate over the ranges a and b with holes (a0, b0, a1, b1), which may reach past its rim."""
    cuts = np.asarray(holes, dtype=float).reshape(-1, 4)
    lines_a = np.unique(np.clip(np.concatenate([a, cuts[:, 0], cuts[:, 2]]), *a))
    lines_b = np.unique(np.clip(np.concatenate([b, cuts[:, 1], cuts[:, 3]]), *b))
    middle_a = 0.5 * (lines_a[1:] + lines_a[:-1])[:, None]
    middle_b = 0.5 * (lines_b[1:] + lines_b[:-1])[None, :]
    solid = np.ones((len(lines_a) - 1, len(lines_b) - 1), dtype=bool)
    for a0, b0, a1, b1 in cuts:
        solid &= ~((middle_a > a0) & (middle_a < a1) & (middle_b > b0) & (middle_b < b1))
    return Plate(lines_a, lines_b, solid)


def framed(triangles: Floats, origin: ArrayLike, along: ArrayLike, up: ArrayLike, out: ArrayLike) -> Floats:
    """Triangles given in (along, up, out) from an origin, in the frame that those four (3,) are written in."""
    return triangles @ np.array([along, up, out], dtype=float) + np.asarray(origin, dtype=float)


def round_bar(name: str, material: str, path: ArrayLike, radii: ArrayLike, *, sides: int = 16) -> Part:
    """A bar of round section along path (k, 3) with radii (k,), closed at both ends, shaded round.

    Two equal neighbouring points of the path make a hard edge there. The bar's section never turns about its
    axis: it is carried along by its bends.
    """
    line, radius = np.asarray(path, dtype=float), np.asarray(radii, dtype=float)
    # Ends get a point of no radius, split by a hard edge from the side.
    line = np.concatenate([line[:1], line[:1], line, line[-1:], line[-1:]])
    radius = np.concatenate([[0.0], radius[:1], radius, radius[-1:], [0.0]])
    tangents = _tangents(line)
    helper = np.array([1.0, 0.0, 0.0]) if abs(tangents[0, 0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    angles = np.linspace(0.0, 2.0 * np.pi, sides, endpoint=False)
    rings, side = [], helper
    for point, reach, tangent in zip(line, radius, tangents, strict=True):
        side = side - tangent * (side @ tangent)
        side /= np.linalg.norm(side)
        other = np.cross(tangent, side)
        rings.append(point + reach * (np.outer(np.cos(angles), side) + np.outer(np.sin(angles), other)))
    return _skin(name, material, np.array(rings))


def _tangents(line: Floats) -> Floats:
    """Unit directions (k, 3) of a path whose neighbouring points may coincide."""
    keep = np.concatenate([[True], np.linalg.norm(np.diff(line, axis=0), axis=1) > 1e-9])
    tangents = np.gradient(line[keep], axis=0)
    tangents /= np.linalg.norm(tangents, axis=1, keepdims=True)
    return tangents[np.cumsum(keep) - 1]


def turned_on_lathe(
    name: str, material: str, profile: ArrayLike, *, centre: ArrayLike, sides: int = 24
) -> Part:
    """A body of revolution about the vertical through centre (3,).

    Profile (k, 2) of radius and height, drawn upwards along the outside (a closed hollow body comes back down
    its inside). Two equal neighbouring points make a hard edge.
    """
    line = np.asarray(profile, dtype=float)
    angles = np.linspace(0.0, 2.0 * np.pi, sides, endpoint=False)
    circle = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    rings = np.concatenate(
        [line[:, None, :1] * circle, np.broadcast_to(line[:, None, 1:], (len(line), sides, 1))], axis=2
    )
    return _skin(name, material, rings + np.asarray(centre, dtype=float))


def _skin(name: str, material: str, rings: Floats) -> Part:
    """The round part over rings (k, sides, 3), each counterclockwise seen from the ring that follows it."""
    count, sides = rings.shape[:2]
    ring, step = np.meshgrid(np.arange(count - 1), np.arange(sides), indexing="ij")
    here, beside = ring * sides + step, ring * sides + (step + 1) % sides
    corners = np.stack([here, beside, beside + sides, here + sides], axis=-1).reshape(-1, 4)
    vertices = rings.reshape(-1, 3)
    # The product of a quad's diagonals counts both its triangles for all four corners, whichever way it is cut.
    around = vertices[corners]
    cross = np.cross(around[:, 2] - around[:, 0], around[:, 3] - around[:, 1])
    normals = np.zeros_like(vertices)
    for corner in range(4):
        np.add.at(normals, corners[:, corner], cross)
    faces: Indices = np.concatenate([corners[:, [0, 1, 2]], corners[:, [0, 2, 3]]]).astype(np.int32)
    edges = vertices[faces[:, 1:]] - vertices[faces[:, :1]]
    faces = faces[np.linalg.norm(np.cross(edges[:, 0], edges[:, 1]), axis=1) > 1e-10]
    # A ring of no radius is one point: its vertices share one normal.
    pointed = np.ptp(rings, axis=1).max(axis=1) < 1e-9
    shared = normals.reshape(count, sides, 3)
    shared[pointed] = shared[pointed].sum(axis=1, keepdims=True)
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    normals = np.where(lengths > 0, normals / np.maximum(lengths, 1e-30), [0.0, 0.0, 1.0])
    return Part(name, material, vertices, faces, normals)
