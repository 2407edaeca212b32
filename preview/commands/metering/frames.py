"""Frames: how each frame, bounce and box of a head is filled, what misses it, and what it is at each mark."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter, Light, arriving
from preview.light.modifiers.passage import candela_along, ways_about
from preview.light.modifiers.record import Stood
from preview.trace.geometry import Geometry
from preview.trace.receptors import read
from preview.trace.sampling import spread_points

if TYPE_CHECKING:
    from collections.abc import Sequence

    from preview.commands.metering.readings import Receptor
    from preview.commands.prepare import Ready

Floats = NDArray[np.float64]
Array = NDArray[np.float32]

RAYS = 1024
"""To each source from each mark."""
PLACES = 4096
"""Of a source, to tell how large it looks."""
BESIDE = 0.05
"""Share of the spill below which where it lands is not told."""
UNNOTICED = 1e-9


@dataclass(frozen=True)
class FrameAtMark:
    """A frame's light at a mark, with the set's shadows.

    lux, at the light's level; direct (0 to 1): the share that went through or off it in its old direction, None where
    it gives no light; size_deg, size_m: diameter of the even disc, where the frame stands, that would be of the same
    solid angle, each part weighted by its light.
    """

    mark: str
    lux: float
    direct: float | None
    size_deg: float | None
    size_m: float | None


@dataclass(frozen=True)
class Landing:
    """Where spill lands: the name of a piece of the set, how far off (m), what share of the head's lumens."""

    name: str
    distance_m: float
    share: float


@dataclass(frozen=True)
class FrameReading:
    """A frame, bounce or box in a head's light.

    kind: frame, bounce, box or cloth (on the head); of: its cloth or surface; size_m (width, height). fill: the share of it
    that is lit above half its brightest. evenness_stops: how much its edge is below its centre. spill: the share of the
    head's lumens that misses it; lost: that stays in it; landings: where spill lands, most first.
    """

    fixture: str
    kind: str
    of: str
    size_m: tuple[float, float]
    fill: float
    evenness_stops: float
    spill: float
    lost: float
    landings: tuple[Landing, ...]
    marks: tuple[FrameAtMark, ...]


def frames_of(ready: Ready, receptors: Sequence[Receptor]) -> tuple[FrameReading, ...]:
    """Every frame, bounce and box of every head, in the order that its light meets them."""
    return tuple(
        _reading(ready, light, number, receptors)
        for light in ready.lights
        for number in range(len(light.modifiers))
    )


def _reading(ready: Ready, light: Light, number: int, receptors: Sequence[Receptor]) -> FrameReading:
    stood = light.modifiers[number]
    spill = stood.spilled / stood.lumens
    return FrameReading(
        light.name,
        stood.kind,
        stood.of,
        stood.size_m,
        fill_of(stood.falling),
        evenness_of(stood.falling),
        spill,
        _lost(stood),
        _landings(ready.stage.solid, stood),
        _at_marks(ready, light, number, receptors),
    )


def _lost(stood: Stood) -> float:
    """The share of the head's lumens that stays in it; in a box, all that does not leave it."""
    left = stood.passed * stood.flux
    return float((stood.lumens if stood.kind == "box" else stood.flux) - left) / stood.lumens


def fill_of(falling: Floats) -> float:
    """Share (0 to 1) of cells whose illuminance is above half the brightest; 0 where all is dark."""
    return float((falling > 0.5 * falling.max()).mean()) if falling.max() > 0.0 else 0.0


def evenness_of(falling: Floats) -> float:
    """Stops from the middle of a grid (rows, columns) down to the mean of its outermost cells; inf for a dark edge."""
    rows, columns = falling.shape
    middle = falling[rows // 2 - 1 : rows // 2 + 1, columns // 2 - 1 : columns // 2 + 1].mean()
    edge = np.concatenate([falling[0], falling[-1], falling[1:-1, 0], falling[1:-1, -1]]).mean()
    if middle <= 0.0:
        return 0.0
    return float(np.log2(middle / edge)) if edge > 0.0 else float("inf")


def _at_marks(
    ready: Ready, light: Light, number: int, receptors: Sequence[Receptor]
) -> tuple[FrameAtMark, ...]:
    ways: dict[str, list[Emitter]] = {"direct": [], "diffuse": []}
    for emitter, origin in zip(light.emitters, light.origins, strict=True):
        if origin.stage == number:
            ways[origin.way].append(emitter)
    if not receptors:
        return ()
    position = np.array([one.position for one in receptors])
    facing = np.array([one.facing for one in receptors])
    parts = [Light(light.name, tuple(some), light.gain, light.colour) for some in ways.values()]
    found = read(
        position,
        facing,
        ready.stage.solid,
        parts,
        domes=np.array([one.dome for one in receptors], bool),
        rays=RAYS,
        bounce_rays=0,
        haze=ready.haze,
    )
    direct, diffuse = light.gain * found.direct
    centre = light.modifiers[number].centre
    answer = []
    for row, mark in enumerate(receptors):
        lux = float(direct[row] + diffuse[row])
        if lux <= UNNOTICED:
            answer.append(FrameAtMark(mark.name, lux, None, None, None))
            continue
        solid_angle = equivalent_solid_angle([*ways["direct"], *ways["diffuse"]], mark.position)
        size = (
            None
            if solid_angle is None
            else 2.0 * float(np.arccos(max(1.0 - solid_angle / (2 * np.pi), -1.0)))
        )
        away = float(np.linalg.norm(centre - mark.position))
        answer.append(
            FrameAtMark(
                mark.name,
                lux,
                float(direct[row] / lux),
                None if size is None else float(np.degrees(size)),
                None if size is None else 2.0 * away * float(np.tan(min(size / 2.0, 1.5))),
            )
        )
    return tuple(answer)


def equivalent_solid_angle(emitters: Sequence[Emitter], position: Floats) -> float | None:
    """Solid angle (sr) of the even source that a position (3,) sees as large as these: (int L dw)^2 / int L^2 dw.

    So each part counts by its light: of an even source it is its own solid angle. Nothing of the set is in the way. None
    where no light comes.
    """
    points = np.repeat(np.asarray(position, np.float32)[:, None], PLACES, axis=1)
    normals = np.zeros_like(points)
    u = spread_points(PLACES)
    total = squares = 0.0
    for emitter in emitters:
        direction, _, lux = arriving(emitter, points, normals, u)
        seen = np.zeros(PLACES)
        for other in emitters:
            seen += other.shining(points, direction)[0]
        total += float(lux.mean(dtype=np.float64))
        squares += float((lux * seen).mean(dtype=np.float64))
    return total * total / squares if squares > 0.0 else None


def _landings(solid: Geometry, stood: Stood) -> tuple[Landing, ...]:
    """The pieces of the set that most of the spill falls on."""
    if stood.spilled < UNNOTICED * stood.lumens or not stood.spilling:
        return ()
    towards = stood.centre - stood.source
    way, solid_angle = ways_about(towards / np.linalg.norm(towards))
    weight = solid_angle * sum(candela_along(emitter, stood.source, way) for emitter in stood.spilling)
    lit = np.flatnonzero(weight > 0.0)
    if len(lit) == 0:
        return ()
    start = np.broadcast_to(stood.source.astype(np.float32), (len(lit), 3))
    hit = solid.rays.hit(np.ascontiguousarray(start), np.ascontiguousarray(way.T[lit]))
    share = weight[lit] / weight.sum() * stood.spilled / stood.lumens
    met = hit.face >= 0
    owners = np.array([name.partition(".")[0] for name in solid.world.names], dtype=object)
    by_owner: dict[str, list[tuple[float, float]]] = {}
    for face, distance, part in zip(hit.face[met], hit.distance[met], share[met], strict=True):
        owner = owners[solid.world.part_of_face[face]]
        by_owner.setdefault(owner, []).append((float(part), float(distance)))
    found = [
        Landing(
            name,
            sum(part * distance for part, distance in those) / sum(part for part, _ in those),
            sum(part for part, _ in those),
        )
        for name, those in by_owner.items()
    ]
    told = [one for one in found if one.share > BESIDE * stood.spilled / stood.lumens]
    return tuple(sorted(told, key=lambda one: -one.share)[:3])
