"""Geometry: triangles with the surfaces they carry, from hits to points that light falls on."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from preview.build.surfaces import Surfaces
from preview.build.world import World
from preview.light.vectors import dot
from preview.trace.mottle import mottled
from preview.trace.rays import Hit, Rays
from preview.trace.wet import wetted

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Points:
    """Places where light falls (n of them).

    position (3, n) m; start (3, n) m, where shadow rays leave: on the rounded surface that the triangles stand for;
    normal (3, n) unit, rounded, towards the viewer; facet (3, n) unit, the triangle's own, towards the viewer;
    reflectance (3, n), diffuse; transmission (n,); ior (n,), of the clear coat over it, 1 where there is none; roughness
    (n,), the GGX alpha of that coat; part (n,) int32.
    """

    position: Array
    start: Array
    normal: Array
    facet: Array
    reflectance: Array
    transmission: Array
    ior: Array
    roughness: Array
    part: NDArray[np.int32]

    def __len__(self) -> int:
        return len(self.part)

    def take(self, index: NDArray[np.intp]) -> Points:
        """Those points alone."""
        return Points(
            np.take(self.position, index, axis=1),
            np.take(self.start, index, axis=1),
            np.take(self.normal, index, axis=1),
            np.take(self.facet, index, axis=1),
            np.take(self.reflectance, index, axis=1),
            self.transmission[index],
            self.ior[index],
            self.roughness[index],
            self.part[index],
        )


def joined(pieces: Sequence[Points]) -> Points:
    """All those points, in their order; at least one piece."""
    return Points(
        *(np.concatenate([getattr(piece, part.name) for piece in pieces], axis=-1) for part in fields(Points))
    )


class Geometry:
    """A world with its surfaces, ready to be hit."""

    def __init__(self, world: World, surfaces: Surfaces) -> None:
        self.world = world
        self.surfaces = surfaces
        self.rays = Rays(world.vertices, world.faces)
        self._vertices = np.ascontiguousarray(world.vertices.T)
        self._normals = np.ascontiguousarray(world.normals.T)
        self._corners = np.ascontiguousarray(world.faces.T)
        self._facets = _facets(self._vertices, self._corners)

    def resurfaced(self, surfaces: Surfaces) -> Geometry:
        """The same triangles, not built again, with other surfaces."""
        other = copy(self)
        other.surfaces = surfaces
        return other

    def facets(self, face: NDArray[np.int32]) -> Array:
        """Unit normals (3, n) of triangles, as they wind."""
        return np.take(self._facets, face, axis=1)

    def points(self, hit: Hit, directions: Array, *, footprint: Array | None = None) -> Points:
        """The points of hits (all of which met something), seen along `directions` (3, n).

        `footprint` (n,) m is the size of the surface that a pixel covers there: patterns finer than it fade to their
        mean. None: all are kept.
        """
        corners = [np.take(corner, hit.face) for corner in self._corners]
        weights = (1.0 - hit.u - hit.v, hit.u, hit.v)
        vertices = [np.take(self._vertices, corner, axis=1) for corner in corners]
        normals = [np.take(self._normals, corner, axis=1) for corner in corners]
        # From the corners, not along the ray: exact on the triangle at any distance.
        position = _mean(weights, vertices)
        normal = _mean(weights, normals)
        normal /= np.maximum(np.sqrt(dot(normal, normal)), np.float32(1e-20))
        facet = self.facets(hit.face)
        start = _rounded(position, weights, vertices, normals, np.abs(dot(normal, facet)))
        away = dot(facet, directions) > 0.0
        # Seen from inside, a rounded surface bulges the other way: there the triangle itself must do.
        start[:, away] = position[:, away]
        facet *= np.where(away, np.float32(-1.0), np.float32(1.0))
        normal *= np.where(dot(facet, normal) < 0.0, np.float32(-1.0), np.float32(1.0))
        part = self.world.part_of_face[hit.face]
        surfaces = self.surfaces
        reflectance = mottled(
            np.take(surfaces.reflectance.T, part, axis=1),
            surfaces.variation[part],
            surfaces.grain[part],
            position,
            footprint=footprint,
        )
        ior, roughness = surfaces.ior[part], surfaces.roughness[part]
        _wet(surfaces.wet[part], position, facet, normal, reflectance, ior, roughness, footprint)
        return Points(
            position,
            start,
            normal,
            facet,
            reflectance,
            surfaces.transmission[part],
            ior,
            roughness,
            part,
        )


def _wet(
    wet: Array,
    position: Array,
    facet: Array,
    normal: Array,
    reflectance: Array,
    ior: Array,
    roughness: Array,
    footprint: Array | None,
) -> None:
    """Changes normal, reflectance, ior and roughness of points where they are wet: pools lie flat."""
    index = np.flatnonzero(wet > 0.0)
    if len(index) == 0:
        return
    flat = np.take(facet, index, axis=1)
    film = wetted(
        np.take(reflectance, index, axis=1),
        ior[index],
        roughness[index],
        wet[index],
        np.take(position, index, axis=1),
        flat,
        footprint=None if footprint is None else footprint[index],
    )
    reflectance[:, index] = film.reflectance
    ior[index] = film.ior
    roughness[index] = film.roughness
    rounded = np.take(normal, index, axis=1)
    still = rounded + film.pool * (flat - rounded)
    normal[:, index] = still / np.maximum(np.sqrt(dot(still, still)), np.float32(1e-20))


def _mean(weights: Sequence[Array], values: Sequence[Array]) -> Array:
    """Values (3, n) at corners, in the weights (n,) of a place in the triangle."""
    mean = weights[0] * values[0]
    mean += weights[1] * values[1]
    mean += weights[2] * values[2]
    return mean


FLAT = 0.99999
"""Cosine between facet and rounded normal from which a place counts as flat."""


def _rounded(
    position: Array,
    weights: Sequence[Array],
    vertices: Sequence[Array],
    normals: Sequence[Array],
    cosine: Array,
) -> Array:
    """Positions (3, n) raised to the surface that the corners' normals suggest, so that no facet shades its neighbour.

    Source: J. Hanika, Hacking the Shadow Terminator, Ray Tracing Gems II, chapter 4, 2021.
    """
    start = position.copy()
    curved = np.flatnonzero(cosine < FLAT)
    if len(curved) == 0:
        return start
    place = np.take(position, curved, axis=1)
    raised = place.copy()
    for weight, vertex, normal in zip(weights, vertices, normals, strict=True):
        square = np.take(normal, curved, axis=1)
        below = np.minimum(dot(place - np.take(vertex, curved, axis=1), square), np.float32(0.0))
        raised -= weight[curved] * below * square
    start[:, curved] = raised
    return start


FACES = 65536
"""Triangles whose facets are reckoned at a time, in float64."""


def _facets(vertices: Array, corners: NDArray[np.int32]) -> Array:
    """Unit normals (3, m) of triangles."""
    facets = np.empty(corners.shape, np.float32)
    for start in range(0, corners.shape[1], FACES):
        some = slice(start, start + FACES)
        first, second, third = (
            np.take(vertices, corner, axis=1).astype(np.float64) for corner in corners[:, some]
        )
        facet = np.cross(second - first, third - first, axis=0)
        facets[:, some] = facet / np.maximum(np.sqrt(np.einsum("ij,ij->j", facet, facet)), 1e-30)
    return facets
