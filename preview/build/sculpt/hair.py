"""Hair: a short cut with a side parting, as one distance shape in the millimetres of the head."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.head import bare, head
from preview.build.sculpt.shapes import capsule, ellipsoid, join, meet, mirrored, step

HAIRLINE_HEIGHT = (-95, -60, -30, -22, -16, 4, 20, 34, 48, 58, 66, 76, 130)
HAIRLINE_FORWARD = (-46, -44, -40, -26, 10, 18, 30, 46, 50, 62, 75, 82, 95)
"""How far forward hair grows at each height: nape, behind the ear, sideburn, temple, forehead."""
PARTING = -24.0
NAPE = -66.0


def hair(points: Floats) -> Floats:
    x, y, z = points.T
    scalp = bare(points)
    around = np.arctan2(x, z - 5.0)
    # Locks run from the brow over the crown and down the back; they bend so as not to look like a comb's teeth.
    flow = around + 0.0035 * y + 0.05 * np.sin(0.05 * y + 2.0 * around)
    locks = (
        np.sin(31 * flow + 0.6 * np.sin(0.08 * y))
        + 0.6 * np.sin(47 * flow + 0.05 * y + 1.3)
        + 0.3 * np.sin(73 * flow - 0.04 * y + 0.4)
    ) * step(12.0, 55.0, np.hypot(x, z - 5.0))
    crown = step(25.0, 90.0, z)
    sweep = step(PARTING, PARTING + 46.0, x) * step(-30, 60, y) * crown
    depth = 4.0 + 3.0 * step(-85, 0, z) + 3.5 * crown + 5.0 * sweep
    depth = depth - 3.2 * np.exp(-(((x - PARTING) / 4.5) ** 2)) * crown * step(-40, 20, y)
    ragged = 1.8 * np.sin(0.42 * x + 0.1 * z) + 1.3 * np.sin(0.9 * x + 1.0) + 1.2 * np.sin(0.5 * z)
    front = (y - np.interp(z, HAIRLINE_HEIGHT, HAIRLINE_FORWARD) - ragged) * 0.72
    limit = meet(6.0, front, NAPE - z + 1.5 * np.sin(0.35 * x))
    # Thin towards the edge at the sides and the nape.
    depth = depth * (1.0 - 0.75 * (1.0 - crown) * step(-22.0, 0.0, limit))
    mass = scalp - depth - (0.3 + 0.3 * crown) * locks
    tuft = ellipsoid(points, (14, 48, 82), (40, 40, 22)) - 0.8 * locks
    mass = join(16, mass, tuft)
    p = mirrored(points)
    ear = ellipsoid(p, (77, -16, -14), (26, 13, 24))
    floor = scalp + 5.0
    return meet(4.0, mass, limit, -ear, -floor)


def brows(points: Floats) -> Floats:
    """Eyebrows: the skin, thickened by a millimetre where they grow."""
    p = mirrored(points)
    # A wall through the skin along the brow: only the distance across the face counts.
    flat = p.copy()
    flat[:, 1] = np.interp(p[:, 0], (13, 27, 46), (95, 93, 78))
    wall = join(
        4.0,
        capsule(flat, (15, 95, 17.4), (24, 94, 19.6), 2.2, 2.8),
        capsule(flat, (24, 94, 19.6), (35, 87, 20.2), 2.9, 2.4),
        capsule(flat, (35, 87, 20.2), (48, 76, 15.5), 2.4, 0.7),
    )
    skin = head(points)
    near = ellipsoid(p, (30, 88, 18), (26, 24, 12))
    return meet(1.6, skin - 0.7, -(skin + 4.0), wall, near)
