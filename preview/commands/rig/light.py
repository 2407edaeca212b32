"""Rig light: what a lamp that plays the moon does over cast and set, which a distant moon does not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import acos, atan2, degrees, log2, pi
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.sight import SEE_THROUGH
from preview.commands.rig.around import Around, Target
from preview.commands.rig.places import Perch
from preview.commands.rig.units import Unit, apparent_deg
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.models.pieces.growth import Grass, Reeds

Floats = NDArray[np.float64]

ACROSS, DOWN = 48, 27
"""Places of the frame that are looked at."""
FARTHEST: Final = 150.0
"""Metres beyond which what is seen is no part of the set that a lamp could light."""
NEAR_SET: Final = 30.0
"""Metres from the mark within which the beam should take in what is seen."""
UNSEEN: Final = 8.0
"""Stops under the mark from which less light makes no difference."""
TOLD: Final = 4
"""Pieces of the set that are named."""


@dataclass(frozen=True)
class SeenSet:
    """What the cameras see of the set: places (n, 3) m, and of each the name of its piece; `solid` (n,): not the ground."""

    places: Floats
    pieces: tuple[str, ...]
    solid: NDArray[np.bool_]


@dataclass(frozen=True)
class Reach:
    """A piece of the set as the cameras see it: its middle's distance from the lamp (m), and how much less light (stops,
    negative) falls on it than on the mark; shadows left out.
    """

    piece: str
    distance_m: float
    stops: float


def seen_set(around: Around) -> SeenSet:
    """Places on what each setup's camera sees, glass looked past, figures left out."""
    pieces = dict(around.scene.set)
    places, names = [], []
    u, v = np.meshgrid((np.arange(ACROSS) + 0.5) / ACROSS, (np.arange(DOWN) + 0.5) / DOWN)
    for watcher in around.watchers:
        way = watcher.view.rays(u.ravel().astype(np.float32), v.ravel().astype(np.float32)).T
        start = np.broadcast_to(watcher.view.position.astype(np.float32), way.shape)
        hit = watcher.rays.hit(np.ascontiguousarray(start), np.ascontiguousarray(way))
        met = np.flatnonzero((hit.face >= 0) & (hit.distance < FARTHEST))
        for i in met:
            part = watcher.world.part_of_face[hit.face[i]]
            name = watcher.world.names[part].partition(".")[0]
            if name in pieces and watcher.world.materials[part] not in SEE_THROUGH:
                places.append(watcher.view.position + hit.distance[i] * way[i])
                names.append(name)
    solid = [not isinstance(pieces[name], Ground | Footpath | Street | Grass | Reeds) for name in names]
    return SeenSet(np.array(places).reshape(-1, 3), tuple(names), np.array(solid, bool))


def distance_stops(near_m: float, far_m: float) -> float:
    """Stops between what a small source gives near and far, by the inverse square."""
    return 2.0 * log2(far_m / near_m)


def relative(perch: Perch, unit: Unit, mark: Floats, places: Floats) -> Floats:
    """Stops (n,) of a unit's light at places (n, 3), on surfaces that face it, against the mark's; shadows left out."""
    away = places - perch.at
    throws = np.linalg.norm(away, axis=1)
    axis = mark - perch.at
    length = float(np.linalg.norm(axis))
    offs = np.arccos(np.clip(away @ axis / np.maximum(throws * length, 1e-9), -1.0, 1.0))
    return np.log2(np.maximum(unit.along(offs, throws, length), 2.0**-20))


def over_cast(perch: Perch, unit: Unit, mark: Floats, faces: Sequence[Target]) -> float | None:
    """Stops between the most and the least lit of the figures' faces; None with fewer than two."""
    if len(faces) < 2:
        return None
    return float(np.ptp(relative(perch, unit, mark, np.array([face.place for face in faces]))))


def over_set(perch: Perch, unit: Unit, mark: Floats, seen: SeenSet) -> tuple[Reach, ...]:
    """The pieces that fill most of the frames, the nearest to the lamp first."""
    names = [name for name, solid in zip(seen.pieces, seen.solid, strict=True) if solid]
    told = sorted(sorted(set(names)), key=names.count, reverse=True)[:TOLD]
    of = np.array(seen.pieces)
    found = []
    for piece in told:
        places = seen.places[of == piece]
        distance = float(np.median(np.linalg.norm(places - perch.at, axis=1)))
        found.append(Reach(piece, distance, float(np.median(relative(perch, unit, mark, places)))))
    return tuple(sorted(found, key=lambda reach: reach.distance_m))


def unevenness(perch: Perch, unit: Unit, mark: Floats, seen: SeenSet) -> float:
    """Stops: what four fifths of the seen set near the mark is within, above or below the mark's light."""
    near = seen.places[np.linalg.norm(seen.places - mark, axis=1) < NEAR_SET]
    if not len(near):
        return 0.0
    return float(np.quantile(np.minimum(np.abs(relative(perch, unit, mark, near)), UNSEEN), 0.8))


def angles(perch: Perch, mark: Floats, places: Floats) -> Floats:
    """Radians (n,) of places (n, 3) off the line from the lamp to the mark."""
    away, axis = places - perch.at, mark - perch.at
    length = np.linalg.norm(away, axis=1) * np.linalg.norm(axis)
    return np.asarray(np.arccos(np.clip(away @ axis / np.maximum(length, 1e-9), -1.0, 1.0)))


def shadows_apart(perch: Perch, faces: Sequence[Target]) -> float | None:
    """Degrees between the two shadows on the ground that differ most; None with fewer than two figures."""
    if len(faces) < 2:
        return None
    ways = [atan2(*(face.place - perch.at)[:2].tolist()) for face in faces]
    return max(abs((degrees(one - two) + 180.0) % 360.0 - 180.0) for one, two in combinations(ways, 2))


def looks_deg(perch: Perch, unit: Unit) -> float:
    """Degrees across that the source should look from the mark, before it is built: of the even disc of its solid angle.

    Of a frame each part counts by its light, as the meter has it, (int L dw)^2 / int L^2 dw: a share d comes from the
    head's disc spread by the cloth, as a Gaussian of 4 pi sigma^2 sr, the rest from what of the frame is evenly lit.
    """
    if unit.frame_m is None:
        return apparent_deg(unit.size_m, perch.throw)
    frame = unit.even * (unit.frame_m / (perch.throw - unit.away)) ** 2
    head = pi / 4.0 * (unit.source_m / perch.throw) ** 2
    straight = min(head + 4.0 * pi * (unit.spread * unit.away / perch.throw) ** 2, frame)
    solid_angle = 1.0 / ((1.0 - unit.direct**2) / frame + unit.direct**2 / straight)
    return 2.0 * degrees(acos(max(1.0 - solid_angle / (2.0 * pi), -1.0)))
