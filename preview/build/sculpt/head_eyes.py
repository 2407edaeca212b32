"""Lids: skin wrapped round an eyeball, opened as an almond; the brow's ridge above it."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.head_faces import Face
from preview.build.sculpt.shapes import bump, carve, ellipsoid, join, meet, step

THICK = 2.0
"""Millimetres of lid."""


def margins(across: Floats, face: Face) -> tuple[Floats, Floats]:
    """Heights (n,) of the upper and the lower lid's edge from the pupil's, `across` mm outward of it."""
    half, above, below = face.lids
    size = face.eyeball / 12.0
    t = (across + 0.6 * size) / half
    line = -0.9 * size + 0.085 * across
    # The upper edge is highest inward of the pupil, the lower lowest outward of it.
    upper = np.clip(1.0 - np.abs(t + 0.10 * (1 - t * t)) ** 2.1, -3.0, 1.0)
    lower = np.clip(1.0 - np.abs(t - 0.14 * (1 - t * t)) ** 2.3, -3.0, 1.0)
    return line + (above + 0.9 * size) * upper, line - (below - 0.9 * size) * lower


def lids(p: Floats, skin: Floats, face: Face) -> Floats:
    size = face.eyeball / 12.0
    local = (p - np.array(face.eye)) / size
    x, y, z = local.T
    from_centre = np.linalg.norm(local, axis=1)
    upper, lower = margins(x * size, face)
    upper, lower = upper / size, lower / size
    shell = from_centre - (12.0 + THICK)
    # The lid is fuller just above the lashes and over the lower edge, and ends in a fold below the brow.
    shell = shell - 0.5 * np.exp(-(((z - lower + 2.6) / 1.8) ** 2)) * step(15, 6, np.abs(x))
    fold_height = upper + 4.6 - 0.10 * np.maximum(x - 6.0, 0.0)
    fold = np.exp(-(((z - fold_height) / 1.3) ** 2)) * step(15.5, 10.0, np.abs(x)) * step(-2.0, 3.0, y)
    skin = join(3.0, skin / size, shell) + 1.15 * fold
    under = (
        np.exp(-(((z - lower + 8.5 + 0.12 * x) / 2.2) ** 2))
        * step(15.0, 6.0, np.abs(x + 2.0))
        * step(-2.0, 3.0, y)
    )
    skin = skin + (0.25 + 0.45 * face.folds) * under
    inner = ellipsoid(local, (-14.2, 2.6, -1.6), (3.6, 5.0, 3.0))
    outer = ellipsoid(local, (13.6, -1.8, 0.6), (3.4, 4.0, 4.0))
    # Below the eyeball's surface, so that it is the eyeball that is seen.
    behind = join(1.0, from_centre - 11.0, inner, outer)
    almond = meet(0.5, (z - upper) * 0.9, (lower - z) * 0.9)
    opening = meet(0.6, almond, -behind, -y - 3.0)
    return carve(1.1, skin, opening) * size


def ridge(p: Floats, face: Face) -> Floats:
    """How much the ridge of the brow stands out, and the hollow above its outer end."""
    low = bump(p, (17, 92, 17), (15, 20, 7)) + 0.7 * bump(p, (36, 86, 19), (15, 20, 6))
    over = bump(p, (26, 90, 35), (26, 24, 8))
    rim = bump(p, (46, 78, 13), (8, 14, 9))
    return face.brow * (1.8 * low - 0.7 * over) + (0.5 + 0.9 * face.brow) * rim
