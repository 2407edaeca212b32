"""Cutters: flags, nets, cucoloris, barn doors and snoots: shapes that stop light, with the penumbra of its source."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from preview.build.grip import Placed, cucoloris_parts, flag_parts, leaf_parts, snoot_parts
from preview.light.emitters.gated import Gated
from preview.light.emitters.pattern import irregular
from preview.light.light import Emitter
from preview.light.modifiers.passage import Passage, lumens_of, placed
from preview.light.modifiers.passage import turn_of as turned
from preview.light.vectors import across
from preview.script.models.through import Doors, Through

LEAF = 1.1
"""Length of a barn door's leaf, in apertures; the upper and lower are half as wide again at their tips, so that no light
comes out between neighbours. From memory, typical."""
BEYOND = 0.01
"""Metres before an aperture, and outside of it, that leaves hinge."""


def flagged(passage: Passage, thing: Through) -> Passage:
    """A flag, or a net in its place; only this fixture's light is stopped."""
    assert thing.flag is not None
    row = passage.catalogue.cloths[thing.cloth or "solid"]
    board = placed(passage, thing, thing.flag)
    parts = flag_parts(
        passage.name,
        board,
        stands=passage.stands,
        ground=passage.ground,
        solid=row.diffuse + row.direct == 0.0,
    )
    return gated(passage, lambda source: _gate(source, board, row.direct)).with_body(*parts)


def patterned(passage: Passage, thing: Through) -> Passage:
    """A cucoloris."""
    assert thing.cucoloris is not None
    board = placed(passage, thing, thing.cucoloris)
    pattern = irregular(thing.cucoloris, open_share=thing.open, seed=thing.seed)
    rows, columns = (2 * side for side in pattern.depth.shape)
    y, x = np.meshgrid(
        (np.arange(rows) + 0.5) / rows * 2 - 1, (np.arange(columns) + 0.5) / columns * 2 - 1, indexing="ij"
    )
    holes = pattern.holes(x.ravel().astype(np.float32), y.ravel().astype(np.float32)).reshape(x.shape)
    parts = cucoloris_parts(passage.name, board, holes, stands=passage.stands, ground=passage.ground)
    return gated(passage, lambda source: replace(_gate(source, board, 0.0), pattern=pattern)).with_body(
        *parts
    )


def doored(passage: Passage, thing: Through) -> Passage:
    """Barn doors on the head."""
    assert thing.doors is not None
    leaves = leaves_of(passage, thing.doors)

    def gate(source: Emitter) -> Emitter:
        for leaf in leaves:
            source = _gate(source, leaf, 0.0)
        return source

    return gated(passage, gate).with_body(*leaf_parts(passage.name, leaves))


def leaves_of(passage: Passage, doors: Doors) -> list[Placed]:
    """The leaves that there are: a hinge along each side of the aperture, from where each opens by its angle."""
    aperture, axis = passage.aperture, passage.head_axis
    width, height = across(axis, aperture.turn)
    x, y = aperture.half_size
    length = LEAF * 2.0 * min(x, y)
    leaves = []
    for angle, out, along, off, half in (
        (doors.top, height, width, y, x),
        (doors.bottom, -height, width, y, x),
        (doors.left, -width, height, x, y),
        (doors.right, width, height, x, y),
    ):
        if angle is None:
            continue
        hinge = passage.head_at + (off + BEYOND) * out + BEYOND * axis
        reach = -np.cos(angle) * out + np.sin(angle) * axis
        normal = np.cross(along, reach)
        wide = 2.0 * half + (length if out is height or (out == -height).all() else 0.5 * length)
        leaves.append(Placed(hinge + 0.5 * length * reach, normal, (wide, length), turned(normal, along)))
    return leaves


def snooted(passage: Passage, thing: Through) -> Passage:
    """A snoot on the head: light leaves by its open end alone, and its black inside throws none of its own."""
    assert thing.snoot is not None
    half = thing.snoot.opening / 2.0
    end = Placed(
        passage.head_at + thing.snoot.length * passage.head_axis, passage.head_axis, (2 * half, 2 * half)
    )
    parts = snoot_parts(
        passage.name,
        at=passage.head_at,
        axis=passage.head_axis,
        radius=max(passage.aperture.half_size),
        length=thing.snoot.length,
        opening=thing.snoot.opening,
    )
    return gated(passage, lambda source: replace(_gate(source, end, 1.0), round=True, closed=True)).with_body(
        *parts
    )


def gated(passage: Passage, gate: Callable[[Emitter], Emitter]) -> Passage:
    """A gate in the way of all that comes so far; what is left of the lumens is counted."""

    def lumens(which: Passage) -> float:
        last = [one.emitter for one in which.sources if one.origin.stage == passage.stage - 1]
        return sum(lumens_of(emitter, at=passage.at, axis=passage.axis) for emitter in last)

    after = replace(
        passage, sources=tuple(replace(source, emitter=gate(source.emitter)) for source in passage.sources)
    )
    before = lumens(passage)
    share = lumens(after) / before if before > 0.0 else 0.0
    return replace(after, left=passage.left * min(share, 1.0))


def _gate(source: Emitter, board: Placed, passes: float) -> Gated:
    return Gated(source, board.centre, board.axis, board.half_size, passes, board.turn)
