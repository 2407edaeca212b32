"""Set edges: the lines along which what is built of a scene visibly stops."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from preview.script.models.pieces.buildings import House
from preview.script.models.pieces.ground import Ground, Street
from preview.script.models.pieces.growth import Hedge
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.things import Fence, Wall

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


def set_edges(pieces: Sequence[tuple[str, Piece]]) -> list[SetEdge]:
    """Every edge of the built set.

    The border of each ground where no other ground goes on; the ends of each street, and its sides where no
    ground lies beside it; the ends of walls, fences and hedges that neither close on themselves nor join
    another piece. Houses, boxes and trees are built all round and have none.
    """
    edges: list[SetEdge] = []
    for name, piece in pieces:
        if isinstance(piece, Ground):
            edges += _ground_edges(name, piece, pieces)
        elif isinstance(piece, Street):
            edges += _street_edges(name, piece, pieces)
        elif isinstance(piece, Wall | Fence | Hedge):
            edges += _ends(name, piece, pieces)
    return edges


def _ground_edges(name: str, ground: Ground, pieces: Sequence[tuple[str, Piece]]) -> Iterator[SetEdge]:
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
            yield SetEdge(f"{name}, {side}", _raised(points[~goes_on], ground.height + LIFT))


def _street_edges(name: str, street: Street, pieces: Sequence[tuple[str, Piece]]) -> Iterator[SetEdge]:
    path = np.array(street.along, float)
    left, right = (street.width / 2 + pavement for pavement in street.pavement)
    others = [(n, p) for n, p in pieces if n != name]
    closed = np.linalg.norm(path[0] - path[-1]) < JOINED
    for which, here, towards in (("start", path[0], path[1]), ("end", path[-1], path[-2])):
        ahead = (towards - here) / max(float(np.linalg.norm(towards - here)), 1e-9)
        if which == "end":
            ahead = -ahead
        across = np.array([ahead[1], -ahead[0]])
        points = _along(here - left * across, here + right * across)
        joined = any(isinstance(p, Street) and _off_path(here, p) < p.width / 2 + JOINED for _, p in others)
        if not closed and not joined:
            yield SetEdge(f"{name}, {which}", _raised(points, street.kerb + LIFT))
    for which, offset in (("left side", -left), ("right side", right)):
        runs = []
        for here, there in pairwise(path):
            ahead = (there - here) / max(float(np.linalg.norm(there - here)), 1e-9)
            shift = offset * np.array([ahead[1], -ahead[0]])
            runs.append(_along(here + shift, there + shift))
        points = np.concatenate(runs)
        bare = ~_on_ground(points, others)
        if bare.any():
            yield SetEdge(f"{name}, {which}", _raised(points[bare], street.kerb + LIFT))


def _ends(name: str, piece: Wall | Fence | Hedge, pieces: Sequence[tuple[str, Piece]]) -> Iterator[SetEdge]:
    path = np.array(piece.along, float)
    if np.linalg.norm(path[0] - path[-1]) < JOINED:
        return
    for which, end in (("start", path[0]), ("end", path[-1])):
        if any(n != name and _joins(end, p) for n, p in pieces):
            continue
        neighbour = path[1] if which == "start" else path[-2]
        end = end + LIFT * (end - neighbour) / max(float(np.linalg.norm(end - neighbour)), 1e-9)
        heights = np.linspace(0.05, piece.height, max(2, round(piece.height / 0.2)))
        yield SetEdge(
            f"{name}, {which}",
            np.column_stack([np.full_like(heights, end[0]), np.full_like(heights, end[1]), heights]),
        )


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


def _off_path(point: Floats, piece: Wall | Fence | Hedge | Street) -> float:
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


def _raised(points: Floats, height: float) -> Floats:
    return np.column_stack([points, np.full(len(points), height)])
