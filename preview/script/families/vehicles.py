"""Vehicles: lamps, seats and tops as places, bodies that nobody can stand in."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import turned
from preview.script.boat_plan import heeled, turned_over
from preview.script.document import Keys
from preview.script.families.family import UP, Family, Found, Named, Point, Vector, level, local_to, point_of
from preview.script.fields import Place
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.vehicles import Bicycle, Boat, Car, Parked, Pickup, Tractor, Van
from preview.script.scene import Anchor
from preview.script.vehicle_plan import SIZES, kind_of, scale_of

WITHIN = (0.6, 1.5)
"""How many times its usual length a vehicle may be."""


def leaned(piece: Parked, local: Vector) -> Vector:
    """A local point (..., 3) of the usual size, of what leans or heels over, to its right."""
    if isinstance(piece, Boat):
        return heeled(local, piece.heel)
    return turned_over(local, piece.lean) if isinstance(piece, Bicycle) else local


def _places(name: str, piece: Parked, azimuth: float) -> Named:
    sizes, scale = SIZES[kind_of(piece)], scale_of(piece)
    at = np.array([*piece.at, 0.0])

    def world(local: Point) -> Point:
        return point_of(turned(leaned(piece, np.array(local)) * scale, azimuth, at))

    ahead = level(azimuth)
    behind = (-ahead[0], -ahead[1], 0.0)
    yield name, Anchor(world((0.0, 0.0, sizes.height / 2.0)), ahead)
    for lamp, row in sizes.lamps.items():
        facing = ahead if lamp == "head" else behind
        size = row.size[0] * scale, row.size[1] * scale
        x, y, z = row.at
        if x == 0.0:
            yield f"{name}.{lamp}", Anchor(world(row.at), facing, size)
            continue
        yield f"{name}.{lamp}", Anchor(world((0.0, y, z)), facing, size)
        yield f"{name}.{lamp}.left", Anchor(world((-x, y, z)), facing, size)
        yield f"{name}.{lamp}.right", Anchor(world(row.at), facing, size)
    if sizes.seat is not None:
        x, y, z = sizes.seat
        side = -1.0 if getattr(piece, "driver", "left") == "left" else 1.0
        yield f"{name}.seat", Anchor(world((side * x, y, z)), ahead)
        yield f"{name}.seat.driver", Anchor(world((side * x, y, z)), ahead)
        if x != 0.0:
            yield f"{name}.seat.passenger", Anchor(world((-side * x, y, z)), ahead)
    for top, point in sizes.tops.items():
        yield f"{name}.{top}", Anchor(world(point), UP)


def _inside(point: Vector, name: str, piece: Parked) -> str | None:
    if isinstance(piece, Bicycle | Boat) or isinstance(piece.facing, Place):
        return None
    sizes, scale = SIZES[kind_of(piece)], scale_of(piece)
    x, y, z = local_to(point, piece.facing, piece.at) / scale
    # Up to the windows: a camera may well sit in a car.
    top = 0.55 * sizes.height
    inside = abs(x) <= sizes.width / 2.0 and abs(y) <= sizes.length / 2.0 and 0.2 <= z <= top
    return f"the {_word(piece)} {name}" if inside and _is_full(piece, float(x), float(y), float(z)) else None


def _is_full(piece: Parked, x: float, y: float, z: float) -> bool:
    """Whether there is no room at a local point of the usual size: not in a cabin over its seats, not over a bed."""
    if isinstance(piece, Pickup) and y < -0.9:
        return z < 0.72
    seat = SIZES[kind_of(piece)].seat
    assert seat is not None
    return not (z > seat[2] and y < seat[1] + 0.9)


def _word(piece: Parked) -> str:
    return {Car: "car", Van: "van", Pickup: "pick-up", Tractor: "tractor"}[type(piece)]


def _misfits(piece: Parked, keys: Keys) -> Found:
    if piece.length is not None:
        usual = SIZES[kind_of(piece)].length
        low, high = (round(share * usual, 2) for share in WITHIN)
        if not low <= piece.length <= high:
            kind = kind_of(piece).replace("-", " ")
            yield (*keys, "length"), f"a {kind} is {low:g} to {high:g} m long, {usual:g} m usually"


VEHICLES: dict[type[Piece], Family] = {
    kind: Family(_places, _inside, _misfits) for kind in (Car, Van, Pickup, Tractor, Bicycle, Boat)
}
