"""Render: a coat on a wall that was floated by hand, a little uneven, so that a raking light finds it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from preview.build.mesh import Floats
from preview.build.pile import Pile, of_quads
from preview.build.solids import quads

CELL, COARSE = 0.09, 0.45
"""Size of the coat's cells near a camera and far from any, metres."""
UNEVEN = 0.0075
"""How far the coat sinks in at its hollows, metres."""


def coat(
    pile: Pile,
    length: float,
    low: float,
    high: float,
    peak: float,
    holes: Sequence[Sequence[float]],
    material: str,
    *,
    fine: bool,
    rng: np.random.Generator,
) -> None:
    """Adds the coat to a pile in the wall's frame: its edges at c = 0, its hollows behind that."""
    cell = CELL if fine else COARSE
    lines_a = _lines(0.0, length, [x for hole in holes for x in (hole[0], hole[2])], cell)
    lines_b = _lines(low, high, [x for hole in holes for x in (hole[1], hole[3])], cell)
    waves = _waves(rng)
    a, b = np.meshgrid(lines_a, lines_b, indexing="ij")
    _sheet(
        pile, a, b, _solid(lines_a, lines_b, holes), _edge(a, b, length, low, high, holes), waves, material
    )
    if peak > high:
        # The gable as a sheet whose rows narrow towards its point.
        share = np.linspace(0.0, 1.0, max(3, round((peak - high) / cell)) + 1)
        across = np.linspace(0.0, 1.0, max(3, round(length / cell)) + 1)
        u, v = np.meshgrid(across, share, indexing="ij")
        a = 0.5 * length + length * (u - 0.5) * (1.0 - v)
        b = high + v * (peak - high)
        edge = np.minimum(np.minimum(u, 1.0 - u) * length, np.minimum(v, 1.0 - v) * (peak - high))
        _sheet(pile, a, b, np.ones((len(across) - 1, len(share) - 1), bool), edge, waves, material)


def _lines(start: float, end: float, cuts: Sequence[float], cell: float) -> Floats:
    fixed = np.unique(np.clip([start, end, *cuts], start, end))
    pieces = [
        np.linspace(first, last, max(1, round((last - first) / cell)) + 1)[:-1]
        for first, last in pairwise(fixed)
    ]
    return np.concatenate([*pieces, [end]])


def _solid(lines_a: Floats, lines_b: Floats, holes: Sequence[Sequence[float]]) -> Floats:
    a = 0.5 * (lines_a[1:] + lines_a[:-1])[:, None]
    b = 0.5 * (lines_b[1:] + lines_b[:-1])[None, :]
    solid = np.ones((len(lines_a) - 1, len(lines_b) - 1), bool)
    for a0, b0, a1, b1 in holes:
        solid &= ~((a > a0) & (a < a1) & (b > b0) & (b < b1))
    return solid


def _edge(
    a: Floats, b: Floats, length: float, low: float, high: float, holes: Sequence[Sequence[float]]
) -> Floats:
    """From each point to the nearest edge of the coat or of a hole, metres."""
    edge = np.minimum(np.minimum(a, length - a), np.minimum(b - low, high - b))
    for a0, b0, a1, b1 in holes:
        aside = np.maximum(np.maximum(a0 - a, a - a1), 0.0)
        over = np.maximum(np.maximum(b0 - b, b - b1), 0.0)
        edge = np.minimum(edge, np.hypot(aside, over))
    return edge


def _waves(rng: np.random.Generator) -> Floats:
    """Rows of wave numbers along a and b, phase and share: hollows from a hand's to an arm's breadth."""
    size = 0.22 * (1.2 / 0.22) ** rng.random(14)
    way = 2.0 * np.pi * rng.random(14)
    share = np.sqrt(size)
    return np.stack(
        [
            2.0 * np.pi / size * np.cos(way),
            2.0 * np.pi / size * np.sin(way),
            2.0 * np.pi * rng.random(14),
            share / np.sqrt(np.sum(share**2)),
        ]
    )


def _sheet(
    pile: Pile, a: Floats, b: Floats, solid: Floats, edge: Floats, waves: Floats, material: str
) -> None:
    phase = waves[0][:, None, None] * a + waves[1][:, None, None] * b + waves[2][:, None, None]
    height = np.tensordot(waves[3], np.sin(phase), axes=1)
    fade = np.clip(edge / 0.12, 0.0, 1.0)
    fade = fade * fade * (3.0 - 2.0 * fade)
    sunk = -UNEVEN * fade * np.clip(0.5 + 0.35 * height, 0.0, 1.0)
    points = np.stack([a, b, sunk], axis=2)
    slope_1, slope_2 = np.gradient(points, axis=0), np.gradient(points, axis=1)
    normals = np.cross(slope_1, slope_2)
    normals /= np.maximum(np.linalg.norm(normals, axis=2, keepdims=True), 1e-12)
    normals[..., 2] = np.where(np.abs(normals).sum(axis=2) < 1e-6, 1.0, normals[..., 2])
    i, j = np.nonzero(solid)

    def cells(grid: Floats) -> Floats:
        return np.stack([grid[i, j], grid[i + 1, j], grid[i + 1, j + 1], grid[i, j + 1]], axis=1)

    # Hollows hold a little more dirt.
    tone = 1.0 + 0.035 * cells(height[..., None])[:, :, 0].mean(axis=1)
    tint = np.repeat(np.clip(tone, 0.85, 1.1)[:, None], 3, axis=1)
    pile.add("walls", material, quads(cells(points)), tint=of_quads(tint), normals=quads(cells(normals)))
