"""Vehicles as the script gives them."""

from __future__ import annotations

from math import pi, radians
from typing import Annotated, Literal

from pydantic import Field

from preview.script.fields import Angle, Facing, Model, Number, Point2, Positive
from preview.script.models.pieces.piece import Piece, Wetness

Swing = Annotated[Angle, Field(ge=0, le=radians(75))]


class CarDoors(Model):
    """How far its front doors stand open; left and right as who drives sees them."""

    left: Swing = 0.0
    right: Swing = 0.0


class Parked(Piece):
    at: Point2
    """The middle of its plan."""
    facing: Facing = pi
    """Which way it would drive."""
    length: Positive | None = None
    """Over all; width and height follow. Default: a typical one of its kind."""
    wet: Wetness = 0.0
    """How wet: 0 dry, 0.5 damp, 1 after heavy rain."""
    dirt: Annotated[Number, Field(ge=0, le=1)] = 0.25
    """How dirty it is, from the road up."""


class Vehicle(Parked):
    paint: str = "silver car paint"
    doors: CarDoors = CarDoors()
    steer: Annotated[Angle, Field(ge=radians(-35), le=radians(35))] = 0.0
    """How far its front wheels are turned, to the right."""
    driver: Literal["left", "right"] = "left"
    """The side on which one drives."""


class Car(Vehicle):
    kind: Literal["saloon", "estate"] = "saloon"


class Van(Vehicle):
    paint: str = "white car paint"


class Pickup(Vehicle):
    paint: str = "red car paint"


class Tractor(Parked):
    paint: str = "red paint"


class Bicycle(Parked):
    paint: str = "black paint"
    lean: Annotated[Angle, Field(ge=radians(-30), le=radians(30))] = radians(-8)
    """To its right; on its stand it leans a little to the left."""


class Boat(Parked):
    """An open clinker-built rowing boat."""

    paint: str = "white paint"
    """Of its planks outside."""
    inside: str = "varnished wood"
    heel: Annotated[Angle, Field(ge=radians(-40), le=radians(40))] = 0.0
    """To its right; ashore it lies on a bilge, at 12 to 20 degrees."""
    oars: Literal["shipped", "none"] = "shipped"
