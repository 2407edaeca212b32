"""Solids of a scene: what a camera or a head cannot stand inside of, from the models alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, hypot

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import turned
from preview.script import figure_plan, house_plan
from preview.script.models.cast import Figure
from preview.script.models.set_pieces import (
    Box,
    Fence,
    Gate,
    Ground,
    Hedge,
    House,
    LampPost,
    Piece,
    Trees,
    Wall,
)
from preview.script.places_of_trees import tree_stands

Vector = NDArray[np.float64]

BODY = 0.25
"""Radius of the room that a body takes, metres."""
TRUNK = 0.03
"""Radius of a trunk over the height of its tree."""
TRUNK_HEIGHT = 0.4
"""Height up to which a tree counts as trunk, over its height."""
POST = 0.1
FENCE = 0.06


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


def inside_of(point: Vector, pieces: Sequence[tuple[str, Piece]], cast: Sequence[Figure]) -> str | None:
    """What the point (3,) is inside of, in words, or None where it stands free."""
    for name, piece in pieces:
        inside = _inside_of_piece(point, name, piece)
        if inside is not None:
            return inside
    for figure in cast:
        if Post(figure.at, BODY, figure.height_of_ground, figure_plan.top(figure)).holds(point):
            return f"the figure {figure.name}"
    return None


def ground_above(point: Vector, pieces: Sequence[tuple[str, Piece]]) -> tuple[str, float] | None:
    """The name and height of the ground that the point (3,) lies below, if it does."""
    for name, piece in pieces:
        if isinstance(piece, Ground):
            away = np.abs(point[:2] - piece.at)
            if np.all(away <= np.array(piece.size) / 2) and point[2] <= piece.height:
                return name, piece.height
    return None


def _inside_of_piece(point: Vector, name: str, piece: Piece) -> str | None:
    if isinstance(piece, House):
        part = _part_of_house(point, piece)
        return f"{part} of {name}" if part else None
    if isinstance(piece, Box):
        local = _local(point, piece.turn, piece.at)
        width, depth, height = piece.size
        inside = abs(local[0]) <= width / 2 and abs(local[1]) <= depth / 2
        return f"the box {name}" if inside and 0 <= local[2] - piece.height <= height else None
    if isinstance(piece, Wall | Hedge):
        kind = "wall" if isinstance(piece, Wall) else "hedge"
        return f"the {kind} {name}" if _in_run(point, piece.along, piece.thickness, piece.height) else None
    if isinstance(piece, Fence):
        return f"the fence {name}" if _in_run(point, piece.along, FENCE, piece.height, piece.gates) else None
    if isinstance(piece, LampPost):
        return f"the lamp post {name}" if Post(piece.at, POST, 0.0, piece.height).holds(point) else None
    if isinstance(piece, Trees):
        trunks = (Post((x, y), TRUNK * high, 0.0, TRUNK_HEIGHT * high) for x, y, high in tree_stands(piece))
        return f"a trunk of {name}" if any(trunk.holds(point) for trunk in trunks) else None
    return None


def _local(point: Vector, azimuth: float, at: tuple[float, float]) -> Vector:
    """The inverse of `turned`."""
    return turned(point - np.array([*at, 0.0]), -azimuth, np.zeros(3))


def _in_run(
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
        aside, ahead, _ = _local(point, atan2(b[0] - a[0], b[1] - a[1]), a)
        if 0 <= ahead <= length and abs(aside) <= thickness / 2:
            reached = travelled + ahead
            return not any(gate.from_start <= reached <= gate.from_start + gate.width for gate in gates)
        travelled += length
    return False


def _part_of_house(point: Vector, house: House) -> str | None:
    x, y, z = local = _local(point, house.facing, house.at)
    half_width, half_depth = house.size[0] / 2, house.size[1] / 2
    if house.porch is not None:
        left, right = house_plan.porch_span(house)
        if (
            left <= half_width - x <= right
            and half_depth < y <= half_depth + house.porch.depth
            and 0 <= z <= house.floor
        ):
            return "the porch floor"
    if abs(x) > half_width or abs(y) > half_depth or z < 0:
        return None
    if z <= house.floor:
        return "the floor"
    if z > house_plan.wall_top(house):
        return "the roof" if z <= house_plan.wall_top(house) + _roof_over(house, x, y) else None
    return (
        "a wall" if any(_walls_holding(house, local)) and not any(_openings_holding(house, local)) else None
    )


def _roof_over(house: House, x: float, y: float) -> float:
    """Height of the roof above the tops of the walls over a local plan point."""
    rise = house_plan.roof_rise(house)
    half_width, half_depth = house.size[0] / 2, house.size[1] / 2
    from_eaves = half_depth - abs(y)
    if house.roof.shape == "hip":
        from_eaves = min(from_eaves, half_width - abs(x))
        return rise * from_eaves / min(half_width, half_depth)
    return rise * from_eaves / half_depth


def _walls_holding(house: House, local: Vector) -> Iterator[bool]:
    for wall in house_plan.WALLS:
        frame = house_plan.wall_frame(house, wall)
        yield -house.thickness <= float((local - frame.start) @ frame.outward) <= 0


def _openings_holding(house: House, local: Vector) -> Iterator[bool]:
    for opening in [*house.windows, *house.doors]:
        frame = house_plan.wall_frame(house, opening.wall)
        hole = house_plan.bounds(house, opening)
        from_start = local - frame.start
        in_wall = -house.thickness <= float(from_start @ frame.outward) <= 0
        yield (
            in_wall
            and hole.left < float(from_start @ frame.along) < hole.right
            and hole.bottom < local[2] < hole.top
        )
