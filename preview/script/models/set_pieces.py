"""The set as the script gives it: one model for each kind of piece.

Plan coordinates: x right/east, y north, z up. `facing` is the azimuth (clockwise from north) that a piece's
front looks to; the default, 180 deg, looks south, towards a camera that stands at negative y.
"""

from __future__ import annotations

from math import hypot, pi, radians
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from preview.script import quantities
from preview.script.fields import (
    Angle,
    Facing,
    Length,
    Model,
    Name,
    NotNegative,
    Number,
    Path2,
    Point2,
    Positive,
    Rectangle,
    Seed,
    Whole,
    Yes,
)

Wall4 = Literal["front", "back", "left", "right"]
"""The walls of a house; left and right as seen by somebody outside who looks at the front."""


class Piece(Model):
    name: Name | None = None
    """The name that other parts of the script use; by default the kind, numbered when it repeats."""


Wetness = Annotated[Number, Field(ge=0, le=1)]


class Ground(Piece):
    material: str = "grass"
    at: Point2 = (0.0, 0.0)
    size: Rectangle = (400.0, 400.0)
    height: Length = 0.0
    wet: Wetness = 0.0
    """How wet: 0 dry, 0.5 damp, 1 after heavy rain, with puddles on level ground."""


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


MOST_TREES = 2000
"""Of one piece."""


class Trees(Piece):
    """One of `at` (points), `rows` with `from` and `spacing`, or `along` with `count`."""

    kind: Literal["broadleaf", "conifer", "bare", "pear"] = "broadleaf"
    at: Annotated[list[Point2], Field(max_length=MOST_TREES)] | None = None
    rows: tuple[Annotated[Whole, Field(ge=1, le=200)], Annotated[Whole, Field(ge=1, le=200)]] | None = None
    """Rows, and trees in a row; rows run east, further rows lie north."""
    from_: Point2 | None = Field(default=None, alias="from")
    spacing: Positive = 5.0
    along: Path2 | None = None
    count: Annotated[Whole, Field(ge=1, le=2000)] | None = None
    height: tuple[Positive, Positive] = (6.0, 9.0)
    scatter: NotNegative = 0.4
    """How far each tree may stand off its place."""
    leaves: Annotated[Number, Field(gt=0, le=3)] = 1.0
    """Amount of leaf against the usual."""
    seed: Seed = 1

    @model_validator(mode="after")
    def _not_a_forest(self) -> Trees:
        # Checked here, so that nothing is ever planted for a piece that asks for millions.
        if self.number > MOST_TREES:
            raise ValueError(f"{self.number} trees are asked for; a piece has {MOST_TREES} at the most")
        return self

    @property
    def number(self) -> int:
        """How many trees there are."""
        if self.at is not None:
            return len(self.at)
        if self.rows is not None:
            return self.rows[0] * self.rows[1]
        if self.along is None:
            return 0
        length = sum(
            hypot(b[0] - a[0], b[1] - a[1]) for a, b in zip(self.along, self.along[1:], strict=False)
        )
        return self.count or max(2, 1 + int(length / self.spacing))


class Hedge(Piece):
    along: Path2
    height: Positive = 1.2
    thickness: Positive = 0.7
    seed: Seed = 1


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


class LampPost(Piece):
    at: Point2
    height: Positive = 5.0
    arm: NotNegative = 1.0
    """How far the lamp reaches out from the post."""
    facing: Facing = pi
    """Which way the arm points."""
    material: str = "dark paint"


class Shelter(Piece):
    """A roadside shelter open to the front: back and side panels, roof, bench."""

    at: Point2
    size: Rectangle = (3.6, 1.5)
    height: Positive = 2.4
    facing: Angle = pi
    material: str = "grey paint"
    bench: Yes = True


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


SetPiece = Ground | House | Trees | Hedge | Fence | Wall | Box | Street | LampPost | Shelter | ImportedMesh

PIECES: dict[str, type[Piece]] = {
    "ground": Ground,
    "house": House,
    "trees": Trees,
    "hedge": Hedge,
    "fence": Fence,
    "wall": Wall,
    "box": Box,
    "street": Street,
    "lamp_post": LampPost,
    "shelter": Shelter,
    "mesh": ImportedMesh,
}
"""The key that starts a piece in the script's `set:` list, and its model."""
