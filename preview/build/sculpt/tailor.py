"""Tailor: what is sewn on a garment at rest, laid on its cloth: patches, strips, buttons, belts, edgings, collars."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from preview.build.mesh import Floats, Indices, vertex_normals
from preview.build.sculpt.garments import CUTTINGS, neck_cut, top_shape
from preview.build.sculpt.nets import gradient
from preview.build.sculpt.shapes import Shape
from preview.build.sculpt.sheets import Cloth
from preview.build.sculpt.slabs import outward, solid_grid, swept
from preview.script.people import Person, PersonName
from preview.script.skeleton import rest

HEM, NECK = 0, 1
"""Which of a top's openings is which."""


@dataclass(frozen=True)
class Detail:
    """A closed solid over the rest pose; `part` of the figure it is of."""

    vertices: Floats
    faces: Indices
    tint: float = 1.0
    part: str = "top"


class Tailor:
    """Finds its way about a garment at rest."""

    def __init__(self, name: PersonName, garment: str) -> None:
        self.person: Person = rest(name).person
        self.joints = rest(name).joints
        self.cutting = CUTTINGS[garment]
        self.shape: Shape = top_shape(name, self.cutting)
        self.tall = self.person.stature
        self.hem = self.cutting.hem * self.person.hip
        self.top = self.person.acromion

    def _found(self, outer: Floats, inner: Floats) -> Floats:
        """Where (n, 3) the cloth is between points outside and inside of it."""
        for _ in range(26):
            half = 0.5 * (outer + inner)
            within = (self.shape(half) < 0)[:, None]
            inner, outer = np.where(within, half, inner), np.where(within, outer, half)
        return 0.5 * (outer + inner)

    def lifted(self, points: Floats, height: Floats | float) -> Floats:
        slope = gradient(self.shape, points, 4.0)
        slope /= np.linalg.norm(slope, axis=1, keepdims=True)
        return points + slope * np.broadcast_to(height, (len(points),))[:, None]

    def front(self, x: Floats, z: Floats, *, back: bool = False) -> Floats:
        """Places on the front at x and z of any one shape, (..., 3)."""
        sign = -1.0 if back else 1.0
        outer = np.stack([x, np.full_like(x, sign * 0.22 * self.tall), z], axis=-1).reshape(-1, 3)
        inner = outer * (1, 0, 1) + (0.0, float(self.joints["chest"][1]), 0.0)
        return self._found(outer, inner).reshape(*x.shape, 3)

    def patch(
        self, x: Floats, z: Floats, height: Floats | float, *, tint: float = 1.0, part: str = "top"
    ) -> Detail:
        """A slab on the front over a grid (m, k) of places."""
        at = self.front(x, z)
        flat = at.reshape(-1, 3)
        tops = self.lifted(flat, np.broadcast_to(height, x.shape).ravel()).reshape(at.shape)
        lows = self.lifted(flat, -4.0).reshape(at.shape)
        return Detail(*solid_grid(tops, lows), tint, part)

    def button(self, x: float, z: float, radius: float, *, tint: float) -> Detail:
        around = np.linspace(0, 2 * np.pi, 9)[:-1]
        ring = np.array([1.0, 0.8, 0.0])
        u = np.concatenate([radius * r * np.sin(around) for r in ring[:2]] + [[0.0]])
        w = np.concatenate([radius * r * np.cos(around) for r in ring[:2]] + [[0.0]])
        at = self.front(x + u, z + w)
        high = self.lifted(at, np.repeat([2.2, 4.0, 3.4], [8, 8, 1]))
        low = self.lifted(at[:8], -3.0)
        vertices = np.concatenate([high, low])
        i = np.arange(8)
        j = (i + 1) % 8
        faces = np.concatenate(
            [
                np.stack([i, j, 8 + j], 1), np.stack([i, 8 + j, 8 + i], 1), np.stack([8 + i, 8 + j, np.full(8, 16)], 1),
                np.stack([17 + i, 17 + j, j], 1), np.stack([17 + i, j, i], 1),
                np.stack([17 + 0 * i[1:-1], 17 + i[1:-1] + 1, 17 + i[1:-1]], 1),
            ]
        )  # fmt: skip
        return Detail(*outward(vertices, faces.astype(np.int32)), tint)

    def strip(
        self, left: float, right: float, high: float, low: float, height: float, *, tint: float = 1.0
    ) -> Detail:
        """An upright strip of the front, finer along than across."""
        rows = max(4, int((high - low) / (0.022 * self.tall)))
        x, z = np.meshgrid(np.linspace(left, right, 4), np.linspace(high, low, rows))
        depth = height * np.array([0.35, 1.0, 1.0, 0.7])
        return self.patch(x, z, np.broadcast_to(depth, x.shape), tint=tint)

    def belt(self, z: float, wide: float, thick: float, *, tint: float) -> Detail:
        around = np.linspace(0, 2 * np.pi, 41)[:-1]
        rings = []
        middle = np.array([0.0, float(self.joints["waist"][1]) + 4.0, z])
        way = np.stack([np.sin(around), np.cos(around), 0 * around], axis=1)
        on = self._found(middle + way * 0.25 * self.tall, middle + way * 0.01)
        for up, out in (
            (-0.5, -3.0),
            (-0.5, thick * 0.8),
            (-0.2, thick),
            (0.2, thick),
            (0.5, thick * 0.8),
            (0.5, -3.0),
        ):
            rings.append(on + way * out + np.array([0.0, 0.0, up * wide]))
        return Detail(*swept(np.stack(rings, axis=1), closed=True), tint)

    def edging(self, cloth: Cloth, opening: int, high: float, thick: float, *, tint: float) -> Detail:
        """A band round an opening of the cloth: so high past its edge, as much on it."""
        loop = cloth.loops[opening]
        edge = cloth.vertices[loop]
        out = vertex_normals(cloth.vertices, cloth.faces)[loop]
        way = np.roll(edge, -1, axis=0) - np.roll(edge, 1, axis=0)
        # The cloth lies on the left of its border as seen from outside.
        past = np.cross(way, out)
        for _ in range(6):
            past = past + np.roll(past, 1, axis=0) + np.roll(past, -1, axis=0)
        past /= np.linalg.norm(past, axis=1, keepdims=True)
        if past[:, 2].mean() * (1 if opening == NECK else -1) < 0:
            past = -past
        section = ((-4.0, -1.0), (0.7, -1.0), (1.0, -0.6), (1.0, 0.2), (0.6, 0.9), (-0.6, 1.0), (-4.0, 0.4))
        rings = [edge + out * (thick * a if a > 0 else a) + past * (high * b) for a, b in section]
        return Detail(*swept(np.stack(rings, axis=1), closed=True), tint)

    def round_neck(
        self,
        section: Callable[[Floats], Floats],
        *,
        room: float,
        opening: float,
        part: str = "top",
        tint: float = 1.0,
    ) -> Detail:
        """Swept round the neck: `section` gives of angles from the front (m,) how far out and up (m, k, 2), mm.
        `opening`: half the angle left open in front, radians; 0 goes round."""
        closed = opening == 0.0
        around = np.linspace(opening, 2 * np.pi - opening, 37 if closed else 33)
        if closed:
            around = around[:-1]
        cut = neck_cut(self.person, self.cutting)
        radius = self.person.neck + room
        way = np.stack([np.sin(around), np.cos(around), 0 * around], axis=1)
        base = np.array([0.0, -0.020 * self.tall, 0.0]) + way * np.stack(
            [radius * 1.02 + 0 * around, radius * 1.06 + 0 * around, 0 * around], axis=1
        )
        base[:, 2] = (
            cut.middle[2] - 0.005 * self.tall - (base[:, 1] - cut.middle[1]) * cut.outward[1] / cut.outward[2]
        )
        turn = np.minimum(around, 2 * np.pi - around)
        places = section(turn)
        rings = base[:, None] + places[..., :1] * way[:, None] + places[..., 1:] * np.array([0.0, -0.15, 1.0])
        return Detail(*swept(rings, closed=closed), tint, part)
