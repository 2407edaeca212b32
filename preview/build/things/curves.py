"""Curves: smooth lines through points, and shapes blended without a crease, of which bodies are made."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from preview.build.mesh import Floats

Curve = Callable[[Floats], Floats]


def spline(points: Sequence[tuple[float, float]]) -> Curve:
    """A natural cubic spline through points (x, y) with rising x; straight on beyond its ends."""
    x, y = np.array(points, dtype=float).T
    step = np.diff(x)
    count = len(x)
    system, right = np.eye(count), np.zeros(count)
    for i in range(1, count - 1):
        system[i, i - 1 : i + 2] = step[i - 1], 2.0 * (step[i - 1] + step[i]), step[i]
        right[i] = 6.0 * ((y[i + 1] - y[i]) / step[i] - (y[i] - y[i - 1]) / step[i - 1])
    bend = np.linalg.solve(system, right)
    slope = np.diff(y) / step - step * (2.0 * bend[:-1] + bend[1:]) / 6.0
    last = slope[-1] + step[-1] * (bend[-2] + bend[-1]) / 2.0

    def at(where: Floats) -> Floats:
        piece = np.clip(np.searchsorted(x, where, side="right") - 1, 0, count - 2)
        t = np.clip(where, x[0], x[-1]) - x[piece]
        inside = y[piece] + t * (
            slope[piece] + t * (bend[piece] / 2.0 + t * (bend[piece + 1] - bend[piece]) / (6.0 * step[piece]))
        )
        return np.asarray(
            inside + np.minimum(where - x[0], 0.0) * slope[0] + np.maximum(where - x[-1], 0.0) * last
        )

    return at


def smooth_max(a: Floats, b: Floats, width: float) -> Floats:
    """The larger of two, rounded over `width` where they meet, with a continuous curvature: a highlight has no kink."""
    near = np.maximum(width - np.abs(a - b), 0.0) / width
    return np.asarray(np.maximum(a, b) + near**3 * (width / 6.0))


def smooth_min(a: Floats, b: Floats, width: float) -> Floats:
    return -smooth_max(-a, -b, width)


def rounded_polygon(
    corners: Sequence[tuple[float, float]], radius: float
) -> Callable[[Floats, Floats], Floats]:
    """How deep (n,) points of a plane lie inside a polygon with corners of that radius; negative outside, metres.

    Source: the distance to a polygon by its edges and winding, from memory; rounded by shrinking it first.
    """
    line = np.array(corners, dtype=float)
    centre = line.mean(axis=0)
    area = np.sum(line[:, 0] * np.roll(line[:, 1], -1) - np.roll(line[:, 0], -1) * line[:, 1])
    if area < 0:
        line = line[::-1]
    # Each edge moves inwards by the radius; corners are where neighbours meet again.
    edge = np.roll(line, -1, axis=0) - line
    edge /= np.linalg.norm(edge, axis=1, keepdims=True)
    inward = np.stack([-edge[:, 1], edge[:, 0]], axis=1)
    before, before_in = np.roll(edge, 1, axis=0), np.roll(inward, 1, axis=0)
    half = (before_in + inward) / (1.0 + np.sum(before_in * inward, axis=1, keepdims=True))
    del before, centre
    small = line + radius * half

    def depth(u: Floats, v: Floats) -> Floats:
        nearest = np.full(np.shape(u), np.inf)
        odd = np.zeros(np.shape(u), bool)
        for (ax, ay), (bx, by) in zip(small, np.roll(small, -1, axis=0), strict=True):
            ex, ey = bx - ax, by - ay
            along = np.clip(((u - ax) * ex + (v - ay) * ey) / (ex * ex + ey * ey), 0.0, 1.0)
            nearest = np.minimum(nearest, (u - ax - along * ex) ** 2 + (v - ay - along * ey) ** 2)
            if ay != by:
                crosses = (ay > v) != (by > v)
                odd ^= crosses & (u < ax + (v - ay) / (by - ay) * ex)
        distance = np.sqrt(nearest)
        return np.asarray(radius + np.where(odd, distance, -distance))

    return depth
