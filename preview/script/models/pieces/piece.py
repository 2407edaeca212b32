"""Piece: what every piece of the set is, whatever its kind."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from preview.script.fields import (
    Model,
    Name,
    Number,
)


class Piece(Model):
    name: Name | None = None
    """The name that other parts of the script use; by default the kind, numbered when it repeats."""


Wetness = Annotated[Number, Field(ge=0, le=1)]
