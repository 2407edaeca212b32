"""A mesh from a file as the script gives it."""

from __future__ import annotations

from math import pi, radians
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from preview.script import quantities
from preview.script.fields import (
    Angle,
    Length,
    Point2,
)
from preview.script.models.pieces.piece import Piece

FILE_UNITS = ("m", "cm", "mm", "in", "ft")


def _scale(value: Any) -> Any:
    if isinstance(value, str) and value.strip() in FILE_UNITS:
        return value.strip()
    if isinstance(value, str) and not quantities.is_angle(value):
        raise ValueError(f"{quantities.shown(value)} is not a scale; write a factor, or m, cm, mm, in or ft")
    factor = quantities.number(value)
    if not 1e-6 <= factor <= 1e6:
        raise ValueError(f"a scale of {quantities.shown(value)} is out of all proportion")
    return factor


Scale = Annotated[
    float | Literal["m", "cm", "mm", "in", "ft"],
    BeforeValidator(_scale),
    WithJsonSchema({"anyOf": [{"type": "number"}, {"enum": list(FILE_UNITS)}]}),
]


class ImportedMesh(Piece):
    file: str
    at: Point2 = (0.0, 0.0)
    height: Length = 0.0
    turn: Angle = 0.0
    up: Literal["y", "z"] = "z"
    scale: Scale = "m"
    """A factor, or the unit that the file is in."""
    material: str = "grey card"
    smooth: Annotated[Angle, Field(ge=0, le=pi)] = radians(35)
    """Edges bent less than this are shaded round."""
