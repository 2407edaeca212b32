"""Family: what the script knows of a kind of piece besides its keys, and the shapes that families share."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, hypot, sin
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import turned
from preview.script import street_plan
from preview.script.document import Keys
from preview.script.models.pieces.things import Gate
from preview.script.scene import Anchor

Vector = NDArray[np.float64]
Point = tuple[float, float, float]
Named = Iterator[tuple[str, Anchor]]
Found = Iterator[tuple[Keys, str]]

UP: Point = (0.0, 0.0, 1.0)
DOWN: Point = (0.0, 0.0, -1.0)


def no_places(name: str, piece: Any, azimuth: float) -> Named:
    yield from ()


def nothing_inside(point: Vector, name: str, piece: Any) -> str | None:
    return None


def nothing_in_files(name: str, piece: Any, folder: Path) -> Named:
    yield from ()


def no_misfits(piece: Any, keys: Keys) -> Found:
    yield from ()


Stands = Literal["level", "draped", "itself", "absolute"]
"""How a piece comes to stand on the ground. Its places, and what it is inside of, are told as on ground of height 0, and

level: all of it is lifted by what it stands on under its `at`, a street or path included;
draped: each of its vertices and places is lifted by the ground beneath;
itself: its places are, and its builder asks the site how high the ground is;
absolute: nothing is lifted.
"""


@dataclass(frozen=True)
class Family:
    """Of one kind of piece."""

    places: Callable[[str, Any, float], Named] = no_places
    """Its named places: of its name, its model, and the azimuth it faces (radians; 0 where it faces nothing)."""
    inside: Callable[[Vector, str, Any], str | None] = nothing_inside
    """What of it a point (3,) is inside of, in words, or None."""
    misfits: Callable[[Any, Keys], Found] = no_misfits
    """What of it cannot be built: keys and a sentence."""
    stands: Stands = "level"
    in_file: Callable[[str, Any, Path], Named] = nothing_in_files
    """Further places that its file alone tells, relative to the script's folder; asked for when one is first looked for."""


def level(azimuth: float) -> Point:
    """A level unit vector towards an azimuth."""
    return sin(azimuth), cos(azimuth), 0.0


def numbered(name: str, anchors: Sequence[Anchor]) -> Named:
    """`name` for the first, `name[i]` for each."""
    if anchors:
        yield name, anchors[0]
    for index, anchor in enumerate(anchors):
        yield f"{name}[{index}]", anchor


def places_of_path(name: str, path: Sequence[tuple[float, float]], height: float, top: float | None) -> Named:
    middle, _ = street_plan.along_path(path, street_plan.path_length(path) / 2)
    yield name, Anchor((*middle, height))
    yield f"{name}.start", Anchor((*path[0], height))
    yield f"{name}.end", Anchor((*path[-1], height))
    if top is not None:
        yield f"{name}.top", Anchor((*middle, top), UP)


def point_of(array: NDArray[np.float64]) -> Point:
    x, y, z = array.tolist()
    return x, y, z


@dataclass(frozen=True)
class Post:
    """An upright cylinder: plan point, radius, lower and upper end; metres."""

    at: tuple[float, float]
    radius: float
    bottom: float
    top: float

    def holds(self, point: Vector) -> bool:
        x, y, z = point
        return self.bottom <= z <= self.top and hypot(x - self.at[0], y - self.at[1]) <= self.radius


def local_to(point: Vector, azimuth: float, at: tuple[float, float]) -> Vector:
    """The inverse of `turned`."""
    return turned(point - np.array([*at, 0.0]), -azimuth, np.zeros(3))


def in_run(
    point: Vector,
    path: Sequence[tuple[float, float]],
    thickness: float,
    height: float,
    gates: Sequence[Gate] = (),
) -> bool:
    """Whether a point is inside something of a thickness that follows a path, outside its gates."""
    if not 0 <= point[2] <= height:
        return False
    travelled = 0.0
    for a, b in pairwise(path):
        length = hypot(b[0] - a[0], b[1] - a[1])
        aside, ahead, _ = local_to(point, atan2(b[0] - a[0], b[1] - a[1]), a)
        if 0 <= ahead <= length and abs(aside) <= thickness / 2:
            reached = travelled + ahead
            return not any(gate.from_start <= reached <= gate.from_start + gate.width for gate in gates)
        travelled += length
    return False
