"""Whether pieces of the set can be built: openings, porches, roofs, paths, amounts, materials."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import degrees, hypot, radians, tan
from typing import Any

from preview.script import house_plan, street_plan
from preview.script.document import Keys
from preview.script.draft import Draft, Part, values_in
from preview.script.models.set_pieces import MOST_TREES, Fence, House, Opening, Trees
from preview.script.words import unknown
from preview.trade import catalogue

Found = Iterator[tuple[Keys, str]]

MATERIALS = ("material", "inside", "trim", "pavement_material", "top", "bottom")
"""Fields that hold the name of a material."""
LONGEST_PATH = 2000.0
LARGEST_HOUSE = 200.0
LEAST_PITCH = radians(5)
SHORTEST_STEP = 0.01


def names_in(draft: Draft) -> Found:
    """Materials that the catalogue does not have."""
    known = catalogue.names("materials")
    parts: tuple[Part[Any], ...] = (*draft.pieces, *draft.cast)
    for part in parts:
        for keys, value in values_in(part.model, part.keys) if part.model is not None else ():
            if keys[-1] in MATERIALS and value not in known:
                yield keys, unknown("material", value, known)


def misfits_in(draft: Draft) -> Found:
    """Everything about the set that cannot be built."""
    trees = 0
    for part in draft.pieces:
        if part.model is None:
            continue
        yield from _piece(part.model, part.keys)
        if isinstance(part.model, Trees):
            before, trees = trees, trees + part.model.number
            if before <= MOST_TREES < trees:
                yield part.keys, f"with these the set has {trees} trees; it may have {MOST_TREES} in all"


def _piece(piece: Any, keys: Keys) -> Found:
    if isinstance(piece, House):
        yield from _house(piece, keys)
    if isinstance(piece, Trees):
        yield from _trees(piece, keys)
    along = getattr(piece, "along", None)
    if along is not None:
        yield from _path(along, (*keys, "along"))
    if isinstance(piece, Fence):
        yield from _gates(piece, keys)


def _path(path: Sequence[tuple[float, float]], keys: Keys) -> Found:
    for place, (a, b) in enumerate(pairwise(path)):
        if hypot(b[0] - a[0], b[1] - a[1]) < SHORTEST_STEP:
            yield (*keys, place + 1), "the path stands still here: this point is the one before it again"
    length = street_plan.path_length(path)
    if length > LONGEST_PATH:
        yield keys, f"the path is {length:.0f} m long; {LONGEST_PATH:.0f} m is the most"


def _trees(trees: Trees, keys: Keys) -> Found:
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


def _gates(fence: Fence, keys: Keys) -> Found:
    length = street_plan.path_length(fence.along)
    corners, travelled = [], 0.0
    for a, b in pairwise(fence.along):
        travelled += hypot(b[0] - a[0], b[1] - a[1])
        corners.append(travelled)
    before: list[tuple[float, float]] = []
    for place, gate in enumerate(fence.gates):
        start, end = gate.from_start, gate.from_start + gate.width
        path = (*keys, "gates", place)
        if end > length + 1e-9:
            yield path, f"the gate ends {end:g} m from the start of a fence that is {length:g} m long"
        elif any(start < corner - 1e-9 and corner + 1e-9 < end for corner in corners):
            yield path, "the gate runs round a corner of the fence"
        if any(start < other_end and other_start < end for other_start, other_end in before):
            yield path, "the gate overlaps another"
        before.append((start, end))


def _house(house: House, keys: Keys) -> Found:
    if max(house.size) > LARGEST_HOUSE:
        yield (*keys, "size"), f"no house here is larger than {LARGEST_HOUSE:.0f} m"
    if min(house.size) < 2 * house.thickness + 0.5:
        yield (*keys, "size"), f"walls {house.thickness:g} m thick leave no room inside"
    yield from _openings(house, keys)
    yield from _roof(house, keys)
    if house.porch is not None:
        yield from _porch(house, keys)


def _openings(house: House, keys: Keys) -> Found:
    holes: list[tuple[str, Opening, house_plan.Bounds]] = []
    sections: tuple[tuple[str, Sequence[Opening]], ...] = (("doors", house.doors), ("windows", house.windows))
    for section, openings in sections:
        noun = section.removesuffix("s")
        for place, opening in enumerate(openings):
            path = (*keys, section, place)
            hole = house_plan.bounds(house, opening)
            wall = house_plan.wall_frame(house, opening.wall)
            inner = wall.length - house.thickness
            if hole.top > house_plan.wall_top(house) - 0.05:
                height = hole.top - house.floor
                yield (
                    path,
                    f"the {noun} reaches {height:g} m above the floor, too high for walls of {house.walls:g} m",
                )
            if hole.right > wall.length:
                yield (
                    path,
                    f"the {noun} ends {hole.right:g} m from the left of a wall that is {wall.length:g} m long",
                )
            elif hole.left < house.thickness - 1e-9 or hole.right > inner + 1e-9:
                yield (
                    path,
                    f"the {noun} cuts the corner of the house: it must lie {house.thickness:g} to {inner:g} m "
                    "from the left of its wall",
                )
            for name, other, taken in holes:
                if other.wall == opening.wall and _overlap(hole, taken):
                    yield path, f"the {noun} overlaps {name}"
            holes.append((f"{section}[{place}]", opening, hole))


def _overlap(a: house_plan.Bounds, b: house_plan.Bounds) -> bool:
    return a.left < b.right and b.left < a.right and a.bottom < b.top and b.bottom < a.top


def _roof(house: House, keys: Keys) -> Found:
    roof = house.roof
    if roof.shape == "flat":
        return
    if roof.pitch < LEAST_PITCH:
        yield (
            (*keys, "roof", "pitch"),
            f"a {roof.shape} roof of {degrees(roof.pitch):g} deg is next to flat; write shape: flat",
        )
    eaves = house_plan.wall_top(house) - roof.overhang * tan(roof.pitch)
    if eaves < house.floor + 1.0:
        yield (
            (*keys, "roof", "overhang"),
            f"the eaves would hang {max(eaves, 0.0):.1f} m above the ground, over the windows; "
            "make the overhang or the pitch smaller",
        )


def _porch(house: House, keys: Keys) -> Found:
    porch = house.porch
    assert porch is not None
    path = (*keys, "porch")
    front = house.size[0]
    width = front if porch.width is None else porch.width
    if width > front:
        yield (*path, "width"), f"the porch is {width:g} m wide, wider than the front ({front:g} m)"
    if porch.depth < 0.5:
        yield (*path, "depth"), f"a porch {porch.depth:g} m deep holds nobody; 0.5 m is the least"
    if porch.steps_width > width:
        yield (
            (*path, "steps_width"),
            f"the steps are {porch.steps_width:g} m wide, wider than the porch ({width:g} m)",
        )
    elif porch.steps_from_left is not None and porch.steps_from_left + porch.steps_width > width + 1e-9:
        end = porch.steps_from_left + porch.steps_width
        yield (
            (*path, "steps_from_left"),
            f"the steps end {end:g} m from the left of a porch that is {width:g} m wide",
        )
