"""Porch: floor boards, posts and beam, rail, steps, and a lean-to roof along the front of a house.

In the front wall's frame: a from its left end seen from outside, b above the ground, c out of the wall's face.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import cos, radians, tan

import numpy as np

from preview.build.buildings.porch_things import furnish_porch
from preview.build.buildings.roof import Eaves, cover, eaves
from preview.build.mesh import Floats
from preview.build.pile import Pile, of_quads, shades
from preview.build.solids import boxes, extruded, heap_up
from preview.script.house_plan import porch_span, porch_steps, wall_frame, wall_top
from preview.script.models.pieces.buildings import House, Porch

BOARD, GAP = 0.115, 0.007
"""Width of a floor board and of the gap beside it, metres."""
POST = 0.12
FURTHEST_POSTS = 2.6
SLAB = 0.08
RAIL_HEIGHT = 0.9
UNDER_FLOOR = 0.03
"""Thickness of the floor boards."""


@dataclass(frozen=True)
class Leanto:
    """Heights above the ground, metres, in the section through porch and house.

    `ceiling` of the porch; the roof's underside is `edge` over the porch's front and climbs by `slope` towards the
    house as far as `end` (metres out of the wall; negative reaches into the main roof).
    """

    ceiling: float
    edge: float
    slope: float
    end: float


def build_porch(
    pile: Pile, house: House, porch: Porch, rng: np.random.Generator, eyes: Floats, deep: float
) -> None:
    """Adds the porch to the house's pile; its base goes `deep` into the ground. `eyes` (n, 3) are the cameras, local.

    One no deeper than the eaves stays without posts and roof.
    """
    span = porch_span(house)
    frame = wall_frame(house, "front")
    own = Pile()
    _floor(own, house, porch, span, rng, deep)
    _steps(own, house, porch)
    edge = eaves(house)
    overhang = edge.half_y - house.size[1] / 2
    if porch.depth > overhang + 0.4:
        roof = leanto(house, porch, edge)
        _posts(own, house, porch, span, roof)
        axes = np.array([frame.along, (0.0, 0.0, 1.0), frame.outward])
        _roof(own, house, porch, span, roof, rng, (eyes - frame.start) @ axes.T)
        furnish_porch(own, house, roof.ceiling)
    pile.poured(own, frame.start, frame.along, (0.0, 0.0, 1.0), frame.outward)


def leanto(house: House, porch: Porch, edge: Eaves) -> Leanto:
    """The section of the porch's roof: it runs on to a pitched roof above its eaves, or stays below flat ones."""
    overhang = edge.half_y - house.size[1] / 2
    main = 0.0 if house.roof.shape == "flat" else tan(house.roof.pitch)
    slope = tan(radians(12))
    if main > 1.3 * slope:
        ceiling = edge.low - 0.05
        start = ceiling + 0.10
        least = edge.high + 0.08 - (start + SLAB)
        slope = max(slope, least / (porch.depth - overhang))
        # Where the top of the lean-to dips 2 cm into the main roof: out of the wall, both lines in c.
        end = (start + SLAB + slope * porch.depth - edge.high - main * overhang + 0.02) / (slope - main)
        if slope < 0.9 * main and -house.size[1] / 2 < end < porch.depth:
            return Leanto(ceiling, start, slope, float(end))
    slope = tan(radians(6))
    top = (edge.low if house.roof.shape != "flat" else wall_top(house)) - 0.05
    return Leanto(top - SLAB - 0.10 - slope * porch.depth, top - SLAB - slope * porch.depth, slope, -0.03)


def _floor(
    heap: Pile, house: House, porch: Porch, span: tuple[float, float], rng: np.random.Generator, deep: float
) -> None:
    """Boards across the porch on a base."""
    left, right = span
    top = max(house.floor, 0.003)
    count = max(1, int((right - left) / (BOARD + GAP)))
    pitch = (right - left + GAP) / count
    starts = left + pitch * np.arange(count)
    low = np.stack([starts, np.full(count, top - UNDER_FLOOR), np.full(count, -0.01)], axis=1)
    high = low + np.array([pitch - GAP, UNDER_FLOOR, porch.depth + 0.04])
    tint = of_quads(shades(rng, count, light=0.13, hue=0.03), 6)
    heap.add("porch", "weathered wood", boxes(low, high), tint=tint)
    if top < 0.12:
        return
    depth = porch.depth
    heap_up(
        heap, "porch", "stone",
        boxes([left + 0.06, -deep, -0.012], [right - 0.06, top - 0.07, depth - 0.06]),
    )  # fmt: skip
    under, apron = top - UNDER_FLOOR - 0.002, max(top - 0.22, 0.03)
    heap_up(
        heap, "porch", house.trim,
        boxes([left + 0.02, apron, depth - 0.075], [right - 0.02, under, depth - 0.025]),
        boxes([left + 0.0215, apron + 0.0015, -0.011], [left + 0.0585, under - 0.0015, depth - 0.03]),
        boxes([right - 0.0585, apron + 0.0015, -0.011], [right - 0.0215, under - 0.0015, depth - 0.03]),
    )  # fmt: skip


def _steps(heap: Pile, house: House, porch: Porch) -> None:
    """The flight to the ground: a painted carriage under treads with a nosing."""
    steps = porch_steps(house)
    if steps.count < 2:
        return
    start, rise, going = porch.depth, steps.riser, steps.tread
    count = steps.count - 1
    outline = [(-0.6, start - 0.05), (-0.6, start + count * going - 0.02)]
    for step in range(count, 0, -1):
        under = house.floor - step * rise - 0.035
        outline += [(under, start + step * going - 0.02), (under, start + (step - 1) * going - 0.02)]
    outline.append((house.floor - rise - 0.035, start - 0.05))
    heap_up(heap, "steps", house.trim, extruded(outline, steps.left + 0.025, steps.right - 0.025))
    for step in range(1, steps.count):
        top = house.floor - step * rise
        near, far = start + (step - 1) * going - 0.022, start + step * going
        heap_up(
            heap, "steps", "weathered wood", boxes([steps.left, top - 0.04, near], [steps.right, top, far])
        )


def post_lines(house: House) -> list[float]:
    """Middles of the porch's posts in the front wall's frame, from left to right: at its ends, its steps, between."""
    left, right = porch_span(house)
    steps = porch_steps(house)
    fixed = [left + POST / 2, right - POST / 2]
    for place in (steps.left - POST / 2, steps.right + POST / 2):
        if all(abs(place - other) > 0.45 for other in fixed) and fixed[0] < place < fixed[1]:
            fixed.append(place)
    fixed.sort()
    lines = [fixed[0]]
    for start, end in pairwise(fixed):
        count = max(1, int(np.ceil((end - start) / FURTHEST_POSTS)))
        lines += [start + (end - start) * i / count for i in range(1, count + 1)]
    return lines


def _posts(heap: Pile, house: House, porch: Porch, span: tuple[float, float], roof: Leanto) -> None:
    """Posts with foot and head, the beam on them, the rail between them."""
    left, right = span
    floor, front = max(house.floor, 0.003), porch.depth - POST / 2
    lines = post_lines(house)
    beam = min(0.20, max(0.12, roof.ceiling - floor - 2.1))
    under = roof.ceiling - beam
    for middle in lines:
        for half, low, high in [
            (POST / 2, floor - 0.01, under + 0.02),
            (POST / 2 + 0.018, floor - 0.009, floor + 0.16),
            (POST / 2 + 0.015, under - 0.14, under - 0.11),
            (POST / 2 + 0.025, under - 0.03, under + 0.015),
        ]:
            heap_up(
                heap, "porch", house.trim,
                boxes([middle - half, low, front - half], [middle + half, high, front + half]),
            )  # fmt: skip
    heap_up(
        heap, "porch", house.trim,
        boxes([left - 0.01, under, front - 0.07], [right + 0.01, roof.ceiling + 0.03, front + 0.07]),
        boxes([left - 0.005, under + 0.004, -0.01], [left + 0.115, roof.ceiling + 0.02, front - 0.02]),
        boxes([right - 0.115, under + 0.004, -0.01], [right + 0.005, roof.ceiling + 0.02, front - 0.02]),
    )  # fmt: skip
    if not porch.rail:
        return
    steps = porch_steps(house)
    for start, end in pairwise(lines):
        middle = 0.5 * (start + end)
        if steps.left < middle < steps.right:
            continue
        _rail(heap, house, (start + POST / 2, end - POST / 2), front, floor, turn=False)
    for aside in (lines[0], lines[-1]):
        _rail(heap, house, (0.0, front - POST / 2), aside, floor, turn=True)


def _rail(
    heap: Pile, house: House, reach: tuple[float, float], beside: float, floor: float, *, turn: bool
) -> None:
    """A rail with balusters over `reach`, at `beside`; along the wall, or out of it when turned."""
    start, end = reach
    if end - start < 0.15:
        return

    def bars(low: Floats, high: Floats) -> Floats:
        if turn:
            low, high = low[..., [2, 1, 0]], high[..., [2, 1, 0]]
        return boxes(low, high)

    pieces = []
    for bottom, top, half in [
        (floor + 0.09, floor + 0.145, 0.022),
        (floor + RAIL_HEIGHT - 0.085, floor + RAIL_HEIGHT - 0.04, 0.022),
        (floor + RAIL_HEIGHT - 0.042, floor + RAIL_HEIGHT, 0.042),
    ]:
        pieces.append(
            bars(
                np.array([start - 0.006, bottom, beside - half]), np.array([end + 0.006, top, beside + half])
            )
        )
    count = max(1, round((end - start) / 0.125))
    middles = start + (end - start) * (np.arange(count) + 0.5) / count
    low = np.stack([middles - 0.014, np.full(count, floor + 0.13), np.full(count, beside - 0.014)], axis=1)
    high = low + np.array([0.028, RAIL_HEIGHT - 0.2, 0.028])
    pieces.append(bars(low, high))
    heap_up(heap, "porch", house.trim, *pieces)


def _roof(
    heap: Pile,
    house: House,
    porch: Porch,
    span: tuple[float, float],
    roof: Leanto,
    rng: np.random.Generator,
    eyes: Floats,
) -> None:
    """Ceiling, cheeks and the tiled lean-to."""
    left, right = span
    depth = porch.depth

    def underside(out: float) -> float:
        return roof.edge + roof.slope * (depth - out)

    front, back = depth - 0.03, -0.03
    head = min(max(wall_top(house) + 0.03, roof.ceiling + 0.05), underside(roof.end))
    filling = [
        (roof.ceiling, front), (underside(front) + 0.03, front), (underside(roof.end) + 0.03, roof.end),
        (head, back), (roof.ceiling, back),
    ]  # fmt: skip
    heap_up(heap, "porch", house.trim, extruded(filling, left + 0.012, right - 0.012))
    lip, thick = depth + 0.25, SLAB / cos(np.arctan(roof.slope))
    # Over a whole front the lean-to covers the ends of the eaves under it.
    aside = max(0.18, house.roof.overhang + 0.05) if left < 0.1 else 0.18
    a0, a1 = left - aside, right + aside
    slab = [
        (underside(lip), lip), (underside(lip) + thick, lip),
        (underside(roof.end) + thick, roof.end), (underside(roof.end), roof.end),
    ]  # fmt: skip
    heap_up(heap, "porch", house.trim, extruded(slab, a0, a1))
    low, high = underside(lip) - 0.025, underside(lip) + thick - 0.008
    heap_up(heap, "porch", house.trim, boxes([a0 - 0.004, low, lip - 0.005], [a1 + 0.004, high, lip + 0.02]))
    section = [(b + shift, c) for b, c, shift in zip(
        [slab[0][0], slab[1][0], slab[2][0], slab[3][0]], [lip, lip, roof.end + 0.05, roof.end + 0.05],
        [-0.02, 0.03, 0.03, -0.02], strict=True,
    )]  # fmt: skip
    for inner, outer in ((a0 + 0.004, a0 - 0.018), (a1 - 0.004, a1 + 0.018)):
        heap_up(heap, "porch", house.trim, extruded(section, min(inner, outer), max(inner, outer)))
    eave, upper = underside(lip) + thick, underside(roof.end) + thick
    # Counterclockwise from above, from the eave: in this frame up is b and the plane falls towards +c.
    plane = np.array([[a0, eave, lip], [a1, eave, lip], [a1, upper, roof.end], [a0, upper, roof.end]])
    cover(heap, "porch", house.roof.material, plane, rng, eyes)
