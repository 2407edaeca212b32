"""People: the bodies that are sculpted, by their measures in millimetres.

Statures are near the 50th percentiles of adults and of children of 13 and 8 years, from memory of national growth charts;
heights against stature: R. Drillis, R. Contini, "Body Segment Parameters" (1966), for adults. A child's head is larger
for its height: about a sixth of it at eight years against a seventh and less grown up, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

PersonName = Literal["man", "woman", "teen", "child"]


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


PEOPLE: dict[PersonName, Person] = {
    "man": Person(stature=1750, eye=1638, head=228, neck=60, shoulders=455, hips=340),
    "woman": Person(stature=1630, eye=1522, head=216, neck=51, shoulders=405, hips=350),
    "teen": Person(stature=1570, eye=1462, head=213, neck=50, shoulders=380, hips=310),
    "child": Person(stature=1280, eye=1178, head=203, neck=44, shoulders=305, hips=245),
}
