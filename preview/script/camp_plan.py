"""The plan of camp things: where bulbs of a string hang, how large tents are; shared by builders and places."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

import numpy as np
from numpy.typing import NDArray

from preview.script.models.pieces.camp import StringOfBulbs, Tent

Floats = NDArray[np.float64]

MOST_BULBS = 400
"""Of one string."""
DROP = 0.075
"""From the wire down to the middle of a bulb, metres."""
TENTS = {"ridge": (2.0, 2.6, 1.5), "dome": (2.4, 2.4, 1.35), "bell": (4.0, 4.0, 2.5)}
"""Width, depth, height, metres. From memory, typical."""


def tent_size(tent: Tent) -> tuple[float, float, float]:
    """Width, depth and height, metres."""
    width, depth, height = TENTS[tent.kind]
    if tent.size is not None:
        width, depth = tent.size
    return width, depth, tent.height or height


def wire(string: StringOfBulbs, share: Floats, span: int) -> Floats:
    """Points (n, 3) of the wire at shares of a span, on level ground: a parabola, as a tight wire hangs nearly."""
    a, b = np.array(string.along[span]), np.array(string.along[span + 1])
    # A path that stands still is told elsewhere.
    longest = max(1e-9, *(hypot(q[0] - p[0], q[1] - p[1]) for p, q in pairwise(string.along)))
    sag = string.sag * (float(np.hypot(*(b - a))) / longest) ** 2
    plan = a + share[:, None] * (b - a)
    return np.column_stack([plan, string.height - 4.0 * sag * share * (1.0 - share)])


def bulbs(string: StringOfBulbs) -> Floats:
    """Middles (n, 3) of its bulbs, half a spacing from its start, evenly along."""
    found, left = [], 0.5 * string.spacing
    for span, (a, b) in enumerate(pairwise(string.along)):
        length = hypot(b[0] - a[0], b[1] - a[1])
        at = np.arange(left, length, string.spacing)
        left = (at[-1] + string.spacing if len(at) else left) - length
        found.append(wire(string, at / length, span))
    return np.concatenate(found) - [0.0, 0.0, DROP]


def bulb_count(string: StringOfBulbs) -> int:
    """How many bulbs it has, told without making them."""
    length = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(string.along))
    return int(length / string.spacing + 0.5)
