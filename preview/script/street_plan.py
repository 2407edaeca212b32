"""The plan of what stands by a street: where lamp posts and shelters carry their lamps, how a path is measured.

Builders and named places share these functions.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import cos, hypot, sin

import numpy as np

from preview.build.mesh import turned
from preview.script.models.pieces.buildings import Shelter
from preview.script.models.pieces.things import LampPost

Point = tuple[float, float, float]

LAMP_BELOW_TOP = 0.1
"""From the height of a lamp post down to the middle of its lamp, metres."""
LAMP_BELOW_ROOF = 0.24
"""From the top of a shelter's roof down to the middle of a tube that hangs under it, metres."""
BENCH_HEIGHT = 0.45
BENCH_FROM_BACK = 0.33
"""From a shelter's back panel to the middle of its bench, metres."""


def post_lamp(post: LampPost, azimuth: float) -> Point:
    """The middle of a lamp post's lamp, for an arm that points to `azimuth` (radians)."""
    reach = post.arm
    return (
        post.at[0] + reach * sin(azimuth),
        post.at[1] + reach * cos(azimuth),
        post.height - LAMP_BELOW_TOP,
    )


def shelter_point(shelter: Shelter, x: float, y: float, z: float) -> Point:
    """A local point of a shelter (origin in the middle of its plan, y to its open front) in the world."""
    east, north, up = turned(np.array([x, y, z]), shelter.facing, np.array([*shelter.at, 0.0])).tolist()
    return east, north, up


def shelter_lamp(shelter: Shelter) -> Point:
    """The middle of the lamp under a shelter's roof."""
    return shelter_point(shelter, 0.0, 0.0, shelter.height - LAMP_BELOW_ROOF)


def shelter_bench(shelter: Shelter) -> Point:
    """The middle of the seat of a shelter's bench."""
    return shelter_point(shelter, 0.0, BENCH_FROM_BACK - shelter.size[1] / 2, BENCH_HEIGHT)


def path_length(path: Sequence[tuple[float, float]]) -> float:
    """Length of a path of plan points, metres."""
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(path))


def along_path(path: Sequence[tuple[float, float]], distance: float) -> tuple[tuple[float, float], float]:
    """The plan point `distance` metres from the start of a path, and the azimuth of the path there (radians)."""
    for place, (a, b) in enumerate(pairwise(path)):
        length = hypot(b[0] - a[0], b[1] - a[1])
        if distance <= length or place == len(path) - 2:
            part = distance / length if length else 0.0
            point = (a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1]))
            return point, float(np.arctan2(b[0] - a[0], b[1] - a[1]))
        distance -= length
    return path[0], 0.0
