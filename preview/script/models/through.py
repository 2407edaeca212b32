"""Through: what a fixture's light passes, from the head outwards.

Gels, shifts and scrims only scale and colour it. The rest stands in its way, each thing along the light's axis; after a
`bounce` the axis goes on from the board to what the bounce is for, and distances are counted from the board.
"""

from __future__ import annotations

from math import pi
from typing import Annotated, Literal

from pydantic import Field

from preview.script.fields import (
    Angle,
    At,
    Length,
    Level,
    Mired,
    Model,
    NotNegative,
    Positive,
    Rectangle,
    Seed,
)

Tilt = Annotated[Angle, Field(gt=-pi / 2, lt=pi / 2)]


class GelFile(Model):
    """A gel measured by its user: `file`, a table of wavelength (nm) and transmission (0 to 1), beside the script."""

    file: str


class Doors(Model):
    """Barn doors: how far each leaf is open. 90 degrees is along the beam, less comes into it. None: no leaf."""

    top: Annotated[Angle, Field(ge=0, le=pi)] | None = None
    bottom: Annotated[Angle, Field(ge=0, le=pi)] | None = None
    left: Annotated[Angle, Field(ge=0, le=pi)] | None = None
    right: Annotated[Angle, Field(ge=0, le=pi)] | None = None
    """Left and right as the head looks along its beam."""


class Snoot(Model):
    """A tube on the head: its length, and the diameter of its open end."""

    length: Positive
    opening: Positive


class Through(Model):
    """One thing in the light's way: exactly one of gel, shift, scrim, cloth alone, frame, bounce, box, flag, cucoloris,
    doors, snoot."""

    gel: str | GelFile | None = None
    shift: Mired | None = None
    scrim: Literal["single", "double", "half single", "half double"] | None = None
    frame: Rectangle | None = None
    """Size of a frame; its `cloth` is in it."""
    cloth: str | None = None
    """In a frame, in a flag's place (a net), on a box; alone: on the head itself."""
    bounce: Rectangle | None = None
    """Size of a board that the light falls on and comes off, `of` its surface, towards `to`."""
    of: str | None = None
    """What a bounce board is made of: a bounce of the catalogue or any material."""
    to: At | None = None
    """Where a bounce is aimed."""
    box: Rectangle | None = None
    """Size of the front of a soft box on the head."""
    depth: Positive | None = None
    """Of a soft box, from the head's front to its own. Default: half its shorter side."""
    skirt: NotNegative = 0.0
    """How far a box's rim stands out before its front."""
    grid: Annotated[Angle, Field(gt=0, lt=pi)] | None = None
    """Cut-off of the grid on a box: the full angle beyond which nothing passes."""
    flag: Rectangle | None = None
    """Size of a flag or cutter; with a net as `cloth`, a net."""
    cucoloris: Rectangle | None = None
    """Size of a board with holes cut at random."""
    open: Annotated[Level, Field(gt=0, le=0.65)] = 0.4
    """The share of a cucoloris that is holes; its rim is whole."""
    seed: Seed = 1
    """Which pattern of holes."""
    doors: Doors | None = None
    snoot: Snoot | None = None
    away: Positive = 1.5
    """Along the axis, from the head, or from the bounce before it."""
    aside: Length = 0.0
    """How far a frame, bounce, flag or cucoloris stands to the right of the axis, seen as the light goes."""
    up: Length = 0.0
    """How far it stands above the axis; a bounce as well."""
    tilt: Tilt = 0.0
    """How far its top leans the way the light goes."""
    turn: Tilt = 0.0
    """How far it is turned about its upright, clockwise from above."""
    roll: Annotated[Angle, Field(ge=-pi, le=pi)] = 0.0
    """How far it is turned in its own plane, clockwise as the light goes."""
