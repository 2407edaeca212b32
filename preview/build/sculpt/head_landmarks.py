"""Landmarks: points of the skin that the large forms of a head pass through.

Millimetres about the middle of the pupils on the axis of the head: x to the side, y forward, z up. The man's points are
those of an average adult, from memory; the others' are his, carried over by their own heights, breadths and depths.
"""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.head_faces import HEIGHTS, Face

MIDLINE = [
    # Crown to nape.
    (112.0, 14),
    (115, -12),
    (112, -40),
    (102, -64),
    (85, -83),
    (62, -95),
    (38, -98),
    (14, -95),
    (-10, -86),
    (-34, -72),
]
"""Heights and forward distances of the middle line behind the crown."""
PROFILE = [
    # Crown to throat: forehead, glabella, root of the nose, under the nose's ridge, lips, chin.
    (104.0, 43),
    (92, 63),
    (78, 77.5),
    (62, 87.5),
    (46, 92.5),
    (32, 94),
    (19, 95),
    (8, 88.5),
    (-4, 86),
    (-18, 86),
    (-32, 87.5),
    (-46, 92.5),
    (-57, 94.5),
    (-68, 93),
    (-78, 91.5),
    (-87, 88),
    (-98, 91.5),
    (-107, 87),
    (-112, 78),
    (-112, 60),
    (-107, 38),
]
"""The same before it, the nose and the red of the lips left out."""
SIDE = [
    # Forehead and brow.
    (16.0, 92.5, 42),
    (32, 87, 44),
    (46, 78, 44),
    (58, 63, 42),
    (31, 82, 64),
    (50, 63, 64),
    (24, 71.5, 80),
    (43, 50, 81),
    (22, 42, 99),
    (15, 94, 19),
    (28, 90, 20),
    (41, 82.5, 19.5),
    (50, 72, 15),
    # The socket as closed lids would fill it.
    (15, 80.5, 4),
    (17, 76.5, -3),
    (24, 81, 10.5),
    (36, 79.5, 10.5),
    (45, 74, 8),
    (28, 78.5, -10),
    (40, 75.5, -9),
    (48, 68, -1),
    # Beside the nose, cheekbone, cheek.
    (15, 81.5, -16),
    (18, 82.5, -30),
    (21, 86, -44),
    (29, 82, -20),
    (40, 79, -20),
    (49, 73, -18),
    (57.5, 60, -17),
    (32, 81, -34),
    (43, 74, -34),
    (53, 62, -34),
    (60, 46, -34),
    (33, 78.5, -50),
    (43.5, 65.5, -50),
    (52, 49, -50),
    (15, 92.5, -57),
    (27, 85.3, -58),
    (28, 82.3, -69),
    (38, 70, -66),
    (48, 54, -68),
    (14, 90.5, -78),
    (27, 80, -81),
    (14, 86, -88),
    (28, 76.5, -91),
    (40, 60, -86),
    (13, 89.5, -99),
    (25, 79, -102),
    (36, 62, -99),
    (17, 80, -109),
    (29, 62, -108),
    # Jaw, from the corner below the ear forward, and its underside.
    (65, 12, -36),
    (62, 12, -54),
    (58.5, 4, -70),
    (55, 22, -68),
    (51, 30, -82),
    (53, 8, -82),
    (45, 40, -92),
    (40, 26, -96),
    (28, 36, -103),
    # Temple and arch.
    (56, 64, 12),
    (58, 58, 0),
    (65, 46, 28),
    (64, 44, 12),
    (65, 42, -4),
    (67.5, 34, -16),
    (70.5, 18, -16),
    (68, 22, -32),
    (71, 2, -14),
    # The brain case.
    (70, 32, 48),
    (75, 0, 44),
    (76.5, -24, 46),
    (75.5, -24, 24),
    (73, -10, 10),
    (72, -34, 4),
    (68, -36, -14),
    (59, -42, -32),
    (69, -8, 74),
    (64, -44, 70),
    (52, -12, 97),
    (30, -12, 109.5),
    (56, 32, 77),
    (33, 28, 97),
    (40, -50, 93),
    (71, -50, 44),
    (66, -58, 18),
    (56, -74, 42),
    (34, -91, 42),
    (52, -66, 70),
    (32, -80, 76),
    (50, -74, 12),
    (30, -90, 12),
    (52, -60, -14),
    (30, -78, -14),
    (40, -56, -36),
    # Within the neck.
    (40, -20, -80),
    (20, -50, -70),
    (30, 10, -100),
]
"""(x, y, z) beside it, for the side of positive x."""


def carried(points: Floats, face: Face) -> Floats:
    """The man's points (n, 3) where they are on a face, without its rises."""
    x, y, z = points.T
    across = np.interp(z, HEIGHTS, face.breadth)
    along = np.where(y > 0, face.depth[0], face.depth[1])
    return np.column_stack([x * across, y * along, np.interp(z, HEIGHTS, face.heights)])


def landmarks(face: Face) -> Floats:
    """Both sides' points (n, 3)."""
    middle = np.array([(0.0, forward, up) for up, forward in PROFILE + MIDLINE])
    side = np.array(SIDE)
    half = np.concatenate([middle, side])
    placed = carried(half, face)
    centre = np.array([0.0, 0.0, 0.0])
    for x, y, z, radius, outward in face.deltas:
        near = np.exp(-((np.linalg.norm(half - (x, y, z), axis=1) / radius) ** 2))
        away = placed - centre
        placed = placed + (outward * near / np.linalg.norm(away, axis=1))[:, None] * away
    other = placed[len(middle) :] * (-1.0, 1.0, 1.0)
    return np.concatenate([placed, other])


def as_man(points: Floats, face: Face) -> Floats:
    """The way back: points (n, 3) of a face where they would be on the man's."""
    x, y, z = points.T
    # The tables stop at chin and vertex; beyond them everything is carried by the same length.
    up = np.interp(z, face.heights, HEIGHTS)
    up = up + np.minimum(z - face.heights[0], 0.0) + np.maximum(z - face.heights[-1], 0.0)
    across = np.interp(up, HEIGHTS, face.breadth)
    along = np.where(y > 0, face.depth[0], face.depth[1])
    return np.column_stack([x / across, y / along, up])
