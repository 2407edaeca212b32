"""Camp and shore as the script gives them: fires, tents, rocks, driftwood, strings of bulbs."""

from __future__ import annotations

from math import pi
from typing import Annotated, Literal

from pydantic import Field

from preview.script.fields import Facing, NotNegative, Number, Path2, Point2, Positive, Seed, Whole, Yes
from preview.script.models.pieces.piece import Piece, Wetness

Share = Annotated[Number, Field(ge=0, le=1)]


class Campfire(Piece):
    """Wood laid for a fire; `practical: {kind: fire, at: NAME}` lights it, as high as its flames are to be."""

    at: Point2
    size: Positive = 0.7
    """Height of the wood where it leans together, times about two: of flames that suit it."""
    stones: Yes = True
    """A ring of stones round it."""
    wood: Literal["logs", "driftwood"] = "logs"
    seed: Seed = 1


class Tent(Piece):
    kind: Literal["ridge", "dome", "bell"] = "ridge"
    at: Point2
    facing: Facing = pi
    """Which way its door looks."""
    size: tuple[Positive, Positive] | None = None
    """Width and depth. Default by kind: 2 by 2.6 m, dome 2.4 m, bell 4 m."""
    height: Positive | None = None
    """Default by kind: 1.5 m, dome 1.35 m, bell 2.5 m."""
    door: Share = 0.6
    """How far the door is folded aside."""
    material: str = "tent cloth"
    """A cloth; what it passes of a lantern inside is seen outside."""
    wet: Wetness = 0.0


class Rocks(Piece):
    """Stones strewn over a round piece of ground, or one alone."""

    at: Point2
    spread: NotNegative = 1.5
    """Radius within which they lie; 0 for one alone."""
    count: Annotated[Whole, Field(ge=1, le=400)] = 12
    size: tuple[Positive, Positive] = (0.15, 0.7)
    """Across, the smallest and the largest."""
    material: str = "granite"
    wet: Wetness = 0.0
    seed: Seed = 1


class Driftwood(Piece):
    """Silvered trunks and branches, strewn."""

    at: Point2
    spread: NotNegative = 1.2
    count: Annotated[Whole, Field(ge=1, le=60)] = 5
    length: tuple[Positive, Positive] = (0.8, 2.4)
    material: str = "weathered wood"
    wet: Wetness = 0.0
    seed: Seed = 1


class StringOfBulbs(Piece):
    """A wire with bulbs along points; `practical: {kind: string, at: NAME}` lights them all. `NAME[0]` is the first."""

    along: Path2
    """Where it is held up."""
    height: Positive = 3.2
    """Of the wire where it is held up, above the ground."""
    sag: NotNegative = 0.35
    """How much lower it hangs in the middle of its longest span."""
    spacing: Annotated[Positive, Field(ge=0.05)] = 0.6
    """From bulb to bulb along the wire."""
    poles: Yes = True
    """A pole at each point."""
    material: str = "weathered wood"
    """Of the poles."""
