"""Boards: planks with broken edges, crates of slats, staves."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats, Part
from preview.build.things.blocks import rounded_box


def board(low: tuple[float, float, float], high: tuple[float, float, float], radius: float = 0.003) -> Part:
    return rounded_box(low, high, radius, steps=1)


def crate_boards(width: float, depth: float, height: float) -> list[Part]:
    """An open crate of slats about the origin, its foot at 0."""
    w, d, thick, gap = width / 2, depth / 2, 0.012, 0.012
    rows = 3
    tall = (height - 0.012 - gap * rows) / rows
    boards = [
        board((x, -d, 0.0), (x + (width - 0.03) / 4, d, thick))
        for x in np.linspace(-w, w - (width - 0.03) / 4, 4)
    ]
    for row in range(rows):
        z = thick + gap * (row + 1) * 0.999 + tall * row
        for side in (-1.0, 1.0):
            boards.append(
                board(
                    (-w, side * d - (thick if side > 0 else 0), z),
                    (w, side * d + (thick if side < 0 else 0), z + tall),
                )
            )
            boards.append(
                board(
                    (side * w - (thick if side > 0 else 0), -d + thick + 0.001, z),
                    (side * w + (thick if side < 0 else 0), d - thick - 0.001, z + tall),
                )
            )
    for x in (-1.0, 1.0):
        for y in (-1.0, 1.0):
            low = (
                min(x * (w - thick - 0.001), x * (w - 0.045)),
                min(y * (d - thick - 0.001), y * (d - 0.045)),
                thick + 0.001,
            )
            boards.append(
                board(low, (low[0] + 0.045 - thick - 0.001, low[1] + 0.045 - thick - 0.001, height))
            )
    return boards


def slab(outer: Floats, inner: Floats) -> Part:
    """A closed body between two grids of points (rows, columns, 3), `outer` seen from outside."""
    rows, columns = outer.shape[:2]
    points = np.concatenate([outer.reshape(-1, 3), inner.reshape(-1, 3)])
    count = rows * columns
    quad = []
    for i in range(rows - 1):
        for j in range(columns - 1):
            a = i * columns + j
            quad += [
                (a, a + 1, a + columns + 1, a + columns),
                (count + a, count + a + columns, count + a + columns + 1, count + a + 1),
            ]
    rim = [
        *range(columns),
        *(i * columns + columns - 1 for i in range(1, rows)),
        *((rows - 1) * columns + j for j in range(columns - 2, -1, -1)),
        *(i * columns for i in range(rows - 2, 0, -1)),
    ]
    for a, b in zip(rim, [*rim[1:], rim[0]], strict=True):
        quad.append((a, count + a, count + b, b))
    corners = points[np.array(quad)]
    triangles = np.concatenate([corners[:, [0, 1, 2]], corners[:, [0, 2, 3]]])
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-12)
    return Part(
        "",
        "",
        triangles.reshape(-1, 3),
        np.arange(3 * len(triangles), dtype=np.int32).reshape(-1, 3),
        np.repeat(normal, 3, axis=0),
    )
