"""Curtains: thin cloth in folds behind a window, on a rod; seen from both sides, and light passes."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.pile import Pile, sheet
from preview.build.solids import boxes, quads
from preview.script.house_plan import Bounds
from preview.script.models.pieces.buildings import Window

BEHIND = 0.085
"""From the inner face of the wall to the cloth, metres."""
BESIDE, ABOVE, BELOW = 0.10, 0.10, 0.12
"""How far the cloth reaches past the opening, metres."""
SHARE = {"open": 0.20, "half": 0.31, "drawn": 0.53}
"""Of the window's width, each curtain's."""
FULLNESS = 0.105
"""From fold to fold where the cloth is drawn, metres. Common practice, no source: twice the width in cloth."""
THREAD, MESH = 0.0034, 0.0068
"""Width and spacing of the strips that stand for a net's threads, metres: half of what is behind shows."""


def curtains(
    pile: Pile, path: str, hole: Bounds, window: Window, *, thickness: float, rng: np.random.Generator
) -> None:
    """Adds the curtains of one window, in its wall's frame."""
    if window.curtains == "none":
        return
    back = -thickness - BEHIND
    low, high = hole.bottom - BELOW, hole.top + ABOVE
    left, right = hole.left - BESIDE, hole.right + BESIDE
    pile.add(
        f"{path}.curtains",
        "dark paint",
        boxes([left - 0.06, high - 0.012, back - 0.03], [right + 0.06, high + 0.012, back - 0.012]),
    )
    if window.curtains == "net":
        _net(pile, f"{path}.curtains", left, right, low, high, back, rng)
        return
    width = (right - left) * SHARE[window.curtains]
    cloth = f"{path}.curtains"
    for start, end, ahead in ((left, left + width, 0.012), (right - width, right, 0.0)):
        full = FULLNESS * (0.6 if window.curtains == "open" else 1.0)
        pleats = max(2, round((end - start) / full))
        points = _folds(start, end, low, high, back + ahead, pleats, rng)
        triangles, normals = sheet(points, _upright(points))
        pile.add(cloth, window.curtain_material, triangles, normals=normals)


def _folds(
    start: float, end: float, low: float, high: float, out: float, pleats: int, rng: np.random.Generator
) -> Floats:
    """Points (m, k, 3) of a cloth that hangs in folds, deeper below than at its rod."""
    across = np.linspace(0.0, 1.0, 10 * pleats + 1)
    up = np.array([0.0, 0.12, 0.35, 0.65, 0.9, 1.0])
    u, v = np.meshgrid(across, up, indexing="ij")
    wander = 0.35 * np.sin(2.0 * np.pi * u * 1.7 + rng.random() * 6.0) * (1.0 - v)
    phase = 2.0 * np.pi * (pleats * u + 0.25 * wander)
    each = 0.75 + 0.5 * rng.random(pleats + 2)
    depth = np.interp(u * pleats, np.arange(pleats + 2), each) * (0.55 + 0.45 * (1.0 - v))
    fold = depth * (np.sin(phase) + 0.22 * np.sin(2.0 * phase + 1.0))
    span = (end - start) / pleats
    return np.stack(
        [
            start + (end - start) * u + 0.16 * span * np.cos(phase) * (1.0 - 0.4 * v),
            low + (high - low) * v,
            out - min(0.026, 0.30 * span) * (1.0 + fold),
        ],
        axis=2,
    )


def _upright(points: Floats) -> Floats:
    """Unit normals of a sheet of points (m, k, 3)."""
    normals = np.cross(np.gradient(points, axis=0), np.gradient(points, axis=1))
    unit: Floats = normals / np.maximum(np.linalg.norm(normals, axis=2, keepdims=True), 1e-12)
    return unit


def _net(
    pile: Pile,
    part: str,
    left: float,
    right: float,
    low: float,
    high: float,
    out: float,
    rng: np.random.Generator,
) -> None:
    """A net as strips with gaps between, in shallow waves."""
    count = max(2, int((right - left) / MESH))
    starts = left + (right - left) * np.arange(count) / count + 0.0008 * rng.standard_normal(count)
    ends = starts + THREAD
    pleats = (right - left) / FULLNESS

    def wave(a: Floats) -> Floats:
        share = (a - left) / (right - left)
        return out - 0.02 * (1.0 + np.sin(2.0 * np.pi * pleats * share + 0.8 * np.sin(5.0 * share)))

    corners = np.stack(
        [
            np.stack([a, np.full(count, b), wave(a)], axis=1)
            for a, b in ((starts, low), (ends, low), (ends, high), (starts, high))
        ],
        axis=1,
    )
    pile.add(part, "net curtain", quads(corners))
