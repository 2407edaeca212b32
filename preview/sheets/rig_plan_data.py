"""Rig plan data: what is drawn on the plan of the rigs, in metres."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Point = tuple[float, float]


@dataclass(frozen=True)
class Body:
    """A piece of the set seen from above: its triangles (n, 3, 2) m, and places (n, 2) of its leaves."""

    name: str
    kind: Literal["building", "thing", "growth", "way", "water"]
    triangles: Floats
    leaves: Floats
    named: bool = False


@dataclass(frozen=True)
class Figure:
    """A figure: its name, place (m), and the way (2,) that it faces."""

    name: str
    at: Point
    facing: Point


@dataclass(frozen=True)
class Camera:
    """A setup's camera: place (m), the level way (2,) it looks, tangent of half its angle."""

    setup: str
    at: Point
    ahead: Point
    half_width: float


@dataclass(frozen=True)
class RigMark:
    """A rig: its number, None for a place without one; where its lamp is, where its lift stands (m), how wide that is (m),
    and what it is."""

    number: int | None
    lamp: Point
    base: Point
    across: float
    lift: str

    @property
    def corners(self) -> tuple[Point, Point]:
        """Two of the square that its lift stands on, across from one another."""
        (east, north), half = self.base, self.across / 2.0
        return (east - half, north - half), (east + half, north + half)


@dataclass(frozen=True)
class Plan:
    """All that is drawn. `moon`: radians, the azimuth that its light comes from; None for one straight overhead.

    `north`: radians, the azimuth at which true north lies; 0 is up the sheet.
    `refused`: places on that way where nothing can stand; `shown`: places (m) that must be on the drawing as well.
    """

    mark: Point
    moon: float | None
    bodies: tuple[Body, ...]
    figures: tuple[Figure, ...]
    cameras: tuple[Camera, ...]
    rigs: tuple[RigMark, ...]
    refused: tuple[Point, ...] = ()
    shown: tuple[Point, ...] = ()
    north: float = 0.0
