"""Lattice: a rectangle of country cut into triangles, small near the eyes and large far off, without cracks.

Cells are squares of powers of two metres that lie on one lattice of the world. One is cut in four while it is larger than
what its distance from the nearest eye allows; that grows so slowly that neighbours differ by no more than one cut, and the
vertex in the middle of a coarser cell's side joins it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats, Indices

Integers = NDArray[np.int64]


@dataclass(frozen=True)
class Fineness:
    """How large cells may be: `least` m, `near` of their distance up to `reach` m from an eye, beyond it `far` of the rest.

    `near` and `far` stay below 0.7, or neighbours would differ by more than one cut.
    """

    least: float
    near: float
    reach: float
    far: float

    def allowed(self, distance: Floats) -> Floats:
        """The largest side of a cell (n,) whose nearest place lies so far (n,) from the nearest eye, metres."""
        fine = np.maximum(self.least, self.near * np.minimum(distance, self.reach))
        return np.asarray(fine + self.far * np.maximum(distance - self.reach, 0.0))


def lattice(
    low: Floats,
    high: Floats,
    eyes: Floats,
    fineness: Fineness,
    left_out: Callable[[Floats, Floats], NDArray[np.bool_]] | None = None,
) -> tuple[Floats, Indices]:
    """Plan points (n, 2) and triangles (m, 3), counterclockwise from above, of the rectangle between two corners (2,).

    eyes (k, 3): places in metres whose height is over the ground. `left_out` of the corners (n, 2) of cells tells which
    are not wanted. The points are in no order; each is there once.
    """
    unit = 2.0 ** np.floor(np.log2(fineness.least))
    corner, side = _cells(low, high, eyes, fineness, unit)
    if left_out is not None:
        start = np.maximum(corner * unit, low)
        stop = np.minimum((corner + side[:, None]) * unit, high)
        wanted = ~left_out(start, stop)
        corner, side = corner[wanted], side[wanted]
    points, faces = _joined(corner, side)
    plan = points * unit
    beyond = ((plan < low) | (plan > high)).any(axis=1)
    if beyond.any():
        plan = np.clip(plan, low, high)
        # What was beyond the border has become a sliver on it.
        cut = np.flatnonzero(beyond[faces].any(axis=1))
        a, b, c = (plan[faces[cut, k]] for k in range(3))
        area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
        faces = np.delete(faces, cut[area <= 1e-9], axis=0)
    used = np.zeros(len(plan), bool)
    used[faces] = True
    return plan[used], (np.cumsum(used) - 1)[faces].astype(np.int32)


def _cells(
    low: Floats, high: Floats, eyes: Floats, fineness: Fineness, unit: float
) -> tuple[Integers, Integers]:
    """Corners (n, 2) and sides (n,) of cells that meet a rectangle, in units."""
    widest = max(32.0, float((high - low).max()) / 64)
    side = 2 ** int(np.ceil(np.log2(widest / unit)))
    first = np.floor(low / (side * unit)).astype(np.int64)
    last = np.ceil(high / (side * unit)).astype(np.int64)
    east, north = np.meshgrid(np.arange(first[0], last[0]), np.arange(first[1], last[1]))
    open_cells = side * np.stack([east.ravel(), north.ravel()], axis=1)
    corners, sides = [], []
    quarters = np.array([[0, 0], [1, 0], [0, 1], [1, 1]])
    while len(open_cells):
        near = np.maximum(open_cells * unit, low), np.minimum((open_cells + side) * unit, high)
        meets = (near[1] > near[0]).all(axis=1)
        open_cells = open_cells[meets]
        large = np.zeros(len(open_cells), bool)
        if side > 1 and len(eyes):
            large = side * unit > fineness.allowed(_distance(open_cells * unit, side * unit, eyes))
        corners.append(open_cells[~large])
        sides.append(np.full(len(corners[-1]), side))
        side //= 2
        open_cells = (open_cells[large][:, None] + side * quarters).reshape(-1, 2)
    return np.concatenate(corners), np.concatenate(sides)


def _distance(corner: Floats, side: float, eyes: Floats) -> Floats:
    """From the nearest place of each square (n,) to the nearest eye, metres."""
    nearest = np.full(len(corner), np.inf)
    for eye in eyes:
        away = np.maximum(np.maximum(corner - eye[:2], eye[:2] - corner - side), 0.0)
        nearest = np.minimum(nearest, np.sqrt(away[:, 0] ** 2 + away[:, 1] ** 2 + eye[2] ** 2))
    return nearest


def _joined(corner: Integers, side: Integers) -> tuple[Floats, Integers]:
    """Points (n, 2) in units, and triangles (m, 3), of cells that meet without a crack."""
    around = np.array([[0, 0], [1, 0], [1, 1], [0, 1]])
    # Doubled, so that the middles of the least cells are whole numbers.
    corners = 2 * (corner[:, None] + side[:, None, None] * around)
    middles = (corners + np.roll(corners, -1, axis=1)) // 2
    centres = corners[:, 0] + side[:, None]
    least = corners.reshape(-1, 2).min(axis=0) - 2
    stride = int(corners.reshape(-1, 2).max() - least.min()) + 4

    def key(points: Integers) -> Integers:
        return (points[..., 0] - least[0]) * stride + (points[..., 1] - least[1])

    known, number = np.unique(key(corners).reshape(-1), return_inverse=True)
    number = number.reshape(-1, 4)
    place = np.searchsorted(known, key(middles)).clip(max=len(known) - 1)
    hanging = known[place] == key(middles)
    plain = ~hanging.any(axis=1)
    # Diagonals alternate, so that no grain runs across the whole.
    other = (((corner // side[:, None]).sum(axis=1) % 2) == 1)[plain]
    a, b, c, d = number[plain].T
    faces = [
        np.stack([a, b, np.where(other, d, c)], axis=1),
        np.stack([np.where(other, b, a), c, d], axis=1),
    ]
    fans = np.flatnonzero(~plain)
    centre = len(known) + np.arange(len(fans))
    for edge in range(4):
        start, stop = number[fans, edge], number[fans, (edge + 1) % 4]
        cut, middle = hanging[fans, edge], place[fans, edge]
        faces += [
            np.stack([centre[~cut], start[~cut], stop[~cut]], axis=1),
            np.stack([centre[cut], start[cut], middle[cut]], axis=1),
            np.stack([centre[cut], middle[cut], stop[cut]], axis=1),
        ]
    points = np.stack([known // stride, known % stride], axis=1) + least
    points = np.concatenate([points, centres[fans]])
    return points / 2.0, np.concatenate(faces)
