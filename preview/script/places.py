"""The named places of a scene: every `Anchor` that the script may refer to, computed from the models alone.

Builders use the same plans (`house_plan`, `street_plan`, `figure_plan`, `places_of_trees`), so that the geometry
and the places agree.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import hypot, pi
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.script import figure_plan
from preview.script.families import FAMILIES
from preview.script.families.family import Named, level
from preview.script.fields import Place
from preview.script.models.cast import Figure, Mark
from preview.script.models.fixtures import Fixture
from preview.script.models.pieces.piece import Piece
from preview.script.scene import Anchor

Point = tuple[float, float, float]
Anchors = dict[str, Anchor]

PASSES = 4
"""Facings that depend on each other are found by repetition; each pass is ten times nearer."""


def anchors_of(
    pieces: Iterable[tuple[str, Piece]],
    cast: Sequence[Figure],
    fixtures: Sequence[Fixture],
    marks: Sequence[Mark],
) -> Anchors:
    """Every named place. Parts that hang on a name which does not exist are left out, and fall where they can."""
    anchors: Anchors = {}
    turning: list[tuple[str, Any, list[float]]] = []
    for name, piece in pieces:
        facing = getattr(piece, "facing", 0.0)
        if isinstance(facing, Place):
            turning.append((name, piece, [pi]))
        for place, anchor in _of_piece(name, piece, pi if isinstance(facing, Place) else facing):
            anchors.setdefault(place, anchor)
    turned_cast = [pi] * len(cast)
    for _ in range(PASSES):
        for name, piece, turned in turning:
            turned[0] = _azimuth(piece.facing, piece.at, anchors, turned[0])
            anchors |= dict(_of_piece(name, piece, turned[0]))
        for index, figure in enumerate(cast):
            turned_cast[index] = _azimuth(figure.facing, figure.at, anchors, turned_cast[index])
            anchors |= _of_figure(figure, turned_cast[index])
    _add_fixtures(anchors, fixtures)
    for mark in marks:
        position = _position(mark.at, anchors) if mark.at is not None else None
        if position is not None and mark.name not in anchors:
            anchors[mark.name] = Anchor(position)
    return anchors


def position_of(place: Place, anchors: Anchors) -> NDArray[np.float64] | None:
    """Metres (3,) of a place, or None for a name that does not exist."""
    position = _position(place, anchors)
    return None if position is None else np.array(position)


def _position(place: Place, anchors: Anchors) -> Point | None:
    if place.of is None:
        return place.offset
    anchor = anchors.get(place.of)
    if anchor is None:
        return None
    x, y, z = (float(a + b) for a, b in zip(anchor.position, place.offset, strict=True))
    return x, y, z


def _azimuth(facing: float | Place, at: tuple[float, float], anchors: Anchors, before: float) -> float:
    if not isinstance(facing, Place):
        return facing
    towards = _position(facing, anchors)
    if towards is None or hypot(towards[0] - at[0], towards[1] - at[1]) < 1e-9:
        return before
    return float(np.arctan2(towards[0] - at[0], towards[1] - at[1]))


def _of_piece(name: str, piece: Piece, azimuth: float) -> Named:
    return FAMILIES[type(piece)].places(name, piece, azimuth)


def _of_figure(figure: Figure, azimuth: float) -> Anchors:
    points = figure_plan.points(figure, azimuth)
    middle = Anchor(points.pop("middle"), level(azimuth))
    anchors = {f"{figure.name}.{part}": Anchor(point, level(azimuth)) for part, point in points.items()}
    return {figure.name: middle, **anchors}


def _add_fixtures(anchors: Anchors, fixtures: Sequence[Fixture]) -> None:
    """Heads and practicals as places; one may be placed by another, in any order."""
    waiting = [
        (fixture, at)
        for fixture in fixtures
        if (at := fixture.practical.at if fixture.practical is not None else fixture.at) is not None
    ]
    while waiting:
        later = []
        for fixture, at in waiting:
            position = _position(at, anchors)
            if position is None:
                later.append((fixture, at))
            elif fixture.name not in anchors:
                named = anchors.get(at.of) if at.of is not None and fixture.practical is not None else None
                anchors[fixture.name] = Anchor(
                    position, named.facing if named else None, named.size if named else None
                )
        if len(later) == len(waiting):
            return
        waiting = later
