"""Street paint: centre line, edge lines and zebra crossings, a skin on the carriageway."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from preview.build.land.ribbon import Blocks, blocks, laid
from preview.build.mesh import Floats, Part
from preview.script.street_plan import CROSSING

if TYPE_CHECKING:
    from preview.build.land.street import Road

DASH, DASH_GAP, WIDTH = 2.0, 4.0, 0.1
"""Metres. Common practice, no source."""
FROM_EDGE = 0.22
"""From the edge of the carriageway to the middle of its line, metres."""
STRIPE = 0.5
"""Width of a stripe of a crossing, and of the gap to the next, metres."""
CLEAR_OF_OTHERS = 1.2
"""Metres from another street's carriageway within which nothing is painted."""
PAINT = 0.003
"""Thickness of the paint, metres."""
LONGEST = 3.0
"""Metres of paint in one body, which is flat: a longer one would leave a road that bends."""
SHORTEST = 0.45
"""Metres of paint in one body on a carriageway that is not straight along its way."""
MOST = 4000


def paint(road: Road) -> list[Part | None]:
    """`NAME.line` and `NAME.crossing`, worn a little here and there."""
    rng = np.random.default_rng(7)
    model, length = road.model, road.way.length
    lines = []
    if model.centre_line:
        start, end = laid(length, DASH + DASH_GAP, DASH_GAP)
        lines.append((start, end, 0.0, WIDTH))
    if model.edge_lines:
        start, end = laid(length, max(LONGEST, length / MOST), 0.0)
        for side in (-1.0, 1.0):
            lines.append((start, end, side * (road.half - FROM_EDGE), WIDTH))
    found = [_painted(road, f"{road.name}.line", _bodies(lines, rng), clear=model.crossings)] if lines else []
    stripes = []
    for middle in model.crossings:
        count = max(1, int((model.width - 0.4) // (2 * STRIPE) * 2 + 1) // 2)
        for place in (np.arange(count) - 0.5 * (count - 1)) * 2 * STRIPE:
            reach = np.array([middle - CROSSING / 2]), np.array([middle + CROSSING / 2])
            stripes.append((*reach, float(place), STRIPE))
    if stripes:
        found.append(_painted(road, f"{road.name}.crossing", _bodies(stripes, rng), clear=[]))
    return found


def _bodies(lines: list[tuple[Floats, Floats, float, float]], rng: np.random.Generator) -> Blocks:
    start = np.concatenate([line[0] for line in lines])
    end = np.concatenate([line[1] for line in lines])
    middle = np.concatenate([np.full(len(line[0]), line[2]) for line in lines])
    half = np.concatenate([np.full(len(line[0]), line[3] / 2) for line in lines])
    tint = np.repeat(0.72 + 0.28 * rng.random((len(start), 1)), 3, axis=1)
    return Blocks(start, end, middle - half, middle + half, tint)


def _painted(road: Road, name: str, bodies: Blocks, *, clear: list[float]) -> Part | None:
    bodies = bodies.chosen(~road.in_other_carriageway(bodies.middles(road.way), CLEAR_OF_OTHERS))
    for crossing in clear:
        past = (bodies.end < crossing - CROSSING / 2 - 0.3) | (bodies.start > crossing + CROSSING / 2 + 0.3)
        bodies = bodies.chosen(past)
    bodies = bodies.chosen((bodies.start >= 0.0) & (bodies.end <= road.way.length))
    if road.is_bent:
        bodies = bodies.shortened(SHORTEST)
    return blocks(
        name,
        "white paint",
        road.way,
        bodies,
        lambda x, y: road.surface(x, y) + PAINT,
        deep=PAINT + 0.02,
        wet=road.model.wet,
    )
