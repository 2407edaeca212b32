"""Rig search: every place about a direction with every unit that gives the light there, the most fitting first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import log2, radians
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.commands.rig.around import Around
from preview.commands.rig.light import (
    SeenSet,
    angles,
    looks_deg,
    over_cast,
    seen_set,
    unevenness,
)
from preview.commands.rig.places import Perch, angle_between, offsets, perches
from preview.commands.rig.stock import Stock
from preview.commands.rig.units import Unit, effort

Floats = NDArray[np.float64]

THROWS: Final = tuple(np.round(np.geomspace(5.0, 65.0, 15), 1).tolist())
"""Metres from the mark to the lamp that are tried."""
ASIDE: Final = (0.0, -5.0, 5.0, -10.0, 10.0, -15.0, 15.0)
"""Degrees that a unit may be cheated round; the camera sees no more of it than that. Common practice, no source."""
LOWER: Final = (0.0, 3.0, 6.0, 10.0)
"""Degrees that it may stand lower than the moon asked for."""
LEAST_BEAM: Final = radians(8.0)
"""Radians that a beam must take in beside the cast: one step either way."""
OF_A_KIND: Final = 2
FARTHER_ASIDE: Final = tuple(side * step for step in range(20, 181, 10) for side in (1.0, -1.0))
FARTHER_UP: Final = (0.0, 10.0, -10.0, 20.0, -20.0, -35.0)
"""Degrees round and up at which the nearest that works is looked for where nothing about the direction does."""


@dataclass(frozen=True)
class Candidate:
    """A place with a unit; `points` count against it, `reasons` say for what, the heaviest first."""

    perch: Perch
    unit: Unit
    points: float
    reasons: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Search:
    """`perches`: every place that was looked at; `candidates`: the fittest first; `seen`: what the cameras see."""

    perches: tuple[Perch, ...]
    candidates: tuple[Candidate, ...]
    seen: SeenSet

    @property
    def free(self) -> tuple[Perch, ...]:
        return tuple(perch for perch in self.perches if not perch.why)


def search(around: Around, stock: Stock, *, lux: float, looks: float | None) -> Search:
    """All candidates about the direction asked for. `looks`: degrees across that the source should look; None: hard or
    soft, as it comes.
    """
    ways = offsets(around.azimuth, around.elevation, aside=ASIDE, lower=LOWER)
    found = tuple(perches(around, ways, THROWS))
    seen = seen_set(around)
    candidates = [
        one
        for perch in found
        if not perch.why
        for one in candidates_at(around, stock, perch, seen, lux, looks)
    ]
    return Search(found, tuple(sorted(candidates, key=lambda one: one.points)), seen)


def candidates_at(
    around: Around, stock: Stock, perch: Perch, seen: SeenSet, lux: float, looks: float | None
) -> Iterator[Candidate]:
    """The units that do at one place, with what counts against each."""
    assert perch.lift is not None
    mark = around.mark.place
    cast = np.array([face.place for face in around.faces]).reshape(-1, 3)
    widest = 2.0 * float(angles(perch, mark, cast).max()) if len(cast) else 0.0
    wide = 2.0 * float(np.quantile(angles(perch, mark, near), 0.8)) if len(near := _near(seen, mark)) else 0.0
    # What the set takes on the way must be given on top.
    given = lux / max(1.0 - perch.shade, 0.5)
    units = stock.bare(
        given, perch.throw, covers=max(1.1 * widest, LEAST_BEAM), wide=max(wide, LEAST_BEAM), lift=perch.lift
    )
    units += stock.soft(given, perch.throw, lift=perch.lift, height=perch.height, up=perch.elevation)
    for unit in units:
        yield _counted(around, perch, unit, seen, looks)


def _near(seen: SeenSet, mark: Floats) -> Floats:
    return np.asarray(seen.places[np.linalg.norm(seen.places - mark, axis=1) < 30.0])


def _counted(around: Around, perch: Perch, unit: Unit, seen: SeenSet, looks: float | None) -> Candidate:
    assert perch.lift is not None
    mark = around.mark.place
    lost = sum(share > 0.5 for share in perch.faces_shade)
    counts = {
        "off the direction": angle_between(around, perch) / 8.0,
        "fall-off over the cast": 0.8 * (over_cast(perch, unit, mark, around.faces) or 0.0),
        "fall-off over the set": 0.35 * unevenness(perch, unit, mark, seen),
        "what lifts it": perch.lift.ease + (0.3 if unit.is_soft and perch.lift.reaches > 0.0 else 0.0),
        "power": max(float(effort(np.array(unit.watts), unit.count)), 0.0),
        "shaded": -2.0 * log2(max(1.0 - perch.shade, 0.5)) + 0.5 * lost,
        "a frame in the wind": 0.0 if unit.frame_m is None else 0.15 * unit.frame_m,
    }
    if looks is not None:
        counts["softness"] = 0.4 * abs(log2(looks_deg(perch, unit) / looks))
    reasons = sorted(counts.items(), key=lambda one: -one[1])
    return Candidate(perch, unit, sum(counts.values()), tuple(reasons))


def varied(candidates: Sequence[Candidate]) -> Iterator[Candidate]:
    """The fittest first, but each unlike those before it: in what lifts it, how far it is, or what it shines through.

    Of one kind of lift, bare or through a frame, `OF_A_KIND` come before anything of the rest.
    """
    told: list[Candidate] = []
    kinds: list[tuple[str, bool]] = []
    for limit in (OF_A_KIND, len(candidates)):
        for one in candidates:
            assert one.perch.lift is not None
            kind = (one.perch.lift.name, one.unit.is_soft)
            if kinds.count(kind) < limit and not any(_alike(one, other) for other in told):
                told.append(one)
                kinds.append(kind)
                yield one


def _alike(one: Candidate, other: Candidate) -> bool:
    same_light = one.unit.is_soft == other.unit.is_soft and (
        one.unit.head.lamp == other.unit.head.lamp or one.perch.at is other.perch.at
    )
    frames = one.unit.frame_m == other.unit.frame_m
    near = abs(log2(one.perch.throw / other.perch.throw)) < 0.45
    return same_light and frames and near


def nearest_free(around: Around) -> Perch | None:
    """Where a lamp could stand whose direction is nearest to the one asked for, farther off than a cheat goes."""
    ways = sorted(
        (way for up in FARTHER_UP for way in _ways(around, up)),
        key=lambda way: angle_between(around, Perch(way[0], way[1], 1.0, around.mark.place, 0.0)),
    )
    throws = THROWS[::2]
    for start in range(0, len(ways), 6):
        free = [perch for perch in perches(around, ways[start : start + 6], throws) if not perch.why]
        if free:
            return min(free, key=lambda perch: (angle_between(around, perch), perch.throw))
    return None


def _ways(around: Around, up: float) -> list[tuple[float, float]]:
    height = around.elevation + radians(up)
    if not radians(3.0) <= height <= radians(85.0):
        return []
    return offsets(around.azimuth, height, aside=(0.0, *FARTHER_ASIDE), lower=(0.0,))
