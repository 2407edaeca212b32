"""The named places of a scene: every `Anchor` that the script may refer to, computed from the models alone.

Builders use the same plans (`house_plan`, `street_plan`, `figure_plan`, `places_of_trees`), so that the geometry
and the places agree.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from math import hypot, pi
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.faults import UserError
from preview.script import figure_plan
from preview.script.families import FAMILIES
from preview.script.families.family import Named, nothing_in_files
from preview.script.fields import Place
from preview.script.models.cast import Figure, Mark
from preview.script.models.fixtures import Fixture
from preview.script.models.pieces.ground import Ground
from preview.script.models.pieces.piece import Piece
from preview.script.scene import Anchor
from preview.script.standing import figure_on, footing_of, stood
from preview.script.terrain import LEVEL, Terrain, terrain_of

Point = tuple[float, float, float]


class Anchors(dict[str, Anchor]):
    """Named places, and the ground that everything stands on.

    Places that a piece's file alone tells, such as `barn.roof` of a mesh, are found when one of them is first looked for.
    """

    terrain: Terrain = LEVEL

    def __init__(self) -> None:
        super().__init__()
        self.in_files: dict[str, Callable[[], Named]] = {}
        self.unread: dict[str, str] = {}
        """Why no places could be had of a piece's file, by the piece's name."""

    def __missing__(self, name: str) -> Anchor:
        owner = name.partition(".")[0]
        find = self.in_files.pop(owner, None) if owner != name else None
        if find is None:
            raise KeyError(name)
        try:
            for place, anchor in find():
                self.setdefault(place, anchor)
        except UserError as error:
            self.unread[owner] = str(error.faults[0]).partition(": ")[2]
        return self[name]

    def __contains__(self, name: object) -> bool:
        return isinstance(name, str) and self.get(name) is not None

    def get(self, name: str, default: Any = None, /) -> Any:
        """The anchor of that name, looked for in files as well."""
        try:
            return self[name]
        except KeyError:
            return default


PASSES = 4
"""Facings that depend on each other are found by repetition; each pass is ten times nearer."""


def anchors_of(
    pieces: Iterable[tuple[str, Piece]],
    cast: Sequence[Figure],
    fixtures: Sequence[Fixture],
    marks: Sequence[Mark],
    folder: Path = Path(),
) -> Anchors:
    """Every named place. Parts that hang on a name which does not exist are left out, and fall where they can.

    Pictures of heights are relative to `folder`.
    """
    pieces = list(pieces)
    terrain = _terrain(pieces, cast, fixtures, marks, folder)
    return _anchors(pieces, [figure_on(figure, terrain) for figure in cast], fixtures, marks, terrain, folder)


def _terrain(
    pieces: Sequence[tuple[str, Piece]],
    cast: Sequence[Figure],
    fixtures: Sequence[Fixture],
    marks: Sequence[Mark],
    folder: Path,
) -> Terrain:
    """The ground of a set; a slope may climb towards a named place, whose plan point no ground moves."""
    grounds = [piece for _, piece in pieces if isinstance(piece, Ground)]
    flat = Anchors()
    if any(ground.slope is not None and isinstance(ground.slope.towards, Place) for ground in grounds):
        flat = _anchors(pieces, cast, fixtures, marks, LEVEL, folder)
    return terrain_of(pieces, folder, lambda facing, at: _azimuth(facing, at, flat, 0.0))


def _anchors(
    pieces: Sequence[tuple[str, Piece]],
    cast: Sequence[Figure],
    fixtures: Sequence[Fixture],
    marks: Sequence[Mark],
    terrain: Terrain,
    folder: Path,
) -> Anchors:
    anchors = Anchors()
    anchors.terrain = terrain
    for name, piece in pieces:
        if (in_file := FAMILIES[type(piece)].in_file) is not nothing_in_files:
            anchors.in_files.setdefault(name, partial(_of_file, in_file, name, piece, folder, terrain))
    turning: list[tuple[str, Any, list[float]]] = []
    for name, piece in pieces:
        facing = getattr(piece, "facing", 0.0)
        if isinstance(facing, Place):
            turning.append((name, piece, [pi]))
        for place, anchor in _of_piece(name, piece, pi if isinstance(facing, Place) else facing, terrain):
            anchors.setdefault(place, anchor)
    turned_cast = [pi] * len(cast)
    for _ in range(PASSES):
        for name, piece, turned in turning:
            turned[0] = _azimuth(piece.facing, piece.at, anchors, turned[0])
            anchors |= dict(_of_piece(name, piece, turned[0], terrain))
        for index, figure in enumerate(cast):
            turned_cast[index] = _azimuth(figure.facing, figure.at, anchors, turned_cast[index])
            anchors |= _of_figure(figure, turned_cast[index], anchors)
    _add_fixtures(anchors, fixtures)
    if any(figure.looks_at or figure.gaze for figure in cast):
        # Somebody may look at a lamp, and a lamp may hang where somebody looks.
        for _ in range(PASSES):
            for figure, azimuth in zip(cast, turned_cast, strict=True):
                anchors |= _of_figure(figure, azimuth, anchors)
        for fixture in fixtures:
            anchors.pop(fixture.name, None)
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
    base = Anchor((0.0, 0.0, 0.0)) if place.of is None else anchors.get(place.of)
    if base is None:
        return None
    x, y, z = (float(a + b) for a, b in zip(base.position, place.offset, strict=True))
    return x, y, z if place.above is None else anchors.terrain.footing(x, y) + place.above


def _azimuth(facing: float | Place, at: tuple[float, float], anchors: Anchors, before: float) -> float:
    if not isinstance(facing, Place):
        return facing
    towards = _position(facing, anchors)
    if towards is None or hypot(towards[0] - at[0], towards[1] - at[1]) < 1e-9:
        return before
    return float(np.arctan2(towards[0] - at[0], towards[1] - at[1]))


def _of_piece(name: str, piece: Piece, azimuth: float, terrain: Terrain) -> Named:
    return stood(name, piece, FAMILIES[type(piece)].places(name, piece, azimuth), terrain)


def _of_file(
    in_file: Callable[[str, Any, Path], Named], name: str, piece: Piece, folder: Path, terrain: Terrain
) -> Named:
    return stood(name, piece, in_file(name, piece, folder), terrain)


def _of_figure(figure: Figure, azimuth: float, anchors: Anchors) -> dict[str, Anchor]:
    """What a figure looks at may be nothing yet: then it looks ahead."""
    seen = (
        None if place is None else position_of(place, anchors) for place in (figure.looks_at, figure.gaze)
    )
    planned = figure_plan.places(figure, azimuth, *seen, footing=footing_of(figure, anchors.terrain))
    found = {part: Anchor(at, way) for part, (at, way) in planned.items()}
    middle = found.pop("middle")
    return {figure.name: middle, **{f"{figure.name}.{part}": anchor for part, anchor in found.items()}}


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
