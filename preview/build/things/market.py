"""Market: a stall under a striped awning with crates of goods; a glazed telephone box; washing on a line."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from preview.build.chance import drawn, noise
from preview.build.mesh import Floats, Part, flat, smooth, stood
from preview.build.rigging import rod
from preview.build.site import Site
from preview.build.solids import quads, round_bar
from preview.build.things.blocks import joined_as, leaning, rounded_box
from preview.build.things.boards import board, crate_boards
from preview.build.things.camp import ball_of
from preview.build.things.sheets import grid_sheet
from preview.script.models.pieces.market import PhoneBox, Stall, WashingLine
from preview.script.prop_plan import BOX, BOX_LAMP, COUNTER

Heap = dict[tuple[str, str], list[Part]]
FRUIT = (
    ((0.62, 0.10, 0.05), 0.036), ((0.75, 0.38, 0.06), 0.040), ((0.30, 0.48, 0.09), 0.034), ((0.80, 0.62, 0.12),
    0.038), ((0.35, 0.05, 0.09), 0.030), ((0.72, 0.24, 0.05), 0.033),
)  # fmt: skip
"""Linear ACEScg reflectances and radii, metres, of what lies in the crates. From memory, typical."""
WHITE = 0.80
"""Reflectance of the paint that fruit is tinted from."""
PLASTER = np.array([0.70, 0.70, 0.65])


def build_stall(name: str, model: Stall, site: Site) -> list[Part]:
    """`NAME.frame`, `.table`, `.awning`, `.cloth`, `.crates`, `.goods`."""
    width, depth = model.size
    w, d, high = width / 2.0, depth / 2.0, model.height
    heap: Heap = {}
    frame = heap.setdefault(("frame", "metal"), [])
    front, rear = high - 0.35, high - 0.10
    for x in (-w, w):
        frame += [
            rod([x, d, -0.02], [x, d, front], 0.019, sides=10),
            rod([x, -d, -0.02], [x, -d, rear], 0.019, sides=10),
        ]
        frame.append(rod([x, -d, rear], [x, d, front], 0.017, sides=10))
        frame.append(rod([x, -d, COUNTER - 0.05], [x, d, COUNTER - 0.05], 0.015, sides=8))
    frame += [
        rod([-w, y, z], [w, y, z], 0.017, sides=10)
        for y, z in ((d, front), (-d, rear), (d, COUNTER - 0.05), (-d * 0.2, COUNTER - 0.05))
    ]
    table = heap.setdefault(("table", "weathered wood"), [])
    table += [
        board((-w + 0.01, y, COUNTER - 0.03), (w - 0.01, y + 0.185, COUNTER), 0.004)
        for y in np.arange(-0.2 * d, d - 0.17, 0.19)
    ]
    heap[("cloth", "canvas")] = [_skirt(w, d, model.seed)]
    for number, material in enumerate((model.awning, model.stripe)):
        heap.setdefault(("awning", material), []).extend(_awning(w, d, rear, front, number))
    tints: dict[tuple[str, str], list[Floats]] = {}
    if model.goods != "none":
        _goods(heap, tints, model, w, d)
    return _placed(name, heap, tints, site.azimuth(model.facing, model.at), model.at, {"awning": model.wet})


def _placed(
    name: str,
    heap: Heap,
    tints: dict[tuple[str, str], list[Floats]],
    azimuth: float,
    at: tuple[float, float],
    wets: dict[str, float],
) -> list[Part]:
    parts = []
    for (part, material), pieces in heap.items():
        whole = joined_as(f"{name}.{part}", material, pieces, wet=wets.get(part, 0.0))
        tint = tints.get((part, material))
        parts.append(
            replace(
                stood(whole, azimuth=azimuth, at=at),
                tint=None if tint is None else np.concatenate(tint).astype(np.float32),
            )
        )
    return parts


def _awning(w: float, d: float, rear: float, front: float, which: int) -> list[Part]:
    """Every second stripe of a sloping cloth with a valance in scallops before it; one layer."""
    count = max(4, 2 * round(w / 0.22))
    edges = np.linspace(-w - 0.05, w + 0.05, count + 1)
    stripes = []
    for stripe in range(which, count, 2):
        across = np.linspace(edges[stripe], edges[stripe + 1], 9)
        share = np.linspace(0.0, 1.0, 15)
        x, t = np.meshgrid(across, share, indexing="ij")
        y = -d - 0.08 + t * (2.0 * d + 0.42)
        slope = (front - rear) / (2.0 * d)
        hang = (
            0.035
            * np.sin(np.pi * np.clip((y + d) / (2 * d), 0, 1))
            * (0.55 + 0.45 * np.cos(2 * np.pi * x / (2 * w) * 2))
        )
        z = rear + 0.024 + slope * (y + d) - hang
        top = grid_sheet(np.stack([x, y, z], -1), np.zeros((*x.shape, 3)))
        stripes.append(smooth("", "", top.vertices, top.faces))
        local = (across - edges[stripe]) / (edges[stripe + 1] - edges[stripe])
        deep = 0.15 + 0.06 * np.sin(np.pi * local)
        drop = np.linspace(0.0, 1.0, 5)
        vx, vt = np.meshgrid(across, drop, indexing="ij")
        vy = y[:, -1][:, None] + 0.010 * np.sin(9.0 * vx) * vt
        vz = z[:, -1][:, None] - vt * deep[:, None]
        front_sheet = grid_sheet(np.stack([vx, vy + 0 * vx, vz], -1), np.zeros((*vx.shape, 3)))
        stripes.append(smooth("", "", front_sheet.vertices, front_sheet.faces))
    return stripes


def _skirt(w: float, d: float, seed: int) -> Part:
    """A cloth that hangs from the table's front and sides, in folds."""
    path = np.array(
        [[-w + 0.02, -0.2 * d], [-w + 0.02, d - 0.02], [w - 0.02, d - 0.02], [w - 0.02, -0.2 * d]]
    )
    legs = np.linalg.norm(np.diff(path, axis=0), axis=1)
    along = np.linspace(0.0, legs.sum(), 420)
    reach = np.concatenate([[0.0], np.cumsum(legs)])
    x, y = np.interp(along, reach, path[:, 0]), np.interp(along, reach, path[:, 1])
    out = np.stack(
        [
            np.where(along < legs[0], -1.0, np.where(along > reach[2], 1.0, 0.0)),
            np.where((along >= legs[0]) & (along <= reach[2]), 1.0, 0.0),
        ]
    )
    down = np.linspace(0.0, 1.0, 10)
    fold = 0.015 * np.sin(along / 0.075 * 2.0 + 1.5 * noise(along, 0 * along, 0.5, seed=seed % 9))
    swing = fold[:, None] * down[None] ** 0.7 + 0.02 * down
    z = np.broadcast_to((COUNTER - 0.012) * (1.0 - down) + 0.04 * down, swing.shape)
    points = np.stack(
        [x[:, None] + out[0][:, None] * (swing + 0.012), y[:, None] + out[1][:, None] * (swing + 0.012), z],
        -1,
    )
    sheet = grid_sheet(points, np.zeros_like(points))
    return smooth("", "", sheet.vertices, sheet.faces)


def _goods(heap: Heap, tints: dict[tuple[str, str], list[Floats]], model: Stall, w: float, d: float) -> None:
    """Crates that lean towards the buyer, filled; more of them stand below at the side."""
    count = max(2, int((2 * w - 0.2) / 0.64))
    places = np.linspace(-w + 0.38, w - 0.38, count)
    crate, tilt = crate_boards(0.56, 0.40, 0.16), np.radians(-16.0)
    fruit = model.goods == "fruit"
    if fruit:
        ways, faces = ball_of(2)
        unit = Part("", "", ways, faces, ways)
    else:
        unit = rounded_box((-1.6, -0.9, -0.7), (1.6, 0.9, 0.7), 0.68, steps=3)
    key = ("goods", "white paint" if fruit else "plaster")
    base = np.array([WHITE] * 3) if fruit else PLASTER
    kinds = drawn(2, np.arange(2 * count), model.seed, 61)
    for row in range(2):
        for number, x in enumerate(places):
            y, z = d - 0.28 - 0.40 * row, COUNTER + 0.06 + 0.13 * row
            pivot = (0.0, 0.2, 0.0)

            def put(
                part: Part,
                x: float = float(x),
                y: float = y,
                z: float = z,
                pivot: tuple[float, float, float] = pivot,
            ) -> Part:
                tipped = leaning(part, tilt, pivot)
                return replace(tipped, vertices=tipped.vertices + np.array([x, y, z]))

            heap.setdefault(("crates", "wood"), []).extend(put(part) for part in crate)
            heap[("crates", "wood")].append(
                board(
                    (x - 0.25, y - 0.19, COUNTER + 0.001), (x + 0.25, y - 0.15, COUNTER + 0.13 + 0.13 * row)
                )
            )
            index = row * count + number
            colour, radius = FRUIT[int(kinds[0, index] * 5.99)] if fruit else ((0.42, 0.24, 0.10), 0.050)
            places_in = _filled(radius, wide=1.0 if fruit else 1.6, step=1.92 if fruit else 3.3)
            jitter = drawn(4, np.arange(len(places_in)), index, model.seed) - 0.5
            sizes = radius * (1.0 + 0.14 * jitter[3])
            points = (
                unit.vertices * sizes[:, None, None] + (places_in + radius * 0.22 * jitter[:3].T)[:, None]
            )
            many = Part(
                "",
                "",
                points.reshape(-1, 3),
                (unit.faces + len(unit.vertices) * np.arange(len(places_in))[:, None, None])
                .reshape(-1, 3)
                .astype(np.int32),
                np.tile(unit.normals, (len(places_in), 1)),
            )
            heap.setdefault(key, []).append(put(many))
            hue = 1.0 + 0.18 * np.stack([jitter[1], jitter[2], 0.0 * jitter[2]], axis=1)
            shade = (1.0 + 0.35 * jitter[0])[:, None] * np.array(colour) * hue / base
            tints.setdefault(key, []).append(np.repeat(shade, len(unit.vertices), axis=0))
    for stack in range(2):
        for part in crate_boards(0.60, 0.40, 0.30):
            heap[("crates", "wood")].append(
                replace(
                    part, vertices=part.vertices + np.array([w + 0.42, -0.1 + 0.02 * stack, 0.302 * stack])
                )
            )


def _filled(radius: float, *, wide: float, step: float) -> Floats:
    """Middles (n, 3) of what fills a crate in two layers; each is `wide` radii wide to either side."""
    places = []
    for layer in range(2):
        inset = layer * radius
        x = np.arange(-0.25 + radius * wide + inset, 0.25 - radius * 0.6 - inset, radius * step)
        y = np.arange(-0.17 + radius + inset, 0.17 - radius * 0.6 - inset, 1.92 * radius)
        at = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1).reshape(-1, 2)
        places.append(np.column_stack([at, np.full(len(at), 0.105 + layer * 1.45 * radius)]))
    return np.concatenate(places)


def build_phone_box(name: str, model: PhoneBox, site: Site) -> list[Part]:
    """`NAME.frame`, closed but for its panes; `.pane`, `.phone`, `.floor`."""
    width, depth, height = BOX
    w, d, post = width / 2.0, depth / 2.0, 0.055
    heap: Heap = {}
    frame = heap.setdefault(("frame", model.paint), [])
    for x in (-1.0, 1.0):
        for y in (-1.0, 1.0):
            low = (min(x * w, x * (w - post)), min(y * d, y * (d - post)), 0.06)
            frame.append(rounded_box(low, (low[0] + post, low[1] + post, height - 0.18), 0.012, steps=2))
    frame.append(
        rounded_box((-w - 0.02, -d - 0.02, height - 0.19), (w + 0.02, d + 0.02, height - 0.06), 0.02, steps=2)
    )
    crown = rounded_box((-w - 0.03, -d - 0.03, height - 0.10), (w + 0.03, d + 0.03, height), 0.048, steps=5)
    frame.append(crown)
    frame.append(rounded_box((-w, -d, 0.0), (w, d, 0.062), 0.01, steps=1))
    bottom, upper = 0.06, height - 0.185
    # The back is a plate; door and sides have panes between bars over a kick plate.
    frame.append(board((-w + post - 0.004, -d + 0.012, bottom), (w - post + 0.004, -d + 0.035, upper)))
    panes: list[list[list[float]]] = []
    for side in ("front", "left", "right"):
        bars, glass = _glazing(w - post, bottom, upper)
        for part in bars:
            frame.append(_on_side(part, side, w, d))
        for corners in glass:
            panes.append(_corners_on_side(np.array(corners), side, w, d).tolist())
    handle = round_bar(
        "",
        "",
        [
            [w - 0.13, d + 0.004, 1.0],
            [w - 0.13, d + 0.045, 1.03],
            [w - 0.13, d + 0.045, 1.22],
            [w - 0.13, d + 0.004, 1.25],
        ],
        [0.009] * 4,
        sides=8,
    )
    heap[("handle", "chrome")] = [handle]
    phone = heap.setdefault(("phone", "dark paint"), [])
    phone += [
        rounded_box((-0.16, -d + 0.034, 1.12), (0.16, -d + 0.16, 1.58), 0.03),
        rounded_box((-0.25, -d + 0.034, 0.92), (0.25, -d + 0.26, 0.945), 0.008),
        round_bar("", "", [[-0.13, -d + 0.185, 1.24], [-0.13, -d + 0.20, 1.30], [-0.13, -d + 0.20, 1.44], [-0.13,
        -d + 0.185, 1.50]], [0.030, 0.016, 0.016, 0.030], sides=12),
        round_bar("", "", [[-0.13, -d + 0.17, 1.23], [-0.10, -d + 0.20, 1.02], [0.05, -d + 0.17, 1.0], [0.09,
        -d + 0.12, 1.13]], [0.006] * 4, sides=8),
    ]  # fmt: skip
    heap[("phone", "metal")] = [
        rounded_box((-0.09, -d + 0.158, 1.20), (0.12, -d + 0.166, 1.40), 0.004, steps=1)
    ]
    heap[("lamp", "white paint")] = [
        rounded_box((-0.11, -0.11, BOX_LAMP + 0.075), (0.11, 0.11, height - 0.188), 0.012)
    ]
    heap[("pane", "window glass")] = [flat("", "", quads(np.array(panes)))]
    return _placed(name, heap, {}, site.azimuth(model.facing, model.at), model.at, {"frame": model.wet})


def _glazing(half: float, low: float, high: float) -> tuple[list[Part], list[list[list[float]]]]:
    """Bars and panes (corners) of one side in (across, out, up), out 0 in the plane of the outer face."""
    kick, rows = 0.42, 4
    bars = [board((-half - 0.003, -0.04, low), (half + 0.003, -0.012, low + kick), 0.006)]
    for side in (-1.0, 1.0):
        near, far = sorted((side * (half + 0.003), side * (half - 0.05)))
        bars.append(board((near, -0.038, low + kick - 0.002), (far, -0.008, high), 0.005))
    bars.append(board((-half, -0.038, high - 0.06), (half, -0.008, high + 0.004), 0.005))
    levels = np.linspace(low + kick, high - 0.06, rows + 1)
    bars += [
        board((-half + 0.045, -0.034, z - 0.011), (half - 0.045, -0.012, z + 0.011), 0.004)
        for z in levels[1:-1]
    ]
    bars += [
        board((x - 0.009, -0.032, low + kick - 0.002), (x + 0.009, -0.014, high - 0.055), 0.004)
        for x in (-half * 0.42, half * 0.42)
    ]
    x0, x1, z0, z1 = -half + 0.047, half - 0.047, low + kick - 0.001, high - 0.058
    return bars, [[[x1, -0.023, z0], [x0, -0.023, z0], [x0, -0.023, z1], [x1, -0.023, z1]]]


def _corners_on_side(points: Floats, side: str, w: float, d: float) -> Floats:
    across, out, up = np.moveaxis(points, -1, 0)
    if side == "front":
        return np.stack([across, d + out, up], -1)
    if side == "right":
        return np.stack([w + out, -across, up], -1)
    return np.stack([-w - out, across, up], -1)


def _on_side(part: Part, side: str, w: float, d: float) -> Part:
    return replace(
        part,
        vertices=_corners_on_side(part.vertices, side, w, d),
        normals=_corners_on_side(part.normals, side, 0.0, 0.0),
    )


def build_washing(name: str, model: WashingLine, site: Site) -> list[Part]:
    """`NAME.line`, `.posts`, `.cloth`: sheets that hang over the line, a little blown."""
    a, b = np.array(model.along[0]), np.array(model.along[-1])
    span = float(np.linalg.norm(b - a))
    way = (b - a) / span
    aside = np.array([way[1], -way[0]])

    def at(along: Floats) -> Floats:
        share = along / span
        return np.column_stack([a + along[:, None] * way, model.height - 0.16 * 4 * share * (1 - share)])

    posts = [rod([*p, -0.2], [*p, model.height + 0.08], 0.04, sides=12) for p in (a, b)]
    line = round_bar("", "", at(np.linspace(0.0, span, 25)), np.full(25, 0.004), sides=6)
    sheets, left, number = [], 0.35, 0
    while left < span - 0.7:
        wide, long, gap, blow = drawn(4, np.array([number]), model.seed, 23)[:, 0]
        wide, long = min(0.6 + 1.1 * wide, span - 0.25 - left), 0.6 + 0.75 * long
        across, down = np.meshgrid(np.linspace(0, 1, 26), np.linspace(0, 1, 18), indexing="ij")
        top = at(left + wide * across[:, 0])
        push = (
            0.16 * (blow - 0.35) * down**1.6
            + 0.03 * np.sin(7.0 * across + 6 * blow) * down
            + 0.012 * np.sin(23 * across + 9 * gap) * down**0.6
        )
        sag = 0.02 * np.sin(np.pi * across) * (1 - down)
        points = np.stack([
            top[:, 0][:, None] + aside[0] * (push + 0.006), top[:, 1][:, None] + aside[1] * (push + 0.006), top[:,
            2][:, None] - long * down - sag + 0.004,
        ], -1)  # fmt: skip
        sheet = grid_sheet(points, np.zeros_like(points))
        sheets.append(smooth("", "", sheet.vertices, sheet.faces))
        left += wide + 0.06 + 0.25 * gap
        number += 1
    return [
        joined_as(f"{name}.posts", "weathered wood", posts),
        joined_as(f"{name}.line", "rope", [line]),
        *([joined_as(f"{name}.cloth", model.material, sheets)] if sheets else []),
    ]
