"""Receptors: what a meter's receptors held in the set would read, light by light.

A flat receptor weighs light by the cosine of its angle off the way it faces. A dome weighs it by (1 + cosine) / 2, the
cardioid that half a sphere shows of its own area, so it takes in some of what comes from behind.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.dome import Dome
from preview.light.light import Emitter, Light
from preview.light.vectors import around, dot
from preview.trace.arrival import ONE_TELLS, one_sample
from preview.trace.bounce import bounced
from preview.trace.geometry import Geometry, Points
from preview.trace.haze import Haze
from preview.trace.rays import LIFT, Rays
from preview.trace.sampling import shifted, shifts, spread_points, stream

Array = NDArray[np.float32]
Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

FIRST_RAYS = 64
"""To each source at first; four times as many follow wherever the halves of what is known differ too much."""

AT_SURFACES = 4
"""Samples of each emitter at a place that a receptor sees: beside a tube one alone tells far too much or nothing."""


@dataclass(frozen=True)
class Reading:
    """Illuminance in lux at n receptors, every light at full level: direct (lights, n), indirect (lights, n, 3).

    `direct` is for white light; `indirect` is coloured by the surfaces it came from (linear ACEScg). `flow` (lights, n, 3)
    is the light vector of the direct light, in lux: a flat receptor at that place turned along it would read its
    length. It tells nothing of a sky, and is 0 there.
    """

    direct: Floats
    indirect: Floats
    flow: Floats


def read(
    position: Floats,
    facing: Floats,
    geometry: Geometry,
    lights: Sequence[Light],
    *,
    domes: Mask | None = None,
    rays: int = 1024,
    tolerance: float = 0.0,
    bounce_rays: int = 1024,
    bounces: int = 1,
    haze: Haze | None = None,
    seed: int = 1,
) -> Reading:
    """The readings of receptors at `position` (n, 3) m whose unit normals are `facing` (n, 3).

    `domes` (n,): which of them are domes; None for all flat. At most `rays` shadow rays to each source: fewer where all of
    the source is seen and the two halves of them agree within the share `tolerance`. `bounce_rays` directions from each
    receptor (0: no bounce), each by way of up to `bounces` surfaces. Sums are float64.
    """
    count = len(position)
    domes = np.zeros(count, bool) if domes is None else domes
    held = _Held(position.astype(np.float32).T, facing.astype(np.float32).T, domes)
    direct, flow = np.zeros((len(lights), count)), np.zeros((len(lights), count, 3))
    for index, light in enumerate(lights):
        for emitter in light.emitters:
            lux, vector = _direct(held, emitter, geometry.rays, rays, tolerance, haze)
            direct[index] += lux
            flow[index] += vector
    indirect = np.zeros((len(lights), count, 3))
    if bounce_rays and count:
        indirect = _gathered(held, geometry, lights, bounce_rays, bounces, haze, seed)
    return Reading(direct, indirect, flow)


@dataclass(frozen=True)
class _Held:
    """Receptors: position, facing (3, n); domes (n,)."""

    position: Array
    facing: Array
    domes: Mask

    def __len__(self) -> int:
        return len(self.domes)

    def take(self, index: NDArray[np.intp]) -> _Held:
        return _Held(
            np.take(self.position, index, axis=1), np.take(self.facing, index, axis=1), self.domes[index]
        )

    def over(self, copies: int) -> _Held:
        """Each so many times over, side by side."""
        return self.take(np.repeat(np.arange(len(self)), copies))

    def response(self, direction: Array) -> Array:
        """How much (n,) each makes of light from unit directions (3, n)."""
        cosine = dot(self.facing, direction)
        return np.where(self.domes, np.float32(0.5) * (1.0 + cosine), np.maximum(cosine, 0.0))

    def drawn(self, u: Array) -> tuple[Array, Array]:
        """Directions (3, n) in proportion to the response, from u (2, n), and the response's integral (n,) over all."""
        root = np.sqrt(u[0])
        # The cardioid's share within an angle of cosine c of its back is (1 + c)^2 / 4.
        cosine = np.where(
            self.domes, np.float32(2.0) * root - np.float32(1.0), np.sqrt(np.maximum(1.0 - u[0], 0))
        )
        sine = np.sqrt(np.maximum(1.0 - cosine * cosine, 0.0))
        return around(self.facing, sine, cosine, u[1]), np.where(
            self.domes, np.float32(2.0 * np.pi), np.float32(np.pi)
        )


def _direct(
    held: _Held, emitter: Emitter, rays: Rays, most: int, tolerance: float, haze: Haze | None
) -> tuple[Floats, Floats]:
    """Lux (n,) and light vector (n, 3) of one emitter."""
    count = most if tolerance <= 0.0 else min(most, FIRST_RAYS)
    lux, vector = np.zeros(len(held)), np.zeros((len(held), 3))
    asked = np.arange(len(held))
    while len(asked):
        each, turned, cut = _samples(held.take(asked), emitter, rays, count, haze)
        lux[asked] = each.mean(axis=1)
        vector[asked] = turned
        # Points of one Sobol sequence: its first half is a well-spread set of its own, and so is the second.
        halves = each.reshape(len(asked), 2, -1).mean(axis=2) if count > 1 else each
        # Where something cuts the source they may agree by chance.
        asked = asked[cut | (np.ptp(halves, axis=1) > tolerance * lux[asked])]
        if count >= most:
            break
        count = min(most, 4 * count)
    return lux, vector


def _samples(
    held: _Held, emitter: Emitter, rays: Rays, count: int, haze: Haze | None
) -> tuple[Floats, Floats, Mask]:
    """Lux (n, count) of so many samples of an emitter at each receptor; the mean light vector (n, 3); where (n,) some of
    the samples are hidden and some are not."""
    n = len(held)
    many = held.over(count)
    u = np.tile(spread_points(count), (1, n))
    if isinstance(emitter, Dome):
        direction, whole = many.drawn(u)
        distance = np.full(len(many), np.inf, np.float32)
        weighed = whole * emitter.shining(many.position, direction)[0]
        arriving = np.zeros_like(weighed)
    else:
        direction, distance, arriving = emitter.arrive(many.position, many.facing, u)
        if haze is not None and np.isfinite(distance[:1]).all():
            arriving = arriving * haze.passing(many.position, direction, distance)
        weighed = arriving * many.response(direction)
    asked = np.flatnonzero((weighed > 0.0) | (arriving > 0.0))
    start = np.take(many.position, asked, axis=1)
    way, reach = np.take(direction, asked, axis=1), distance[asked]
    lifted = start + LIFT * np.take(many.facing, asked, axis=1)
    passed = (~rays.blocked(lifted.T, way.T, reach - np.float32(2.0) * LIFT)).astype(np.float32)
    passing = emitter.passing(start, way, reach)
    visible = np.zeros(len(many), np.float32)
    visible[asked] = passed if passing is None else passed * passing
    lux = (weighed * visible).astype(np.float64).reshape(n, count)
    vector = (direction * (arriving * visible)).astype(np.float64).reshape(3, n, count).mean(axis=2)
    shown = (visible[asked] > 0.0).astype(np.float64)
    of = asked // count
    whole_of, shown_of = np.bincount(of, minlength=n), np.bincount(of, shown, minlength=n)
    return lux, vector.T, (shown_of > 0.0) & (shown_of < whole_of)


def _gathered(
    held: _Held,
    geometry: Geometry,
    lights: Sequence[Light],
    count: int,
    bounces: int,
    haze: Haze | None,
    seed: int,
) -> Floats:
    """Lux (lights, n, 3) that come by way of surfaces, along so many directions from each receptor."""
    n = len(held)
    # By its place: a receptor reads the same whichever others are read with it.
    own = np.array([_number_of(held, i) for i in range(n)], np.uint32)
    turn = np.repeat(shifts(own, stream(seed, "receptors")), count, axis=1)
    number = np.repeat(own, count) + np.tile(np.arange(count, dtype=np.uint32), n)
    many = held.over(count)
    direction, whole = many.drawn(shifted(np.tile(spread_points(count), (1, n)), turn))
    hit = geometry.rays.hit((many.position + LIFT * many.facing).T, direction.T)
    met = np.flatnonzero(hit.face >= 0)
    total = np.zeros((len(lights), 3, n * count), np.float32)
    if len(met):
        here = geometry.points(hit.take(met), np.take(direction, met, axis=1))
        # A surface of illuminance E has the luminance E rho / pi.
        share = here.reflectance * (whole[met] * np.float32(1.0 / np.pi))
        lux = _at_surfaces(here, number[met], geometry, lights, bounces, haze, seed)
        total[:, :, met] = share * lux
    return total.astype(np.float64).reshape(len(lights), 3, n, count).mean(axis=3).transpose(0, 2, 1)


def _number_of(held: _Held, index: int) -> int:
    """A number of a receptor's place, way and kind."""
    place = np.append(held.position[:, index], held.facing[:, index])
    return crc32(place.astype(np.float32).tobytes() + bytes([int(held.domes[index])]))


def _at_surfaces(
    here: Points,
    number: NDArray[np.uint32],
    geometry: Geometry,
    lights: Sequence[Light],
    bounces: int,
    haze: Haze | None,
    seed: int,
) -> Array:
    """Lux (lights, 3, m) on what the receptors see: direct, and by up to `bounces` - 1 other
    surfaces, for half of the points, which counts twice. `number` (m,) fixes what is
    drawn by lot."""
    lux = np.zeros((len(lights), 3, len(here)), np.float32)
    for index, light in enumerate(lights):
        for part, emitter in enumerate(light.emitters):
            turn = shifts(number, stream(seed, light.name, "receptors", part))
            for u in spread_points(AT_SURFACES).T:
                sample = one_sample(here, emitter, geometry.rays, shifted(u[:, np.newaxis], turn), haze)
                told = np.minimum(sample.lux, np.float32(ONE_TELLS * emitter.most))
                lux[index] += told * np.float32(1.0 / AT_SURFACES)
    if bounces > 1:
        # By lot: every second point of a Sobol sequence would lie to one side.
        chosen = np.flatnonzero(shifts(number, stream(seed, "receptors, further"))[0] < 0.5)
        further = bounced(
            here.take(chosen),
            geometry,
            lights,
            pixels=number[chosen],
            rays=1,
            bounces=bounces - 1,
            seed=seed,
            haze=haze,
        )
        lux[:, :, chosen] += np.float32(2.0) * further
    return lux
