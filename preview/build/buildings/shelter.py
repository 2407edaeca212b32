"""Shelter: a roadside roof on posts, open to the front, with framed panels at its back and sides, with a bench."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from preview.build.mesh import Floats, Part
from preview.build.site import Site
from preview.build.solids import Heap, boxes, framed, heap_up, placed, plate
from preview.script.models.pieces.buildings import Shelter
from preview.script.street_plan import BENCH_FROM_BACK, BENCH_HEIGHT

POST = 0.08
ROOF = 0.13
"""Thickness of the roof with its fascia, metres: the underside lies this far below the shelter's height."""
SOLID = 0.75
"""Height of the solid lower part of the panels, metres."""
OVER = 0.15


def underside(model: Shelter) -> float:
    """Height of the roof's underside above the ground, metres."""
    return model.height - ROOF


def build_shelter(name: str, model: Shelter, site: Site) -> list[Part]:
    """The shelter; `height` is that of its roof's top."""
    heap: Heap = {}
    half_x, half_y = model.size[0] / 2, model.size[1] / 2
    _posts(heap, model, half_x, half_y)
    _panels(heap, model, half_x, half_y)
    _roof(heap, model, half_x, half_y)
    if model.bench and model.size[1] > 0.8 and model.size[0] > 0.9:
        _bench(heap, half_x, half_y)
    return placed(name, heap, azimuth=model.facing, at=[*model.at, 0.0])


def _posts(heap: Heap, model: Shelter, half_x: float, half_y: float) -> None:
    bays = max(1, round(model.size[0] / 1.8))
    back = np.linspace(POST / 2 - half_x, half_x - POST / 2, bays + 1)
    places = [(x, POST / 2 - half_y) for x in back] + [(x, half_y - POST / 2) for x in back[[0, -1]]]
    for x, y in places:
        heap_up(
            heap, "frame", model.material,
            boxes([x - POST / 2, y - POST / 2, -0.6], [x + POST / 2, y + POST / 2, underside(model) + 0.03]),
        )  # fmt: skip
    x, y, top = half_x, half_y, underside(model)
    for low, high in [
        ([-x + 0.01, y - 0.07, top - 0.09], [x - 0.01, y - 0.01, top + 0.02]),
        ([-x + 0.01, 0.01 - y, top - 0.085], [x - 0.01, 0.07 - y, top + 0.02]),
        ([0.012 - x, 0.03 - y, top - 0.08], [0.068 - x, y - 0.03, top + 0.018]),
        ([x - 0.068, 0.03 - y, top - 0.08], [x - 0.012, y - 0.03, top + 0.018]),
    ]:
        heap_up(heap, "frame", model.material, boxes(low, high))


def _panels(heap: Heap, model: Shelter, half_x: float, half_y: float) -> None:
    """Back and sides: a frame of bars, sheeted below, glazed above."""
    up = (0.0, 0.0, 1.0)
    top = underside(model) - 0.06
    bays = max(1, round(model.size[0] / 1.8))
    walls = [
        ((half_x, POST / 2 - half_y, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), model.size[0], bays, True),
        ((half_x - POST / 2, half_y, 0.0), (0.0, -1.0, 0.0), (-1.0, 0.0, 0.0), model.size[1], 1, False),
        ((POST / 2 - half_x, -half_y, 0.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0), model.size[1], 1, False),
    ]  # fmt: skip
    for origin, along, out, length, count, is_back in walls:
        first, last = POST / 2, length - POST / 2
        cuts = np.linspace(first, last, count + 1)
        for left, right in pairwise(cuts):
            if is_back is False and right - left < 0.3:
                continue
            pieces = _panel(left + POST / 2 - 0.004, right - POST / 2 + 0.004, top)
            heap_up(heap, "frame", model.material, *(framed(p, origin, along, up, out) for p in pieces))
            glass = plate((left + POST / 2, right - POST / 2), (SOLID - 0.01, top - 0.02), []).face(0.0)
            heap_up(heap, "pane", "window glass", framed(glass, origin, along, up, out))


def _panel(left: float, right: float, top: float) -> list[Floats]:
    low, bar, half = 0.12, 0.035, 0.016
    middle = 0.5 * (SOLID + top)
    holes = [
        (left + bar, low + bar, right - bar, SOLID - bar),
        (left + bar, SOLID, right - bar, middle),
        (left + bar, middle + bar, right - bar, top - bar),
    ]
    sheet = boxes([left + 0.01, low + 0.01, -0.006], [right - 0.01, SOLID - 0.01, 0.006])
    ribs = np.arange(left + 0.12, right - 0.09, 0.12)
    low_corner = np.stack([ribs - 0.008, np.full_like(ribs, low + 0.02), np.full_like(ribs, -0.011)], axis=1)
    ribbed = boxes(low_corner, low_corner + np.array([0.016, SOLID - low - 0.04, 0.022]))
    return [plate((left, right), (low, top), holes).body(-half, half), sheet, ribbed]


def _roof(heap: Heap, model: Shelter, half_x: float, half_y: float) -> None:
    x, y, low, high = half_x + OVER, half_y + OVER, underside(model), model.height
    heap_up(heap, "roof", "metal", boxes([0.012 - x, 0.012 - y, low], [x - 0.012, y - 0.012, high - 0.02]))
    ring = plate((-x, x), (-y, y), [(0.03 - x, 0.03 - y, x - 0.03, y - 0.03)])
    heap_up(heap, "roof", model.material, ring.body(low - 0.04, high))


def _bench(heap: Heap, half_x: float, half_y: float) -> None:
    """Slats on three legs before the back."""
    end, near = half_x - 0.3, BENCH_FROM_BACK - 0.1835 - half_y
    starts = near + 0.095 * np.arange(4)
    low = np.stack([np.full(4, -end), starts, np.full(4, BENCH_HEIGHT - 0.035)], axis=1)
    heap_up(heap, "bench", "weathered wood", boxes(low, low + np.array([2 * end, 0.082, 0.035])))
    for x in (0.18 - end, 0.0, end - 0.18):
        heap_up(
            heap, "bench", "dark paint",
            boxes([x - 0.025, near + 0.01, BENCH_HEIGHT - 0.085], [x + 0.025, near + 0.355, BENCH_HEIGHT - 0.033]),
            boxes([x - 0.02, near + 0.06, -0.3], [x + 0.02, near + 0.10, BENCH_HEIGHT - 0.08]),
            boxes([x - 0.02, near + 0.27, -0.3], [x + 0.02, near + 0.31, BENCH_HEIGHT - 0.08]),
        )  # fmt: skip
