"""A mesh from a file as the script gives it."""

from __future__ import annotations

from math import pi, radians
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from preview.script import quantities
from preview.script.fields import (
    Angle,
    Length,
    Model,
    Point2,
    Point3,
    Yes,
)
from preview.script.models.pieces.piece import Piece

FILE_UNITS = ("m", "cm", "mm", "in", "ft")
FEWEST, MOST = 100, 20_000_000
"""Triangles that a mesh may be thinned out to."""


def _scale(value: Any) -> Any:
    if value is None:
        return None
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


def _fewer(value: Any) -> Any:
    """A whole number of triangles as it is, per cent as a share below 1."""
    how = "write how many triangles to keep, such as 200000, or a share, such as 25 %"
    if isinstance(value, str):
        text = value.strip().lower().removesuffix("faces").removesuffix("triangles").strip()
        if text.endswith("%"):
            share = quantities.number(text[:-1].strip()) / 100.0
            if not 0.0 < share < 1.0:
                raise ValueError(f"{quantities.shown(value)} is not a share of the triangles; {how}")
            return float(share)
        value = text.replace(" ", "").replace(",", "").replace("\u202f", "")
        value = int(value) if value.isdigit() else value
    if isinstance(value, bool) or not isinstance(value, int | float) or value != int(value):
        raise ValueError(f"{quantities.shown(value)} is not a number of triangles; {how}")
    if not FEWEST <= value <= MOST:
        raise ValueError(f"{value:,.0f} triangles cannot be asked for; from {FEWEST} to {MOST:,}")
    return int(value)


Fewer = Annotated[
    int | float,
    BeforeValidator(_fewer),
    WithJsonSchema(
        {
            "type": ["number", "string"],
            "description": "How many triangles to keep, or which share of them.",
            "examples": [200000, "25 %"],
        }
    ),
]


class Crop(Model):
    """A box in the set: what of a mesh lies outside is left out."""

    from_: Point3 = Field(alias="from")
    to: Point3
    """The corner opposite `from`: both as the mesh stands in the set, heights counted from the ground under its `at`."""


class ImportedMesh(Piece):
    file: str
    """An OBJ, PLY, STL, glTF or GLB file, relative to the script."""
    at: Point2 = (0.0, 0.0)
    height: Length = 0.0
    """How far it is lifted, or let into the ground."""
    turn: Angle = 0.0
    """Clockwise, seen from above."""
    up: Literal["auto", "y", "z"] = "auto"
    """Which axis of the file is up. `auto`: y of glTF; of others that at whose foot level ground lies, else z."""
    scale: Scale | None = None
    """A factor, or the unit that the file is in; metres of glTF, else a likely one if it is not given."""
    origin: Literal["file", "middle"] = "file"
    """What of the mesh stands at `at`: its own origin, or the middle of its plan."""
    drop: Yes = False
    """Put on the ground by its lowest points, but for a few stray ones; `height` is added."""
    crop: Crop | None = None
    """All that is left of a scan, as it stands in the set."""
    simplify: Fewer | None = None
    """How many triangles to keep, or which share of them."""
    colours: Yes | None = None
    """Whether the file's own colours are what it reflects; by default where no `material` is given."""
    material: str | None = None
    """What all of it is made of that has no colours of its own; a grey card if it is not given."""
    parts: dict[str, str] = Field(default={}, max_length=100)
    """Materials by the names of parts: groups, objects, nodes or materials of the file; * stands for anything."""
    smooth: Annotated[Angle, Field(ge=0, le=pi)] = radians(35)
    """Edges bent less than this are shaded round."""

    @property
    def takes_colours(self) -> bool:
        """Whether the file's own colours are asked for."""
        return self.material is None if self.colours is None else self.colours
