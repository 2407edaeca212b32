"""Runs: walls, fences, streets and paths, which follow points on plan."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, pi

import numpy as np

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
from preview.script.models.pieces.ground import Footpath, Street
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.things import Fence, Wall
from preview.script.scene import Anchor

FENCE = 0.06


def _of_gates(name: str, fence: Fence | Wall) -> Named:
    gates = []
    for gate in fence.gates:
        middle, azimuth = street_plan.along_path(fence.along, gate.from_start + gate.width / 2)
        # A gate faces to the right of the way its fence runs.
        gates.append(Anchor((*middle, fence.height / 2), level(azimuth + pi / 2), (gate.width, fence.height)))
    yield from numbered(f"{name}.gate", gates)


def _misfits_of_gates(fence: Fence | Wall, keys: Keys) -> Found:
    noun = "wall" if isinstance(fence, Wall) else "fence"
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
            yield path, f"the gate ends {end:g} m from the start of a {noun} that is {length:g} m long"
        elif any(start < corner - 1e-9 and corner + 1e-9 < end for corner in corners):
            yield path, f"the gate runs round a corner of the {noun}"
        if any(start < other_end and other_start < end for other_start, other_end in before):
            yield path, "the gate overlaps another"
        before.append((start, end))


def _places_of_wall(name: str, wall: Wall, azimuth: float) -> Named:
    yield from places_of_path(name, wall.along, wall.height / 2, wall.height)
    yield from _of_gates(name, wall)


def _places_of_fence(name: str, fence: Fence, azimuth: float) -> Named:
    yield from places_of_path(name, fence.along, fence.height / 2, fence.height)
    yield from _of_gates(name, fence)


def _places_of_street(name: str, street: Street, azimuth: float) -> Named:
    crown = float(street_plan.carriageway(street, np.zeros(1))[0])
    yield from places_of_path(name, street.along, crown, None)
    for place, crossing in enumerate(street.crossings):
        middle, azimuth = street_plan.along_path(street.along, crossing)
        anchor = Anchor((*middle, crown), level(azimuth), (street.width, street_plan.CROSSING))
        if place == 0:
            yield f"{name}.crossing", anchor
        yield f"{name}.crossing[{place}]", anchor


def _misfits_of_street(street: Street, keys: Keys) -> Found:
    length = street_plan.path_length(street.along)
    for place, crossing in enumerate(street.crossings):
        if crossing > length:
            yield (
                (*keys, "crossings", place),
                f"the street is {length:g} m long; {crossing:g} m from its start is past it",
            )


def _places_of_footpath(name: str, path: Footpath, azimuth: float) -> Named:
    yield from places_of_path(name, path.along, street_plan.PATH_HEIGHTS[path.kind], None)


def _in_wall(point: Vector, name: str, wall: Wall) -> str | None:
    return f"the wall {name}" if in_run(point, wall.along, wall.thickness, wall.height, wall.gates) else None


def _in_fence(point: Vector, name: str, fence: Fence) -> str | None:
    return f"the fence {name}" if in_run(point, fence.along, FENCE, fence.height, fence.gates) else None


RUNS: dict[type[Piece], Family] = {
    Wall: Family(_places_of_wall, _in_wall, _misfits_of_gates, stands="draped"),
    Fence: Family(_places_of_fence, _in_fence, _misfits_of_gates, stands="draped"),
    Street: Family(_places_of_street, misfits=_misfits_of_street, stands="itself"),
    Footpath: Family(_places_of_footpath, stands="itself"),
}
