"""Chimney: a brick stack by the ridge, corbelled at its head, with its cap and pots."""

from __future__ import annotations

import numpy as np

from preview.build.buildings.pier import pier
from preview.build.mesh import Floats
from preview.build.pile import Pile
from preview.build.solids import boxes, turned_on_lathe
from preview.script.house_plan import roof_rise, wall_top
from preview.script.models.pieces.buildings import House

HALF_WIDE, HALF_DEEP = 0.36, 0.27
"""Half of the stack's sides, along the ridge and across, metres; pots beyond two make it wider."""


def build_chimney(pile: Pile, house: House, rng: np.random.Generator) -> None:
    """Adds the stack to the house's pile."""
    if house.roof.shape == "flat":
        return
    model = house.chimney
    ridge = wall_top(house) + roof_rise(house)
    usual = 0.75 if house.roof.shape == "gable" else 0.5
    from_left = usual * house.size[0] if model.from_left is None else model.from_left
    x, y = 0.5 * house.size[0] - from_left, -min(0.5, 0.12 * house.size[1])
    half_x, half_y = HALF_WIDE + 0.17 * max(model.pots - 2, 0), HALF_DEEP
    foot, top = wall_top(house) + 0.02, ridge + model.height
    # Below the roof nobody sees its bricks.
    seen = wall_top(house) + max(
        0.0, roof_rise(house) * (1.0 - (abs(y) + half_y) / (0.5 * house.size[1])) - 0.1
    )
    courses = [
        (half_x, half_y, foot, top - 0.235),
        (half_x + 0.025, half_y + 0.025, top - 0.237, top - 0.157),
        (half_x + 0.05, half_y + 0.05, top - 0.158, top - 0.055),
    ]
    for wide, deep, low, high in courses:
        # Soot and weather.
        pier(
            pile, "chimney", "bricks", "brick", np.array([x, y]), (wide, deep), (max(low, seen), high), rng,
            shade=0.72, foot=low,
        )  # fmt: skip
    cap = boxes(
        [x - half_x - 0.075, y - half_y - 0.075, top - 0.056], [x + half_x + 0.075, y + half_y + 0.075, top]
    )
    pile.add("chimney", "concrete", cap)
    for number in range(model.pots):
        aside = 0.34 * (number - 0.5 * (model.pots - 1))
        _pot(pile, np.array([x + aside, y, top]), 0.34 + 0.05 * (number % 2), rng)


def _pot(pile: Pile, foot: Floats, height: float, rng: np.random.Generator) -> None:
    """A clay pot: round, tapered, beaded, hollow."""
    profile = np.array(
        [(0.125, -0.01), (0.125, 0.05), (0.105, 0.06), (0.092, 0.80), (0.092, 0.84), (0.112, 0.86), (0.112, 0.96),
         (0.100, 1.0), (0.075, 1.0), (0.075, 0.5), (0.0, 0.5)]
    )  # fmt: skip
    profile[:, 1] *= height
    pot = turned_on_lathe("", "", profile, centre=foot, sides=16)
    shade = 0.75 + 0.3 * rng.random()
    pile.add(
        "chimney",
        "roof tiles",
        pot.vertices[pot.faces],
        tint=[shade, shade, shade],
        normals=pot.normals[pot.faces],
    )
