"""What a porch is furnished with: a bracket and shade over its lamp, a swing on chains or a bench.

In the front wall's frame: a from its left end, b above the ground, c out of the wall's face.
"""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.pile import Pile, of_quads
from preview.build.solids import boxes, hexahedra, round_bar, turned_on_lathe
from preview.script.house_plan import SEAT_HEIGHT, SEAT_WIDTH, porch_lamp, porch_seat, wall_frame
from preview.script.models.pieces.buildings import House

SHADE_ABOVE = 0.095
"""How far the rim of the lamp's shade is above the middle of the bulb, metres: a lantern fits under it."""
SHADE_RADIUS = 0.125
LINK = 0.045
"""From one link of a chain to the next."""


def furnish_porch(pile: Pile, house: House, ceiling: float) -> None:
    """Adds the lamp's bracket, and the seat where one is asked for; `ceiling` is the porch's, above the ground."""
    _bracket(pile, house, ceiling)
    seat = porch_seat(house)
    if seat is None or house.porch is None:
        return
    middle, _, out = _in_front(house, seat)
    floor = max(house.floor, 0.003)
    if house.porch.seat == "swing":
        _swing(pile, middle, floor, out, ceiling)
    else:
        _bench(pile, middle, floor, out)


def _in_front(house: House, point: Floats) -> Floats:
    frame = wall_frame(house, "front")
    away = point - frame.start
    return np.array([away @ frame.along, away[2], away @ frame.outward])


def _bracket(pile: Pile, house: House, ceiling: float) -> None:
    """A plate on the wall, an arm that curves out of it, a shallow enamelled shade under its end, over the bulb."""
    a, b, c = _in_front(house, porch_lamp(house))
    rim = b + SHADE_ABOVE
    top = min(rim + 0.22, ceiling - 0.03)
    if top - rim < 0.10:
        return
    pile.add(
        "porch.bracket", "dark paint", boxes([a - 0.035, top - 0.13, -0.02], [a + 0.035, top - 0.01, 0.034])
    )
    turn = np.linspace(0.0, 1.0, 12)
    arm = np.stack(
        [
            np.full(12, a),
            top - 0.07 + (0.06 * np.sin(np.pi * turn)) - (0.015 * turn),
            0.03 + (c - 0.03) * turn,
        ],
        axis=1,
    )
    _rod(pile, "porch.bracket", "dark paint", arm, 0.009)
    _rod(pile, "porch.bracket", "dark paint", [[a, rim + 0.08, c], [a, arm[-1, 1] + 0.006, c]], 0.011)
    # Outside and inside of the shade as one closed shell, drawn up outside and down again inside.
    profile = np.array([(SHADE_RADIUS, 0.0), (0.075, 0.045), (0.034, 0.062), (0.022, 0.088), (0.0, 0.090)])
    inner = np.array(
        [(0.0, 0.078), (0.020, 0.060), (0.070, 0.036), (SHADE_RADIUS - 0.003, 0.0), (SHADE_RADIUS, 0.0)]
    )
    for line, material in ((profile, "green paint"), (inner, "white paint")):
        shell = turned_on_lathe("", "", line, centre=[0.0, 0.0, 0.0], sides=28)
        place = shell.vertices[:, [1, 2, 0]] + [a, rim, c]
        normals = shell.normals[:, [1, 2, 0]]
        pile.add("porch.bracket", material, place[shell.faces], normals=normals[shell.faces])


def _rod(pile: Pile, part: str, material: str, path: object, radius: float, *, sides: int = 8) -> None:
    line = np.asarray(path, dtype=float)
    bar = round_bar("", "", line, np.full(len(line), radius), sides=sides)
    pile.add(part, material, bar.vertices[bar.faces], normals=bar.normals[bar.faces])


def _seat(pile: Pile, part: str, middle: float, top: float, front: float, *, material: str) -> None:
    """Slats of a seat and of its leaning back between two arms; `front` is c of the seat's front edge."""
    half = 0.5 * SEAT_WIDTH
    low = np.array([middle - half, top - 0.022, front - 0.064]) - np.arange(6)[:, None] * [0.0, 0.0, 0.075]
    slats = boxes(low, low + np.array([SEAT_WIDTH, 0.022, 0.064]))
    shade = 1.0 + 0.12 * np.sin(7.3 * np.arange(6))
    pile.add(part, material, slats, tint=of_quads(np.repeat(shade[:, None], 3, axis=1), 6))
    back = front - 0.44
    lean = 0.22
    rails = np.array([0.02, 0.46])
    for low in rails:
        corners = _leaning(middle - half, middle + half, top + low, top + low + 0.05, back, lean, top, 0.022)
        pile.add(part, material, corners)
    uprights = np.linspace(middle - half + 0.05, middle + half - 0.05, 12)
    for a in uprights:
        pile.add(
            part,
            material,
            _leaning(a - 0.02, a + 0.02, top + 0.05, top + 0.475, back - 0.004, lean, top, 0.014),
        )
    for a in (middle - half + 0.01, middle + half - 0.06):
        pile.add(part, material, boxes([a, top - 0.072, back - 0.06], [a + 0.05, top - 0.021, front - 0.03]))
        pile.add(
            part,
            material,
            boxes([a + 0.005, top - 0.03, front - 0.09], [a + 0.045, top + 0.22, front - 0.05]),
        )
        pile.add(
            part, material, boxes([a - 0.01, top + 0.215, back - 0.06], [a + 0.06, top + 0.24, front - 0.02])
        )


def _leaning(
    a0: float, a1: float, low: float, high: float, out: float, lean: float, foot: float, thick: float
) -> Floats:
    """A board that leans back by `lean` for each metre above `foot`."""
    corners = np.empty((1, 8, 3))
    for corner in range(8):
        height = high if corner >> 1 & 1 else low
        c = out - lean * (height - foot) + (0.0 if corner >> 2 else -thick)
        corners[0, corner] = [a1 if corner & 1 else a0, height, c]
    return hexahedra(corners)


def _swing(pile: Pile, middle: float, floor: float, out: float, ceiling: float) -> None:
    """A bench that hangs from the ceiling by four chains, two to each arm."""
    top, front = floor + SEAT_HEIGHT, out + 0.22
    _seat(pile, "porch.swing", middle, top, front, material="white paint")
    half = 0.5 * SEAT_WIDTH
    for side in (-1, 1):
        hook = np.array([middle + side * (half + 0.02), ceiling + 0.005, out - 0.05])
        knot = np.array([hook[0], min(top + 0.85, ceiling - 0.2), out - 0.04])
        chains = [(hook, knot)]
        for c in (front - 0.075, front - 0.47):
            chains.append((knot, np.array([hook[0], top - 0.045, c])))
            pile.add("porch.swing", "metal", boxes(
                [min(hook[0], hook[0] - side * 0.06), top - 0.055, c - 0.008],
                [max(hook[0], hook[0] - side * 0.06) + 0.001, top - 0.035, c + 0.008],
            ))  # fmt: skip
        for start, end in chains:
            _chain(pile, start, end)


def _chain(pile: Pile, start: Floats, end: Floats) -> None:
    """Links, each turned a quarter from the next, as flat rings of four bars."""
    length = float(np.linalg.norm(end - start))
    along = (end - start) / length
    aside = np.cross(along, [0.0, 0.0, 1.0] if abs(along[2]) < 0.9 else [1.0, 0.0, 0.0])
    aside /= np.linalg.norm(aside)
    other = np.cross(along, aside)
    count = max(1, round(length / LINK))
    half, wide, thick = 0.5 * length / count + 0.006, 0.011, 0.0028
    ring = np.concatenate(
        [
            boxes([-half, -wide, -thick], [half, -wide + 2 * thick, thick]),
            boxes([-half, wide - 2 * thick, -thick], [half, wide, thick]),
            boxes([-half + 5e-4, 5e-4 - wide, -thick * 0.8], [-half + 2 * thick, wide - 5e-4, thick * 0.8]),
            boxes([half - 2 * thick, 5e-4 - wide, -thick * 0.8], [half - 5e-4, wide - 5e-4, thick * 0.8]),
        ]
    )
    for number in range(count):
        one, two = (aside, other) if number % 2 else (other, -aside)
        axes = np.array([along, one, two])
        at = start + (end - start) * (number + 0.5) / count
        pile.add("porch.swing", "metal", ring @ axes + at)


def _bench(pile: Pile, middle: float, floor: float, out: float) -> None:
    """A bench on four legs."""
    top, front = floor + SEAT_HEIGHT, out + 0.24
    _seat(pile, "porch.bench", middle, top, front, material="weathered wood")
    half = 0.5 * SEAT_WIDTH
    for a in (middle - half + 0.015, middle + half - 0.055):
        for c in (front - 0.09, front - 0.44):
            pile.add(
                "porch.bench", "weathered wood", boxes([a, floor - 0.01, c], [a + 0.04, top - 0.03, c + 0.04])
            )
