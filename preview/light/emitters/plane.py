"""Plane: where rays cross that of a flat source."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.light.vectors import column, dot

Array = NDArray[np.float32]


def crossing(points: Array, direction: Array, *, centre: Array, normal: Array) -> tuple[Array, Array, Array]:
    """Where rays from points (3, n) along unit directions (3, n) cross a plane from the side that its normal looks to.

    centre, normal (3, n or 1): a place on the plane and its unit normal. Returns the crossing less the centre (3, n),
    its distance (n,) m, inf where the ray never gets there from that side, and the cosine (n,) to the normal, 0 there.
    """
    cosine = -dot(np.broadcast_to(normal, direction.shape), direction)
    away = centre - points
    ahead = -dot(np.broadcast_to(normal, away.shape), away)
    crosses = (cosine > 0.0) & (ahead > 0.0)
    distance = np.where(crosses, ahead / np.where(crosses, cosine, np.float32(1.0)), np.float32(np.inf))
    offset = np.where(crosses, distance, np.float32(0.0)) * direction - away
    return offset, np.asarray(distance, np.float32), np.where(crosses, cosine, np.float32(0.0))


def within(
    offset: Array,
    *,
    width: NDArray[np.float64],
    height: NDArray[np.float64],
    half_size: tuple[float, float],
) -> tuple[Array, Array]:
    """The crossing (3, n) across and up a rectangle of half size `half_size` m, both -1 to 1 (n,) inside it."""
    return (
        (column(width / half_size[0]).T @ offset)[0],
        (column(height / half_size[1]).T @ offset)[0],
    )
