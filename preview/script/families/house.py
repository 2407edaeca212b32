"""Houses: their named places, what of them a camera cannot stand inside, what of them cannot be built."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from math import degrees, radians, tan

import numpy as np
from numpy.typing import NDArray

from preview.script import house_plan
from preview.script.document import Keys
from preview.script.families.family import Family, Found, Named, Vector, local_to, numbered, point_of
from preview.script.models.pieces.buildings import Garage, House, Opening, Outbuilding, Shed
from preview.script.models.pieces.piece import Piece
from preview.script.scene import Anchor

LARGEST_HOUSE = 200.0
LEAST_PITCH = radians(5)
LARGEST_OUTBUILDING = 20.0
LEAST_OUTBUILDING = 1.2
LEAST_BESIDE_DOOR = 0.5
"""Wall that a door leaves on its two sides together, metres."""
EYE_LEVEL_INSIDE = 1.5
"""Height of `house.room` above the floor, metres."""


def _places_of_house(name: str, house: House, azimuth: float) -> Named:
    middle = house.floor + house.walls / 2

    def anchor(
        point: Sequence[float] | NDArray[np.float64],
        facing: NDArray[np.float64] | None = None,
        size: tuple[float, float] | None = None,
    ) -> Anchor:
        way = None if facing is None else point_of(house_plan.direction_in_world(house, facing))
        return Anchor(point_of(house_plan.in_world(house, np.array(point, dtype=float))), way, size)

    yield name, anchor([0.0, 0.0, middle])
    for wall in house_plan.WALLS:
        frame = house_plan.wall_frame(house, wall)
        size = (frame.length, house.walls)
        yield f"{name}.{wall}", anchor(frame.point(frame.length / 2, middle), frame.outward, size)
    for part, openings in (("door", house.doors), ("window", house.windows)):
        found = []
        for opening in openings:
            frame = house_plan.wall_frame(house, opening.wall)
            hole = house_plan.bounds(house, opening)
            out = -house_plan.LIT - house_plan.set_back(house) if part == "window" else 0.0
            centre = frame.point((hole.left + hole.right) / 2, (hole.bottom + hole.top) / 2, out)
            found.append(anchor(centre, frame.outward, opening.size))
        yield from numbered(f"{name}.{part}", found)
    yield f"{name}.room", anchor([0.0, 0.0, house.floor + EYE_LEVEL_INSIDE])
    yield f"{name}.roof", anchor([0.0, 0.0, house_plan.wall_top(house) + house_plan.roof_rise(house)])
    if house.porch is not None:
        yield from _of_porch(f"{name}.porch", house, anchor)


def _of_porch(name: str, house: House, anchor: Callable[..., Anchor]) -> Named:
    assert house.porch is not None
    front = house_plan.wall_frame(house, "front")
    left, right = house_plan.porch_span(house)
    depth = house.porch.depth
    yield (
        name,
        anchor(front.point((left + right) / 2, house.floor, depth / 2), front.outward, (right - left, depth)),
    )
    yield f"{name}.lamp", anchor(house_plan.porch_lamp(house))
    seat = house_plan.porch_seat(house)
    if seat is not None:
        yield f"{name}.seat", anchor(seat, front.outward)
    steps = house_plan.porch_steps(house)
    treads = max(steps.count - 1, 0)
    # The lowest tread; where there is none, the ground before the porch.
    height = steps.riser if treads else 0.0
    out = depth + max(treads - 0.5, 0.5) * steps.tread
    yield f"{name}.step", anchor(front.point((steps.left + steps.right) / 2, height, out), front.outward)


def _part_of_house(point: Vector, house: House) -> str | None:
    x, y, z = local = local_to(point, house.facing, house.at)
    half_width, half_depth = house.size[0] / 2, house.size[1] / 2
    if house.porch is not None:
        left, right = house_plan.porch_span(house)
        if (
            left <= half_width - x <= right
            and half_depth < y <= half_depth + house.porch.depth
            and 0 <= z <= house.floor
        ):
            return "the porch floor"
    if abs(x) > half_width or abs(y) > half_depth or z < 0:
        return None
    if z <= house.floor:
        return "the floor"
    if z > house_plan.wall_top(house):
        return "the roof" if z <= house_plan.wall_top(house) + _roof_over(house, x, y) else None
    return (
        "a wall" if any(_walls_holding(house, local)) and not any(_openings_holding(house, local)) else None
    )


def _roof_over(house: House, x: float, y: float) -> float:
    """Height of the roof above the tops of the walls over a local plan point."""
    rise = house_plan.roof_rise(house)
    half_width, half_depth = house.size[0] / 2, house.size[1] / 2
    from_eaves = half_depth - abs(y)
    if house.roof.shape == "hip":
        from_eaves = min(from_eaves, half_width - abs(x))
        return rise * from_eaves / min(half_width, half_depth)
    return rise * from_eaves / half_depth


def _walls_holding(house: House, local: Vector) -> Iterator[bool]:
    for wall in house_plan.WALLS:
        frame = house_plan.wall_frame(house, wall)
        yield -house.thickness <= float((local - frame.start) @ frame.outward) <= 0


def _openings_holding(house: House, local: Vector) -> Iterator[bool]:
    for opening in [*house.windows, *house.doors]:
        frame = house_plan.wall_frame(house, opening.wall)
        hole = house_plan.bounds(house, opening)
        from_start = local - frame.start
        in_wall = -house.thickness <= float(from_start @ frame.outward) <= 0
        yield (
            in_wall
            and hole.left < float(from_start @ frame.along) < hole.right
            and hole.bottom < local[2] < hole.top
        )


def _misfits_of_house(house: House, keys: Keys) -> Found:
    if max(house.size) > LARGEST_HOUSE:
        yield (*keys, "size"), f"no house here is larger than {LARGEST_HOUSE:.0f} m"
    if min(house.size) < 2 * house.thickness + 0.5:
        yield (*keys, "size"), f"walls {house.thickness:g} m thick leave no room inside"
    yield from _openings(house, keys)
    yield from _roof(house, keys)
    if house.porch is not None:
        yield from _porch(house, keys)
    if house.chimney.from_left is not None and house.chimney.from_left > house.size[0]:
        yield (
            (*keys, "chimney", "from_left"),
            f"the chimney stands {house.chimney.from_left:g} m from the left of a front that is {house.size[0]:g} m long",
        )


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


def _in_house(point: Vector, name: str, house: House) -> str | None:
    part = _part_of_house(point, house)
    return f"{part} of {name}" if part else None


def _places_of_outbuilding(name: str, building: Outbuilding, azimuth: float) -> Named:
    yield from _places_of_house(name, house_plan.house_of(building), azimuth)


def _in_outbuilding(point: Vector, name: str, building: Outbuilding) -> str | None:
    return _in_house(point, name, house_plan.house_of(building))


def _misfits_of_outbuilding(building: Outbuilding, keys: Keys) -> Found:
    width, height = building.door
    if max(building.size) > LARGEST_OUTBUILDING:
        yield (
            (*keys, "size"),
            f"no shed or garage here is larger than {LARGEST_OUTBUILDING:.0f} m; write a house",
        )
    elif min(building.size) < LEAST_OUTBUILDING:
        yield (*keys, "size"), f"{LEAST_OUTBUILDING:g} m is the least that a shed or garage measures"
    elif width > building.size[0] - LEAST_BESIDE_DOOR:
        yield (
            (*keys, "door"),
            f"the door is {width:g} m wide, too wide for a front of {building.size[0]:g} m",
        )
    if height > building.walls - 0.12:
        yield (*keys, "door"), f"the door is {height:g} m high, too high for walls of {building.walls:g} m"
    yield from _roof(house_plan.house_of(building), keys)


_OUTBUILDING = Family(_places_of_outbuilding, _in_outbuilding, _misfits_of_outbuilding)

HOUSES: dict[type[Piece], Family] = {
    House: Family(_places_of_house, _in_house, _misfits_of_house),
    Shed: _OUTBUILDING,
    Garage: _OUTBUILDING,
}
