"""Geometry: triangles with the surfaces they carry, from hits to points that light falls on."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, fields
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from preview.build.surfaces import Surfaces
from preview.build.world import World
from preview.light.vectors import dot
from preview.trace.digest import digest
from preview.trace.patterns import ALONG_GRAIN, mottled
from preview.trace.rays import Hit, Rays
from preview.trace.relief import slopes
from preview.trace.wet import wetted

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Points:
    """Places where light falls (n of them).

    position (3, n) m; start (3, n) m, where shadow rays leave: on the rounded surface that the triangles stand for;
    normal (3, n) unit, rounded, towards the viewer; facet (3, n) unit, the triangle's own, towards the viewer; slope
    (3, n) of the relief there, square to the normal, and its spread (n,), the deviation of such slopes; 0 for smooth;
    reflectance (3, n), diffuse; transmission (n,); ior (n,), of the clear coat over it, 1 where there is none; roughness
    (n,), the GGX alpha of that coat; part (n,) int32.
    """

    position: Array
    start: Array
    normal: Array
    facet: Array
    slope: Array
    spread: Array
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
            np.take(self.slope, index, axis=1),
            self.spread[index],
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


MOST_REFLECTED = np.float32(0.98)
"""Of any channel, however a surface is tinted."""


class Geometry:
    """A world with its surfaces, ready to be hit. What it takes to hit it is made when it is first asked for."""

    def __init__(self, world: World, surfaces: Surfaces, *, content: str | None = None) -> None:
        """`content`: the digest of both, where it is known already."""
        self.world = world
        self.surfaces = surfaces
        self._content = content
        self.rays = Rays(world.vertices, world.faces)
        self._vertices = np.ascontiguousarray(world.vertices.T)
        self._normals = np.ascontiguousarray(world.normals.T)
        self._tint = None if world.tint is None else np.ascontiguousarray(world.tint.T)
        self._corners = np.ascontiguousarray(world.faces.T)
        self._facets = _Facets(self._vertices, self._corners)

    @property
    def content(self) -> str:
        """The digest of its triangles and surfaces."""
        if self._content is None:
            world = self.world
            # Turned as they lie in memory.
            tint = None if world.tint is None else world.tint.T
            self._content = digest(
                world.vertices.T, world.normals.T, tint, world.faces.T, world.part_of_face, self.surfaces
            )
        return self._content

    def resurfaced(self, surfaces: Surfaces) -> Geometry:
        """The same triangles, not built again, with other surfaces, which no tint varies."""
        other = copy(self)
        other.surfaces, other._tint, other._content = surfaces, None, None
        return other

    def facets(self, face: NDArray[np.int32]) -> Array:
        """Unit normals (3, n) of triangles, as they wind."""
        return np.take(self._facets.all(), face, axis=1)

    def tint(self, hit: Hit) -> Array | None:
        """Factors (3, n) on the reflectance of the material where hits (all of which met something) lie; None for 1."""
        if self._tint is None:
            return None
        weights = (1.0 - hit.u - hit.v, hit.u, hit.v)
        return _mean(weights, [np.take(self._tint, np.take(c, hit.face), axis=1) for c in self._corners])

    def points(
        self,
        hit: Hit,
        directions: Array,
        *,
        footprint: Array | None = None,
        raised: bool = False,
        tint: Array | None = None,
    ) -> Points:
        """The points of hits (all of which met something), seen along `directions` (3, n).

        `footprint` (n,) m is the size of the surface that a pixel covers there: patterns finer than it fade to their
        mean. None: mottling does so everywhere, since many rays see it together, and water keeps all of its pattern.
        `raised`: with the slopes of their relief. `tint` (3, n): the mean of what the pixel covers; None: of the place.
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
        reflectance = np.take(surfaces.reflectance.T, part, axis=1)
        tint = self.tint(hit) if tint is None else tint
        if tint is not None:
            np.clip(reflectance * tint, 0.0, MOST_REFLECTED, out=reflectance)
        slope, spread = np.zeros_like(position), np.zeros(len(part), np.float32)
        if footprint is not None:
            kind = surfaces.pattern[part]
            along = _grain(vertices, ALONG_GRAIN[kind])
            reflectance = mottled(
                reflectance,
                surfaces.variation[part],
                surfaces.grain[part],
                position,
                pattern=kind,
                along=along,
                level=np.abs(facet[2]),
                footprint=footprint,
            )
            if raised:
                relief = surfaces.relief[:, part]
                slope, spread = slopes(position, normal, relief, kind, along=along, footprint=footprint)
        ior, roughness = surfaces.ior[part], surfaces.roughness[part]
        _wet(surfaces.wet[part], position, facet, normal, slope, reflectance, ior, roughness, footprint)
        return Points(
            position,
            start,
            normal,
            facet,
            slope,
            spread,
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
    slope: Array,
    reflectance: Array,
    ior: Array,
    roughness: Array,
    footprint: Array | None,
) -> None:
    """Changes normal, slope, reflectance, ior and roughness of points where they are wet: pools lie flat."""
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
    slope[:, index] *= 1.0 - film.pool
    normal[:, index] = still / np.maximum(np.sqrt(dot(still, still)), np.float32(1e-20))


LIKE = 1.05
"""Ratio of two edges of a triangle from which the longer one shows which way its grain runs."""


def _grain(vertices: Sequence[Array], grained: NDArray[np.bool_]) -> Array | None:
    """Unit ways (3, n) of the grain of triangles with those `vertices`, where `grained` (n,); None where nothing is.

    The middle one of a triangle's edges: of half a board that is its long side, whichever half it is. Of two alike the
    more level one.
    """
    index = np.flatnonzero(grained)
    if len(index) == 0:
        return None
    first, second, third = (np.take(vertex, index, axis=1) for vertex in vertices)
    edges = np.stack([second - first, third - second, first - third])
    length = np.sqrt(np.einsum("kij,kij->kj", edges, edges))
    order = np.argsort(length, axis=0)
    short, long = (np.take_along_axis(edges, order[k][None, None], axis=0)[0] for k in (0, 1))
    shorter, longer = (np.take_along_axis(length, order[k][None], axis=0)[0] for k in (0, 1))
    alike = longer < LIKE * shorter
    level = np.abs(short[2]) * longer < np.abs(long[2]) * shorter - np.float32(1e-4) * longer * shorter
    way = np.where(alike & level, short, long)
    way /= np.maximum(np.sqrt(dot(way, way)), np.float32(1e-9))
    along = np.zeros((3, len(grained)), np.float32)
    along[:, index] = way
    return along


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


class _Facets:
    """Unit normals of triangles, reckoned when one is first asked for; from several threads at once as well."""

    def __init__(self, vertices: Array, corners: NDArray[np.int32]) -> None:
        self._vertices, self._corners = vertices, corners
        self._known: Array | None = None
        self._reckoning = Lock()

    def all(self) -> Array:
        """Of every triangle, (3, m)."""
        with self._reckoning:
            if self._known is None:
                self._known = _facets(self._vertices, self._corners)
            return self._known


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
