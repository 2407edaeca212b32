"""Grass and reeds: blades in tufts, as fine as a camera comes near to them, thinning out far off."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.build.chance import noise
from preview.build.growth.branches import bell, even, row, single
from preview.build.growth.clearings import cleared
from preview.build.mesh import Floats, Indices, Part
from preview.build.site import Site
from preview.build.tubes import unit
from preview.script.models.pieces.growth import Blades, Grass, Reeds
from preview.script.scatter import inside

MOST_BLADES = 300_000
"""Of one piece."""
CELL = 0.75
"""Metres of the squares of ground that share a density."""
MOST_CELLS = 60_000
FARTHEST = (25.0, 70.0)
"""Metres from the nearest camera beyond which no blade of a lawn, or of grass of half a metre, stands:
there the ground's own colour is all that is seen."""
FULL = (40.0, 28.0, 20.0, 14.0, 10.0, 7.0, 5.0, 3.5)
"""Metres up to which blades are of their real width, the first that there are blades enough for; farther off they are fewer
and wider."""
BENT = (5.0, 10.0)
"""Metres up to which a blade has a bend of its own: of a lawn, and of tall grass."""
SOD = 0.01
"""Metres that blades stand over the ground of the script, which undulates."""
NOBODY = 20.0
"""Metres off the middle that grass reaches where no camera looks at it."""


@dataclass(frozen=True)
class Sward:
    """What a kind of grass is like near by; metres, and blades to the square metre; from memory."""

    blades: float
    a_tuft: int
    spread: float
    height: tuple[float, float]
    width: float
    lean: float
    """How far a blade leans and bends, radians."""
    stalks: float = 0.0
    """Share of blades that are stalks with a seed head."""
    bare: float = 0.0
    """Share of the land left bare between patches."""


SWARDS = {
    "lawn": Sward(1800.0, 6, 0.04, (0.04, 0.08), 0.008, 0.9),
    "meadow": Sward(1100.0, 8, 0.05, (0.3, 0.7), 0.006, 0.5, stalks=0.1),
    "tufts": Sward(900.0, 30, 0.06, (0.12, 0.35), 0.006, 0.8, stalks=0.03, bare=0.45),
    "reeds": Sward(42.0, 3, 0.14, (1.5, 2.3), 0.014, 0.16, stalks=1.0),
}


def build_grass(name: str, model: Grass, site: Site) -> list[Part]:
    """`NAME.blades` on the ground, the same for the same seed and in every setup.

    It keeps off what `cleared` knows. Near blades are bent in three triangles, far ones are single and wider: what they
    hide of the ground stays alike.
    """
    return _grown(
        name, model, SWARDS[model.kind], model.height or SWARDS[model.kind].height, site, keeps_off=True
    )


def build_reeds(name: str, model: Reeds, site: Site) -> list[Part]:
    """`NAME.blades` as of grass: tall leaves, and stalks with dark plumes."""
    return _grown(name, model, SWARDS["reeds"], model.height, site, keeps_off=False)


def _grown(
    name: str, model: Grass | Reeds, sward: Sward, height: tuple[float, float], site: Site, *, keeps_off: bool
) -> list[Part]:
    random = np.random.default_rng([model.seed & 0xFFFFFFFF, 6])
    root, wider, near = _strewn(random, model, sward, min(1.0, 2.0 * height[1]), site, keeps_off=keeps_off)
    count = len(root)
    if count == 0:
        return []
    patch = noise(root[:, 0], root[:, 1], 1.7, model.seed % 97)
    shade = noise(root[:, 0], root[:, 1], 0.6, model.seed % 89 + 1)
    low, high = height
    share = np.clip(0.5 + 0.9 * patch + 0.22 * bell(random, count), 0.0, 1.0)
    length = low + (high - low) * share
    stalk = even(random, count) < sward.stalks
    length = single(np.where(stalk, np.minimum(1.15 * length, 0.95 * high), length))
    width = sward.width * wider * np.where(stalk, 0.4, 1.0) * (0.7 + 0.6 * even(random, count))
    width = single(np.minimum(width, WIDEST * length))
    lean = single(np.where(stalk, 0.3, 1.0) * sward.lean * (0.25 + 1.1 * even(random, count)))
    turn = single(2.0 * np.pi * even(random, count))
    dry = even(random, count) < np.clip(model.dry + 0.35 * model.dry * patch, 0.0, 1.0)
    foot = single(np.column_stack([root, site.ground(root[:, 0], root[:, 1]) + SOD]))
    tint = _tint(random, shade, dry, stalk)
    pieces = [
        _blades(
            foot[chosen], turn[chosen], lean[chosen], length[chosen], width[chosen], tint[chosen], bends=bends
        )
        for chosen, bends in ((near, True), (~near, False))
        if chosen.any()
    ]
    for sprouts in REED if isinstance(model, Reeds) else (SEEDS,):
        some = np.flatnonzero(stalk & (even(random, count) < sprouts.share) & (wider < SINGLE))
        if len(some):
            stems = (foot[some], turn[some], lean[some], length[some], wider[some])
            pieces.append(_sprouting(random, *stems, sprouts, dry=model.dry))
    starts = np.cumsum([0] + [len(piece[0]) for piece in pieces])
    vertices, normals, tints = (np.concatenate([piece[part] for piece in pieces]) for part in (0, 1, 2))
    faces = np.concatenate([piece[3] + np.int32(start) for piece, start in zip(pieces, starts, strict=False)])
    return [Part(f"{name}.blades", "grass blades", vertices, faces, normals, tint=tints)]


def _strewn(
    random: np.random.Generator, model: Blades, sward: Sward, tall: float, site: Site, *, keeps_off: bool
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Roots (n, 2) m, how much wider each blade is than a real one, and whether it is near (n,) bool.

    `tall`: 0 for the shortest, 1 from half a metre.
    """
    eyes = site.eyes[:, :2]
    farthest, bent = (low + tall * (high - low) for low, high in (FARTHEST, BENT))
    cells, area = _cells(model, eyes, farthest)
    away = (
        np.linalg.norm(cells[:, None] - eyes[None], axis=2).min(axis=1) if len(eyes) else np.zeros(len(cells))
    )
    cells, away = cells[away < farthest], away[away < farthest]
    # It fades out before it ends.
    most = sward.blades * model.density / sward.a_tuft * area * np.clip(2.0 - 2.0 * away / farthest, 0.0, 1.0)
    for full in FULL:
        thinned = 1.0 / (1.0 + np.maximum(away / full - 1.0, 0.0) ** 2)
        tufts = most * thinned
        if float(tufts.sum()) * sward.a_tuft < MOST_BLADES:
            break
    fewer = min(1.0, MOST_BLADES / max(float(tufts.sum()) * sward.a_tuft, 1.0))
    numbers = np.floor(fewer * tufts + even(random, len(tufts))).astype(np.int64)
    tuft = np.repeat(cells, numbers, axis=0) + area**0.5 * (even(random, int(numbers.sum()), 2) - 0.5)
    wider = np.repeat(1.0 / np.maximum(thinned * fewer, 1e-2), numbers)
    near = np.repeat(away < bent, numbers)
    if sward.bare > 0.0:
        kept = noise(tuft[:, 0], tuft[:, 1], 0.8, model.seed % 83 + 2) > 0.7 * (sward.bare - 0.5)
        tuft, wider, near = tuft[kept], wider[kept], near[kept]
    each = np.repeat(np.arange(len(tuft)), sward.a_tuft)
    spread = sward.spread * np.sqrt(wider[each])[:, None]
    root = tuft[each] + spread * bell(random, len(each), 2)
    wanted = _wanted(root, model)
    if keeps_off:
        wanted &= ~cleared(root, site)
    return root[wanted], wider[each][wanted], near[each][wanted]


def _cells(model: Blades, eyes: Floats, farthest: float) -> tuple[Floats, float]:
    """Middles (n, 2) of squares that cover the land, and the area of one."""
    if model.in_ is not None:
        border = np.array(model.in_, float)
        low, high = border.min(axis=0), border.max(axis=0)
    elif model.along is not None:
        border = np.array(model.along, float)
        low, high = border.min(axis=0) - model.width, border.max(axis=0) + model.width
    elif len(eyes):
        low, high = eyes.min(axis=0) - farthest, eyes.max(axis=0) + farthest
    else:
        low, high = np.full(2, -NOBODY), np.full(2, NOBODY)
    if len(eyes):
        low, high = (
            np.maximum(low, eyes.min(axis=0) - farthest),
            np.minimum(high, eyes.max(axis=0) + farthest),
        )
    span = np.maximum(high - low, 0.0)
    side = max(CELL, float(np.sqrt(span[0] * span[1] / MOST_CELLS)))
    x, y = (
        np.arange(first + 0.5 * side, last + 0.5 * side, side) for first, last in zip(low, high, strict=True)
    )
    cells = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    if model.in_ is not None or model.along is not None:
        corners = side * np.array([[0, 0], [0.5, 0.5], [-0.5, 0.5], [0.5, -0.5], [-0.5, -0.5]])
        cells = cells[np.any([_wanted(cells + corner, model, side) for corner in corners], axis=0)]
    return cells, side**2


def _wanted(points: Floats, model: Blades, slack: float = 0.0) -> NDArray[np.bool_]:
    """Which of points (n, 2) lie where the piece says; within `slack` of it along a path."""
    if model.in_ is not None:
        return inside(points, np.array(model.in_, float))
    if model.along is None:
        return np.ones(len(points), bool)
    path, reach = np.array(model.along, float), model.width / 2 + slack
    found = np.zeros(len(points), bool)
    for a, b in itertools.pairwise(path):
        leg = b - a
        share = np.clip((points - a) @ leg / max(float(leg @ leg), 1e-12), 0.0, 1.0)
        found |= np.linalg.norm(a + share[:, None] * leg - points, axis=1) < reach
    return found


def _blades(
    foot: Floats, turn: Floats, lean: Floats, length: Floats, width: Floats, tint: Floats, *, bends: bool
) -> tuple[Floats, Floats, Floats, Indices]:
    """Vertices, normals, tints and faces of blades: five corners with a bend, or three."""
    count = len(foot)
    ahead = np.stack([np.cos(turn), np.sin(turn), np.zeros_like(turn)], axis=1)
    side = np.stack([-np.sin(turn), np.cos(turn), np.zeros_like(turn)], axis=1) * (0.5 * width)[:, None]
    places = row(0.0, 0.55, 1.0) if bends else row(0.0, 1.0)
    # An arc: its slope grows from a third of the lean at the foot to all of it and more.
    angle = lean[:, None] * (0.33 + 0.67 * places)
    spine = foot[:, None] + length[:, None, None] * (
        (np.sin(angle) * places)[..., None] * ahead[:, None]
        + (np.cos(angle) * places)[..., None] * row(0.0, 0.0, 1.0)
    )
    if bends:
        vertices = np.stack(
            [
                spine[:, 0] + side,
                spine[:, 0] - side,
                spine[:, 1] + 0.85 * side,
                spine[:, 1] - 0.85 * side,
                spine[:, 2],
            ],
            axis=1,
        )
        fan, shade = np.array([[0, 1, 3], [0, 3, 2], [2, 3, 4]], np.int32), row(0.45, 0.45, 0.95, 0.95, 1.25)
        slope = np.stack([lean * 0.4, lean * 0.4, lean * 0.9, lean * 0.9, lean * 1.4], axis=1)
    else:
        vertices = np.stack([spine[:, 0] + side, spine[:, 0] - side, spine[:, 1]], axis=1)
        fan, shade = np.array([[0, 1, 2]], np.int32), row(0.55, 0.55, 1.2)
        slope = np.repeat(lean[:, None], 3, axis=1)
    # The upper face of a blade that leans ahead looks back and up; what stands for many looks up as all of them do.
    normals = unit(
        -np.cos(slope)[..., None] * ahead[:, None]
        + (np.sin(slope) + 0.9 + 120.0 * width[:, None])[..., None] * row(0.0, 0.0, 1.0)
    )
    corners = len(shade)
    faces = fan[None] + corners * np.arange(count, dtype=np.int32)[:, None, None]
    tints = tint[:, None] * shade[:, None]
    return (
        single(vertices).reshape(-1, 3),
        single(normals).reshape(-1, 3),
        single(tints).reshape(-1, 3),
        faces.reshape(-1, 3),
    )


@dataclass(frozen=True)
class Sprouts:
    """Short blades on stems: how many, between which heights, their length against the stem's, width in metres, lean in
    radians, tint; on a `share` of the stems."""

    number: int
    span: tuple[float, float]
    length: float
    width: float
    lean: tuple[float, float]
    tint: tuple[float, float, float]
    share: float = 1.0


SEEDS = Sprouts(5, (0.8, 1.0), 0.09, 0.008, (0.1, 0.6), (1.5, 1.15, 0.95))
REED = (
    Sprouts(6, (0.2, 0.85), 0.3, 0.02, (0.5, 1.3), (0.9, 0.92, 0.8)),
    Sprouts(12, (0.88, 1.0), 0.09, 0.012, (0.1, 0.8), (1.1, 0.75, 0.7), share=0.4),
)
"""Leaves and plumes."""
WIDEST = 0.8
"""A blade's width against its length at the most, however many it stands for."""
SINGLE = 12.0
"""How much wider than a real one a stem may be and still have sprouts."""


def _sprouting(
    random: np.random.Generator,
    foot: Floats,
    turn: Floats,
    lean: Floats,
    length: Floats,
    wider: Floats,
    kind: Sprouts,
    *,
    dry: float,
) -> tuple[Floats, Floats, Floats, Indices]:
    """The sprouts of stems."""
    each = np.repeat(np.arange(len(foot)), kind.number)
    up = kind.span[0] + (kind.span[1] - kind.span[0]) * even(random, len(each))
    angle = lean[each] * (0.33 + 0.67 * up)
    ahead = np.stack([np.cos(turn[each]), np.sin(turn[each]), np.zeros(len(each), np.float32)], axis=1)
    along = np.sin(angle)[:, None] * ahead + np.cos(angle)[:, None] * row(0.0, 0.0, 1.0)
    low, high = kind.lean
    straw = (even(random, len(each), 1) < 0.5 * dry) * row(1.3, 0.75, 0.7)
    tint = row(*kind.tint) * (0.7 + 0.5 * even(random, len(each), 1)) + straw
    return _blades(
        single(foot[each] + (length[each] * up)[:, None] * along),
        single(2.0 * np.pi * even(random, len(each))),
        single(low + (high - low) * even(random, len(each))),
        single(kind.length * length[each] * (0.6 + 0.8 * even(random, len(each)))),
        single(kind.width * wider[each] * (0.7 + 0.6 * even(random, len(each)))),
        single(tint),
        bends=bool(kind.length > 0.2),
    )


def _tint(
    random: np.random.Generator, shade: Floats, dry: NDArray[np.bool_], stalk: NDArray[np.bool_]
) -> Floats:
    """Tints (n, 3) of whole blades: green with the patches of a sward, straw where dry."""
    count = len(shade)
    light = 0.88 * np.exp(0.15 * bell(random, count) + 0.3 * shade)
    hue = np.clip(0.1 * bell(random, count) + 0.25 * shade, -0.3, 0.3)
    green = np.stack([light * (1.0 + hue), light, light * (1.0 - hue)], axis=1)
    straw = light[:, None] * row(2.5, 1.7, 1.5)
    return single(np.where((dry | stalk)[:, None], straw, green))
