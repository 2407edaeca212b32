"""Market and street furniture: lamps, seats and tops as places, what is solid."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import turned
from preview.script.document import Keys
from preview.script.families.family import UP, Family, Found, Named, Point, Vector, level, local_to, point_of
from preview.script.fields import Place
from preview.script.models.pieces.market import PhoneBox, Prop, Stall, WashingLine
from preview.script.models.pieces.piece import Piece
from preview.script.prop_plan import BOX, BOX_LAMP, CANDLE_FLAME, COUNTER, PROPS
from preview.script.scene import Anchor
from preview.script.street_plan import path_length


def _world(at: tuple[float, float], azimuth: float, x: float, y: float, z: float) -> Point:
    return point_of(turned(np.array([x, y, z]), azimuth, np.array([*at, 0.0])))


def _places_of_stall(name: str, stall: Stall, azimuth: float) -> Named:
    width, depth = stall.size
    ahead = level(azimuth)
    yield name, Anchor(_world(stall.at, azimuth, 0.0, 0.0, stall.height / 2.0), ahead)
    yield f"{name}.counter", Anchor(_world(stall.at, azimuth, 0.0, depth / 2.0 - 0.2, COUNTER), UP)
    yield f"{name}.keeper", Anchor(_world(stall.at, azimuth, 0.0, -depth * 0.3, 0.0), ahead)
    yield f"{name}.lamp", Anchor(_world(stall.at, azimuth, 0.0, 0.1 * depth, stall.height - 0.45))
    for side, x in (("left", -1.0), ("right", 1.0)):
        yield (
            f"{name}.front.{side}",
            Anchor(_world(stall.at, azimuth, x * width / 2.0, depth / 2.0, stall.height - 0.35), ahead),
        )


def _misfits_of_stall(stall: Stall, keys: Keys) -> Found:
    width, depth = stall.size
    if not 1.0 <= width <= 8.0 or not 0.8 <= depth <= 4.0:
        yield (*keys, "size"), "a stall is 1 to 8 m wide and 0.8 to 4 m deep"
    if not 1.8 <= stall.height <= 4.5:
        yield (*keys, "height"), "a stall is 1.8 to 4.5 m high"


def _places_of_box(name: str, box: PhoneBox, azimuth: float) -> Named:
    ahead = level(azimuth)
    yield name, Anchor(_world(box.at, azimuth, 0.0, 0.0, BOX[2] / 2.0), ahead)
    yield f"{name}.lamp", Anchor(_world(box.at, azimuth, 0.0, 0.0, BOX_LAMP))
    yield f"{name}.door", Anchor(_world(box.at, azimuth, 0.0, BOX[1] / 2.0, 1.2), ahead)
    yield f"{name}.phone", Anchor(_world(box.at, azimuth, 0.0, -0.25, 1.35), ahead)
    yield f"{name}.top", Anchor(_world(box.at, azimuth, 0.0, 0.0, BOX[2]), UP)


def _in_box(point: Vector, name: str, box: PhoneBox) -> str | None:
    if isinstance(box.facing, Place):
        return None
    x, y, z = local_to(point, box.facing, box.at)
    inside = abs(x) <= BOX[0] / 2.0 and abs(y) <= BOX[1] / 2.0 and 0.0 <= z <= BOX[2]
    return f"the phone box {name}" if inside else None


def _places_of_prop(name: str, prop: Prop, azimuth: float) -> Named:
    row, ahead = PROPS[prop.kind], level(azimuth)
    top = prop.height + row.height * prop.size
    yield name, Anchor((*prop.at, prop.height + row.height * prop.size / 2.0), ahead)
    yield f"{name}.top", Anchor((*prop.at, top), UP)
    if row.seat is not None:
        yield (
            f"{name}.seat",
            Anchor(_world(prop.at, azimuth, 0.0, 0.0, prop.height + row.seat * prop.size), ahead),
        )
    if prop.kind == "candle":
        yield f"{name}.flame", Anchor((*prop.at, top + CANDLE_FLAME))


def _in_prop(point: Vector, name: str, prop: Prop) -> str | None:
    if prop.kind not in ("barrel", "bin", "bollard", "sacks", "crate") or isinstance(prop.facing, Place):
        return None
    row = PROPS[prop.kind]
    x, y, z = local_to(point, prop.facing, prop.at) / prop.size
    inside = abs(x) <= row.width / 2.0 and abs(y) <= row.depth / 2.0
    return f"the {prop.kind} {name}" if inside and 0.0 <= z - prop.height / prop.size <= row.height else None


def _places_of_washing(name: str, line: WashingLine, azimuth: float) -> Named:
    a, b = line.along[0], line.along[-1]
    yield name, Anchor(((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0, line.height - 0.5))


def _misfits_of_washing(line: WashingLine, keys: Keys) -> Found:
    if len(line.along) > 2:
        yield (*keys, "along", 2), "a washing line goes from one post to another: two points"
    elif not 1.0 <= path_length(line.along) <= 20.0:
        yield (*keys, "along"), "a washing line is 1 to 20 m long"


MARKET: dict[type[Piece], Family] = {
    Stall: Family(_places_of_stall, misfits=_misfits_of_stall),
    PhoneBox: Family(_places_of_box, _in_box),
    Prop: Family(_places_of_prop, _in_prop),
    WashingLine: Family(_places_of_washing, misfits=_misfits_of_washing, stands="draped"),
}
