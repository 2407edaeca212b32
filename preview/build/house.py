"""House: walls with real holes round one room, on a plinth, under a roof, with what fills the holes.

One closed body holds the room, so a lamp indoors lights out through the openings alone. The wall's outer face
lies on the plan's rectangle; boards and trim stand a few centimetres before it.
"""

from __future__ import annotations

from math import tan
from zlib import crc32

import numpy as np

from preview.build.cladding import lapped
from preview.build.mesh import Floats, Part
from preview.build.openings import door, pane, window
from preview.build.porch import build_porch
from preview.build.roof import build_roof, eaves, fan, slopes
from preview.build.site import Site
from preview.build.solids import Heap, boxes, framed, heap_up, placed, plate
from preview.faults import UserError
from preview.script.house_plan import WALLS, Bounds, WallFrame, bounds, wall_frame, wall_top
from preview.script.models.pieces.buildings import Door, House, Opening, Wall4, Window

LOWEST_FLOOR = 0.003
"""A floor on the ground lies this much above it, metres, so that the two do not share a plane."""
INTO_ROOF = 0.03
"""How far the walls run up into the roof, so that no light passes between them."""
UP = (0.0, 0.0, 1.0)


def build_house(name: str, model: House, site: Site) -> list[Part]:
    """The house with all that belongs to it. UserError where an opening does not fit its wall."""
    check_openings(name, model)
    heap: Heap = {}
    foot = model.floor - 0.22 if model.floor >= 0.3 else -0.1
    _body(heap, model, foot)
    if foot > 0:
        half_x, half_y = model.size[0] / 2 - 0.02, model.size[1] / 2 - 0.02
        heap_up(heap, "plinth", "stone", boxes([-half_x, -half_y, -0.2], [half_x, half_y, foot + 0.05]))
    for wall in WALLS:
        _wall_trim(heap, model, wall, max(foot, 0.0))
    if model.material == "clapboard":
        _corner_boards(heap, model, max(foot, 0.0))
    build_roof(heap, model, np.random.default_rng(crc32(name.encode())))
    if model.porch is not None:
        build_porch(heap, model, model.porch)
    return placed(name, heap, azimuth=model.facing, at=[*model.at, 0.0])


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


def _body(heap: Heap, model: House, foot: float) -> None:
    """Walls, gables and attic as one body round the room."""
    top, thickness = wall_top(model) + INTO_ROOF, model.thickness
    ceiling, floor = wall_top(model), max(model.floor, LOWEST_FLOOR)
    for wall in WALLS:
        frame = wall_frame(model, wall)
        holes = [(hole.left, hole.bottom, hole.right, hole.top) for _, _, hole in openings_of(model, wall)]
        holes = [(a0, max(b0, floor), a1, b1) for a0, b0, a1, b1 in holes]
        outer = plate((0.0, frame.length), (foot, top), holes)
        inner = plate((thickness, frame.length - thickness), (floor, ceiling), holes)
        _in_wall(heap, "walls", model.material, frame, outer.face(0.0))
        _in_wall(heap, "inside", model.inside, frame, inner.face(-thickness, back=True))
        _in_wall(heap, "inside", model.inside, frame, outer.edges(-thickness, 0.0, rim=False))
    half_x, half_y = model.size[0] / 2, model.size[1] / 2
    planes, outline = slopes(model, half_x, half_y, top)
    heap_up(heap, "walls", model.material, *(fan(plane) for plane in planes))
    if model.roof.shape == "gable":
        a, b, right, c, d, left = outline
        heap_up(heap, "walls", model.material, np.stack([[b, c, right], [d, a, left]]))
    ground = np.array(
        [[-half_x, half_y, foot], [half_x, half_y, foot], [half_x, -half_y, foot], [-half_x, -half_y, foot]]
    )
    heap_up(heap, "walls", model.material, fan(ground))
    room = np.array([[-1.0, -1.0, 0.0], [1.0, -1.0, 0.0], [1.0, 1.0, 0.0], [-1.0, 1.0, 0.0]])
    room = room * [half_x - thickness, half_y - thickness, 1.0]
    heap_up(heap, "floor", "wood", fan(room + np.array([0.0, 0.0, floor])))
    heap_up(heap, "inside", model.inside, fan(room[::-1] + np.array([0.0, 0.0, ceiling])))


def _in_wall(heap: Heap, part: str, material: str, frame: WallFrame, *pieces: Floats) -> None:
    """Adds triangles given in a wall's frame."""
    heap_up(heap, part, material, *(framed(p, frame.start, frame.along, UP, frame.outward) for p in pieces))


def _wall_trim(heap: Heap, model: House, wall: Wall4, foot: float) -> None:
    """Boards, windows and doors of one wall."""
    frame = wall_frame(model, wall)
    boarded = model.material == "clapboard"
    found = openings_of(model, wall)
    for path, opening, hole in found:
        if isinstance(opening, Window):
            pieces = window(hole, opening, thickness=model.thickness, boarded=boarded)
            _in_wall(heap, path, model.trim, frame, *pieces)
            _in_wall(heap, f"{path}.pane", "window glass", frame, pane(hole))
        elif isinstance(opening, Door):
            woodwork, leaf, handle = door(hole, opening, thickness=model.thickness, boarded=boarded)
            _in_wall(heap, path, model.trim, frame, *woodwork)
            _in_wall(heap, path, "green paint" if wall == "front" else model.trim, frame, *leaf)
            _in_wall(heap, path, "metal", frame, handle)
    if not boarded:
        return
    low, high, end = foot + 0.14, wall_top(model), 0.04
    holes = [hole for _, _, hole in found]
    length = frame.length
    _in_wall(
        heap, "walls", "clapboard", frame, lapped(low, high, (end, end), (length - end, length - end), holes)
    )
    if model.roof.shape == "gable" and wall in ("left", "right"):
        rise = length / 2 * tan(model.roof.pitch)
        boards = lapped(high, high + rise, (0.0, length / 2), (length, length / 2), [])
        _in_wall(heap, "walls", "clapboard", frame, boards)
    # The skirt board at the foot, let into by doors that reach down to it.
    skirt = plate((0.03, length - 0.03), (foot - 0.02, low + 0.012), [
        (hole.left - 0.02, hole.bottom - 0.02, hole.right + 0.02, hole.top) for hole in holes
    ])  # fmt: skip
    _in_wall(heap, "walls", model.trim, frame, skirt.body(-0.008, 0.031))


def _corner_boards(heap: Heap, model: House, foot: float) -> None:
    """A post of boards at each corner, from the skirt to the eaves."""
    top = max(eaves(model).low, wall_top(model) - 0.5) + 0.02
    within, proud = min(0.09, 0.6 * model.thickness), 0.034
    for x in (-1, 1):
        for y in (-1, 1):
            corner = np.array([x * model.size[0] / 2, y * model.size[1] / 2])
            inner, outer = corner - np.array([x, y]) * within, corner + np.array([x, y]) * proud
            low, high = np.minimum(inner, outer), np.maximum(inner, outer)
            heap_up(heap, "walls", model.trim, boxes([*low, foot - 0.03], [*high, top]))
