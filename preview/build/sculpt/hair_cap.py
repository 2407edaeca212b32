"""A knitted cap."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.hair_locks import Tress
from preview.build.sculpt.hair_mass import closed
from preview.build.sculpt.head import Head
from preview.build.sculpt.head_landmarks import as_man
from preview.build.sculpt.shapes import meet, step


def brim(points: Floats, head: Head) -> Floats:
    """How far (n,) mm over the edge of the cap."""
    man = as_man(points, head.face)
    return 0.97 * (man[:, 2] - 36.0 + 0.19 * (90.0 - man[:, 1]))


def cap(head: Head) -> Tress:
    """A knitted cap with its edge turned up."""

    def shape(points: Floats) -> Floats:
        man = as_man(points, head.face)
        over = brim(points, head)
        around = np.arctan2(man[:, 0], man[:, 1] + 5.0)
        rib = np.cos(76 * around)
        fold = step(44.0, 40.0, over)
        slack = 5.0 * step(50.0, 90.0, over) + 1.0 * np.sin(2.2 * around + 0.06 * man[:, 2]) * step(
            45, 70, over
        )
        depth = 4.6 + 3.4 * fold + slack + (0.9 * fold + 0.5 * (1 - fold) * step(118, 95, over)) * rib
        ends = depth - 2.0 * step(5.0, 0.0, over) - 1.6 * step(37.0, 41.0, over) * fold
        skin = head.bare(points)
        return meet(2.0, skin - ends, -over, -(skin + 3.0))

    knit = closed(shape, 2.0, 9000, shade=1.0)
    man = as_man(knit.vertices, head.face)
    rib = np.cos(76 * np.arctan2(man[:, 0], man[:, 1] + 5.0))
    return Tress(knit.vertices, knit.faces, knit.normals, knit.tint * (0.86 + 0.14 * rib)[:, None])
