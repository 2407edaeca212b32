"""Goods: what stands in a shop: in its window, on shelves, a counter; plain shapes without a word on them.

In the front wall's frame: a from its left end, b above the ground, c out of its outer face.
"""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.pile import Pile, of_quads
from preview.build.solids import boxes, turned_on_lathe
from preview.script.models.pieces.buildings import Shops
from preview.script.shops_plan import CEILING, FLOOR, PARTY, STALL, THICKNESS, Bay

BED = 0.72
"""Depth of the display behind the front wall, metres."""
FROM_FRONT = 3.6
"""How far behind the display the shelves stand, metres: a partition with them where the room is deeper."""
SHELVES = (0.45, 0.85, 1.25, 1.65, 2.05)
PAINTS = np.array(
    [[0.45, 0.09, 0.06], [0.62, 0.45, 0.12], [0.10, 0.20, 0.12], [0.12, 0.17, 0.32], [0.62, 0.58, 0.48],
     [0.33, 0.22, 0.13], [0.55, 0.30, 0.12], [0.20, 0.10, 0.16]]
)  # fmt: skip
"""Of packets, linear, against white card."""
BOTTLE = [
    (0.0, 0.0),
    (0.036, 0.0),
    (0.038, 0.012),
    (0.038, 0.16),
    (0.030, 0.19),
    (0.013, 0.225),
    (0.013, 0.27),
    (0.016, 0.275),
    (0.016, 0.29),
    (0.0, 0.29),
]
LOAF = [
    (0.0, -0.062),
    (0.055, -0.055),
    (0.085, -0.02),
    (0.088, 0.0),
    (0.078, 0.03),
    (0.045, 0.052),
    (0.0, 0.060),
]
JAR = [
    (0.0, 0.0),
    (0.052, 0.0),
    (0.056, 0.015),
    (0.056, 0.13),
    (0.044, 0.155),
    (0.048, 0.16),
    (0.048, 0.185),
    (0.0, 0.19),
]


def stock(own: Pile, model: Shops, number: int, bay: Bay, rng: np.random.Generator) -> None:
    """Adds what one shop holds to a pile in the front's frame."""
    a0, a1 = bay.display.left - 0.05, bay.display.right + 0.0
    back = -THICKNESS - BED
    own.add("goods", "wood", boxes([a0, STALL - 0.06, back], [a1, STALL - 0.03, -THICKNESS + 0.06]))
    own.add(
        "goods",
        "wood",
        boxes([a0 + 0.003, FLOOR - 0.01, back + 0.02], [a1 - 0.003, STALL - 0.055, back + 0.045]),
    )
    kind = (number + model.seed) % 3
    rows = [(back + 0.10, STALL - 0.03), (back + 0.30, STALL - 0.03), (-THICKNESS - 0.16, STALL - 0.03)]
    # Steps of boxes raise what stands behind.
    own.add(
        "goods", "wood", boxes([a0 + 0.1, STALL - 0.031, back + 0.03], [a1 - 0.1, STALL + 0.14, back + 0.22])
    )
    rows[0] = (rows[0][0] + 0.02, STALL + 0.139)
    for out, height in rows:
        _row(own, kind, a0 + 0.18, a1 - 0.18, height, out, rng, spacing=0.17, share=0.8)
    _shelving(own, model, bay, kind, rng)


def _shelving(own: Pile, model: Shops, bay: Bay, kind: int, rng: np.random.Generator) -> None:
    """Shelves along a partition at the back and along the left wall, and the counter before them."""
    left = max(bay.left + 0.5 * PARTY, THICKNESS) + 0.003
    right = min(bay.right - 0.5 * PARTY, model.bays * model.bay - THICKNESS) - 0.003
    wall = -min(THICKNESS + BED + FROM_FRONT, model.depth - THICKNESS - 0.12)
    front = -THICKNESS - BED - 0.35
    if wall > front - 1.0:
        return
    # The partition closes the shop off; its case stands before it.
    own.add(
        "goods",
        "plaster",
        boxes([left - 0.01, FLOOR - 0.012, wall - 0.05], [right + 0.01, CEILING + 0.01, wall]),
    )
    for length, corner, along, out in (
        (right - left - 0.5, [left + 0.45, 0.0, wall + 0.004], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]),
        (front - wall - 0.4, [left + 0.004, 0.0, front], [0.0, 0.0, -1.0], [1.0, 0.0, 0.0]),
    ):
        case = Pile()
        _case(case, length, kind, rng)
        own.poured(case, corner, along, [0.0, 1.0, 0.0], out)
    near, start, end = wall + 1.45, left + 0.75, min(right, bay.lobby.left - 0.3)
    if near > front - 0.3 or end - start < 1.0:
        return
    own.add("goods", "varnished wood", boxes([start, FLOOR - 0.008, near - 0.5], [end, FLOOR + 0.88, near]))
    top = ([start - 0.03, FLOOR + 0.879, near - 0.53], [end + 0.03, FLOOR + 0.92, near + 0.03])
    own.add("goods", "varnished wood", boxes(*top))
    a = np.arange(start + 0.08, end - 0.55, 0.62)[:, None]
    low = a * [1.0, 0.0, 0.0] + [0.0, FLOOR + 0.14, near - 0.01]
    own.add("goods", "varnished wood", boxes(low, low + np.array([0.52, 0.64, 0.024])), tint=[0.8, 0.8, 0.8])
    # Scales or a till: a block would do for either.
    till = ([end - 0.55, FLOOR + 0.919, near - 0.42], [end - 0.2, FLOOR + 1.12, near - 0.12])
    own.add("goods", "dark paint", boxes(*till))


def _case(case: Pile, length: float, kind: int, rng: np.random.Generator) -> None:
    """A wall case of shelves, its back at c = 0, from a = 0 to its length."""
    top = CEILING - 0.55
    case.add("goods", "wood", boxes([0.0, FLOOR - 0.01, 0.0], [length, top, 0.028]), tint=[0.75, 0.72, 0.7])
    uprights = np.linspace(0.0, length - 0.03, max(2, round(length / 1.1) + 1))[:, None]
    low = uprights * [1.0, 0.0, 0.0] + [0.001, FLOOR - 0.008, 0.024]
    case.add("goods", "wood", boxes(low, low + np.array([0.028, top - FLOOR + 0.006, 0.31])))
    for shelf, level in enumerate(SHELVES):
        board = boxes([0.002, FLOOR + level - 0.028, 0.026], [length - 0.002, FLOOR + level, 0.325])
        case.add("goods", "wood", board)
        row = (kind + shelf % 2) % 3
        foot = FLOOR + level - 0.001
        _row(case, row, 0.12, length - 0.1, foot, 0.18, rng, spacing=0.135, share=0.85)


def _row(
    own: Pile, kind: int, start: float, end: float, foot: float, out: float, rng: np.random.Generator,
    *, spacing: float, share: float,
) -> None:  # fmt: skip
    """Things of a kind side by side: packets, bottles and jars, or loaves."""
    places = np.arange(start, end, spacing)
    places = places[rng.random(len(places)) < share] + 0.012 * rng.standard_normal(1)
    if not len(places):
        return
    if kind == 0:
        count = len(places)
        half = np.stack(
            [0.045 + 0.022 * rng.random(count), np.zeros(count), 0.035 + 0.03 * rng.random(count)], axis=1
        )
        middle = np.stack([places, np.full(count, foot), out + 0.02 * rng.standard_normal(count)], axis=1)
        tall = np.stack([np.zeros(count), 0.10 + 0.16 * rng.random(count), np.zeros(count)], axis=1)
        tint = PAINTS[rng.integers(0, len(PAINTS), count)] / 0.9
        own.add("goods", "white card", boxes(middle - half, middle + half + tall), tint=of_quads(tint, 6))
        return
    if kind == 1:
        jars = rng.random(len(places)) < 0.35
        for which, profile in ((~jars, BOTTLE), (jars, JAR)):
            at = places[which]
            tint = np.array([[0.55, 1.0, 0.6], [1.3, 0.75, 0.35], [2.6, 2.6, 2.4], [1.5, 0.4, 0.3]])[
                rng.integers(0, 4, len(at))
            ]
            _turned(own, "green paint", profile, at, foot, out, rng, tint=tint)
        return
    tint = np.array([0.85, 0.62, 0.36]) * (0.75 + 0.5 * rng.random((len(places), 1)))
    _turned(own, "cardboard", LOAF, places, foot + 0.061, out, rng, tint=tint, long=1.55)


def _turned(
    own: Pile, material: str, profile: list[tuple[float, float]], places: Floats, foot: float, out: float,
    rng: np.random.Generator, *, tint: Floats, long: float = 1.0,
) -> None:  # fmt: skip
    """Bodies of revolution, each at its place, `long` times as deep as wide, no two of one size."""
    if not len(places):
        return
    shape = turned_on_lathe("", "", profile, centre=[0.0, 0.0, 0.0], sides=12)
    points, normals = (
        shape.vertices[:, [1, 2, 0]] * [1.0, 1.0, long],
        shape.normals[:, [1, 2, 0]] / [1.0, 1.0, long],
    )
    normals = normals / np.linalg.norm(normals, axis=1, keepdims=True)
    count = len(places)
    size = 0.85 + 0.25 * rng.random((count, 1, 1))
    at = np.stack([places, np.full(count, foot), out + 0.018 * rng.standard_normal(count)], axis=1)
    triangles = (points * size + at[:, None])[:, shape.faces].reshape(-1, 3, 3)
    shading = np.broadcast_to(normals[shape.faces], (count, len(shape.faces), 3, 3)).reshape(-1, 3, 3)
    own.add("goods", material, triangles, tint=np.repeat(tint, len(shape.faces), axis=0), normals=shading)
