"""Wall: free-standing masonry along a path, with its coping, gates between piers; with it the plain box."""

from __future__ import annotations

from zlib import crc32

import numpy as np

from preview.build.buildings import masonry
from preview.build.buildings.cladding import DEPTH, laid
from preview.build.buildings.face import eyes_before
from preview.build.buildings.fence import laid_out
from preview.build.buildings.pier import pier
from preview.build.buildings.wall_gate import PIER, gate_leaves
from preview.build.land.course import band, beside, directions, is_closed, points_of, shortened, stones
from preview.build.mesh import Floats, Part
from preview.build.pile import Pile, of_quads, shades
from preview.build.site import Site
from preview.build.solids import Heap, boxes, heap_up, hexahedra, placed
from preview.script.house_plan import cladding_of
from preview.script.models.pieces.buildings import Cladding
from preview.script.models.pieces.things import Box, Wall

COPING = 0.07
FOUNDATION = 0.6
"""How far a wall reaches into the ground, metres."""
OVER = 0.25
"""How far gate piers stand above their wall, cap and all, metres."""
UP = (0.0, 0.0, 1.0)


def build_wall(name: str, model: Wall, site: Site) -> list[Part]:
    """A wall of `height` over all. UserError for a path without length, or a gate in no straight stretch of it."""
    line = points_of(name, model.along)
    laid_out(name, line, [*model.gates])
    rng = np.random.default_rng(crc32(name.encode()))
    kind = cladding_of(model.material, None)
    pile = Pile()
    for piece in _pieces(line, model):
        _stretch(pile, piece, model, kind, site.eyes, rng)
    for number in range(len(model.gates)):
        _gate(pile, number, line, model, kind, rng)
    return pile.parts(name, azimuth=0.0, at=(0.0, 0.0, 0.0), wet=model.wet)


def _pieces(line: Floats, model: Wall) -> list[Floats]:
    """The path's stretches between gates, each as far as the middle of its piers; round a closed path they go on."""
    if not model.gates:
        return [line]
    starts = _starts(line)
    gaps = sorted(
        (gate.from_start - PIER / 2, gate.from_start + gate.width + PIER / 2) for gate in model.gates
    )
    stretches = [
        (a, b) for a, b in zip([0.0, *(g[1] for g in gaps)], [*(g[0] for g in gaps), starts[-1]], strict=True)
    ]
    pieces = [_between(line, starts, a, b) for a, b in stretches if b - a > 0.05]
    if is_closed(line) and len(pieces) > 1 and gaps[0][0] > 0.05 and starts[-1] - gaps[-1][1] > 0.05:
        pieces = [*pieces[1:-1], np.concatenate([pieces[-1], pieces[0][1:]])]
    return pieces


def _starts(line: Floats) -> Floats:
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])


def _between(line: Floats, starts: Floats, first: float, last: float) -> Floats:
    inner = line[(starts > first + 1e-3) & (starts < last - 1e-3)]
    ends = [np.array([np.interp(at, starts, line[:, axis]) for axis in (0, 1)]) for at in (first, last)]
    return np.concatenate([ends[:1], inner, ends[1:]])


def _stretch(
    pile: Pile, line: Floats, model: Wall, kind: Cladding, eyes: Floats, rng: np.random.Generator
) -> None:
    """One stretch without gates: core, what its faces show, coping."""
    half, coped = model.thickness / 2, model.height > 0.5
    top = model.height - COPING + 0.01 if coped else model.height
    if kind in ("bricks", "stones"):
        _faces(pile, line, half, top, kind, model.material, eyes, rng)
    else:
        pile.add("", model.material, band(line, (-half, half), (-FOUNDATION, top)))
        if model.height >= 1.0 and not is_closed(line):
            pile.add(
                "",
                model.material,
                band(shortened(line, 0.004), (-half - 0.025, half + 0.025), (-FOUNDATION - 0.01, 0.22)),
            )
    if coped:
        over, under = half + 0.04, model.height - COPING
        cap = "stone" if kind == "bricks" else model.material
        blocks = stones(line, (-over, over), (under, model.height), length=0.9, joint=0.005)
        shade = shades(rng, len(blocks) // 12, light=0.09, hue=0.02)
        pile.add("coping", cap, blocks, tint=of_quads(shade, 6))
        pile.add(
            "coping", cap,
            band(shortened(line, 0.005), (0.004 - over, over - 0.004), (under + 0.003, model.height - 0.004)),
        )  # fmt: skip


def _faces(
    pile: Pile,
    line: Floats,
    half: float,
    top: float,
    kind: Cladding,
    material: str,
    eyes: Floats,
    rng: np.random.Generator,
) -> None:
    """Both sides and, of an open path, both ends, laid of bricks or stones before a core of mortar."""
    sunk = min(DEPTH[kind], 0.3 * half)
    core = (sunk - half, half - sunk)
    pile.add("", "mortar", band(shortened(line, sunk), core, (-FOUNDATION, top)))
    edges = {side: beside(line, side * half) for side in (-1, 1)}
    found: list[tuple[Floats, Floats]] = []
    for leg in range(len(line) - 1):
        found.append((edges[1][leg], edges[1][leg + 1]))
        found.append((edges[-1][leg + 1], edges[-1][leg]))
    if not is_closed(line):
        found += [(edges[-1][0], edges[1][0]), (edges[1][-1], edges[-1][-1])]
    for start, end in found:
        length = float(np.linalg.norm(end - start))
        if length < 0.03:
            continue
        a = np.array([*(end - start) / length, 0.0])
        out = np.array([a[1], -a[0], 0.0])
        origin = np.array([*start, 0.0])
        if kind == "bricks":
            units = masonry.bricks(
                (0.0, length), (-0.15, top - 0.003), "flemish" if half >= 0.1 else "stretcher", rng
            )
        else:
            units = masonry.stones((0.0, length), (-0.15, top - 0.003), rng)
        own = Pile()
        laid(own, "", units, kind, material, eyes_before(eyes, origin, a, out), rng)
        pile.poured(own, origin, a, UP, out)


def _gate(
    pile: Pile, number: int, line: Floats, model: Wall, kind: Cladding, rng: np.random.Generator
) -> None:
    """The piers of one gate, capped, and its leaf or leaves."""
    gate, starts = model.gates[number], _starts(line)
    leg = int(np.clip(np.searchsorted(starts, gate.from_start + 1e-6) - 1, 0, len(line) - 2))
    way = directions(line)[leg]
    side = np.array([way[1], -way[0]])
    start = line[leg] + (gate.from_start - starts[leg]) * way
    own = Pile()
    half = max(PIER / 2, model.thickness / 2 + 0.05)
    high = model.height + OVER - 0.13
    cap = "stone" if kind == "bricks" else model.material
    # In the gate's frame y runs along the wall, x to its right.
    for y in (-PIER / 2, gate.width + PIER / 2):
        pier(
            own,
            "piers",
            kind,
            model.material,
            np.array([0.0, y]),
            (half, PIER / 2),
            (-0.15, high),
            rng,
            foot=-FOUNDATION,
        )
        own.add("piers", cap, _cap(y, half, high))
    gate_leaves(own, f"gate[{number}]", gate, model.height - 0.12, rng)
    pile.poured(own, [*start, 0.0], [*side, 0.0], [*way, 0.0], UP)


def _cap(y: float, half: float, foot: float) -> Floats:
    """A slab that oversails its pier, with a low pyramid on it."""
    x0, y0 = half + 0.045, PIER / 2 + 0.045
    slab = boxes([-x0, y - y0, foot - 0.004], [x0, y + y0, foot + 0.065])
    point = np.empty((1, 8, 3))
    for corner in range(8):
        upper = corner >> 2
        reach = 0.12 if upper else 0.93
        point[0, corner] = [
            (1 if corner & 1 else -1) * x0 * reach,
            y + (1 if corner >> 1 & 1 else -1) * y0 * reach,
            foot + 0.13 if upper else foot + 0.064,
        ]
    return np.concatenate([slab, hexahedra(point)])


def build_box(name: str, model: Box, site: Site) -> list[Part]:
    """A plain box: `size` along x, along y, up, before its turn about the middle of its plan."""
    width, depth, height = model.size
    heap: Heap = {}
    heap_up(heap, "", model.material, boxes([-width / 2, -depth / 2, 0.0], [width / 2, depth / 2, height]))
    return placed(name, heap, azimuth=model.turn, at=[*model.at, model.height], wet=model.wet)
