"""Stones: pebbles strewn near the eyes, and setts laid in rows, each a little unlike the next.

Stones are where they are whatever looks at them: eyes only tell how many are built, and how finely.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.build.chance import drawn
from preview.build.mesh import Floats, Indices, Part

Heights = Callable[[Floats, Floats], Floats]

PEBBLES_REACH = 9.0
"""Metres from an eye within which pebbles lie; the smallest are there only within a third of that."""
MOST_PEBBLES = 20_000
PER_SQUARE = 190
"""Pebbles on a square metre of gravel that stand out of the rest."""
SMALLEST, LARGEST = 0.006, 0.022
"""Half the length of a pebble, metres."""

SETT, ROW = (0.095, 0.135), 0.105
"""Length of a sett, least and most, and from one row to the next, metres. Common practice, no source: 10 cm setts."""
JOINT = 0.011
DEEP = 0.016
"""How far the sand in the joints lies below the middle of a sett's head, metres."""
DOME = 0.0045
"""How much higher the middle of a sett's head is than its edges."""
SETTS_REACH = 14.0
MOST_SETTS = 45_000
LEVELS = ((3.2, 4), (6.5, 3), (np.inf, 2))
"""Up to how far from an eye a sett has so many points along each side of its head."""


@dataclass(frozen=True)
class Rows:
    """Where setts lie: how far along a row and across the rows, metres; `world` turns the two into plan x and y."""

    along: tuple[float, float]
    across: tuple[float, float]
    world: Callable[[Floats, Floats], tuple[Floats, Floats]]


def nearest_eye(x: Floats, y: Floats, eyes: Floats) -> Floats:
    """Distance (n,) in metres from plan points on the ground to the nearest of eyes (k, 3), heights over the ground."""
    nearest = np.full(np.shape(x), np.inf)
    for eye in eyes:
        nearest = np.minimum(nearest, np.sqrt((x - eye[0]) ** 2 + (y - eye[1]) ** 2 + eye[2] ** 2))
    return nearest


def pebbles(
    name: str,
    material: str,
    low: Floats,
    high: Floats,
    eyes: Floats,
    height: Heights,
    wanted: Callable[[Floats, Floats], NDArray[np.bool_]],
    *,
    wet: float,
) -> list[Part]:
    """Stones of a few shades that lie half sunk on ground of that `height`, in a rectangle, where they are `wanted`."""
    cells = _squares_near(low, high, eyes, PEBBLES_REACH)
    if len(cells) == 0:
        return []
    number = np.arange(PER_SQUARE)
    i, j, k = (
        np.broadcast_to(a, (len(cells), PER_SQUARE)).ravel() for a in (cells[:, :1], cells[:, 1:], number)
    )
    east, north, rank, size, turn, flat, shade, hue = drawn(8, i, j, k)
    x, y = i + east, j + north
    away = nearest_eye(x, y, eyes)
    half = SMALLEST * (LARGEST / SMALLEST) ** (size**1.8)
    # The small ones are only worth their triangles close by.
    share = np.clip(1.0 - away / PEBBLES_REACH, 0.0, 1.0) ** 1.5
    kept = (away < PEBBLES_REACH * half / LARGEST * 2.2) & (rank < 1.2 * share)
    kept &= (x > low[0]) & (x < high[0]) & (y > low[1]) & (y < high[1])
    kept = np.flatnonzero(kept)
    kept = kept[wanted(x[kept], y[kept])]
    kept = kept[np.argsort(away[kept], kind="stable")][:MOST_PEBBLES]
    if len(kept) == 0:
        return []
    x, y, half, turn, flat, shade, hue = (values[kept] for values in (x, y, half, turn, flat, shade, hue))
    vertices, faces = _pebble()
    shape = np.stack([1.0 + 0.0 * flat, 0.62 + 0.34 * flat, 0.4 + 0.3 * (1.0 - flat)], axis=1)
    wobble = 1.0 + 0.24 * (drawn(len(vertices), i[kept], j[kept], k[kept]).T - 0.5)
    points = vertices * wobble[:, :, None] * shape[:, None] * half[:, None, None]
    cosine, sine = np.cos(2 * np.pi * turn)[:, None], np.sin(2 * np.pi * turn)[:, None]
    placed = np.stack(
        [
            cosine * points[..., 0] - sine * points[..., 1] + x[:, None],
            sine * points[..., 0] + cosine * points[..., 1] + y[:, None],
            points[..., 2] + (height(x, y) - 0.12 * half)[:, None],
        ],
        axis=-1,
    )
    light = 0.62 + 0.9 * shade**1.6
    tint = np.stack([light * (1.0 + 0.1 * (hue - 0.5)), light, light * (1.0 - 0.16 * (hue - 0.5))], axis=1)
    return [_many(f"{name}.pebbles", material, placed, faces, tint, wet)]


def setts(
    name: str,
    material: str,
    rows: Rows,
    eyes: Floats,
    height: Heights,
    wanted: Callable[[Floats, Floats], NDArray[np.bool_]],
    *,
    wet: float,
    seed: int = 1,
) -> list[Part]:
    """Setts whose heads lie on ground of that `height`, in rows near the eyes; past `reach_of_setts` they are flat."""
    first, last = int(np.ceil(rows.across[0] / ROW)), int(np.floor(rows.across[1] / ROW))
    if not len(eyes) or last <= first:
        return []
    mean = 0.5 * (SETT[0] + SETT[1])
    columns = np.arange(int(np.floor(rows.along[0] / mean)) - 1, int(np.ceil(rows.along[1] / mean)) + 1)
    # Rows first, each asked where it comes near an eye at all, so that a long street costs no more than a short one.
    row, column = _near_eyes(rows, np.arange(first, last), columns, mean, eyes)
    if len(row) == 0:
        return []
    shift, start = drawn(2, row, column, seed), drawn(1, row, seed)[0]
    following = drawn(1, row, column + 1, seed)[0]
    spread = SETT[1] - SETT[0]
    left = (column + start) * mean + 0.5 * spread * (shift[0] - 0.5)
    right = (column + 1 + start) * mean + 0.5 * spread * (following - 0.5)
    left = np.asarray(np.maximum(left, rows.along[0]), float)
    right = np.asarray(np.minimum(right, rows.along[1]), float)
    across: Floats = np.asarray((row + 0.5) * ROW, dtype=np.float64)
    x, y = rows.world(0.5 * (left + right), across)
    away = nearest_eye(x, y, eyes)
    kept = np.flatnonzero((right - left > 0.04) & (away < reach_of_setts(eyes)))
    kept = kept[wanted(x[kept], y[kept])]
    parts = []
    begin = 0.0
    for within, side in LEVELS:
        some = kept[(away[kept] >= begin) & (away[kept] < within)]
        begin = within
        if len(some):
            parts.append(
                _setts(
                    name,
                    material,
                    rows,
                    row[some],
                    left[some],
                    right[some],
                    away[some],
                    eyes,
                    height,
                    side,
                    wet,
                )
            )
    return parts


def reach_of_setts(eyes: Floats) -> float:
    """Metres from an eye up to which setts are built, so that there are not too many of them."""
    area = max(1, len(eyes)) * np.pi * SETTS_REACH**2
    count = area / (ROW * 0.5 * (SETT[0] + SETT[1]))
    return float(SETTS_REACH * min(1.0, np.sqrt(MOST_SETTS / count) * 1.0))


def sunk_between_setts(away: Floats, eyes: Floats) -> Floats:
    """How far (n,) m the bed of setts lies below their heads, so far from the nearest eye: nothing where there are none."""
    reach = reach_of_setts(eyes)
    return np.asarray(DEEP * np.clip((reach - away) / (0.35 * reach), 0.0, 1.0))


def _near_eyes(
    rows: Rows, across: NDArray[np.int64], along: NDArray[np.int64], mean: float, eyes: Floats
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Numbers of the rows and columns of setts that lie within reach of an eye, in blocks of 8 by 8."""
    reach, block = reach_of_setts(eyes), 8
    big_row, big_column = np.meshgrid(across[::block], along[::block], indexing="ij")
    middle_along: Floats = np.asarray((big_column.ravel() + 0.5 * block) * mean, dtype=np.float64)
    middle_across: Floats = np.asarray((big_row.ravel() + 0.5 * block) * ROW, dtype=np.float64)
    x, y = rows.world(middle_along, middle_across)
    near = nearest_eye(x, y, eyes) < reach + block * mean
    inner = np.arange(block)
    row = (big_row.ravel()[near][:, None, None] + inner[None, :, None] + 0 * inner[None, None, :]).ravel()
    column = (
        big_column.ravel()[near][:, None, None] + 0 * inner[None, :, None] + inner[None, None, :]
    ).ravel()
    within = (row <= across[-1]) & (column <= along[-1])
    return row[within], column[within]


def _setts(
    name: str,
    material: str,
    rows: Rows,
    row: NDArray[np.int64],
    left: Floats,
    right: Floats,
    away: Floats,
    eyes: Floats,
    height: Heights,
    side: int,
    wet: float,
) -> Part:
    """Setts of `side` by `side` points on each head, with a skirt down into the joints."""
    chance = drawn(9, row, np.round(left * 1e4).astype(np.int64), 7)
    share = np.linspace(-1.0, 1.0, side)
    v, u = (grid.ravel() for grid in np.meshgrid(share, share, indexing="ij"))
    ring = _ring(side)
    u, v = np.concatenate([u, u[ring]]), np.concatenate([v, v[ring]])
    skirt = np.arange(len(u)) >= side * side
    half = 0.5 * (right - left) - 0.5 * JOINT
    deep = 0.5 * (ROW - JOINT) * (0.86 + 0.14 * chance[0])
    # Corners are worn round.
    worn = 1.0 - 0.09 * (np.abs(u) ** 3 * np.abs(v) ** 3)
    # Hewn by hand: no sett is square, none lies quite along its row.
    skew, taper, turn = (0.16 * (chance[6:9] - 0.5))[..., None]
    along = (
        (0.5 * (left + right))[:, None]
        + half[:, None] * worn * u * (1.0 + skew * v)
        + deep[:, None] * turn * v
    )
    across = (
        (row + 0.5)[:, None] * ROW + deep[:, None] * worn * v * (1.0 + taper * u) - half[:, None] * turn * u
    )
    across = across + (0.008 * (chance[5] - 0.5))[:, None]
    x, y = rows.world(along, across)
    fade = sunk_between_setts(away, eyes) / DEEP
    dome = -DOME * 0.5 * (np.abs(u) ** 5 + np.abs(v) ** 5)
    tilt = (
        0.02 * (chance[1] - 0.5)[:, None] * u * half[:, None]
        + 0.02 * (chance[2] - 0.5)[:, None] * v * deep[:, None]
    )
    up = fade[:, None] * (dome + tilt + (0.005 * (chance[3] - 0.7))[:, None])
    up = np.where(skirt, -fade[:, None] * DEEP - 0.012, up)
    points = np.stack([x, y, height(x.ravel(), y.ravel()).reshape(x.shape) + up], axis=-1)
    light = 0.78 + 0.5 * chance[3] ** 1.3
    tint = np.stack(
        [light * (1.0 + 0.07 * (chance[4] - 0.5)), light, light * (1.0 - 0.09 * (chance[4] - 0.5))], axis=1
    )
    return _many(f"{name}.setts", material, points, _head(side), tint, wet)


def _ring(side: int) -> NDArray[np.int64]:
    """Numbers of the points round the edge of a square of side by side points, counterclockwise from above."""
    number = np.arange(side * side).reshape(side, side)
    return np.concatenate([number[0, :-1], number[:-1, -1], number[-1, :0:-1], number[:0:-1, 0]])


def _head(side: int) -> Indices:
    """Faces of a sett: its head, and the skirt whose points follow the head's."""
    number = np.arange(side * side).reshape(side, side)
    a, b, c, d = (number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1])
    top = np.stack([a, b, c, a, c, d], axis=-1).reshape(-1, 3)
    ring = _ring(side)
    foot = side * side + np.arange(len(ring))
    after = np.roll(ring, -1), np.roll(foot, -1)
    skirt = np.stack([ring, foot, after[1], ring, after[1], after[0]], axis=-1).reshape(-1, 3)
    return np.concatenate([top, skirt]).astype(np.int32)


def _pebble() -> tuple[Floats, Indices]:
    """The upper part of a ball: a top, a ring of five, a ring of seven that is in the ground."""
    rings = [(0.0, 1.0, 1), (0.72, 0.66, 5), (1.0, 0.0, 6)]
    points: list[tuple[float, float, float]] = []
    starts: list[int] = []
    for number, (radius, up, count) in enumerate(rings):
        starts.append(len(points))
        for step in range(count):
            angle = 2.0 * np.pi * (step + 0.5 * (number % 2)) / count
            points.append((radius * np.cos(angle), radius * np.sin(angle), up))
    faces = [(0, 1 + step, 1 + (step + 1) % 5) for step in range(5)]
    inner, outer = starts[1], starts[2]
    # Between five and six points: one outer edge for each inner one, and one more.
    steps = sorted([((s + 0.5) / 5, 0, s) for s in range(5)] + [((s + 0.5) / 6, 1, s) for s in range(6)])
    a, b = inner + 0, outer + 0
    for _, which, s in steps:
        if which == 0:
            following = inner + (s + 1) % 5
            faces.append((a, b, following))
            a = following
        else:
            following = outer + (s + 1) % 6
            faces.append((a, b, following))
            b = following
    return np.array(points), np.array(faces, np.int32)


def _many(name: str, material: str, points: Floats, faces: Indices, tint: Floats, wet: float) -> Part:
    """One part of n bodies alike in faces: points (n, k, 3), tint (n, 3); shaded round."""
    count, each = points.shape[:2]
    # The same point of all bodies lies together, which adds up several times as fast.
    corner = np.ascontiguousarray(points.swapaxes(0, 1))
    normals = np.zeros_like(corner)
    for a, b, c in faces:
        (x1, y1, z1), (x2, y2, z2) = (corner[b] - corner[a]).T, (corner[c] - corner[a]).T
        cross = np.stack([y1 * z2 - z1 * y2, z1 * x2 - x1 * z2, x1 * y2 - y1 * x2], axis=1)
        for vertex in (a, b, c):
            normals[vertex] += cross
    normals /= np.maximum(np.linalg.norm(normals, axis=2, keepdims=True), 1e-30)
    normals = normals.swapaxes(0, 1)
    numbered = faces[None] + (each * np.arange(count, dtype=np.int32))[:, None, None]
    return Part(
        name,
        material,
        points.reshape(-1, 3),
        numbered.reshape(-1, 3).astype(np.int32),
        normals.reshape(-1, 3),
        wet,
        np.repeat(tint, each, axis=0).astype(np.float32),
    )


def _squares_near(low: Floats, high: Floats, eyes: Floats, reach: float) -> NDArray[np.int64]:
    """Square metres of the world (n, 2), by their south-west corners, that lie in a rectangle and near an eye."""
    found = []
    for eye in eyes:
        if eye[2] > reach:
            continue
        first = np.floor(np.maximum(eye[:2] - reach, low)).astype(np.int64)
        last = np.ceil(np.minimum(eye[:2] + reach, high)).astype(np.int64)
        if (last > first).all():
            east, north = np.meshgrid(np.arange(first[0], last[0]), np.arange(first[1], last[1]))
            found.append(np.stack([east.ravel(), north.ravel()], axis=1))
    return np.unique(np.concatenate(found), axis=0) if found else np.zeros((0, 2), np.int64)
