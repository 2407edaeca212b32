"""Hands: palm, fingers and thumb as one distance shape over a pose, in the millimetres of the pose."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.poses import Arm, Pose
from preview.build.sculpt.shapes import chain, ellipsoid, join

FINGERS = ((27.0, 87.0, 74.0, 8.6), (9.5, 91.0, 84.0, 9.0), (-8.5, 89.0, 78.0, 8.6), (-25.0, 83.0, 62.0, 7.6))
"""Of the index to the little finger: knuckle towards the thumb, knuckle along the hand, length, radius."""


def _hand(points: Floats, arm: Arm, curl: float) -> Floats:
    """In the hand's frame: u towards the thumb, v along the fingers, w out of the palm."""
    v = np.subtract(arm.fingers, arm.wrist)
    v = v / np.linalg.norm(v)
    palm = np.asarray(arm.palm, dtype=float)
    w = palm - (palm @ v) * v
    w /= np.linalg.norm(w)
    left = arm.shoulder[0] < 0
    u = np.cross(v, w) if left else np.cross(w, v)
    local = (points - np.asarray(arm.wrist)) @ np.stack([u, v, w], axis=1)
    wrist = chain(local, [(0, -70, -2, 27), (0, 6, 0, 25)], 0)
    back = join(
        12,
        ellipsoid(local, (12, 46, 0), (26, 52, 15)),
        ellipsoid(local, (-13, 46, 0), (26, 50, 15)),
        ellipsoid(local, (0, 80, -1), (38, 16, 12)),
    )
    heel = ellipsoid(local, (20, 34, 9), (16, 30, 13))
    solid = join(14, wrist, join(8, back, heel))
    fingers = []
    for across, start, length, radius in FINGERS:
        bend, tip = np.radians(curl), np.radians(2.2 * curl)
        first = np.array([across, start, 0.0])
        second = first + length * 0.5 * np.array([0.0, np.cos(bend), np.sin(bend)])
        third = second + length * 0.5 * np.array([0.0, np.cos(tip), np.sin(tip)])
        fingers.append(chain(local, [(*first, radius + 1.2), (*second, radius), (*third, radius - 1.6)], 3))
    thumb = chain(local, [(20, 22, 8, 13), (40, 58, 12, 11), (42, 92, 14, 8.5)], 5)
    return join(7, solid, join(1.5, *fingers), thumb)


def hands(points: Floats, pose: Pose) -> Floats:
    curl = 12.0 if pose.sitting else 10.0
    return join(0, *(_hand(points, arm, curl) for arm in pose.arms))


def reach(pose: Pose) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """The box that holds both hands."""
    ends = np.array([p for arm in pose.arms for p in (arm.wrist, arm.fingers)])
    low, high = ends.min(axis=0) - 110, ends.max(axis=0) + 110
    return tuple(low), tuple(high)
