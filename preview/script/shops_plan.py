"""The plan of a row of shops: where its fronts, doors, rooms and upper windows are, computed from its model alone.

In the front wall's frame, as for a house: metres from its left end seen from outside, above the ground, out of its face.
"""

from __future__ import annotations

from dataclasses import dataclass

from preview.script.house_plan import Bounds
from preview.script.models.pieces.buildings import Chimney, House, Roof, Shops

THICKNESS = 0.30
"""Of the outer walls, metres."""
PARTY = 0.12
"""Of the walls between shops."""
FLOOR, CEILING = 0.12, 3.2
"""Heights of a shop's floor and ceiling above the ground."""
GROUND, STOREY = 3.5, 3.0
"""Heights of the floor above the shops, and from each further floor to the next."""
PARAPET = 0.8
"""How far the walls rise over the roof."""
PILASTER = 0.36
RECESS_WIDTH, RECESS_DEPTH = 1.15, 0.95
"""Of the lobby that a door stands back in."""
STALL, HEAD = 0.55, 2.85
"""Heights of the display window's lower edge and of the top of window and lobby."""
LAMP_HEIGHT, LAMP_BEHIND = 2.5, 1.9
"""Of the place for a lamp in a shop: above the ground, and behind the front wall's face."""
GLASS_BEHIND = 0.075
"""How far behind the front wall's face the place of a display window is."""
UPPER_SIZE, UPPER_SILL = (0.95, 1.5), 0.8
"""Of a window over the shops, and the height of its sill over its floor."""


@dataclass(frozen=True)
class Bay:
    """One shop: its ends on the front, its display window, its lobby."""

    left: float
    right: float
    display: Bounds
    lobby: Bounds


def shell(shops: Shops) -> House:
    """The row's outer walls as those of a house without openings."""
    # Its numbers are read already: they are not to be taken for degrees again.
    return House.model_construct(
        at=shops.at,
        size=(shops.bays * shops.bay, shops.depth),
        walls=roof_height(shops) - FLOOR + PARAPET,
        floor=FLOOR,
        facing=shops.facing,
        thickness=THICKNESS,
        roof=Roof(shape="flat"),
        material=shops.material,
        cladding=shops.cladding,
        bond=shops.bond,
        trim=shops.trim,
        chimney=Chimney(stack=False),
        furnished=False,
    )


def roof_height(shops: Shops) -> float:
    """Height of the roof above the ground, metres; the parapet rises above it."""
    return GROUND + STOREY * (shops.floors - 1) + (0.3 if shops.floors == 1 else 0.0)


def bay(shops: Shops, number: int) -> Bay:
    """A shop of the row, counted from the left."""
    left, right = number * shops.bay, (number + 1) * shops.bay
    inner = 0.5 * PILASTER + 0.02
    lobby = Bounds(right - inner - RECESS_WIDTH, right - inner, FLOOR - 0.10, HEAD)
    return Bay(left, right, Bounds(left + inner, lobby.left - 0.08, STALL, HEAD), lobby)


def upper_windows(shops: Shops) -> list[Bounds]:
    """The windows over the shops, floor by floor from below, each from left to right."""
    width, height = UPPER_SIZE
    each = max(1, round(shops.bay / 2.4))
    found = []
    for storey in range(shops.floors - 1):
        low = GROUND + STOREY * storey + UPPER_SILL
        for number in range(shops.bays * each):
            middle = shops.bay / each * (number + 0.5)
            found.append(Bounds(middle - 0.5 * width, middle + 0.5 * width, low, low + height))
    return found
