"""Rays: the one place that talks to Embree; owns its float32, its miss values and its offsets."""

from __future__ import annotations

from dataclasses import dataclass
from threading import Lock
from typing import Any

import numpy as np
from embreex import rtcore_scene
from embreex.mesh_construction import TriangleMesh
from numpy.typing import NDArray

Array = NDArray[np.float32]

FAR = np.float32(1e30)
"""Longer than any set, short enough for float32."""
LIFT = np.float32(2e-4)
"""Metres that a ray's start is lifted off its surface, and stops short of its end."""


@dataclass(frozen=True)
class Hit:
    """What rays met: `distance` (n,) m, inf for nothing; `face` (n,) int32, -1 for nothing; barycentric u, v (n,)."""

    distance: Array
    face: NDArray[np.int32]
    u: Array
    v: Array

    def take(self, index: NDArray[np.intp]) -> Hit:
        """Those hits alone."""
        return Hit(self.distance[index], self.face[index], self.u[index], self.v[index])


class Rays:
    """Triangles ready to be asked for hits. Its calls release the interpreter's lock: use it from threads."""

    def __init__(self, vertices: Array, faces: NDArray[np.int32]) -> None:
        self._vertices, self._faces = vertices, faces
        self._tree: Any = None
        self._building = Lock()

    def _scene(self) -> Any:
        """Embree's tree, built when the first question is asked: what comes from a cache asks none."""
        with self._building:
            if self._tree is None:
                tree = rtcore_scene.EmbreeScene()
                TriangleMesh(
                    tree,
                    np.ascontiguousarray(self._vertices, np.float32),
                    np.ascontiguousarray(self._faces, np.int32),
                )
                # Embree builds at the first ray: send it here, before any other thread does.
                one = np.ones((1, 3), np.float32)
                tree.run(one, one, dists=np.ones(1, np.float32), query="OCCLUDED")
                self._tree = tree
        return self._tree

    def blocked(self, origins: Array, directions: Array, distances: Array) -> NDArray[np.bool_]:
        """Whether anything stands within `distances` (n,) m along unit `directions` from `origins` (n, 3)."""
        if len(self._faces) == 0 or len(origins) == 0:
            return np.zeros(len(origins), bool)
        reach = np.minimum(distances, FAR).astype(np.float32, copy=False)
        answer: NDArray[np.int32] = self._scene().run(origins, directions, dists=reach, query="OCCLUDED")
        return answer >= 0

    def hit(self, origins: Array, directions: Array) -> Hit:
        """The nearest triangle along unit `directions` (n, 3) from `origins` (n, 3)."""
        if len(self._faces) == 0 or len(origins) == 0:
            n = len(origins)
            nothing = np.zeros(n, np.float32)
            return Hit(np.full(n, np.inf, np.float32), np.full(n, -1, np.int32), nothing, nothing)
        answer = self._scene().run(origins, directions, query="INTERSECT", output=1)
        face = answer["primID"]
        return Hit(np.where(face >= 0, answer["tfar"], np.float32(np.inf)), face, answer["u"], answer["v"])
