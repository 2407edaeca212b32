"""Runs: walls, fences and streets, which follow a path."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, pi

from preview.script import street_plan
from preview.script.document import Keys
from preview.script.families.family import (
    Family,
    Found,
    Named,
    Vector,
    in_run,
    level,
    numbered,
    places_of_path,
)
from preview.script.models.pieces.ground import Street
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.things import Fence, Wall
from preview.script.scene import Anchor

FENCE = 0.06


def _of_gates(name: str, fence: Fence) -> Named:
    gates = []
    for gate in fence.gates:
        middle, azimuth = street_plan.along_path(fence.along, gate.from_start + gate.width / 2)
        # A gate faces to the right of the way its fence runs.
        gates.append(Anchor((*middle, fence.height / 2), level(azimuth + pi / 2), (gate.width, fence.height)))
    yield from numbered(f"{name}.gate", gates)


def _misfits_of_fence(fence: Fence, keys: Keys) -> Found:
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


def _places_of_wall(name: str, wall: Wall, azimuth: float) -> Named:
    yield from places_of_path(name, wall.along, wall.height / 2, wall.height)


def _places_of_fence(name: str, fence: Fence, azimuth: float) -> Named:
    yield from places_of_path(name, fence.along, fence.height / 2, fence.height)
    yield from _of_gates(name, fence)


def _places_of_street(name: str, street: Street, azimuth: float) -> Named:
    yield from places_of_path(name, street.along, 0.0, None)


def _in_wall(point: Vector, name: str, wall: Wall) -> str | None:
    return f"the wall {name}" if in_run(point, wall.along, wall.thickness, wall.height) else None


def _in_fence(point: Vector, name: str, fence: Fence) -> str | None:
    return f"the fence {name}" if in_run(point, fence.along, FENCE, fence.height, fence.gates) else None


RUNS: dict[type[Piece], Family] = {
    Wall: Family(_places_of_wall, _in_wall),
    Fence: Family(_places_of_fence, _in_fence, _misfits_of_fence),
    Street: Family(_places_of_street),
}
