"""Clothes: jacket, trousers and shoes as distance shapes over a pose, in the millimetres of the pose."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.poses import SEAT, Leg, Pose
from preview.build.sculpt.shapes import (
    bump,
    capsule,
    carve,
    chain,
    ellipsoid,
    join,
    meet,
    rotation,
    step,
)

PosedShape = Callable[[Floats, Pose], Floats]

HEM = 812.0
TROUSER_END = 42.0


def _along(points: Floats, start: tuple[float, ...], end: tuple[float, ...]) -> Floats:
    """Distance along the line from start, mm."""
    axis = np.subtract(end, start)
    result: Floats = (points - np.asarray(start)) @ (axis / np.linalg.norm(axis))
    return result


def _folds(points: Floats, at: tuple[float, ...], along: Floats, reach: float, wave: float) -> Floats:
    """Creases across a limb round a joint, between -1 and 1."""
    x, y, z = points.T
    bent = along + 0.35 * (x - at[0]) + 0.25 * np.sin((y + z) * 0.03) * wave
    creases = np.sin(bent * 2 * np.pi / wave)
    return bump(points, at, (reach, reach, reach)) * creases


def _sleeves(points: Floats, pose: Pose) -> Floats:
    sleeves = []
    for arm in pose.arms:
        sleeve = chain(points, [(*arm.shoulder, 59), (*arm.elbow, 51), (*arm.wrist, 42)], 18)
        along = _along(points, arm.elbow, arm.wrist)
        length = float(np.linalg.norm(np.subtract(arm.wrist, arm.elbow)))
        sleeve = sleeve - 3.2 * _folds(points, arm.elbow, along, 85.0, 34.0)
        sleeve = sleeve - 2.0 * _folds(points, arm.wrist, along, 80.0, 26.0) * step(-20, -60, along - length)
        cuff = capsule(points, arm.elbow, arm.wrist, 46.0, 46.0)
        cuff = meet(3, cuff, length - 42 - along)
        cut = along - length + 4
        sleeves.append(meet(6, join(2, sleeve, cuff), cut))
    return join(4, *sleeves)


def _torso(points: Floats, pose: Pose) -> Floats:
    lifted = points + np.array([0, 0, pose.drop])
    chest = ellipsoid(lifted, (0, -22, 1285), (162, 116, 170))
    belly = ellipsoid(lifted, (0, -14, 1080), (152, 114, 230))
    left, right = (np.asarray(arm.shoulder) for arm in pose.arms)
    yoke = join(
        20,
        chain(points, [(*left, 57), (-110, -38, 1384 - pose.drop, 66), (0, -46, 1392 - pose.drop, 76)], 15),
        chain(points, [(*right, 57), (110, -38, 1390 - pose.drop, 66), (0, -46, 1392 - pose.drop, 76)], 15),
        chain(lifted, [(50, -52, 1474, 24), (140, -36, 1414, 32)], 0),
        chain(lifted, [(-50, -52, 1474, 24), (-140, -36, 1408, 32)], 0),
    )
    blades = join(
        10,
        ellipsoid(lifted, (80, -95, 1330), (70, 38, 95)),
        ellipsoid(lifted, (-80, -95, 1330), (70, 38, 95)),
    )
    return join(45, join(60, chest, belly), join(30, yoke, blades))


def _skirt(points: Floats, pose: Pose) -> Floats:
    """The jacket below the waist."""
    lifted = points + np.array([0, 0, pose.drop])
    back = -46 if pose.sitting else -20
    hips = ellipsoid(lifted, (-3, back, 890), (184, 138, 250))
    if not pose.sitting:
        flutter = (
            3.5 * np.sin(np.arctan2(points[:, 0], points[:, 1] + 18) * 7 + 0.4) * step(960, 820, points[:, 2])
        )
        return meet(6, hips - flutter, HEM + 0.05 * points[:, 0] - points[:, 2])
    laps = []
    for leg in pose.legs:
        lap = capsule(points, leg.hip, leg.knee, 96, 84)
        along = _along(points, leg.hip, leg.knee)
        laps.append(meet(8, lap - 3.0 * _folds(points, leg.hip, along, 130.0, 46.0), along - 175))
    return meet(6, join(30, hips, *laps), SEAT + 1 - points[:, 2])


def _front(points: Floats, pose: Pose) -> Floats:
    """How much the front's lapels, overlap and buttons stand out, mm."""
    lifted = points + np.array([0, 0, pose.drop])
    x, y, z = lifted.T
    ahead = step(20, 50, y)
    # The opening is a V from the collar down to the top button.
    half_opening = np.clip((z - 1225) * 0.36, -60, 200)
    lapel_edge = half_opening + np.interp(z, (1225, 1330, 1350, 1356, 1440), (0, 52, 60, 40, 46))
    aside = np.abs(x)
    lapel = step(-3, 3, aside - half_opening) * step(4, -4, aside - lapel_edge) * step(1222, 1236, z)
    coat = step(-3, 3, aside - half_opening) * step(1225, 1240, z)
    below = step(1240, 1225, z)
    overlap = 4.0 * below * step(16, 8, x) * step(-150, -20, x)
    buttons = sum(
        (4.0 * step(11, 8, np.hypot(x, z - at)) for at in (1205.0, 1105.0, 1005.0)), np.zeros(len(points))
    )
    opening = -7.0 * step(3, -3, aside - half_opening) * step(1225, 1240, z)
    return ahead * (4.5 * lapel + 1.0 * coat + overlap + buttons + opening)


def jacket(points: Floats, pose: Pose) -> Floats:
    lifted = points + np.array([0, 0, pose.drop])
    x, y, z = lifted.T
    body = join(30, _torso(points, pose), _skirt(points, pose))
    waist = np.exp(-(((z - 1085) / 95) ** 2))
    drag = np.sin(0.055 * z + 0.03 * np.abs(x) + 0.5 * np.sin(0.02 * x)) + 0.6 * np.sin(
        0.09 * z - 0.05 * x + 1.0
    )
    body = body - 2.0 * waist * drag
    back_seam = np.exp(-((x / 4.0) ** 2)) * step(-40, -70, y) * step(1440, 1400, z)
    body = body + 0.7 * back_seam
    body = body - _front(points, pose)
    under_arm = sum(
        (
            2.5
            * _folds(points, (arm.shoulder[0] * 0.8, arm.shoulder[1], arm.shoulder[2] - 90), z * 0.6, 70, 30)
            for arm in pose.arms
        ),
        np.zeros(len(points)),
    )
    solid = join(14, body, _sleeves(points, pose)) - under_arm
    collar = _collar(lifted)
    return carve(4, join(5, solid, collar), _throat(lifted))


def _throat(lifted: Floats) -> Floats:
    """The room that the neck needs."""
    return chain(lifted, [(0, -40, 1455, 63), (0, -38, 1500, 64), (0, -30, 1560, 72)], 0)


def _collar(lifted: Floats) -> Floats:
    """A turned-down collar: a band that slopes to the front and splits there."""
    tilted = (lifted - np.array([0, -38, 1474])) @ rotation(about_x=17).T
    x, y, z = tilted.T
    spread = np.hypot(x / 1.04, y / 1.06)
    flare = 70.0 + 0.16 * np.maximum(0.0, 12.0 - z)
    band = meet(3, np.abs(spread - flare) - 6.5, np.abs(z + 16) - 44)
    gap = 14.0 - np.abs(x) + 0.5 * np.minimum(z, 8.0)
    split = np.where(y > 0, gap, -30.0)
    return meet(5, band, split)


def _foot_frame(points: Floats, leg: Leg) -> Floats:
    side = 1.0 if leg.ankle[0] > 0 else -1.0
    local = (points - np.array([leg.ankle[0], leg.ankle[1], 0.0])) @ rotation(about_z=-side * leg.toes_out)
    local[:, 0] *= side
    return local


def shoes(points: Floats, pose: Pose) -> Floats:
    pair = []
    for leg in pose.legs:
        local = _foot_frame(points, leg)
        heel = ellipsoid(local, (0, -38, 40), (36, 42, 48))
        vamp = chain(local, [(0, -10, 70, 38), (0, 60, 44, 36), (2, 120, 30, 38)], 12)
        ball = ellipsoid(local, (4, 118, 26), (49, 62, 34))
        toe = ellipsoid(local, (-1, 166, 22), (38, 44, 27))
        upper = join(18, heel, vamp, ball, toe)
        outline = np.minimum(
            np.hypot(local[:, 0] / 38, (local[:, 1] + 40) / 46) - 1,
            np.hypot((local[:, 0] - 3) / 51, (local[:, 1] - 120) / 96) - 1,
        )
        waist = np.hypot(local[:, 0] / 40, (local[:, 1] - 30) / 120) - 1
        sole = meet(3, np.minimum(outline, waist) * 40, local[:, 2] - 20)
        top = local[:, 2] - 118
        arch = ellipsoid(local, (0, 22, -2), (80, 26, 12))
        pair.append(carve(4, meet(4, join(2, upper, sole), -local[:, 2], top), arch))
    return join(0, *pair)


def trousers(points: Floats, pose: Pose) -> Floats:
    x, y, z = points.T
    legs = []
    for leg in pose.legs:
        end = (leg.ankle[0], leg.ankle[1] + 8, TROUSER_END - 30)
        radii = (78, 66, 58) if not pose.sitting else (86, 70, 58)
        limb = chain(points, [(*leg.hip, radii[0]), (*leg.knee, radii[1]), (*end, radii[2])], 30)
        shin = _along(points, leg.knee, leg.ankle)
        limb = limb - (3.5 if pose.sitting else 1.6) * _folds(points, leg.knee, shin, 95, 40)
        limb = limb - 3.0 * _folds(points, (end[0], end[1], 95), shin + 0.3 * y, 80, 44)
        middle = np.interp(z, (end[2], leg.knee[2], leg.hip[2]), (end[0], leg.knee[0], leg.hip[0]))
        front = np.interp(z, (end[2], leg.knee[2], leg.hip[2]), (end[1], leg.knee[1], leg.hip[1]))
        crease = np.exp(-(((x - middle) / 7.0) ** 2)) * step(10, 40, np.abs(y - front)) * step(700, 600, z)
        limb = limb - 3.0 * crease * step(110, 170, z)
        hem = TROUSER_END + 0.28 * (y - leg.ankle[1] - 10)
        legs.append(meet(5, limb, hem - z))
    hip_height = (pose.legs[0].hip[2] + pose.legs[1].hip[2]) / 2
    pelvis = ellipsoid(points, (-2, pose.legs[0].hip[1] - 8, hip_height + 30), (150, 112, 130))
    solid = join(26, pelvis, join(8, *legs))
    if pose.sitting:
        return meet(10, solid, np.where(y < 330, SEAT - z, -50.0))
    return solid
