"""Street: a carriageway between kerb stones and pavements."""

from __future__ import annotations

import numpy as np

from preview.build.course import band, points_of, stones
from preview.build.mesh import Floats, Part
from preview.build.site import Site
from preview.build.solids import Heap, heap_up, placed
from preview.script.models.pieces.ground import Street

CARRIAGEWAY = 0.04
"""Height of the carriageway above the ground, metres: it lies on the ground, never in its plane."""
KERB_STONE, KERB_WIDTH = 0.915, 0.125
BAY = 1.5
"""Length of a pavement bay, metres."""
MOST_PIECES = 220
"""Of kerb stones or bays along one side: a longer street gets longer ones."""
DASH, DASH_GAP, DASH_WIDTH = 2.0, 4.0, 0.1
PAINT = 0.003
"""Thickness of the line's paint, metres."""


def pavement_height(model: Street) -> float:
    """Height of the pavements above the ground, metres."""
    return CARRIAGEWAY + model.kerb


def build_street(name: str, model: Street, site: Site) -> list[Part]:
    """Carriageway, kerbs, pavements, centre line. UserError for a path without length."""
    line = points_of(name, model.along)
    length = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
    half, top = model.width / 2, pavement_height(model)
    heap: Heap = {}
    heap_up(heap, "carriageway", model.material, band(line, (-half, half), (-0.1, CARRIAGEWAY)))
    for side, pavement in zip((-1, 1), model.pavement, strict=True):
        if model.kerb > 0.01:
            edges = (half, half + KERB_WIDTH)
            heap_up(
                heap, "kerb", "stone",
                stones(
                    line, _ordered(side, half - 0.006, edges[1]), (-0.12, top),
                    length=max(KERB_STONE, length / MOST_PIECES), joint=0.006,
                ),
                band(line, _ordered(side, half - 0.002, edges[1] - 0.004), (-0.11, top - 0.006)),
            )  # fmt: skip
        else:
            edges = (half, half - 0.002)
        if pavement > 0:
            inner, outer = edges[1] - 0.002, edges[1] + pavement
            heap_up(
                heap, "pavement", model.pavement_material,
                stones(
                    line, _ordered(side, inner, outer), (-0.13, top - 0.004),
                    length=max(BAY, length / MOST_PIECES), joint=0.008,
                ),
                band(line, _ordered(side, inner + 0.001, outer - 0.01), (-0.14, top - 0.012)),
            )  # fmt: skip
    if model.centre_line:
        heap_up(heap, "line", "white paint", _dashes(line))
    return placed(name, heap, azimuth=0.0, at=(0.0, 0.0, 0.0), wet=model.wet)


def _ordered(side: int, inner: float, outer: float) -> tuple[float, float]:
    return (inner, outer) if side > 0 else (-outer, -inner)


def _dashes(line: Floats) -> Floats:
    """The broken line along the middle."""
    return stones(
        line, (-DASH_WIDTH / 2, DASH_WIDTH / 2), (CARRIAGEWAY - 0.01, CARRIAGEWAY + PAINT),
        length=DASH + DASH_GAP, joint=DASH_GAP,
    )  # fmt: skip
