"""House: walls with real holes round one room, on a plinth, under a roof, with what fills the holes and the room.

One closed body holds the room, so a lamp indoors lights out through the openings alone. The cladding's outermost face
lies on the plan's rectangle; lapped boards, trim and the ends of logs stand a few centimetres before it.
"""

from __future__ import annotations

from zlib import crc32

import numpy as np

from preview.build.buildings import cladding
from preview.build.buildings.curtains import curtains
from preview.build.buildings.doors import door
from preview.build.buildings.face import Face, eyes_before
from preview.build.buildings.interior import furnish
from preview.build.buildings.logs import log_ends
from preview.build.buildings.openings import CASING, Fit, u_shaped, window
from preview.build.buildings.porch import build_porch
from preview.build.buildings.roof import build_roof, eaves, fan, slopes
from preview.build.mesh import Floats, Part, turned
from preview.build.pile import Pile
from preview.build.site import Site
from preview.build.solids import boxes, framed, heap_up, plate
from preview.faults import UserError
from preview.script.house_plan import (
    WALLS,
    Bounds,
    WallFrame,
    bounds,
    cladding_of,
    house_of,
    roof_rise,
    set_back,
    wall_frame,
    wall_top,
)
from preview.script.models.pieces.buildings import Cladding, Door, House, Opening, Outbuilding, Wall4, Window

LOWEST_FLOOR = 0.003
"""A floor on the ground lies this much above it, metres, so that the two do not share a plane."""
INTO_ROOF = 0.03
"""How far the walls run up into the roof, so that no light passes between them."""
FOUNDATION = 0.6
"""How far every building reaches below the ground it stands on at the least, metres."""
UP = (0.0, 0.0, 1.0)


def build_outbuilding(name: str, model: Outbuilding, site: Site) -> list[Part]:
    """A shed or garage, as the house that it is."""
    return build_house(name, house_of(model), site)


def build_house(name: str, model: House, site: Site) -> list[Part]:
    """The house with all that belongs to it. UserError where an opening does not fit its wall."""
    check_openings(name, model)
    pile, rng = Pile(), np.random.default_rng(crc32(name.encode()))
    kind = cladding_of(model.material, model.cladding)
    eyes = turned(site.eyes - np.array([*model.at, 0.0]), -model.facing, np.zeros(3))
    deep = max(FOUNDATION, site.falls(model.at, model.size, model.facing) + 0.2)
    foot = _foot(model, kind)
    _body(pile, model, kind, min(foot, -0.1))
    half_x, half_y = (side / 2 - (0.04 if kind == "logs" else 0.02) for side in model.size)
    heap_up(
        pile, "plinth", "stone", boxes([-half_x, -half_y, -deep], [half_x, half_y, max(foot, 0.0) + 0.05])
    )
    for wall in WALLS:
        _dress(pile, model, kind, wall, max(foot, 0.0), eyes, rng)
    if kind in ("lapped", "battened"):
        _corner_boards(pile, model, max(foot, 0.0))
    build_roof(pile, model, rng, eyes)
    if model.porch is not None:
        build_porch(pile, model, model.porch, rng, eyes, deep)
    if model.furnished:
        furnish(pile, model, rng)
    return pile.parts(name, azimuth=model.facing, at=[*model.at, 0.0])


def _foot(model: House, kind: Cladding) -> float:
    """Height of the walls' lower edge: on a plinth where the floor is high, in the ground elsewhere."""
    if kind in ("lapped", "battened", "logs"):
        return model.floor - 0.22 if model.floor >= 0.3 else 0.04 if kind == "logs" else -0.1
    return -0.1


def openings_of(model: House, wall: Wall4) -> list[tuple[str, Opening, Bounds]]:
    """The openings of one wall: script path, model, hole."""
    everything: list[tuple[str, Opening]] = [
        *((f"windows[{i}]", window) for i, window in enumerate(model.windows)),
        *((f"doors[{i}]", door) for i, door in enumerate(model.doors)),
    ]
    return [(path, opening, bounds(model, opening)) for path, opening in everything if opening.wall == wall]


def check_openings(name: str, model: House) -> None:
    """Raises UserError with a sentence for each opening that reaches past its wall or into another opening."""
    faults = []
    if 2 * model.thickness >= min(model.size) - 0.5:
        faults.append(f"{name}: walls {model.thickness:g} m thick leave no room inside a house of this size")
    for wall in WALLS:
        length, thickness = wall_frame(model, wall).length, model.thickness
        found = openings_of(model, wall)
        for path, _, hole in found:
            if hole.left < thickness - 1e-9 or hole.right > length - thickness + 1e-9:
                faults.append(
                    f"{name}: {path} spans {hole.left:g} to {hole.right:g} m from the left end of the {wall} wall;"
                    f" there is room from {thickness:g} to {length - thickness:g} m"
                )
            if hole.top > wall_top(model) + 1e-9:
                faults.append(
                    f"{name}: {path} reaches {hole.top - model.floor:g} m above the floor;"
                    f" the walls end at {model.walls:g} m"
                )
        for number, (path, _, hole) in enumerate(found):
            for other_path, _, other in found[:number]:
                apart = max(
                    other.left - hole.right,
                    hole.left - other.right,
                    other.bottom - hole.top,
                    hole.bottom - other.top,
                )
                if apart < 0:
                    faults.append(f"{name}: {path} overlaps {other_path} in the {wall} wall")
    if faults:
        raise UserError(*faults)


def _body(pile: Pile, model: House, kind: Cladding, foot: float) -> None:
    """Walls, gables and attic as one body round the room."""
    top, thickness, depth = wall_top(model) + INTO_ROOF, model.thickness, cladding.DEPTH[kind]
    ceiling, floor = wall_top(model), max(model.floor, LOWEST_FLOOR)
    backing = {"bricks": "mortar", "stones": "mortar"}.get(kind, model.material)
    reveal = max(set_back(model) + 0.004, 0.0)
    for wall in WALLS:
        frame = wall_frame(model, wall)
        holes = [(hole.left, hole.bottom, hole.right, hole.top) for _, _, hole in openings_of(model, wall)]
        holes = [(a0, max(b0, floor), a1, b1) for a0, b0, a1, b1 in holes]
        outer = plate((depth, frame.length - depth), (foot, top), holes)
        inner = plate((thickness, frame.length - thickness), (floor, ceiling), holes)
        _in_wall(pile, "walls", backing, frame, outer.face(-depth))
        _in_wall(pile, "inside", model.inside, frame, inner.face(-thickness, back=True))
        if reveal > depth + 0.01:
            # Outside of its frame an opening shows the wall's own material.
            _in_wall(pile, "walls", model.material, frame, outer.edges(-reveal, -depth, rim=False))
            _in_wall(pile, "inside", model.inside, frame, outer.edges(-thickness, -reveal, rim=False))
        else:
            _in_wall(pile, "inside", model.inside, frame, outer.edges(-thickness, -depth, rim=False))
    half_x, half_y = model.size[0] / 2 - depth, model.size[1] / 2 - depth
    planes, outline = slopes(model, half_x, half_y, top)
    heap_up(pile, "walls", backing, *(fan(plane) for plane in planes))
    if model.roof.shape == "gable":
        a, b, right, c, d, left = outline
        heap_up(pile, "walls", backing, np.stack([[b, c, right], [d, a, left]]))
    ground = np.array(
        [[-half_x, half_y, foot], [half_x, half_y, foot], [half_x, -half_y, foot], [-half_x, -half_y, foot]]
    )
    heap_up(pile, "walls", backing, fan(ground))
    room = np.array([[-1.0, -1.0, 0.0], [1.0, -1.0, 0.0], [1.0, 1.0, 0.0], [-1.0, 1.0, 0.0]])
    room = room * [model.size[0] / 2 - thickness, model.size[1] / 2 - thickness, 1.0]
    heap_up(pile, "floor", "wood", fan(room + np.array([0.0, 0.0, floor])))
    heap_up(pile, "inside", model.inside, fan(room[::-1] + np.array([0.0, 0.0, ceiling])))


def _in_wall(pile: Pile, part: str, material: str, frame: WallFrame, *pieces: Floats) -> None:
    """Adds triangles given in a wall's frame."""
    heap_up(pile, part, material, *(framed(p, frame.start, frame.along, UP, frame.outward) for p in pieces))


def _dress(
    pile: Pile, model: House, kind: Cladding, wall: Wall4, foot: float, eyes: Floats, rng: np.random.Generator
) -> None:
    """Cladding, windows and doors of one wall."""
    frame, own = wall_frame(model, wall), Pile()
    boarded = kind in ("lapped", "battened", "logs", "plain")
    found = openings_of(model, wall)
    front = wall == "front"
    fit = Fit(
        thickness=model.thickness,
        back=set_back(model),
        boarded=boarded,
        trim=model.trim,
        sill=model.trim if boarded else "stone",
        door=model.door_material if front else model.trim,
    )
    for path, opening, hole in found:
        if isinstance(opening, Window):
            window(own, path, hole, opening, fit)
            curtains(own, path, hole, opening, thickness=model.thickness, rng=rng)
        elif isinstance(opening, Door):
            door(own, path, hole, opening, fit, rng)
        if kind == "logs":
            # Casings deep enough to hide the logs' ends.
            below = (
                hole
                if isinstance(opening, Door)
                else Bounds(hole.left, hole.right, hole.bottom - CASING, hole.top)
            )
            own.add(
                path,
                model.trim,
                u_shaped(below, CASING - 0.002, 0.009, -cladding.DEPTH["logs"] - 0.02, 0.006),
            )
    gable = model.roof.shape == "gable" and wall in ("left", "right")
    high = wall_top(model)
    peak = high + roof_rise(model) if gable else high
    face = Face(frame.length, _lowest(kind, foot), high, peak, tuple(hole for _, _, hole in found))
    seen = eyes_before(eyes, frame.start, frame.along, frame.outward)
    cladding.clad(own, face, kind, model.material, eyes=seen, bond=model.bond, rng=rng)
    if kind == "logs":
        log_ends(own, face, model.material, rng)
    elif kind == "render":
        cladding.plinth(own, Face(frame.length, -0.1, high, high, face.holes), model.material,
                        max(0.30, model.floor - 0.08), tint=np.array([0.30, 0.30, 0.32]))  # fmt: skip
    elif kind in ("lapped", "battened"):
        _skirt(own, model, face, foot)
    pile.poured(own, frame.start, frame.along, UP, frame.outward)


def _lowest(kind: Cladding, foot: float) -> float:
    """Where the cladding starts, above the foot of the walls."""
    if kind in ("lapped", "battened"):
        return foot + 0.14
    return -0.07 if kind in ("bricks", "stones", "render") else foot


def _skirt(own: Pile, model: House, face: Face, foot: float) -> None:
    """The board at the foot of a boarded wall, let into by doors that reach down to it."""
    skirt = plate((0.03, face.length - 0.03), (foot - 0.02, face.low + 0.012), [
        (hole.left - 0.02, hole.bottom - 0.02, hole.right + 0.02, hole.top) for hole in face.holes
    ])  # fmt: skip
    own.add("walls", model.trim, skirt.body(-0.008, 0.031))


def _corner_boards(pile: Pile, model: House, foot: float) -> None:
    """A post of boards at each corner, from the skirt to the eaves."""
    top = max(eaves(model).low, wall_top(model) - 0.5) + 0.02
    within, proud = min(0.09, 0.6 * model.thickness), 0.034
    for x in (-1, 1):
        for y in (-1, 1):
            corner = np.array([x * model.size[0] / 2, y * model.size[1] / 2])
            inner, outer = corner - np.array([x, y]) * within, corner + np.array([x, y]) * proud
            low, high = np.minimum(inner, outer), np.maximum(inner, outer)
            heap_up(pile, "walls", model.trim, boxes([*low, foot - 0.03], [*high, top]))
