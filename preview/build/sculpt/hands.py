"""Hands: palm, fingers and thumb as distance shapes of a right hand, in the millimetres of a man's.

u towards the thumb, v along the fingers, w out of the palm, from the wrist.
"""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.shapes import Shape, bump, chain, ellipsoid, join

FINGERS = ((28.0, 86.0, 76.0, 8.6), (9.5, 91.0, 86.0, 9.0), (-9.0, 88.0, 79.0, 8.6), (-26.0, 80.0, 61.0, 7.5))
"""Of the index to the little finger: knuckle towards the thumb, knuckle along the hand, length, radius."""
BENT = {
    "easy": ((16, 26, 14), (22, 30, 16), (26, 32, 18), (30, 32, 18)),
    "spread": ((4, 12, 6), (4, 12, 6), (5, 13, 7), (8, 14, 8)),
    "grip": ((62, 88, 52), (66, 90, 54), (68, 92, 56), (70, 92, 56)),
}
"""Degrees that each finger bends at its knuckle, middle and end joint."""
FANNED = {"easy": 1.0, "spread": 6.5, "grip": 0.0}
"""Degrees between neighbouring fingers."""
THUMB = {
    "easy": ((22, 22, 8, 13), (40, 52, 16, 11), (44, 78, 20, 9.2), (42, 98, 22, 7.2)),
    "spread": ((22, 20, 6, 13), (50, 46, 10, 11), (66, 66, 12, 9.2), (76, 84, 13, 7.2)),
    "grip": ((20, 26, 10, 13), (36, 52, 24, 11), (30, 76, 36, 9.4), (14, 88, 40, 7.4)),
}


def hand(shape: str) -> Shape:
    def distance(p: Floats) -> Floats:
        wrist = chain(p, [(0, -46, -1, 25), (0, -20, -1, 25), (0, 8, 0, 25)], 0)
        flat = ellipsoid(p * (1, 1, 1.25), (0, -6, 0), (26, 44, 26))
        back = join(
            12,
            ellipsoid(p, (12, 48, 0), (27, 52, 14.5)),
            ellipsoid(p, (-13, 46, 0), (26, 50, 14)),
            ellipsoid(p, (0, 80, -1), (39, 17, 12)),
        )
        ball = ellipsoid(p, (21, 34, 10), (16, 31, 13))
        edge = ellipsoid(p, (-22, 36, 7), (12, 34, 12))
        solid = join(14, join(20, wrist, flat), join(9, back, ball, edge))
        fingers = []
        for number, (across, start, length, radius) in enumerate(FINGERS):
            fan = np.radians(FANNED[shape] * (1.5 - number))
            way = np.array([np.sin(fan), np.cos(fan)])
            at = np.array([across, start, -1.0])
            rows = [(across, start - 14, -1.0, radius + 1.0), (*at, radius + 1.6)]
            angle = 0.0
            for bend, part, thin in zip(
                BENT[shape][number], (0.46, 0.31, 0.23), (0.6, -0.4, -1.6), strict=True
            ):
                angle += np.radians(bend)
                run = length * part
                at = at + run * np.array([way[0] * np.cos(angle), way[1] * np.cos(angle), np.sin(angle)])
                rows.append((*at, radius + thin))
            finger = chain(p, rows, 3)
            knuckle = bump(p, (across, start, -9.0), (7, 8, 6))
            fingers.append(finger - 1.4 * knuckle)
        thumb = chain(p, THUMB[shape], 5)
        return join(7, solid, join(1.2, *fingers), thumb)

    return distance


LOW, HIGH = (-75.0, -90.0, -50.0), (105.0, 215.0, 110.0)
HELD = (2.0, 92.0, 26.0)
"""Where in a hand that grips what it holds is."""
