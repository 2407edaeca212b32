"""Terrain: how high the ground is at any plan point, from the models alone.

Rows of heights run from a ground's north edge to its south, each from west to east, as a map lies; the first and last
of them lie on its edges. Between them the ground runs through them by Catmull-Rom splines, which keep planes plane.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import cos, sin, tan
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preview.faults import UserError
from preview.script.fields import Place
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.models.pieces.piece import Piece
from preview.script.street_plan import rise_of_path, rise_of_street

Floats = NDArray[np.float64]

MOST_PIXELS = 4096
"""Along a side of a picture of heights: 64 MiB."""
GREY = {"L": 255.0, "1": 1.0, "I;16": 65535.0, "I;16B": 65535.0, "I;16L": 65535.0, "I": 65535.0}
"""White, by Pillow's names of the kinds of picture that are plain grey."""
MOST_KEPT = 8
"""Pictures kept in memory between one setup and the next."""


@dataclass(frozen=True, eq=False)
class Surface:
    """One ground: its corners (2,), height in the middle, climb (2,) per metre east and north, rows (r, c) of heights.

    `under`: the uneven grounds that it lies on where they are, when it says no height of its own.
    """

    name: str
    low: Floats
    high: Floats
    middle: float
    climb: Floats
    rows: NDArray[np.float32] | None
    under: tuple[Surface, ...] = ()

    @property
    def is_uneven(self) -> bool:
        """Whether it is anything but one level."""
        return bool(self.climb.any()) or self.rows is not None or bool(self.under)

    def covers(self, x: Floats, y: Floats) -> NDArray[np.bool_]:
        """Whether plan points lie on it, its border counted in."""
        within: NDArray[np.bool_] = (
            (x >= self.low[0]) & (x <= self.high[0]) & (y >= self.low[1]) & (y <= self.high[1])
        )
        return within

    def height(self, x: Floats, y: Floats) -> Floats:
        """Metres at plan points, of their shape; beyond its border as it goes on there."""
        if self.under:
            found = np.full(np.shape(x), -np.inf)
            for surface in self.under:
                found = np.where(surface.covers(x, y), np.maximum(found, surface.height(x, y)), found)
            return np.where(np.isfinite(found), found, self.middle)
        centre = 0.5 * (self.low + self.high)
        found = self.middle + self.climb[0] * (x - centre[0]) + self.climb[1] * (y - centre[1])
        if self.rows is not None:
            across, down = (
                (x - self.low[0]) / (self.high[0] - self.low[0]),
                (self.high[1] - y) / (self.high[1] - self.low[1]),
            )
            found = found + through(self.rows, down, across)
        return np.asarray(found, dtype=float)


@dataclass(frozen=True, eq=False)
class Terrain:
    """All grounds of a scene, and the streets and paths that lie on them, in script order."""

    surfaces: tuple[Surface, ...] = ()
    ways: tuple[tuple[str, Street | Footpath], ...] = ()

    @property
    def is_uneven(self) -> bool:
        """Whether any ground is anything but one level."""
        return any(surface.is_uneven for surface in self.surfaces)

    @property
    def is_raised(self) -> bool:
        """Whether the ground is anywhere at another height than 0."""
        return any(surface.is_uneven or surface.middle != 0.0 for surface in self.surfaces)

    def height(self, x: ArrayLike, y: ArrayLike) -> Floats:
        """Height of the ground at plan points, metres, of their shape: the highest that covers them, 0 where none does."""
        east, north = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
        found = np.full(east.shape, -np.inf)
        for surface in self.surfaces:
            on = surface.covers(east, north)
            if on.all():
                np.maximum(found, surface.height(east, north), out=found)
            elif on.any():
                found[on] = np.maximum(found[on], surface.height(east[on], north[on]))
        return np.where(np.isfinite(found), found, 0.0)

    def uppermost(self, x: Floats, y: Floats) -> NDArray[np.intp]:
        """The number among `surfaces` of the one on top at plan points, -1 beyond all; of two as high the later."""
        top, which = np.full(np.shape(x), -np.inf), np.full(np.shape(x), -1)
        for number, surface in enumerate(self.surfaces):
            height = surface.height(x, y)
            above = surface.covers(x, y) & (height >= top)
            top, which = np.where(above, height, top), np.where(above, number, which)
        return which

    def footing(self, x: float, y: float) -> float:
        """Height of what one stands on at a plan point, metres: the ground, or a street or path on it."""
        return float(self.height(x, y)) + max((rise for _, rise in self._risen(x, y)), default=0.0)

    def underfoot(self, x: float, y: float) -> tuple[str, float] | None:
        """The name and height of what one stands on at a plan point; None beyond all grounds and streets."""
        here = np.array(x), np.array(y)
        grounds = [
            (float(surface.height(*here)), surface.name) for surface in self.surfaces if surface.covers(*here)
        ]
        height, name = max(grounds, default=(0.0, ""), key=lambda found: found[0])
        way, rise = max(self._risen(x, y), default=("", 0.0), key=lambda found: found[1])
        return (way or name, height + rise) if way or name else None

    def _risen(self, x: float, y: float) -> list[tuple[str, float]]:
        """The streets and paths at a plan point, each with its height above the ground."""
        here = np.array([float(x)]), np.array([float(y)])
        rises = [
            (
                name,
                float(
                    (rise_of_street(way, *here) if isinstance(way, Street) else rise_of_path(way, *here))[0]
                ),
            )
            for name, way in self.ways
        ]
        return [(name, rise) for name, rise in rises if np.isfinite(rise)]

    def surface(self, name: str) -> Surface | None:
        """The ground of that name."""
        return next((surface for surface in self.surfaces if surface.name == name), None)


LEVEL = Terrain()
"""Level ground at height 0 everywhere."""


def terrain_of(
    pieces: Iterable[tuple[str, Piece]],
    folder: Path,
    azimuth: Callable[[float | Place, tuple[float, float]], float],
) -> Terrain:
    """The terrain of a set. `azimuth` (radians) of a facing from a plan point; pictures are relative to `folder`.

    A picture that cannot be read counts as level: `misfits` of the ground tell why.
    """
    surfaces: list[Surface] = []
    ways: list[tuple[str, Street | Footpath]] = []
    for name, piece in pieces:
        if isinstance(piece, Ground):
            surfaces.append(surface_of(name, piece, folder, azimuth, surfaces))
        elif isinstance(piece, Street | Footpath):
            ways.append((name, piece))
    return Terrain(tuple(surfaces), tuple(ways))


def surface_of(
    name: str,
    ground: Ground,
    folder: Path,
    azimuth: Callable[[float | Place, tuple[float, float]], float],
    before: Iterable[Surface],
) -> Surface:
    """A ground that comes after others `before` it."""
    centre, half = np.array(ground.at), np.array(ground.size) / 2
    climb, rows = np.zeros(2), None
    if ground.slope is not None:
        way, steep = azimuth(ground.slope.towards, ground.at), tan(ground.slope.rise)
        climb = steep * np.array([sin(way), cos(way)])
    if ground.heights is not None:
        try:
            rows = rows_of(ground, folder)
        except UserError:
            rows = None
    own = ground.slope is not None or ground.heights is not None or "height" in ground.model_fields_set
    under = () if own else tuple(surface for surface in before if surface.is_uneven)
    return Surface(name, centre - half, centre + half, ground.height, climb, rows, under)


def rows_of(ground: Ground, folder: Path) -> NDArray[np.float32]:
    """Heights (r, c) in metres of a ground that has any. UserError in a sentence for a picture that is none."""
    assert ground.heights is not None
    if not isinstance(ground.heights, str):
        return np.array(ground.heights, np.float32)
    low, high = ground.relief or (0.0, 1.0)
    path = (folder / ground.heights).expanduser()
    try:
        changed = path.stat().st_mtime_ns
    except OSError:
        changed = 0
    return np.float32(low) + np.float32(high - low) * _grey(path, changed)


@lru_cache(maxsize=MOST_KEPT)
def _grey(path: Path, changed: int) -> NDArray[np.float32]:
    """A picture as 0 black to 1 white, (r, c); `changed` tells one state of a file from the next."""
    # Heavy: only a ground with a picture pays for it.
    from PIL import Image, UnidentifiedImageError

    name = path.name
    if not path.is_file():
        raise UserError(f"there is no file {path}")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(path) as picture:
                width, height = picture.size
                if max(width, height) > MOST_PIXELS:
                    raise UserError(
                        f"{name} is {width} by {height} pixels; {MOST_PIXELS} a side are the most"
                    )
                if min(width, height) < 2:
                    raise UserError(f"{name} is {width} by {height} pixels; 2 by 2 are the least")
                if picture.mode not in GREY:
                    raise UserError(
                        f"{name} is not plain grey; save it in 8 or 16 bit grey, without colour or transparency"
                    )
                grey = np.asarray(picture, dtype=np.float32) / np.float32(GREY[picture.mode])
    except UserError:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise UserError(f"{name} has too many pixels; {MOST_PIXELS} a side are the most") from None
    except UnidentifiedImageError:
        raise UserError(f"{name} is not a picture that can be read") from None
    except Exception as problem:  # readers of a dozen formats raise a dozen kinds of error
        reason = (str(problem).strip().splitlines() or [type(problem).__name__])[0]
        raise UserError(f"{name} cannot be read as a picture ({reason})") from problem
    grey.setflags(write=False)
    return grey


def through(rows: NDArray[np.float32], down: Floats, across: Floats) -> Floats:
    """Values of a smooth surface through `rows` (r, c) at shares 0 to 1 of the way down and across, held to its edges.

    Catmull-Rom along both; past an edge the rows go on straight, so that two rows make a plane.
    """
    shape = np.shape(down)
    row, weight_down = _spline(rows.shape[0], np.ravel(down))
    column, weight_across = _spline(rows.shape[1], np.ravel(across))
    found = np.zeros(row.shape[1])
    for i in range(4):
        line = np.zeros(row.shape[1])
        for j in range(4):
            line += weight_across[j] * rows[row[i], column[j]]
        found += weight_down[i] * line
    return found.reshape(shape)


def _spline(count: int, share: Floats) -> tuple[NDArray[np.int64], Floats]:
    """Which four of `count` values (4, n) make the spline's at `share` (n,), and their weights (4, n)."""
    place = np.clip(share, 0.0, 1.0) * (count - 1)
    first = np.minimum(place.astype(np.int64), count - 2)
    t = place - first
    weight = np.stack(
        [
            0.5 * t * (-1.0 + t * (2.0 - t)),
            1.0 + 0.5 * t * t * (3.0 * t - 5.0),
            0.5 * t * (1.0 + t * (4.0 - 3.0 * t)),
            0.5 * t * t * (t - 1.0),
        ]
    )
    which = first + np.arange(-1, 3)[:, None]
    # The value before the first is twice the first less the second, and so at the end.
    before, after = which[0] < 0, which[3] > count - 1
    weight[1] += np.where(before, 2.0 * weight[0], 0.0)
    weight[2] -= np.where(before, weight[0], 0.0)
    weight[0] = np.where(before, 0.0, weight[0])
    weight[2] += np.where(after, 2.0 * weight[3], 0.0)
    weight[1] -= np.where(after, weight[3], 0.0)
    weight[3] = np.where(after, 0.0, weight[3])
    return np.clip(which, 0, count - 1), weight
