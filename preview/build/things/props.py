"""Props: crates, pallets, barrels, benches and other things that stand about, each from rounded boards and bars."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from preview.build.chance import drawn
from preview.build.mesh import Floats, Part, smooth, stood
from preview.build.site import Site
from preview.build.solids import round_bar, turned_on_lathe
from preview.build.things.blocks import joined_as, leaning, ring, rounded_box
from preview.build.things.boards import board, crate_boards, slab
from preview.script.models.pieces.market import Prop
from preview.script.prop_plan import PROPS

Boards = list[tuple[str, Part]]
"""Pieces with their material; an empty one is the prop's own."""


def build_prop(name: str, model: Prop, site: Site) -> list[Part]:
    """`NAME`, and `NAME.iron` and so on of other materials."""
    own = model.material or PROPS[model.kind].material
    azimuth = site.azimuth(model.facing, model.at)
    heap: dict[str, list[Part]] = {}
    shades: dict[str, list[Floats]] = {}
    pieces = MAKERS[model.kind](model.seed)
    shade = drawn(1, np.arange(len(pieces)), model.seed, 77)[0]
    for number, (material, part) in enumerate(pieces):
        key = material or own
        heap.setdefault(key, []).append(part)
        # Board by board, a little lighter or darker.
        tone = 0.80 + 0.4 * shade[number] if not material else 1.0
        shades.setdefault(key, []).append(np.full((len(part.vertices), 3), tone))
    parts = []
    for material, found in heap.items():
        whole = joined_as(
            name if material == own else f"{name}.{material.split()[-1]}", material, found, wet=model.wet
        )
        parts.append(
            replace(
                stood(whole, azimuth=azimuth, at=model.at, height=model.height, scale=model.size),
                tint=np.concatenate(shades[material]).astype(np.float32),
            )
        )
    return parts


def _crate(seed: int) -> Boards:
    return [("", part) for part in crate_boards(0.60, 0.40, 0.30)]


def _pallet(seed: int) -> Boards:
    """1200 by 800 by 144 mm: five boards on three stringer boards on nine blocks on three boards."""
    parts = []
    for y, wide in ((-0.40, 0.145), (-0.2125, 0.10), (-0.0725, 0.145), (0.1125, 0.10), (0.255, 0.145)):
        parts.append(board((-0.60, y, 0.122), (0.60, y + wide, 0.144)))
    for x in (-0.60, -0.0725, 0.455):
        parts.append(board((x, -0.40, 0.100), (x + 0.145, 0.40, 0.1215)))
        for y, wide in ((-0.40, 0.10), (-0.0725, 0.145), (0.30, 0.10)):
            parts.append(board((x, y, 0.0225), (x + 0.145, y + wide, 0.0995)))
    for y, wide in ((-0.40, 0.10), (-0.0725, 0.145), (0.30, 0.10)):
        parts.append(board((-0.60, y, 0.0), (0.60, y + wide, 0.022)))
    return [("", part) for part in parts]


def _barrel(seed: int) -> Boards:
    """Staves that belly out, with hoops and a sunk head."""
    count, high = 22, 0.90
    parts: Boards = []
    level = np.linspace(0.0, 1.0, 13)
    radius = 0.238 + 0.062 * np.sin(np.pi * level) ** 0.9
    for stave in range(count):
        turn = 2 * np.pi * (stave + np.array([0.02, 0.5, 0.98])) / count
        outer = np.stack(
            [
                np.outer(radius, np.cos(turn)),
                np.outer(radius, np.sin(turn)),
                np.repeat(level[:, None] * high, 3, 1),
            ],
            -1,
        )
        inner = outer * [0.92, 0.92, 1.0]
        parts.append(("", slab(outer, inner)))
    for z in (0.10, 0.26, 0.64, 0.80):
        low, high_r = (
            0.238 + 0.062 * np.sin(np.pi * np.clip(h / 0.90, 0, 1)) ** 0.9 + 0.0015
            for h in (z - 0.022, z + 0.022)
        )
        profile = [
            (low, z - 0.022),
            (low + 0.004, z - 0.022),
            (low + 0.004, z - 0.022),
            (high_r + 0.004, z + 0.022),
            (high_r + 0.004, z + 0.022),
            (high_r, z + 0.022),
            (high_r, z + 0.022),
            (low, z - 0.022),
        ]
        parts.append(("rust", turned_on_lathe("", "", profile, centre=np.zeros(3), sides=44)))
    parts.append(
        (
            "",
            turned_on_lathe(
                "",
                "",
                [(0, 0.845), (0.222, 0.845), (0.222, 0.845), (0.222, 0.865), (0.222, 0.865), (0, 0.865)],
                centre=np.zeros(3),
                sides=44,
            ),
        )
    )
    return parts


def _bench(seed: int) -> Boards:
    """Slats on two cast ends."""
    parts: Boards = []
    for y in (0.05, 0.155, 0.26):
        parts.append(("", board((-0.80, y - 0.09, 0.41), (0.80, y, 0.44), 0.008)))
    parts.append(("", board((-0.80, -0.145, 0.41), (0.80, -0.055, 0.44), 0.008)))
    for z in (0.53, 0.645, 0.76):
        slat = board((-0.80, -0.19, z - 0.045), (0.80, -0.163, z + 0.045), 0.008)
        parts.append(("", leaning(slat, np.radians(12.0), (0.0, -0.16, 0.44))))
    for x in (-0.66, 0.66):
        legs = [
            round_bar(
                "", "", [[x, 0.24, 0.405], [x, 0.27, 0.2], [x, 0.29, 0.0]], [0.022, 0.018, 0.024], sides=10
            ),
            round_bar(
                "",
                "",
                [[x, 0.25, 0.392], [x, 0.0, 0.39], [x, -0.17, 0.395], [x, -0.24, 0.62], [x, -0.285, 0.83]],
                [0.018] * 5,
                sides=10,
            ),
            round_bar(
                "", "", [[x, -0.16, 0.39], [x, -0.22, 0.2], [x, -0.27, 0.0]], [0.020, 0.018, 0.024], sides=10
            ),
            round_bar(
                "",
                "",
                [[x, -0.245, 0.64], [x, -0.05, 0.655], [x, 0.2, 0.64], [x, 0.27, 0.60], [x, 0.25, 0.40]],
                [0.014] * 5,
                sides=10,
            ),
        ]
        parts += [("black paint", leg) for leg in legs]
    return parts


def _table(seed: int) -> Boards:
    parts = [
        ("", board((-0.40, y, 0.712), (0.40, y + 0.155, 0.74), 0.005)) for y in np.linspace(-0.40, 0.245, 5)
    ]
    for x in (-1.0, 1.0):
        low, high = sorted((x * 0.36, x * 0.31))
        for y in (-1.0, 1.0):
            near, far = sorted((y * 0.36, y * 0.31))
            parts.append(("", board((low, near, 0.0), (high, far, 0.7115), 0.006)))
        rail_low, rail_high = sorted((x * 0.35, x * 0.325))
        parts.append(("", board((rail_low, -0.309, 0.62), (rail_high, 0.309, 0.7115))))
    for y in (-1.0, 1.0):
        near, far = sorted((y * 0.35, y * 0.325))
        parts.append(("", board((-0.309, near, 0.62), (0.309, far, 0.7115))))
    return parts


def _chair(seed: int) -> Boards:
    parts = [("", rounded_box((-0.22, -0.20, 0.425), (0.22, 0.22, 0.45), 0.012))]
    for x in (-0.19, 0.19):
        parts.append(
            ("", round_bar("", "", [[x, 0.19, 0.43], [x * 1.05, 0.205, 0.0]], [0.019, 0.015], sides=10))
        )
        parts.append(
            (
                "",
                round_bar(
                    "",
                    "",
                    [[x * 1.05, -0.25, 0.0], [x, -0.19, 0.43], [x, -0.20, 0.60], [x * 0.98, -0.265, 0.88]],
                    [0.015, 0.019, 0.017, 0.014],
                    sides=10,
                ),
            )
        )
        parts.append(
            ("", round_bar("", "", [[x * 1.02, 0.198, 0.20], [x * 1.02, -0.215, 0.20]], [0.010] * 2, sides=8))
        )
    for z, deep in ((0.58, 0.20), (0.70, 0.232), (0.83, 0.262)):
        parts.append(("", board((-0.19, -deep - 0.008, z - 0.035), (0.19, -deep + 0.008, z + 0.035), 0.006)))
    return parts


def _bin(seed: int) -> Boards:
    body = [
        (0.0, 0.02), (0.19, 0.02), (0.19, 0.02), (0.19, 0.0), (0.20, 0.0), (0.20, 0.02), (0.245, 0.84), (0.245,
        0.84), (0.26, 0.845), (0.26, 0.87), (0.245, 0.875), (0.235, 0.87), (0.235, 0.86), (0.19, 0.05), (0.0, 0.05),
    ]  # fmt: skip
    parts: Boards = [("", turned_on_lathe("", "", body, centre=np.zeros(3), sides=32))]
    for turn in np.radians(np.arange(0, 360, 15)):
        x, y = np.cos(turn), np.sin(turn)
        parts.append(
            (
                "",
                round_bar(
                    "", "", [[0.199 * x, 0.199 * y, 0.06], [0.243 * x, 0.243 * y, 0.82]], [0.007] * 2, sides=6
                ),
            )
        )
    lid = [
        (0.0, 0.878),
        (0.262, 0.878),
        (0.268, 0.884),
        (0.262, 0.893),
        (0.16, 0.912),
        (0.03, 0.92),
        (0.0, 0.92),
    ]
    parts.append(("", turned_on_lathe("", "", lid, centre=np.zeros(3), sides=32)))
    return parts


def _bollard(seed: int) -> Boards:
    profile = [
        (0.0, -0.1), (0.10, -0.1), (0.10, -0.1), (0.10, 0.04), (0.10, 0.04), (0.085, 0.06), (0.072, 0.10), (0.062,
        0.78), (0.078, 0.80), (0.082, 0.82), (0.066, 0.845), (0.064, 0.86), (0.082, 0.90), (0.078, 0.95), (0.05,
        0.988), (0.0, 1.0),
    ]  # fmt: skip
    return [("", turned_on_lathe("", "", profile, centre=np.zeros(3), sides=24))]


def _signpost(seed: int) -> Boards:
    """Two pointed arms without words."""
    post = [
        (0.0, -0.1),
        (0.055, -0.1),
        (0.055, 0.35),
        (0.045, 0.40),
        (0.042, 2.50),
        (0.06, 2.51),
        (0.06, 2.53),
        (0.03, 2.57),
        (0.0, 2.60),
    ]
    parts: Boards = [("", turned_on_lathe("", "", post, centre=np.zeros(3), sides=16))]
    for side, z in ((1.0, 2.36), (-1.0, 2.12)):
        arm = rounded_box((0.044, -0.011, z - 0.085), (0.75, 0.011, z + 0.085), 0.004, steps=1)
        tip = np.clip((arm.vertices[:, 0] - 0.62) / 0.13, 0.0, 1.0)
        points = arm.vertices.copy()
        points[:, 2] = z + (points[:, 2] - z) * (1.0 - 0.92 * tip)
        points[:, 0] *= side
        faces = arm.faces if side > 0 else arm.faces[:, ::-1]
        parts.append(("", smooth("", "", points, np.ascontiguousarray(faces))))
    return parts


def _ladder(seed: int) -> Boards:
    """Leaning back, as on a wall that stands behind it."""
    parts = []
    for x in (-0.19, 0.19):
        parts.append(board((x - 0.016, -0.033, 0.0), (x + 0.016, 0.033, 3.08), 0.008))
    parts += [
        round_bar("", "", [[-0.175, 0, z], [0.175, 0, z]], [0.016] * 2, sides=10)
        for z in np.arange(0.28, 3.0, 0.28)
    ]
    lean = np.radians(13.0)
    return [
        ("", leaning(replace(part, vertices=part.vertices + np.array([0, 0.36, 0])), lean, (0.0, 0.36, 0.0)))
        for part in parts
    ]


def _sacks(seed: int) -> Boards:
    parts = []
    for number, (x, y, z, turn) in enumerate(
        ((-0.28, 0.05, 0.0, 0.1), (0.27, 0.0, 0.0, -0.25), (0.0, 0.03, 0.25, 0.35))
    ):
        sack = rounded_box((-0.30, -0.20, 0.0), (0.30, 0.20, 0.28), 0.13, steps=6)
        v = sack.vertices
        pinch = 1.0 - 0.35 * np.abs(v[:, 0] / 0.30) ** 6
        chance = drawn(2, np.arange(4), number, seed)
        bulge = (
            1.0
            + 0.05 * np.sin(9 * v[:, 0] + 6 * chance[0, 0])
            + 0.04 * np.sin(13 * v[:, 1] + 6 * chance[1, 1])
        )
        shape = np.stack([v[:, 0], v[:, 1] * pinch * bulge, v[:, 2] * (0.55 + 0.45 * pinch) * bulge], axis=1)
        cosine, sine = np.cos(turn), np.sin(turn)
        placed = np.stack(
            [
                shape[:, 0] * cosine - shape[:, 1] * sine + x,
                shape[:, 0] * sine + shape[:, 1] * cosine + y,
                np.maximum(shape[:, 2], 0.0) + z,
            ],
            axis=1,
        )
        parts.append(("", smooth("", "", placed, sack.faces)))
    return parts


def _candle(seed: int) -> Boards:
    """A candle on a saucer with a ring to hold it by; the flame and its wick are the fixture's."""
    dish = [
        (0.0, 0.0),
        (0.03, 0.0),
        (0.048, 0.010),
        (0.050, 0.012),
        (0.046, 0.014),
        (0.03, 0.006),
        (0.0, 0.006),
    ]
    wax = [
        (0.0, 0.006),
        (0.011, 0.006),
        (0.0112, 0.06),
        (0.0108, 0.156),
        (0.009, 0.16),
        (0.004, 0.157),
        (0.0, 0.157),
    ]
    return [
        ("tarnished metal", turned_on_lathe("", "", dish, centre=np.zeros(3), sides=28)),
        ("tarnished metal", ring((0.062, 0.0, 0.014), (0.0, 1.0, 0.0), 0.014, 0.0025, sides=16)),
        ("", turned_on_lathe("", "", wax, centre=np.zeros(3), sides=20)),
    ]


MAKERS: dict[str, Callable[[int], Boards]] = {
    "crate": _crate,
    "pallet": _pallet,
    "barrel": _barrel,
    "bench": _bench,
    "table": _table,
    "chair": _chair,
    "bin": _bin,
    "bollard": _bollard,
    "signpost": _signpost,
    "ladder": _ladder,
    "sacks": _sacks,
    "candle": _candle,
}
