"""Hoods: a hood that is up, as a distance shape about the point between a man's pupils, in millimetres."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.shapes import capsule, carve, chain, ellipsoid, join, meet, step

LOW, HIGH = (-170.0, -190.0, -290.0), (170.0, 160.0, 190.0)
THICK = 11.0


def hood(p: Floats) -> Floats:
    x, y, z = p.T
    # Cloth sags between its seam over the crown and its edge, and gathers at the neck.
    sag = 3.0 * np.sin(0.075 * z + 0.02 * y + 1.2) * step(-20, -70, z) + 2.2 * np.sin(
        0.06 * y - 0.05 * z
    ) * step(30, 70, np.abs(x))
    crown = ellipsoid(p, (0, -12, 8), (108, 132, 140))
    peak = ellipsoid(p, (0, 34, 52), (92, 92, 88))
    nape = chain(p, [(0, -34, -60, 104), (0, -34, -160, 92), (0, -30, -225, 98)], 30)
    drape = join(40, capsule(p, (-62, 8, -190), (62, 8, -190), 62, 62), nape)
    outer = join(34, join(24, crown, peak), drape) + sag
    inner = outer + THICK
    # The opening follows the face, from over the brow to below the chin.
    face = ellipsoid(p, (0, 128, -18), (84 + 0 * 1, 92, 118))
    seam = 1.6 * np.exp(-((x / 3.0) ** 2)) * step(30, 60, z)
    shell = meet(3, outer - seam, -inner)
    return meet(3, carve(4, shell, face), -270.0 - z)
