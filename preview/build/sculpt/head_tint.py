"""Tints of the skin: what each place's reflectance is of the catalogue's, red, green and blue. All from memory."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.hair_brows import below_brows
from preview.build.sculpt.head import Head, uneven
from preview.build.sculpt.head_eyes import margins
from preview.build.sculpt.head_landmarks import as_man
from preview.build.sculpt.shapes import bump, mirrored, step

LIPS: dict[str, tuple[float, float, float]] = {
    "man": (0.78, 0.62, 0.67),
    "woman": (0.78, 0.57, 0.62),
    "teen": (0.80, 0.60, 0.65),
    "child": (0.82, 0.61, 0.66),
}
BEARD = {"man": 0.24, "woman": 0.0, "teen": 0.0, "child": 0.0}
"""Share of the light that a shaven beard takes."""
FLUSH = {"man": 1.0, "woman": 1.0, "teen": 1.05, "child": 1.15}
"""How red cheeks are."""


def lips(points: Floats, head: Head) -> Floats:
    """1 on the red of the lips, 0 off it (n,)."""
    face = head.face
    p = mirrored(uneven(points))
    x, y, z = ((p - (0.0, 0.0, face.heights[2])) / (face.mouth[0], face.depth[0], face.mouth[0])).T
    f = face.mouth[1]
    top = np.interp(x, (0, 5, 12, 19, 26.5), (6.4 * f, 7.9 * f, 6.0 * f, 3.2, 0.2))
    bottom = np.interp(x, (0, 7, 14, 20.5, 26.5), (-11.2 * f, -10.6 * f, -8.2 * f, -4.6, -1.2))
    result: Floats = step(0.9, -0.9, z - top) * step(-0.9, 0.9, z - bottom) * step(27.0, 25.0, x) * (y > 60)
    return result


def tint(points: Floats, head: Head) -> Floats:
    face = head.face
    man = as_man(mirrored(uneven(points)), face)
    colour = np.ones((len(points), 3))

    def towards(share: Floats, aim: tuple[float, float, float]) -> None:
        colour[:] *= 1.0 + share[:, None] * (np.array(aim) - 1.0)

    red = FLUSH[head.name]
    towards(red * bump(man, (40, 74, -28), (20, 30, 17)), (1.02, 0.90, 0.895))
    towards(bump(man, (0, 108, -38), (13, 14, 12)), (1.01, 0.90, 0.885))
    towards(step(64.0, 74.0, man[:, 0]) * bump(man, (74, -20, -14), (30, 26, 36)), (1.02, 0.82, 0.80))
    towards(bump(man, (0, 90, -98), (16, 20, 14)), (1.0, 0.94, 0.93))
    eye = (points * (1, 1, 1)).copy()
    eye[:, 0] = np.abs(eye[:, 0])
    local = eye - np.array(face.eye)
    near = np.exp(-((local[:, 0] / 19) ** 2 + (local[:, 2] / 11) ** 2)) * (local[:, 1] > -12)
    towards(near, (0.90, 0.80, 0.80))
    towards(bump(man, (22, 80, -9), (9, 16, 6)), (0.93, 0.87, 0.90))
    upper, lower = margins(local[:, 0], face)
    inside = step(face.lids[0] + 1.0, face.lids[0] - 2.0, np.abs(local[:, 0])) * (local[:, 1] > -4)
    towards(inside * np.exp(-(((local[:, 2] - upper - 0.3) / 1.0) ** 2)), (0.62, 0.54, 0.52))
    towards(inside * np.exp(-(((local[:, 2] - lower + 0.2) / 0.9) ** 2)), (0.85, 0.66, 0.64))
    within = inside * step(0.8, -0.6, local[:, 2] - upper) * step(-0.8, 0.6, local[:, 2] - lower)
    towards(within * step(-7.0, -11.0, local[:, 0]), (1.05, 0.74, 0.70))
    towards(within * step(7.0, 10.0, local[:, 0]), (1.0, 0.86, 0.84))
    mouth = lips(points, head)
    towards(mouth, LIPS[head.name])
    towards(bump(man, (6.5, 101, -49), (4.5, 7, 3.5)), (0.55, 0.42, 0.40))
    chin = step(-38.0, -56.0, man[:, 2]) * step(-140.0, -118.0, man[:, 2]) * step(-8.0, 14.0, man[:, 1])
    chin = chin * (1 - mouth) * step(-72.0, -58.0, man[:, 2] * 0 - 64.0 - 0.2 * (man[:, 0] - 30))
    towards(BEARD[head.name] * chin, (0.0, 0.05, 0.12))
    towards(0.75 * face.brows[1] * below_brows(points, head), (0.42, 0.40, 0.38))
    return colour
