"""Builders: those of all things, by model."""

from __future__ import annotations

from collections.abc import Callable

from preview.build.mesh import Part
from preview.build.things.bicycle import build_bicycle
from preview.build.things.boat import build_boat
from preview.build.things.camp import build_campfire, build_driftwood, build_rocks, build_string
from preview.build.things.market import build_phone_box, build_stall, build_washing
from preview.build.things.props import build_prop
from preview.build.things.tents import build_tent
from preview.build.things.tractor import build_tractor
from preview.build.things.vehicle import build_vehicle
from preview.script.models.pieces.camp import Campfire, Driftwood, Rocks, StringOfBulbs, Tent
from preview.script.models.pieces.market import PhoneBox, Prop, Stall, WashingLine
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.vehicles import Bicycle, Boat, Car, Pickup, Tractor, Van

BUILDERS: dict[type[Piece], Callable[..., list[Part]]] = {
    Car: build_vehicle,
    Van: build_vehicle,
    Pickup: build_vehicle,
    Tractor: build_tractor,
    Bicycle: build_bicycle,
    Boat: build_boat,
    Campfire: build_campfire,
    Tent: build_tent,
    Rocks: build_rocks,
    Driftwood: build_driftwood,
    StringOfBulbs: build_string,
    Stall: build_stall,
    PhoneBox: build_phone_box,
    WashingLine: build_washing,
    Prop: build_prop,
}
"""Of the piece's name, its model and the `Site`."""
