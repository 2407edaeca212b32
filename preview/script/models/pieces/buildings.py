"""Buildings as the script gives them."""

from __future__ import annotations

from math import pi, radians
from typing import Annotated, Literal

from pydantic import Field

from preview.script.fields import (
    Angle,
    Length,
    Model,
    NotNegative,
    Point2,
    Positive,
    Rectangle,
    Seed,
    Whole,
    Yes,
)
from preview.script.models.pieces.piece import Piece

Wall4 = Literal["front", "back", "left", "right"]
"""The walls of a house; left and right as seen by somebody outside who looks at the front."""


Cladding = Literal["lapped", "battened", "bricks", "stones", "render", "logs", "plain"]
"""What a wall shows: lapped boards, upright boards with battens on their joints, bricks, stones, render, logs, nothing."""
Bond = Literal["stretcher", "flemish", "english"]
Curtains = Literal["open", "half", "drawn", "none", "net"]


class Roof(Model):
    shape: Literal["gable", "hip", "flat"] = "gable"
    pitch: Annotated[Angle, Field(ge=0, lt=radians(75))] = radians(38)
    overhang: NotNegative = 0.4
    material: str = "roof tiles"
    """Tiles; slate lies as slates, wood as shingles, metal as sheets with standing seams."""


class Opening(Model):
    """A hole in a wall; `from_left` is measured on the wall seen from outside, to the opening's left edge."""

    wall: Wall4 = "front"
    from_left: NotNegative
    size: Rectangle


class Window(Opening):
    sill: NotNegative = 0.9
    """Height of the lower edge above the floor inside."""
    bars: Yes = True
    curtains: Curtains = "open"
    """Drawn aside, half drawn, drawn, none, or net over the whole window; their cloth passes some light."""
    curtain_material: str = "curtain"
    shutters: Yes = False
    """A leaf folded back on each side, of the colour of the doors."""


class Door(Opening):
    size: Rectangle = (0.9, 2.05)
    open: Annotated[Angle, Field(ge=0, le=radians(120))] = 0.0
    """How far the leaf stands open: inwards, boarded ones outwards."""
    leaf: Literal["panelled", "boarded", "double"] = "panelled"
    """Boarded leaves, one or two of them, open outwards."""
    glazed: Yes = False
    """Glass in place of the leaf's upper panels."""
    over: Annotated[Length, Field(ge=0, le=1.5)] = 0.0
    """Height of a glass light over the leaf, on top of the size; 0 for none."""


class Porch(Model):
    """A porch along the front: floor, posts, roof, steps to the ground, rail."""

    depth: Positive = 2.2
    width: Positive | None = None
    """Default: the whole front."""
    rail: Yes = True
    steps_from_left: NotNegative | None = None
    """Left edge of the steps on the porch's front edge; default: before the first front door, else the middle."""
    steps_width: Positive = 1.4
    seat: Literal["none", "swing", "bench"] = "none"
    """A swing on chains from the ceiling or a bench by the wall, in the widest stretch without a door."""


class Chimney(Model):
    stack: Yes = True
    """Whether there is one. None is on a flat roof or a small house."""
    from_left: NotNegative | None = None
    """Its middle, from the left end of the front; default: three quarters of the way along a gable, the middle of a hip."""
    height: Positive = 0.95
    """Of the stack above the ridge, pots left out."""
    pots: Annotated[Whole, Field(ge=0, le=6)] = 2


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
    cladding: Cladding | None = None
    """What the walls show; default by their material: brick, stone, render, log as such, clapboard lapped, others plain."""
    bond: Bond = "flemish"
    """How bricks lie."""
    inside: str = "plaster"
    trim: str = "white paint"
    door_material: str = "green paint"
    """Of front doors and shutters; other doors are as the trim."""
    chimney: Chimney = Chimney()
    furnished: Yes = True
    """A table under a lamp's flex, shelves, pictures, a standing lamp: what is seen of a room through its windows."""


class Outbuilding(Piece):
    """A small closed building with a door in its front, and a window in its right wall where that is long enough."""

    at: Point2
    size: Rectangle
    """Along the front, and deep."""
    walls: Annotated[Positive, Field(ge=1.8, le=12)]
    facing: Angle = pi
    open: Annotated[Angle, Field(ge=0, le=radians(120))] = 0.0
    """How far the door stands open, outwards."""
    door: Rectangle
    """The doorway, in the middle of the front."""
    roof: Roof
    material: str
    cladding: Cladding | None = None
    trim: str
    door_material: str


class Shed(Outbuilding):
    """A garden shed with one boarded door."""

    size: Rectangle = (2.4, 3.0)
    walls: Annotated[Positive, Field(ge=1.8, le=12)] = 2.1
    door: Rectangle = (0.85, 1.85)
    roof: Roof = Roof(pitch=28.0, overhang=0.15, material="weathered wood")
    material: str = "weathered wood"
    cladding: Cladding | None = "battened"
    trim: str = "weathered wood"
    door_material: str = "weathered wood"


class Garage(Outbuilding):
    """A garage for one car, with two boarded leaves."""

    size: Rectangle = (3.6, 6.0)
    walls: Annotated[Positive, Field(ge=1.8, le=12)] = 2.5
    door: Rectangle = (2.5, 2.15)
    roof: Roof = Roof(pitch=30.0, overhang=0.25, material="roof tiles")
    material: str = "brick"
    cladding: Cladding | None = None
    trim: str = "white paint"
    door_material: str = "blue paint"


class Shops(Piece):
    """A row of shop fronts: display window, door set back, fascia, blind; rooms with goods, windows above.

    `shops.window[0]` is the first display window from the left, `shops.room[0]` a place for a lamp behind it,
    `shops.door[0]`, `shops.fascia[0]`, `shops.upper.window[0]` its other parts.
    """

    at: Point2
    """Centre of the plan."""
    bays: Annotated[Whole, Field(ge=1, le=40)] = 3
    bay: Annotated[Positive, Field(ge=2.8, le=20)] = 5.0
    """Width of one shop."""
    depth: Annotated[Positive, Field(ge=3, le=40)] = 8.0
    floors: Annotated[Whole, Field(ge=1, le=5)] = 2
    """Storeys, the shops' own among them."""
    facing: Angle = pi
    material: str = "brick"
    cladding: Cladding | None = None
    bond: Bond = "flemish"
    trim: str = "white paint"
    fronts: list[str] = Field(
        default=["green paint", "red paint", "dark paint", "blue paint"], min_length=1, max_length=40
    )
    """Materials of the shop fronts from left to right, repeated."""
    blinds: list[Yes] = Field(default=[False], min_length=1, max_length=40)
    """Whether the striped blind over each shop is out, from left to right, repeated."""
    goods: Yes = True
    seed: Seed = 1


class Shelter(Piece):
    """A roadside shelter open to the front: back and side panels, roof, bench."""

    at: Point2
    size: Rectangle = (3.6, 1.5)
    height: Positive = 2.4
    facing: Angle = pi
    material: str = "grey paint"
    bench: Yes = True
