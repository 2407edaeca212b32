"""Course: solids laid along a path on plan, mitred at its bends: kerbs, pavements, walls, copings.

Offsets are metres to the right of the way the path runs; a path whose last point is its first is closed.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from preview.build.mesh import Floats
from preview.build.solids import hexahedra
from preview.faults import UserError

SHARPEST = np.radians(150)
"""Bends sharper than this have no mitre."""


def points_of(name: str, along: Sequence[tuple[float, float]]) -> Floats:
    """The path's points (k, 2), repeats left out. UserError where it has no length or doubles back."""
    line = np.array(along, dtype=float)
    keep = np.concatenate([[True], np.linalg.norm(np.diff(line, axis=0), axis=1) > 1e-3])
    line = line[keep]
    if len(line) < 2:
        raise UserError(f"{name}: along: the path has no length; give two points that differ")
    if np.any(np.abs(bends(line)) > SHARPEST):
        raise UserError(f"{name}: along: the path doubles back on itself; make its bends gentler")
    return line


def is_closed(line: Floats) -> bool:
    """Whether the path comes back to its start."""
    return len(line) > 3 and bool(np.linalg.norm(line[0] - line[-1]) < 1e-3)


def directions(line: Floats) -> Floats:
    """Unit directions (k - 1, 2) of the legs."""
    legs = np.diff(line, axis=0)
    unit: Floats = legs / np.linalg.norm(legs, axis=1, keepdims=True)
    return unit


def bends(line: Floats) -> Floats:
    """Turn in radians (k,) at each point, positive to the right; 0 at the ends of an open path."""
    along = directions(line)
    before, after = along, np.roll(along, -1, axis=0)
    turn = np.arctan2(before[:, 1] * after[:, 0] - before[:, 0] * after[:, 1], np.sum(before * after, axis=1))
    inner = turn[:-1]
    ends = turn[-1] if is_closed(line) else 0.0
    return np.concatenate([[ends], inner, [ends]])


def beside(line: Floats, offset: float) -> Floats:
    """The path's points (k, 2) moved sideways, mitred at its bends."""
    along = directions(line)
    right = np.stack([along[:, 1], -along[:, 0]], axis=1)
    if is_closed(line):
        before = np.concatenate([right[-1:], right])
        after = np.concatenate([right, right[:1]])
    else:
        before = np.concatenate([right[:1], right])
        after = np.concatenate([right, right[-1:]])
    middle = before + after
    mitre = middle * (2.0 / np.sum(middle * middle, axis=1, keepdims=True))
    return line + offset * mitre


def shortened(line: Floats, by: float) -> Floats:
    """An open path that starts and ends `by` metres later and earlier; a closed one as it is."""
    if is_closed(line):
        return line
    along, shorter = directions(line), line.copy()
    shorter[0] += by * along[0]
    shorter[-1] -= by * along[-1]
    return shorter


def stones(
    line: Floats, offsets: tuple[float, float], heights: tuple[float, float], *, length: float, joint: float
) -> Floats:
    """Blocks between two offsets and two heights, each about `length` long with a `joint` between: (12 n, 3, 3)."""
    left, right = beside(line, offsets[0]), beside(line, offsets[1])
    bodies = []
    for leg in range(len(line) - 1):
        size = float(np.linalg.norm(line[leg + 1] - line[leg]))
        count = max(1, round(size / length))
        first = (np.arange(count) + 0.5 * joint * count / size) / count
        last = (np.arange(count) + 1.0 - 0.5 * joint * count / size) / count
        corners = np.empty((count, 8, 3))
        for corner in range(8):
            share = (last if corner & 1 else first)[:, None]
            # a runs with the path, b to its left, c up.
            edge = left if corner >> 1 & 1 else right
            corners[:, corner, :2] = edge[leg] * (1.0 - share) + edge[leg + 1] * share
            corners[:, corner, 2] = heights[corner >> 2]
        bodies.append(corners)
    return hexahedra(np.concatenate(bodies))


def swept(line: Floats, profile: Sequence[tuple[float, float]]) -> Floats:
    """A profile of offsets and heights, given counterclockwise as seen by somebody who walks the path.

    The profile is convex; the ends are closed unless the path is.
    """
    outline = np.array(profile, dtype=float)
    rings = np.stack(
        [
            np.concatenate([beside(line, offset), np.full((len(line), 1), height)], axis=1)
            for offset, height in outline
        ],
        axis=1,
    )
    following = np.roll(rings, -1, axis=1)
    here, there = (rings[:-1], following[:-1]), (rings[1:], following[1:])
    corners = np.stack([here[0], there[0], there[1], here[1]], axis=2).reshape(-1, 4, 3)
    found = [corners[:, [0, 1, 2]], corners[:, [0, 2, 3]]]
    if not is_closed(line):
        step = np.arange(1, len(outline) - 1)
        caps = np.stack([np.zeros_like(step), step, step + 1], axis=1)
        found += [rings[0][caps], rings[-1][caps[:, ::-1]]]
    return np.concatenate(found)


def band(line: Floats, offsets: tuple[float, float], heights: tuple[float, float]) -> Floats:
    """A solid strip between two offsets and two heights."""
    (left, right), (low, high) = offsets, heights
    return swept(line, [(left, low), (right, low), (right, high), (left, high)])
