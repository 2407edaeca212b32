"""The plan of what stands by a street: where lamp posts and shelters carry their lamps, how a path is measured.

Builders and named places share these functions.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import cos, hypot, sin

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import turned
from preview.script.models.pieces.buildings import Shelter
from preview.script.models.pieces.ground import Footpath, Street
from preview.script.models.pieces.things import LampPost

Point = tuple[float, float, float]
Floats = NDArray[np.float64]

CARRIAGEWAY = 0.04
"""Height of a carriageway's edges above the ground, metres: it lies on the ground, never in its plane."""
KERB_WIDTH, LEAST_KERB = 0.125, 0.01
"""Width of a kerb stone, and how high a kerb is at least, metres."""
CAMBER = 0.02
"""Mean crossfall of a carriageway from its crown to its edges. Common practice, no source: 1 in 40 to 1 in 50."""
CROSSING = 3.0
"""Length along the street of a zebra crossing, metres. Common practice, no source."""
PATH_HEIGHTS = {"gravel": 0.025, "earth": 0.016, "flagstones": 0.03, "boardwalk": 0.14}
"""Height of the middle of a path above the ground, metres, by its kind."""

LAMP_BELOW_TOP = 0.1
"""From the height of a lamp post down to the middle of its lamp, metres."""
LAMP_BELOW_ROOF = 0.24
"""From the top of a shelter's roof down to the middle of a tube that hangs under it, metres."""
BENCH_HEIGHT = 0.45
BENCH_FROM_BACK = 0.33
"""From a shelter's back panel to the middle of its bench, metres."""


LAMP_BELOW_HEAD = {"column": 0.40, "bollard": 0.13}
"""From the top of a post down to the middle of a lamp that stands within its head, metres."""


def post_lamp(post: LampPost, azimuth: float, *, side: float = 1.0) -> Point:
    """The middle of a lamp post's lamp, for an arm that points to `azimuth` (radians); `side` -1 for its second arm."""
    reach = side * post.reach
    below = LAMP_BELOW_HEAD.get(post.kind, LAMP_BELOW_TOP)
    return (post.at[0] + reach * sin(azimuth), post.at[1] + reach * cos(azimuth), post.tall - below)


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


def off_path(path: Sequence[tuple[float, float]], x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """How far (n,) plan points lie to the right of a path, and how far from its start; metres.

    Beside its ends, where none of its legs lies abreast, the offset is infinite.
    """
    offset, reached = np.full(np.shape(x), np.inf), np.zeros(np.shape(x))
    nearest, start = np.full(np.shape(x), np.inf), 0.0
    last = len(path) - 2
    for place, (a, b) in enumerate(pairwise(path)):
        length = hypot(b[0] - a[0], b[1] - a[1])
        if length == 0.0:
            # A path that stands still is told elsewhere.
            continue
        east, north = (b[0] - a[0]) / length, (b[1] - a[1]) / length
        ahead = (x - a[0]) * east + (y - a[1]) * north
        aside = (x - a[0]) * north - (y - a[1]) * east
        # Round a bend's outer side the nearest is its corner.
        beyond = np.maximum(-ahead, ahead - length)
        away = np.hypot(aside, np.maximum(beyond, 0.0))
        off_end = ((ahead < 0) & (place == 0)) | ((ahead > length) & (place == last))
        nearer = (away < nearest) & ~off_end
        offset = np.where(nearer, np.copysign(away, aside), offset)
        reached = np.where(nearer, start + np.clip(ahead, 0.0, length), reached)
        nearest = np.where(nearer, away, nearest)
        start += length
    return offset, reached


def abreast(path: Sequence[tuple[float, float]], x: Floats, y: Floats) -> Floats:
    """How far (n,) from its start the point of a path is that is nearest to each plan point, metres."""
    reached, nearest, start = np.zeros(np.shape(x)), np.full(np.shape(x), np.inf), 0.0
    for a, b in pairwise(path):
        length = max(hypot(b[0] - a[0], b[1] - a[1]), 1e-9)
        east, north = (b[0] - a[0]) / length, (b[1] - a[1]) / length
        ahead = np.clip((x - a[0]) * east + (y - a[1]) * north, 0.0, length)
        away = (x - a[0] - ahead * east) ** 2 + (y - a[1] - ahead * north) ** 2
        nearer = away < nearest
        reached = np.where(nearer, start + ahead, reached)
        nearest = np.minimum(nearest, away)
        start += length
    return reached


def carriageway(street: Street, offset: Floats) -> Floats:
    """Height of a carriageway above the ground at offsets from its middle, metres: a parabola."""
    half = street.width / 2
    return np.asarray(CARRIAGEWAY + CAMBER * half * (1.0 - np.minimum(np.abs(offset) / half, 1.0) ** 2))


def kerb_width(street: Street) -> float:
    """Width of its kerb stones, metres; 0 for a street whose pavements are level with it."""
    return KERB_WIDTH if street.kerb > LEAST_KERB else 0.0


def sides_of(street: Street) -> tuple[float, float]:
    """How far a street reaches to the left and to the right of its middle, metres."""
    left, right = (street.width / 2 + kerb_width(street) + pavement for pavement in street.pavement)
    return left, right


def pavement_height(street: Street) -> float:
    """Height of the pavements above the ground, metres: a kerb above the edges of the carriageway."""
    return CARRIAGEWAY + street.kerb


def rise_of_street(street: Street, x: Floats, y: Floats) -> Floats:
    """How high above the ground one stands on a street at plan points, metres; minus infinity off it."""
    offset, _ = off_path(street.along, x, y)
    left, right = sides_of(street)
    on = np.where(np.abs(offset) <= street.width / 2, carriageway(street, offset), pavement_height(street))
    return np.where((offset <= right) & (offset >= -left), on, -np.inf)


def rise_of_path(path: Footpath, x: Floats, y: Floats) -> Floats:
    """How high above the ground one stands on a path at plan points, metres; minus infinity off it."""
    offset, _ = off_path(path.along, x, y)
    return np.where(np.abs(offset) <= path.width / 2, PATH_HEIGHTS[path.kind], -np.inf)
