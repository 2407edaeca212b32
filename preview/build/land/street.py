"""Street: a cambered carriageway between kerb stones and pavements, with what is let into it and painted on it."""

from __future__ import annotations

from dataclasses import dataclass
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from preview.build.chance import smoothly
from preview.build.land.course import points_of
from preview.build.land.ribbon import Heights, Way, is_ring, sheet, together
from preview.build.land.stones import Rows, nearest_eye, setts, sunk_between_setts
from preview.build.land.street_furniture import covers, gullies, repairs
from preview.build.land.street_paint import paint
from preview.build.land.street_pavement import kerb, pavement, strip
from preview.build.mesh import Floats, Part
from preview.build.site import Site
from preview.script.models.pieces.ground import Street
from preview.script.street_plan import (
    carriageway,
    off_path,
    pavement_height,
    sides_of,
)

FURTHEST_STATIONS, NEAREST_STATIONS = 15.0, 0.6
MOST_STATIONS = 1200
OVER_EARLIER = 0.003
"""How far a street lies above an earlier one that it meets, metres, so that no two pavements share a plane."""
RUN_DOWN, UNDER_EARLIER = 3.0, 0.03
"""Metres over which a carriageway's crown runs down to the edge of an earlier street, and how far below that it goes on."""


@dataclass(frozen=True)
class Road:
    """One street as it is built: its way, the ground below, the other streets that it meets."""

    name: str
    model: Street
    way: Way
    site: Site
    others: tuple[tuple[Street, bool], ...]
    """Each with whether it comes earlier in the script."""

    @property
    def half(self) -> float:
        return self.model.width / 2

    @property
    def is_bent(self) -> bool:
        """Whether its carriageway is anything but straight along its way."""
        return self.site.terrain.is_uneven or any(earlier for _, earlier in self.others)

    @property
    def over(self) -> float:
        """Metres above the usual, so that no two streets share a plane."""
        return OVER_EARLIER * sum(earlier for _, earlier in self.others)

    @property
    def eyes(self) -> Floats:
        eyes = self.site.eyes.copy()
        eyes[:, 2] -= self.site.ground(eyes[:, 0], eyes[:, 1])
        return eyes

    def surface(self, x: Floats, y: Floats) -> Floats:
        """Height of the carriageway at plan points (n,), metres."""
        offset, _ = off_path(self.way.line.tolist(), x, y)
        return np.asarray(self.site.ground(x, y) + self.met(carriageway(self.model, offset), x, y))

    def met(self, height: Floats, x: Floats, y: Floats) -> Floats:
        """Heights (n,) of the carriageway over the ground, run down to the edge of an earlier street, and under that."""
        for other, earlier in self.others:
            if earlier:
                offset, _ = off_path(other.along, x, y)
                beyond = np.abs(offset) - other.width / 2
                own = smoothly(beyond / RUN_DOWN)
                theirs = carriageway(other, offset) - UNDER_EARLIER * smoothly(-beyond / 0.6)
                height = np.where(np.isfinite(offset), theirs + own * (height - theirs), height)
        return height

    def pavement(self, x: Floats, y: Floats) -> Floats:
        """Height of the pavements at plan points (n,), metres."""
        return np.asarray(self.site.ground(x, y) + pavement_height(self.model) + self.over)

    def in_other_carriageway(
        self, plan: Floats, margin: float = 0.0, *, earlier_only: bool = False
    ) -> NDArray[np.bool_]:
        """Which plan points (n, 2) lie in the carriageway of another street."""
        found = np.zeros(len(plan), bool)
        for other, earlier in self.others:
            if earlier or not earlier_only:
                offset, _ = off_path(other.along, plan[:, 0], plan[:, 1])
                found |= np.abs(offset) < other.width / 2 + margin
        return found

    def on_earlier_pavement(self, plan: Floats) -> NDArray[np.bool_]:
        """Which plan points (n, 2) lie on the pavement of a street that comes earlier."""
        found = np.zeros(len(plan), bool)
        for other, earlier in self.others:
            if earlier:
                offset, _ = off_path(other.along, plan[:, 0], plan[:, 1])
                left, right = sides_of(other)
                found |= (offset < right) & (offset > -left)
        return found


def rows_of_setts(road: Road, low: float, high: float, height: Heights) -> list[Part]:
    """Rows of setts across a strip between two offsets, their heads at a `height`, where no other carriageway runs."""
    line = road.way.line.tolist()

    def world(u: Floats, s: Floats) -> tuple[Floats, Floats]:
        distance, offset = np.broadcast_arrays(s, u)
        plan = road.way.plan(distance, offset)
        return plan[..., 0], plan[..., 1]

    def wanted(x: Floats, y: Floats) -> NDArray[np.bool_]:
        offset, _ = off_path(line, x, y)
        plan = np.stack([x, y], axis=1)
        in_way = road.in_other_carriageway(plan, earlier_only=low < 0.0 < high) | road.on_earlier_pavement(
            plan
        )
        return np.asarray((offset > low + 0.03) & (offset < high - 0.03) & ~in_way)

    rows = Rows((low, high), (0.0, road.way.length), world)
    return setts(road.name, "cobbles", rows, road.eyes, height, wanted, wet=road.model.wet)


def build_street(name: str, model: Street, site: Site) -> list[Part]:
    """Carriageway, kerbs, pavements, lines, covers. UserError for a path without length."""
    road = Road(name, model, Way(points_of(name, model.along)), site, _others(name, model, site))
    parts: list[Part | None] = [_carriageway(road)]
    if model.material == "cobbles" and len(site.eyes):
        parts += rows_of_setts(road, -road.half, road.half, road.surface)
    for side, width in zip((-1, 1), model.pavement, strict=True):
        parts += kerb(road, side)
        if width > 0:
            parts += pavement(road, side, width)
            if model.pavement_material == "cobbles" and len(site.eyes):
                parts += rows_of_setts(road, *strip(road, side, width), road.pavement)
    rng = np.random.default_rng(crc32(name.encode()))
    if model.material != "cobbles":
        parts += repairs(road, rng)
    if model.manholes:
        parts += covers(road, rng)
        parts += gullies(road)
    parts += paint(road)
    return together(parts)


def _others(name: str, model: Street, site: Site) -> tuple[tuple[Street, bool], ...]:
    """The other streets of the scene that come near."""
    found, earlier = [], True
    reach = max(sides_of(model))
    mine = np.array(model.along, dtype=float)
    for other_name, other in site.scene.set:
        if other_name == name:
            earlier = False
        elif isinstance(other, Street):
            far = reach + max(sides_of(other))
            theirs = np.array(other.along, dtype=float)
            if (
                (mine.min(axis=0) - far < theirs.max(axis=0)) & (theirs.min(axis=0) - far < mine.max(axis=0))
            ).all():
                found.append((other, earlier))
    return tuple(found)


def _step(road: Road) -> float:
    """Metres between cross-sections: no more than what is needed to lie on the ground."""
    fine = road.site.terrain.is_uneven or (road.model.material == "cobbles" and len(road.site.eyes) > 0)
    step = NEAREST_STATIONS if fine else FURTHEST_STATIONS
    if any(earlier for _, earlier in road.others):
        step = min(step, RUN_DOWN / 10)
    return max(step, road.way.length / MOST_STATIONS)


def _carriageway(road: Road) -> Part:
    model, half = road.model, road.half
    distance = road.way.stations(_step(road))
    offset = half * np.linspace(-1.0, 1.0, 17)
    s, u = np.meshgrid(distance, offset, indexing="ij")
    plan = road.way.plan(s, u)
    x, y = plan[..., 0].ravel(), plan[..., 1].ravel()
    height = road.site.ground(x, y) + road.met(carriageway(model, u.ravel()), x, y)
    if model.material == "cobbles":
        height = height - sunk_between_setts(nearest_eye(x, y, road.eyes), road.eyes)
    points = np.concatenate([plan, height.reshape(s.shape)[..., None]], axis=-1)
    tint = None if model.material == "cobbles" else _worn(u / half)
    return sheet(
        f"{road.name}.carriageway",
        model.material,
        points,
        0.3,
        wet=model.wet,
        tint=tint,
        closed=is_ring(road.way.line),
    )


def _worn(across: Floats) -> Floats:
    """Tint (..., 3) of a carriageway at shares of its half width: darker where tyres run and in the gutters."""
    tracks = sum(np.exp(-(((np.abs(across) - middle) / 0.09) ** 2)) for middle in (0.28, 0.72))
    gutter = np.clip((np.abs(across) - 0.9) / 0.1, 0.0, 1.0)
    shade = 1.06 - 0.15 * tracks - 0.22 * gutter
    return np.repeat(shade[..., None], 3, axis=-1)
