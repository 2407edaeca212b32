"""Market and street furniture as the script gives them."""

from __future__ import annotations

from math import pi
from typing import Annotated, Literal

from pydantic import Field

from preview.script.fields import Facing, Length, Number, Path2, Point2, Positive, Seed
from preview.script.models.pieces.piece import Piece, Wetness


class Stall(Piece):
    """A market stall: a table under an awning on four posts, crates of goods on it."""

    at: Point2
    facing: Facing = pi
    """Which way it sells."""
    size: tuple[Positive, Positive] = (2.6, 1.6)
    """Width and depth of the awning's frame."""
    height: Positive = 2.4
    """Of the awning's ridge."""
    goods: Literal["fruit", "bread", "none"] = "fruit"
    awning: str = "light cloth"
    stripe: str = "red cloth"
    """Material of every second stripe of the awning."""
    wet: Wetness = 0.0
    """Of its awning: 0 dry, 0.5 damp, 1 after heavy rain."""
    seed: Seed = 1


class PhoneBox(Piece):
    """A telephone box of no real make: glazed door and sides, a lamp under its roof at `NAME.lamp`."""

    at: Point2
    facing: Facing = pi
    """Which way its door looks."""
    paint: str = "grey paint"
    wet: Wetness = 0.0
    """How wet: 0 dry, 0.5 damp, 1 after heavy rain."""


class WashingLine(Piece):
    """Sheets and shirts on a line between two posts."""

    along: Path2
    height: Positive = 1.9
    material: str = "light cloth"
    seed: Seed = 1


class Prop(Piece):
    """One thing that stands about."""

    kind: Literal[
        "crate",
        "pallet",
        "barrel",
        "bench",
        "table",
        "chair",
        "bin",
        "bollard",
        "signpost",
        "ladder",
        "sacks",
        "candle",
    ] = "crate"
    at: Point2
    height: Length = 0.0
    """How high what it stands on is above the ground."""
    facing: Facing = pi
    """Which way its front looks; a sign's arms point to both sides."""
    size: Annotated[Number, Field(ge=0.3, le=3)] = 1.0
    """How many times its usual size it is."""
    material: str | None = None
    """Default by kind."""
    wet: Wetness = 0.0
    """How wet: 0 dry, 0.5 damp, 1 after heavy rain."""
    seed: Seed = 1
