"""Shops: a row of closed rooms behind shop fronts, with floors above them under a flat roof with a parapet.

Solid walls, floors and ceilings that run into each other, so that no light passes but through glass.
"""

from __future__ import annotations

from zlib import crc32

import numpy as np

from preview.build.buildings import cladding
from preview.build.buildings.curtains import curtains
from preview.build.buildings.face import Face, eyes_before
from preview.build.buildings.goods import stock
from preview.build.buildings.house import FOUNDATION, UP
from preview.build.buildings.openings import Fit, window
from preview.build.buildings.shop_front import front_of
from preview.build.mesh import Floats, Part, turned
from preview.build.pile import Pile
from preview.build.site import Site
from preview.build.solids import boxes, plate
from preview.script import shops_plan
from preview.script.house_plan import WALLS, Bounds, cladding_of, set_back, wall_frame
from preview.script.models.pieces.buildings import Cladding, House, Shops, Window
from preview.script.shops_plan import CEILING, FLOOR, GROUND, PARAPET, PARTY, STOREY, THICKNESS

PLASTER = 0.012
"""Thickness of the plaster on the inner faces of outer walls, metres."""


def build_shops(name: str, model: Shops, site: Site) -> list[Part]:
    """The whole row, in its place."""
    house = shops_plan.shell(model)
    kind = cladding_of(model.material, model.cladding)
    eyes = turned(site.eyes - np.array([*model.at, 0.0]), -model.facing, np.zeros(3))
    rng = np.random.default_rng(crc32(name.encode()) + model.seed)
    pile = Pile()
    deep = max(FOUNDATION, site.falls(house.at, house.size, house.facing) + 0.2)
    _shell(pile, model, house, kind, deep, eyes, rng)
    front = wall_frame(house, "front")
    own = Pile()
    _rooms(own, model)
    for number in range(model.bays):
        bay = shops_plan.bay(model, number)
        front_of(own, model, number, bay)
        if model.goods:
            stock(own, model, number, bay, rng)
    _upper(own, model, house, kind, rng)
    pile.poured(own, front.start, front.along, UP, front.outward)
    return pile.parts(name, azimuth=model.facing, at=[*model.at, 0.0])


def _holes(model: Shops) -> list[Bounds]:
    bays = [shops_plan.bay(model, number) for number in range(model.bays)]
    return [*(b.display for b in bays), *(b.lobby for b in bays), *shops_plan.upper_windows(model)]


def _shell(
    pile: Pile,
    model: Shops,
    house: House,
    kind: Cladding,
    deep: float,
    eyes: Floats,
    rng: np.random.Generator,
) -> None:
    """Outer walls with what they show, foundation, roof, coping."""
    depth = cladding.DEPTH[kind]
    backing = {"bricks": "mortar", "stones": "mortar"}.get(kind, model.material)
    top = shops_plan.roof_height(model) + PARAPET
    half_x, half_y = 0.5 * house.size[0], 0.5 * house.size[1]
    for wall in WALLS:
        frame, own = wall_frame(house, wall), Pile()
        holes = tuple(_holes(model)) if wall == "front" else ()
        # Side walls lie between front and back, a hair lower, so that no two faces share a plane.
        long = wall in ("front", "back")
        end = depth if long else depth + 0.004
        body = plate(
            (end, frame.length - end), (-0.15, top - 0.06 - 0.002 * (not long)),
            [(h.left, h.bottom, h.right, h.top) for h in holes],
        )  # fmt: skip
        own.add("walls", backing, body.body(-THICKNESS + PLASTER, -depth - 0.0005 * (not long)))
        reveals = [Bounds(h.left, h.right, h.bottom, h.top) for h in holes if h.bottom > GROUND]
        lining = plate(
            (THICKNESS - PLASTER - 0.003, frame.length - THICKNESS + PLASTER + 0.003), (FLOOR - 0.05, top - PARAPET - 0.1),
            [(h.left + 0.001, h.bottom + 0.001, h.right - 0.001, h.top - 0.001) for h in holes],
        )  # fmt: skip
        own.add(
            "inside", "plaster", lining.body(-THICKNESS - 0.0006 * (not long), -THICKNESS + PLASTER + 0.004)
        )
        low = GROUND - 0.02 if wall == "front" else -0.07
        face = Face(frame.length, low, top - 0.07, top - 0.07, tuple(reveals))
        seen = eyes_before(eyes, frame.start, frame.along, frame.outward)
        cladding.clad(own, face, kind, model.material, eyes=seen, bond=model.bond, rng=rng)
        pile.poured(own, frame.start, frame.along, UP, frame.outward)
    ring = plate(
        (-half_x - 0.04, half_x + 0.04), (-half_y - 0.04, half_y + 0.04),
        [(-half_x + THICKNESS + 0.03, -half_y + THICKNESS + 0.03, half_x - THICKNESS - 0.03, half_y - THICKNESS - 0.03)],
    )  # fmt: skip
    pile.add("coping", "stone", ring.body(top - 0.075, top))
    roof = top - PARAPET
    inner_x, inner_y = half_x - THICKNESS + 0.05, half_y - THICKNESS + 0.05
    pile.add("roof", "asphalt", boxes([-inner_x, -inner_y, roof - 0.12], [inner_x, inner_y, roof]))
    low_x, low_y = half_x - depth - 0.02, half_y - depth - 0.02
    pile.add("foundation", "stone", boxes([-low_x, -low_y, -deep], [low_x, low_y, 0.02]))


def _rooms(own: Pile, model: Shops) -> None:
    """Floors, ceilings and walls between shops, in the front's frame."""
    length, back = model.bays * model.bay, -model.depth + THICKNESS - 0.02
    inner = THICKNESS - 0.02
    front = -inner
    roof = shops_plan.roof_height(model)
    floors = [
        (-0.05, FLOOR, "wood"),
        *((GROUND + STOREY * n - 0.06, GROUND + STOREY * n, "wood") for n in range(model.floors - 1)),
    ]
    for low, high, material in floors:
        own.add("floor", material, boxes([inner, low, back], [length - inner, high, front]))
    ceilings = [(CEILING, (GROUND if model.floors > 1 else roof) - 0.055)]
    ceilings += [
        (GROUND + STOREY * (n + 1) - 0.30, GROUND + STOREY * (n + 1) - 0.055) for n in range(model.floors - 1)
    ]
    for low, high in ceilings:
        own.add("inside", "plaster", boxes([inner, low, back], [length - inner, high, front]))
    for number in range(1, model.bays):
        at = number * model.bay
        own.add(
            "inside",
            "plaster",
            boxes([at - PARTY / 2, FLOOR - 0.04, back - 0.002], [at + PARTY / 2, roof - 0.08, front + 0.004]),
        )


def _upper(own: Pile, model: Shops, house: House, kind: Cladding, rng: np.random.Generator) -> None:
    """The windows over the shops."""
    back = set_back(house)
    fit = Fit(THICKNESS, back, kind not in ("bricks", "stones", "render"), model.trim, "stone", model.trim)
    for number, hole in enumerate(shops_plan.upper_windows(model)):
        choice = ("open", "net", "half", "open", "drawn")[int(rng.integers(0, 5))]
        pane = Window.model_validate(
            {
                "from_left": hole.left,
                "size": [hole.right - hole.left, hole.top - hole.bottom],
                "curtains": choice,
            }
        )
        window(own, f"upper.windows[{number}]", hole, pane, fit)
        curtains(own, f"upper.windows[{number}]", hole, pane, thickness=THICKNESS, rng=rng)
