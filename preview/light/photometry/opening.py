"""Opening: the luminous opening of a photometric file: what shines, how large, and how it lies to the file's axes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Shape = Literal["point", "rectangle", "ellipse", "box", "ellipsoid", "cylinder"]

FLAT = ("rectangle", "ellipse")
SMALLEST = 1e-3
"""Metres: what a file gives as less is taken for nothing."""
LARGEST = 30.0
"""Metres: a larger opening is in another unit than its file says."""
LAST_OLD_YEAR = 1995
"""The last edition of LM-63 whose table of openings writes a sphere as a diameter and no length."""


@dataclass(frozen=True)
class Opening:
    """A shape about the photometric centre; `size` metres along the axes of `Web`: horizontal 0, horizontal 90, ahead.

    A rectangle or ellipse is flat: 0 along the axis that it faces. `straight`: along which axis a cylinder runs.
    """

    shape: Shape
    size: tuple[float, float, float] = (0.0, 0.0, 0.0)
    straight: int = 2

    @property
    def faces(self) -> int | None:
        """The axis, 0 to 2, that a flat opening is square to; None for a solid one or a point."""
        return self.size.index(min(self.size)) if self.shape in FLAT else None


POINT = Opening("point")


def disc(diameter: float) -> Opening:
    """A disc that faces ahead."""
    return Opening("ellipse", (diameter, diameter, 0.0))


def opening_of(*, length: float, width: float, height: float, year: int) -> Opening:
    """The opening that LM-63 means by three dimensions (metres, with their signs) in the edition of a `year`.

    Length runs along horizontal 0, width along horizontal 90, height along the vertical axis. A negative dimension is
    round. Two patterns changed their meaning: up to 1995, width -d without length with height -d is a sphere, and one
    of width and length negative with a negative height an ellipsoid; since 2002 these are an upright disc that faces
    horizontal 0, and a cylinder lying along the positive one. What no edition lists is read by the same signs.

    Source: the tables of luminous openings of LM-63-1995 and LM-63-2019 (as that of 2002) as open-source readers quote
    them: github.com/texone/creativecomputing, cc-ies; the LM-63-19 reader that names section 5.10, table 1.
    """
    long, wide, tall = (abs(side) if abs(side) >= SMALLEST else 0.0 for side in (length, width, height))
    round_long, round_wide, round_tall = (side <= -SMALLEST for side in (length, width, height))
    old = year <= LAST_OLD_YEAR
    if not (long or wide or tall):
        return POINT
    if not (round_long or round_wide):
        return _straight(long, wide, tall, lying=round_tall)
    if round_tall:
        upright = not old and 0.0 in (long, wide)
        if old or (round_long and round_wide):
            return Opening("ellipsoid", (long or wide, wide or long, tall))
        if upright:
            return Opening("ellipse", (long, wide, tall))
        return Opening("cylinder", (long, wide, tall), straight=1 if round_long else 0)
    # A circle may be told by one diameter alone.
    long, wide = long or wide, wide or long
    if tall:
        return Opening("cylinder", (long, wide, tall), straight=2)
    return Opening("ellipse", (long, wide, 0.0))


def _straight(long: float, wide: float, tall: float, *, lying: bool) -> Opening:
    """An opening whose length and width have no round edge; `lying`: its height is a diameter."""
    if lying and (long == 0.0) != (wide == 0.0):
        return Opening("cylinder", (long or tall, wide or tall, tall), straight=0 if long else 1)
    if lying and not (long or wide):
        return Opening("ellipsoid", (tall, tall, tall))
    sides = [long, wide, tall]
    if sum(side > 0.0 for side in sides) == 3:
        return Opening("box", (long, wide, tall))
    if sum(side > 0.0 for side in sides) == 1:
        # A line of no breadth: as flat and as thin as can be.
        sides[1 if wide == 0.0 else 0] = SMALLEST
    return Opening("rectangle", (sides[0], sides[1], sides[2]))
