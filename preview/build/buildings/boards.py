"""Boards: on a wall's face, lapped over each other, or upright with battens over their joints."""

from __future__ import annotations

import numpy as np

from preview.build.buildings.face import UNDER_TRIM, Face
from preview.build.buildings.masonry import Units
from preview.build.mesh import Floats
from preview.build.pile import Pile, of_quads, shades
from preview.build.solids import quads

BOARD = 0.15
"""Exposed height of a lapped board, metres. Common practice, no source."""
PROUD, THIN = 0.020, 0.003
"""How far a lapped board's lower and upper edge stand before the wall's face, metres."""
UPRIGHT, BATTEN = 0.20, 0.045
"""Width of an upright board and of the batten over its joint, metres. Common practice, no source."""


def _rows(face: Face, height: float, longest: float, rng: np.random.Generator, *, end: float) -> Units:
    """Boards lying in rows of a height, butted at lengths up to the longest."""
    count = max(1, round((face.peak - face.low) / height))
    lines = np.linspace(face.low, face.peak, count + 1)
    pieces = int(face.length / (0.5 * longest)) + 2
    lengths = longest * (0.5 + 0.5 * rng.random((count, pieces)))
    stops = np.cumsum(lengths, axis=1) - longest * 0.5 * rng.random((count, 1))
    left = np.maximum(stops - lengths + 0.0015, end).ravel()
    right = np.minimum(stops, face.length - end).ravel()
    low, high = np.repeat(lines[:-1], pieces), np.repeat(lines[1:], pieces)
    kept = right - left > 0.02
    left, right, low, high = left[kept], right[kept], low[kept], high[kept]
    tint = shades(rng, len(left), light=0.055, hue=0.012)
    return Units(np.stack([left, left], axis=1), np.stack([right, right], axis=1), low, high, tint)


def lapped(face: Face, rng: np.random.Generator, *, end: float = 0.04) -> tuple[Floats, Floats]:
    """Boards that lap over the ones below, on a wall's face: triangles (n, 3, 3) and tints."""
    count = max(1, round((face.peak - face.low) / BOARD))
    rise = (face.peak - face.low) / count
    units = _rows(face, BOARD, 4.8, rng, end=end)
    warp = 0.0018 * rng.standard_normal(len(units))
    stamped = Units(units.left, units.right, units.low, units.high, np.column_stack([units.tint, warp]))
    units = stamped.within(face.ends).around(face.grown(UNDER_TRIM))
    bottom = face.low + rise * np.floor((0.5 * (units.low + units.high) - face.low) / rise)
    warp = np.clip(units.tint[:, 3], -0.004, 0.004)

    def out(height: Floats) -> Floats:
        share = (height - bottom) / rise
        return PROUD + warp + (THIN - PROUD - 0.5 * warp) * share

    (al0, al1), (ar0, ar1) = units.left.T, units.right.T
    low, high, tint = units.low, units.high, units.tint[:, :3]
    front = np.stack(
        [
            np.stack([al0, low, out(low)], axis=1),
            np.stack([ar0, low, out(low)], axis=1),
            np.stack([ar1, high, out(high)], axis=1),
            np.stack([al1, high, out(high)], axis=1),
        ],
        axis=1,
    )
    foot = front[:, [0, 1, 1, 0]].copy()
    foot[:, :2, 2] = 0.0
    lip = low < bottom + 1e-6
    return (
        np.concatenate([quads(front), quads(foot[lip])]),
        np.concatenate([of_quads(tint), of_quads(tint[lip])]),
    )


def battened(pile: Pile, face: Face, material: str, rng: np.random.Generator) -> None:
    """Upright boards, and battens over the joints between them."""
    count = max(1, round(face.length / UPRIGHT))
    lines = np.linspace(0.0, face.length, count + 1)
    out, tint = 0.003 + 0.004 * rng.random(count), shades(rng, count, light=0.10, hue=0.03)
    _upright(pile, face, material, lines[:-1] + 0.002, lines[1:] - 0.002, out, tint)
    middles = lines[1:-1]
    thick = 0.021 + 0.003 * rng.random(count - 1)
    tint = shades(rng, count - 1, light=0.08, hue=0.03)
    _upright(pile, face, material, middles - BATTEN / 2, middles + BATTEN / 2, thick, tint)


def _upright(
    pile: Pile, face: Face, material: str, left: Floats, right: Floats, out: Floats, tint: Floats
) -> None:
    """Strips from the foot of a wall to its upper edge: fronts and sides."""
    count = len(left)
    low = np.full(count, face.low)
    stamped = np.column_stack([tint, out])
    units = Units(
        np.stack([left, left], axis=1),
        np.stack([right, right], axis=1),
        low,
        np.full(count, face.high),
        stamped,
    ).around(face.grown(UNDER_TRIM))
    a0, a1, b0, b1, rows = units.left[:, 0], units.right[:, 0], units.low, units.high, units.tint
    tops = [(b1, b1)]
    spans = [(a0, a1, b0, rows)]
    if face.peak > face.high:
        spans.append((left, right, np.full(count, face.high), stamped))
        tops.append((face.top(left), face.top(right)))
    for (first, last, foot, row), (top0, top1) in zip(spans, tops, strict=True):
        c = row[:, 3]
        zero = np.zeros_like(c)

        def corner(x: Floats, y: Floats, z: Floats) -> Floats:
            return np.stack([x, y, z], axis=1)

        front = [corner(first, foot, c), corner(last, foot, c), corner(last, top1, c), corner(first, top0, c)]
        back = [
            corner(first, foot, zero),
            corner(last, foot, zero),
            corner(last, top1, zero),
            corner(first, top0, zero),
        ]
        shapes = np.stack(
            [
                np.stack(front, axis=1),
                np.stack([back[0], front[0], front[3], back[3]], axis=1),
                np.stack([front[1], back[1], back[2], front[2]], axis=1),
                np.stack([back[0], back[1], front[1], front[0]], axis=1),
            ],
            axis=1,
        )
        pile.add("walls", material, quads(shapes.reshape(-1, 4, 3)), tint=of_quads(row[:, :3], 4))
