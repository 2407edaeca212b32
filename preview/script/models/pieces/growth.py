"""What grows, as the script gives it."""

from __future__ import annotations

from math import hypot
from typing import Annotated, Literal

from pydantic import Field, model_validator

from preview.script.fields import (
    NotNegative,
    Number,
    Path2,
    Point2,
    Positive,
    Seed,
    Whole,
)
from preview.script.models.pieces.piece import Piece

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
