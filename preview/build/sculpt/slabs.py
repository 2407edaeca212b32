"""Slabs: closed solids between two grids of points, and through rings of them."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats, Indices


def solid_grid(top: Floats, bottom: Floats) -> tuple[Floats, Indices]:
    """A slab between two grids of points (m, k, 3), wound outward when rows turn left to columns seen from above."""
    m, k = top.shape[:2]
    number = np.arange(m * k).reshape(m, k)
    a, b, c, d = (
        number[:-1, :-1].ravel(),
        number[1:, :-1].ravel(),
        number[1:, 1:].ravel(),
        number[:-1, 1:].ravel(),
    )
    upper = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
    lower = upper[:, ::-1] + m * k
    rim = np.concatenate([number[:, 0], number[-1, 1:], number[-2::-1, -1], number[0, -2:0:-1]])
    after = np.roll(rim, -1)
    side = np.concatenate(
        [np.stack([after, rim, rim + m * k], 1), np.stack([after, rim + m * k, after + m * k], 1)]
    )
    vertices = np.concatenate([top.reshape(-1, 3), bottom.reshape(-1, 3)])
    return outward(vertices, np.concatenate([upper, lower, side]).astype(np.int32))


def outward(vertices: Floats, faces: Indices) -> tuple[Floats, Indices]:
    """Faces turned about where the solid is inside out."""
    a, b, c = (vertices[faces[:, i]] - vertices.mean(axis=0) for i in range(3))
    volume = np.einsum("ij,ij->i", a, np.cross(b, c)).sum()
    return vertices, faces if volume > 0 else np.ascontiguousarray(faces[:, ::-1])


def swept(rings: Floats, *, closed: bool) -> tuple[Floats, Indices]:
    """A tube through rings (m, k, 3) of points; `closed`: the last ring meets the first, else both ends are stopped."""
    m, k = rings.shape[:2]
    number = np.arange(m * k).reshape(m, k)
    following = np.roll(number, -1, axis=0) if closed else number[1:]
    here = number if closed else number[:-1]
    a, b = here.ravel(), np.roll(here, -1, axis=1).ravel()
    c, d = np.roll(following, -1, axis=1).ravel(), following.ravel()
    faces = [np.stack([a, b, c], 1), np.stack([a, c, d], 1)]
    vertices = rings.reshape(-1, 3)
    if not closed:
        vertices = np.concatenate([vertices, rings[[0, -1]].mean(axis=1)])
        for ring, hub, back in ((number[0], m * k, True), (number[-1], m * k + 1, False)):
            fan = np.stack([ring, np.roll(ring, -1), np.full(k, hub)], 1)
            faces.append(fan[:, ::-1] if back else fan)
    return outward(vertices, np.concatenate(faces).astype(np.int32))
