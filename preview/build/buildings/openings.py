"""Openings: what fills the holes in a wall: linings, casings, sills, sashes with bars and glass, shutters.

All in a wall's own frame: a from its left end, b above the ground, c out of its outer face.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.build.mesh import Floats
from preview.build.pile import Pile
from preview.build.solids import boxes, hexahedra, plate
from preview.script.house_plan import Bounds
from preview.script.models.pieces.buildings import Window

CASING = 0.095
"""Width of the boards round an opening in a boarded wall, metres."""
SASH = 0.020
"""Thickness of a sash, metres."""
OUTER, INNER = 0.002, -0.0215
"""Fronts of the upper, outer sash and of the lower, inner one, metres out of the front of the window."""
SASH_EDGE = -0.017
"""The edge of a sash against that of its hole, metres outwards: the lining hides it."""
GLASS = -0.010
"""Where the glass of a sash is, metres out of the sash's front: between the faces of its bars."""
BURIED = 0.003
"""How far a joiner's piece goes into its neighbour, so that no two faces share a plane."""
TALL = 1.15
"""Windows taller than so many times their width slide up; others are a pair of casements."""

Around = tuple[float, float, float, float]


@dataclass(frozen=True)
class Fit:
    """How a wall takes its openings.

    `back`: how far their fronts stand behind its face, metres; `boarded`: casings lie on the face; materials of joinery,
    of the sill, and of doors and shutters.
    """

    thickness: float
    back: float
    boarded: bool
    trim: str
    sill: str
    door: str


def grown(hole: Bounds, by: float) -> Around:
    """A hole with its edges so far outwards: left, bottom, right, top."""
    return hole.left - by, hole.bottom - by, hole.right + by, hole.top + by


def u_shaped(hole: Bounds, outer: float, inner: float, low: float, high: float) -> Floats:
    """Jambs and head: `outer` beyond the hole's edge to `inner` within it, open below, from c = low to high."""
    a0, _, a1, b1 = grown(hole, outer)
    cut = (hole.left + inner, hole.bottom - 9.0, hole.right - inner, hole.top - inner)
    return plate((a0, a1), (hole.bottom - BURIED, b1), [cut]).body(low, high)


def window(pile: Pile, path: str, hole: Bounds, model: Window, fit: Fit) -> None:
    """Adds a window: lining, casings, sill, sashes, glass, shutters."""
    thickness, front = fit.thickness, -fit.back
    around = grown(hole, BURIED)
    lining = plate(around[::2], around[1::2], [grown(hole, -0.02)])
    inner_casing = plate(
        (hole.left - 0.07, hole.right + 0.07), (hole.bottom - 0.07, hole.top + 0.07), [grown(hole, -0.006)]
    )
    pile.add(path, fit.trim, lining.body(-thickness - 0.01, front + 0.006))
    pile.add(path, fit.trim, inner_casing.body(-thickness - 0.022, -thickness + 0.01))
    # A window board inside, on which curtains' owners keep things.
    board = hole.bottom + 0.0225
    pile.add(
        path,
        fit.trim,
        boxes(
            [hole.left - 0.06, board - 0.028, -thickness - 0.055],
            [hole.right + 0.06, board, -thickness + 0.012],
        ),
    )
    for frame, glass in sashes(hole, model, front):
        pile.add(path, fit.trim, frame)
        pile.add(f"{path}.pane", "window glass", glass)
    _sill(pile, path, hole, fit)
    if fit.boarded:
        pile.add(path, fit.trim, u_shaped(hole, CASING, 0.008, -0.01, 0.030))
        pile.add(path, fit.trim, drip(hole))
    if model.shutters:
        _shutters(pile, path, hole, fit)


def _sill(pile: Pile, path: str, hole: Bounds, fit: Fit) -> None:
    """A sill that sheds water: its upper face falls outwards, its ends run past the opening."""
    top = hole.bottom + 0.0015
    reach, proud, deep = (0.13, 0.08, 0.055) if fit.boarded else (0.055, 0.045, 0.075)
    inner = -fit.back - 0.03
    low, high = [hole.left - reach, top - deep, inner], [hole.right + reach, top, proud]
    corners = np.array(
        [[[(low, high)[corner >> axis & 1][axis] for axis in range(3)] for corner in range(8)]]
    )
    outer_top = [corner for corner in range(8) if corner & 2 and corner & 4]
    corners[0, outer_top, 1] -= 0.016
    pile.add(path, fit.sill, hexahedra(corners))


def drip(hole: Bounds) -> Floats:
    """A cap over the head of an opening in a boarded wall."""
    top = hole.top + CASING
    return boxes(
        [hole.left - CASING - 0.03, top - 0.006, -0.01], [hole.right + CASING + 0.03, top + 0.024, 0.055]
    )


def sashes(hole: Bounds, model: Window, front: float) -> list[tuple[Floats, Floats]]:
    """Each sash as its frame with bars and its glass: an upper one before a lower, or two casements side by side."""
    a0, b0, a1, b1 = grown(hole, SASH_EDGE)
    if min(a1 - a0, b1 - b0) < 0.42:
        return [_sash((a0, b0, a1, b1), front + OUTER, bars=(1, 1))]
    if b1 - b0 > TALL * (a1 - a0):
        middle, half = 0.5 * (b0 + b1), 0.02
        across = max(2, round((a1 - a0) / 0.5)) if model.bars else 1
        upwards = max(1, round(0.5 * (b1 - b0) / 0.42)) if model.bars else 1
        return [
            _sash((a0, middle - half, a1, b1), front + OUTER, bars=(across, upwards)),
            _sash((a0, b0, a1, middle + half), front + INNER, bars=(across, upwards)),
        ]
    count = max(2, round((a1 - a0) / 0.7))
    lines = np.linspace(a0, a1, count + 1)
    upwards = max(2, round((b1 - b0) / 0.42)) if model.bars else 1
    return [
        _sash((lines[i] + 0.0008, b0, lines[i + 1] - 0.0008, b1), front + OUTER, bars=(1, upwards))
        for i in range(count)
    ]


def _sash(around: Around, front: float, *, bars: tuple[int, int]) -> tuple[Floats, Floats]:
    a0, b0, a1, b1 = around
    rail, bar = min(0.045, 0.15 * (a1 - a0), 0.15 * (b1 - b0)), 0.020
    across, upwards = bars
    columns = np.linspace(a0 + rail, a1 - rail + bar, across + 1)
    rows = np.linspace(b0 + rail, b1 - rail + bar, upwards + 1)
    panes = [
        (columns[i], rows[j], columns[i + 1] - bar, rows[j + 1] - bar)
        for i in range(across)
        for j in range(upwards)
    ]
    glass = plate((a0 + BURIED, a1 - BURIED), (b0 + BURIED, b1 - BURIED), []).face(front + GLASS)
    return plate((a0, a1), (b0, b1), panes).body(front - SASH, front), glass


def _shutters(pile: Pile, path: str, hole: Bounds, fit: Fit) -> None:
    """Louvred leaves folded back beside the window."""
    width, gap = 0.5 * (hole.right - hole.left), CASING + 0.012 if fit.boarded else 0.03
    low, high = hole.bottom - 0.01, hole.top + 0.02
    back, front = 0.026, 0.056
    for a0 in (hole.left - gap - width, hole.right + gap):
        a1 = a0 + width
        middle = 0.5 * (low + high)
        panels = [
            (a0 + 0.05, low + 0.08, a1 - 0.05, middle - 0.03),
            (a0 + 0.05, middle + 0.03, a1 - 0.05, high - 0.05),
        ]
        part = f"{path}.shutters"
        pile.add(part, fit.door, plate((a0, a1), (low, high), panels).body(back, front))
        for left, bottom, right, top in panels:
            count = max(2, round((top - bottom) / 0.042))
            at = bottom + (top - bottom) * (np.arange(count) + 0.5) / count
            corners = np.empty((count, 8, 3))
            for corner in range(8):
                outer, upper = corner >> 2, corner >> 1 & 1
                corners[:, corner, 0] = right + 0.004 if corner & 1 else left - 0.004
                corners[:, corner, 1] = at + (-0.017 if outer else 0.017) + (0.006 if upper else -0.006)
                corners[:, corner, 2] = front - 0.004 if outer else back + 0.004
            pile.add(part, fit.door, hexahedra(corners))
        for level in (low + 0.2, high - 0.2):
            hinge = a1 if a0 < hole.left else a0
            pile.add(
                part,
                "dark paint",
                boxes([hinge - 0.03, level - 0.02, -0.005], [hinge + 0.03, level + 0.02, back + 0.004]),
            )
