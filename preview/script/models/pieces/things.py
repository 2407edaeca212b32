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


class Wall(Piece):
    along: Path2
    height: Positive = 2.0
    thickness: Positive = 0.25
    material: str = "brick"
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


class LampPost(Piece):
    at: Point2
    height: Positive = 5.0
    arm: NotNegative = 1.0
    """How far the lamp reaches out from the post."""
    facing: Facing = pi
    """Which way the arm points."""
    material: str = "dark paint"
