"""Masonry: bricks in their bond and coursed stones, as bodies that stand before the mortar they are bedded in.

In a wall's own frame: a along it, b up, c out of its face.

Source: the usual British work size of 215 x 102.5 x 65 mm with joints of 10 mm, hence coordinating sizes of 225, 112.5
and 75 mm, as brickwork dimension tables give them (firstinarchitecture.co.uk, standard brick sizes).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats
from preview.build.pile import of_quads, shades
from preview.build.solids import quads
from preview.script.models.pieces.buildings import Bond

LENGTH, WIDTH, HEIGHT, JOINT = 0.215, 0.1025, 0.065, 0.010
"""Of a brick, and of the mortar between two, metres."""
HALF, COURSE = WIDTH + JOINT, HEIGHT + JOINT
"""Half a brick's length and a course, each with a joint."""
SUNK = 0.006
"""How deep the joints are raked out, metres. Common practice, no source."""
ARRIS = 0.002
"""How far a brick's edges are rounded off."""
SMALLEST = 0.012
"""Cut bricks narrower than this are left to the mortar."""

SHORTEST = 0.07
"""Of a stone, metres."""

Profile = Callable[[Floats], tuple[Floats, Floats]]
"""Left and right end of a wall's face at heights (n,)."""


@dataclass(frozen=True)
class Units:
    """Bricks or stones on a face: left and right ends (n, 2) at their lower and upper edge, those (n,), tints (n, 3)."""

    left: Floats
    right: Floats
    low: Floats
    high: Floats
    tint: Floats

    def __len__(self) -> int:
        return len(self.low)

    def only(self, kept: NDArray[np.bool_] | NDArray[np.intp]) -> Units:
        """Some of them."""
        return Units(self.left[kept], self.right[kept], self.low[kept], self.high[kept], self.tint[kept])

    def within(self, profile: Profile) -> Units:
        """Cut off where the face ends; what lies past it is left out."""
        ends = [profile(self.low), profile(self.high)]
        first, last = (np.stack([end[side] for end in ends], axis=1) for side in (0, 1))
        left, right = np.clip(self.left, first, last), np.clip(self.right, first, last)
        cut = replace(self, left=left, right=right)
        return cut.only((right - left).max(axis=1) > SMALLEST)

    def around(self, holes: Sequence[Sequence[float]]) -> Units:
        """Cut by holes (a0, b0, a1, b1)."""
        units = self
        for a0, b0, a1, b1 in holes:
            met = (units.left.max(axis=1) < a1) & (units.right.min(axis=1) > a0)
            met &= (units.low < b1) & (units.high > b0)
            if not met.any():
                continue
            cut, rest = units.only(met), units.only(~met)
            low, high = np.maximum(cut.low, b0), np.minimum(cut.high, b1)
            pieces = [
                replace(cut, right=np.minimum(cut.right, a0), low=low, high=high),
                replace(cut, left=np.maximum(cut.left, a1), low=low, high=high),
                replace(cut, high=np.minimum(cut.high, b0)),
                replace(cut, low=np.maximum(cut.low, b1)),
            ]
            units = joined([rest, *pieces])
            big = (units.right - units.left).max(axis=1) > SMALLEST
            units = units.only(big & (units.high - units.low > SMALLEST))
        return units


def joined(pieces: Sequence[Units]) -> Units:
    """All those units."""
    return Units(
        *(
            np.concatenate([getattr(piece, field) for piece in pieces])
            for field in ("left", "right", "low", "high", "tint")
        )
    )


def _units(a0: Floats, a1: Floats, low: Floats, high: Floats, tint: Floats) -> Units:
    return Units(np.stack([a0, a0], axis=1), np.stack([a1, a1], axis=1), low, high, tint)


def bricks(a: tuple[float, float], b: tuple[float, float], bond: Bond, rng: np.random.Generator) -> Units:
    """Bricks over the ranges a and b: whole courses, and whole half bricks along a, each stretched to fit by a few mm."""
    halves = max(2, round((a[1] - a[0]) / HALF))
    unit = (a[1] - a[0]) / halves
    courses = max(1, round((b[1] - b[0]) / COURSE))
    rise = (b[1] - b[0]) / courses
    row = np.arange(courses)
    # Every course as a pattern of half bricks: where one starts, and how many it is long.
    if bond == "stretcher":
        lengths = [[2]]
        shift = np.where(row % 2, 1.0, 0.0)
    elif bond == "english":
        lengths = [[2], [1]]
        shift = np.where(row % 2, 0.5, 0.0)
    else:
        lengths = [[2, 1]]
        shift = np.where(row % 2, 1.5, 0.0)
    starts, sizes, rows = [], [], []
    for number in range(len(lengths)):
        mine = row[row % len(lengths) == number]
        pattern = np.array(lengths[number], float)
        period = pattern.sum()
        repeats = int(halves / period) + 3
        offsets = (np.arange(repeats)[:, None] * period + np.cumsum(pattern) - pattern).ravel() - period
        start = offsets[None, :] - shift[mine][:, None]
        starts.append(start.ravel())
        sizes.append(np.tile(np.tile(pattern, repeats), len(mine)))
        rows.append(np.repeat(mine, start.shape[1]))
    first, size, course = np.concatenate(starts), np.concatenate(sizes), np.concatenate(rows)
    kept = (first + size > 1e-6) & (first < halves - 1e-6)
    first, size, course = first[kept], size[kept], course[kept]
    left = a[0] + unit * np.maximum(first, 0.0) + 0.5 * JOINT
    right = a[0] + unit * np.minimum(first + size, halves) - 0.5 * JOINT
    left, right = np.where(first <= 1e-6, a[0], left), np.where(first + size >= halves - 1e-6, a[1], right)
    low = b[0] + rise * course + JOINT
    tint = shades(rng, len(left), light=0.20, hue=0.07)
    # Headers lay nearer the fire: some of them are burnt dark.
    burnt = (size == 1) & (rng.random(len(left)) < 0.22)
    tint[burnt] *= np.array([0.52, 0.50, 0.56])
    return _units(left, right, low, low + rise - JOINT, tint)


def soldiers(
    a: tuple[float, float], low: float, rng: np.random.Generator, *, height: float = LENGTH
) -> Units:
    """Bricks on end over an opening."""
    count = max(2, round((a[1] - a[0]) / COURSE))
    lines = np.linspace(a[0], a[1], count + 1)
    bottom = np.full(count, low)
    return _units(
        lines[:-1] + 0.5 * JOINT,
        lines[1:] - 0.5 * JOINT,
        bottom,
        bottom + height,
        shades(rng, count, light=0.16, hue=0.05),
    )


def stones(a: tuple[float, float], b: tuple[float, float], rng: np.random.Generator) -> Units:
    """Squared rubble brought to courses of unlike height, its stones of unlike length."""
    rises = 0.10 + 0.13 * rng.random(max(1, round((b[1] - b[0]) / 0.165)))
    lines = b[0] + np.concatenate([[0.0], np.cumsum(rises)]) * ((b[1] - b[0]) / rises.sum())
    across = int((a[1] - a[0]) / 0.16) + 4
    lengths = 0.16 + 0.30 * rng.random((len(rises), across)) ** 1.5
    ends = np.cumsum(lengths, axis=1) - 0.3 * rng.random((len(rises), 1))
    starts = ends - lengths
    joint = 0.014
    left = np.maximum(a[0] + starts + 0.5 * joint, a[0]).ravel()
    right = np.minimum(a[0] + ends - 0.5 * joint, a[1]).ravel()
    low, high = (np.repeat(line, across) for line in (lines[:-1] + joint, lines[1:]))
    # What would be a sliver at an end is left out, and its neighbour reaches as far.
    kept = right - left > SHORTEST
    left = np.where(left - a[0] < SHORTEST + joint, a[0], left)
    right = np.where(a[1] - right < SHORTEST + joint, a[1], right)
    low = low + 0.006 * (rng.random(len(low)) - 0.5)
    tint = shades(rng, len(left), light=0.17, hue=0.05)
    return _units(left[kept], right[kept], low[kept], high[kept], tint[kept])


def relief(
    units: Units, *, back: float, front: float, jitter: float, arris: float, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Bodies, without backs but at the ends of courses: triangles and tints; no face stands further out than `front`."""
    face = front - jitter * rng.random(len(units))
    tilt = 0.35 * jitter * (rng.random((len(units), 2)) - 0.5)
    (al0, al1), (ar0, ar1) = units.left.T, units.right.T
    inset = np.minimum(
        arris, 0.25 * np.minimum(units.high - units.low, (units.right - units.left).max(axis=1))
    )
    outer = _ring(al0, ar0, al1, ar1, units.low, units.high, np.full(len(units), back))
    slim = np.minimum(inset, 0.4 * np.minimum(ar0 - al0, ar1 - al1).clip(0.0))
    inner = _ring(al0 + slim, ar0 - slim, al1 + slim, ar1 - slim, units.low + inset, units.high - inset, face)
    inner[:, :, 2] += np.stack([tilt[:, 0], -tilt[:, 0], tilt[:, 1], -tilt[:, 1]], axis=1)
    inner[:, :, 2] = np.minimum(inner[:, :, 2], front)
    following = np.roll(np.arange(4), -1)
    sides = np.stack([outer, outer[:, following], inner[:, following], inner], axis=2)
    whole = np.concatenate([inner[:, None], sides], axis=1)
    # At a corner joints let look behind what lies at the end of its course.
    last = units.right.max(axis=1) > units.right.max(initial=-np.inf) - 1e-6
    last |= units.left.min(axis=1) < units.left.min(initial=np.inf) + 1e-6
    backs = quads(outer[last][:, ::-1])
    return (
        np.concatenate([quads(whole.reshape(-1, 4, 3)), backs]),
        np.concatenate([of_quads(units.tint, 5), of_quads(units.tint[last])]),
    )


def faces(units: Units, *, front: float) -> tuple[Floats, Floats]:
    """Flat faces alone: triangles (2 n, 3, 3) and their tints."""
    (al0, al1), (ar0, ar1) = units.left.T, units.right.T
    ring = _ring(al0, ar0, al1, ar1, units.low, units.high, np.full(len(units), front))
    return quads(ring), of_quads(units.tint)


def _ring(
    al0: Floats, ar0: Floats, al1: Floats, ar1: Floats, low: Floats, high: Floats, out: Floats
) -> Floats:
    """Corners (n, 4, 3), counterclockwise seen from outside."""
    return np.stack(
        [
            np.stack([al0, low, out], axis=1),
            np.stack([ar0, low, out], axis=1),
            np.stack([ar1, high, out], axis=1),
            np.stack([al1, high, out], axis=1),
        ],
        axis=1,
    )
