"""Rig search: every place about a direction with every unit that gives the light there, the most fitting first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import log2, radians
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.commands.rig.around import Around
from preview.commands.rig.footing import ground_trouble
from preview.commands.rig.frames import FRAME_STANDS
from preview.commands.rig.lifts import LIFTS
from preview.commands.rig.light import (
    SeenSet,
    angles,
    looks_deg,
    over_cast,
    over_set,
    seen_set,
    unevenness,
)
from preview.commands.rig.places import Perch, angle_between, direction, offsets, perches
from preview.commands.rig.stock import Stock
from preview.commands.rig.units import ON_STANDS, Unit, effort

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
EDGE: Final = "close to the frame's edge"
GENTLE: Final = 3.0
"""Degrees of slope that cost nothing. From memory, typical."""
AT_EASE: Final = 6.0
"""Degrees from the frame's edge from which nothing is lost by being close to it. Our own choice."""


@dataclass(frozen=True)
class Candidate:
    """A place with a unit; `points` count against it, `reasons` say for what, the heaviest first."""

    perch: Perch
    unit: Unit
    points: float
    reasons: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Strongest:
    """The most light that the heads of the catalogue can be counted on for at the mark, by estimate: lux, from where, and
    the heads in words."""

    lux: float
    perch: Perch
    heads: str


@dataclass(frozen=True)
class Search:
    """`perches`: every place that was looked at; `candidates`: the fittest first; `seen`: what the cameras see;
    `strongest`: the most light to be had from any free place, None where none is free."""

    perches: tuple[Perch, ...]
    candidates: tuple[Candidate, ...]
    seen: SeenSet
    strongest: Strongest | None = None

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
    strongest = [_strongest(around, stock, perch) for perch in found if not perch.why]
    return Search(
        found,
        tuple(sorted(candidates, key=lambda one: one.points)),
        seen,
        max(strongest, key=lambda one: one.lux, default=None),
    )


def _strongest(around: Around, stock: Stock, perch: Perch) -> Strongest:
    assert perch.lift is not None
    lux, heads = stock.strongest(perch.throw, covers=_covers(around, perch), lift=perch.lift)
    return Strongest(lux * (1.0 - perch.shade), perch, heads)


def _covers(around: Around, perch: Perch) -> float:
    """Radians that a beam must take in: the cast, and a step either way."""
    cast = np.array([face.place for face in around.faces]).reshape(-1, 3)
    widest = 2.0 * float(angles(perch, around.mark.place, cast).max()) if len(cast) else 0.0
    return max(1.1 * widest, LEAST_BEAM)


def candidates_at(
    around: Around, stock: Stock, perch: Perch, seen: SeenSet, lux: float, looks: float | None
) -> Iterator[Candidate]:
    """The units that do at one place, with what counts against each."""
    assert perch.lift is not None
    mark = around.mark.place
    wide = 2.0 * float(np.quantile(angles(perch, mark, near), 0.8)) if len(near := _near(seen, mark)) else 0.0
    # What the set takes on the way must be given on top.
    given = lux / max(1.0 - perch.shade, 0.5)
    units = stock.bare(
        given, perch.throw, covers=_covers(around, perch), wide=max(wide, LEAST_BEAM), lift=perch.lift
    )
    units += stock.soft(
        given,
        perch.throw,
        lift=perch.lift,
        height=perch.height,
        up=perch.elevation,
        every_cloth=looks is not None,
    )
    for unit in units:
        if unit.held == ON_STANDS and not frame_stands(around, perch, unit):
            continue
        yield _counted(around, perch, unit, seen, looks)


def _near(seen: SeenSet, mark: Floats) -> Floats:
    return np.asarray(seen.places[np.linalg.norm(seen.places - mark, axis=1) < 30.0])


def _counted(around: Around, perch: Perch, unit: Unit, seen: SeenSet, looks: float | None) -> Candidate:
    assert perch.lift is not None
    mark = around.mark.place
    lost = sum(share > 0.5 for share in perch.faces_shade)
    footing, on_legs = perch.footing, perch.lift.stands_below
    assert footing is not None
    most = max((reach.stops for reach in over_set(perch, unit, mark, seen)), default=0.0)
    counts = {
        "off the direction": angle_between(around, perch) / 8.0,
        "fall-off over the cast": 0.8 * (over_cast(perch, unit, mark, around.faces) or 0.0),
        "fall-off over the set": 0.35 * unevenness(perch, unit, mark, seen),
        "what lifts it": perch.lift.ease + (0.3 if unit.is_soft and perch.lift.reaches > 0.0 else 0.0),
        "power": max(float(effort(np.array(unit.watts), unit.count)), 0.0),
        "shaded": -2.0 * log2(max(1.0 - perch.shade, 0.5)) + 1.0 * lost,
        EDGE: edge_points(perch.clear_deg),
        "sloping ground": 0.0 if on_legs else 0.6 * max(footing.slope_deg - GENTLE, 0.0),
        "soft ground": (0.2 if on_legs else 0.5) if footing.soft or footing.wet else 0.0,
        "too much light on the set": 0.4 * max(most - 1.0, 0.0),
        "a frame in the wind": 0.0 if unit.frame_m is None else 0.15 * unit.frame_m,
    }
    if looks is not None:
        counts["softness"] = abs(log2(looks_deg(perch, unit) / looks))
    reasons = sorted(counts.items(), key=lambda one: -one[1])
    return Candidate(perch, unit, sum(counts.values()), tuple(reasons))


def edge_points(clear_deg: float) -> float:
    """What it costs to be so many degrees from coming into frame: a point at the frame's edge, none from `AT_EASE`."""
    return max(1.0 - clear_deg / AT_EASE, 0.0)


def frame_stands(around: Around, perch: Perch, unit: Unit) -> bool:
    """Whether the ground takes the two stands of a frame before a head."""
    assert unit.frame_m is not None
    middle = perch.at - unit.away * direction(perch.azimuth, perch.elevation)
    side = 0.5 * unit.frame_m * np.array([np.cos(perch.azimuth), -np.sin(perch.azimuth)])
    feet = [(float(x), float(y)) for x, y in (middle[:2] + side, middle[:2] - side)]
    heights = [around.scene.terrain.footing(*foot) for foot in feet]
    half = 0.5 * unit.frame_m * np.cos(perch.elevation)
    if min(middle[2] - half - max(heights), FRAME_STANDS - (middle[2] + half - min(heights))) < 0.0:
        return False
    stand = LIFTS[0]
    return all(
        ground_trouble(around, stand, np.array([*foot, float(middle[2])]), foot) is None for foot in feet
    )


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
