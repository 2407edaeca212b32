"""Frustum: the pyramid of space that a view's frame takes in: what lies in it, how far out, how to leave it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.camera.view import View

Floats = NDArray[np.float64]

NEAR = 0.01
"""Metres in front of the lens where the pyramid is taken to begin."""
SIDES = ("left", "right", "top", "bottom")


@dataclass(frozen=True)
class Clearance:
    """How far outside the frame something is: at the lens, and as the nearest way into view.

    `side`: the frame's side that it is nearest to.
    """

    degrees: float
    metres: float
    side: str


@dataclass(frozen=True)
class Move:
    """A straight move by `metres` along a named direction, after which the thing is out of frame."""

    direction: str
    metres: float


def outward_normals(view: View) -> Floats:
    """Unit normals (4, 3) of the pyramid's sides in the order of SIDES, pointing out of it."""
    forward, wide, high = view.forward, view.tan_half_width, view.tan_half_height
    normals = np.array(
        [
            -view.right - wide * forward,
            view.right - wide * forward,
            view.up - high * forward,
            -view.up - high * forward,
        ]
    )
    return normals / np.linalg.norm(normals, axis=1, keepdims=True)


def outside(view: View, points: Floats) -> Floats:
    """Signed metres (n, 4) from each side's plane to points (n, 3); positive is outside."""
    return (points - view.position) @ outward_normals(view).T


def in_front(view: View, triangles: Floats) -> Floats:
    """The parts of triangles (m, 3, 3) that lie before the lens, as triangles (k, 3, 3)."""
    return _clipped(triangles, view.forward, float(view.position @ view.forward) + NEAR)


def in_frame(view: View, triangles: Floats) -> Floats:
    """The parts of triangles (m, 3, 3) that lie inside the frame, as triangles (k, 3, 3)."""
    left = in_front(view, triangles)
    for normal in outward_normals(view):
        left = _clipped(left, -normal, -float(view.position @ normal))
    return left


def _clipped(triangles: Floats, normal: Floats, offset: float) -> Floats:
    """The parts of triangles (m, 3, 3) with normal . p >= offset, as triangles (k, 3, 3)."""
    heights = triangles @ normal - offset
    inside = heights >= 0.0
    count = inside.sum(axis=1)
    whole = triangles[count == 3]
    cut: list[Floats] = []
    crossing = (count > 0) & (count < 3)
    for triangle, height in zip(triangles[crossing], heights[crossing], strict=True):
        polygon: list[Floats] = []
        for i in range(3):
            here, there = triangle[i], triangle[(i + 1) % 3]
            if height[i] >= 0:
                polygon.append(here)
            if (height[i] >= 0) != (height[(i + 1) % 3] >= 0):
                polygon.append(here + (there - here) * (height[i] / (height[i] - height[(i + 1) % 3])))
        cut += [np.array([polygon[0], polygon[i], polygon[i + 1]]) for i in range(1, len(polygon) - 1)]
    return np.concatenate([whole, np.array(cut).reshape(-1, 3, 3)])


def clearance(view: View, points: Floats) -> Clearance:
    """How far the nearest of points (n, 3), all out of frame, is from coming into it.

    The nearest place of the pyramid lies straight below the point on one of its sides, else on one of the four
    rays through the frame's corners, else at the lens.
    """
    away = points - view.position
    distance = np.linalg.norm(away, axis=1)
    beyond = outside(view, points)
    best = Clearance(np.inf, np.inf, SIDES[0])
    for side, normal in enumerate(outward_normals(view)):
        foot = away - beyond[:, side : side + 1] * normal
        others = np.delete(outside(view, foot + view.position), side, axis=1)
        over = (others <= 1e-9).all(axis=1) & (foot @ view.forward > 0) & (beyond[:, side] >= 0)
        best = _nearer(best, beyond[over, side], distance[over], SIDES[side])
    corners = view.directions(np.array([[0, 0], [0, 1], [1, 0], [1, 1]], np.float32)).astype(np.float64)
    for corner, direction in enumerate(corners):
        along = away @ direction
        off = np.sqrt(np.maximum(distance**2 - np.maximum(along, 0.0) ** 2, 0.0))
        degrees = np.degrees(np.arccos(np.clip(along / np.maximum(distance, 1e-9), -1.0, 1.0)))
        side_name = SIDES[0] if corner < 2 else SIDES[1]
        best = Clearance(
            min(best.degrees, float(degrees.min())),
            min(best.metres, float(off.min())),
            side_name if degrees.min() < best.degrees else best.side,
        )
    return best


def _nearer(best: Clearance, metres: Floats, distance: Floats, side: str) -> Clearance:
    if not len(metres):
        return best
    degrees = np.degrees(np.arcsin(np.clip(metres / np.maximum(distance, 1e-9), 0.0, 1.0)))
    return Clearance(
        min(best.degrees, float(degrees.min())),
        min(best.metres, float(metres.min())),
        side if degrees.min() < best.degrees else best.side,
    )


def world_directions(view: View) -> dict[str, Floats]:
    """The ways that rigging moves: level to either hand, level towards or away, straight up or down."""
    level = np.array([view.right[0], view.right[1], 0.0])
    if np.linalg.norm(level) < 1e-6:
        level = np.array([1.0, 0.0, 0.0])
    level /= np.linalg.norm(level)
    away = np.array([-level[1], level[0], 0.0])
    up = np.array([0.0, 0.0, 1.0])
    return {
        "camera left": -level,
        "camera right": level,
        "up": up,
        "down": -up,
        "away from the camera": away,
        "towards the camera": -away,
    }


def shortest_move(
    view: View,
    triangles: Floats,
    directions: Mapping[str, Floats],
    *,
    limits: Mapping[str, float] | None = None,
) -> Move | None:
    """The shortest of the straight moves that takes triangles (m, 3, 3) wholly out of the frame.

    `directions`: unit vectors by name; `limits`: the metres that each may go, where there is a limit. The move
    is rounded up to the next 0.1 m. None when no direction leads out.
    """
    front = in_front(view, triangles).reshape(-1, 3)
    every = triangles.reshape(-1, 3)
    best: Move | None = None
    for name, direction in directions.items():
        # A move that goes forward may bring in what is now behind the lens, so there every corner counts.
        points = every if direction @ view.forward > 1e-6 else front
        gain = outward_normals(view) @ direction
        depth = (-outside(view, points)).max(axis=0)
        for side in range(4):
            if gain[side] < 0.05:
                continue
            metres = float(np.ceil((max(depth[side], 0.0) / gain[side] + 0.02) * 10.0 - 1e-9) / 10.0)
            if metres <= (limits or {}).get(name, np.inf) and (best is None or metres < best.metres):
                best = Move(name, metres)
    return best


def turn_that_clears(view: View, points: Floats, *, most_deg: float = 45.0) -> tuple[str, float] | None:
    """The smallest pan or tilt of the camera that puts all of points (n, 3) out of frame: its name, degrees.

    Pans turn about the plumb line, tilts about the camera's own level axis; steps of half a degree. None when
    no turn up to `most_deg` does. What hides a point from the lens does not change as the camera turns in
    place, so `points` are all those that the lens could see, in frame or not.
    """
    for degrees in np.arange(0.5, most_deg + 0.25, 0.5):
        for name in _turns(view):
            if not np.any((outside(view, turned(view, points, name, float(degrees))) <= 0.0).all(axis=1)):
                return name, float(degrees)
    return None


def turned(view: View, points: Floats, name: str, degrees: float) -> Floats:
    """Where points (n, 3) stand to the frame of `view` after its camera has turned: `pan left`, `tilt up` and so on."""
    # Turning the camera one way is turning the points the other way.
    moved: Floats = _rotated(points - view.position, _turns(view)[name], -np.radians(degrees)) + view.position
    return moved


def _turns(view: View) -> dict[str, Floats]:
    return {
        "pan right": np.array([0.0, 0.0, -1.0]),
        "pan left": np.array([0.0, 0.0, 1.0]),
        "tilt up": view.right,
        "tilt down": -view.right,
    }


def _rotated(vectors: Floats, axis: Floats, angle: float) -> Floats:
    """Vectors (n, 3) turned by the right-hand rule about a unit axis. Source: Rodrigues' rotation formula."""
    cosine, sine = np.cos(angle), np.sin(angle)
    turned: Floats = (
        vectors * cosine + np.cross(axis, vectors) * sine + np.outer(vectors @ axis, axis) * (1.0 - cosine)
    )
    return turned
