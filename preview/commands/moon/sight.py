"""Moon sight: what stands between the moon and each figure, and between the lens and the moon."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import cos, radians, sin, tan
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.sight import SEE_THROUGH
from preview.commands.metering.face_light import About
from preview.commands.metering.readings import Receptor
from preview.commands.moon.sweep import Direction, Sweep
from preview.light.vectors import across
from preview.trace.digest import digest, program_digest
from preview.trace.keys import set_digest
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]
Parts = NDArray[np.int64]

PASSES: Final = 200
"""Surfaces that one line of sight may go through."""
STEP: Final = 1e-3
"""Metres past a surface that is looked through."""
STARTS: Final = 6
"""Places about a figure that are looked from."""
SMALL: Final = radians(2.0)
"""Of a source this small one ray tells as much as many."""


@dataclass(frozen=True)
class Reach:
    """How much of the moon comes to a figure past all but its own parts, 0 to 1; the piece that keeps off most of the
    rest, None for nothing."""

    share: float
    kept_off_by: str | None
    called: str = ""
    """What keeps it off, as one says it: `the house`, `Bo`."""


@dataclass(frozen=True)
class Disc:
    """Whether any of the moon stands in the frame's field, and the piece that stands before its middle there."""

    in_frame: bool
    hidden_by: str | None
    called: str = ""
    """What hides it, as one says it."""

    @property
    def in_shot(self) -> bool:
        return self.in_frame and self.hidden_by is None


@dataclass(frozen=True)
class Sight:
    """`reach`: of each direction, of each figure; `discs`: of each direction."""

    reach: tuple[tuple[Reach, ...], ...]
    discs: tuple[Disc, ...]


def sight(sweep: Sweep, figures: Sequence[About], *, store: AnyStore) -> Sight:
    """What stands in the moon's way; what `store` has of it asks no ray.

    A figure is looked for from its face, cheeks, hair and shoulders; of a wide source also at four places 0.7 of its radius
    from the middle.
    """
    ready, directions = sweep.ready, sweep.directions
    aims = np.array([aim for one in directions for aim in _aims(one, sweep.options.size)])
    starts = [(start.position, one.figure.name) for one in figures for start in _starts(one)]
    places = np.array([place for place, _ in starts]).reshape(-1, 3)
    key = digest(program_digest(), set_digest(ready.stage), "sight", ready.view.position, aims, places)
    known = store.load(key)
    if known is None:
        parts = np.array([_met(sweep, place, aims, name) for place, name in starts], np.int64)
        before = _met(sweep, ready.view.position, np.array([one.towards for one in directions]), None)
        known = {"met": parts, "before": before}
        store.put(key, known, kind="readings", label=f"{ready.label}: what stands before the moon")
    cast = {figure.name for figure in ready.scene.cast}
    owners = [name.partition(".")[0] for name in ready.world.names]
    # (figures, starts, directions, aims) to (directions, figures, all of one).
    met = np.asarray(known["met"]).reshape(
        len(figures), STARTS, len(directions), len(aims) // len(directions)
    )
    each = met.transpose(2, 0, 1, 3).reshape(len(directions), len(figures), STARTS * met.shape[3])
    discs = tuple(
        _disc(sweep, one, int(part), owners) for one, part in zip(directions, known["before"], strict=True)
    )
    return Sight(tuple(tuple(_reach(row, owners, cast) for row in rows) for rows in each), discs)


def _starts(one: About) -> tuple[Receptor, ...]:
    return (one.face.flat, *one.face.cheeks, one.hair, *one.shoulders)


def _met(sweep: Sweep, start: Floats, aims: Floats, figure: str | None) -> Parts:
    """The part of the set that is met from a place (3,) along each unit direction (n, 3), -1 for none. Glass is looked
    through, and so is a figure's own self, however many locks of hair that is."""
    world, rays = sweep.ready.world, sweep.ready.stage.solid.rays
    clear = np.array(
        [
            material in SEE_THROUGH or (figure is not None and name.partition(".")[0] == figure)
            for name, material in zip(world.names, world.materials, strict=True)
        ],
        bool,
    )
    found = np.full(len(aims), -1, np.int64)
    travelled, looking = np.zeros(len(aims)), np.arange(len(aims))
    for _ in range(PASSES):
        ways = aims[looking].astype(np.float32)
        hit = rays.hit((start + travelled[looking, None] * aims[looking]).astype(np.float32), ways)
        there = hit.face >= 0
        looking, part = looking[there], world.part_of_face[hit.face[there]]
        travelled[looking] += hit.distance[there] + STEP
        found[looking[~clear[part]]] = part[~clear[part]]
        looking = looking[clear[part]]
        if not len(looking):
            break
    return found


def _aims(direction: Direction, size: float) -> list[Floats]:
    """Unit directions (3,) to the middle of a source and, of one wider than a moon, to four places about it."""
    middle = direction.towards
    if size < SMALL:
        return [middle]
    wide, high = across(middle)
    off = 0.7 * size / 2.0
    return [middle, *(cos(off) * middle + sin(off) * way for way in (wide, -wide, high, -high))]


def _reach(parts: Parts, owners: Sequence[str], cast: Collection[str]) -> Reach:
    stopped = Counter(owners[part] for part in parts if part >= 0)
    by = stopped.most_common(1)[0][0] if stopped else None
    return Reach(float(np.mean(parts < 0)), by, _called(by, cast))


def _called(name: str | None, cast: Collection[str]) -> str:
    """People by their names, things with their article."""
    return "" if name is None else name if name in cast else f"the {name}"


def _disc(sweep: Sweep, direction: Direction, part: int, owners: Sequence[str]) -> Disc:
    view = sweep.ready.view
    right, up, ahead = (float(direction.towards @ axis) for axis in (view.right, view.up, view.forward))
    margin = tan(min(sweep.options.size / 2.0, radians(30.0)))
    beside = ahead <= 0.0 or abs(right) > ahead * (view.tan_half_width + margin)
    if beside or abs(up) > ahead * (view.tan_half_height + margin):
        return Disc(False, None)
    by = None if part < 0 else owners[part]
    return Disc(True, by, _called(by, {figure.name for figure in sweep.ready.scene.cast}))
