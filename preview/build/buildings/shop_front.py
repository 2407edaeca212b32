"""Shop front: pilasters, fascia and cornice round a display window over its stall riser and a door in its lobby.

In the front wall's frame: a from its left end, b above the ground, c out of its outer face.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from preview.build.buildings.doors import door
from preview.build.buildings.openings import Fit
from preview.build.mesh import Floats
from preview.build.pile import Pile, of_quads
from preview.build.solids import boxes, hexahedra, plate, quads, round_bar
from preview.script.house_plan import Bounds
from preview.script.models.pieces.buildings import Door, Shops
from preview.script.shops_plan import (
    CEILING,
    FLOOR,
    GROUND,
    HEAD,
    PARTY,
    PILASTER,
    RECESS_DEPTH,
    STALL,
    THICKNESS,
    Bay,
)

TRANSOM = 2.35
"""Height of the bar under the small lights of a display window, metres."""
STRIPE = 0.16
BLIND_OUT, BLIND_LOW = 1.25, 2.32
"""How far a blind reaches out, and the height of its front edge."""


def front_of(own: Pile, model: Shops, number: int, bay: Bay) -> None:
    """Adds the front of one shop, counted from the left."""
    paint = model.fronts[number % len(model.fronts)]
    _display(own, number, bay.display, paint)
    _stall(own, bay.display, paint)
    _lobby(own, model, number, bay, paint)
    _fascia(own, number, bay, paint)
    first, last = number == 0, number == model.bays - 1
    _pilaster(own, bay.left, paint, at_end=first)
    if last:
        _pilaster(own, bay.right, paint, at_end=True)
    if model.blinds[number % len(model.blinds)]:
        _blind(own, number, bay, paint)


def _display(own: Pile, number: int, hole: Bounds, paint: str) -> None:
    """The frame of a display window: mullions, a transom with small lights above, one sheet of glass, a sill."""
    a0, a1, b0, b1 = hole.left - 0.003, hole.right + 0.003, hole.bottom - 0.003, hole.top + 0.003
    count = max(1, round((a1 - a0) / 1.5))
    bar, rail = 0.045, 0.06
    columns = np.linspace(a0 + rail, a1 - rail + bar, count + 1)
    small = np.linspace(a0 + rail, a1 - rail + 0.03, 2 * count + 1)
    panes = [(columns[i], b0 + rail, columns[i + 1] - bar, TRANSOM) for i in range(count)]
    panes += [(small[i], TRANSOM + 0.05, small[i + 1] - 0.03, b1 - 0.05) for i in range(2 * count)]
    part = f"windows[{number}]"
    own.add(part, paint, plate((a0, a1), (b0, b1), panes).body(-0.095, -0.035))
    own.add(
        f"{part}.pane", "window glass", plate((a0 + 0.02, a1 - 0.02), (b0 + 0.02, b1 - 0.02), []).face(-0.062)
    )
    own.add(
        part,
        paint,
        boxes(
            [hole.left - 0.002, hole.bottom - 0.05, -0.12], [hole.right + 0.002, hole.bottom + 0.012, 0.075]
        ),
    )


def _stall(own: Pile, hole: Bounds, paint: str) -> None:
    """The riser under a display window: a panelled board on a stone foot."""
    a0, a1 = hole.left - 0.01, hole.right + 0.01
    own.add("fronts", paint, boxes([a0, 0.10, -0.10], [a1, STALL - 0.045, 0.022]))
    own.add("fronts", "stone", boxes([a0 - 0.004, -0.12, -0.10], [a1 + 0.004, 0.12, 0.045]))
    count = max(1, round((a1 - a0) / 0.9))
    lines = np.linspace(a0 + 0.06, a1 + 0.02, count + 1)
    panels = [(lines[i], 0.19, lines[i + 1] - 0.08, STALL - 0.11) for i in range(count)]
    own.add(
        "fronts", paint, plate((a0 + 0.002, a1 - 0.002), (0.118, STALL - 0.048), panels).body(0.010, 0.036)
    )


def _pilaster(own: Pile, middle: float, paint: str, *, at_end: bool) -> None:
    """A flat column with foot, panel, capital, and the console that ends the fascia."""
    half = 0.5 * PILASTER
    for low, high, wide, proud in (
        (-0.12, 0.42, half + 0.012, 0.085),
        (0.40, HEAD - 0.02, half - 0.012, 0.060),
        (HEAD - 0.06, HEAD + 0.02, half + 0.014, 0.090),
        (HEAD + 0.01, GROUND - 0.06, half - 0.025, 0.130),
        (GROUND - 0.07, GROUND + 0.045, half + 0.02, 0.200),
    ):
        own.add("fronts", paint, boxes([middle - wide, low, -0.05], [middle + wide, high, proud]))
    own.add(
        "fronts",
        paint,
        plate((middle - half + 0.02, middle + half - 0.02), (0.418, HEAD - 0.062), [
            (middle - half + 0.07, 0.50, middle + half - 0.07, HEAD - 0.14)
        ]).body(0.052, 0.074),
    )  # fmt: skip
    # The console's scroll.
    turn = np.linspace(0.0, 2.0 * np.pi, 14, endpoint=False)
    for b, radius, out in ((GROUND - 0.14, 0.07, 0.125), (HEAD + 0.10, 0.045, 0.115)):
        ends = np.array([[middle - half + 0.035, b, out], [middle + half - 0.035, b, out]])
        bar = round_bar("", "", ends, [radius, radius], sides=len(turn))
        own.add("fronts", paint, bar.vertices[bar.faces], normals=bar.normals[bar.faces])


def _fascia(own: Pile, number: int, bay: Bay, paint: str) -> None:
    """The sign board, leaning a little forward, in its frame, under a cornice."""
    a0, a1 = bay.left + 0.5 * PILASTER - 0.03, bay.right - 0.5 * PILASTER + 0.03
    low, high = HEAD + 0.03, GROUND - 0.05
    own.add("fronts", paint, boxes([a0, HEAD - 0.055, -0.06], [a1, low + 0.045, 0.062]))
    board = np.empty((1, 8, 3))
    for corner in range(8):
        upper, out = corner >> 1 & 1, corner >> 2
        board[0, corner] = [
            a1 - 0.002 if corner & 1 else a0 + 0.002,
            high + 0.01 if upper else low + 0.01,
            -0.05 if not out else (0.105 if upper else 0.055),
        ]
    own.add(f"fascia[{number}]", paint, hexahedra(board), tint=[0.75, 0.75, 0.75])
    # Cornice: three steps, and lead on top.
    for reach, bottom, top in (
        (0.12, high - 0.03, high + 0.005),
        (0.155, high, high + 0.04),
        (0.185, high + 0.035, GROUND + 0.03),
    ):
        own.add("fronts", paint, boxes([a0 - 0.001, bottom, -0.06], [a1 + 0.001, top, reach]))
    own.add(
        "fronts", "metal", boxes([a0 - 0.002, GROUND + 0.028, -0.06], [a1 + 0.002, GROUND + 0.038, 0.192])
    )
    edge = 0.035
    frame = plate(
        (a0 + 0.01, a1 - 0.01),
        (low + 0.015, high - 0.028),
        [(a0 + 0.07, low + 0.06, a1 - 0.07, high - 0.075)],
    )
    moulding = frame.body(0.0, edge)
    # It lies on the leaning board.
    lean = (0.105 - 0.055) / (high - low)
    moulding[..., 2] += 0.050 + lean * (moulding[..., 1] - low - 0.01)
    own.add("fronts", paint, moulding, tint=[1.7, 1.6, 1.2])


def _lobby(own: Pile, model: Shops, number: int, bay: Bay, paint: str) -> None:
    """The lobby: a glazed cheek towards the display, a panelled one, ceiling, tiled floor, the door at its back."""
    a0, a1 = bay.lobby.left, bay.lobby.right
    back, front = -RECESS_DEPTH, -0.04
    part = f"doors[{number}]"
    own.add(
        part,
        paint,
        boxes(
            [a0 - 0.09, HEAD - 0.02, back - 0.09], [bay.right - 0.5 * PARTY + 0.005, CEILING + 0.02, -0.03]
        ),
    )
    last = number == model.bays - 1
    wall = bay.right - (THICKNESS if last else 0.5 * PARTY)
    own.add(
        part, paint, boxes([a1 + 0.0015, -0.03, back - 0.088], [max(wall, a1) + 0.02, HEAD + 0.01, -0.031])
    )
    _tiles(own, part, a0, a1, back, 0.02)
    # The glazed cheek, from post to post, seen from the lobby and from the display.
    own.add(part, paint, boxes([a0 - 0.08, 0.0, back - 0.085], [a0 - 0.001, STALL, front - 0.002]))
    span, rise = (back - 0.02, front - 0.004), (STALL - 0.01, HEAD + 0.01)
    cheek = plate(span, rise, [(span[0] + 0.09, STALL + 0.05, span[1] - 0.07, HEAD - 0.06)]).body(
        -0.064, -0.010
    )
    own.add(part, paint, _sideways(cheek, a0))
    glass = plate((span[0] + 0.08, span[1] - 0.06), (STALL + 0.03, HEAD - 0.04), []).face(-0.036)
    own.add(f"{part}.pane", "window glass", _sideways(glass, a0))
    hole = Bounds(a0 + 0.115, a1 - 0.115, FLOOR, FLOOR + 2.1)
    leaf = Door(from_left=hole.left, size=(hole.right - hole.left, 2.1), glazed=True)
    light = (hole.left, hole.top + 0.09, hole.right, HEAD - 0.08)
    wall_plate = plate((a0 - 0.085, a1 + 0.01), (-0.02, HEAD + 0.012), [
        (hole.left, hole.bottom, hole.right, hole.top), light
    ])  # fmt: skip
    behind = Pile()
    behind.add(part, paint, wall_plate.body(-0.080, 0.0))
    behind.add(
        f"{part}.pane",
        "window glass",
        plate((light[0] - 0.002, light[2] + 0.002), (light[1] - 0.002, light[3] + 0.002), []).face(-0.04),
    )
    fit = Fit(0.080, 0.0, False, paint, "stone", paint)
    door(behind, part, hole, leaf, fit, np.random.default_rng(number))
    own.poured(behind, [0.0, 0.0, back], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0])


def _sideways(triangles: Floats, a0: float) -> Floats:
    """A plate given along (c, b, out) as one that stands across the front with its front to the right, at a0."""
    # (c, b, out) to (out, b, c) is a mirroring: the corners go round the other way.
    flipped: Floats = (triangles[:, ::-1][..., [2, 1, 0]]) + [a0, 0.0, 0.0]
    return flipped


def _tiles(own: Pile, part: str, a0: float, a1: float, back: float, front: float) -> None:
    """The lobby's floor: tiles of two colours, corner to corner, on a bed, with a stone step before them."""
    own.add(part, "stone", boxes([a0 - 0.03, -0.14, back - 0.06], [a1 + 0.03, FLOOR - 0.006, -0.26]))
    own.add(part, "stone", boxes([a0 - 0.002, -0.13, -0.27], [a1 + 0.002, FLOOR - 0.002, front]))
    side = 0.15
    rows, columns = int((-0.27 - back) / side) + 1, int((a1 - a0) / side) + 1
    i, j = (grid.ravel() for grid in np.meshgrid(np.arange(columns), np.arange(rows), indexing="ij"))
    low = np.stack([a0 + side * i + 0.001, np.full(len(i), FLOOR - 0.02), back + side * j + 0.001], axis=1)
    high = np.minimum(low + np.array([side - 0.002, 0.021, side - 0.002]), [a1, FLOOR + 0.001, -0.272])
    kept = (high - low).min(axis=1) > 0.01
    dark = ((i + j) % 2)[kept]
    tint = np.where(dark[:, None] == 1, [0.12, 0.12, 0.13], [1.0, 0.98, 0.92])
    own.add(part, "concrete", boxes(low[kept], high[kept]), tint=of_quads(tint, 6))


def _blind(own: Pile, number: int, bay: Bay, paint: str) -> None:
    """A striped blind on two arms, its valance scalloped; thin, light passes."""
    a0, a1 = bay.left + 0.5 * PILASTER, bay.right - 0.5 * PILASTER
    high, root = HEAD - 0.035, 0.07
    count = max(4, round((a1 - a0) / STRIPE))
    lines = np.linspace(a0, a1, count + 1)
    left, right = lines[:-1], lines[1:]
    middle = 0.5 * (left + right)

    def edge(a: Floats, height: float, out: float) -> Floats:
        return np.stack([a, np.full(count, height), np.full(count, out)], axis=1)

    def strips(low: tuple[float, float], top: tuple[float, float]) -> Floats:
        return np.stack([edge(left, *low), edge(right, *low), edge(right, *top), edge(left, *top)], axis=1)

    # The cloth sags a little between roller and bar.
    share = np.linspace(0.0, 1.0, 5)
    heights = high + (BLIND_LOW - high) * share - 0.035 * np.sin(np.pi * share)
    outs = root + (BLIND_OUT - root) * share
    line = list(zip(heights.tolist(), outs.tolist(), strict=True))
    rows = [strips(below, above) for above, below in pairwise(line)]
    drop = BLIND_LOW - 0.20
    rows.append(strips((drop + 0.05, BLIND_OUT), (BLIND_LOW, BLIND_OUT)))
    stripe = np.where((np.arange(count) % 2)[:, None] == 1, [0.20, 0.34, 0.26], [1.7, 1.66, 1.5])
    part = f"blinds[{number}]"
    for cells in rows:
        own.add(part, "canvas", quads(cells), tint=of_quads(stripe))
    hem = (drop + 0.05, BLIND_OUT)
    tongue = np.stack([edge(left, *hem), edge(middle, drop, BLIND_OUT), edge(right, *hem)], axis=1)
    own.add(part, "canvas", tongue, tint=stripe)
    own.add(part, paint, boxes([a0 - 0.02, high - 0.045, 0.03], [a1 + 0.02, high + 0.035, 0.115]))
    bars = [[[a0, BLIND_LOW, BLIND_OUT - 0.012], [a1, BLIND_LOW, BLIND_OUT - 0.012]]]
    for a in (a0 + 0.04, a1 - 0.04):
        bars.append([[a, high - 0.55, 0.03], [a, BLIND_LOW - 0.01, BLIND_OUT - 0.02]])
    for ends in bars:
        bar = round_bar("", "", np.array(ends), [0.011, 0.011], sides=8)
        own.add(part, "dark paint", bar.vertices[bar.faces], normals=bar.normals[bar.faces])
