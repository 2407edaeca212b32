"""Street pavement: kerb stones, and the flags or bays behind them, on a bed that is seen in the joints."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zlib import crc32

import numpy as np

from preview.build.land.ribbon import Blocks, blocks, laid
from preview.build.land.stones import nearest_eye, sunk_between_setts
from preview.build.mesh import Floats, Part
from preview.script.street_plan import KERB_WIDTH, LEAST_KERB, kerb_width

if TYPE_CHECKING:
    from preview.build.land.street import Road

KERB_STONE, KERB_ROUND = 0.915, 0.018
FLAG = (0.60, 0.75)
"""Width and length of a pavement's flags, metres. Common practice, no source."""
BAY = 1.8
"""Length of a bay of concrete, metres."""
SLABS = ("concrete", "new concrete", "stone", "limestone", "granite", "slate")
"""Materials that pavements have in slabs; others lie in one sheet."""
MOST_STONES, MOST_FLAGS = 1200, 9000
JOINT_SHADE = 0.55
"""Tint of what lies in the joints."""


def kerb(road: Road, side: int) -> list[Part | None]:
    """Stones with rounded heads on one side, none of which stands in another street's way."""
    model = road.model
    if model.kerb <= LEAST_KERB:
        return []
    start, end = laid(road.way.length, max(KERB_STONE, road.way.length / MOST_STONES), 0.006)
    rng = np.random.default_rng(crc32(road.name.encode()) + side + 1)
    inner, outer = _ordered(side, road.half - 0.006, road.half + KERB_WIDTH)
    shade = 0.82 + 0.3 * rng.random((len(start), 1)) * np.ones(3)
    stones = Blocks(start, end, np.full(len(start), inner), np.full(len(start), outer), shade)
    stones = stones.chosen(~road.in_other_carriageway(stones.middles(road.way), 0.02))
    # What is seen in the joints.
    bed = Blocks(
        stones.start - 0.003,
        stones.end + 0.003,
        stones.left + 0.008,
        stones.right - 0.004,
        JOINT_SHADE * stones.tint,
    )
    lean = -0.0025 * rng.random(len(stones.start)) * np.ones((4, 1))
    return [
        blocks(
            f"{road.name}.kerb", "stone", road.way, stones, road.pavement,
            deep=0.34, chamfer=min(KERB_ROUND, model.kerb / 2), tilt=lean, wet=model.wet,
        ),
        blocks(
            f"{road.name}.kerb", "stone", road.way, bed, lambda x, y: road.pavement(x, y) - 0.012, deep=0.3, wet=model.wet
        ),
    ]  # fmt: skip


def strip(road: Road, side: int, width: float) -> tuple[float, float]:
    """Offsets of the pavement on one side, the lesser first."""
    inner = road.half + kerb_width(road.model)
    return _ordered(side, inner, inner + width)


def pavement(road: Road, side: int, width: float) -> list[Part | None]:
    """Flags or bays, and where there are joints, the bed below."""
    model, material = road.model, road.model.pavement_material
    first = road.half + kerb_width(model) - 0.002
    last = first + 0.002 + width
    if last - first < 0.1:
        return []
    label, jointed, laid_of_setts = f"{road.name}.pavement", material in SLABS, material == "cobbles"
    slabs = _clear(road, _slabs(road, side, first, last))
    rng = np.random.default_rng(crc32(road.name.encode()) + 10 + side)
    tilt = 0.0022 * (rng.random((4, len(slabs.start))) - 0.5) if jointed else None

    def top(x: Floats, y: Floats) -> Floats:
        height = road.pavement(x, y) - 0.004
        return (
            height - sunk_between_setts(nearest_eye(x, y, road.eyes), road.eyes) if laid_of_setts else height
        )

    found = [blocks(label, material, road.way, slabs, top, deep=0.3, tilt=tilt, wet=model.wet)]
    if jointed:
        start, end = laid(road.way.length, max(BAY, road.way.length / MOST_STONES), 0.0)
        low, high = _ordered(side, first + 0.003, last - 0.012)
        tint = np.full((len(start), 3), JOINT_SHADE)
        bed = _clear(road, Blocks(start, end, np.full(len(start), low), np.full(len(start), high), tint))
        found.append(
            blocks(
                label,
                material,
                road.way,
                bed,
                lambda x, y: road.pavement(x, y) - 0.015,
                deep=0.28,
                wet=model.wet,
            )
        )
    return found


def _clear(road: Road, bodies: Blocks) -> Blocks:
    """Those that lie in no other street's way."""
    middles = bodies.middles(road.way)
    return bodies.chosen(~road.in_other_carriageway(middles, KERB_WIDTH) & ~road.on_earlier_pavement(middles))


def _slabs(road: Road, side: int, first: float, last: float) -> Blocks:
    """Flags in columns whose joints are broken; bays of a sheet where the material has no slabs."""
    length = road.way.length
    rng = np.random.default_rng(crc32(road.name.encode()) + 20 + side)
    flagged = road.model.pavement_material in SLABS
    columns = max(1, round((last - first) / FLAG[0])) if flagged else 1
    size = max(FLAG[1] if flagged else BAY, columns * length / MOST_FLAGS)
    edges = np.linspace(first, last, columns + 1)
    joint = 0.007 if flagged else 0.0
    starts, ends, sides = [], [], []
    for column in range(columns):
        start, end = laid(length, size, joint, shift=0.5 * (column % 2))
        inner = edges[column] + (joint / 2 if column else 0.0)
        outer = edges[column + 1] - (joint / 2 if column < columns - 1 else 0.0)
        starts.append(start)
        ends.append(end)
        sides.append(np.tile(_ordered(side, inner, outer), (len(start), 1)))
    left, right = np.concatenate(sides).T
    shade = np.ones((len(left), 3))
    if flagged:
        shade = 0.84 + 0.26 * rng.random((len(left), 1)) ** 1.5
        shade = shade * (1.0 + 0.05 * (rng.random((len(left), 3)) - 0.5))
    return Blocks(np.concatenate(starts), np.concatenate(ends), left, right, shade)


def _ordered(side: int, inner: float, outer: float) -> tuple[float, float]:
    return (inner, outer) if side > 0 else (-outer, -inner)
