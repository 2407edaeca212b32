"""Arrival: one sample of a source's light at points, with what stands or hangs in its way."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter
from preview.light.vectors import dot
from preview.trace.geometry import Points
from preview.trace.haze import Haze
from preview.trace.rays import LIFT, Rays

Array = NDArray[np.float32]
Mask = NDArray[np.bool_]

CLOSE = 0.3
"""Half angle from which an emitter's rule is off by more than half a per cent: rays alone must tell."""
ONE_TELLS = 8.0
"""How many times the most that a source can give one sample of it may tell: less, and a panel before a wall is dimmed;
more, and its bounce has specks. So it loses nothing a quarter of a metre off a panel of 1.2 m, 5 % at 0.1 m."""


@dataclass(frozen=True)
class Sample:
    """One sample of an emitter at n points.

    unshadowed (n,) lux as if nothing stood between; visible (n,) 0 to 1; softness (n,) as `Emitter.softness`.
    """

    unshadowed: Array
    visible: Array
    softness: Array

    @property
    def lux(self) -> Array:
        return self.unshadowed * self.visible


def one_sample(points: Points, emitter: Emitter, rays: Rays, u: Array, haze: Haze | None = None) -> Sample:
    """One sample u (2, n) of an emitter at points (n), dimmed by the haze on its way."""
    direction, distance, unshadowed = _arriving(points, emitter, u, haze)
    asked = np.flatnonzero(unshadowed > 0.0)
    facet, position, thin, reach = points.facet, points.start, points.transmission > 0.0, distance
    passing = emitter.passing(position, direction, distance)
    if passing is not None:
        # What stands in the source's own way already stops needs no ray.
        asked = np.flatnonzero((unshadowed > 0.0) & (passing > 0.0))
    if len(asked) < len(unshadowed):
        direction = np.take(direction, asked, axis=1)
        facet = np.take(facet, asked, axis=1)
        position = np.take(position, asked, axis=1)
        thin, reach = thin[asked], distance[asked]
    # A ray leaves on the side it is seen from, but one that goes through a leaf on the other.
    through = thin & (dot(direction, facet) < 0.0)
    origin = np.asarray(position + np.where(through, -LIFT, LIFT) * facet, np.float32)
    seen = (~rays.blocked(origin.T, direction.T, reach - np.float32(2.0) * LIFT)).astype(np.float32)
    visible = np.zeros(len(unshadowed), np.float32)
    visible[asked] = seen if passing is None else seen * passing[asked]
    return Sample(unshadowed, visible, emitter.softness(distance))


def _arriving(points: Points, emitter: Emitter, u: Array, haze: Haze | None) -> tuple[Array, Array, Array]:
    """Direction (3, n), distance (n,) and unshadowed illuminance (n,) lux of a sample."""
    direction, distance, lux = emitter.arrive(points.position, points.normal, u)
    cosine = dot(direction, points.normal)
    lux = lux * np.where(cosine > 0.0, cosine, -cosine * points.transmission)
    if haze is not None and np.isfinite(distance[:1]).all():
        # Light from beyond the set is given as it arrives.
        lux *= haze.passing(points.position, direction, distance)
    return direction, distance, lux


def unshadowed(points: Points, emitter: Emitter, haze: Haze | None = None) -> tuple[Array, Mask]:
    """Illuminance (n,) lux with nothing in the way, by the emitter's own rule: smooth, without rays.

    And whether (n,) the rule holds: not where the surface's own horizon cuts the source.
    """
    total = np.zeros(len(points), np.float32)
    whole = np.ones(len(points), bool)
    rule = emitter.rule()
    for u in rule:
        lux = _arriving(points, emitter, np.broadcast_to(u[:, None], (2, len(total))), haze)[2]
        total += lux
        whole &= lux > 0.0
    return total / np.float32(len(rule)), whole
