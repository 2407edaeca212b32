"""Skeleton: where a person's joints are and how its bones are turned in a pose, in millimetres.

x to the figure's right, y forward, z up from the ground; the point between the pupils stands over the origin.
`left` is at negative x.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from preview.script.people import PEOPLE, Person, PersonName

Floats = NDArray[np.float64]
Side = Literal["left", "right"]
SIDES: tuple[tuple[Side, float], ...] = (("left", -1.0), ("right", 1.0))
Triple = tuple[float, float, float]
Hand = Literal["easy", "grip", "spread"]

TORSO = ("pelvis", "waist", "chest")
LIMBS = ("shoulder", "arm", "forearm", "thigh", "shin", "hand", "foot")
BONES: tuple[str, ...] = (*TORSO, *(f"{limb}.{side}" for side, _ in SIDES for limb in LIMBS))
"""`shoulder` is the upper end of the upper arm, which does not roll with it."""


@dataclass(frozen=True)
class Limbs:
    """One side of a pose. Where a wrist is from its shoulder, in arms' lengths; an ankle, in heights of the hip."""

    wrist: Triple
    """From the joint of the shoulder; x outward, y forward, z up, in the axes of the body unless `of_body` is false."""
    elbow: Triple
    """Which way the elbow points; x outward."""
    palm: Triple
    """Which way the palm faces; x outward."""
    fingers: Triple
    """Which way the fingers point; x outward."""
    ankle: tuple[float, float]
    """x outward from the middle, y forward, of the heel's ground point under the ankle."""
    toes_out: float = 10.0
    """Degrees that the foot turns outward."""
    heel_up: float = 0.0
    """Degrees that the foot stands on its ball; below nought, on its heel."""
    toes_bent: float = 0.0
    """Degrees that the toes lie back flat on the ground while the heel is up."""
    lifted: float = 0.0
    """How far the ankle is above its place on the ground, in heights of the hip."""
    knee: Triple = (0.12, 1.0, 0.0)
    """Which way the knee points; x outward."""
    raised: float = 0.0
    """How far the shoulder is raised, in hundredths of stature."""
    hand: Hand = "easy"


@dataclass(frozen=True)
class Pose:
    left: Limbs
    right: Limbs
    hips: Triple
    """Where the middle of the hips is: right, forward (in heights of the hip), and its height as a share of standing."""
    pelvis: Triple = (0.0, 0.0, 0.0)
    """Degrees: bent forward, down on the right, turned to the left."""
    waist: Triple = (0.0, 0.0, 0.0)
    """The same of the small of the back against the pelvis."""
    chest: Triple = (0.0, 0.0, 0.0)
    """The same of the chest against the small of the back."""
    head: Triple = (0.0, 0.0, 0.0)
    """The same of the head against the level and the figure's front, before it is turned by the script."""
    upright: bool = False
    """As tall as the person is."""
    on_seat: bool = False


@dataclass(frozen=True)
class Skeleton:
    """`joints` (3,) mm by name; `turns` (3, 3) by bone, from the rest pose; bones turn about the joint of their name."""

    person: Person
    joints: Mapping[str, Floats]
    turns: Mapping[str, Floats]
    hands: Mapping[str, Floats]
    """Axes (3, 3) of each hand, as columns: across the palm, out of its back, along the fingers."""

    def moved(self, bone: str, points: Floats, rest: Skeleton) -> Floats:
        """Points (n, 3) or (3,) of the rest pose as the bone takes them."""
        result: Floats = (points - rest.joints[bone]) @ self.turns[bone].T + self.joints[bone]
        return result


def turn(bent: float, down: float, left: float) -> Floats:
    """Matrix (3, 3) of degrees: bent forward about x, down on the right about y, then turned to the left about z."""
    (cx, cy, cz) = np.cos(np.radians([-bent, down, left]))
    (sx, sy, sz) = np.sin(np.radians([-bent, down, left]))
    about_x = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])
    about_y = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
    about_z = np.array([[cz, -sz, 0], [sz, cz, 0], [0, 0, 1]])
    result: Floats = about_z @ about_y @ about_x
    return result


def _unit(vector: Floats) -> Floats:
    result: Floats = vector / np.linalg.norm(vector)
    return result


def _frame(along: Floats, aside: Floats) -> Floats:
    """Columns: across (near `aside`), the third, along."""
    along = _unit(along)
    across = _unit(aside - (aside @ along) * along)
    return np.stack([across, np.cross(along, across), along], axis=1)


def _swing(start: Floats, end: Floats) -> Floats:
    """The smallest turn (3, 3) that takes one direction to another."""
    a, b = _unit(start), _unit(end)
    axis = np.cross(a, b)
    cosine = float(a @ b)
    cross = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    result: Floats = np.eye(3) + cross + cross @ cross / max(1.0 + cosine, 1e-6)
    return result


def bent(root: Floats, end: Floats, first: float, second: float, pole: Floats) -> tuple[Floats, Floats]:
    """The middle joint and the end of a limb of two bones that reaches for `end`, or as near as it can."""
    span = end - root
    reach = float(np.clip(np.linalg.norm(span), abs(first - second) + 1.0, 0.998 * (first + second)))
    along = _unit(span)
    aside = _unit(pole - (pole @ along) * along)
    share = (first**2 + reach**2 - second**2) / (2.0 * reach)
    height = np.sqrt(max(first**2 - share**2, 0.0))
    return root + share * along + height * aside, root + reach * along


REST_ARM = np.radians(38.0)
"""How far the arms of the rest pose stand off the sides."""
REST = Pose(
    left=Limbs(
        (float(np.sin(REST_ARM)), 0.03, -float(np.cos(REST_ARM))), (0.0, -1.0, 0.0), (-0.7, 0.0, -0.7), (0.6, 0, -0.8),
        (0.125, -0.022), 0.0,
    ),
    right=Limbs(
        (float(np.sin(REST_ARM)), 0.03, -float(np.cos(REST_ARM))), (0.0, -1.0, 0.0), (-0.7, 0.0, -0.7), (0.6, 0, -0.8),
        (0.125, -0.022), 0.0,
    ),
    hips=(0.0, 0.0, 1.0),
)  # fmt: skip
"""The pose in which clothes are cut: arms off the sides, legs a little apart."""


HEEL, BALL, BALL_HEIGHT = 0.24, 0.46, 0.06
"""Of the foot's length: the heel behind the ankle, the ball of the foot before it and above the sole, shod."""


@cache
def rest(name: PersonName) -> Skeleton:
    return posed(name, REST)


@cache
def posed(name: PersonName, pose: Pose) -> Skeleton:
    """The skeleton of a person in a pose, its feet on the ground and its head over the origin."""
    joints, turns, frames = _reached(name, pose)
    _, _, at_rest = _reached(name, REST)
    turns |= {bone: frame @ at_rest[bone].T for bone, frame in frames.items()}
    for side, _ in SIDES:
        over = turns["chest"] @ at_rest[f"arm.{side}"][:, 2]
        turns[f"shoulder.{side}"] = _swing(over, frames[f"arm.{side}"][:, 2]) @ turns["chest"]
    away = np.array([joints["head"][0], joints["head"][1], 0.0])
    return Skeleton(
        PEOPLE[name],
        {joint: at - away for joint, at in joints.items()},
        turns,
        {side: frames[f"hand.{side}"] for side, _ in SIDES},
    )


def _reached(name: PersonName, pose: Pose) -> tuple[dict[str, Floats], dict[str, Floats], dict[str, Floats]]:
    """Joints; turns of the torso and the head; frames of the limbs."""
    person = PEOPLE[name]
    start = _joints_at_rest(person)
    right, forward, high = pose.hips
    root = np.array([right * person.hip, forward * person.hip + start["pelvis"][1], high * person.hip])
    joints: dict[str, Floats] = {"pelvis": root}
    turns: dict[str, Floats] = {"pelvis": turn(*pose.pelvis)}
    turns["waist"] = turns["pelvis"] @ turn(*pose.waist)
    turns["chest"] = turns["waist"] @ turn(*pose.chest)
    joints["waist"] = root + turns["pelvis"] @ (start["waist"] - start["pelvis"])
    joints["chest"] = joints["waist"] + turns["waist"] @ (start["chest"] - start["waist"])
    joints["neck"] = joints["chest"] + turns["chest"] @ (start["neck"] - start["chest"])
    turns["head"] = turn(*pose.head)
    # The head rides on a neck that bends half way to the head's own turn.
    nod = turns["chest"] @ _half(turns["chest"].T @ turns["head"])
    joints["head"] = joints["neck"] + nod @ (start["head"] - start["neck"])
    if pose.upright:
        joints["head"][2] = person.eye
    frames: dict[str, Floats] = {}
    for side, sign in SIDES:
        limbs = pose.left if side == "left" else pose.right
        outward = np.array([sign, 1.0, 1.0])
        hang = start[f"shoulder.{side}"] - start["chest"]
        raise_ = np.array([-0.3 * sign, 0.2, 1.0]) * limbs.raised * person.stature / 100
        shoulder = joints["chest"] + turns["chest"] @ (hang + raise_)
        body = turn(0.0, 0.0, pose.pelvis[2] + pose.waist[2] + pose.chest[2])
        _arm(joints, frames, person, limbs, side, shoulder, body * outward)
        hip = root + turns["pelvis"] @ (start[f"thigh.{side}"] - start["pelvis"])
        _leg(joints, frames, person, limbs, side, hip, outward)
    return joints, turns, frames


def _arm(
    joints: dict[str, Floats],
    frames: dict[str, Floats],
    person: Person,
    limbs: Limbs,
    side: Side,
    shoulder: Floats,
    body: Floats,
) -> None:
    """`body` (3, 3): from outward, forward, up to the figure's axes."""
    target = shoulder + body @ np.array(limbs.wrist) * (person.upper_arm + person.forearm)
    pole = body @ np.array(limbs.elbow)
    elbow, wrist = bent(shoulder, target, person.upper_arm, person.forearm, pole)
    hinge = np.cross(wrist - shoulder, pole)
    fingers, palm = body @ np.array(limbs.fingers), body @ np.array(limbs.palm)
    joints |= {
        f"shoulder.{side}": shoulder,
        f"arm.{side}": shoulder,
        f"forearm.{side}": elbow,
        f"hand.{side}": wrist,
    }
    frames |= {
        f"arm.{side}": _frame(elbow - shoulder, hinge),
        f"forearm.{side}": _frame(wrist - elbow, hinge),
        f"hand.{side}": _frame(fingers, np.cross(fingers, palm)),
    }


def _leg(
    joints: dict[str, Floats],
    frames: dict[str, Floats],
    person: Person,
    limbs: Limbs,
    side: Side,
    hip: Floats,
    outward: Floats,
) -> None:
    flat = turn(0.0, 0.0, -limbs.toes_out * outward[0])
    foot = flat @ turn(limbs.heel_up, 0.0, 0.0)
    # The foot turns about what it stands on: its ball when the heel is up, its heel when the toes are.
    about = (0.0, BALL, BALL_HEIGHT) if limbs.heel_up > 0 else (0.0, -HEEL, 0.0)
    pivot = np.array(about) * person.foot
    ankle = flat @ pivot + foot @ (np.array([0.0, 0.0, person.ankle]) - pivot)
    aside, forward = limbs.ankle
    place = np.array([aside * outward[0], forward, limbs.lifted]) * person.hip + ankle
    ahead = np.array(limbs.knee) * outward
    knee, end = bent(hip, place, person.hip - person.knee, person.knee - person.ankle, ahead)
    hinge = np.cross(ahead, end - hip)
    joints |= {f"thigh.{side}": hip, f"shin.{side}": knee, f"foot.{side}": end}
    frames |= {
        f"thigh.{side}": _frame(knee - hip, hinge),
        f"shin.{side}": _frame(end - knee, hinge),
        f"foot.{side}": foot,
    }


def _half(matrix: Floats) -> Floats:
    """The turn half way to `matrix`."""
    u, _, v = np.linalg.svd(matrix + np.eye(3))
    result: Floats = u @ v
    return result


def _joints_at_rest(person: Person) -> dict[str, Floats]:
    tall, hip, top = person.stature, person.hip, person.acromion
    joints = {
        "pelvis": (0.0, -0.006 * tall, hip),
        "waist": (0.0, -0.014 * tall, hip + 0.21 * (top - hip)),
        "chest": (0.0, -0.020 * tall, hip + 0.50 * (top - hip)),
        "neck": (0.0, -0.024 * tall, top + 0.020 * tall),
        "head": (0.0, 0.0, person.eye),
    }
    for side, sign in SIDES:
        joints[f"shoulder.{side}"] = (
            sign * (person.shoulders / 2 - 0.039 * tall),
            -0.016 * tall,
            top - 0.021 * tall,
        )
        joints[f"thigh.{side}"] = (sign * 0.255 * person.hips, -0.006 * tall, hip)
    return {name: np.array(at) for name, at in joints.items()}
