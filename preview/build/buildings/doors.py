"""Doors: frame, threshold, leaf or leaves as far open as they stand, handle, a light over them.

In a wall's own frame: a from its left end, b above the ground, c out of its outer face.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, sin

import numpy as np

from preview.build.buildings.openings import BURIED, CASING, Fit, drip, u_shaped
from preview.build.mesh import Floats
from preview.build.pile import Pile, of_quads, shades
from preview.build.solids import boxes, hexahedra, plate
from preview.script.house_plan import Bounds
from preview.script.models.pieces.buildings import Door

LEAF = 0.045
"""Thickness of a door leaf, metres."""
BOARD = 0.125
"""Width of a board of a boarded leaf."""


@dataclass(frozen=True)
class Leaf:
    """A leaf with its hinge at a = 0 and its inner face at c = 0: woodwork with tints, metal, glass."""

    wood: list[tuple[Floats, Floats | None]]
    metal: list[Floats]
    glass: list[Floats]


def door(pile: Pile, path: str, hole: Bounds, model: Door, fit: Fit, rng: np.random.Generator) -> None:
    """Adds what fills a doorway; a single leaf hangs on the left, seen from outside."""
    outward = model.leaf != "panelled"
    inner = -fit.thickness
    thick = min(LEAF, 0.5 * fit.thickness)
    front = (
        (0.006 if fit.boarded else -0.004)
        if outward
        else 0.006
        if fit.boarded
        else -max(fit.back, min(0.04, 0.3 * fit.thickness))
    )
    way = replace(hole, top=hole.top - model.over)
    stop = (
        (-0.105 if fit.thickness > 0.13 else -0.085, -0.062)
        if outward
        else (inner + thick, inner + thick + 0.25 * fit.thickness)
    )
    inner_reach = inner - 0.01
    for piece in (
        u_shaped(hole, BURIED, 0.03, inner_reach, front),
        u_shaped(way, -0.027, 0.045, stop[0], stop[1]),
        u_shaped(hole, 0.075, 0.01, inner - 0.022, inner + 0.01),
    ):
        pile.add(path, fit.trim, piece)
    pile.add(
        path,
        "stone" if not fit.boarded else fit.trim,
        boxes(
            [hole.left - 0.01, hole.bottom - 0.03, inner - 0.012],
            [hole.right + 0.01, hole.bottom + 0.010, 0.055],
        ),
    )
    if fit.boarded:
        pile.add(
            path,
            fit.trim,
            u_shaped(hole, CASING, 0.012, -0.01, 0.030),
        )
        pile.add(path, fit.trim, drip(hole))
    if model.over:
        _light_over(pile, path, hole, way, inner_reach + 0.004, front - 0.004, fit)
    width = way.right - way.left - 0.066
    bottom, top = way.bottom + 0.012, way.top - 0.033
    if not outward:
        leaf = _panelled(width, bottom, top, thick, glazed=model.glazed)
        _hang(
            pile, path, leaf, fit, angle=-model.open, hinge=(way.left + 0.033, inner - 0.005), mirrored=False
        )
        return
    outside = front - 0.012
    halves = [(way.left + 0.033, False)]
    if model.leaf == "double":
        width = 0.5 * width - 0.002
        halves.append((way.right - 0.033, True))
    for number, (a, mirrored) in enumerate(halves):
        leaf = boarded_leaf(width, bottom, top, thick, rng, strip=model.leaf == "double" and number == 0)
        _hang(pile, path, leaf, fit, angle=model.open, hinge=(a, outside), mirrored=mirrored, outer=True)


def _hang(
    pile: Pile,
    path: str,
    leaf: Leaf,
    fit: Fit,
    *,
    angle: float,
    hinge: tuple[float, float],
    mirrored: bool,
    outer: bool = False,
) -> None:
    """Adds a leaf turned about its hinge (a, c), by positive angles outwards; an outer one hinges at its outer face."""
    turn = np.array([[cos(angle), 0.0, sin(angle)], [0.0, 1.0, 0.0], [-sin(angle), 0.0, cos(angle)]])
    shift = np.array([0.0, 0.0, -LEAF if outer else 0.0])

    def placed(piece: Floats) -> Floats:
        swung = (piece + shift) @ turn
        if mirrored:
            swung = swung[:, ::-1] * [-1.0, 1.0, 1.0]
        at: Floats = swung + np.array([hinge[0], 0.0, hinge[1]])
        return at

    for piece, tint in leaf.wood:
        pile.add(path, fit.door, placed(piece), tint=tint)
    for piece in leaf.metal:
        pile.add(path, "dark paint" if outer else "tarnished metal", placed(piece))
    for piece in leaf.glass:
        pile.add(f"{path}.pane", "window glass", placed(piece))


def _light_over(
    pile: Pile, path: str, hole: Bounds, way: Bounds, back: float, front: float, fit: Fit
) -> None:
    """A transom on top of the leaf's frame, and a glass with two bars above it."""
    pile.add(
        path,
        fit.trim,
        boxes([hole.left + 0.02, way.top - 0.031, back], [hole.right - 0.02, way.top + 0.03, front]),
    )
    a0, a1, b0, b1 = hole.left + 0.024, hole.right - 0.024, way.top + 0.024, hole.top - 0.024
    if b1 - b0 < 0.08:
        pile.add(path, fit.trim, boxes([a0, b0, front - 0.03], [a1, b1, front - 0.008]))
        return
    lines = np.linspace(a0 + 0.04, a1 - 0.04 + 0.02, max(1, round((a1 - a0) / 0.32)) + 1)
    panes = [(lines[i], b0 + 0.035, lines[i + 1] - 0.02, b1 - 0.035) for i in range(len(lines) - 1)]
    pile.add(path, fit.trim, plate((a0, a1), (b0, b1), panes).body(front - 0.032, front - 0.010))
    pile.add(
        f"{path}.pane",
        "window glass",
        plate((a0 + 0.01, a1 - 0.01), (b0 + 0.01, b1 - 0.01), []).face(front - 0.021),
    )


def _panelled(width: float, bottom: float, top: float, thickness: float, *, glazed: bool) -> Leaf:
    """Stiles, rails and raised panels, with glass in place of the upper ones if asked, and a handle on both faces."""
    height = top - bottom
    stile, muntin = min(0.11, 0.2 * width), min(0.09, 0.15 * width)
    columns = [(stile, 0.5 * (width - muntin)), (0.5 * (width + muntin), width - stile)]
    rows = [(0.10, 0.40), (0.47, 0.79), (0.84, 0.94)]
    if glazed:
        rows = [(0.10, 0.40), (0.47, 0.94)]
    panels = [
        (a0, bottom + low * height, a1, bottom + high * height) for a0, a1 in columns for low, high in rows
    ]
    frame = plate((0.0, width), (bottom, top), panels).body(0.0, thickness)
    third = thickness / 3
    sheet_top = bottom + (0.435 * height if glazed else height) - 0.04 * (not glazed)
    sheet = boxes([0.04, bottom + 0.04, third], [width - 0.04, sheet_top, 2 * third])
    solid = [panel for panel in panels if not glazed or panel[3] < bottom + 0.45 * height]
    raised = [
        boxes([a0 + 0.035, b0 + 0.035, third - 0.006], [a1 - 0.035, b1 - 0.035, 2 * third + 0.006])
        for a0, b0, a1, b1 in solid
        if a1 - a0 > 0.09 and b1 - b0 > 0.09
    ]
    glass = []
    if glazed:
        b0, b1 = bottom + 0.46 * height, bottom + 0.95 * height
        glass.append(plate((stile - 0.01, width - stile + 0.01), (b0, b1), []).face(0.5 * thickness))
    grip, high = width - 0.06, bottom + 0.48 * height
    metal = [
        boxes([grip - 0.02, high - 0.11, -0.004], [grip + 0.02, high + 0.07, thickness + 0.004]),
        boxes([grip - 0.011, high - 0.011, -0.05], [grip + 0.011, high + 0.011, thickness + 0.05]),
        boxes(
            [grip - 0.115, high - 0.009, thickness + 0.033], [grip + 0.013, high + 0.009, thickness + 0.052]
        ),
        boxes([grip - 0.115, high - 0.009, -0.052], [grip + 0.013, high + 0.009, -0.033]),
    ]
    # A letter plate outside.
    if not glazed:
        slot = bottom + 0.435 * height
        metal.append(
            boxes(
                [0.5 * width - 0.13, slot - 0.028, thickness - 0.004],
                [0.5 * width + 0.13, slot + 0.028, thickness + 0.005],
            )
        )
    return Leaf([(piece, None) for piece in (frame, sheet, *raised)], metal, glass)


def boarded_leaf(
    width: float, bottom: float, top: float, thickness: float, rng: np.random.Generator, *, strip: bool
) -> Leaf:
    """Upright boards outside, ledges and a brace inside, strap hinges, a ring to pull; a strip over the joint of two."""
    count = max(2, round(width / BOARD))
    lines = np.linspace(0.0, width, count + 1)
    low = np.stack([lines[:-1] + 0.0015, np.full(count, bottom), np.full(count, 0.020)], axis=1)
    high = np.stack([lines[1:] - 0.0015, np.full(count, top), thickness - 0.004 * rng.random(count)], axis=1)
    boards = (boxes(low, high), of_quads(shades(rng, count, light=0.09, hue=0.02), 6))
    # Behind the joints, so that no light passes them.
    sheet = boxes([0.004, bottom + 0.004, 0.012], [width - 0.004, top - 0.004, 0.024])
    height = top - bottom
    ledges = [
        boxes(
            [0.03, bottom + share * height - 0.06, -0.006],
            [width - 0.03, bottom + share * height + 0.06, 0.0135],
        )
        for share in (0.12, 0.5, 0.88)
    ]
    brace = np.zeros((1, 8, 3))
    for corner in range(8):
        far, upper, out = corner & 1, corner >> 1 & 1, corner >> 2
        share = 0.86 if far else 0.14
        brace[0, corner] = [
            width - 0.12 if far else 0.12,
            bottom + share * height + (0.05 if upper else -0.05),
            0.0130 if out else -0.004,
        ]
    metal = [
        boxes(
            [-0.01, bottom + share * height - 0.02, thickness - 0.006],
            [0.62 * width, bottom + share * height + 0.02, thickness + 0.005],
        )
        for share in (0.13, 0.87)
    ]
    grip, middle = width - 0.08, bottom + 0.5 * height
    metal.append(
        boxes(
            [grip - 0.02, middle - 0.06, thickness - 0.006], [grip + 0.02, middle + 0.06, thickness + 0.006]
        )
    )
    metal.append(
        boxes(
            [grip - 0.009, middle - 0.05, thickness + 0.004], [grip + 0.009, middle + 0.04, thickness + 0.032]
        )
    )
    wood: list[tuple[Floats, Floats | None]] = [boards, (sheet, None), *((ledge, None) for ledge in ledges)]
    wood.append((hexahedra(brace), None))
    if strip:
        cover = boxes(
            [width - 0.03, bottom + 0.002, thickness - 0.006], [width + 0.03, top - 0.002, thickness + 0.012]
        )
        wood.append((cover, None))
    return Leaf(wood, metal, glass=[])
