"""Nose, lips, ears and neck as distance shapes, in the man's millimetres."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.head_faces import Face
from preview.build.sculpt.shapes import (
    bump,
    capsule,
    carve,
    chain,
    ellipsoid,
    join,
    meet,
    mirrored,
    rotation,
    step,
)


def nose(p: Floats, skin: Floats, tip: float) -> Floats:
    """The skin with a nose on it; `tip` mm that its tip turns up."""
    p = p.copy()
    lift = tip * step(-22.0, -40.0, p[:, 2]) * step(92.0, 108.0, p[:, 1])
    p[:, 2] -= lift
    # A saddle: the ridge of one's nose sinks a little where its tip turns up.
    sink = 0.6 * tip
    ridge = chain(
        p,
        [
            (0, 81.6, 10, 5.8),
            (0, 86.6 - 0.3 * sink, -1, 5.4),
            (0, 93.4 - sink, -16, 6.2),
            (0, 100.2 - sink, -28, 7.0),
        ],
        8,
    )
    side = chain(p, [(5, 77, 4, 5), (6.8, 82, -12, 7.6), (8.0, 89, -28, 8.0)], 8)
    ball = join(
        4, ellipsoid(p, (3.0, 106.2, -38.0), (6.0, 7.8, 6.6)), ellipsoid(p, (0, 102, -34), (8.0, 8.6, 7.6))
    )
    column = capsule(p, (0, 107.0, -43.0), (0, 93, -47.0), 3.4, 4.2)
    skin = join(11, skin, join(12, ridge, side))
    skin = join(7, skin, ball)
    skin = join(3.2, skin, column)
    turn = rotation(about_z=20, about_x=-12)
    wing = ellipsoid((p - np.array([11.4, 97.0, -41.5])) @ turn, (0, 0, 0), (5.0, 9.4, 6.2))
    skin = join(5.5, skin, wing)
    hole = (p - np.array([6.4, 100.5, -48.4])) @ rotation(about_z=24, about_x=-16)
    skin = carve(1.6, skin, ellipsoid(hole, (0, 0, 0), (2.8, 6.0, 5.0)))
    # Where the wing meets cheek and nose.
    crease = np.hypot((p[:, 1] - 98.5) / 1.4, p[:, 2] + 41.5) - 7.4
    groove = (
        np.exp(-((crease / 1.7) ** 2))
        * step(8.5, 13.0, p[:, 0])
        * step(22.0, 17.0, p[:, 0])
        * step(-49, -43, p[:, 2])
    )
    return skin + 0.75 * groove


def lips(p: Floats, skin: Floats, full: float) -> Floats:
    """The skin with lips; the mouth's line is at a height of about nought here, corners at 26.5."""
    x, y, z = p.T
    philtrum = np.exp(-((x / 3.0) ** 2)) * step(3.5, 8.0, z) * step(21.0, 17.0, z)
    column = np.exp(-(((x - 5.6) / 2.2) ** 2)) * step(4.5, 8.0, z) * step(20.0, 16.0, z)
    front = step(70.0, 80.0, y)
    skin = skin + front * (1.1 * philtrum - 0.5 * column)
    f = full
    upper = chain(
        p,
        [
            (0, 91.8, 3.0 * f, 5.0 * f),
            (5.0, 91.7, 3.8 * f, 5.0 * f),
            (12, 89.0, 2.6 * f, 4.2 * f),
            (19, 85.6, 0.8, 3.0 * f),
            (25.0, 81.6, -0.3, 1.4),
        ],
        3,
    )
    lower = chain(
        p,
        [
            (0, 90.0, -5.6 * f, 6.0 * f),
            (7, 89.2, -5.4 * f, 5.8 * f),
            (14, 86.2, -4.0 * f, 4.6 * f),
            (20.5, 83.8, -2.0, 2.6 * f),
            (25.0, 81.4, -0.7, 1.2),
        ],
        3,
    )
    edge = 2.2
    skin = join(edge, skin, upper)
    skin = join(3.0, skin, lower)
    line = np.interp(x, (0, 3, 8, 15, 22, 30), (-1.0, -0.7, -0.1, -0.2, -0.6, -1.0))
    slot = np.exp(-(((z - line) / 1.25) ** 2)) * step(26.8, 20.0, x) * front
    shadow = np.exp(-(((z - line) / 3.6) ** 2)) * step(29, 15, x) * front
    corner = bump(p, (26.2, 82.0, -1.0), (2.6, 8.0, 3.0))
    below = np.exp(-(((z + 15.5 * f) / 4.0) ** 2)) * step(17.0, 4.0, x) * front
    return skin + 1.4 * slot + 0.45 * shadow + 1.2 * corner + 0.8 * below


def ear(p: Floats) -> Floats:
    """An ear 63 high leaning back and standing off the head."""
    turn = rotation(about_x=10) @ rotation(about_y=7, about_z=20)
    local = (p - np.array([72.5, -19.0, -14.0])) @ turn
    out, along, up = local.T
    # The rim is wider above than below.
    width = 17.0 - 4.0 * step(5.0, -30.0, up)
    reach = np.sqrt((along / width) ** 2 + (up / 30.0) ** 2) + 1e-9
    edge = (reach - 1.0) * np.minimum(width, 22.0)
    cup = out - 3.0 * reach * reach
    plate = meet(2.0, edge, np.abs(cup) - 1.8)
    rim = np.hypot(edge + 2.2, cup - 2.4) - 2.8
    rim = rim + 2.0 * step(-8, -20, up) * step(-8, 0, along)
    inner = (
        np.hypot((np.sqrt((along - 1.0) ** 2 / 81.0 + (up - 1.0) ** 2 / 330.0) - 1.0) * 9.0, cup - 2.0) - 2.3
    )
    inner = inner + 3.0 * step(0.0, 8.0, along)
    shell = join(2.5, plate, rim, inner)
    bowl = ellipsoid(local, (7.6, 4.0, -5.0), (9.0, 8.0, 11.5))
    groove = ellipsoid(local, (5.0, 1.0, 14.0), (4.6, 6.5, 8.0))
    lobe = ellipsoid(local, (0.6, 5.5, -25.5), (3.4, 7.4, 7.6))
    tragus = ellipsoid(local, (1.4, 13.0, -5.0), (4.8, 3.8, 5.6))
    root = ellipsoid(local, (-6.0, 6.0, -2.0), (8.0, 9.0, 20.0))
    return join(3.0, carve(2.5, join(3, shell, lobe, root), bowl, groove), tragus)


def neck(points: Floats, face: Face) -> Floats:
    """Column, the two muscles from behind the ears to the breastbone, throat and nape, in the man's size."""
    p = mirrored(points)
    flat = p.copy()
    flat[:, 0] *= 1.13
    column = chain(
        flat, [(0, -22, -50, 41), (0, -27, -115, 45.5), (0, -36, -190, 53), (0, -42, -270, 66)], 20
    )
    slack = 0.7 + 0.3 * face.sinew
    muscle = chain(
        p,
        [
            (55, -26, -40, 10 * slack),
            (40, -4, -110, 10.5 * slack),
            (25, 12, -170, 9 * slack),
            (11, 17, -228, 7),
        ],
        10,
    )
    throat = chain(p, [(0, 24, -112, 14), (0, 17, -150, 15.5), (0, 6, -225, 14)], 10)
    voice = ellipsoid(p, (0, 18.0 + 7.0 * face.voice, -146), (8, 9, 13))
    nape = capsule(p, (16, -58, -42), (22, -68, -260), 29, 36)
    shoulder = capsule(p, (30, -46, -150), (56, -48, -262), 22, 28)
    soft = 18.0 - 10.0 * face.sinew
    return join(18, join(14, column, nape), join(soft, join(10, throat, voice), muscle), shoulder)
