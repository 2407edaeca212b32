"""Garments: how each is cut, as a distance shape over the rest pose of a person, in millimetres."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.shapes import capsule, chain, join, meet
from preview.build.sculpt.sheets import Cut
from preview.script.people import Person, PersonName
from preview.script.skeleton import SIDES, rest


@dataclass(frozen=True)
class Cutting:
    """What tells one garment from another; lengths in thousandths of stature, so that a child's fits."""

    hem: float
    """Height of the hem, as a share of the way from the sole (0) to the hip's joint (1)."""
    ease: float
    """Room round the chest."""
    waist: float
    """How far the sides fall straight (1) or follow the waist (0)."""
    flare: float
    """How much wider the hem is than the hips."""
    sleeve: tuple[float, float, float]
    """Room round the upper arm, elbow, wrist."""
    clear: float
    """How far it stays off the body: its own thickness and what is worn below."""
    over: float = 0.0
    """The same below the waist, over trousers."""
    slack: float = 1.03
    """Length of the cloth against its cut: what is too long folds."""
    bending: float = 0.12
    hold: float = 0.85
    """How firmly its shoulders keep their shape."""
    gather: float = 1.0
    """Width of a band at the hem against the cloth's."""
    neck: float = 0.022
    """Room round the neck."""


CUTTINGS: dict[str, Cutting] = {
    "jacket": Cutting(0.880, 0.014, 0.28, 0.014, (0.009, 0.010, 0.010), 0.008, 0.018, 1.025, 0.22, 0.95),
    "coat": Cutting(0.46, 0.020, 0.55, 0.026, (0.014, 0.014, 0.014), 0.012, 0.018, 1.03, 0.30, 0.95),
    "jumper": Cutting(0.925, 0.015, 0.85, 0.002, (0.011, 0.012, 0.009), 0.006, 0.014, 1.04, 0.16, 0.6, 0.93),
    "raincoat": Cutting(0.76, 0.026, 0.90, 0.022, (0.017, 0.017, 0.014), 0.011, 0.018, 1.04, 0.10, 0.7),
    "dress": Cutting(
        0.47, 0.006, 0.05, 0.060, (0.007, 0.008, 0.007), 0.004, 0.004, 1.02, 0.06, 0.8, 1.0, 0.030
    ),
}


def tube(p: Floats, heights: Floats, breadth: Floats, depth: Floats, forward: Floats) -> Floats:
    """Ellipses about the axis, of half breadth and depth by height."""
    z = p[:, 2]
    b, d, c = np.interp(z, heights, breadth), np.interp(z, heights, depth), np.interp(z, heights, forward)
    u, v = p[:, 0] / b, (p[:, 1] - c) / d
    level = np.hypot(u, v) + 1e-9
    distance: Floats = level * (level - 1.0) / (np.hypot(u / b, v / d) + 1e-9)
    return distance


def trunk_table(person: Person, joints: Mapping[str, Floats]) -> tuple[Floats, Floats, Floats, Floats]:
    """Heights, half breadths, half depths, forward places of the unclad trunk, from the crotch up."""
    chest, hip, tall = joints["chest"], joints["pelvis"], person.stature
    high = person.acromion - chest[2]
    heights = [hip[2] - 0.06 * tall, hip[2], hip[2] + 0.05 * tall, 0.45 * joints["waist"][2] + 0.55 * chest[2],
               chest[2] + 0.38 * high, chest[2] + 0.75 * high, chest[2] + 1.05 * high]  # fmt: skip
    bust = 0.55 * person.bust
    rows = [
        (person.hips / 2, 0.48 * person.seat, hip[1] - 0.05 * person.seat),
        (person.hips / 2, 0.50 * person.seat, hip[1] - 0.06 * person.seat),
        (0.46 * person.hips, 0.46 * person.seat, hip[1] - 0.02 * person.seat),
        (person.waist[0] / 2, person.waist[1] / 2, joints["waist"][1] + 0.06 * person.waist[1]),
        (person.chest[0] / 2, person.chest[1] / 2 + bust, chest[1] + 0.10 * person.chest[1] + bust),
        (
            0.46 * person.chest[0],
            0.43 * person.chest[1] + 0.5 * bust,
            chest[1] + 0.06 * person.chest[1] + 0.4 * bust,
        ),
        (0.36 * person.chest[0], 0.30 * person.chest[1], chest[1]),
    ]
    table = np.array(rows)
    return np.array(heights), table[:, 0], table[:, 1], table[:, 2]


def top_shape(name: PersonName, cutting: Cutting) -> Callable[[Floats], Floats]:
    """A garment with sleeves; it goes on past its hem and cuffs, where it is cut."""
    person, joints = rest(name).person, rest(name).joints
    tall = person.stature
    heights, breadth, depth, forward = trunk_table(person, joints)
    ease = cutting.ease * tall
    widest = np.maximum(np.maximum(breadth[1], breadth[4]), breadth)
    deepest = np.maximum(np.maximum(depth[1], depth[4]), depth)
    falls = np.array([1, 1, 1, 1, 0.3, 0, 0]) * cutting.waist
    b = breadth + falls * (widest - breadth) + ease
    d = depth + 0.8 * falls * (deepest - depth) + ease
    hem = cutting.hem * person.hip
    long = (heights[1] - hem) / (heights[1] * 0.5)
    flare = cutting.flare * tall * long
    # Below the hips.
    low = np.array([hem - 0.06 * tall, hem])
    below = hem < heights[0] - 1.0
    at = np.concatenate([low, heights[1:]] if not below else [low, heights])
    keep = slice(1, None) if not below else slice(None)
    legs = np.array([1.0, 1.0])
    b = np.concatenate([legs * (b[0] + flare), b[keep]])
    d = np.concatenate([legs * (d[0] + flare), d[keep]])
    c = np.concatenate([legs * forward[0], forward[keep]])
    thick = person.arm[0] + 0.005 * tall
    # Shoulders stand off by no more than their cloth.
    pad = 0.55 * cutting.ease * tall + 0.003 * tall

    def shape(p: Floats) -> Floats:
        solid = meet(8, tube(p, at, b, d, c), low[0] - p[:, 2], p[:, 2] - (person.acromion + 0.004 * tall))
        left, right = joints["shoulder.left"], joints["shoulder.right"]
        middle = (0.0, left[1] - 0.008 * tall, left[2] + 0.006 * tall, 1.15 * thick + 0.6 * pad)
        yoke = chain(p, [(*left, thick + pad), middle, (*right, thick + pad)], 12)
        slopes = [
            capsule(
                p, (0, -0.028 * tall, person.acromion + 0.002 * tall),
                (0.85 * s[0], s[1] - 0.004 * tall, s[2] + 0.008 * tall), 0.026 * tall + 0.5 * pad, 0.020 * tall + 0.5 * pad,
            )
            for s in (left, right)
        ]  # fmt: skip
        back, top = joints["chest"][1], person.acromion
        blades = [
            capsule(
                p,
                (sign * 0.05 * tall, back - 0.36 * person.chest[1], top - 0.075 * tall),
                (sign * 0.045 * tall, back - 0.30 * person.chest[1], top - 0.13 * tall),
                0.034 * tall + 0.6 * ease,
            )
            for _, sign in SIDES
        ]
        solid = join(34, solid, join(20, join(14, *slopes), yoke), join(10, *blades))
        sleeves = []
        for side, _ in SIDES:
            s, e, w = (joints[f"{bone}.{side}"] for bone in ("shoulder", "forearm", "hand"))
            r = [a + b * tall for a, b in zip(person.arm, cutting.sleeve, strict=True)]
            r[1] = person.arm[1] + cutting.sleeve[1] * tall
            past = w + 0.22 * (w - e)
            sleeves.append(chain(p, [(*s, r[0] + 2), (*e, r[1]), (*w, r[2]), (*past, r[2])], 16))
        up = (
            np.array([0.0, -0.026 * tall, person.acromion]),
            np.array([0.0, -0.006 * tall, person.acromion + 0.085 * tall]),
        )
        stub = capsule(p, tuple(up[0]), tuple(up[1]), person.neck + (cutting.neck - 0.014) * tall)
        return join(16, join(26, solid, stub), join(0, *sleeves))

    return shape


def top_cuts(name: PersonName, cutting: Cutting) -> list[Cut]:
    person, joints = rest(name).person, rest(name).joints
    tall, hem = person.stature, cutting.hem * person.hip
    cuts = [
        Cut(np.array([0.0, 0.0, hem]), np.array([0.0, 0.0, -1.0]), 0.4 * tall, 0.012 * tall),
        neck_cut(person, cutting),
    ]
    for side, _ in SIDES:
        elbow, wrist = joints[f"forearm.{side}"], joints[f"hand.{side}"]
        along = (wrist - elbow) / np.linalg.norm(wrist - elbow)
        cuts.append(Cut(wrist + 0.004 * tall * along, along, 0.09 * tall, 0.020 * tall))
    return cuts


def neck_cut(person: Person, cutting: Cutting) -> Cut:
    """The plane of the neck's opening; higher behind than in front."""
    tall = person.stature
    low = 1.0 if cutting.neck < 0.028 else 1.6
    middle = np.array([0.0, -0.018 * tall, person.acromion + (0.043 - 0.007 * low) * tall])
    outward = np.array([0.0, 0.40 * low, 1.0])
    return Cut(middle, outward / np.linalg.norm(outward), 0.12 * tall, 0.012 * tall)


def trouser_shape(name: PersonName, *, tight: bool = False) -> Callable[[Floats], Floats]:
    person, joints = rest(name).person, rest(name).joints
    tall = person.stature
    heights, breadth, depth, forward = trunk_table(person, joints)
    # Tights are seen below a skirt; what it covers keeps well inside.
    room = -0.008 * tall if tight else 0.0065 * tall
    top = heights[3]

    def shape(p: Floats) -> Floats:
        legs = []
        for side, _ in SIDES:
            hip, knee, ankle = (joints[f"{bone}.{side}"] for bone in ("thigh", "shin", "foot"))
            thigh, at_knee, calf, at_ankle = person.leg
            past = ankle * np.array([1, 1, 0]) + (0, 0, -0.02 * tall)
            if tight:
                back = np.array([0.0, -0.008 * tall, 0.0])
                rows = [(*hip, thigh + room), (*(0.6 * hip + 0.4 * knee), 0.92 * thigh + 0.5 * room), (*knee, at_knee),
                        (*(0.7 * knee + 0.3 * ankle + back), calf), (*ankle, at_ankle), (*past, at_ankle)]  # fmt: skip
                legs.append(chain(p, rows, 16) - 1.5)
            else:
                loose = max(calf, 0.9 * at_knee) + 1.4 * room
                rows = [
                    (*hip, thigh + 0.6 * room),
                    (*(0.55 * hip + 0.45 * knee), 0.93 * thigh + room),
                    (*knee, at_knee + 1.5 * room),
                    (*(0.6 * knee + 0.4 * ankle), loose),
                    (*past, 0.92 * loose),
                ]
                legs.append(chain(p, rows, 16))
        trunk = tube(p, heights, breadth + room, depth + room, forward)
        trunk = meet(10, trunk, p[:, 2] - top, (heights[0] - 0.01 * tall) - p[:, 2])
        return join(20, trunk, join(6, *legs))

    return shape


def trouser_cuts(name: PersonName) -> list[Cut]:
    joints, tall = rest(name).joints, rest(name).person.stature
    cuts = []
    for side, _ in SIDES:
        x, y, _ = joints[f"foot.{side}"]
        cuts.append(
            Cut(np.array([x, y, 0.026 * tall]), np.array([0.0, 0.0, -1.0]), 0.085 * tall, 0.008 * tall)
        )
    return cuts
