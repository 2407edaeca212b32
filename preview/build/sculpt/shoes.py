"""Shoes: a right shoe as a distance shape, in the millimetres of a man's: y forward from under the ankle, z up."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.shapes import carve, chain, ellipsoid, join, meet, step

LOW, HIGH = (-75.0, -115.0, -12.0), (85.0, 235.0, 135.0)


def shoe(p: Floats) -> Floats:
    x, y, z = p.T
    heel = ellipsoid(p, (-1, -40, 44), (35, 41, 50))
    cuff = chain(p, [(0, -12, 84, 40), (0, -14, 112, 41)], 0)
    vamp = chain(p, [(0, -6, 74, 37), (-1, 52, 50, 35), (0, 112, 34, 36)], 14)
    ball = ellipsoid(p, (2, 112, 28), (47, 64, 34))
    toe = ellipsoid(p, (-6, 164, 24), (36, 44, 27))
    upper = join(16, heel, join(10, cuff, vamp), ball, toe)
    # Laces and a tongue down the middle of the instep, a toecap.
    middle = -1.0 - 0.02 * y
    tongue = np.exp(-(((x - middle) / 11.0) ** 2)) * step(20, 36, y) * step(112, 96, y) * step(40, 60, z)
    laces = (
        np.exp(-(((x - middle) / 17.0) ** 2))
        * np.exp(-((((y - 66) % 15 - 7.5) / 3.4) ** 2))
        * step(24, 34, y)
        * step(104, 94, y)
    )
    cap = step(126.5, 129.5, y + 0.002 * x * x)
    upper = upper - (1.6 * tongue + 1.7 * laces * step(40, 60, z) + 0.9 * cap)
    outline = np.minimum(
        np.hypot(x / 38, (y + 40) / 46) - 1,
        np.hypot((x - 1 + 0.0009 * (y - 120) ** 2 * (y > 120)) / 50, (y - 118) / 87) - 1,
    )
    waist = np.hypot(x / 38, (y - 30) / 120) - 1
    sole = meet(3, np.minimum(outline, waist) * 38 - 1.5, z - 17 - 8 * step(30, -10, y))
    arch = ellipsoid(p, (0, 24, -2), (80, 26, 12))
    return carve(4, meet(3, join(2, upper, sole), -z, z - 112), arch)
