"""The cast as the script gives it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from preview.script.fields import At, Facing, Length, MarkFacing, Model, Name, Point2, Positive


class Figure(Model):
    """One person. `NAME`, `.face`, `.eyes`, `.chest`, `.feet` are places that others may name."""

    name: Name
    at: Point2
    height_of_ground: Length = Field(default=0.0, alias="ground")
    """Height of what the feet stand on."""
    facing: Facing
    height: Annotated[Positive, Field(ge=0.5, le=2.5)] = 1.72
    pose: Literal["stand", "sit"] = "stand"
    seat: Positive = 0.46
    """Height of the seat above the feet, when sitting."""
    skin: Literal["very light", "light", "medium", "brown", "dark"] = "medium"
    hair: Literal["black", "brown", "fair", "grey", "red"] = "brown"
    top: str = "dark cloth"
    bottom: str = "dark cloth"


class Mark(Model):
    """Where the meter is held: a named place of the set or cast, or a place of its own with a facing."""

    name: str
    at: At | None = None
    facing: MarkFacing | None = None
    """Default: the way the named place faces, else the camera."""
