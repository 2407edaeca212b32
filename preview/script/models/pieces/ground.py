"""Grounds, streets and paths as the script gives them."""

from __future__ import annotations

from preview.script.fields import (
    Length,
    NotNegative,
    Path2,
    Point2,
    Positive,
    Rectangle,
    Yes,
)
from preview.script.models.pieces.piece import Piece, Wetness


class Ground(Piece):
    material: str = "grass"
    at: Point2 = (0.0, 0.0)
    size: Rectangle = (400.0, 400.0)
    height: Length = 0.0
    wet: Wetness = 0.0
    """How wet: 0 dry, 0.5 damp, 1 after heavy rain, with puddles on level ground."""


class Street(Piece):
    along: Path2
    width: Positive = 6.5
    kerb: NotNegative = 0.12
    pavement: tuple[NotNegative, NotNegative] = (2.0, 2.0)
    """Width of the pavement left and right of the way the path runs; 0 for none."""
    centre_line: Yes = False
    material: str = "asphalt"
    pavement_material: str = "concrete"
    wet: Wetness = 0.0
    """How wet: 0 dry, 0.5 damp, 1 after heavy rain, with puddles."""
