"""Footprints: what of a built set stands on the plan of its setups, as its sheet draws it."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World
from preview.commands.moon.figures import BUILDINGS
from preview.commands.prepare import Ready
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.models.pieces.growth import Grass, Hedge, Reeds, Shrubs, Trees
from preview.script.waters import in_water, waters_of
from preview.sheets.from_above import LOW, heights_of
from preview.sheets.plan_set import Footprint, Kind, PlanSet

Floats = NDArray[np.float64]

MOST: Final = 20_000
"""Triangles of a piece that are drawn, the largest."""
NEAR_BY: Final = 1.0
"""A building or water that begins within so many times the width of what must be on the plan is on it too."""
WET_STEP: Final = 0.5
SHORE: Final = 1.5
"""Metres of water that are drawn beyond its edge, at least."""


def set_on_plan(ready: Ready) -> PlanSet:
    """Buildings, things, ways, growth and water of a set."""
    scene, world = ready.scene, ready.world
    owner = np.array([name.partition(".")[0] for name in world.names], dtype=object)
    prints, others = [], {figure.name for figure in scene.cast}
    for name, piece in scene.set:
        if isinstance(piece, Trees | Shrubs | Hedge | Reeds | Grass):
            continue
        others.add(name)
        if isinstance(piece, Ground):
            continue
        kind: Kind = "thing"
        if isinstance(piece, BUILDINGS):
            kind = "building"
        elif isinstance(piece, Footpath | Street):
            kind = "way"
        prints.append(Footprint(name, kind, _triangles(world, owner == name), kind == "building"))
    growth = heights_of(world, others)
    growth = growth[:2, growth[2] - scene.terrain.height(growth[0], growth[1]) > LOW]
    name = next(iter(waters_of(scene)), "water")
    return PlanSet(prints, growth, lambda east, north: in_water(scene, east, north), name)


def near_by(shown: PlanSet, must: Floats) -> Floats:
    """Places (n, 2) m of buildings and water to be on a plan that has places (m, 2): those that begin near by."""
    low, high = must.min(axis=0), must.max(axis=0)
    reach = NEAR_BY * float((high - low).max())
    found = [np.zeros((0, 2))]
    for one in shown.footprints:
        if one.kind == "building" and len(one.triangles):
            places = one.triangles.reshape(-1, 2)
            inside = ((places > low - reach) & (places < high + reach)).all(axis=1)
            found.append(places[inside])
    east, north = np.meshgrid(
        *(np.arange(a - reach, b + reach, WET_STEP) for a, b in zip(low, high, strict=True))
    )
    is_wet = shown.water(east, north)
    if is_wet.any():
        places = np.stack([east[is_wet], north[is_wet]], axis=1)
        off = np.maximum(np.maximum(low - places, places - high), 0.0)
        nearest = places[np.argmin(np.hypot(*off.T))]
        way = np.sign(np.maximum(nearest - high, 0.0)) - np.sign(np.maximum(low - nearest, 0.0))
        found.append((nearest + SHORE * way)[np.newaxis])
    return np.concatenate(found)


def _triangles(world: World, parts: NDArray[np.bool_]) -> Floats:
    """The largest triangles (n, 3, 2) m of some parts as seen from above."""
    corners = np.asarray(world.vertices[world.faces[parts[world.part_of_face]]][..., :2], np.float64)
    if len(corners) <= MOST:
        return corners
    one, two = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    return np.asarray(corners[np.argsort(-area)[:MOST]])
