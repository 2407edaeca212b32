"""Cabin: what is seen of a vehicle through its windows, and what is fixed outside: mirrors, handles, wipers, plates."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.build.mesh import Part
from preview.build.solids import round_bar
from preview.build.things.blocks import leaning, ring, rounded_box
from preview.build.things.sheets import mirrored
from preview.script.vehicle_plan import SIZES

Heap = dict[tuple[str, str], list[Part]]


@dataclass(frozen=True)
class Room:
    """Metres: floor, sill of the windscreen, half width, y of the dashboard and of the back of the room; rows of seats."""

    floor: float
    dash: float
    half: float
    front: float
    rear: float
    rows: tuple[float, ...]
    mirror: tuple[float, float, float]
    handles: tuple[tuple[float, float, float], ...]
    plates: tuple[tuple[float, float], tuple[float, float]]
    """(y, z) of number plates: front, rear."""
    wipers: tuple[float, float]
    """(y, z) of their spindles."""


ROOMS = {
    "saloon": Room(0.26, 0.90, 0.70, 1.02, -1.50, (-0.22, -0.98), (0.93, 0.80, 1.00), ((0.885, -0.08, 0.845), (0.88,
    -1.02, 0.86)), ((2.275, 0.47), (-2.28, 0.62)), (1.19, 0.955)),
    "estate": Room(0.26, 0.90, 0.70, 1.04, -2.05, (-0.22, -0.98), (0.93, 0.82, 1.00), ((0.885, -0.08, 0.845), (0.88,
    -1.02, 0.86)), ((2.30, 0.47), (-2.305, 0.62)), (1.21, 0.955)),
    "van": Room(0.45, 1.02, 0.80, 1.62, 0.10, (0.55,), (1.00, 1.28, 1.22), ((0.955, 0.38, 0.98), (0.955, 0.14,
    0.98)), ((2.485, 0.55), (-2.48, 0.60)), (1.90, 1.045)),
    "pick-up": Room(0.45, 1.10, 0.72, 1.20, -0.62, (0.12,), (0.97, 1.00, 1.22), ((0.915, -0.18, 1.04),), ((2.61,
    0.60), (-2.61, 0.70)), (1.28, 1.13)),
}  # fmt: skip


def cabin_parts(kind: str, *, driver: str, paint: str) -> Heap:
    """Parts by (part, material), in the vehicle's frame."""
    room, heap = ROOMS[kind], Heap()
    cloth, dark = "dark cloth", "rubber"
    inside = heap.setdefault(("cabin", cloth), [])
    seat_x = SIZES[kind].seat
    assert seat_x is not None
    for row, y in enumerate(room.rows):
        drop = 0.02 if row else 0.0
        for side in (-1.0, 1.0):
            inside += _seat(side * seat_x[0], y, seat_x[2] - drop, wide=0.50 if row == 0 else 0.60)
    inside.append(
        rounded_box((-room.half, room.rear, room.floor - 0.05), (room.half, room.front, room.floor), 0.01)
    )
    inside.append(
        rounded_box((-room.half, room.rear - 0.03, room.floor), (room.half, room.rear, room.dash), 0.01)
    )
    plastic = heap.setdefault(("cabin", dark), [])
    plastic.append(
        rounded_box(
            (-room.half, room.front - 0.42, room.dash - 0.26),
            (room.half, room.front + 0.06, room.dash - 0.015),
            0.06,
        )
    )
    side = -1.0 if driver == "left" else 1.0
    middle = np.array([side * seat_x[0], room.front - 0.52, room.dash - 0.06])
    axis = np.array([0.0, -0.86, 0.51])
    plastic += [
        ring(middle, axis, 0.185, 0.014),
        round_bar("", "", np.stack([middle, middle - 0.22 * axis]), [0.03, 0.035], sides=10),
        round_bar(
            "",
            "",
            np.stack([middle - [0.18, 0, 0], middle + np.array([0.18, 0, 0])]),
            [0.013, 0.013],
            sides=8,
        ),
        rounded_box(middle - [0.06, 0.02, 0.05], middle + np.array([0.06, 0.02, 0.05]), 0.02),
        rounded_box(
            (-0.11, room.front - 0.62, room.dash + 0.33), (0.11, room.front - 0.60, room.dash + 0.39), 0.01
        ),
    ]
    _outside(room, heap, paint, kind)
    if kind == "pick-up":
        _bed(heap, paint)
    if kind == "van":
        plastic.append(rounded_box((-0.78, 0.02, room.floor), (0.78, 0.05, 1.72), 0.01))
    return heap


def _seat(x: float, y: float, cushion: float, *, wide: float) -> list[Part]:
    """Cushion, back and headrest; `cushion` is the height of the seat, `y` its middle."""
    half = wide / 2.0
    back = rounded_box(
        (x - half + 0.01, y - 0.32, cushion - 0.03), (x + half - 0.01, y - 0.19, cushion + 0.56), 0.055
    )
    rest = rounded_box((x - 0.13, y - 0.30, cushion + 0.59), (x + 0.13, y - 0.20, cushion + 0.76), 0.045)
    posts = [
        round_bar(
            "",
            "",
            [[x + s, y - 0.25, cushion + 0.5], [x + s, y - 0.25, cushion + 0.62]],
            [0.008] * 2,
            sides=6,
        )
        for s in (-0.06, 0.06)
    ]
    pivot = (x, y - 0.25, cushion)
    # Leaning back by 15 degrees.
    tilted = [leaning(part, np.radians(15.0), pivot) for part in (back, rest, *posts)]
    return [rounded_box((x - half, y - 0.26, cushion - 0.16), (x + half, y + 0.27, cushion), 0.055), *tilted]


def _outside(room: Room, heap: Heap, paint: str, kind: str) -> None:
    x, y, z = room.mirror
    tall = 1.6 if kind == "van" else 1.0
    housing = rounded_box(
        (x - 0.055, y - 0.045, z - 0.05 * tall), (x + 0.115, y + 0.05, z + 0.07 * tall), 0.042, steps=5
    )
    arm = round_bar(
        "", "", [[x - 0.13, y + 0.03, z - 0.045], [x - 0.01, y + 0.005, z - 0.02]], [0.020, 0.016], sides=10
    )
    glass = rounded_box(
        (x - 0.043, y - 0.0475, z - 0.038 * tall), (x + 0.103, y - 0.046, z + 0.058 * tall), 0.0007, steps=1
    )
    for side, flip in (("right", False), ("left", True)):
        for material, part in ((paint, housing), ("rubber", arm), ("glass", glass)):
            heap.setdefault((f"door.{side}", material), []).append(mirrored(part) if flip else part)
    for number, (hx, hy, hz) in enumerate(room.handles):
        handle = round_bar(
            "", "", [[hx - 0.03, hy - 0.09, hz], [hx + 0.012, hy - 0.08, hz], [hx + 0.020, hy, hz + 0.003],
            [hx + 0.012, hy + 0.08, hz], [hx - 0.03, hy + 0.09, hz]],
            [0.010, 0.012, 0.0125, 0.012, 0.010], sides=10,
        )  # fmt: skip
        for side, flip in (("right", False), ("left", True)):
            owner = f"door.{side}" if number == 0 else "body"
            heap.setdefault((owner, paint), []).append(mirrored(handle) if flip else handle)
    for (py, pz), ahead in zip(room.plates, (True, False), strict=True):
        low, high = (py, py + 0.008) if ahead else (py - 0.008, py)
        plate = rounded_box((-0.26, low, pz - 0.055), (0.26, high, pz + 0.055), 0.003, steps=1)
        heap.setdefault(("body", "white paint" if ahead else "yellow paint"), []).append(plate)
    wy, wz = room.wipers
    for start, end in ((0.06, -0.50), (0.62, 0.04)):
        path = np.array(
            [
                [start, wy + 0.02, wz],
                [0.5 * (start + end), wy - 0.02, wz + 0.028],
                [end, wy - 0.005, wz + 0.03],
            ]
        )
        heap.setdefault(("body", "rubber"), []).append(
            round_bar("", "", path, [0.007, 0.006, 0.005], sides=6)
        )


def _bed(heap: Heap, paint: str) -> None:
    """The tub of a pick-up."""
    floor = heap.setdefault(("bed", paint), [])
    floor.append(rounded_box((-0.74, -2.52, 0.74), (0.74, -0.90, 0.78), 0.008))
    for x in (-1.0, 1.0):
        low, high = sorted((x * 0.722, x * 0.745))
        floor.append(rounded_box((low, -2.52, 0.76), (high, -0.90, 1.085), 0.008))
    floor.append(rounded_box((-0.74, -0.925, 0.76), (0.74, -0.90, 1.085), 0.008))
    floor.append(rounded_box((-0.74, -2.525, 0.76), (0.74, -2.50, 1.085), 0.008))
    for x in np.linspace(-0.6, 0.6, 9):
        floor.append(rounded_box((x - 0.03, -2.49, 0.778), (x + 0.03, -0.93, 0.788), 0.004, steps=1))
