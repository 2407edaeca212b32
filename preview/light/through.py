"""Through: what a fixture shines through: gels, scrims, frames of cloth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part
from preview.build.rigging import frame_parts
from preview.light.emitters.cloth import Cloth
from preview.light.emitters.gated import Gated
from preview.light.light import Emitter, Glow
from preview.light.vectors import across, column, dot
from preview.script.models.through import Through
from preview.trade.catalogue import cloth, gel, scrim

Floats = NDArray[np.float64]

CELLS = 24
"""Cells along each side of a cloth in which the light that falls on it is told apart."""


@dataclass(frozen=True)
class Filtered:
    """What gels and scrims do together: `gain` passed, `mired` and `duv` added to the source's colour."""

    gain: float
    mired: float
    duv: float


def filtered(through: Sequence[Through]) -> Filtered:
    """All the gels, shifts and scrims of a fixture; their order does not matter."""
    gain, mired, duv = 1.0, 0.0, 0.0
    for thing in through:
        if isinstance(thing.gel, str):
            row = gel(thing.gel)
            gain, mired, duv = gain * row.transmittance, mired + row.mired, duv + row.duv
        elif thing.shift is not None:
            mired += thing.shift
        elif thing.scrim is not None:
            wire = scrim(thing.scrim)
            gain *= 1.0 - wire.covers * (1.0 - 2.0**-wire.stops)
    return Filtered(gain, mired, duv)


@dataclass(frozen=True)
class Framed:
    """A fixture's emitters after its frames, with what is seen of the frames."""

    emitters: tuple[Emitter, ...]
    bodies: tuple[Part, ...]
    glows: tuple[Glow, ...]


def framed(
    name: str, bare: Emitter, through: Sequence[Through], *, at: Floats, axis: Floats, stands: bool
) -> Framed:
    """The frames along a head's axis, each lit by all that comes before it.

    A cloth re-emits the diffuse share of what falls on it, as unevenly as it is lit; the direct share goes straight
    on; what misses the frame goes past it.
    """
    emitters: tuple[Emitter, ...] = (bare,)
    bodies: list[Part] = []
    glows: list[Glow] = []
    frames = [thing for thing in through if thing.frame is not None]
    for number, thing in enumerate(frames):
        assert thing.frame is not None
        assert thing.cloth is not None
        row = cloth(thing.cloth)
        half = thing.frame[0] / 2, thing.frame[1] / 2
        centre = at + axis * thing.away
        falling = falling_on(emitters, centre=centre, axis=axis, half_size=half)
        emitters = tuple(Gated(source, centre, axis, half, row.direct) for source in emitters)
        called = name if len(frames) == 1 else f"{name} {number + 1}"
        for part in frame_parts(called, centre=centre, axis=axis, size_m=thing.frame, stands=stands):
            if part.name.endswith(".cloth"):
                glows.append(Glow(part, float(row.diffuse * falling.mean() / np.pi)))
            else:
                bodies.append(part)
        if row.diffuse > 0.0 and falling.max() > 0.0:
            emitters += (Cloth(centre, axis, half, row.diffuse * falling),)
    return Framed(emitters, tuple(bodies), tuple(glows))


def falling_on(
    emitters: Sequence[Emitter], *, centre: Floats, axis: Floats, half_size: tuple[float, float]
) -> Floats:
    """Illuminance (CELLS, CELLS) lux on the near side of a rectangle, row 0 at the bottom, nothing in between."""
    width, height = across(axis)
    middle = (np.arange(CELLS) + 0.5) / CELLS * 2.0 - 1.0
    x, y = np.meshgrid(middle, middle)
    points = (
        column(centre) + x.ravel() * column(width * half_size[0]) + y.ravel() * column(height * half_size[1])
    ).astype(np.float32)
    normals = np.broadcast_to(column(-axis), points.shape)
    total = np.zeros(CELLS * CELLS)
    side = (np.arange(8) + 0.5) / 8
    samples = np.stack(np.meshgrid(side, side), axis=-1).reshape(-1, 2).astype(np.float32)
    for emitter in emitters:
        for sample in samples:
            u = np.broadcast_to(sample[:, None], (2, len(total)))
            direction, distance, lux = emitter.arrive(points, normals, u)
            passing = emitter.passing(points, direction, distance)
            if passing is not None:
                lux = lux * passing
            total += lux * np.maximum(dot(direction, normals), 0.0)
    return total.reshape(CELLS, CELLS) / len(samples)
