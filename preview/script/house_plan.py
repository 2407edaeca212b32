"""The plan of a house: where its walls, openings, porch and roof are, computed from its model alone.

Builders and named places share these functions, so that the geometry and the places agree.

Local axes (see `preview.build.mesh.turned`): the origin is the middle of the plan on the ground, y the way the
front looks, z up. A wall's own coordinates are metres from its left end, seen from outside, and metres above
the ground.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, tan

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import turned
from preview.script.models.pieces.buildings import (
    Chimney,
    Cladding,
    Door,
    House,
    Opening,
    Outbuilding,
    Shed,
    Wall4,
    Window,
)

Vector = NDArray[np.float64]

WALLS: tuple[Wall4, ...] = ("front", "back", "left", "right")

HIGHEST_RISER = 0.18
"""Metres; a comfortable step outdoors. Common practice, no source."""
TREAD = 0.29
"""Depth of a step, metres. Common practice, no source."""
LAMP_ABOVE_FLOOR = 2.1
LAMP_FROM_WALL = 0.25
LAMP_FROM_DOOR = 0.6
"""From the middle of the door to the middle of the porch lamp."""
SET_BACK: dict[Cladding, float] = {"bricks": 0.075, "stones": 0.085, "render": 0.065}
"""How far windows and doors stand back in a wall of the kind, metres; in others they stand in its face."""
LIT = 0.028
"""How far behind the front of a window its place is, metres: a lit one glows behind both its sashes."""
SEAT_WIDTH = 1.3
SEAT_HEIGHT = 0.45
USUAL_CLADDING: dict[str, Cladding] = {
    "clapboard": "lapped",
    "brick": "bricks",
    "yellow brick": "bricks",
    "render": "render",
    "whitewash": "render",
    "log": "logs",
    "stone": "stones",
    "limestone": "stones",
    "granite": "stones",
}
"""Claddings of walls whose script names none."""


@dataclass(frozen=True)
class WallFrame:
    """The outer face of one wall, local axes: `start` (3,) its left end on the ground seen from outside."""

    start: Vector
    along: Vector
    """Unit, from left to right seen from outside."""
    outward: Vector
    """Unit."""
    length: float

    def point(self, from_left: float, above_ground: float, out: float = 0.0) -> Vector:
        """Local point (3,) at wall coordinates, `out` metres in front of the outer face."""
        up = np.array([0.0, 0.0, above_ground])
        return self.start + from_left * self.along + out * self.outward + up


@dataclass(frozen=True)
class Bounds:
    """A rectangle in wall coordinates, metres: from the wall's left end, and above the ground."""

    left: float
    right: float
    bottom: float
    top: float


@dataclass(frozen=True)
class Steps:
    """A flight from the ground to the porch: front-wall coordinates, metres."""

    left: float
    right: float
    count: int
    """Risers; the topmost tread is the porch floor itself, so there are count - 1 treads before it."""
    riser: float
    tread: float


def wall_frame(house: House, wall: Wall4) -> WallFrame:
    """The frame of one wall of the house."""
    half_width, half_depth = house.size[0] / 2, house.size[1] / 2
    start, along, outward, length = {
        "front": ((half_width, half_depth), (-1, 0), (0, 1), house.size[0]),
        "back": ((-half_width, -half_depth), (1, 0), (0, -1), house.size[0]),
        "left": ((half_width, -half_depth), (0, 1), (1, 0), house.size[1]),
        "right": ((-half_width, half_depth), (0, -1), (-1, 0), house.size[1]),
    }[wall]
    return WallFrame(
        np.array([*start, 0.0]), np.array([*along, 0.0]), np.array([*outward, 0.0]), float(length)
    )


def in_world(house: House, points: Vector) -> Vector:
    """Local points (..., 3) in the world."""
    return turned(points, house.facing, np.array([*house.at, 0.0]))


def direction_in_world(house: House, directions: Vector) -> Vector:
    """Local directions (..., 3) in the world."""
    return turned(directions, house.facing, np.zeros(3))


def wall_top(house: House) -> float:
    """Height of the tops of the walls above the ground, metres."""
    return house.floor + house.walls


def bounds(house: House, opening: Opening) -> Bounds:
    """Where the hole of a window or door is in its wall; doors stand on the floor inside."""
    bottom = house.floor + (opening.sill if isinstance(opening, Window) else 0.0)
    width, height = opening.size
    if isinstance(opening, Door):
        height += opening.over
    return Bounds(opening.from_left, opening.from_left + width, bottom, bottom + height)


def front_door(house: House) -> Door | None:
    """The first door in the front wall."""
    return next((door for door in house.doors if door.wall == "front"), None)


def porch_span(house: House) -> tuple[float, float]:
    """Left and right edge of the porch in front-wall coordinates: the whole front, or centred on it."""
    assert house.porch is not None
    front = house.size[0]
    width = front if house.porch.width is None else house.porch.width
    return (front - width) / 2, (front + width) / 2


def porch_steps(house: House) -> Steps:
    """The flight before the porch. `count` is 0 where the porch lies on the ground."""
    assert house.porch is not None
    left, right = porch_span(house)
    width = min(house.porch.steps_width, right - left)
    door = front_door(house)
    if house.porch.steps_from_left is not None:
        first = left + house.porch.steps_from_left
    elif door is not None:
        first = door.from_left + (door.size[0] - width) / 2
    else:
        first = (left + right - width) / 2
    first = min(max(first, left), right - width)
    count = ceil(round(house.floor / HIGHEST_RISER, 6))
    return Steps(first, first + width, count, house.floor / count if count else 0.0, TREAD)


def porch_lamp(house: House) -> Vector:
    """Local point (3,) of the porch lamp: under the ceiling, beside the front door, on its right if there is room."""
    left, right = porch_span(house)
    door = front_door(house)
    height = house.floor + min(LAMP_ABOVE_FLOOR, house.walls - 0.15)
    if door is None:
        from_left = (left + right) / 2
    else:
        middle = door.from_left + door.size[0] / 2
        aside = max(LAMP_FROM_DOOR, door.size[0] / 2 + 0.15)
        from_left = middle + aside if middle + aside <= right - 0.1 else middle - aside
        from_left = min(max(from_left, left), right)
    return wall_frame(house, "front").point(from_left, height, LAMP_FROM_WALL)


def roof_rise(house: House) -> float:
    """From the tops of the walls to the ridge, metres; 0 for a flat roof.

    The planes pass through the outer upper edges of the walls. A gable's ridge runs along the front, from left
    to right; a hip's runs along the longer side and is shorter than the house by its depth across.
    """
    if house.roof.shape == "flat":
        return 0.0
    across = house.size[1] if house.roof.shape == "gable" else min(house.size)
    return float(across / 2 * tan(house.roof.pitch))


def cladding_of(material: str, cladding: Cladding | None) -> Cladding:
    """What walls of a material show, unless the script says it."""
    return cladding or USUAL_CLADDING.get(material, "plain")


def set_back(house: House) -> float:
    """How far windows and doors stand behind the outer face of the walls, metres."""
    return min(SET_BACK.get(cladding_of(house.material, house.cladding), 0.0), 0.4 * house.thickness)


def porch_seat(house: House) -> Vector | None:
    """Local point (3,) of the middle of the seat of a porch's swing or bench; None where there is none, or no room."""
    porch = house.porch
    if porch is None or porch.seat == "none" or porch.depth < 1.2:
        return None
    left, right = porch_span(house)
    doors = sorted(
        (door.from_left - 0.25, door.from_left + door.size[0] + 0.25)
        for door in house.doors
        if door.wall == "front"
    )
    starts = [left + 0.3, *(end for _, end in doors)]
    ends = [*(start for start, _ in doors), right - 0.3]
    start, end = max(zip(starts, ends, strict=True), key=lambda span: span[1] - span[0])
    if end - start < SEAT_WIDTH:
        return None
    out = 0.42 if porch.seat == "bench" else max(0.75, 0.45 * porch.depth)
    return wall_frame(house, "front").point(0.5 * (start + end), house.floor + SEAT_HEIGHT, out)


def house_of(building: Outbuilding) -> House:
    """A shed or garage as the house that it is: one room, a boarded door in the front, a window in the right wall."""
    width, depth = building.size
    small = isinstance(building, Shed)
    # Its numbers are read already: they are not to be taken for degrees again.
    door = Door.model_construct(
        from_left=0.5 * (width - building.door[0]),
        size=building.door,
        open=building.open,
        leaf="boarded" if small else "double",
    )
    size = (0.6, 0.6) if small else (0.9, 0.8)
    sill = min(1.05, building.walls - size[1] - 0.25)
    windows = [
        Window.model_construct(
            wall="right", from_left=0.5 * (depth - size[0]), size=size, sill=sill, curtains="none"
        )
    ]
    return House.model_construct(
        at=building.at,
        size=building.size,
        walls=building.walls,
        floor=0.06,
        facing=building.facing,
        thickness=0.1 if small else 0.215,
        roof=building.roof,
        doors=[door],
        windows=windows if depth > size[0] + 0.8 else [],
        material=building.material,
        cladding=building.cladding,
        inside="wood" if small else "whitewash",
        trim=building.trim,
        door_material=building.door_material,
        chimney=Chimney(stack=False),
        furnished=False,
    )
