"""Gates of a wall: boarded leaves, or iron ones of bars with points, hung between two piers.

In the gate's frame: y along the wall from the opening's start, x to its right, z up.
"""

from __future__ import annotations

import numpy as np

from preview.build.buildings.doors import boarded_leaf
from preview.build.mesh import Floats, turned
from preview.build.pile import Pile
from preview.build.solids import boxes, hexahedra
from preview.script.models.pieces.things import WallGate

PIER = 0.44
"""Side of a gate's pier along the wall, metres: two bricks with a joint."""
CLEAR = 0.02
"""Between a leaf and its piers."""
OFF_GROUND = 0.07
TWO_LEAVES = 1.8
"""Wider gates have two leaves, metres."""
BARS = 0.11
"""From one bar of an iron gate to the next."""


def gate_leaves(pile: Pile, part: str, gate: WallGate, height: float, rng: np.random.Generator) -> None:
    """Adds the leaf, or both, opened to the right by the gate's angle."""
    double = gate.width > TWO_LEAVES
    width = (0.5 * gate.width if double else gate.width) - CLEAR - 0.5 * CLEAR
    for mirrored in (False, True) if double else (False,):
        own = Pile()
        if gate.leaf == "iron":
            own.add(part, "black paint", _iron(width, height))
        else:
            leaf = boarded_leaf(width, OFF_GROUND, height, 0.045, rng, strip=False)
            for piece, tint in leaf.wood:
                own.add(part, "weathered wood", piece[..., [2, 0, 1]] - [0.0225, 0.0, 0.0], tint=tint)
            for piece in leaf.metal:
                own.add(part, "black paint", piece[..., [2, 0, 1]] - [0.0225, 0.0, 0.0])
        swung = _swung(own, gate.open)
        if mirrored:
            pile.poured(_flipped(swung, gate.width), [0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1])
        else:
            pile.poured(swung, [0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1])


def _swung(own: Pile, angle: float) -> Pile:
    found = Pile()
    along = turned(np.eye(3), angle, np.zeros(3))
    found.poured(own, [0.0, CLEAR, 0.0], along[0], along[1], along[2])
    return found


def _flipped(own: Pile, width: float) -> Pile:
    """The leaf of the other pier: as in a mirror across the middle of the opening."""
    return own.changed(lambda piece: piece[:, ::-1] * [1.0, -1.0, 1.0] + [0.0, width, 0.0])


def _iron(width: float, height: float) -> Floats:
    """A frame of flat bars, upright bars through two rails, each with its point; a brace; hinges into the pier."""
    half = 0.008
    top = height - 0.14
    levels = [(OFF_GROUND, 0.035), (OFF_GROUND + 0.35 * (top - OFF_GROUND), 0.03), (top - 0.04, 0.035)]
    pieces = [boxes([-0.006, 0.0, low], [0.006, width, low + rise]) for low, rise in levels]
    for y in (0.0, width - 0.03):
        pieces.append(boxes([-0.015, y, OFF_GROUND - 0.02], [0.015, y + 0.03, top + 0.05]))
    count = max(1, round((width - 0.06) / BARS))
    at = 0.03 + (width - 0.06) * (np.arange(count) + 0.5) / count
    crown = 0.05 * np.sin(np.pi * at / width)
    low = np.stack([np.full(count, -half), at - half, np.full(count, OFF_GROUND + 0.005)], axis=1)
    pieces.append(boxes(low, np.stack([np.full(count, half), at + half, top + 0.04 + crown], axis=1)))
    point = np.empty((2 * count, 8, 3))
    for corner in range(8):
        x, y, upper = (corner & 1) * 2 - 1, (corner >> 1 & 1) * 2 - 1, corner >> 2
        foot, tip = top + 0.035 + crown, top + 0.14 + crown
        belly = foot + 0.035
        point[:count, corner] = np.stack(
            [
                np.full(count, x * (0.018 if upper else 0.007)),
                at + y * (0.018 if upper else 0.007),
                belly if upper else foot,
            ],
            axis=1,
        )
        point[count:, corner] = np.stack(
            [
                np.full(count, x * (0.001 if upper else 0.018)),
                at + y * (0.001 if upper else 0.018),
                tip if upper else belly,
            ],
            axis=1,
        )
    pieces.append(hexahedra(point))
    for level in (OFF_GROUND + 0.12, top - 0.12):
        pieces.append(boxes([-0.011, -CLEAR - 0.03, level], [0.011, 0.012, level + 0.022]))
    lock = OFF_GROUND + 0.55 * (top - OFF_GROUND)
    pieces.append(boxes([-0.022, width - 0.12, lock], [0.022, width - 0.001, lock + 0.13]))
    return np.concatenate(pieces)
