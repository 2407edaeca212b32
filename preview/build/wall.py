"""Wall: free-standing masonry along a path, with its coping; with it the plain box."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from preview.build.course import band, is_closed, points_of, shortened, stones
from preview.build.mesh import Floats, Part
from preview.build.site import Site
from preview.build.solids import Heap, boxes, heap_up, placed
from preview.script.models.pieces.things import Box, Wall

COURSE, JOINT, SUNK = 0.075, 0.010, 0.005
"""Height of a brick course with its joint, the joint, and how deep it is raked out: metres. Common practice."""
COPING = 0.07


def build_wall(name: str, model: Wall, site: Site) -> list[Part]:
    """A wall of `height` over all; brick shows its bed joints. UserError for a path without length."""
    line = points_of(name, model.along)
    half, heap = model.thickness / 2, {}  # type: float, Heap
    coped = model.height > 0.5
    top = model.height - COPING + 0.01 if coped else model.height
    if model.material == "brick":
        heap_up(
            heap,
            "",
            "brick",
            _courses(line, half, top),
            band(shortened(line, SUNK), (SUNK - half, half - SUNK), (-0.2, top - 0.011)),
        )
    else:
        heap_up(heap, "", model.material, band(line, (-half, half), (-0.2, top)))
        heap_up(heap, "", model.material, *_plinth(line, half, model.height))
    if coped:
        over, under = half + 0.04, model.height - COPING
        cap = "stone" if model.material == "brick" else model.material
        heap_up(
            heap, "coping", cap,
            stones(line, (-over, over), (under, model.height), length=0.9, joint=0.005),
            band(shortened(line, 0.005), (0.004 - over, over - 0.004), (under + 0.003, model.height - 0.004)),
        )  # fmt: skip
    return placed(name, heap, azimuth=0.0, at=(0.0, 0.0, 0.0), wet=model.wet)


def _plinth(line: Floats, half: float, height: float) -> list[Floats]:
    if height < 1.0 or is_closed(line):
        return []
    return [band(line, (-half - 0.025, half + 0.025), (-0.21, 0.22))]


def _courses(line: Floats, half: float, top: float) -> Floats:
    """Brick courses as bands, each one brick high, with the joints between them left out."""
    count = max(1, round(top / COURSE))
    lines = np.linspace(0.0, top, count + 1)
    lines[0] = -0.15 + JOINT
    return np.concatenate(
        [
            band(line, (-half, half), (low if number == 0 else low + JOINT, high))
            for number, (low, high) in enumerate(pairwise(lines))
        ]
    )


def build_box(name: str, model: Box, site: Site) -> list[Part]:
    """A plain box: `size` along x, along y, up, before its turn about the middle of its plan."""
    width, depth, height = model.size
    heap: Heap = {}
    heap_up(heap, "", model.material, boxes([-width / 2, -depth / 2, 0.0], [width / 2, depth / 2, height]))
    return placed(name, heap, azimuth=model.turn, at=[*model.at, model.height], wet=model.wet)
