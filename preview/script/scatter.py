"""Scatter: points strewn over a piece of land by chance, yet no two too near each other."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Polygon = tuple[tuple[float, float], ...]

TRIES = 30
"""Candidates a point before the land is taken to be full, and points may stand a little nearer."""
CLOSER = 0.93
ROUNDS = 60
"""After so many, what is left stands on the border: the land is a sliver that no dart finds."""


def inside(points: Floats, polygon: Floats) -> NDArray[np.bool_]:
    """Which of points (n, 2) lie in a polygon (k, 2): a ray to the east crosses its border an odd number of times."""
    within = np.zeros(len(points), bool)
    x, y = points[:, 0], points[:, 1]
    for (ax, ay), (bx, by) in zip(polygon, np.roll(polygon, -1, axis=0), strict=True):
        between = (ay > y) != (by > y)
        if ay != by:
            within ^= between & (x < ax + (y - ay) * ((bx - ax) / (by - ay)))
    return within


@lru_cache(maxsize=64)
def strewn(polygon: Polygon, count: int, apart: float | None, seed: int) -> Floats:
    """Places (count, 2) in a polygon, the same for the same seed; read-only.

    Each stands at least `apart` metres from every other (None: as far as suits the count). Where there is no room for
    so many, all stand nearer. Darts are thrown until enough hold: a Poisson-disc pattern.
    Source: R. Cook, Stochastic sampling in computer graphics, ACM Trans. Graphics 5 (1986).
    """
    corners = np.array(polygon, float)
    low, high = corners.min(axis=0), corners.max(axis=0)
    turned = np.roll(corners, -1, axis=0)
    area = 0.5 * abs(float(np.sum(corners[:, 0] * turned[:, 1] - turned[:, 0] * corners[:, 1])))
    apart = max(apart if apart is not None else 0.7 * (area / count) ** 0.5, 1e-6)
    random = np.random.default_rng([seed & 0xFFFFFFFF, 4])
    places: list[tuple[float, float]] = []
    for _ in range(ROUNDS):
        cells: dict[tuple[int, int], list[tuple[float, float]]] = {}
        for place in places:
            cells.setdefault((int(place[0] // apart), int(place[1] // apart)), []).append(place)
        draws = low + (high - low) * random.random((TRIES * count, 2))
        for x, y in draws[inside(draws, corners)].tolist():
            column, row = int(x // apart), int(y // apart)
            near = (
                other
                for i in (column - 1, column, column + 1)
                for j in (row - 1, row, row + 1)
                for other in cells.get((i, j), ())
            )
            if all((x - a) ** 2 + (y - b) ** 2 >= apart * apart for a, b in near):
                places.append((x, y))
                cells.setdefault((column, row), []).append((x, y))
                if len(places) == count:
                    break
        if len(places) == count:
            break
        apart *= CLOSER
    found = np.concatenate([np.array(places).reshape(-1, 2), _on_border(corners, count - len(places))])
    found.flags.writeable = False
    return found


def _on_border(corners: Floats, count: int) -> Floats:
    """Places (count, 2) at even steps along a polygon's border."""
    closed = np.concatenate([corners, corners[:1]])
    travelled = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    steps = travelled[-1] * (np.arange(count) + 0.5) / max(count, 1)
    return np.stack([np.interp(steps, travelled, closed[:, axis]) for axis in range(2)], axis=1)
