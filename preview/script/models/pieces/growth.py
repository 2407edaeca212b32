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
"""Of one piece; shrubs count as trees."""

FILLED = 0.55
"""How many plants stand on the square of their spacing where they are strewn: 0.7 is all that chance has room for."""

Polygon = Annotated[list[Point2], Field(min_length=3, max_length=200)]
Share = Annotated[Number, Field(ge=0, le=1)]


def area_of(polygon: list[tuple[float, float]]) -> float:
    """Square metres inside a polygon, by the shoelace formula."""
    turned = [*polygon[1:], *polygon[:1]]
    return abs(sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(polygon, turned, strict=True))) / 2


class Planted(Piece):
    """One of `at` (points), `rows` with `from` and `spacing`, `along` with `count`, or `in` (a polygon) with `count`."""

    at: Annotated[list[Point2], Field(max_length=MOST_TREES)] | None = None
    rows: tuple[Annotated[Whole, Field(ge=1, le=200)], Annotated[Whole, Field(ge=1, le=200)]] | None = None
    """Rows, and how many in a row; rows run east, further rows lie north."""
    from_: Point2 | None = Field(default=None, alias="from")
    spacing: Positive = 5.0
    """How far apart they stand: in rows and along a path about so far, in a polygon at the least."""
    along: Path2 | None = None
    width: NotNegative = 0.0
    """With along: of the belt that they are strewn over, the path in its middle; 0 is a single line."""
    in_: Polygon | None = Field(default=None, alias="in")
    """Corners of a piece of land that they are strewn over, no two too near each other."""
    count: Annotated[Whole, Field(ge=1, le=2000)] | None = None
    height: tuple[Positive, Positive] = (6.0, 9.0)
    scatter: NotNegative = 0.4
    """How far each may stand off its place in a row or line."""
    leaves: Annotated[Number, Field(gt=0, le=3)] = 1.0
    """Amount of leaf against the usual."""
    season: Literal["summer", "autumn", "winter"] = "summer"
    """What has leaves turns in autumn and is bare in winter; needles stay."""
    seed: Seed = 1

    @model_validator(mode="after")
    def _not_a_forest(self) -> Planted:
        # Checked here, so that nothing is ever planted for a piece that asks for millions.
        if self.number > MOST_TREES:
            raise ValueError(f"{self.number} trees are asked for; a piece has {MOST_TREES} at the most")
        return self

    @property
    def number(self) -> int:
        """How many there are."""
        if self.at is not None:
            return len(self.at)
        if self.rows is not None:
            return self.rows[0] * self.rows[1]
        if self.in_ is not None:
            return self.count or max(1, round(FILLED * area_of(self.in_) / self.spacing**2))
        if self.along is None:
            return 0
        length = sum(
            hypot(b[0] - a[0], b[1] - a[1]) for a, b in zip(self.along, self.along[1:], strict=False)
        )
        if self.width > 0.0:
            return self.count or max(2, round(FILLED * length * self.width / self.spacing**2))
        return self.count or max(2, 1 + int(length / self.spacing))


class Trees(Planted):
    kind: Literal["broadleaf", "conifer", "pine", "birch", "willow", "pear", "apple", "bare", "dead"] = (
        "broadleaf"
    )
    """`bare` is a broadleaf in winter, `dead` one without twigs or bark."""


class Shrubs(Planted):
    kind: Literal["rounded", "loose"] = "rounded"
    """`rounded` is dense down to the ground, `loose` a fountain of thin stems."""
    spacing: Positive = 1.5
    height: tuple[Positive, Positive] = (0.9, 1.6)
    scatter: NotNegative = 0.2


class Hedge(Piece):
    along: Path2
    height: Positive = 1.2
    thickness: Positive = 0.7
    season: Literal["summer", "autumn"] = "summer"
    seed: Seed = 1


class Blades(Piece):
    """In a polygon, along a path, or, where neither is given, wherever a camera may see it."""

    in_: Polygon | None = Field(default=None, alias="in")
    """Corners of the piece of land that it grows on. Default: all round the cameras."""
    along: Path2 | None = None
    """Such as the foot of a wall or a fence, or a bank."""
    width: Positive = 0.5
    """With along: of the strip, the path in its middle."""
    density: Annotated[Number, Field(gt=0, le=3)] = 1.0
    """How much of it against the usual."""
    seed: Seed = 1


class Grass(Blades):
    """It keeps off houses, streets, boxes and other grounds that lie on its own."""

    kind: Literal["lawn", "meadow", "tufts"] = "lawn"
    height: tuple[Positive, Positive] | None = None
    """Lowest and highest. Default: a lawn 3 to 6 cm, a meadow 30 to 70 cm, tufts 12 to 35 cm."""
    dry: Share = 0.15
    """How much of it is straw."""


class Reeds(Blades):
    """They stand in water as on land."""

    width: Positive = 2.0
    height: tuple[Positive, Positive] = (1.5, 2.3)
    dry: Share = 0.3
    """How much of it is straw."""
