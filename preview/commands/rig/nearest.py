"""Rig nearest: the direction nearest to the one asked for from which a rig does it, where none about that one does."""

from __future__ import annotations

from collections.abc import Iterator
from math import asin, atan2, ceil, cos, degrees, pi, radians, sin
from typing import Final

import numpy as np

from preview.commands.rig.around import Around
from preview.commands.rig.light import SeenSet
from preview.commands.rig.places import direction, perches
from preview.commands.rig.search import THROWS, Candidate, candidates_at
from preview.commands.rig.stock import Stock

STEP: Final = 5.0
"""Degrees between rings, and between directions along one."""
HEIGHTS: Final = (2.0, 88.0)
"""Degrees up between which is looked."""


def rings(around: Around) -> Iterator[tuple[float, list[tuple[float, float]]]]:
    """Degrees from the direction asked for, and the ways (azimuth, elevation; radians) so far from it, from near to far."""
    ahead = direction(around.azimuth, around.elevation)
    aside = np.array([cos(around.azimuth), -sin(around.azimuth), 0.0])
    up = np.cross(aside, ahead)
    for off in np.arange(STEP, 180.0, STEP).tolist():
        count = max(8, ceil(2.0 * pi * sin(radians(off)) / radians(STEP)))
        ways = []
        for number in range(count):
            turn = 2.0 * pi * number / count
            way = cos(radians(off)) * ahead + sin(radians(off)) * (cos(turn) * aside + sin(turn) * up)
            elevation = asin(max(-1.0, min(1.0, float(way[2]))))
            if HEIGHTS[0] <= degrees(elevation) <= HEIGHTS[1]:
                ways.append((atan2(float(way[0]), float(way[1])), elevation))
        if ways:
            yield off, ways


def nearest_candidates(
    around: Around, stock: Stock, seen: SeenSet, *, lux: float, looks: float | None
) -> Iterator[tuple[float, list[Candidate]]]:
    """Degrees off, and the candidates there, the fittest first; only of rings that have any."""
    for off, ways in rings(around):
        found = [
            one
            for perch in perches(around, ways, THROWS)
            if not perch.why
            for one in candidates_at(around, stock, perch, seen, lux, looks)
        ]
        if found:
            yield off, sorted(found, key=lambda one: one.points)
