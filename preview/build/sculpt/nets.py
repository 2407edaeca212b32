"""Surface nets: the zero surface of a distance shape as closed triangles."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats, Indices
from preview.build.sculpt.shapes import Shape, Triple

BLOCK = 200_000
"""Points evaluated at once, to bound memory."""


def evaluate(shape: Shape, points: Floats) -> Floats:
    return np.concatenate([shape(points[i : i + BLOCK]) for i in range(0, len(points), BLOCK)])


def _banded(shape: Shape, axes: list[Floats], cell: float) -> Floats:
    """Values on the grid; far from the surface, those of a grid four times coarser, where only the sign matters."""
    coarse = [axis[::4] for axis in axes]
    rough = evaluate(shape, np.stack(np.meshgrid(*coarse, indexing="ij"), axis=-1).reshape(-1, 3))
    rough = rough.reshape([len(axis) for axis in coarse])
    value = rough[
        np.ix_(
            *(np.minimum((np.arange(len(a)) + 1) // 4, len(c) - 1) for a, c in zip(axes, coarse, strict=True))
        )
    ]
    near = np.nonzero(np.abs(value) < 8.0 * cell)
    value[near] = evaluate(shape, np.stack([axes[i][near[i]] for i in range(3)], axis=1))
    return value


def _settle_doubt(value: Floats) -> None:
    """Let the less certain inner corner of every grid face whose signs alternate be outside, in place.

    Through such a face two sheets would pass, and share an edge. Never the other way, so that it ends.
    """
    for _ in range(20):
        doubtful = False
        for a, b in ((0, 1), (0, 2), (1, 2)):
            v = np.moveaxis(value, (a, b), (0, 1))
            s = v < 0
            alternate = (s[:-1, :-1] == s[1:, 1:]) & (s[:-1, 1:] == s[1:, :-1]) & (s[:-1, :-1] != s[:-1, 1:])
            for i, j, k in np.argwhere(alternate):
                corners = [(i, j), (i + 1, j), (i, j + 1), (i + 1, j + 1)]
                within = [c for c in corners if v[c[0], c[1], k] < 0]
                if within:
                    p, q = max(within, key=lambda c: v[c[0], c[1], k])
                    v[p, q, k] = 1e-6
                doubtful = True
        if not doubtful:
            return
    raise ValueError("the grid is too coarse for the shape")


def surface(shape: Shape, low: Triple, high: Triple, cell: float) -> tuple[Floats, Indices]:
    """Vertices (n, 3) and faces (m, 3), wound outward, of the zero surface within the box `low`..`high`.

    One vertex in every cell that the surface passes through, one quad for every grid edge that crosses it.
    Raises ValueError when the surface leaves the box (it would not be closed).
    Source: S. Gibson, "Constrained elastic surface nets", MICCAI 1998 (dual placement by edge crossings).
    """
    counts = np.ceil((np.asarray(high, dtype=float) - low) / cell).astype(int) + 1
    axes = [low[a] + cell * np.arange(counts[a]) for a in range(3)]
    value = _banded(shape, axes, cell)
    value[value == 0] = 1e-9
    _settle_doubt(value)
    inside = value < 0
    if any(np.take(inside, side, axis=a).any() for a in range(3) for side in (0, -1)):
        raise ValueError("the surface leaves its box")

    total = np.zeros((*(counts - 1), 3))
    crossings = np.zeros(counts - 1, dtype=int)
    quads = []
    for a in range(3):
        b, c = (a + 1) % 3, (a + 2) % 3
        first = np.moveaxis(value, (a, b, c), (0, 1, 2))[:-1]
        second = np.moveaxis(value, (a, b, c), (0, 1, 2))[1:]
        i, j, k = np.nonzero((first < 0) != (second < 0))
        fraction = first[i, j, k] / (first[i, j, k] - second[i, j, k])
        place = np.zeros((len(i), 3))
        place[:, a], place[:, b], place[:, c] = i + fraction, j, k
        cells = []
        for dj, dk in ((-1, -1), (0, -1), (0, 0), (-1, 0)):
            cell_index = np.zeros((len(i), 3), dtype=int)
            cell_index[:, a], cell_index[:, b], cell_index[:, c] = i, j + dj, k + dk
            np.add.at(total, tuple(cell_index.T), place)
            np.add.at(crossings, tuple(cell_index.T), 1)
            cells.append(np.ravel_multi_index(tuple(cell_index.T), tuple(counts - 1)))
        quad = np.stack(cells, axis=1)
        outward = (first[i, j, k] < 0)[:, None]
        quads.append(np.where(outward, quad, quad[:, ::-1]))

    used = np.flatnonzero(crossings)
    number = np.full(crossings.size, -1)
    number[used] = np.arange(len(used))
    vertices = total.reshape(-1, 3)[used] / crossings.reshape(-1)[used, None] * cell + np.asarray(low)
    quad = number[np.concatenate(quads)]
    # Split each quad along its shorter diagonal.
    across = np.linalg.norm(vertices[quad[:, 0]] - vertices[quad[:, 2]], axis=1)
    other = np.linalg.norm(vertices[quad[:, 1]] - vertices[quad[:, 3]], axis=1)
    quad = np.where((across <= other)[:, None], quad, np.roll(quad, -1, axis=1))
    faces = np.concatenate([quad[:, [0, 1, 2]], quad[:, [0, 2, 3]]]).astype(np.int32)
    return vertices, faces


def gradient(shape: Shape, points: Floats, reach: float) -> Floats:
    """Central differences over `reach`, (n, 3)."""
    slopes = [
        evaluate(shape, points + offset) - evaluate(shape, points - offset) for offset in np.eye(3) * reach
    ]
    return np.stack(slopes, axis=1) / (2 * reach)


def settled(shape: Shape, vertices: Floats, cell: float, rounds: int = 3) -> Floats:
    """Vertices moved onto the zero surface along the gradient, at most a third of a cell each round."""
    for _ in range(rounds):
        slope = gradient(shape, vertices, 0.1 * cell)
        square = np.maximum(np.einsum("ij,ij->i", slope, slope), 0.05)
        travel = np.clip(evaluate(shape, vertices) / square, -cell / 3, cell / 3)
        vertices = vertices - travel[:, None] * slope
    return vertices


def normals(shape: Shape, vertices: Floats, reach: float) -> Floats:
    slope = gradient(shape, vertices, reach)
    unit: Floats = slope / np.maximum(np.linalg.norm(slope, axis=1, keepdims=True), 1e-12)
    return unit
