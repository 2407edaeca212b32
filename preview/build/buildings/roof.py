"""Roof: the slab over a house with its eaves, verges, tile courses, ridge, gutters, chimney.

Local axes of the house. The planes' undersides pass through the outer upper edges of the walls; a gable's ridge
runs along the front, a hip's along the longer side.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import cos, tan

import numpy as np

from preview.build.buildings.chimney import build_chimney
from preview.build.buildings.tiles import covered, seams
from preview.build.mesh import Floats
from preview.build.pile import Pile
from preview.build.solids import Heap, boxes, extruded, heap_up, hexahedra, plate, quads
from preview.script.house_plan import wall_top
from preview.script.models.pieces.buildings import House

SLAB = 0.12
"""Thickness of the roof under its tiles, square to the plane, metres."""
HEADROOM = 2.4
"""Eaves over a porch end at least this far above its floor, metres, where the walls are high enough."""
DEEPEST_BOXED = 0.42
"""Eaves that hang further below the tops of the walls are left open underneath, or they would reach the windows."""


@dataclass(frozen=True)
class Eaves:
    """Half extents of the roof's plan, metres; `low` and `high` are the slab's underside and top at the eaves."""

    half_x: float
    half_y: float
    low: float
    high: float


def eaves(house: House) -> Eaves:
    """Where the roof ends: at its overhang, or nearer where steep eaves would hang into the porch before them."""
    roof, top = house.roof, wall_top(house)
    half_x, half_y = (side / 2 + roof.overhang for side in house.size)
    if roof.shape == "flat":
        # A little above the ceiling, which would else share its underside's plane.
        return Eaves(half_x, half_y, top + 0.012, top + 0.22)
    over = roof.overhang
    if house.porch is not None:
        over = min(over, max(0.05, (house.walls - HEADROOM) / tan(roof.pitch)))
        half_y = house.size[1] / 2 + over
        half_x = house.size[0] / 2 + over if roof.shape == "hip" else half_x
    low = top - over * tan(roof.pitch)
    return Eaves(half_x, half_y, low, low + SLAB / cos(roof.pitch))


def slopes(house: House, half_x: float, half_y: float, edge: float) -> tuple[list[Floats], Floats]:
    """The roof's planes (k, 3) counterclockwise from above, each starting with its eave, and its outline (k, 3)."""
    a, b, c, d = np.array(
        [[-half_x, -half_y, edge], [half_x, -half_y, edge], [half_x, half_y, edge], [-half_x, half_y, edge]]
    )
    if house.roof.shape == "flat":
        return [np.stack([a, b, c, d])], np.stack([a, b, c, d])
    pitch = tan(house.roof.pitch)
    if house.roof.shape == "gable":
        left, right = np.array([[-half_x, 0.0, edge + half_y * pitch], [half_x, 0.0, edge + half_y * pitch]])
        return [np.stack([a, b, right, left]), np.stack([c, d, left, right])], np.stack(
            [a, b, right, c, d, left]
        )
    across = min(half_x, half_y)
    ridge = np.array([max(half_x - half_y, 0.0), max(half_y - half_x, 0.0), 0.0])
    peak = np.array([0.0, 0.0, edge + across * pitch])
    low, high = peak - ridge, peak + ridge
    if half_x >= half_y:
        planes = [[a, b, high, low], [b, c, high, high], [c, d, low, high], [d, a, low, low]]
    else:
        planes = [[a, b, low, low], [b, c, high, low], [c, d, high, high], [d, a, low, high]]
    return [np.stack(plane) for plane in planes], np.stack([a, b, c, d])


def fan(polygon: Floats) -> Floats:
    """Triangles of a convex polygon (k, 3)."""
    step = np.arange(1, len(polygon) - 1)
    return polygon[np.stack([np.zeros_like(step), step, step + 1], axis=1)]


def build_roof(heap: Pile, house: House, rng: np.random.Generator, eyes: Floats) -> None:
    """Adds the roof over the house to its pile, in the detail that cameras at `eyes` (n, 3), local, call for."""
    edge = eaves(house)
    planes, outline = slopes(house, edge.half_x, edge.half_y, edge.high)
    drop = np.array([0.0, 0.0, edge.high - edge.low])
    following = np.roll(outline, -1, axis=0)
    sides = np.stack([outline - drop, following - drop, following, outline], axis=1)
    material = house.roof.material
    for plane in planes:
        heap_up(heap, "roof", material, fan(plane))
        heap_up(heap, "eaves", house.trim, fan(plane[::-1]) - drop)
    heap_up(heap, "eaves", house.trim, quads(sides))
    _fascia(heap, house, edge)
    if house.roof.shape == "flat":
        _kerb(heap, house, edge)
        return
    for plane in planes:
        cover(heap, "roof", material, plane, rng, eyes)
    _ridges(heap, house, planes)
    _soffit(heap, house, edge)
    _gutters(heap, house, edge)
    if house.chimney.stack and min(house.size) > 3.0:
        build_chimney(heap, house, rng)


def cover(
    pile: Pile, part: str, material: str, plane: Floats, rng: np.random.Generator, eyes: Floats
) -> None:
    """Adds what covers a plane (4, 3) that starts with its eave, seen from eyes (n, 3) in its frame."""
    away = 0.0
    if len(eyes):
        away = float(np.linalg.norm(eyes - plane.mean(axis=0), axis=1).min())
    triangles, tint = covered(plane, material, rng, away=away)
    pile.add(part, material, triangles, tint=tint)
    if material == "metal":
        pile.add(part, material, seams(plane))


def _ridges(heap: Pile, house: House, planes: list[Floats]) -> None:
    """Half-round caps along the ridge and the hips."""
    ends: list[tuple[Floats, Floats]] = []
    if house.roof.shape == "gable":
        ends = [(planes[0][3], planes[0][2])]
    else:
        for plane in planes:
            ends.append((plane[0], plane[3]))
        longest = max(planes, key=lambda plane: float(np.linalg.norm(plane[2] - plane[3])))
        if np.linalg.norm(longest[2] - longest[3]) > 0.05:
            ends.append((longest[3], longest[2]))
    angles = np.linspace(0.0, 2.0 * np.pi, 14, endpoint=False)
    for number, (start, end) in enumerate(ends):
        along = end - start
        length = float(np.linalg.norm(along))
        along = along / length
        side = np.cross(along, [0.0, 0.0, 1.0])
        side /= np.linalg.norm(side)
        up = np.cross(side, along)
        count = max(1, round(length / 0.45))
        cuts = np.linspace(-0.03, length + 0.03, count + 1)
        for piece in range(count):
            radius = 0.105 + 0.008 * (piece % 2) + 0.001 * number
            circle = radius * np.stack([np.cos(angles), np.sin(angles)], axis=1)
            bar = extruded(circle, cuts[piece], cuts[piece + 1] + 0.02 * (piece % 2))
            # (a, b, c) = (along, -side, up) is right-handed.
            frame = np.stack([along, -side, up])
            shade = 0.82 + 0.3 * (0.5 + 0.5 * np.sin(12.9898 * piece + 78.233 * number))
            heap.add("roof", house.roof.material, bar @ frame + start - 0.01 * up, tint=[shade] * 3)


def _fascia(heap: Heap, house: House, edge: Eaves) -> None:
    """Boards along the eaves and, on a gable, up the verges."""
    x, y, low, high = edge.half_x, edge.half_y, edge.low - 0.03, edge.high - 0.012
    if house.roof.shape == "gable":
        rows = [([-x, y - 0.005, low], [x, y + 0.02, high]), ([-x, -y - 0.02, low], [x, 0.005 - y, high])]
        pitch = tan(house.roof.pitch)
        out, rise = y + 0.024, (y + 0.024) * pitch
        top, bottom = edge.high + 0.045 - 0.024 * pitch, edge.low - 0.035 - 0.024 * pitch
        chevron = [
            (0.0, bottom + rise), (out, bottom), (out, top), (0.0, top + rise), (-out, top), (-out, bottom)
        ]  # fmt: skip
        for side in (-1, 1):
            inner, outer = side * (x - 0.004), side * (x + 0.024)
            heap_up(heap, "eaves", house.trim, extruded(chevron, min(inner, outer), max(inner, outer)))
        heap_up(heap, "eaves", house.trim, *(boxes(a, b) for a, b in rows))
        return
    ring = plate((-x - 0.02, x + 0.02), (-y - 0.02, y + 0.02), [(0.005 - x, 0.005 - y, x - 0.005, y - 0.005)])
    heap_up(heap, "eaves", house.trim, ring.body(low, high))


def _kerb(heap: Heap, house: House, edge: Eaves) -> None:
    """The raised edge of a flat roof."""
    x, y = edge.half_x + 0.035, edge.half_y + 0.035
    ring = plate((-x, x), (-y, y), [(0.25 - x, 0.25 - y, x - 0.25, y - 0.25)])
    heap_up(heap, "eaves", "metal", ring.body(edge.high - 0.06, edge.high + 0.08))


def _soffit(heap: Heap, house: House, edge: Eaves) -> None:
    """Boxed eaves: level undersides from the fascia to the wall."""
    overhang = edge.half_y - house.size[1] / 2
    drop = wall_top(house) - edge.low
    if overhang < 0.08 or drop > DEEPEST_BOXED:
        return
    wall_x, wall_y = house.size[0] / 2 - 0.02, house.size[1] / 2 - 0.02
    if house.roof.shape == "hip":
        board = plate(
            (0.006 - edge.half_x, edge.half_x - 0.006), (0.006 - edge.half_y, edge.half_y - 0.006),
            [(-wall_x, -wall_y, wall_x, wall_y)],
        )  # fmt: skip
        heap_up(heap, "eaves", house.trim, board.body(edge.low - 0.006, edge.low + 0.015))
        return
    top = edge.low + (overhang + 0.02) * tan(house.roof.pitch) + 0.04
    for side in (-1, 1):
        profile = [(side * wall_y, edge.low), (side * (edge.half_y - 0.008), edge.low), (side * wall_y, top)]
        heap_up(heap, "eaves", house.trim, extruded(profile, 0.012 - edge.half_x, edge.half_x - 0.012))


def _gutters(heap: Heap, house: House, edge: Eaves) -> None:
    """A gutter under each eave of a gable, with pipes down the back, and the front where there is no porch."""
    if house.roof.shape != "gable" or house.roof.overhang < 0.08:
        return
    y, z = edge.half_y + 0.019, edge.high - 0.035
    for side in (-1, 1):
        section = [
            (side * (y + b), z + c)
            for b, c in [(0, 0), (0, -0.075), (0.055, -0.08), (0.085, -0.05), (0.095, 0)]
        ]
        heap_up(heap, "gutters", house.trim, extruded(section, 0.005 - edge.half_x, edge.half_x - 0.005))
        if side > 0 and house.porch is not None:
            continue
        wall = house.size[1] / 2 + 0.07
        for end in (-1, 1):
            x = end * (house.size[0] / 2 - 0.19)
            line = [
                (y + 0.045, z - 0.06),
                (y + 0.045, edge.low - 0.12),
                (wall, edge.low - 0.42),
                (wall, 0.08),
            ]
            heap_up(heap, "gutters", house.trim, *(_pipe(x, side, a, b) for a, b in pairwise(line)))


def _pipe(x: float, side: int, start: tuple[float, float], end: tuple[float, float]) -> Floats:
    """A square pipe of 7 cm from (y, z) to (y, z), overlapping its neighbours."""
    half, (y0, z0), (y1, z1) = 0.034 + 0.002 * (abs(start[0] - end[0]) > 1e-6), start, end
    corners = [
        [x + half * (2 * (i & 1) - 1), side * (y + half * (2 * (i >> 1 & 1) - 1) * side), z]
        for i in range(8)
        for y, z in [((y0, z0 + half) if i >> 2 else (y1, z1 - half))]
    ]
    return hexahedra(np.array([corners]))
