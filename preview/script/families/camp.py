"""Camp and shore: places of fires, tents, rocks and strings of bulbs; what nobody can stand in."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import turned
from preview.script.camp_plan import MOST_BULBS, bulb_count, bulbs, tent_size
from preview.script.document import Keys
from preview.script.families.family import UP, Family, Found, Named, Point, Post, Vector, level, point_of
from preview.script.models.pieces.camp import Campfire, Driftwood, Rocks, StringOfBulbs, Tent
from preview.script.models.pieces.piece import Piece
from preview.script.scene import Anchor


def _places_of_campfire(name: str, fire: Campfire, azimuth: float) -> Named:
    yield name, Anchor((*fire.at, 0.0), UP)
    yield f"{name}.flames", Anchor((*fire.at, 0.4 * fire.size), UP)


def _in_campfire(point: Vector, name: str, fire: Campfire) -> str | None:
    return f"the fire {name}" if Post(fire.at, 0.45 * fire.size, 0.0, 0.6 * fire.size).holds(point) else None


def _places_of_tent(name: str, tent: Tent, azimuth: float) -> Named:
    _, depth, height = tent_size(tent)

    def world(x: float, y: float, z: float) -> Point:
        return point_of(turned(np.array([x, y, z]), azimuth, np.array([*tent.at, 0.0])))

    yield name, Anchor(world(0.0, 0.0, height / 2.0), level(azimuth))
    yield f"{name}.inside", Anchor(world(0.0, 0.0, 0.55 * height))
    yield f"{name}.door", Anchor(world(0.0, depth / 2.0, 0.4 * height), level(azimuth))
    yield f"{name}.top", Anchor(world(0.0, 0.0, height), UP)


def _misfits_of_tent(tent: Tent, keys: Keys) -> Found:
    width, depth, height = tent_size(tent)
    if not 0.8 <= min(width, depth) <= max(width, depth) <= 12.0:
        yield (*keys, "size"), "a tent is 0.8 to 12 m wide and deep"
    if not 0.7 <= height <= 6.0:
        yield (*keys, "height"), "a tent is 0.7 to 6 m high"


def _places_of_heap(name: str, heap: Rocks | Driftwood, azimuth: float) -> Named:
    top = heap.size[1] * 0.5 if isinstance(heap, Rocks) else 0.15
    yield name, Anchor((*heap.at, top / 2.0))
    yield f"{name}.top", Anchor((*heap.at, top), UP)


def _in_rocks(point: Vector, name: str, rocks: Rocks) -> str | None:
    alone = rocks.spread == 0.0 or rocks.count == 1
    inside = alone and Post(rocks.at, 0.42 * rocks.size[1], 0.0, 0.4 * rocks.size[1]).holds(point)
    return f"the rock {name}" if inside else None


def _misfits_of_rocks(rocks: Rocks, keys: Keys) -> Found:
    low, high = rocks.size
    if low > high:
        yield (*keys, "size"), f"the smallest, {low:g} m, is larger than the largest, {high:g} m"
    elif high > 8.0:
        yield (*keys, "size"), "a rock is 8 m across at the most"


def _misfits_of_driftwood(wood: Driftwood, keys: Keys) -> Found:
    low, high = wood.length
    if low > high:
        yield (*keys, "length"), f"the shortest, {low:g} m, is longer than the longest, {high:g} m"
    elif high > 12.0:
        yield (*keys, "length"), "driftwood is 12 m long at the most"


def _places_of_string(name: str, string: StringOfBulbs, azimuth: float) -> Named:
    if bulb_count(string) > MOST_BULBS:
        return
    points = bulbs(string).tolist()
    if not points:
        return
    x, y, z = points[len(points) // 2]
    yield name, Anchor((x, y, z))
    for number, (x, y, z) in enumerate(points):
        yield f"{name}[{number}]", Anchor((x, y, z))


def _misfits_of_string(string: StringOfBulbs, keys: Keys) -> Found:
    count = bulb_count(string)
    if count > MOST_BULBS:
        yield (
            (*keys, "spacing"),
            f"so near each other there are {count} bulbs; a string has {MOST_BULBS} at the most",
        )
    elif count < 1:
        yield (*keys, "spacing"), "the string is shorter than this, so it has no bulb"
    if string.sag >= string.height - 0.3:
        yield (*keys, "sag"), "it would hang down to the ground"


CAMP: dict[type[Piece], Family] = {
    Campfire: Family(_places_of_campfire, _in_campfire),
    Tent: Family(_places_of_tent, misfits=_misfits_of_tent),
    Rocks: Family(_places_of_heap, _in_rocks, _misfits_of_rocks),
    Driftwood: Family(_places_of_heap, misfits=_misfits_of_driftwood),
    StringOfBulbs: Family(_places_of_string, misfits=_misfits_of_string, stands="draped"),
}
