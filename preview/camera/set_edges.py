"""Set edges: the lines along which what is built of a scene visibly stops."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from preview.script.models.pieces.buildings import House
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.models.pieces.growth import Hedge
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.things import Fence, Wall
from preview.script.street_plan import PATH_HEIGHTS, pavement_height, sides_of
from preview.script.terrain import LEVEL, Terrain

Floats = NDArray[np.float64]

STEP = 1.0
"""Metres between the places sampled along an edge."""
JOINED = 0.6
"""A wall's end this near to another piece, in metres, is taken as joined to it."""
LIFT = 0.02
"""Metres that an edge is looked at above the surface that ends there."""
BEYOND = 0.3
"""Metres past a ground's border within which another ground takes over."""


@dataclass(frozen=True)
class SetEdge:
    """One edge by name, with places along it (n, 3) m, in order."""

    name: str
    points: Floats


def set_edges(pieces: Sequence[tuple[str, Piece]], terrain: Terrain = LEVEL) -> list[SetEdge]:
    """Every edge of the built set, on the ground as it is.

    The border of each ground where no other ground goes on; the ends of each street, and its sides where no
    ground lies beside it; ends and sides of footpaths that lie on no ground; the ends of walls, fences and
    hedges that neither close on themselves nor join another piece. Houses, boxes and trees are built all round
    and have none.
    """
    edges: list[SetEdge] = []
    for name, piece in pieces:
        if isinstance(piece, Ground):
            edges += _ground_edges(name, piece, pieces, terrain)
        elif isinstance(piece, Street | Footpath):
            edges += _way_edges(name, piece, pieces, terrain)
        elif isinstance(piece, Wall | Fence | Hedge):
            edges += _ends(name, piece, pieces, terrain)
    return edges


def _ground_edges(
    name: str, ground: Ground, pieces: Sequence[tuple[str, Piece]], terrain: Terrain
) -> Iterator[SetEdge]:
    surface = terrain.surface(name)
    low, high = _rectangle(ground)
    sides = {
        "west edge": ((low[0], low[1]), (low[0], high[1]), (-BEYOND, 0.0)),
        "north edge": ((low[0], high[1]), (high[0], high[1]), (0.0, BEYOND)),
        "east edge": ((high[0], high[1]), (high[0], low[1]), (BEYOND, 0.0)),
        "south edge": ((high[0], low[1]), (low[0], low[1]), (0.0, -BEYOND)),
    }
    others = [(n, p) for n, p in pieces if n != name]
    for side, (start, end, beyond) in sides.items():
        points = _along(np.array(start), np.array(end))
        # Asked a little inside the corners, where a neighbour as long as this ground still lies beside it.
        goes_on = _on_ground(np.clip(points, low + LIFT, high - LIFT) + np.array(beyond), others)
        if not goes_on.all():
            shown = points[~goes_on]
            heights = ground.height if surface is None else surface.height(shown[:, 0], shown[:, 1])
            yield SetEdge(f"{name}, {side}", _raised(shown, heights + LIFT))


def _way_edges(
    name: str, way: Street | Footpath, pieces: Sequence[tuple[str, Piece]], terrain: Terrain
) -> Iterator[SetEdge]:
    path = np.array(way.along, float)
    is_street = isinstance(way, Street)
    left, right = sides_of(way) if isinstance(way, Street) else (way.width / 2, way.width / 2)
    top = pavement_height(way) if isinstance(way, Street) else PATH_HEIGHTS[way.kind]
    others = [(n, p) for n, p in pieces if n != name]
    closed = np.linalg.norm(path[0] - path[-1]) < JOINED

    def shown(label: str, points: Floats) -> SetEdge:
        return SetEdge(
            f"{name}, {label}", _raised(points, terrain.height(points[:, 0], points[:, 1]) + top + LIFT)
        )

    for which, here, towards in (("start", path[0], path[1]), ("end", path[-1], path[-2])):
        ahead = (towards - here) / max(float(np.linalg.norm(towards - here)), 1e-9)
        if which == "end":
            ahead = -ahead
        across = np.array([ahead[1], -ahead[0]])
        points = _along(here - left * across, here + right * across)
        joined = any(
            isinstance(p, Street | Footpath) and _off_path(here, p) < p.width / 2 + JOINED for _, p in others
        )
        # A footpath that ends on the ground is a footpath's end, not the set's.
        bare = is_street or not _on_ground(points, others).all()
        if not closed and not joined and bare:
            yield shown(which, points)
    for which, offset in (("left side", -left), ("right side", right)):
        runs = []
        for here, there in pairwise(path):
            ahead = (there - here) / max(float(np.linalg.norm(there - here)), 1e-9)
            shift = offset * np.array([ahead[1], -ahead[0]])
            runs.append(_along(here + shift, there + shift))
        points = np.concatenate(runs)
        bare_side = ~_on_ground(points, others)
        if bare_side.any():
            yield shown(which, points[bare_side])


def _ends(
    name: str, piece: Wall | Fence | Hedge, pieces: Sequence[tuple[str, Piece]], terrain: Terrain
) -> Iterator[SetEdge]:
    path = np.array(piece.along, float)
    if np.linalg.norm(path[0] - path[-1]) < JOINED:
        return
    for which, end in (("start", path[0]), ("end", path[-1])):
        if any(n != name and _joins(end, p) for n, p in pieces):
            continue
        foot = float(terrain.height(end[0], end[1]))
        neighbour = path[1] if which == "start" else path[-2]
        end = end + LIFT * (end - neighbour) / max(float(np.linalg.norm(end - neighbour)), 1e-9)
        heights = np.linspace(0.05, piece.height, max(2, round(piece.height / 0.2)))
        yield SetEdge(f"{name}, {which}", _raised(np.broadcast_to(end, (len(heights), 2)), foot + heights))


def _joins(end: Floats, piece: Piece) -> bool:
    if isinstance(piece, Wall | Fence | Hedge):
        return _off_path(end, piece) < JOINED
    if isinstance(piece, House):
        cosine, sine = np.cos(piece.facing), np.sin(piece.facing)
        away = end - np.array(piece.at)
        deep = abs(away[0] * sine + away[1] * cosine) - piece.size[1] / 2
        wide = abs(away[0] * cosine - away[1] * sine) - piece.size[0] / 2
        return float(np.hypot(max(deep, 0.0), max(wide, 0.0))) < JOINED
    return False


def _off_path(point: Floats, piece: Wall | Fence | Hedge | Street | Footpath) -> float:
    path = np.array(piece.along, float)
    here, leg = path[:-1], np.diff(path, axis=0)
    share = np.clip(((point - here) * leg).sum(axis=1) / np.maximum((leg**2).sum(axis=1), 1e-12), 0.0, 1.0)
    return float(np.linalg.norm(here + share[:, None] * leg - point, axis=1).min())


def _rectangle(ground: Ground) -> tuple[Floats, Floats]:
    centre, half = np.array(ground.at), np.array(ground.size) / 2
    return centre - half, centre + half


def _on_ground(points: Floats, pieces: Sequence[tuple[str, Piece]]) -> NDArray[np.bool_]:
    """Which of points (n, 2) lie inside a ground, high or low, its border left out."""
    on = np.zeros(len(points), bool)
    for _, piece in pieces:
        if isinstance(piece, Ground):
            low, high = _rectangle(piece)
            on |= ((points > low + 0.01) & (points < high - 0.01)).all(axis=1)
    return on


def _along(start: Floats, end: Floats) -> Floats:
    count = max(2, int(np.ceil(np.linalg.norm(end - start) / STEP)) + 1)
    return start + np.linspace(0.0, 1.0, count)[:, None] * (end - start)


def _raised(points: Floats, heights: Floats | float) -> Floats:
    return np.column_stack([points, np.broadcast_to(heights, len(points))])
