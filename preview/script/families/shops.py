"""Rows of shops: their named places, and what of them a camera cannot stand inside."""

from __future__ import annotations

from preview.script import house_plan, shops_plan
from preview.script.document import Keys
from preview.script.families.family import Family, Found, Named, Vector, local_to, numbered, point_of
from preview.script.house_plan import Bounds
from preview.script.models.pieces.buildings import Shops
from preview.script.models.pieces.piece import Piece
from preview.script.scene import Anchor

LONGEST_ROW = 200.0


def _places(name: str, shops: Shops, azimuth: float) -> Named:
    house = shops_plan.shell(shops)
    front = house_plan.wall_frame(house, "front")
    way = point_of(house_plan.direction_in_world(house, front.outward))

    def anchor(a: float, b: float, c: float, size: tuple[float, float] | None = None) -> Anchor:
        return Anchor(point_of(house_plan.in_world(house, front.point(a, b, c))), way, size)

    def in_opening(hole: Bounds, out: float) -> Anchor:
        size = (hole.right - hole.left, hole.top - hole.bottom)
        return anchor(0.5 * (hole.left + hole.right), 0.5 * (hole.bottom + hole.top), out, size)

    height = shops_plan.roof_height(shops)
    yield name, anchor(0.5 * front.length, 0.5 * height, -0.5 * shops.depth)
    yield f"{name}.front", anchor(0.5 * front.length, 0.5 * height, 0.0, (front.length, height))
    yield f"{name}.roof", anchor(0.5 * front.length, height, -0.5 * shops.depth)
    bays = [shops_plan.bay(shops, number) for number in range(shops.bays)]
    yield from numbered(f"{name}.window", [in_opening(b.display, -shops_plan.GLASS_BEHIND) for b in bays])
    yield from numbered(f"{name}.door", [in_opening(b.lobby, -shops_plan.RECESS_DEPTH) for b in bays])
    yield from numbered(
        f"{name}.room",
        [
            anchor(0.5 * (b.display.left + b.display.right), shops_plan.LAMP_HEIGHT, -shops_plan.LAMP_BEHIND)
            for b in bays
        ],
    )
    fascia = 0.5 * (shops_plan.HEAD + shops_plan.GROUND)
    yield from numbered(
        f"{name}.fascia",
        [anchor(0.5 * (b.left + b.right), fascia, 0.1, (shops.bay - 0.4, 0.45)) for b in bays],
    )
    out = -house_plan.LIT - house_plan.set_back(house)
    yield from numbered(
        f"{name}.upper.window", [in_opening(hole, out) for hole in shops_plan.upper_windows(shops)]
    )


def _inside(point: Vector, name: str, shops: Shops) -> str | None:
    x, y, z = local_to(point, shops.facing, shops.at)
    half_x, half_y = 0.5 * shops.bays * shops.bay, 0.5 * shops.depth
    if (
        abs(x) > half_x
        or abs(y) > half_y
        or not 0.0 <= z <= shops_plan.roof_height(shops) + shops_plan.PARAPET
    ):
        return None
    along, behind = half_x - x, half_y - y
    bay = shops_plan.bay(shops, min(int(along / shops.bay), shops.bays - 1))
    if z > shops_plan.roof_height(shops):
        at_edge = min(half_x - abs(x), half_y - abs(y)) < shops_plan.THICKNESS
        return f"the parapet of {name}" if at_edge else None
    lobby = bay.lobby
    if lobby.left < along < lobby.right and behind < shops_plan.RECESS_DEPTH and lobby.bottom < z < lobby.top:
        return None
    if z < shops_plan.FLOOR or shops_plan.CEILING < z < shops_plan.GROUND:
        return f"a floor of {name}"
    if min(half_x - abs(x), half_y - abs(y)) < shops_plan.THICKNESS:
        window = bay.display
        if (
            behind < shops_plan.THICKNESS
            and window.left < along < window.right
            and window.bottom < z < window.top
        ):
            return None
        return f"a wall of {name}"
    return None


def _misfits(shops: Shops, keys: Keys) -> Found:
    length = shops.bays * shops.bay
    if length > LONGEST_ROW:
        yield (*keys, "bays"), f"the row is {length:g} m long; {LONGEST_ROW:.0f} m is the most"


SHOPS: dict[type[Piece], Family] = {Shops: Family(_places, _inside, _misfits)}
