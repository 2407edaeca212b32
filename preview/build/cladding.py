"""Cladding: lapped boards as real relief on a wall, cut by its openings."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from preview.build.mesh import Floats
from preview.build.solids import quads
from preview.script.house_plan import Bounds

BOARD = 0.15
"""Exposed height of a board, metres. Common practice, no source."""
PROUD, THIN = 0.020, 0.003
"""How far a board's lower and upper edge stand before the wall's face, metres."""
UNDER_TRIM = 0.03
"""Boards stop this far outside a hole's edge, where its casing hides their ends."""


def lapped(
    low: float, high: float, left: tuple[float, float], right: tuple[float, float], holes: list[Bounds]
) -> Floats:
    """Boards from height `low` to `high` on a wall's outer face, in its frame: triangles (n, 3, 3).

    `left` and `right` are the boards' ends (metres from the wall's left end) at low and at high; a slant follows
    a gable. The strips lie on the wall without backs; their ends must lie behind trim.
    """
    count = max(1, round((high - low) / BOARD))
    lines = np.linspace(low, high, count + 1)
    cut = [
        (hole.left - UNDER_TRIM, hole.bottom - UNDER_TRIM, hole.right + UNDER_TRIM, hole.top + UNDER_TRIM)
        for hole in holes
    ]
    found = []
    for bottom, top in pairwise(lines):
        inside = [level for box in cut for level in box[1::2] if bottom < level < top]
        levels = sorted({bottom, top, *inside})
        for b0, b1 in pairwise(levels):
            middle = 0.5 * (b0 + b1)
            c0, c1 = (PROUD + (THIN - PROUD) * (b - bottom) / (top - bottom) for b in (b0, b1))
            ends0, ends1 = (
                [end[0] + (end[1] - end[0]) * (b - low) / (high - low) for end in (left, right)]
                for b in (b0, b1)
            )
            edges = sorted(box[::2] for box in cut if box[1] < middle < box[3])
            starts = [ends0[0], *(edge[1] for edge in edges)]
            stops = [*(edge[0] for edge in edges), ends0[1]]
            for number, (start, stop) in enumerate(zip(starts, stops, strict=True)):
                start1 = ends1[0] if number == 0 else start
                stop1 = ends1[1] if number == len(edges) else stop
                if stop - start < 1e-6:
                    continue
                found.append([[start, b0, c0], [stop, b0, c0], [stop1, b1, c1], [start1, b1, c1]])
                if b0 == bottom:
                    found.append([[start, b0, 0.0], [stop, b0, 0.0], [stop, b0, c0], [start, b0, c0]])
    return quads(np.array(found)) if found else np.zeros((0, 3, 3))
