"""Interior: what is seen of a room through its windows: a table under a lamp's flex, shelves, pictures, a standing lamp.

Things by a wall are in that wall's frame, where c is minus the wall's thickness at its inner face; others in the house's.
"""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.pile import Pile, of_quads
from preview.build.solids import boxes, plate, turned_on_lathe
from preview.script.house_plan import WALLS, Bounds, bounds, wall_frame, wall_top
from preview.script.models.pieces.buildings import House, Wall4

LAMP_OVER_FLOOR = 1.5
"""Of the place that a room's lamp is named by, metres: flex and table leave it free."""
BOOKS = np.array(
    [[0.30, 0.06, 0.05], [0.06, 0.10, 0.20], [0.10, 0.16, 0.08], [0.40, 0.33, 0.20], [0.20, 0.12, 0.06],
     [0.05, 0.05, 0.06], [0.45, 0.40, 0.34], [0.28, 0.17, 0.05]]
)  # fmt: skip
"""Colours of books' backs, linear, against white card."""
UP = (0.0, 0.0, 1.0)


def furnish(pile: Pile, house: House, rng: np.random.Generator) -> None:
    """Adds to a house's pile what its room holds, as far as there is room."""
    room = np.array(house.size) - 2 * house.thickness
    if room.min() < 2.2:
        return
    floor, ceiling = max(house.floor, 0.003), wall_top(house)
    order: list[Wall4] = ["back", "left", "right", "front"]
    shelves = 0
    for wall in order:
        frame, own = wall_frame(house, wall), Pile()
        inner = -house.thickness
        holes = [bounds(house, opening) for opening in (*house.windows, *house.doors) if opening.wall == wall]
        _skirting(own, holes, frame.length, house.thickness, floor, WALLS.index(wall))
        for start, end in _free(holes, frame.length, house.thickness):
            if wall != "front" and shelves < 2 and end - start > 1.2:
                shelves += 1
                _shelves(own, start + 0.08, inner, floor, min(1.9, ceiling - floor - 0.3), rng)
                start += 1.15
            stations = np.arange(start + 0.55, end - 0.3, 1.35)
            for number, middle in enumerate(stations):
                if wall != "front" and number % 2 == 0 and end - start > 1.3 and middle + 0.55 < end:
                    _chest(own, middle, inner, floor, rng)
                _picture(own, middle, inner, floor + 1.58, rng)
        pile.poured(own, frame.start, frame.along, UP, frame.outward)
    _flex(pile, ceiling, floor)
    if room.min() > 2.8:
        _table(pile, floor, rng)
    corner = np.array([0.5 * room[0] - 0.45, -0.5 * room[1] + 0.45])
    _standing_lamp(pile, corner, floor)


def _free(holes: list[Bounds], length: float, thickness: float) -> list[tuple[float, float]]:
    """Stretches of a wall's inside without openings or curtains before them."""
    taken = sorted((hole.left - 0.3, hole.right + 0.3) for hole in holes)
    starts = [thickness + 0.1, *(end for _, end in taken)]
    ends = [*(start for start, _ in taken), length - thickness - 0.1]
    return [(a, b) for a, b in zip(starts, ends, strict=True) if b - a > 0.5]


def _skirting(
    own: Pile, holes: list[Bounds], length: float, thickness: float, floor: float, number: int
) -> None:
    cuts = [(h.left - 0.07, h.bottom - 1.0, h.right + 0.07, h.top) for h in holes if h.bottom < floor + 0.3]
    board = plate(
        (thickness - 0.01, length - thickness + 0.01), (floor - 0.01, floor + 0.13 + 0.001 * number), cuts
    )
    own.add("furniture", "white paint", board.body(-thickness - 0.018 - 0.001 * number, -thickness + 0.006))


def _shelves(
    own: Pile, a: float, inner: float, floor: float, height: float, rng: np.random.Generator
) -> None:
    """A bookcase with its back to the wall, most of its shelves full."""
    width, deep = 0.95, 0.30
    back, front = inner - 0.025, inner - 0.025 - deep
    own.add("furniture", "varnished wood", boxes([a, floor, front], [a + 0.025, floor + height, back]))
    own.add(
        "furniture",
        "varnished wood",
        boxes([a + width - 0.025, floor, front], [a + width, floor + height, back]),
    )
    own.add(
        "furniture",
        "varnished wood",
        boxes(
            [a + 0.02, floor + 0.01, back - 0.012], [a + width - 0.02, floor + height - 0.005, back - 0.002]
        ),
    )
    levels = np.linspace(0.06, height - 0.03, max(3, round(height / 0.34)))
    for number, level in enumerate(levels):
        low = floor + level
        own.add(
            "furniture",
            "varnished wood",
            boxes([a + 0.022, low, front + 0.004], [a + width - 0.022, low + 0.024, back - 0.006]),
        )
        if number == len(levels) - 1:
            continue
        room = levels[number + 1] - level - 0.03
        widths = 0.018 + 0.035 * rng.random(40)
        starts = a + 0.03 + np.concatenate([[0.0], np.cumsum(widths)[:-1]])
        gaps = 0.16 * np.floor(rng.random() * 2.2) * (np.arange(40) > 14)
        starts = starts + gaps
        kept = (starts + widths < a + width - 0.03) & (rng.random(40) < 0.95)
        starts, widths = starts[kept], widths[kept]
        count = len(starts)
        tall = room * (0.62 + 0.33 * rng.random(count))
        into = 0.02 + 0.05 * rng.random(count)
        lows = np.stack([starts, np.full(count, low + 0.0235), front + into], axis=1)
        highs = np.stack([starts + widths - 0.001, low + 0.0235 + tall, np.full(count, back - 0.05)], axis=1)
        tint = BOOKS[rng.integers(0, len(BOOKS), count)] / 0.9 * (0.7 + 0.5 * rng.random((count, 1)))
        own.add("furniture", "white card", boxes(lows, highs), tint=of_quads(tint, 6))


def _chest(own: Pile, middle: float, inner: float, floor: float, rng: np.random.Generator) -> None:
    """A chest of drawers with a bowl on it."""
    half, deep, height = 0.48, 0.42, 0.86
    back, front = inner - 0.03, inner - 0.03 - deep
    own.add(
        "furniture",
        "wood",
        boxes([middle - half, floor + 0.08, front], [middle + half, floor + height - 0.02, back]),
    )
    own.add(
        "furniture",
        "wood",
        boxes(
            [middle - half - 0.015, floor + height - 0.022, front - 0.02],
            [middle + half + 0.015, floor + height, back + 0.004],
        ),
    )
    for a in (middle - half + 0.03, middle + half - 0.08):
        for c in (front + 0.03, back - 0.08):
            own.add("furniture", "wood", boxes([a, floor - 0.002, c], [a + 0.05, floor + 0.085, c + 0.05]))
    for number in range(3):
        low = floor + 0.12 + 0.235 * number
        own.add(
            "furniture",
            "wood",
            boxes(
                [middle - half + 0.025, low, front - 0.012],
                [middle + half - 0.025, low + 0.215, front + 0.01],
            ),
            tint=[0.9, 0.88, 0.86],
        )
        for side in (-0.24, 0.24):
            own.add(
                "furniture",
                "tarnished metal",
                boxes(
                    [middle + side - 0.018, low + 0.10, front - 0.03],
                    [middle + side + 0.018, low + 0.118, front - 0.01],
                ),
            )
    bowl = [(0.0, 0.0), (0.05, 0.0), (0.13, 0.07), (0.14, 0.085), (0.125, 0.075), (0.0, 0.02)]
    place = [middle + 0.2 * (rng.random() - 0.5), floor + height - 0.001, 0.5 * (front + back)]
    _turned(own, "white card", bowl, place, tint=[0.35, 0.42, 0.55])


def _turned(
    own: Pile,
    material: str,
    profile: list[tuple[float, float]],
    at: list[float],
    *,
    tint: list[float] | None = None,
) -> None:
    """A body of revolution in a wall's frame."""
    shape = turned_on_lathe("", "", profile, centre=[0.0, 0.0, 0.0], sides=20)
    points, normals = shape.vertices[:, [1, 2, 0]] + at, shape.normals[:, [1, 2, 0]]
    own.add("furniture", material, points[shape.faces], tint=tint, normals=normals[shape.faces])


def _picture(own: Pile, middle: float, inner: float, height: float, rng: np.random.Generator) -> None:
    """A frame with a mount round a painted landscape."""
    wide = 0.5 + 0.2 * rng.random()
    tall = wide * (0.72 if rng.random() < 0.6 else 1.25)
    a0, a1, b0, b1 = middle - 0.5 * wide, middle + 0.5 * wide, height - 0.5 * tall, height + 0.5 * tall
    frame = plate((a0, a1), (b0, b1), [(a0 + 0.035, b0 + 0.035, a1 - 0.035, b1 - 0.035)])
    back = plate((a0 + 0.01, a1 - 0.01), (b0 + 0.01, b1 - 0.01), [])
    mount = plate(
        (a0 + 0.03, a1 - 0.03), (b0 + 0.03, b1 - 0.03), [(a0 + 0.085, b0 + 0.085, a1 - 0.085, b1 - 0.085)]
    )
    for piece, material, near, far in (
        (frame, "varnished wood", inner - 0.030, inner - 0.004),
        (mount, "white card", inner - 0.016, inner - 0.008),
        (back, "wood", inner - 0.0085, inner - 0.003),
    ):
        own.add("furniture", material, piece.body(near, far))
    lines = b0 + 0.08 + np.array([0.0, 0.3, 0.52, 1.0]) * (tall - 0.16)
    tints = np.array([[0.16, 0.20, 0.09], [0.10, 0.15, 0.13], [0.42, 0.50, 0.58]]) * (
        0.7 + 0.6 * rng.random()
    )
    for low, high, tint in zip(lines[:-1], lines[1:], tints, strict=True):
        sheet = plate((a0 + 0.08, a1 - 0.08), (low, high), []).face(inner - 0.010, back=True)
        own.add("furniture", "white card", sheet, tint=tint)


def _flex(pile: Pile, ceiling: float, floor: float) -> None:
    """From the ceiling to over where the room's lamp hangs."""
    low = floor + LAMP_OVER_FLOOR + 0.24
    if ceiling - low < 0.1:
        return
    pile.add("furniture", "white paint", boxes([-0.0035, -0.0035, low], [0.0035, 0.0035, ceiling + 0.01]))
    rose = turned_on_lathe(
        "",
        "",
        [(0, 0), (0.02, 0), (0.05, 0.03), (0.05, 0.045), (0, 0.045)],
        centre=[0, 0, ceiling - 0.04],
        sides=16,
    )
    pile.add("furniture", "white paint", rose.vertices[rose.faces], normals=rose.normals[rose.faces])


def _table(pile: Pile, floor: float, rng: np.random.Generator) -> None:
    """A table under the lamp, laid with a cloth's runner, a jug and cups, two chairs drawn up."""
    top = floor + 0.75
    half_x, half_y = 0.7, 0.42
    pile.add("furniture", "varnished wood", boxes([-half_x, -half_y, top - 0.03], [half_x, half_y, top]))
    pile.add(
        "furniture",
        "varnished wood",
        boxes([-half_x + 0.06, -half_y + 0.06, top - 0.11], [half_x - 0.06, half_y - 0.06, top - 0.028]),
    )
    for x in (-half_x + 0.04, half_x - 0.10):
        for y in (-half_y + 0.04, half_y - 0.10):
            pile.add(
                "furniture", "varnished wood", boxes([x, y, floor - 0.002], [x + 0.06, y + 0.06, top - 0.029])
            )
    pile.add(
        "furniture",
        "light cloth",
        boxes([-0.2, -half_y - 0.004, top - 0.002], [0.2, half_y + 0.004, top + 0.003]),
    )
    jug = [(0, 0), (0.05, 0), (0.07, 0.06), (0.045, 0.15), (0.055, 0.2), (0.045, 0.2), (0, 0.12)]
    cup = [(0, 0), (0.028, 0), (0.038, 0.08), (0.034, 0.08), (0, 0.012)]
    things: list[tuple[list[tuple[float, float]], float, float, list[float]]] = [
        (jug, 0.05, 0.1, [0.5, 0.55, 0.6]), (cup, -0.35, -0.2, [0.8, 0.78, 0.7]), (cup, 0.42, 0.18, [0.8, 0.78, 0.7])
    ]  # fmt: skip
    for profile, x, y, tint in things:
        shape = turned_on_lathe(
            "", "", profile, centre=[x, y, top + (0.0025 if abs(x) < 0.2 else -0.0005)], sides=18
        )
        pile.add(
            "furniture",
            "white card",
            shape.vertices[shape.faces],
            tint=tint,
            normals=shape.normals[shape.faces],
        )
    for x, y, way in ((-0.25, -half_y - 0.12, -1), (0.3, half_y + 0.16, 1)):
        _chair(pile, x, y, way, floor)


def _chair(pile: Pile, x: float, y: float, way: int, floor: float) -> None:
    """A chair whose back stands away from the table, to `way` along y."""

    def block(low: list[float], high: list[float]) -> None:
        ends = np.sort(np.array([[low[1], high[1]]]) * way + y, axis=1)[0]
        pile.add(
            "furniture",
            "wood",
            boxes([x + low[0], ends[0], floor + low[2]], [x + high[0], ends[1], floor + high[2]]),
        )

    block([-0.21, -0.20, 0.43], [0.21, 0.21, 0.46])
    for aside in (-0.195, 0.16):
        block([aside, -0.185, -0.002], [aside + 0.035, -0.15, 0.435])
        block([aside, 0.17, -0.002], [aside + 0.035, 0.204, 0.95])
    for low in (0.62, 0.75, 0.88):
        block([-0.165, 0.178, low], [0.165, 0.196, low + 0.05])


def _standing_lamp(pile: Pile, at: Floats, floor: float) -> None:
    """A lamp on a stand with a cloth shade, open above and below; unlit: it is seen against what is."""
    stand = turned_on_lathe(
        "", "", [(0, 0), (0.14, 0), (0.14, 0.02), (0.02, 0.04), (0.011, 0.07), (0.011, 1.42), (0, 1.42)],
        centre=[*at, floor - 0.001], sides=16,
    )  # fmt: skip
    pile.add("furniture", "tarnished metal", stand.vertices[stand.faces], normals=stand.normals[stand.faces])
    turn = np.linspace(0.0, 2.0 * np.pi, 25)
    rings = np.stack(
        [
            np.stack([at[0] + r * np.cos(turn), at[1] + r * np.sin(turn), np.full(25, floor + z)], axis=1)
            for r, z in ((0.22, 1.28), (0.13, 1.56))
        ],
        axis=1,
    )
    around = np.broadcast_to(
        np.stack([np.cos(turn), np.sin(turn), np.zeros(25)], axis=1)[:, None], rings.shape
    )
    corners = [np.stack([g[:-1, 0], g[1:, 0], g[1:, 1], g[:-1, 1]], axis=1) for g in (rings, around)]
    triangles, normals = (np.concatenate([c[:, [0, 1, 2]], c[:, [0, 2, 3]]]) for c in corners)
    pile.add("furniture", "curtain", triangles, normals=normals)
