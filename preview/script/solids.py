"""Solids of a scene: what a camera or a head cannot stand inside of, from the models alone."""

from __future__ import annotations

from collections.abc import Sequence

from preview.script import figure_plan
from preview.script.families import FAMILIES
from preview.script.families.family import Post, Vector
from preview.script.models.cast import Figure
from preview.script.models.pieces.piece import Piece
from preview.script.standing import figure_on, lowered
from preview.script.terrain import LEVEL, Terrain

BODY = 0.25
"""Radius of the room that a body takes, metres."""


def inside_of(
    point: Vector, pieces: Sequence[tuple[str, Piece]], cast: Sequence[Figure], terrain: Terrain = LEVEL
) -> str | None:
    """What the point (3,) is inside of, in words, or None where it stands free."""
    for name, piece in pieces:
        inside = FAMILIES[type(piece)].inside(lowered(point, piece, terrain), name, piece)
        if inside is not None:
            return inside
    for figure in (figure_on(each, terrain) for each in cast):
        if Post(figure.at, BODY, figure.height_of_ground, figure_plan.top(figure)).holds(point):
            return f"the figure {figure.name}"
    return None


def ground_above(point: Vector, terrain: Terrain) -> tuple[str, float] | None:
    """The name and height of the ground, street or path that the point (3,) lies below, if it does."""
    underfoot = terrain.underfoot(float(point[0]), float(point[1]))
    return underfoot if underfoot is not None and point[2] <= underfoot[1] else None
