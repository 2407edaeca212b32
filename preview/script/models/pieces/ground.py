"""Grounds, streets and paths as the script gives them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from preview.script.fields import (
    Facing,
    Heights,
    Length,
    Model,
    NotNegative,
    Path2,
    Point2,
    Positive,
    Rectangle,
    Relief,
    Seed,
    Steepness,
    Yes,
)
from preview.script.models.pieces.piece import Piece, Wetness


class Slope(Model):
    rise: Steepness
    """How steep: `6 deg`, or `8 %`, which climbs 8 cm in a metre."""
    towards: Facing
    """The way it climbs: an azimuth, or a place."""


class Ground(Piece):
    """A piece of country. Where several cover a place, things stand on the highest.

    One that says nothing of its height lies on those before it that slope.
    """

    material: str = "grass"
    at: Point2 = (0.0, 0.0)
    size: Rectangle = (400.0, 400.0)
    height: Length = 0.0
    """Height of its middle, before `heights` are added."""
    slope: Slope | None = None
    heights: Heights | None = None
    """Heights over its size, from its north edge to its south, in rows from west to east: a few rows of metres, or a
    picture in 8 or 16 bit grey. The ground runs smoothly through them."""
    relief: Relief | None = None
    """How high black and white of the picture are."""
    wet: Wetness = 0.0
    """How wet: 0 dry, 0.5 damp, 1 after heavy rain, with puddles on level ground."""


class Street(Piece):
    along: Path2
    width: Positive = 6.5
    kerb: NotNegative = 0.12
    pavement: tuple[NotNegative, NotNegative] = (2.0, 2.0)
    """Width of the pavement left and right of the way the path runs; 0 for none."""
    centre_line: Yes = False
    edge_lines: Yes = False
    crossings: list[NotNegative] = Field(default=[], max_length=20)
    """Metres from the start to the middle of each zebra crossing."""
    manholes: Yes = True
    """Covers and gullies in the carriageway."""
    material: str = "asphalt"
    pavement_material: str = "concrete"
    wet: Wetness = 0.0
    """How wet: 0 dry, 0.5 damp, 1 after heavy rain, with puddles."""


PathKind = Literal["gravel", "earth", "flagstones", "boardwalk"]
PATH_MATERIALS: dict[PathKind, str] = {
    "gravel": "gravel",
    "earth": "soil",
    "flagstones": "stone",
    "boardwalk": "weathered wood",
}
"""What each kind of path is of, unless it says otherwise."""


class Footpath(Piece):
    along: Path2
    width: Annotated[Positive, Field(ge=0.3, le=12)] = 1.2
    kind: PathKind = "gravel"
    """Raked gravel, trodden earth, flagstones with joints, or planks across two bearers."""
    material: str | None = None
    """Default: that of the kind."""
    wet: Wetness = 0.0
    """How wet: 0 dry, 0.5 damp, 1 after heavy rain, with puddles."""
    seed: Seed = 1
