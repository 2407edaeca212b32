"""Pile: a heap some of whose triangles differ in tint from their neighbours, or are shaded round."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preview.build.mesh import Floats, Indices, Part
from preview.build.solids import quads

LEAST_AREA = 1e-9
"""Twice the area of the smallest triangle that is kept, m2."""


class Pile(dict[tuple[str, str], list[Floats]]):
    """A `Heap` that keeps, for those of its pieces that have them, tints and normals by part, material and number."""

    def __init__(self) -> None:
        super().__init__()
        self._tints: dict[tuple[tuple[str, str], int], Floats] = {}
        self._normals: dict[tuple[tuple[str, str], int], Floats] = {}

    def add(
        self,
        part: str,
        material: str,
        triangles: Floats,
        *,
        tint: ArrayLike | None = None,
        normals: Floats | None = None,
    ) -> None:
        """Adds triangles (n, 3, 3) with a tint (n, 3) or (3,) and the normals (n, 3, 3) of their corners, where given."""
        key = (part, material)
        pieces = self.setdefault(key, [])
        if tint is not None:
            self._tints[key, len(pieces)] = np.broadcast_to(np.asarray(tint, float), (len(triangles), 3))
        if normals is not None:
            self._normals[key, len(pieces)] = normals
        pieces.append(triangles)

    def poured(
        self,
        other: Pile,
        origin: ArrayLike,
        along: ArrayLike,
        up: ArrayLike,
        out: ArrayLike,
        *,
        prefix: str = "",
    ) -> None:
        """Adds all of another pile, given in a frame of (along, up, out), its parts' names after `prefix`."""
        axes, start = np.array([along, up, out], dtype=float), np.asarray(origin, dtype=float)
        for key in other:
            for triangles, tint, normals in other._joined(key):
                self.add(
                    prefix + key[0],
                    key[1],
                    _framed(triangles, start, axes),
                    tint=tint,
                    normals=None if normals is None else _framed(normals, np.zeros(3), axes),
                )

    def _joined(self, key: tuple[str, str]) -> list[tuple[Floats, Floats | None, Floats | None]]:
        """The flat and the round pieces of a part and material, each kind as one, with tints and normals."""
        found: list[tuple[Floats, Floats | None, Floats | None]] = []
        numbers = range(len(self[key]))
        for is_round in (False, True):
            mine = [number for number in numbers if ((key, number) in self._normals) == is_round]
            if not mine:
                continue
            pieces = [self[key][number] for number in mine]
            tint = None
            if any((key, number) in self._tints for number in mine):
                tints = [self._tints.get((key, number)) for number in mine]
                tint = np.concatenate(
                    [
                        np.ones((len(piece), 3)) if each is None else each
                        for each, piece in zip(tints, pieces, strict=True)
                    ]
                )
            normals = np.concatenate([self._normals[key, number] for number in mine]) if is_round else None
            found.append((np.concatenate(pieces), tint, normals))
        return found

    def changed(self, change: Callable[[Floats], Floats]) -> Pile:
        """This pile with its triangles changed, facets flat; their tints stay."""
        other = Pile()
        for key, pieces in self.items():
            for number, piece in enumerate(pieces):
                other.add(key[0], key[1], change(piece), tint=self._tints.get((key, number)))
        return other

    def parts(self, name: str, *, azimuth: float, at: ArrayLike, wet: float = 0.0) -> list[Part]:
        """The pile in the world, a part for each part and material, slivers left out; all as wet."""
        place = np.asarray(at, dtype=float)
        return [
            self._part(key, f"{name}.{key[0]}" if key[0] else name, azimuth, place, wet)
            for key, pieces in self.items()
            if any(len(piece) for piece in pieces)
        ]

    def _part(self, key: tuple[str, str], label: str, azimuth: float, at: Floats, wet: float) -> Part:
        pieces = self[key]
        triangles = np.concatenate(pieces)
        normals = _crossed(triangles)
        twice_area = np.sqrt(np.einsum("ij,ij->j", normals, normals))
        kept = twice_area > LEAST_AREA
        normals /= np.maximum(twice_area, 1e-30)
        shading = np.repeat(normals.T, 3, axis=0)
        starts = np.cumsum([0, *map(len, pieces)])
        tint: NDArray[np.float32] | None = None
        for number, (start, piece) in enumerate(zip(starts, pieces, strict=False)):
            rounded = self._normals.get((key, number))
            if rounded is not None:
                shading[3 * start : 3 * (start + len(piece))] = rounded.reshape(-1, 3)
            own = self._tints.get((key, number))
            if own is not None:
                tint = np.ones((len(triangles), 3), np.float32) if tint is None else tint
                tint[start : start + len(piece)] = own
        corners = triangles.reshape(-1, 3)
        if not kept.all():
            corners, shading = triangles[kept].reshape(-1, 3), shading[np.repeat(kept, 3)]
            tint = None if tint is None else tint[kept]
        faces: Indices = np.arange(len(corners), dtype=np.int32).reshape(-1, 3)
        return Part(
            label,
            key[1],
            _turned(corners, azimuth, at),
            faces,
            _turned(shading, azimuth, np.zeros(3)),
            wet,
            None if tint is None else np.repeat(tint, 3, axis=0),
        )


def _crossed(triangles: Floats) -> Floats:
    """Cross products (3, n) of the triangles' edges: quicker by axes than `np.cross`."""
    x, y, z = (triangles[:, :, axis] for axis in range(3))
    (ax, bx), (ay, by), (az, bz) = ((c[:, 1] - c[:, 0], c[:, 2] - c[:, 0]) for c in (x, y, z))
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx])


def _turned(points: Floats, azimuth: float, at: Floats) -> Floats:
    """As `turned`, for very many points (n, 3): a product with a 3 x 3 matrix is slower than its terms."""
    cosine, sine = np.cos(azimuth), np.sin(azimuth)
    out = np.empty((3, len(points)))
    x, y = points[:, 0], points[:, 1]
    out[0] = cosine * x + sine * y + at[0]
    out[1] = cosine * y - sine * x + at[1]
    out[2] = points[:, 2] + at[2]
    return out.T


def _framed(points: Floats, origin: Floats, axes: Floats) -> Floats:
    """As `framed`, for very many points (n, 3, 3); `axes` (3, 3) rows along, up, out."""
    flat = points.reshape(-1, 3)
    out = np.empty((3, len(flat)))
    for axis in range(3):
        column = axes[:, axis]
        out[axis] = origin[axis]
        for row in np.flatnonzero(column):
            out[axis] += column[row] * flat[:, row]
    return out.T.reshape(points.shape)


def of_quads(tint: NDArray[Any], sides: int = 1) -> Floats:
    """Tints (2 sides n, 3) of the triangles that `quads` makes of bodies with so many sides each: tint (n, 3)."""
    return np.tile(np.repeat(tint, sides, axis=0), (2, 1))


def shades(rng: np.random.Generator, count: int, *, light: float, hue: float = 0.0) -> Floats:
    """Tints (count, 3) about 1: `light` the deviation in brightness, `hue` that between warm and cool."""
    bright = np.exp(light * rng.standard_normal(count) - 0.5 * light * light)
    turn = hue * rng.standard_normal(count)
    tints = bright[:, None] * np.stack([1.0 + turn, np.ones(count), 1.0 - turn], axis=1)
    return np.clip(tints, 0.25, 1.7)


def sheet(points: Floats, normals: Floats) -> tuple[Floats, Floats]:
    """Triangles of a grid of points (m, k, 3) and the normals of their corners; m x k turns to the side looked at from."""

    def cells(grid: Floats) -> Floats:
        corners = np.stack([grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]], axis=2)
        return quads(corners.reshape(-1, 4, 3))

    return cells(points), cells(normals)
