"""Buildings as the script gives them."""

from __future__ import annotations

from math import pi, radians
from typing import Annotated, Literal

from pydantic import Field

from preview.script.fields import (
    Angle,
    Model,
    NotNegative,
    Point2,
    Positive,
    Rectangle,
    Yes,
)
from preview.script.models.pieces.piece import Piece

Wall4 = Literal["front", "back", "left", "right"]
"""The walls of a house; left and right as seen by somebody outside who looks at the front."""


class Roof(Model):
    shape: Literal["gable", "hip", "flat"] = "gable"
    pitch: Annotated[Angle, Field(ge=0, lt=radians(75))] = radians(38)
    overhang: NotNegative = 0.4
    material: str = "roof tiles"


class Opening(Model):
    """A hole in a wall; `from_left` is measured on the wall seen from outside, to the opening's left edge."""

    wall: Wall4 = "front"
    from_left: NotNegative
    size: Rectangle


class Window(Opening):
    sill: NotNegative = 0.9
    """Height of the lower edge above the floor inside."""
    bars: Yes = True


class Door(Opening):
    size: Rectangle = (0.9, 2.05)
    open: Annotated[Angle, Field(ge=0, le=radians(120))] = 0.0
    """How far the leaf stands open, inwards."""


class Porch(Model):
    """A porch along the front: floor, posts, roof, steps to the ground, rail."""

    depth: Positive = 2.2
    width: Positive | None = None
    """Default: the whole front."""
    rail: Yes = True
    steps_from_left: NotNegative | None = None
    """Left edge of the steps on the porch's front edge; default: before the first front door, else the middle."""
    steps_width: Positive = 1.4


class House(Piece):
    at: Point2
    """Centre of the plan, porch left out."""
    size: Rectangle
    """Along the front, and deep."""
    walls: Annotated[Positive, Field(ge=1.8, le=50)] = 2.8
    """Height of the walls above the floor inside."""
    floor: NotNegative = 0.45
    """Height of the floor inside, and of the porch, above the ground."""
    facing: Angle = pi
    thickness: Annotated[Positive, Field(le=1)] = 0.18
    roof: Roof = Roof()
    porch: Porch | None = None
    windows: list[Window] = Field(default=[], max_length=100)
    doors: list[Door] = Field(default=[], max_length=20)
    material: str = "clapboard"
    inside: str = "plaster"
    trim: str = "white paint"


class Shelter(Piece):
    """A roadside shelter open to the front: back and side panels, roof, bench."""

    at: Point2
    size: Rectangle = (3.6, 1.5)
    height: Positive = 2.4
    facing: Angle = pi
    material: str = "grey paint"
    bench: Yes = True
