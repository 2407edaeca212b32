"""People: the bodies of the cast, by their measures in millimetres.

Statures are near the 50th percentiles of adults and of children of 13 and 8 years, from memory of national growth charts.
Heights and lengths against stature: R. Drillis, R. Contini, "Body Segment Parameters" (1966), as tabled in D. Winter,
"Biomechanics and Motor Control of Human Movement", for adults; a child's legs are shorter for its height and its head
larger, about a sixth of it at eight years against a seventh and less grown up, from memory. Girths from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, get_args

PersonName = Literal["man", "woman", "teen", "child"]
Build = Literal["slight", "medium", "heavy"]

CROWN_ABOVE_EYES: Final = 0.064
"""Share of a figure's height. Source: Drillis and Contini 1966, eye height 0.936 of stature (from memory)."""


@dataclass(frozen=True)
class Person:
    """Millimetres, standing. A head is stored about the point between its pupils: x to the right, y forward, z up."""

    stature: float
    """Soles to vertex, without hair's thickness."""
    eye: float
    """Height of the pupils."""
    head: float
    """Chin to vertex."""
    neck: float
    """Radius of the neck in its middle."""
    shoulders: float
    """Between the outer faces of the shoulders, without clothes."""
    hips: float
    """Breadth at the hips, without clothes."""
    acromion: float
    """Height of the tip of the shoulder."""
    hip: float
    """Height of the joint of the hip."""
    knee: float
    ankle: float
    upper_arm: float
    forearm: float
    hand: float
    foot: float
    """Length of the foot."""
    chest: tuple[float, float]
    """Breadth and depth, without the arms."""
    waist: tuple[float, float]
    seat: float
    """Depth at the buttocks."""
    bust: float
    """How far the breasts stand out."""
    arm: tuple[float, float, float]
    """Radii of the upper arm, below the elbow, at the wrist."""
    leg: tuple[float, float, float, float]
    """Radii of the thigh, at the knee, of the calf, at the ankle."""


PEOPLE: dict[PersonName, Person] = {
    "man": Person(
        stature=1750, eye=1635, head=228, neck=60, shoulders=455, hips=340,
        acromion=1432, hip=928, knee=499, ankle=68, upper_arm=325, forearm=256, hand=189, foot=266,
        chest=(322, 238), waist=(300, 222), seat=242, bust=0,
        arm=(48, 40, 28), leg=(82, 57, 56, 36),
    ),
    "woman": Person(
        stature=1630, eye=1519, head=216, neck=51, shoulders=405, hips=350,
        acromion=1330, hip=864, knee=465, ankle=63, upper_arm=302, forearm=236, hand=174, foot=245,
        chest=(272, 200), waist=(238, 182), seat=236, bust=42,
        arm=(41, 34, 24), leg=(84, 53, 52, 33),
    ),
    "teen": Person(
        stature=1570, eye=1457, head=213, neck=50, shoulders=380, hips=310,
        acromion=1276, hip=832, knee=449, ankle=62, upper_arm=290, forearm=228, hand=168, foot=240,
        chest=(258, 188), waist=(236, 172), seat=206, bust=0,
        arm=(37, 32, 24), leg=(69, 48, 47, 31),
    ),
    "child": Person(
        stature=1280, eye=1169, head=203, neck=44, shoulders=305, hips=245,
        acromion=1016, hip=653, knee=356, ankle=52, upper_arm=232, forearm=182, hand=136, foot=196,
        chest=(212, 158), waist=(204, 150), seat=164, bust=0,
        arm=(31, 27, 21), leg=(57, 41, 39, 27),
    ),
}  # fmt: skip
NAMES: tuple[PersonName, ...] = get_args(PersonName)
