"""Geometry: triangles with the surfaces they carry, from hits to points that light falls on."""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.build.surfaces import Surfaces
from preview.build.world import World
from preview.trace.mottle import mottled
from preview.trace.rays import Hit, Rays

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Points:
    """Places where light falls (n of them).

    position (n, 3) m; normal (n, 3) unit, rounded, towards the viewer; facet (n, 3) unit, the triangle's own, towards
    the viewer; reflectance (n, 3); transmission (n,); part (n,) int32.
    """

    position: Array
    normal: Array
    facet: Array
    reflectance: Array
    transmission: Array
    part: NDArray[np.int32]

    def take(self, index: NDArray[np.intp]) -> Points:
        """Those points alone."""
        return Points(
            self.position[index],
            self.normal[index],
            self.facet[index],
            self.reflectance[index],
            self.transmission[index],
            self.part[index],
        )


class Geometry:
    """A world with its surfaces, ready to be hit."""

    def __init__(self, world: World, surfaces: Surfaces) -> None:
        self.world = world
        self.surfaces = surfaces
        self.rays = Rays(world.vertices, world.faces)
        self._facets = _facets(world)

    def resurfaced(self, surfaces: Surfaces) -> Geometry:
        """The same triangles, not built again, with other surfaces."""
        other = copy(self)
        other.surfaces = surfaces
        return other

    def points(self, hit: Hit, directions: Array) -> Points:
        """The points of hits (all of which met something), seen along `directions` (n, 3)."""
        world = self.world
        corners = world.faces[hit.face]
        first, second, third = (world.vertices[corners[:, i]] for i in range(3))
        u, v = hit.u[:, None], hit.v[:, None]
        rest = 1.0 - u - v
        # From the corners, not along the ray: exact on the triangle at any distance.
        position = rest * first + u * second + v * third
        facet = self._facets[hit.face]
        normal = (
            rest * world.normals[corners[:, 0]]
            + u * world.normals[corners[:, 1]]
            + v * world.normals[corners[:, 2]]
        )
        normal /= np.maximum(np.sqrt(np.einsum("ij,ij->i", normal, normal)), 1e-20)[:, None]
        away = np.einsum("ij,ij->i", facet, directions) > 0.0
        facet[away] *= -1.0
        flip = np.einsum("ij,ij->i", facet, normal) < 0.0
        normal[flip] *= -1.0
        part = world.part_of_face[hit.face]
        return Points(
            position,
            normal,
            facet,
            mottled(
                self.surfaces.reflectance[part],
                self.surfaces.variation[part],
                self.surfaces.grain[part],
                position,
            ),
            self.surfaces.transmission[part],
            part,
        )


def _facets(world: World) -> Array:
    """Unit normals (m, 3) of a world's triangles."""
    first, second, third = (world.vertices[world.faces[:, i]].astype(np.float64) for i in range(3))
    facet = np.cross(second - first, third - first)
    facet /= np.maximum(np.linalg.norm(facet, axis=1, keepdims=True), 1e-30)
    return facet.astype(np.float32)
