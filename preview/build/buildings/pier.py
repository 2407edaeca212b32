"""Pier: an upright block laid of bricks or stones on all four sides: chimneys, gate piers."""

from __future__ import annotations

import numpy as np

from preview.build.buildings import masonry
from preview.build.buildings.cladding import DEPTH, laid
from preview.build.buildings.face import Eyes
from preview.build.mesh import Floats
from preview.build.pile import Pile
from preview.build.solids import boxes
from preview.script.models.pieces.buildings import Cladding

UP = (0.0, 0.0, 1.0)
NEAR = Eyes(np.zeros((0, 3)), none=True)


def pier(
    pile: Pile,
    part: str,
    kind: Cladding,
    material: str,
    middle: Floats,
    half: tuple[float, float],
    heights: tuple[float, float],
    rng: np.random.Generator,
    *,
    shade: float = 1.0,
    foot: float | None = None,
) -> None:
    """Adds a block about a plan point, its sides along x and y; bricks from `heights[0]` up, its core from `foot`."""
    (x, y), (wide, deep), (low, high) = middle, half, heights
    start = low if foot is None else foot
    if kind not in ("bricks", "stones"):
        pile.add(part, material, boxes([x - wide, y - deep, start], [x + wide, y + deep, high]))
        return
    sunk = DEPTH[kind]
    pile.add(
        part,
        "mortar",
        boxes([x - wide + sunk, y - deep + sunk, start], [x + wide - sunk, y + deep - sunk, high - 0.002]),
    )
    for origin, along, out, length in (
        ([x + wide, y + deep, 0.0], [-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], 2 * wide),
        ([x - wide, y - deep, 0.0], [1.0, 0.0, 0.0], [0.0, -1.0, 0.0], 2 * wide),
        ([x + wide, y - deep, 0.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0], 2 * deep),
        ([x - wide, y + deep, 0.0], [0.0, -1.0, 0.0], [-1.0, 0.0, 0.0], 2 * deep),
    ):
        own = Pile()
        if kind == "bricks":
            units = masonry.bricks((0.0, length), (low, high), "stretcher", rng)
        else:
            units = masonry.stones((0.0, length), (low, high), rng)
        units.tint[:] *= shade
        laid(own, part, units, kind, material, NEAR, rng)
        pile.poured(own, origin, along, UP, out)
