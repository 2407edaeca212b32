"""Solids of a scene: what a camera or a head cannot stand inside of, from the models alone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from preview.script import figure_plan
from preview.script.families import FAMILIES
from preview.script.families.family import Post, Vector
from preview.script.models.cast import Figure
from preview.script.models.pieces.ground import Ground
from preview.script.models.pieces.piece import Piece

BODY = 0.25
"""Radius of the room that a body takes, metres."""


def inside_of(point: Vector, pieces: Sequence[tuple[str, Piece]], cast: Sequence[Figure]) -> str | None:
    """What the point (3,) is inside of, in words, or None where it stands free."""
    for name, piece in pieces:
        inside = FAMILIES[type(piece)].inside(point, name, piece)
        if inside is not None:
            return inside
    for figure in cast:
        if Post(figure.at, BODY, figure.height_of_ground, figure_plan.top(figure)).holds(point):
            return f"the figure {figure.name}"
    return None


def ground_above(point: Vector, pieces: Sequence[tuple[str, Piece]]) -> tuple[str, float] | None:
    """The name and height of the ground that the point (3,) lies below, if it does."""
    for name, piece in pieces:
        if isinstance(piece, Ground):
            away = np.abs(point[:2] - piece.at)
            if np.all(away <= np.array(piece.size) / 2) and point[2] <= piece.height:
                return name, piece.height
    return None
