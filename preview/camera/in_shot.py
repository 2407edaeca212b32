"""Sighting: how one thing that should not be in the picture stands to the frame."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part
from preview.build.world import World
from preview.camera.frustum import (
    clearance,
    in_frame,
    in_front,
    outside,
    shortest_move,
    turn_that_clears,
    world_directions,
)
from preview.camera.set_edges import SetEdge
from preview.camera.sight import FREE, OWN, Caster, blockers, ground_under, samples
from preview.camera.view import View

Floats = NDArray[np.float64]
Kind = Literal["head", "stand", "frame", "cloth", "practical", "edge"]
Status = Literal["in shot", "hidden", "clear"]

FLAT_SOURCE = float(np.arccos(0.1))
"""Radians off its axis where a flat even source gives 10 %, by Lambert's cosine: no aperture shines wider."""
OUTLINE_PLACES = 160
"""Places along a set edge that are kept for drawing."""


@dataclass(frozen=True)
class RigUnit:
    """One thing on the set that is not part of the picture: `name` like `moon key.head`.

    Where it gives light: `centre` (3,) m of its aperture, `axis` (3,) unit the way it shines (None: all round),
    `field` radians, the whole angle of its beam to 10 %.
    """

    name: str
    kind: Literal["head", "stand", "frame", "cloth", "practical"]
    part: Part
    axis: Floats | None = None
    field: float | None = None
    centre: Floats | None = None

    @property
    def fixture(self) -> str:
        return self.name.rpartition(".")[0] or self.name


@dataclass(frozen=True)
class Clear:
    """What would clear it, in the trade's words: `move 0.8 m camera right`, `pan left 3.5°`."""

    what: Literal["move", "turn"]
    direction: str
    amount: float
    """Metres of a move, degrees of a turn."""
    words: str


@dataclass(frozen=True)
class Shine:
    """Its source shines straight into the lens. `off_axis_deg`: of the lens from its beam's axis."""

    off_axis_deg: float | None
    in_frame: bool
    words: str


@dataclass(frozen=True)
class Sighting:
    """One thing and the frame. Boxes and places are in frame coordinates, u right, v down, 0 to 1.

    `box`: left, top, right, bottom of what lies inside the frame, hidden or not. `at`: where to point at it,
    outside 0 to 1 when it is out of frame, None when it is behind the lens. `visible_share`: of its area inside
    the frame. `clear_deg`, `clear_m`: at the lens, and the nearest way into view. `distance_m`: to the nearest of it.
    """

    number: int
    name: str
    kind: Kind
    status: Status
    words: str
    distance_m: float
    where: str = ""
    box: tuple[float, float, float, float] | None = None
    at: tuple[float, float] | None = None
    visible_share: float = 0.0
    hidden_by: tuple[str, ...] = ()
    clear_deg: float | None = None
    clear_m: float | None = None
    clear_of: str | None = None
    clears: Clear | None = None
    shines: Shine | None = None
    outline: tuple[tuple[float, float], ...] = ()
    """Of a set edge: the places along it that show."""


def sight_unit(unit: RigUnit, units: Sequence[RigUnit], view: View, world: World, rays: Caster) -> Sighting:
    """How a unit stands to the frame; its `number` is 0."""
    triangles = unit.part.vertices[unit.part.faces]
    distance = float(np.linalg.norm(unit.part.vertices - view.position, axis=1).min())
    shines = _shine(unit, units, view, world, rays)
    inside = in_frame(view, triangles)
    sighting = Sighting(0, unit.name, unit.kind, "clear", "", distance, shines=shines)
    if not len(inside):
        gap = clearance(view, _places(triangles))
        sighting = replace(
            sighting,
            at=_middle(view, in_front(view, triangles)),
            clear_deg=gap.degrees,
            clear_m=gap.metres,
            clear_of=gap.side,
        )
        return _worded(sighting)
    places, by_area = samples(view, inside)
    found = blockers(view.position, places, world, rays, own=lambda name: name == unit.name)
    uv = view.project(inside.reshape(-1, 3))[0]
    box = _box(uv)
    sighting = replace(sighting, where=where(box), box=box, at=((box[0] + box[2]) / 2, (box[1] + box[3]) / 2))
    if not (found == FREE).any():
        return _worded(replace(sighting, status="hidden", hidden_by=_hiders(found, world)))
    counted = (found[by_area] != OWN) if by_area.any() else found != OWN
    free = (found[by_area] == FREE) if by_area.any() else found == FREE
    seen = view.project(places[found == FREE])[0]
    middle = np.argmin(np.linalg.norm(seen - seen.mean(axis=0), axis=1))
    sighting = replace(
        sighting,
        status="in shot",
        at=(float(seen[middle, 0]), float(seen[middle, 1])),
        visible_share=float(free.sum() / max(1, counted.sum())) or 1.0 / len(places),
        hidden_by=_hiders(found, world),
        clears=None if unit.kind == "practical" else _move(unit, units, view, world, rays, triangles),
    )
    return _worded(sighting)


def sight_edge(edge: SetEdge, view: View, world: World, rays: Caster) -> Sighting:
    """How an edge of the set stands to the frame; its `number` is 0."""
    found = blockers(view.position, edge.points, world, rays)
    inside = (outside(view, edge.points) <= 0.0).all(axis=1)
    nearest = float(np.linalg.norm(edge.points - view.position, axis=1).min())
    sighting = Sighting(0, edge.name, "edge", "clear", "", nearest)
    if not inside.any():
        open_to_lens = edge.points[found == FREE]
        gap = clearance(view, open_to_lens if len(open_to_lens) else edge.points)
        return _worded(replace(sighting, clear_deg=gap.degrees, clear_m=gap.metres, clear_of=gap.side))
    shows = inside & (found == FREE)
    chosen = edge.points[shows if shows.any() else inside]
    uv = view.project(chosen)[0]
    box = _box(uv)
    sighting = replace(
        sighting,
        distance_m=float(np.linalg.norm(chosen - view.position, axis=1).min()),
        where=where(box),
        box=box,
        at=tuple(uv[len(uv) // 2].tolist()),
        hidden_by=_hiders(found[inside], world),
    )
    if not shows.any():
        return _worded(replace(sighting, status="hidden"))
    turn = turn_that_clears(view, edge.points[found == FREE])
    kept = np.unique(np.linspace(0, len(uv) - 1, min(len(uv), OUTLINE_PLACES)).astype(int))
    return _worded(
        replace(
            sighting,
            status="in shot",
            visible_share=float(shows.sum() / inside.sum()),
            outline=tuple((float(u), float(v)) for u, v in uv[kept]),
            clears=None if turn is None else Clear("turn", turn[0], turn[1], f"{turn[0]} {turn[1]:.1f}°"),
        )
    )


def where(box: tuple[float, float, float, float]) -> str:
    """Where a box stands in the frame, in words: `upper right, cut by the right edge`."""
    u, v = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    if box[2] - box[0] > 0.85 and box[3] - box[1] > 0.85:
        place = "all over the frame"
    else:
        across = (
            "all across" if box[2] - box[0] > 0.85 else ("left", "", "right")[int(u > 1 / 3) + int(u > 2 / 3)]
        )
        height = ("upper", "", "lower")[int(v > 1 / 3) + int(v > 2 / 3)]
        if across == "all across":
            place = {
                "upper": "all across the top",
                "": "all across the middle",
                "lower": "all across the bottom",
            }[height]
        else:
            place = f"{height} {across or ('middle' if height else 'centre')}".strip()
    touched = [
        side
        for side, touches in zip(
            ("left", "top", "right", "bottom"),
            (box[0] < 1e-3, box[1] < 1e-3, box[2] > 1 - 1e-3, box[3] > 1 - 1e-3),
            strict=True,
        )
        if touches
    ]
    if touched and not place.startswith("all"):
        place += f", cut by the {' and '.join(touched)} edge{'s' if len(touched) > 1 else ''}"
    return place


def _shine(unit: RigUnit, units: Sequence[RigUnit], view: View, world: World, rays: Caster) -> Shine | None:
    if unit.centre is None:
        return None
    to_lens = view.position - unit.centre
    if to_lens @ view.forward >= 0.0:
        return None  # behind the front glass
    length = float(np.linalg.norm(to_lens))
    off_axis = None
    if unit.axis is not None and length > 0:
        off_axis = float(np.degrees(np.arccos(np.clip(to_lens @ unit.axis / length, -1.0, 1.0))))
        if off_axis > np.degrees(min(np.inf if unit.field is None else unit.field / 2, FLAT_SOURCE)):
            return None
    own = {u.name for u in units if u.fixture == unit.fixture and u.kind in ("head", "stand", "practical")}
    found = blockers(
        view.position, unit.centre[None], world, rays, own=lambda name: name in own, through_own=True
    )
    if found[0] != FREE:
        return None
    inside = bool((outside(view, unit.centre[None]) <= 0.0).all())
    angle = "" if off_axis is None else f", {off_axis:.0f}° off its axis"
    origin = "" if inside else " from out of frame"
    return Shine(off_axis, inside, f"shines straight into the lens{origin}{angle}: expect flare")


def _move(
    unit: RigUnit, units: Sequence[RigUnit], view: View, world: World, rays: Caster, triangles: Floats
) -> Clear | None:
    directions = world_directions(view)
    limits: dict[str, float] = {}
    if unit.kind == "stand":
        # A stand stays on its feet.
        limits = {"up": 0.0, "down": 0.0}
    else:
        own: Callable[[str], bool] = lambda name: name.startswith(f"{unit.fixture}.") or name == unit.fixture  # noqa: E731
        lowest = unit.part.vertices[np.argmin(unit.part.vertices[:, 2])]
        limits = {"down": max(0.0, float(lowest[2]) - 0.05 - ground_under(lowest, world, rays, own=own))}
    move = shortest_move(view, triangles, directions, limits=limits)
    if move is None:
        return None
    verb = {"up": "raise by", "down": "lower by"}.get(move.direction)
    words = f"{verb} {move.metres:.1f} m" if verb else f"move {move.metres:.1f} m {move.direction}"
    return Clear("move", move.direction, move.metres, words)


def _worded(sighting: Sighting) -> Sighting:
    if sighting.status == "clear":
        assert sighting.clear_deg is not None
        if sighting.clear_deg > 90.0:
            words = f"clear, behind the lens ({sighting.clear_m:.1f} m)"
        else:
            words = f"clear of the {sighting.clear_of} edge by {sighting.clear_deg:.1f}° ({sighting.clear_m:.1f} m)"
    elif sighting.status == "hidden":
        words = f"hidden by {' and '.join(sighting.hidden_by) or 'its own far side'}; {sighting.where}"
    else:
        words = f"in shot, {sighting.where}"
        if sighting.visible_share < 0.995:
            share = max(1, round(100 * sighting.visible_share))
            behind = f", the rest behind {' and '.join(sighting.hidden_by)}" if sighting.hidden_by else ""
            words += f"; {share} % of it shows{behind}"
    return replace(sighting, words=words)


def _hiders(found: NDArray[np.int64], world: World) -> tuple[str, ...]:
    """Names of the two parts that hide most."""
    parts, counts = np.unique(found[found >= 0], return_counts=True)
    return tuple(world.names[part] for part in parts[np.argsort(-counts, kind="stable")][:2])


def _box(uv: Floats) -> tuple[float, float, float, float]:
    low, high = np.clip(uv.min(axis=0), 0.0, 1.0), np.clip(uv.max(axis=0), 0.0, 1.0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _middle(view: View, triangles: Floats) -> tuple[float, float] | None:
    if not len(triangles):
        return None
    uv, _ = view.project(triangles.reshape(-1, 3).mean(axis=0, keepdims=True))
    return float(uv[0, 0]), float(uv[0, 1])


def _places(triangles: Floats) -> Floats:
    """Corners, middles of sides and middles of triangles (m, 3, 3)."""
    sides = (triangles + np.roll(triangles, 1, axis=1)) / 2
    return np.concatenate([triangles.reshape(-1, 3), sides.reshape(-1, 3), triangles.mean(axis=1)])
