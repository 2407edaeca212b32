"""Scene: one script file, read, validated, with every named place known. What the rest of the house works from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preview.script.fields import Place
from preview.script.models.air import Haze
from preview.script.models.camera import Camera
from preview.script.models.cast import Figure, Mark
from preview.script.models.fixtures import Fixture
from preview.script.models.night import Night, PlaceOnEarth
from preview.script.models.pieces.piece import Piece
from preview.script.terrain import Terrain, terrain_of
from preview.trade.catalogue import Catalogue, usual

Vector = NDArray[np.float64]


@dataclass(frozen=True)
class Anchor:
    """A named place: metres, world axes; `facing` a unit vector, `size` (width, height) where it has any."""

    position: tuple[float, float, float]
    facing: tuple[float, float, float] | None = None
    size: tuple[float, float] | None = None


@dataclass(frozen=True)
class Written:
    """Where a part stands in the file: its line, its path as a person reads it, the lines of its keys."""

    line: int
    path: str
    lines: Mapping[str, int]


@dataclass(frozen=True)
class Scene:
    """A validated scene in one setup and look. Every name in it resolves."""

    path: Path
    title: str
    setup: str
    """Name of the setup; `main` for the script's own camera."""
    set: tuple[tuple[str, Piece], ...]
    """Pieces by their (unique) names, in script order."""
    cast: tuple[Figure, ...]
    camera: Camera
    fixtures: tuple[Fixture, ...]
    marks: tuple[Mark, ...]
    anchors: Mapping[str, Anchor]
    eyes: tuple[tuple[float, float, float], ...] = ()
    """Where the cameras of all setups stand, metres: what is built finer near a camera is the same in each."""
    haze: Haze | None = None
    """None for clear air."""
    place: PlaceOnEarth | None = None
    """Where on earth it lies, if the script says so."""
    night: Night | None = None
    """Which night it is shot, if the script says so."""
    catalogue: Catalogue = field(default_factory=usual)
    """What fixtures are chosen from: the program's rows, with the script's own."""
    look: str | None = None
    """Name of the look; None for the script's own levels."""
    seed: int = 1
    """What makes the noise of a picture the same each time."""
    written: Mapping[str, Written] = field(default_factory=dict)
    """Where each piece of the set is written, by its name."""

    @cached_property
    def terrain(self) -> Terrain:
        """The ground that everything stands on."""
        return terrain_of(
            self.set, self.path.parent, lambda facing, at: self.azimuth(facing, np.array([*at, 0.0]))
        )

    def point(self, place: Place) -> Vector:
        """Metres, shape (3,)."""
        point = self._unlifted(place)
        if place.above is not None:
            point[2] = self.terrain.footing(float(point[0]), float(point[1])) + place.above
        return point

    def _unlifted(self, place: Place) -> Vector:
        base = np.zeros(3) if place.of is None else np.array(self.anchors[place.of].position)
        return base + np.array(place.offset)

    def azimuth(self, facing: float | Place, at: Vector) -> float:
        """Radians clockwise from north of a `facing`, for something that stands at `at` (metres)."""
        if isinstance(facing, Place):
            east, north = (self._unlifted(facing) - at)[:2]
            return float(np.arctan2(east, north))
        return facing
