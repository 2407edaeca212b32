"""Walls, fences and things as the script gives them."""

from __future__ import annotations

from math import pi, radians
from typing import Annotated, Literal

from pydantic import Field

from preview.script.fields import (
    Angle,
    Facing,
    Length,
    Model,
    NotNegative,
    Path2,
    Point2,
    Positive,
    Seed,
)
from preview.script.models.pieces.piece import Piece, Wetness


class Gate(Model):
    from_start: NotNegative
    width: Positive = 1.1
    open: Annotated[Angle, Field(ge=radians(-120), le=radians(120))] = radians(70)


class Fence(Piece):
    kind: Literal["picket", "rail", "board"] = "picket"
    along: Path2
    height: Positive = 1.1
    gates: list[Gate] = Field(default=[], max_length=50)
    material: str = "white paint"
    seed: Seed = 1


class WallGate(Gate):
    """A gate between two piers, which stand in the wall beside it; wider than 1.8 m it has two leaves."""

    leaf: Literal["wooden", "iron"] = "wooden"


class Wall(Piece):
    along: Path2
    height: Positive = 2.0
    thickness: Positive = 0.25
    material: str = "brick"
    """Brick, yellow brick, stone, limestone and granite are laid; others are one piece."""
    gates: list[WallGate] = Field(default=[], max_length=50)
    """A leaf hangs on the pier nearer the path's start, and opens to the right of the way the path runs."""
    wet: Wetness = 0.0
    """How wet: 0 dry, 0.5 damp, 1 after heavy rain, with puddles on level ground."""


class Box(Piece):
    at: Point2
    size: tuple[Positive, Positive, Positive]
    """Width (along x before the turn), depth, height."""
    height: Length = 0.0
    """How high its underside is."""
    turn: Angle = 0.0
    """Clockwise seen from above."""
    material: str = "grey card"
    wet: Wetness = 0.0
    """How wet: 0 dry, 0.5 damp, 1 after heavy rain, with puddles on level ground."""


LAMP_HEIGHTS = {"arm": 5.0, "double": 9.0, "column": 3.8, "bracket": 3.0, "bollard": 1.0}
"""Metres, by kind of lamp post, where none is given. From memory, typical."""
LAMP_ARMS = {"arm": 1.0, "double": 1.4, "column": 0.0, "bracket": 0.6, "bollard": 0.0}


class LampPost(Piece):
    kind: Literal["arm", "double", "column", "bracket", "bollard"] = "arm"
    """`double` has two arms, `column` a glazed lantern on top, `bollard` a lamp behind rings; a `bracket` is on a wall."""
    at: Point2
    """Where it stands; of a bracket, below its plate on the wall."""
    height: Positive | None = None
    """Default by kind: 5 m, double 9 m, column 3.8 m, bracket 3 m, bollard 1 m."""
    arm: NotNegative | None = None
    """How far the lamp reaches out from the post. Default by kind: 1 m, double 1.4 m, bracket 0.6 m."""
    facing: Facing = pi
    """Which way the arm points; of a double one its right arm, as one faces it."""
    material: str = "dark paint"

    @property
    def tall(self) -> float:
        """Its height, metres."""
        return LAMP_HEIGHTS[self.kind] if self.height is None else self.height

    @property
    def reach(self) -> float:
        """How far its lamp is from the post, metres."""
        if self.kind in ("column", "bollard"):
            return 0.0
        return LAMP_ARMS[self.kind] if self.arm is None else self.arm
