"""Head: all that is skin above the collar as one distance shape, for each of the people."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt import head_eyes, head_features
from preview.build.sculpt.head_faces import FACES, HEIGHTS, Face
from preview.build.sculpt.head_landmarks import carried, landmarks
from preview.build.sculpt.head_star import Star, star
from preview.build.sculpt.shapes import Triple, bump, join, meet, mirrored, step
from preview.script.people import PEOPLE, PersonName

NECK_FLOOR = -250.0
"""Where the man's neck is cut off, inside the collar."""


def _near(
    solid: Floats, p: Floats, centre: Triple, radius: float, change: Callable[[Floats, Floats], Floats]
) -> Floats:
    """The solid changed within a ball, where a feature is; `change` takes points and distances there."""
    inside = np.flatnonzero(
        np.einsum("ij,ij->i", p - np.asarray(centre), p - np.asarray(centre)) < radius * radius
    )
    result = solid.copy()
    if len(inside):
        result[inside] = change(p[inside], solid[inside])
    return result


def uneven(points: Floats) -> Floats:
    """Points moved so that the two sides of a face differ by the millimetre that they do in life."""
    x, y, z = points.T
    front = step(20.0, 70.0, y)
    side = np.tanh(x / 25.0) * front
    up = 0.5 * np.exp(-(((z + 68) / 22.0) ** 2)) - 0.8 * np.exp(-(((z - 20) / 9.0) ** 2))
    aside = -0.9 * np.exp(-(((z + 34) / 16.0) ** 2)) + 0.6 * np.exp(-(((z + 95) / 20.0) ** 2))
    return np.column_stack(
        [x + aside * front, y - 0.6 * side * np.exp(-(((z + 30) / 40.0) ** 2)), z + up * side]
    )


@dataclass(frozen=True)
class Head:
    name: PersonName
    face: Face
    star: Star

    @property
    def scale(self) -> float:
        """Of the whole head against the man's."""
        return PEOPLE[self.name].head / PEOPLE["man"].head

    @property
    def floor(self) -> float:
        return NECK_FLOOR * self.scale

    def placed(self, *points: Triple) -> Floats:
        """Points of the man's head on this one."""
        return carried(np.array(points, dtype=float), self.face)

    def neck(self, points: Floats) -> Floats:
        thick = PEOPLE[self.name].neck / PEOPLE["man"].neck
        back = self.face.depth[1]
        size = np.array([thick, thick, self.scale])
        local = (points - np.array([0.0, -26.0 * (back - thick), 0.0])) / size
        return head_features.neck(local, self.face) * min(thick, self.scale)

    def bare(self, points: Floats) -> Floats:
        """Skull and neck without features: what hair grows on."""
        p = uneven(points)
        solid = self.star(p)
        return meet(3.0, join(14.0, solid, self.neck(points)), self.floor - points[:, 2])

    def skin(self, points: Floats) -> Floats:
        face = self.face
        moved = uneven(points)
        p = mirrored(moved)
        solid = self.star(moved)
        deep = face.depth[0]
        as_man = p / np.array([face.breadth[5], deep, 1.0])
        solid = solid - head_eyes.ridge(as_man, face)
        folds = bump(as_man, (26, 88, face.heights[2] + 14), (3.6, 16, 11))
        solid = solid + 0.75 * face.folds * folds
        solid = join(14.0, solid, self.neck(points))

        wide, far, _ = face.nose
        root, base = face.heights[4], face.heights[3]
        size = np.array([wide, deep * far, (root - base) / (HEIGHTS[4] - HEIGHTS[3])])
        # The face's skin under the nose stays where it is; only what stands before it is shorter.
        origin = np.array([0.0, 84.0 * deep * (1 - far), root - HEIGHTS[4] * size[2]])
        smallest = float(size.min())
        solid = _near(
            solid,
            p,
            (0, 92 * deep, (root + base) / 2),
            46,
            lambda q, d: head_features.nose((q - origin) / size, d / smallest, face.tip) * smallest,
        )
        mouth = np.array([face.mouth[0], deep, face.mouth[0]])
        stomion = np.array([0.0, 0.0, face.heights[2]])
        lesser = float(mouth.min())
        solid = _near(
            solid,
            p,
            (0, 84 * deep, face.heights[2]),
            42,
            lambda q, d: head_features.lips((q - stomion) / mouth, d / lesser, face.mouth[1]) * lesser,
        )
        solid = _near(solid, p, face.eye, 26, lambda q, d: head_eyes.lids(q, d, face))
        at = self.placed((72.5, -19, -14))[0]
        at[0] -= 1.0
        solid = _near(
            solid,
            p,
            at,
            48,
            lambda q, d: join(
                4.0 * face.ear, d, head_features.ear((q - at) / face.ear + (72.5, -19, -14)) * face.ear
            ),
        )
        return meet(3.0, solid, self.floor - points[:, 2])


def head_of(name: PersonName) -> Head:
    face = FACES[name]
    return Head(name, face, star(landmarks(face), (0.0, 0.0, 0.0), smoothing=1e-4))
