"""Hits: from the numbers of faces that a drawing shows to the hits that rays through its pixels would have found."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World
from preview.light.vectors import column, dot
from preview.trace.rays import Hit

Array = NDArray[np.float32]
Faces = NDArray[np.int32]


class Triangles:
    """A world's triangles, to be asked where rays meet those that they are known to meet."""

    def __init__(self, world: World) -> None:
        self._vertices = np.ascontiguousarray(world.vertices.T, np.float32)
        self._corners = np.ascontiguousarray(world.faces.T)

    def hits(self, face: Faces, directions: Array, eye: NDArray[np.float64]) -> Hit:
        """Where rays from `eye` (3,) along unit `directions` (3, n) meet faces (n,), -1 for none."""
        index = np.flatnonzero(face >= 0)
        if len(index) == len(face):
            return self._met(face, directions, eye)
        found = self._met(face[index], np.take(directions, index, axis=1), eye)
        answer = Hit(np.full(len(face), np.inf, np.float32), face, *np.zeros((2, len(face)), np.float32))
        answer.distance[index], answer.u[index], answer.v[index] = found.distance, found.u, found.v
        return answer

    def _met(self, face: Faces, directions: Array, eye: NDArray[np.float64]) -> Hit:
        """The same where every ray meets something.

        A driver may give a pixel to a triangle that its ray just misses, and one seen edge-on is met anywhere: such a
        hit is brought to the triangle's edge. Source: T. Möller and B. Trumbore, Fast, Minimum Storage Ray/Triangle
        Intersection, 1997.
        """
        first, second, third = (
            np.take(self._vertices, np.take(corner, face), axis=1) for corner in self._corners
        )
        along, across = second - first, third - first
        away = column(eye) - first
        normal = _cross(directions, across)
        scale = dot(along, normal)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            u = np.clip(np.nan_to_num(dot(away, normal) / scale), 0.0, 1.0)
            v = np.clip(np.nan_to_num(dot(directions, _cross(away, along)) / scale), 0.0, 1.0)
        over = np.maximum(u + v, np.float32(1.0))
        u, v = u / over, v / over
        reach = u * along
        reach += v * across
        reach -= away
        return Hit(np.sqrt(dot(reach, reach)), face, u, v)


def _cross(first: Array, second: Array) -> Array:
    return np.stack(
        [
            first[1] * second[2] - first[2] * second[1],
            first[2] * second[0] - first[0] * second[2],
            first[0] * second[1] - first[1] * second[0],
        ]
    )
