"""The plan of a figure: its skeleton as the script poses it, its head and eyes as they are turned, and its places.

Builders and named places share it. Eyes 0.936 and chest 0.72 of stature, and sitting eyes 0.46 of it above the seat,
from memory of anthropometric tables (adults).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import atan2, hypot

import numpy as np
from numpy.typing import NDArray

from preview.script.figure_legs import on_uneven, seated
from preview.script.models.cast import Figure
from preview.script.people import PEOPLE
from preview.script.poses import POSES
from preview.script.skeleton import SIDES, Side, Skeleton, posed, rest

Floats = NDArray[np.float64]
Point = tuple[float, float, float]
Footing = Callable[[float, float], float]

CHEST = 0.72
EYES_ABOVE_SEAT = 0.46
FACE_FORWARD = 0.070
"""Of stature, from the axis of the head to the skin on the bridge of the nose."""
FACE_BELOW_EYES = 0.016
CHEST_FORWARD = 0.058
"""Of stature, from the axis of the body to the front of the clothes."""
EYES_FORWARD = 0.09
"""Metres from the axis of a grown man's head to just before the eyes."""
NAPE = np.array([0.0, -15.0, -75.0])
"""Where a man's head turns on the neck, mm about the point between the pupils."""
HELD = np.array([2.0, 92.0, 26.0])
"""Where in a man's hand what it grips is, mm from the wrist: to the thumb, along the fingers, out of the palm."""
FOOT_FORWARD = 0.035
"""Of stature, from the ankle to the middle of the foot."""
PALM = np.array([0.0, 70.0, 14.0])
LANTERN_BELOW = 0.235
"""Metres from the gripped handle down to the middle of the globe of a lantern of usual size."""
NECK = 70.0
"""Degrees that a head turns to look at something; the eyes take the rest."""
UP_AND_DOWN = 45.0
EYES_TURN, EYES_RISE = 40.0, 30.0
"""Degrees that eyes turn in a head, from memory: past that the head would follow."""


@dataclass(frozen=True)
class Stance:
    """A figure as it stands: millimetres of its person in its own axes, and where those are in the world."""

    figure: Figure
    skeleton: Skeleton
    stored: Skeleton
    """The skeleton as the pose has it, before what the script asks of it."""
    size: float
    """Metres a millimetre."""
    azimuth: float
    turn: float = 0.0
    """Degrees of the head to the right, on the neck."""
    nod: float = 0.0
    """Degrees down, of the head so turned."""
    gazes: tuple[Floats, Floats] | None = None
    """Unit vectors (3,) of the left and the right eye, in the head's axes; None straight ahead."""

    @property
    def head_size(self) -> float:
        """Of the person's head against the man's."""
        return PEOPLE[self.figure.person].head / PEOPLE["man"].head

    @property
    def pivot(self) -> Floats:
        """What the head turns about, mm from the point between the pupils."""
        result: Floats = NAPE * self.head_size
        return result

    @property
    def nape(self) -> Floats:
        """The same in the figure's axes."""
        result: Floats = self.skeleton.joints["head"] + self.skeleton.turns["head"] @ self.pivot
        return result

    @property
    def head_turn(self) -> Floats:
        """(3, 3) from the head's axes to the figure's."""
        result: Floats = self.skeleton.turns["head"] @ yaw(self.turn) @ pitch(self.nod)
        return result

    def of_head(self, points: Floats) -> Floats:
        """Points (..., 3) of the head, mm about the point between its pupils, in the figure's axes."""
        result: Floats = self.nape + (points - self.pivot) @ self.head_turn.T
        return result

    @property
    def _place(self) -> Floats:
        return np.array([*self.figure.at, self.figure.height_of_ground])

    def world(self, points: Floats) -> Floats:
        """Points (..., 3) mm of the figure in the world, metres."""
        result: Floats = self.directed(points * self.size) + self._place
        return result

    def directed(self, vectors: Floats) -> Floats:
        """Vectors (..., 3) of the figure's axes in the world's."""
        cosine, sine = np.cos(self.azimuth), np.sin(self.azimuth)
        result: Floats = vectors @ np.array([[cosine, -sine, 0.0], [sine, cosine, 0.0], [0.0, 0.0, 1.0]])
        return result

    def to_figure(self, point: Floats) -> Floats:
        """A point (3,) of the world in the figure's axes, mm."""
        local = (point - self._place) / self.size
        cosine, sine = np.cos(self.azimuth), np.sin(self.azimuth)
        result: Floats = np.array([[cosine, -sine, 0.0], [sine, cosine, 0.0], [0.0, 0.0, 1.0]]) @ local
        return result


def yaw(right: float) -> Floats:
    """Matrix (3, 3) of a turn to the right, degrees."""
    c, s = np.cos(np.radians(right)), np.sin(np.radians(right))
    return np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])


def pitch(down: float) -> Floats:
    c, s = np.cos(np.radians(down)), np.sin(np.radians(down))
    return np.array([[1.0, 0.0, 0.0], [0.0, c, s], [0.0, -s, c]])


def stance(
    figure: Figure,
    azimuth: float,
    looks_at: Floats | None = None,
    gaze: Floats | None = None,
    *,
    footing: Footing | None = None,
) -> Stance:
    """`looks_at` and `gaze`: points (3,) of the world, metres, of the figure's keys of that name. `footing`: of a plan
    point, the height of what one stands on; the same all round when not given."""
    stored = posed(figure.person, POSES[figure.pose])
    size = figure.height / PEOPLE[figure.person].stature
    skeleton = stored
    if POSES[figure.pose].on_seat:
        skeleton = seated(stored, figure.seat / size + EYES_ABOVE_SEAT * stored.person.stature)
    elif footing is not None:
        skeleton = on_uneven(stored, _falls(Stance(figure, stored, stored, size, azimuth), footing))
    head = figure.head
    turn, nod = (0.0, 0.0) if head is None else (float(np.degrees(head.turn)), float(np.degrees(head.nod)))
    made = Stance(figure, skeleton, stored, size, azimuth, turn, nod)
    if looks_at is not None:
        made = _looking(made, made.to_figure(looks_at))
    seen = gaze if gaze is not None else looks_at
    return made if seen is None else replace(made, gazes=_gazes(made, made.to_figure(seen)))


def _falls(made: Stance, footing: Footing) -> dict[Side, float]:
    """How much higher than under the figure's head the ground under each foot is, mm of the person."""
    heights = {}
    for side, _ in SIDES:
        x, y, _z = made.world(made.stored.joints[f"foot.{side}"]).tolist()
        heights[side] = (footing(x, y) - made.figure.height_of_ground) / made.size
    return heights


def _looking(made: Stance, target: Floats) -> Stance:
    """The head turned to a point (3,) of the figure's axes, as far as a neck turns."""
    level = made.skeleton.turns["head"]
    for _ in range(4):
        x, y, z = level.T @ (target - made.of_head(np.zeros(3)))
        right = float(np.degrees(atan2(x, y)))
        down = float(-np.degrees(atan2(z, hypot(x, y))))
        turn, nod = np.clip(right, -NECK, NECK), np.clip(down, -UP_AND_DOWN, UP_AND_DOWN)
        made = replace(made, turn=float(turn), nod=float(nod))
    return made


def _gazes(made: Stance, target: Floats) -> tuple[Floats, Floats]:
    eyes = []
    for _, side in SIDES:
        centre = made.of_head(np.array([side * 31.0, 78.0, 0.0]) * made.head_size)
        x, y, z = made.head_turn.T @ (target - centre)
        right = np.clip(np.degrees(atan2(x, y)), -EYES_TURN, EYES_TURN)
        up = np.clip(np.degrees(atan2(z, hypot(x, y))), -EYES_RISE, EYES_RISE)
        eyes.append(yaw(float(right)) @ pitch(float(-up)) @ np.array([0.0, 1.0, 0.0]))
    return eyes[0], eyes[1]


def hand_points(skeleton: Skeleton, side: str, local: Floats) -> Floats:
    """Points (..., 3) of a man's right hand, mm: to the thumb, along the fingers, out of the palm; in the figure's axes."""
    across, back, along = skeleton.hands[side].T
    sign = 1.0 if side == "right" else -1.0
    size = skeleton.person.hand / PEOPLE["man"].hand
    result: Floats = skeleton.joints[f"hand.{side}"] + size * (
        local @ np.stack([sign * across, along, -back])
    )
    return result


def face_forward(figure: Figure) -> float:
    """Metres from the axis of the head to the skin on the bridge of the nose."""
    person, man = PEOPLE[figure.person], PEOPLE["man"]
    return FACE_FORWARD * man.stature * person.head / man.head * figure.height / person.stature


def top(figure: Figure) -> float:
    """Height of the crown of the head above the ground of the scene, metres."""
    made = stance(figure, 0.0)
    person = PEOPLE[figure.person]
    above = made.skeleton.joints["head"][2] + person.stature - person.eye
    return figure.height_of_ground + float(above) * made.size


def places(
    figure: Figure,
    azimuth: float,
    looks_at: Floats | None = None,
    gaze: Floats | None = None,
    *,
    footing: Footing | None = None,
) -> Mapping[str, tuple[Point, Point]]:
    """Places and the way they face, world: `middle` (in the body, at chest height), `face`, `eyes`, `chest`, `feet`,
    `hand.left`, `hand.right`, and `lantern` of one who holds it."""
    made = stance(figure, azimuth, looks_at, gaze, footing=footing)
    skeleton, start = made.skeleton, rest(figure.person)
    tall, head = start.person.stature, made.head_size
    man = PEOPLE["man"].stature
    ahead, up = np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0])
    face = made.head_turn @ ahead
    looking = face
    if made.gazes is not None:
        looking = made.head_turn @ (made.gazes[0] + made.gazes[1])
        looking = looking / np.linalg.norm(looking)
    breast = skeleton.turns["chest"] @ ahead * (1, 1, 0)
    breast = breast / np.linalg.norm(breast)
    feet = 0.5 * (skeleton.joints["foot.left"] + skeleton.joints["foot.right"])
    lowest = min(
        skeleton.joints[f"foot.{side}"][2] - made.stored.joints[f"foot.{side}"][2] for side, _ in SIDES
    )
    feet = np.array([feet[0], feet[1] + FOOT_FORWARD * tall, lowest])
    if figure.pose in ("stand", "lantern"):
        feet = np.zeros(3)
    found = {
        "middle": (skeleton.moved("chest", np.array([0.0, 0.0, CHEST * tall]), start), ahead),
        "face": (made.of_head(np.array([0.0, FACE_FORWARD * man, -FACE_BELOW_EYES * man]) * head), face),
        "eyes": (made.of_head(np.array([0.0, 1000 * EYES_FORWARD * head, 0.0])), looking),
        "chest": (
            skeleton.moved("chest", np.array([0.0, CHEST_FORWARD * tall, CHEST * tall]), start),
            breast,
        ),
        "feet": (feet, ahead),
    }
    for side, _ in SIDES:
        found[f"hand.{side}"] = (hand_points(skeleton, side, PALM), -skeleton.hands[side][:, 1])
    if figure.pose == "lantern":
        found["lantern"] = (
            hand_points(skeleton, "right", HELD) - up * LANTERN_BELOW / made.size,
            ahead,
        )
    return {name: (_point(made.world(at)), _point(made.directed(way))) for name, (at, way) in found.items()}


def _point(array: Floats) -> Point:
    x, y, z = array.tolist()
    return x, y, z
