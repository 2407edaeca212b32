"""Blocks: boxes with rounded edges, and bodies turned about any axis, shaded round, as parts without name or material."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from preview.build.mesh import Floats, Part
from preview.build.solids import turned_on_lathe
from preview.build.things.sheets import merged

ROUNDED_BY = 3
"""Steps of a rounded edge."""


def rounded_box(low: ArrayLike, high: ArrayLike, radius: float, *, steps: int = ROUNDED_BY) -> Part:
    """A closed box between two corners (3,), its edges and corners round; the radius at most half a side."""
    first, last = np.asarray(low, dtype=float), np.asarray(high, dtype=float)
    box = _about_middle(*np.round(0.5 * (last - first), 7).tolist(), radius, steps)
    return replace(box, vertices=box.vertices + 0.5 * (first + last))


@lru_cache(maxsize=512)
def _about_middle(a: float, b: float, c: float, radius: float, steps: int) -> Part:
    """The box of half sides a, b, c about the origin; many boards are of one size."""
    half = np.array([a, b, c])
    round_by = min(radius, float(half.min()) * 0.999)
    turn = np.tan(np.linspace(0.0, np.pi / 4.0, steps + 1))
    lines = [np.concatenate([-h + round_by * (1.0 - turn[::-1]), h - round_by * (1.0 - turn)]) for h in half]
    points, faces, count = [], [], 0
    for axis in range(3):
        u, v = (axis + 1) % 3, (axis + 2) % 3
        across, up = np.meshgrid(lines[u], lines[v], indexing="ij")
        row, column = np.meshgrid(np.arange(len(lines[u]) - 1), np.arange(len(lines[v]) - 1), indexing="ij")
        here = (row * len(lines[v]) + column).ravel()
        quad = np.stack([here, here + len(lines[v]), here + len(lines[v]) + 1, here + 1], axis=1)
        for side in (-1.0, 1.0):
            face = np.empty((across.size, 3))
            face[:, axis], face[:, u], face[:, v] = side * half[axis], across.ravel(), up.ravel()
            points.append(face)
            wound = quad if side > 0 else quad[:, ::-1]
            faces.append(np.concatenate([wound[:, [0, 1, 2]], wound[:, [0, 2, 3]]]) + count)
            count += across.size
    on_cube = np.concatenate(points)
    inner = np.clip(on_cube, -(half - round_by), half - round_by)
    normals = on_cube - inner
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    return Part("", "", inner + round_by * normals, np.concatenate(faces).astype(np.int32), normals)


def spun(profile: ArrayLike, centre: ArrayLike, axis: Sequence[float] | Floats, *, sides: int = 24) -> Part:
    """A body of revolution, its profile (k, 2) of radius and distance along a unit axis, about a centre (3,)."""
    upright = turned_on_lathe("", "", profile, centre=np.zeros(3), sides=sides)
    return moved(upright, frame_of(axis), centre)


def frame_of(axis: Sequence[float] | Floats) -> Floats:
    """Rows x, y, z of a right-handed frame whose z lies along a unit axis."""
    z = np.asarray(axis, dtype=float)
    z = z / np.linalg.norm(z)
    helper = np.array([0.0, 0.0, 1.0]) if abs(z[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    x = np.cross(helper, z)
    x /= np.linalg.norm(x)
    return np.array([x, np.cross(z, x), z])


def moved(part: Part, frame: ArrayLike, at: ArrayLike) -> Part:
    """A part written in a frame of rows x, y, z about a point (3,), in the frame that those are written in."""
    rows = np.asarray(frame, dtype=float)
    return replace(
        part,
        vertices=part.vertices @ rows + np.asarray(at, dtype=float),
        normals=part.normals @ rows,
    )


def leaning(part: Part, angle: float, at: ArrayLike, *, axis: int = 0) -> Part:
    """A part turned by an angle (radians, right-handed) about the line along an axis through a point (3,)."""
    cosine, sine = np.cos(angle), np.sin(angle)
    one, two = (axis + 1) % 3, (axis + 2) % 3
    rows = np.eye(3)
    rows[one, one], rows[one, two], rows[two, one], rows[two, two] = cosine, sine, -sine, cosine
    pivot = np.asarray(at, dtype=float)
    return moved(replace(part, vertices=part.vertices - pivot), rows, pivot)


def ring(
    centre: ArrayLike, axis: Sequence[float] | Floats, radius: float, thickness: float, *, sides: int = 28
) -> Part:
    """A torus: a steering wheel, a hoop."""
    turn = np.linspace(0.0, 2.0 * np.pi, 11)
    return spun(
        np.stack([radius + thickness * np.sin(turn), -thickness * np.cos(turn)], axis=1),
        centre,
        axis,
        sides=sides,
    )


def joined_as(name: str, material: str, parts: list[Part], *, wet: float = 0.0) -> Part:
    """Several parts as one of a name and a material."""
    return replace(merged(parts), name=name, material=material, wet=wet)
