"""Standing: how pieces and figures come to stand on the ground."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from preview.script.families import FAMILIES
from preview.script.families.family import Named, Vector
from preview.script.models.cast import Figure
from preview.script.models.pieces.ground import Ground
from preview.script.models.pieces.piece import Piece
from preview.script.scene import Anchor
from preview.script.street_plan import abreast
from preview.script.terrain import Terrain

STEP = 0.1
"""Metres between the places where the ground below a path is asked."""

Heights = Callable[[NDArray[np.float64], NDArray[np.float64]], NDArray[np.float64]]


def lift_of(piece: Piece, terrain: Terrain) -> float:
    """Metres by which all of a level piece is lifted; 0 for any other, and for one whose place says how high it is."""
    at = getattr(piece, "at", None)
    if FAMILIES[type(piece)].stands != "level" or not isinstance(at, tuple) or len(at) != 2:
        return 0.0
    return terrain.footing(*at)


def beneath(piece: Piece, terrain: Terrain) -> Heights:
    """Height of the ground that stands for plan points of a piece: for one along a path, that under the path abreast of
    them, so that it stays level across."""
    if FAMILIES[type(piece)].stands != "draped":
        return terrain.height
    path = piece.along  # type: ignore[attr-defined]
    corners = np.array(path, dtype=float)
    starts = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1))])
    # The ground below a path by how far one has gone: asked once, every hand's breadth and at its bends.
    asked = np.union1d(starts, np.linspace(0.0, starts[-1], max(2, int(starts[-1] / STEP))))
    heights = terrain.height(*(np.interp(asked, starts, corners[:, axis]) for axis in (0, 1)))
    return lambda x, y: np.interp(abreast(path, x, y), asked, heights)


def stood(name: str, piece: Piece, places: Iterable[tuple[str, Anchor]], terrain: Terrain) -> Named:
    """A piece's places, given as on ground of height 0, where they are."""
    found = list(places)
    stands = FAMILIES[type(piece)].stands
    if isinstance(piece, Ground):
        surface = terrain.surface(name)
        heights = [
            float(surface.height(np.array(x), np.array(y))) - piece.height if surface is not None else 0.0
            for x, y, _ in (anchor.position for _, anchor in found)
        ]
    elif stands in ("draped", "itself"):
        points = np.array([anchor.position for _, anchor in found]).reshape(-1, 3)
        heights = beneath(piece, terrain)(points[:, 0], points[:, 1]).tolist()
    else:
        heights = [lift_of(piece, terrain)] * len(found)
    for (place, anchor), height in zip(found, heights, strict=True):
        x, y, z = anchor.position
        yield place, replace(anchor, position=(x, y, z + height)) if height else anchor


def lowered(point: Vector, piece: Piece, terrain: Terrain) -> Vector:
    """A point (3,) of the world as it lies to a piece that stands on ground of height 0."""
    stands = FAMILIES[type(piece)].stands
    if stands in ("draped", "itself"):
        x, y = point[:1], point[1:2]
        return point - np.array([0.0, 0.0, float(beneath(piece, terrain)(x, y)[0])])
    return point - np.array([0.0, 0.0, lift_of(piece, terrain)])


def figure_on(figure: Figure, terrain: Terrain) -> Figure:
    """The figure with its feet on what lies under it, unless the script says how high that is."""
    if figure.height_of_ground is not None and "height_of_ground" in figure.model_fields_set:
        return figure
    standing = figure.model_copy(update={"height_of_ground": terrain.footing(*figure.at)})
    # What was filled in is told as filled in.
    standing.__pydantic_fields_set__.discard("height_of_ground")
    return standing


def footing_of(figure: Figure, terrain: Terrain) -> Callable[[float, float], float] | None:
    """The height of what a figure's feet stand on at a plan point; None where that is level, or the script says it."""
    if not terrain.is_uneven or "height_of_ground" in figure.model_fields_set:
        return None
    return terrain.footing
