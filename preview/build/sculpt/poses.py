"""Poses: where the joints are, in millimetres, for a person 1750 tall.

x to the figure's right, y forward, z up from the floor; the head's axis stands over the origin. Segment lengths
follow the fractions of stature of Drillis and Contini (1966), as tabled in D. Winter, "Biomechanics and Motor
Control of Human Movement", chapter 4.
"""

from __future__ import annotations

from dataclasses import dataclass

STATURE = 1750.0
EYE = 0.936 * STATURE
SEAT = 460.0
SITTING_DROP = EYE - (SEAT + 0.46 * STATURE)
"""How much lower the trunk and the head are when sitting: eyes 0.46 of stature above the seat."""

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Arm:
    shoulder: Point
    elbow: Point
    wrist: Point
    fingers: Point
    """A point that the hand points to."""
    palm: Point
    """The way the palm faces."""


@dataclass(frozen=True)
class Leg:
    hip: Point
    knee: Point
    ankle: Point
    toes_out: float
    """Degrees that the foot turns outward."""


@dataclass(frozen=True)
class Pose:
    """Left side first (negative x); `drop`: how far the trunk is below its standing height."""

    arms: tuple[Arm, Arm]
    legs: tuple[Leg, Leg]
    drop: float
    sitting: bool


STAND = Pose(
    arms=(
        Arm((-166, -26, 1384), (-212, -50, 1098), (-226, 8, 845), (-219, 34, 656), (0.96, -0.15, 0.1)),
        Arm((166, -26, 1396), (216, -56, 1108), (232, 14, 852), (224, 48, 664), (-0.96, -0.15, 0.1)),
    ),
    legs=(
        Leg((-92, -14, 936), (-90, 4, 502), (-80, -34, 72), 9),
        Leg((88, -12, 920), (112, 36, 494), (124, 4, 72), 22),
    ),
    drop=0.0,
    sitting=False,
)
"""Weight on the left leg: left hip up, left shoulder down, right knee eased."""

SIT = Pose(
    arms=(
        Arm((-166, -28, 1017), (-220, 10, 738), (-160, 262, 648), (-118, 420, 618), (0.1, 0.05, -0.99)),
        Arm((166, -28, 1017), (224, 2, 738), (164, 250, 650), (124, 410, 620), (-0.1, 0.05, -0.99)),
    ),
    legs=(
        Leg((-86, -40, 556), (-112, 386, 528), (-108, 372, 72), 8),
        Leg((86, -40, 556), (116, 384, 528), (122, 356, 72), 14),
    ),
    drop=SITTING_DROP,
    sitting=True,
)
