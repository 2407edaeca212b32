"""Rig marks: where the numbers of lamps stand on a plan, and what is said of the lifts that carry them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, inf, pi, sin
from typing import Final

from preview.sheets.drawing import Box, overlap
from preview.sheets.rig_plan_data import Point, RigMark

SAME: Final = 0.3
"""Share of a disc's radius within which two lamps are at one place."""
ONE_PLACE: Final = 0.2
"""Share of a lift's width within which two stand at one place."""
WAYS: Final = 16
"""Directions in which a number is moved aside."""
RINGS: Final = 9


@dataclass(frozen=True)
class Carrier:
    """What stands on the ground at one place, for one rig or several: its middle, how wide (m), and its words."""

    base: Point
    across: float
    words: str


def carriers(rigs: Sequence[RigMark]) -> list[Carrier]:
    """Each lift once, with the numbers of all rigs that it would carry: `scaffold tower 1, 2`."""
    found: list[list[RigMark]] = []
    for rig in rigs:
        for some in found:
            if some[0].lift == rig.lift and _near(rig.base, some[0].base, ONE_PLACE * rig.across):
                some.append(rig)
                break
        else:
            found.append([rig])
    told = []
    for some in found:
        numbers = ", ".join(str(one.number) for one in some if one.number is not None)
        told.append(
            Carrier(some[0].base, some[0].across, f"{some[0].lift.partition(',')[0]} {numbers}".strip())
        )
    return told


def number_places(
    spots: Sequence[Point], *, disc: float, bounds: Box, clear: Sequence[Box] = ()
) -> list[Point]:
    """The middles of the discs that number some spots, pixels: a spot itself where its disc hides no other spot; else the
    nearest place inside `bounds` that is free of discs, spots and, where it can be, of `clear`."""
    places: list[Point | None] = [None] * len(spots)
    for number, spot in enumerate(spots):
        apart = [hypot(spot[0] - x, spot[1] - y) for other, (x, y) in enumerate(spots) if other != number]
        first = not any(_near(spot, place, 2.2 * disc) for place in places)
        if first and all(gap <= SAME * disc or gap > 1.4 * disc for gap in apart):
            places[number] = spot
    for number, spot in enumerate(spots):
        if places[number] is None:
            taken = [place for place in places if place is not None]
            places[number] = _aside(spot, spots, taken, disc=disc, bounds=bounds, clear=clear)
    return [place for place in places if place is not None]


def free_corner(middle: Point, half: float, first: int, kept: Sequence[Box]) -> Point:
    """The corner of a square that least is kept about, else the `first` of the four in their order."""
    ways = ((1, 1), (-1, 1), (1, -1), (-1, -1))
    corners = [(middle[0] + east * half, middle[1] + south * half) for east, south in ways]
    turned = corners[first % 4 :] + corners[: first % 4]
    reach = 0.5 * half

    def covered(at: Point) -> float:
        box = at[0] - reach, at[1] - reach, at[0] + reach, at[1] + reach
        return sum(overlap(box, other) for other in kept)

    return min(turned, key=covered)


def _near(spot: Point, place: Point | None, reach: float) -> bool:
    return place is not None and hypot(spot[0] - place[0], spot[1] - place[1]) < reach


def _aside(
    spot: Point,
    spots: Sequence[Point],
    taken: Sequence[Point],
    *,
    disc: float,
    bounds: Box,
    clear: Sequence[Box],
) -> Point:
    """The place beside a spot that costs least: near, and its line crosses no disc."""
    best, least = spot, inf
    for ring in range(RINGS):
        reach = (2.2 + 0.7 * ring) * disc
        for way in range(WAYS):
            angle = 2.0 * pi * way / WAYS
            place = spot[0] + reach * sin(angle), spot[1] - reach * cos(angle)
            cost = 0.3 * reach / disc
            inside = (
                bounds[0] + disc < place[0] < bounds[2] - disc
                and bounds[1] + disc < place[1] < bounds[3] - disc
            )
            cost += 0.0 if inside else 100.0
            cost += 20.0 * sum(_near(place, other, 2.2 * disc) for other in taken)
            cost += 10.0 * sum(_near(place, other, 1.5 * disc) for other in spots)
            cost += 10.0 * sum(
                _off_line(other, spot, place) < 1.1 * disc
                for other in taken
                if not _near(spot, other, SAME * disc)
            )
            box = place[0] - disc, place[1] - disc, place[0] + disc, place[1] + disc
            cost += sum(overlap(box, other) for other in clear) / (4.0 * disc * disc)
            if cost < least:
                best, least = place, cost
    return best


def _off_line(point: Point, start: Point, end: Point) -> float:
    """Pixels from a point to a line between two."""
    east, south = end[0] - start[0], end[1] - start[1]
    share = ((point[0] - start[0]) * east + (point[1] - start[1]) * south) / max(east**2 + south**2, 1e-9)
    share = min(max(share, 0.0), 1.0)
    return hypot(start[0] + share * east - point[0], start[1] + share * south - point[1])
