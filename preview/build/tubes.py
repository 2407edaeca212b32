"""Tubes: round bodies swept along polylines, many at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.build.mesh import Floats, Indices, Part


@dataclass(frozen=True)
class Surface:
    """vertices (..., n, 3) m with unit normals of the same shape; faces (m, 3) into n, shared by leading axes."""

    vertices: Floats
    normals: Floats
    faces: Indices


def joined(surfaces: list[Surface]) -> Surface:
    """One surface from several with the same leading axes."""
    starts = np.cumsum([0] + [surface.vertices.shape[-2] for surface in surfaces])
    return Surface(
        np.concatenate([surface.vertices for surface in surfaces], axis=-2),
        np.concatenate([surface.normals for surface in surfaces], axis=-2),
        np.concatenate(
            [surface.faces + start for surface, start in zip(surfaces, starts, strict=False)]
        ).astype(np.int32),
    )


def part(name: str, material: str, surface: Surface) -> Part:
    """The part of one surface (n, 3)."""
    return Part(name, material, surface.vertices, surface.faces, surface.normals)


def unit(vectors: Floats) -> Floats:
    """Vectors (..., 3) at length 1; a zero vector stays zero."""
    length = np.sqrt(np.einsum("...i,...i->...", vectors, vectors))
    return vectors / np.maximum(length, 1e-30)[..., None]


def across(along: Floats) -> tuple[Floats, Floats]:
    """Two unit vectors square to unit `along` (..., 3): the first lies level, the second leans up.

    The first lies to the right of somebody who looks along; it points east where `along` is vertical.
    """
    level = np.stack([along[..., 1], -along[..., 0], np.zeros_like(along[..., 0])], axis=-1)
    vertical = np.einsum("...i,...i->...", level, level)[..., None] < 1e-12
    level = np.where(vertical, np.array([1.0, 0.0, 0.0], level.dtype), unit(level))
    return level, np.cross(level, along)


def tubes(points: Floats, radii: Floats, sides: int) -> Surface:
    """Open round tubes along polylines: points (..., b, s + 1, 3), radii (..., b, s + 1), metres.

    Returns vertices (..., b * (s + 1) * sides, 3). A polyline must bend less than a right angle in all.
    """
    along = unit(np.gradient(points, axis=-2))
    reference = across(unit(points[..., -1, :] - points[..., 0, :]))[0][..., None, :]
    first = unit(reference - np.einsum("...i,...i->...", reference, along)[..., None] * along)
    second = np.cross(along, first)
    turn = 2.0 * np.pi * np.arange(sides) / sides
    normals = first[..., None, :] * np.cos(turn)[:, None] + second[..., None, :] * np.sin(turn)[:, None]
    vertices = points[..., None, :] + radii[..., None, None] * normals
    *leading, count, rings, _ = points.shape
    shape = (*leading, count * rings * sides, 3)
    return Surface(vertices.reshape(shape), normals.reshape(shape), tube_faces(count, rings, sides))


def tube_faces(count: int, rings: int, sides: int) -> Indices:
    """Faces of `count` open tubes of so many rings, each of `sides` vertices that turn with the right hand."""
    side = np.arange(sides)
    ring = np.arange(rings - 1)[:, None] * sides
    here, beside = ring + side, ring + (side + 1) % sides
    one = np.stack(
        [
            np.stack([here, beside, beside + sides], axis=-1),
            np.stack([here, beside + sides, here + sides], axis=-1),
        ],
        axis=2,
    ).reshape(-1, 3)
    starts = (np.arange(count) * rings * sides)[:, None, None]
    return np.asarray((one + starts).reshape(-1, 3), dtype=np.int32)
