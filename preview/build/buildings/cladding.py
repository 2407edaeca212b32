"""Cladding: what a wall shows as real relief on its face: boards, bricks, stones, render, logs, cut by its openings."""

from __future__ import annotations

import numpy as np

from preview.build.buildings import masonry
from preview.build.buildings.boards import battened, lapped
from preview.build.buildings.face import Eyes, Face
from preview.build.buildings.logs import logs
from preview.build.buildings.masonry import Units
from preview.build.buildings.render_coat import coat
from preview.build.mesh import Floats
from preview.build.pile import Pile
from preview.build.solids import boxes, quads
from preview.script.models.pieces.buildings import Bond, Cladding

NEAR, SOME_WAY_OFF = 22.0, 70.0
"""Up to how far from a camera a wall shows its relief, and its bricks at all, metres."""

DEPTH: dict[Cladding, float] = {
    "lapped": 0.0,
    "battened": 0.0,
    "plain": 0.0,
    "bricks": masonry.SUNK,
    "stones": 0.014,
    "render": 0.010,
    "logs": 0.055,
}
"""How far the wall behind lies inside its plan's rectangle, where the cladding's outermost face is; metres."""


def clad(
    pile: Pile,
    face: Face,
    kind: Cladding,
    material: str,
    *,
    eyes: Eyes,
    bond: Bond = "flemish",
    rng: np.random.Generator,
) -> None:
    """Adds what a face shows to a pile in the wall's frame, in the detail that the cameras before it call for.

    Strips lie on the wall without backs; boards' and logs' ends at holes must lie behind trim.
    """
    if kind in ("bricks", "stones"):
        _masonry(pile, face, kind, material, bond=bond, eyes=eyes, rng=rng)
    elif kind == "lapped":
        triangles, tint = lapped(face, rng)
        pile.add("walls", material, triangles, tint=tint)
    elif kind == "battened":
        battened(pile, face, material, rng)
    elif kind == "render":
        coat(
            pile,
            face.length,
            face.low,
            face.high,
            face.peak,
            face.grown(0.0),
            material,
            fine=eyes.nearest(face) < NEAR,
            rng=rng,
        )
    elif kind == "logs":
        logs(pile, face, material, rng)


def _masonry(
    pile: Pile, face: Face, kind: Cladding, material: str, *, bond: Bond, eyes: Eyes, rng: np.random.Generator
) -> None:
    if eyes.nearest(face) > SOME_WAY_OFF:
        return
    span, rise = (0.0, face.length), (face.low, face.peak)
    holes = face.grown(0.0)
    heads: list[Units] = []
    if kind == "bricks":
        units = masonry.bricks(span, rise, bond, rng)
        over = []
        for hole in face.holes:
            room = (max(hole.left - 0.112, 0.0), min(hole.right + 0.112, face.length))
            if hole.top + masonry.LENGTH < face.high:
                heads.append(masonry.soldiers(room, hole.top + 0.002, rng))
                over.append((room[0], hole.top, room[1], hole.top + masonry.LENGTH + masonry.JOINT))
        holes = [*holes, *over]
    else:
        units = masonry.stones(span, rise, rng)
    units = masonry.joined([units.within(face.ends).around(holes), *heads])
    laid(pile, "walls", units, kind, material, eyes, rng)


def laid(
    pile: Pile, part: str, units: Units, kind: Cladding, material: str, eyes: Eyes, rng: np.random.Generator
) -> None:
    """Adds bricks or stones to a part, as bodies near the cameras, as faces further off, not at all far away."""
    away = eyes.away(0.5 * (units.left[:, 0] + units.right[:, 0]), 0.5 * (units.low + units.high))
    near = units.only(away < NEAR)
    rough, arris = (0.002, masonry.ARRIS) if kind == "bricks" else (0.009, 0.010)
    triangles, tint = masonry.relief(near, back=-DEPTH[kind], front=0.0, jitter=rough, arris=arris, rng=rng)
    pile.add(part, material, triangles, tint=tint)
    triangles, tint = masonry.faces(units.only((away >= NEAR) & (away < SOME_WAY_OFF)), front=-0.001)
    pile.add(part, material, triangles, tint=tint)


def plinth(pile: Pile, face: Face, material: str, top: float, *, tint: Floats, proud: float = 0.022) -> None:
    """A band along a wall's foot with a weathered upper edge, let into by doors."""
    ends = [hole for hole in face.holes if hole.bottom < top]
    edges = sorted((hole.left - 0.02, hole.right + 0.02) for hole in ends)
    starts = [-proud, *(edge[1] for edge in edges)]
    stops = [*(edge[0] for edge in edges), face.length + proud]
    for start, stop in zip(starts, stops, strict=True):
        if stop - start < 0.05:
            continue
        pile.add(
            "plinth", material, boxes([start, face.low - 0.02, -0.03], [stop, top - proud, proud]), tint=tint
        )
        a, b = np.array([start, stop]), np.array([top - proud, top])
        slope = [[a[0], b[0], proud], [a[1], b[0], proud], [a[1], b[1], -0.012], [a[0], b[1], -0.012]]
        sides = [
            [[a[0], b[0], -0.012], [a[0], b[0], proud], [a[0], b[1], -0.012]],
            [[a[1], b[0], proud], [a[1], b[0], -0.012], [a[1], b[1], -0.012]],
        ]
        pile.add("plinth", material, np.concatenate([quads(np.array([slope])), np.array(sides)]), tint=tint)
