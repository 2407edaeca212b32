"""Passage: a head's light on its way through what stands before it: where it is, which way it goes, what it is by now."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.build.grip import Placed
from preview.build.mesh import Part
from preview.build.rigging import Footing
from preview.light.light import Emitter, Glow, arriving
from preview.light.modifiers.record import Origin, Stood
from preview.light.vectors import across, column, dot
from preview.script.models.through import Through
from preview.trade.catalogue import Catalogue

Floats = NDArray[np.float64]
Array = NDArray[np.float32]

CELLS = 24
"""Cells along each side of a cloth in which the light that falls on it is told apart."""
FAR = 500.0
"""Metres from which a head is taken for a point, to count its lumens."""
WAYS = 4096
"""In which lumens are counted."""


@dataclass(frozen=True)
class Source:
    """An emitter with where its light comes from: `origin`, and `middle` (3,) m of it, mirrored where a board does."""

    emitter: Emitter
    origin: Origin
    middle: Floats


@dataclass(frozen=True)
class Aperture:
    """What a head shines out of: `half_size` (width, height) m, `round` or not, turned by `turn` about its beam."""

    half_size: tuple[float, float]
    round: bool
    turn: float


@dataclass(frozen=True)
class Passage:
    """`at` (3,) m, from where `away` is counted, along unit `axis`. `lumens` of the bare head; `left` those that left what
    stood last in the way. `glow` of the head's own front; `tint` (3,) linear ACEScg by boards, of luminance 1."""

    name: str
    catalogue: Catalogue
    stands: bool
    aperture: Aperture
    head_at: Floats
    head_axis: Floats
    lumens: float
    at: Floats
    axis: Floats
    left: float
    sources: tuple[Source, ...]
    bodies: tuple[Part, ...] = ()
    glows: tuple[Glow, ...] = ()
    stood: tuple[Stood, ...] = ()
    tint: tuple[float, float, float] = (1.0, 1.0, 1.0)
    ground: Footing = 0.0

    @property
    def emitters(self) -> tuple[Emitter, ...]:
        return tuple(source.emitter for source in self.sources)

    @property
    def stage(self) -> int:
        """The number of what stands in the way next."""
        return len(self.stood)

    def with_body(self, *parts: Part) -> Passage:
        """With more that the camera sees."""
        return replace(self, bodies=self.bodies + parts)


def placed(passage: Passage, thing: Through, size_m: tuple[float, float]) -> Placed:
    """Where a frame, flag or cucoloris stands: moved off the axis, turned, tilted and rolled."""
    width, height = across(passage.axis)
    centre = passage.at + thing.away * passage.axis + thing.aside * width + thing.up * height
    # About its upright, clockwise from above; then its top along the light; then in its own plane.
    axis = np.cos(thing.turn) * passage.axis + np.sin(thing.turn) * width
    width = np.cos(thing.turn) * width - np.sin(thing.turn) * passage.axis
    axis, height = (
        np.cos(thing.tilt) * axis - np.sin(thing.tilt) * height,
        np.cos(thing.tilt) * height + np.sin(thing.tilt) * axis,
    )
    return Placed(centre, axis, size_m, turn_of(axis, width) + thing.roll)


def turn_of(axis: Floats, width: Floats) -> float:
    """By how much `across(axis)` is turned about the axis so that its width is `width` (3,)."""
    level, upright = across(axis)
    return float(np.arctan2(-(width @ upright), width @ level))


def falling_on(emitter: Emitter, board: Placed, *, from_front: bool = False) -> Floats:
    """Illuminance (CELLS, CELLS) lux that an emitter makes on a rectangle, row 0 at the bottom, nothing in between.

    On the side that its axis points away from, or `from_front` on the one it faces.
    """
    width, height = across(board.axis, board.turn)
    middle = (np.arange(CELLS) + 0.5) / CELLS * 2.0 - 1.0
    x, y = np.meshgrid(middle, middle)
    points = (
        column(board.centre)
        + x.ravel() * column(width * board.half_size[0])
        + y.ravel() * column(height * board.half_size[1])
    ).astype(np.float32)
    side = 1.0 if from_front else -1.0
    normals = np.broadcast_to(column(side * board.axis), points.shape)
    total = np.zeros(CELLS * CELLS)
    # Each cell looks at other places of the source, so that what is left of chance is spread over the cloth.
    samples = well_spread(64)
    shift = well_spread(len(total))
    for sample in samples.T:
        u = sample[:, None] + shift
        direction, _, lux = arriving(emitter, points, normals, (u - np.floor(u)).astype(np.float32))
        total += lux * np.maximum(dot(direction, normals), 0.0)
    answer: Floats = total.reshape(CELLS, CELLS) / samples.shape[1]
    return answer


def ways_about(axis: Floats) -> tuple[Array, Floats]:
    """Unit ways (3, n) all round, thick about an axis, and the solid angle (n,) that each stands for."""
    u = well_spread(WAYS).astype(np.float64)
    angle, turn = np.pi * u[0] ** 2, 2.0 * np.pi * u[1]
    width, height = across(axis)
    way = (
        np.cos(angle) * axis[:, None]
        + np.sin(angle) * np.cos(turn) * width[:, None]
        + np.sin(angle) * np.sin(turn) * height[:, None]
    )
    solid_angle = np.sin(angle) * 2.0 * np.pi * u[0] * 2.0 * np.pi / WAYS * np.pi
    return way.astype(np.float32), solid_angle


def lumens_of(emitter: Emitter, *, at: Floats, axis: Floats) -> float:
    """Lumens that get far off from an emitter at a place (3,)."""
    way, solid_angle = ways_about(axis)
    return float((candela_along(emitter, at, way) * solid_angle).sum())


def candela_along(emitter: Emitter, at: Floats, way: Array) -> Floats:
    """Candela (n,) along unit ways (3, n) from a place (3,), as seen from afar."""
    points = np.asarray(column(at) + np.float32(FAR) * way, np.float32)
    total = np.zeros(way.shape[1])
    samples = well_spread(4)
    shift = well_spread(way.shape[1])
    for sample in samples.T:
        u = sample[:, None] + shift
        total += arriving(emitter, points, -way, (u - np.floor(u)).astype(np.float32))[2]
    return total * FAR**2 / samples.shape[1]


def well_spread(count: int) -> Array:
    """Points (2, count) of the unit square, of the additive sequence of the plastic number.

    Source: M. Roberts, The Unreasonable Effectiveness of Quasirandom Sequences, 2018; from memory.
    """
    steps = np.array([[0.7548776662466927], [0.5698402909980532]])
    return ((0.5 + steps * np.arange(count)) % 1.0).astype(np.float32)
