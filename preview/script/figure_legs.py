"""Figure's legs: how they give to a seat of another height, and to ground that is not level."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from preview.script.skeleton import SIDES, Side, Skeleton, bent

Floats = NDArray[np.float64]

SHINS = (-0.45, 0.50)
"""How steeply a thigh may hang from a high seat or rise from a low one, as a sine."""


def seated(stored: Skeleton, eyes: float) -> Skeleton:
    """Sitting with the eyes at another height, mm: the thighs slope and the shins stand where they come to."""
    joints, turns = dict(stored.joints), dict(stored.turns)
    change = eyes - joints["head"][2]
    for joint in joints:
        if joint.split(".")[0] not in ("shin", "foot"):
            joints[joint] = joints[joint] + (0.0, 0.0, change)
    for side, _ in SIDES:
        hip, knee = joints[f"thigh.{side}"], joints[f"shin.{side}"]
        before = knee - stored.joints[f"thigh.{side}"]
        long = float(np.linalg.norm(before))
        fall = float(np.clip((knee[2] - hip[2]) / long, *SHINS)) * long
        flat = np.array([before[0], before[1], 0.0])
        after = flat / np.linalg.norm(flat) * np.sqrt(long**2 - fall**2) + (0.0, 0.0, fall)
        turns[f"thigh.{side}"] = swing(before, after) @ turns[f"thigh.{side}"]
        moved = hip + after - knee
        for bone in ("shin", "foot"):
            joints[f"{bone}.{side}"] = joints[f"{bone}.{side}"] + moved
    return replace(stored, joints=joints, turns=turns)


def on_uneven(stored: Skeleton, heights: Mapping[Side, float]) -> Skeleton:
    """With the ground under each foot so much higher, mm, than level: the body goes down to the lower foot, and the other
    leg bends."""
    if not any(abs(height) > 1.0 for height in heights.values()):
        return stored
    joints, turns = dict(stored.joints), dict(stored.turns)
    down = min(0.0, *heights.values())
    for joint in joints:
        if joint.split(".")[0] not in ("shin", "foot"):
            joints[joint] = joints[joint] + (0.0, 0.0, down)
    for side, _ in SIDES:
        before = [stored.joints[f"{joint}.{side}"] for joint in ("thigh", "shin", "foot")]
        hip, goal = joints[f"thigh.{side}"], before[2] + (0.0, 0.0, heights[side])
        thigh, shin = (float(np.linalg.norm(b - a)) for a, b in pairwise(before))
        pole = before[1] - 0.5 * (before[0] + before[2]) + (0.0, 1.0, 0.0)
        knee, ankle = bent(hip, goal, thigh, shin, pole)
        turns[f"thigh.{side}"] = swing(before[1] - before[0], knee - hip) @ turns[f"thigh.{side}"]
        turns[f"shin.{side}"] = swing(before[2] - before[1], ankle - knee) @ turns[f"shin.{side}"]
        joints[f"shin.{side}"], joints[f"foot.{side}"] = knee, ankle
    return replace(stored, joints=joints, turns=turns)


def swing(start: Floats, end: Floats) -> Floats:
    """The smallest turn (3, 3) that takes one direction to another."""
    a, b = start / np.linalg.norm(start), end / np.linalg.norm(end)
    axis = np.cross(a, b)
    cross = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    result: Floats = np.eye(3) + cross + cross @ cross / max(1.0 + float(a @ b), 1e-6)
    return result
