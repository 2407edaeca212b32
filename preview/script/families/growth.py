"""Growth: places, trunks and misfits of what grows."""

from __future__ import annotations

import numpy as np

from preview.script.document import Keys
from preview.script.families.family import UP, Family, Found, Named, Post, Vector, in_run, places_of_path
from preview.script.models.pieces.growth import Blades, Grass, Hedge, Planted, Reeds, Shrubs, Trees, area_of
from preview.script.models.pieces.piece import Piece
from preview.script.places_of_trees import tree_stands
from preview.script.scene import Anchor

CROWN = 0.62
"""Height of the middle of a crown over the height of its tree."""
TRUNK = 0.03
"""Radius of a trunk over the height of its tree."""
TRUNK_HEIGHT = 0.4
"""Height up to which a tree counts as trunk, over its height."""
BUSH = 0.5
"""Height of the middle of a bush over its height; its radius is as much."""
CLOSEST = 0.2
"""Metres between trunks below which there is no room for them."""
LEAST_LAND = 0.01
"""Square metres."""


def _numbered_places(name: str, places: list[tuple[float, float, float]]) -> Named:
    """`name` for the middle of all, `name[i]` for each."""
    if places:
        x, y, z = np.mean(places, axis=0).tolist()
        yield name, Anchor((x, y, z))
    for index, place in enumerate(places):
        yield f"{name}[{index}]", Anchor(place)


def _places_of_trees(name: str, trees: Trees, azimuth: float) -> Named:
    yield from _numbered_places(name, [(x, y, CROWN * height) for x, y, height in tree_stands(trees)])


def _places_of_shrubs(name: str, shrubs: Shrubs, azimuth: float) -> Named:
    yield from _numbered_places(name, [(x, y, BUSH * height) for x, y, height in tree_stands(shrubs)])


def _in_trees(point: Vector, name: str, trees: Trees) -> str | None:
    trunks = (Post((x, y), TRUNK * high, 0.0, TRUNK_HEIGHT * high) for x, y, high in tree_stands(trees))
    return f"a trunk of {name}" if any(trunk.holds(point) for trunk in trunks) else None


def _in_shrubs(point: Vector, name: str, shrubs: Shrubs) -> str | None:
    bushes = (Post((x, y), 0.7 * BUSH * high, 0.0, 0.8 * high) for x, y, high in tree_stands(shrubs))
    return f"a bush of {name}" if any(bush.holds(point) for bush in bushes) else None


def _misfits_of_planted(trees: Planted, keys: Keys) -> Found:
    ways = [key for key in ("at", "rows", "along", "in") if getattr(trees, _field(key)) is not None]
    what = "shrubs" if isinstance(trees, Shrubs) else "trees"
    if len(ways) != 1:
        found = " and ".join(ways) + " are" if ways else "none of them is"
        yield (
            keys,
            f"{what} stand at points (at), in rows (rows, from), along a path (along, count)"
            f" or on a piece of land (in, count): {found} given",
        )
    elif ways != ["rows"] and trees.from_ is not None:
        yield (*keys, "from"), "from goes with rows"
    if trees.count is not None and trees.along is None and trees.in_ is None:
        yield (*keys, "count"), "count goes with along or in"
    if trees.width > 0 and trees.along is None:
        yield (*keys, "width"), "width goes with along"
    if trees.at == []:
        yield (*keys, "at"), "no points are given"
    if trees.in_ is not None:
        yield from _land(trees.in_, (*keys, "in"))
        area = area_of(trees.in_)
        if trees.count is not None and area >= LEAST_LAND and trees.count * CLOSEST**2 > area:
            yield (*keys, "count"), f"{trees.count} {what} have no room on {area:.3g} m2"
    yield from _heights(trees.height, keys)
    high = trees.height[1]
    if high > 60:
        yield (*keys, "height"), f"no tree here is {high:g} m high; 60 m is the most"


def _field(key: str) -> str:
    return "in_" if key == "in" else key


def _heights(height: tuple[float, float], keys: Keys) -> Found:
    low, high = height
    if low > high:
        yield (*keys, "height"), f"the lowest comes first: [{high:g}, {low:g}]"


def _land(polygon: list[tuple[float, float]], keys: Keys) -> Found:
    if area_of(polygon) < LEAST_LAND:
        yield keys, "these corners enclose no land"


def _places_of_hedge(name: str, hedge: Hedge, azimuth: float) -> Named:
    yield from places_of_path(name, hedge.along, hedge.height / 2, hedge.height)


def _in_hedge(point: Vector, name: str, hedge: Hedge) -> str | None:
    return f"the hedge {name}" if in_run(point, hedge.along, hedge.thickness, hedge.height) else None


def _places_of_blades(name: str, blades: Blades, azimuth: float) -> Named:
    if blades.along is not None:
        yield from places_of_path(name, blades.along, 0.0, None)
    elif blades.in_ is not None:
        x, y = np.mean(blades.in_, axis=0).tolist()
        yield name, Anchor((x, y, 0.0), UP)


def _misfits_of_blades(blades: Grass | Reeds, keys: Keys) -> Found:
    if blades.in_ is not None and blades.along is not None:
        yield keys, "it grows on a piece of land (in) or along a path (along): both are given"
    if isinstance(blades, Reeds) and blades.in_ is None and blades.along is None:
        yield keys, "say where reeds grow: on a piece of land (in) or along a path (along)"
    if blades.in_ is not None:
        yield from _land(blades.in_, (*keys, "in"))
    if "width" in blades.model_fields_set and blades.along is None:
        yield (*keys, "width"), "width goes with along"
    if blades.height is not None:
        yield from _heights(blades.height, keys)
        if blades.height[1] > 5:
            yield (*keys, "height"), f"nothing here grows {blades.height[1]:g} m high; 5 m is the most"


GROWTH: dict[type[Piece], Family] = {
    Trees: Family(_places_of_trees, _in_trees, _misfits_of_planted, stands="itself"),
    Shrubs: Family(_places_of_shrubs, _in_shrubs, _misfits_of_planted, stands="itself"),
    Hedge: Family(_places_of_hedge, _in_hedge, stands="draped"),
    Grass: Family(_places_of_blades, misfits=_misfits_of_blades, stands="itself"),
    Reeds: Family(_places_of_blades, misfits=_misfits_of_blades, stands="itself"),
}
