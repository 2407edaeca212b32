"""Body: what clothes lie on, as distance shapes that ride on the bones of a skeleton, in millimetres."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats
from preview.build.sculpt.nets import evaluate
from preview.build.sculpt.shapes import Shape, capsule, chain, ellipsoid, join
from preview.script.people import Person, PersonName
from preview.script.skeleton import SIDES, Skeleton, rest

BLEND = 22.0
TRUNK = (
    "pelvis",
    "waist",
    "chest",
    *(f"{bone}.{side}" for side, _ in SIDES for bone in ("thigh", "shin", "foot")),
)
ARMS = tuple(f"{bone}.{side}" for side, _ in SIDES for bone in ("shoulder", "arm", "forearm"))


def forms(person: Person, joints: Mapping[str, Floats]) -> dict[str, Callable[[Floats], Floats]]:
    """The flesh of each bone in the rest pose: from points (n, 3) to distances (n,)."""
    tall = person.stature
    chest, waist = joints["chest"], joints["waist"]
    high = person.acromion - chest[2]
    breadth, depth = person.chest

    def of_chest(p: Floats) -> Floats:
        ribs = ellipsoid(
            p, (0, chest[1] + 0.10 * depth, chest[2] + 0.38 * high), (breadth / 2, depth / 2, 0.80 * high)
        )
        left, right = joints["shoulder.left"], joints["shoulder.right"]
        thick = person.arm[0] + 0.005 * tall
        middle = (0.0, left[1] - 0.006 * tall, left[2] + 0.004 * tall, 1.22 * thick)
        yoke = chain(p, [(*left, thick), middle, (*right, thick)], 10)
        slopes = [
            capsule(
                p,
                (0, -0.03 * tall, person.acromion + 0.024 * tall),
                (*(0.72 * at + np.array([0, -0.006 * tall, 0.012 * tall]))[:2], at[2] + 0.018 * tall),
                0.017 * tall,
                0.015 * tall,
            )
            for at in (left, right)
        ]
        neck = capsule(
            p,
            (0, -0.022 * tall, person.acromion),
            tuple(joints["neck"] + (0, 12, 60)),
            1.05 * person.neck,
            person.neck,
        )
        solid = join(40, ribs, yoke)
        solid = join(20, solid, join(10, *slopes), neck)
        if person.bust:
            size = person.bust
            for _, sign in SIDES:
                at = (sign * 0.27 * breadth, chest[1] + 0.47 * depth, chest[2] + 0.36 * high)
                solid = join(26, solid, ellipsoid(p, at, (1.5 * size, 1.15 * size, 1.5 * size)))
        return solid

    def of_waist(p: Floats) -> Floats:
        at = (0, waist[1] + 0.06 * person.waist[1], 0.45 * waist[2] + 0.55 * chest[2])
        return ellipsoid(p, at, (person.waist[0] / 2, person.waist[1] / 2, 0.10 * tall))

    def of_pelvis(p: Floats) -> Floats:
        hip = joints["pelvis"]
        solid = ellipsoid(
            p, (0, hip[1] - 4, hip[2] + 0.018 * tall), (person.hips / 2 - 4, 0.46 * person.seat, 0.085 * tall)
        )
        for _, sign in SIDES:
            at = (sign * 0.23 * person.hips, hip[1] - 0.22 * person.seat, hip[2] - 0.018 * tall)
            solid = join(24, solid, ellipsoid(p, at, (0.26 * person.hips, 0.30 * person.seat, 0.056 * tall)))
        return solid

    shapes: dict[str, Callable[[Floats], Floats]] = {
        "chest": of_chest,
        "waist": of_waist,
        "pelvis": of_pelvis,
    }
    for side, _ in SIDES:
        shoulder, elbow, wrist = (joints[f"{bone}.{side}"] for bone in ("shoulder", "forearm", "hand"))
        hip, knee, ankle = (joints[f"{bone}.{side}"] for bone in ("thigh", "shin", "foot"))
        upper, lower, thin = person.arm
        thigh, at_knee, calf, at_ankle = person.leg
        half = 0.5 * (shoulder + elbow)
        shapes[f"shoulder.{side}"] = _rods((shoulder, upper + 0.003 * tall), (half, upper))
        shapes[f"arm.{side}"] = _rods((half, upper), (elbow, lower))
        shapes[f"forearm.{side}"] = _rods((elbow, lower), (0.75 * elbow + 0.25 * wrist, lower), (wrist, thin))
        shapes[f"thigh.{side}"] = _rods((hip, thigh), (0.6 * hip + 0.4 * knee, 0.92 * thigh), (knee, at_knee))
        back = np.array([0.0, -0.008 * tall, 0.0])
        shapes[f"shin.{side}"] = _rods(
            (knee, at_knee), (0.7 * knee + 0.3 * ankle + back, calf), (ankle, at_ankle)
        )
        sole = np.array([0.0, 0.0, -ankle[2]])
        heel, ball, toe = (
            ankle + sole + np.array([0.0, forward * person.foot, up * person.foot])
            for forward, up in ((-0.12, 0.17), (0.44, 0.15), (0.64, 0.12))
        )
        shapes[f"foot.{side}"] = _rods(
            (ankle, at_ankle),
            (heel, 0.16 * person.foot),
            (ankle, at_ankle),
            (ball, 0.16 * person.foot),
            (toe, 0.12 * person.foot),
        )
    return shapes


def _rods(*stations: tuple[Floats, float]) -> Callable[[Floats], Floats]:
    rows = [(*at, radius) for at, radius in stations]
    return lambda p: chain(p, rows, 6)


def body(name: PersonName, skeleton: Skeleton, bones: tuple[str, ...]) -> Shape:
    """The flesh of those bones as the skeleton holds them."""
    start = rest(name)
    shapes = forms(skeleton.person, start.joints)

    def distance(points: Floats) -> Floats:
        parts = [
            shapes[bone]((points - skeleton.joints[bone]) @ skeleton.turns[bone] + start.joints[bone])
            for bone in bones
        ]
        return join(BLEND, *parts)

    return distance


@dataclass(frozen=True)
class Field:
    """A distance shape sampled on a grid, to be asked often: its values and its slope."""

    low: Floats
    cell: float
    size: tuple[int, int, int]
    rows: NDArray[np.float32]
    """Of each point of the grid in turn: distance, slope."""

    def __call__(self, points: Floats) -> tuple[Floats, Floats]:
        """Distances (n,) and unit slopes (n, 3)."""
        at = np.clip((points - self.low) / self.cell, 0.0, np.array(self.size) - 1.001)
        base = at.astype(np.int32)
        part = (at - base).astype(np.float32)
        first = (base[:, 0] * self.size[1] + base[:, 1]) * self.size[2] + base[:, 2]
        total = np.zeros((len(points), 4), np.float32)
        for i in (0, 1):
            x = part[:, 0] if i else 1 - part[:, 0]
            for j in (0, 1):
                xy = x * (part[:, 1] if j else 1 - part[:, 1])
                for k in (0, 1):
                    share = xy * (part[:, 2] if k else 1 - part[:, 2])
                    total += share[:, None] * self.rows[first + (i * self.size[1] + j) * self.size[2] + k]
        slope = total[:, 1:].astype(np.float64)
        length = np.sqrt(np.einsum("ij,ij->i", slope, slope))
        return total[:, 0].astype(np.float64), slope / np.maximum(length, 1e-6)[:, None]


def field(shape: Shape, low: Floats, high: Floats, cell: float) -> Field:
    axes = [np.arange(a, b + cell, cell) for a, b in zip(low, high, strict=True)]
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)
    size = (len(axes[0]), len(axes[1]), len(axes[2]))
    values = evaluate(shape, grid.reshape(-1, 3)).reshape(size)
    rows = np.stack([values, *np.gradient(values, cell)], axis=-1).reshape(-1, 4)
    return Field(np.asarray(low, dtype=float), cell, size, rows.astype(np.float32))
