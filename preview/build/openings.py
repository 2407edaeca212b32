"""Openings: what fills the holes in a wall: linings, casings, sills, sashes with bars and glass, door leaves.

All in a wall's own frame: a from its left end, b above the ground, c out of its outer face.
"""

from __future__ import annotations

from math import cos, sin

import numpy as np

from preview.build.mesh import Floats
from preview.build.solids import boxes, plate
from preview.script.house_plan import Bounds
from preview.script.models.pieces.buildings import Door, Window

LEAF = 0.045
"""Thickness of a door leaf, metres."""
CASING = 0.095
"""Width of the boards round an opening in a boarded wall, metres."""
SASH = (-0.018, 0.002)
"""Back and front of a sash, metres out of the wall's face: before the place where a lit window glows."""
SASH_EDGE = -0.017
"""The edge of a sash against that of its hole, metres outwards: the lining hides it."""
PANE = -0.008
"""Where the glass of a sash is, metres out of the wall's face: between the faces of its bars."""
BURIED = 0.003
"""How far a joiner's piece goes into its neighbour, so that no two faces share a plane."""

Around = tuple[float, float, float, float]


def _grown(hole: Bounds, by: float) -> Around:
    return hole.left - by, hole.bottom - by, hole.right + by, hole.top + by


def _u_shaped(hole: Bounds, outer: float, inner: float, low: float, high: float) -> Floats:
    """Jambs and head: `outer` beyond the hole's edge to `inner` within it, open below, from c = low to high."""
    a0, _, a1, b1 = _grown(hole, outer)
    cut = (hole.left + inner, hole.bottom - 9.0, hole.right - inner, hole.top - inner)
    return plate((a0, a1), (hole.bottom - BURIED, b1), [cut]).body(low, high)


def window(hole: Bounds, model: Window, *, thickness: float, boarded: bool) -> list[Floats]:
    """What fills a window: lining, casings, sill, sash."""
    around = _grown(hole, BURIED)
    lining = plate(around[::2], around[1::2], [_grown(hole, -0.02)])
    inner_casing = plate(
        (hole.left - 0.07, hole.right + 0.07), (hole.bottom - 0.07, hole.top + 0.07), [_grown(hole, -0.006)]
    )
    pieces = [
        lining.body(-thickness - 0.01, 0.006),
        inner_casing.body(-thickness - 0.022, -thickness + 0.01),
        sash(hole, model),
    ]
    sill = hole.bottom + 0.0015
    reach = 0.13 if boarded else 0.06
    pieces.append(
        boxes([hole.left - reach, sill - 0.055, -0.03], [hole.right + reach, sill, 0.08 if boarded else 0.05])
    )
    if boarded:
        pieces.append(_u_shaped(hole, CASING, 0.008, -0.01, 0.030))
        pieces.append(_drip(hole))
    return pieces


def _drip(hole: Bounds) -> Floats:
    """A cap over the head of an opening."""
    top = hole.top + CASING
    return boxes(
        [hole.left - CASING - 0.03, top - 0.006, -0.01], [hole.right + CASING + 0.03, top + 0.024, 0.055]
    )


def sash(hole: Bounds, model: Window) -> Floats:
    """The frame that holds the glass, with its bars."""
    a0, b0, a1, b1 = _grown(hole, SASH_EDGE)
    rail, bar = min(0.05, 0.15 * (a1 - a0), 0.15 * (b1 - b0)), 0.024
    across, upwards = 1, 1
    if model.bars:
        across = max(2, round((a1 - a0) / 0.5)) if a1 - a0 > 0.35 else 1
        upwards = max(2, round((b1 - b0) / 0.42)) if b1 - b0 > 0.35 else 1
    columns = np.linspace(a0 + rail, a1 - rail + bar, across + 1)
    rows = np.linspace(b0 + rail, b1 - rail + bar, upwards + 1)
    panes = [
        (columns[i], rows[j], columns[i + 1] - bar, rows[j + 1] - bar)
        for i in range(across)
        for j in range(upwards)
    ]
    return plate((a0, a1), (b0, b1), panes).body(*SASH)


def pane(hole: Bounds) -> Floats:
    """The glass of a window: one sheet that the bars divide, looking out, its edges within the sash."""
    a0, b0, a1, b1 = _grown(hole, SASH_EDGE - BURIED)
    return plate((a0, a1), (b0, b1), []).face(PANE)


def door(
    hole: Bounds, model: Door, *, thickness: float, boarded: bool
) -> tuple[list[Floats], list[Floats], Floats]:
    """What fills a doorway: the frame, the leaf, the handle; the leaf hangs on the left, seen from outside."""
    front = 0.006 if boarded else -min(0.04, 0.3 * thickness)
    inner = -thickness
    leaf_thickness = min(LEAF, 0.5 * thickness)
    frame = [
        _u_shaped(hole, BURIED, 0.03, inner - 0.01, front),
        _u_shaped(hole, -0.027, 0.045, inner + leaf_thickness, inner + leaf_thickness + 0.25 * thickness),
        _u_shaped(hole, 0.075, 0.01, inner - 0.022, inner + 0.01),
        boxes(
            [hole.left - 0.01, hole.bottom - 0.02, inner - 0.012],
            [hole.right + 0.01, hole.bottom + 0.010, 0.06],
        ),
    ]
    if boarded:
        frame += [_u_shaped(hole, CASING, 0.012, -0.01, 0.030), _drip(hole)]
    width, bottom, top = hole.right - hole.left - 0.066, hole.bottom + 0.012, hole.top - 0.033
    leaf, handle = _leaf(width, bottom, top, leaf_thickness)
    hinge = np.array([hole.left + 0.033, 0.0, inner - 0.005])
    turn = _inwards(model.open)
    return frame, [piece @ turn.T + hinge for piece in leaf], handle @ turn.T + hinge


def _inwards(angle: float) -> Floats:
    """Rotation of a leaf about its hinge, from along the wall (a) towards the room (-c)."""
    return np.array([[cos(angle), 0.0, sin(angle)], [0.0, 1.0, 0.0], [-sin(angle), 0.0, cos(angle)]])


def _leaf(width: float, bottom: float, top: float, thickness: float) -> tuple[list[Floats], Floats]:
    """A panelled leaf with its hinge at a = 0, its inner face at c = 0, and the handle on both its faces."""
    height = top - bottom
    stile, muntin = min(0.11, 0.2 * width), min(0.09, 0.15 * width)
    columns = [(stile, 0.5 * (width - muntin)), (0.5 * (width + muntin), width - stile)]
    rows = [(0.10, 0.40), (0.47, 0.79), (0.84, 0.94)]
    panels = [
        (a0, bottom + low * height, a1, bottom + high * height) for a0, a1 in columns for low, high in rows
    ]
    frame = plate((0.0, width), (bottom, top), panels).body(0.0, thickness)
    third = thickness / 3
    sheet = boxes([0.04, bottom + 0.04, third], [width - 0.04, top - 0.04, 2 * third])
    raised = [
        boxes([a0 + 0.035, b0 + 0.035, third - 0.006], [a1 - 0.035, b1 - 0.035, 2 * third + 0.006])
        for a0, b0, a1, b1 in panels
        if a1 - a0 > 0.09 and b1 - b0 > 0.09
    ]
    grip, high = width - 0.06, bottom + 0.48 * height
    handle = np.concatenate(
        [
            boxes([grip - 0.02, high - 0.11, -0.004], [grip + 0.02, high + 0.07, thickness + 0.004]),
            boxes([grip - 0.011, high - 0.011, -0.05], [grip + 0.011, high + 0.011, thickness + 0.05]),
            boxes(
                [grip - 0.115, high - 0.009, thickness + 0.033],
                [grip + 0.013, high + 0.009, thickness + 0.052],
            ),
            boxes([grip - 0.115, high - 0.009, -0.052], [grip + 0.013, high + 0.009, -0.033]),
        ]
    )
    return [frame, sheet, *raised], handle
