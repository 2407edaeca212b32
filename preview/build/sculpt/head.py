"""Head: skull, face, ears and neck as one distance shape.

Millimetres; origin between the pupils on the axis of the head: x to the side, y forward, z up. The figures in the
comments are soft-tissue landmarks of an average adult.
"""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
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

EYE_CENTRE = (32.0, 69.0, 0.0)
"""Half the distance between the pupils; the cornea lies well behind the brow."""
EYE_RADIUS = 12.0
NECK_FLOOR = -238.0
"""Where the neck is cut off, inside the collar."""


def cranium(p: Floats) -> Floats:
    """The brain case, 154 wide, 197 long from glabella to the back, without the face."""
    egg = ellipsoid(p, (0, -12, 30), (68, 85, 70))
    back = ellipsoid(p, (0, -32, 30), (70, 66, 62))
    brow = ellipsoid(p, (0, 36, 30), (58, 58, 56))
    return join(30, egg, back, brow)


def _jaw(p: Floats) -> Floats:
    body = chain(p, [(39, 8, -68, 12), (31, 48, -88, 12.5), (14, 72, -100, 13)], 8)
    ramus = capsule(p, (41, 6, -64), (56, -2, -18), 13, 11)
    chin = ellipsoid(p, (0, 77, -101), (23, 18, 15))
    floor = ellipsoid(p, (0, 22, -72), (42, 56, 30))
    return join(22, join(12, body, ramus), floor, chin)


def _middle(p: Floats) -> Floats:
    """Upper jaw, cheekbones, cheeks and the muscle that fills the jaw's side."""
    maxilla = ellipsoid(p, (0, 44, -34), (48, 46, 48))
    mouth = ellipsoid(p, (0, 60, -67), (33, 37, 27))
    cheekbone = chain(p, [(36, 70, -25, 12), (47, 62, -22, 12.5), (55, 38, -20, 10), (60, 8, -17, 8)], 12)
    cheek = ellipsoid(p, (33, 54, -48), (22, 27, 32))
    side = ellipsoid(p, (38, 22, -44), (22, 42, 42))
    return join(14, join(16, maxilla, mouth), join(20, cheekbone, cheek, side))


def _brow(p: Floats) -> Floats:
    return chain(
        p,
        [
            (0, 88, 19, 8),
            (13, 88, 20, 8),
            (27, 85, 21.5, 8),
            (41, 75, 20, 8),
            (49, 62, 12, 8),
            (51, 58, -2, 8),
        ],
        6,
    )


def _nose(p: Floats) -> Floats:
    bridge = chain(p, [(0, 86, 12, 6), (0, 93, -4, 5.2), (0, 101.5, -20, 6.0), (0, 106.5, -31, 7.2)], 8)
    side = chain(p, [(8, 79, 2, 6), (8.5, 86, -16, 8), (7.5, 93, -32, 8)], 8)
    tip = join(
        5, ellipsoid(p, (3.4, 108, -34.5), (6.8, 8.5, 7.2)), capsule(p, (0, 106, -40), (0, 98, -46), 3.8)
    )
    return join(9, bridge, side, tip)


def _wing(p: Floats) -> Floats:
    turn = rotation(about_z=14, about_x=-12)
    local = (p - np.array([12.6, 98.5, -40.5])) @ turn
    return ellipsoid(local, (0, 0, 0), (5.6, 10.0, 7.6))


def _lips(p: Floats) -> tuple[Floats, Floats]:
    """Upper and lower vermilion; the mouth line between them is at z = -69.5."""
    upper = chain(
        p, [(0, 94.2, -65.6, 4.4), (5, 94.2, -64.9, 4.6), (14, 90.2, -66.4, 3.8), (25, 78.5, -69.8, 2.2)], 4
    )
    lower = chain(
        p, [(0, 91.5, -74.4, 5.4), (8, 90.6, -74.3, 5.2), (16, 86.4, -73.2, 3.8), (24, 78.5, -70.8, 2.0)], 4
    )
    return upper, lower


def _lids(p: Floats, skin: Floats) -> Floats:
    """Lids wrapped round the eyeball, opened as an almond 28 wide."""
    local = p - np.array(EYE_CENTRE)
    from_centre = np.linalg.norm(local, axis=1)
    across = local[:, 0] + 1.0
    # The outer corner sits a little higher than the inner one.
    height = local[:, 2] - 0.07 * across
    ball = from_centre - (EYE_RADIUS + 2.2)
    crease = np.hypot(np.hypot(local[:, 0], local[:, 1]) - 9.6, local[:, 2] - 9.2) - 4.4
    skin = join(5, skin, join(1.5, ball, crease))
    # Two arcs: the upper lid is the higher curve.
    top = np.hypot(across * 0.93, height + 17.8) - 21.4
    bottom = np.hypot(across * 0.95, height - 20.0) - 24.0
    almond = meet(1.5, top, bottom)
    opening = meet(0.8, almond, EYE_RADIUS - 2.0 - from_centre, -local[:, 1])
    return carve(1.6, skin, opening)


def _ear(p: Floats) -> Floats:
    """An ear 62 high leaning back and standing off the head."""
    turn = rotation(about_x=10) @ rotation(about_y=7, about_z=20)
    local = (p - np.array([73.0, -19.0, -13.0])) @ turn
    out, along, up = local.T
    # The rim is wider above than below.
    width = 16.5 - 4.5 * step(5.0, -30.0, up)
    reach = np.sqrt((along / width) ** 2 + (up / 30.0) ** 2) + 1e-9
    edge = (reach - 1.0) * np.minimum(width, 22.0)
    cup = out - 3.0 * reach * reach
    plate = meet(2.0, edge, np.abs(cup) - 2.2)
    rim = np.hypot(edge + 2.0, cup - 1.6) - 2.9
    rim = rim + 2.0 * step(-8, -20, up) * step(-8, 0, along)
    inner = (
        np.hypot((np.sqrt((along - 1.0) ** 2 / 81.0 + (up - 1.0) ** 2 / 330.0) - 1.0) * 9.0, cup - 1.2) - 2.3
    )
    inner = inner + 3.0 * step(0.0, 8.0, along)
    shell = join(2.5, plate, rim, inner)
    bowl = ellipsoid(local, (8.6, 3.0, -4.0), (8.0, 7.0, 10.5))
    groove = ellipsoid(local, (5.0, 1.0, 14.0), (4.6, 6.5, 8.0))
    lobe = ellipsoid(local, (1.0, 3.5, -25.5), (3.6, 7.0, 7.5))
    tragus = ellipsoid(local, (1.0, 12.5, -3.5), (5.0, 4.0, 6.0))
    root = ellipsoid(local, (-6.0, 6.0, -2.0), (8.0, 9.0, 20.0))
    return join(3.0, carve(2.5, join(3, shell, lobe, root), bowl, groove), tragus)


def neck(p: Floats) -> Floats:
    column = chain(p, [(0, -20, -60, 48), (0, -26, -120, 50), (0, -38, -190, 55), (0, -44, -260, 64)], 20)
    muscle = capsule(p, (52, -22, -42), (13, 22, -212), 11, 9)
    throat = chain(p, [(0, 20, -118, 15), (0, 18, -150, 16), (0, 8, -215, 14)], 8)
    voice = ellipsoid(p, (0, 29, -146), (9, 8, 12))
    nape = capsule(p, (0, -54, -60), (0, -76, -240), 30, 38)
    return join(16, column, muscle, join(10, throat, voice), nape)


def bare(points: Floats) -> Floats:
    """Head and neck without lids and ears: what hair grows on."""
    p = mirrored(points)
    skull = cranium(p)
    temple = ellipsoid(p, (42, 40, 2), (17, 30, 30))
    solid = join(18, join(14, skull, temple), _middle(p))
    solid = join(14, solid, _jaw(p))
    solid = join(9, solid, _brow(p))
    socket = ellipsoid(p, (31, 94, -2), (19, 20, 13.5))
    solid = carve(9, solid, socket)
    inner_corner = ellipsoid(p, (16, 92, 1), (6.5, 11, 8))
    solid = carve(7, solid, inner_corner)
    solid = join(20, solid, neck(p))
    return solid


def head(points: Floats) -> Floats:
    """Everything that is skin above the collar."""
    p = mirrored(points)
    solid = bare(points)
    solid = join(8, solid, _nose(p))
    solid = join(2.6, solid, _wing(p))
    nostril = ellipsoid(
        (p - np.array([6.6, 104.5, -47.0])) @ rotation(about_z=16), (0, 0, 0), (3.2, 6.0, 5.0)
    )
    solid = carve(2.0, solid, nostril)
    philtrum = capsule(p, (0, 105.0, -51), (0, 101.5, -61), 3.6, 4.2)
    solid = carve(3.5, solid, philtrum)
    under_lip = capsule(p, (0, 97, -86), (16, 91, -86), 6.0, 4.0)
    solid = carve(9, solid, under_lip)
    upper, lower = _lips(p)
    solid = join(2.2, solid, upper)
    solid = join(2.6, solid, lower)
    across, _, up = p.T
    line = np.interp(across, (0, 6, 14, 28), (-69.9, -69.3, -69.5, -71.0))
    slot = np.exp(-(((up - line) / 2.1) ** 2)) * step(30, 19, across) * (p[:, 1] > 60)
    solid = solid + (2.1 - 0.03 * across) * slot
    solid = _lids(p, solid)
    solid = join(4.0, solid, _ear(p))
    fold = 1.1 * bump(p, (25, 90, -55), (4.5, 14, 11))
    return meet(3.0, solid + fold, NECK_FLOOR - points[:, 2])


def eyes(points: Floats) -> Floats:
    p = np.column_stack([np.abs(points[:, 0]), points[:, 1], points[:, 2]])
    result: Floats = np.linalg.norm(p - np.array(EYE_CENTRE), axis=1) - EYE_RADIUS
    return result
