"""Growth: places, trunks and misfits of trees and hedges."""

from __future__ import annotations

import numpy as np

from preview.script.document import Keys
from preview.script.families.family import Family, Found, Named, Post, Vector, in_run, places_of_path
from preview.script.models.pieces.growth import Hedge, Trees
from preview.script.models.pieces.piece import Piece
from preview.script.places_of_trees import tree_stands
from preview.script.scene import Anchor

CROWN = 0.62
"""Height of the middle of a crown over the height of its tree."""
TRUNK = 0.03
"""Radius of a trunk over the height of its tree."""
TRUNK_HEIGHT = 0.4
"""Height up to which a tree counts as trunk, over its height."""


def _places_of_trees(name: str, trees: Trees, azimuth: float) -> Named:
    crowns = [(x, y, CROWN * height) for x, y, height in tree_stands(trees)]
    if crowns:
        x, y, z = np.mean(crowns, axis=0).tolist()
        yield name, Anchor((x, y, z))
    for index, crown in enumerate(crowns):
        yield f"{name}[{index}]", Anchor(crown)


def _in_trees(point: Vector, name: str, trees: Trees) -> str | None:
    trunks = (Post((x, y), TRUNK * high, 0.0, TRUNK_HEIGHT * high) for x, y, high in tree_stands(trees))
    return f"a trunk of {name}" if any(trunk.holds(point) for trunk in trunks) else None


def _misfits_of_trees(trees: Trees, keys: Keys) -> Found:
    ways = [key for key in ("at", "rows", "along") if getattr(trees, key) is not None]
    if len(ways) != 1:
        found = " and ".join(ways) + " are" if ways else "none of them is"
        yield (
            keys,
            f"trees stand at points (at), in rows (rows, from) or along a path (along, count): {found} given",
        )
    elif ways != ["rows"] and trees.from_ is not None:
        yield (*keys, "from"), "from goes with rows"
    if trees.count is not None and trees.along is None:
        yield (*keys, "count"), "count goes with along"
    if trees.at == []:
        yield (*keys, "at"), "no points are given"
    low, high = trees.height
    if low > high:
        yield (*keys, "height"), f"the lowest comes first: [{high:g}, {low:g}]"
    if high > 60:
        yield (*keys, "height"), f"no tree here is {high:g} m high; 60 m is the most"


def _places_of_hedge(name: str, hedge: Hedge, azimuth: float) -> Named:
    yield from places_of_path(name, hedge.along, hedge.height / 2, hedge.height)


def _in_hedge(point: Vector, name: str, hedge: Hedge) -> str | None:
    return f"the hedge {name}" if in_run(point, hedge.along, hedge.thickness, hedge.height) else None


GROWTH: dict[type[Piece], Family] = {
    Trees: Family(_places_of_trees, _in_trees, _misfits_of_trees),
    Hedge: Family(_places_of_hedge, _in_hedge),
}
