"""Gloss: what the coats of surfaces show of sources.

Two ways, one for each pair of point and emitter, so that nothing is counted twice. *Sheen*: a source that looks
narrower than the lobe is summed over places of the source, without a ray: its shadow is that of the diffuse light.
*Mirror*: a source that looks wider, or the sky, is found along one ray drawn from the lobe, as are lit surfaces. A
coat rougher than MIRRORS sends no such ray: it shows every source as sheen, but no sky and no surface.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Emitter, Light
from preview.light.vectors import dot
from preview.trace.arrival import CLOSE, ONE_TELLS, one_sample
from preview.trace.geometry import Geometry, Points
from preview.trace.microfacet import fresnel, half_width, kept, lobe, sampled
from preview.trace.rays import LIFT, Rays
from preview.trace.sampling import shifted, spread_points

Array = NDArray[np.float32]
Mask = NDArray[np.bool_]
Indices = NDArray[np.intp]

MIRRORS = 0.2
"""GGX alpha up to which a coat shows what is about it. A rougher one shows lamps alone, however wide, and no sky."""
STILL = 0.0101
"""GGX alpha up to which a coat mirrors like glass, point for point."""
SHARPEST = 0.002
"""Radians, about, that a pixel takes in of what glass mirrors."""
SKY = 1.0
"""Half angle from which a source counts as sky."""
FEW, MANY = 16, 64
"""Places on a source, besides its rule's, from which the lobe is summed where it is narrow across, and very narrow."""
SMALL = 0.1
"""How large a source's half angle is beside the lobe's half width across up to which its middle tells all of it."""
VERY = 4.0
"""How many times the lobe's half width across a source's half angle is from which it takes many."""
UNLIKE = 2.0
"""Ratio between what places of a source give from which its rule is not enough."""
MIDDLE = np.full((1, 2), 0.5, np.float32)
"""The middle of a source."""


@dataclass(frozen=True)
class Mirror:
    """One reflected ray from each of n points, good for every light.

    origin (3, n) m; direction (3, n) unit; weight (n,): what of its luminance reaches the eye, 0 where no ray was sent;
    distance (n,) m to the solid thing it met, inf for none; met (m,): which of the points' rays met something;
    there: those m places.
    """

    origin: Array
    direction: Array
    weight: Array
    distance: Array
    met: Indices
    there: Points

    def only(self, wanted: Indices) -> Mirror:
        """The same with the rays of the points `wanted` alone."""
        mask = np.zeros(len(self.weight), bool)
        mask[wanted] = True
        struck = np.flatnonzero(mask[self.met])
        weight = np.where(mask, self.weight, np.float32(0.0))
        return replace(self, weight=weight, met=self.met[struck], there=self.there.take(struck))


def mirrored(points: Points, to_eye: Array, geometry: Geometry, u: Array) -> Mirror:
    """A ray from each point, drawn by u (2, n) from the lobe seen from unit `to_eye` (3, n)."""
    direction, weight = sampled(to_eye, points.normal, points.roughness, points.ior, u)
    still = np.flatnonzero(points.roughness <= STILL)
    if len(still):
        normal, eye = np.take(points.normal, still, axis=1), np.take(to_eye, still, axis=1)
        cosine = dot(normal, eye)
        direction[:, still] = 2.0 * cosine * normal - eye
        weight[still] = fresnel(np.maximum(cosine, np.float32(0.0)), points.ior[still])
    # A rounded normal may reflect into its own triangle.
    weight[dot(direction, points.facet) <= 0.0] = 0.0
    origin = np.asarray(points.start + LIFT * points.facet, np.float32)
    sent = np.flatnonzero(weight > 0.0)
    ways = np.take(direction, sent, axis=1)
    hit = geometry.rays.hit(np.take(origin, sent, axis=1).T, ways.T)
    distance = np.full(len(weight), np.inf, np.float32)
    distance[sent] = hit.distance
    struck = np.flatnonzero(hit.face >= 0)
    # Along a rough way a wide patch is seen at once.
    blur = np.maximum(points.roughness[sent[struck]], np.float32(SHARPEST))
    there = geometry.points(
        hit.take(struck), np.take(ways, struck, axis=1), footprint=blur * hit.distance[struck]
    )
    return Mirror(origin, direction, weight, distance, sent[struck], there)


def mirror_luminance(mirror: Mirror, points: Points, light: Light, rays: Rays, *, u: Array) -> Array:
    """cd/m2 (3, n) that the reflected rays of `points` bring of a light at full level, white.

    Of each emitter that looks wider than the lobe, its own luminance where nothing solid stands before it; of every
    emitter, the diffuse light that it sends off the surface met, with one shadow ray by u (2, n) in `rays`.
    """
    total = np.zeros_like(mirror.direction)
    lux = np.zeros(len(mirror.met), np.float32)
    for number, emitter in enumerate(light.emitters):
        wide = np.flatnonzero(~_narrow(points, emitter) & (mirror.weight > 0.0))
        if len(wide):
            origin, direction = np.take(mirror.origin, wide, axis=1), np.take(mirror.direction, wide, axis=1)
            luminance, distance = emitter.shining(origin, direction)
            reach = mirror.distance[wide]
            # A ray that meets nothing sees even the sky, which is as far away.
            clear = np.isinf(reach) | (distance - np.float32(2.0) * LIFT < reach)
            seen = np.where(clear, luminance, np.float32(0.0))
            total[:, wide] += mirror.weight[wide] * seen
        if len(lux):
            sample = one_sample(mirror.there, emitter, rays, _turned(np.take(u, mirror.met, axis=1), number))
            lux += np.minimum(sample.lux, np.float32(ONE_TELLS * emitter.most))
    there = mirror.there
    cosine = -dot(np.take(mirror.direction, mirror.met, axis=1), there.normal)
    share = mirror.weight[mirror.met] * kept(cosine, there.ior) * np.float32(1.0 / np.pi)
    total[:, mirror.met] += there.reflectance * (share * lux)
    return total


def sheen(points: Points, to_eye: Array, emitter: Emitter, u: Array | None = None) -> Array:
    """cd/m2 (n,) that the coats of points show an eye, at unit `to_eye` (3, n), of an emitter with nothing in the way.

    Of all of it; or, by u (2, n), of one place a point, the mean of which is the same.
    0 where it looks wider than the lobe of a coat that mirrors: there `mirror_luminance` has it.
    """
    answer = np.zeros(len(points), np.float32)
    narrow = np.flatnonzero(_narrow(points, emitter) & (points.ior != 1.0))
    if len(narrow) == 0:
        return answer
    near, eye = points.take(narrow), np.take(to_eye, narrow, axis=1)
    if u is not None:
        answer[narrow] = _value(near, eye, emitter, np.take(u, narrow, axis=1))
        return answer
    softness = _softness(near, emitter)
    across = half_width(near.roughness) * np.maximum(dot(eye, near.normal), 0.0)
    summed, most, least = (np.zeros(len(near), np.float32) for _ in range(3))
    small = softness < np.float32(SMALL) * across
    for which, places in ((small, MIDDLE), (~small, emitter.rule())):
        index = np.flatnonzero(which)
        if len(index):
            told = _summed(near.take(index), np.take(eye, index, axis=1), emitter, places)
            summed[index], most[index], least[index] = told
    # A lobe that is narrow across may lie between the rule's places: the middle tells, and how unlike they are.
    doubtful = np.flatnonzero((softness >= across) & (softness <= CLOSE))
    middle = _summed(near.take(doubtful), np.take(eye, doubtful, axis=1), emitter, MIDDLE)[0]
    most[doubtful] = np.maximum(most[doubtful], middle)
    least[doubtful] = np.minimum(least[doubtful], middle)
    finer = (softness > CLOSE) | ((softness >= across) & (most > np.float32(UNLIKE) * least))
    very = softness >= np.float32(VERY) * across
    for which, count in ((finer & ~very, FEW), (finer & very, MANY)):
        index = np.flatnonzero(which)
        if len(index):
            summed[index] = _summed(near.take(index), np.take(eye, index, axis=1), emitter, _places(count))[0]
    answer[narrow] = summed
    return answer


def _summed(points: Points, to_eye: Array, emitter: Emitter, places: Array) -> tuple[Array, Array, Array]:
    """Of lux x cosine x lobe (n,) over places (k, 2) of an emitter: the mean, the most, the least."""
    total = np.zeros(len(points), np.float32)
    most, least = np.zeros_like(total), np.full_like(total, np.inf)
    for u in places:
        value = _value(points, to_eye, emitter, np.broadcast_to(u[:, None], (2, len(total))))
        total += value
        np.maximum(most, value, out=most)
        np.minimum(least, value, out=least)
    return total / np.float32(len(places)), most, least


def _value(points: Points, to_eye: Array, emitter: Emitter, u: Array) -> Array:
    """lux x cosine x lobe (n,) at places u (2, n) of an emitter."""
    direction, _, lux = emitter.arrive(points.position, points.normal, u)
    cosine = np.maximum(dot(direction, points.normal), 0.0)
    return np.asarray(
        lux * cosine * lobe(direction, to_eye, points.normal, points.roughness, points.ior), np.float32
    )


def _places(count: int) -> Array:
    """Well-spread places of a source (count, 2)."""
    return np.ascontiguousarray(spread_points(count).T + np.float32(0.5 / count))


def _softness(points: Points, emitter: Emitter) -> Array:
    """Radians (n,): half the angle that an emitter fills, seen from points."""
    middle = np.broadcast_to(MIDDLE.T, (2, len(points)))
    distance = emitter.arrive(points.position, points.normal, middle)[1]
    return emitter.softness(np.maximum(distance, np.float32(1e-6)))


def _narrow(points: Points, emitter: Emitter) -> Mask:
    """Whether (n,) an emitter looks narrower than the lobe of the coat of each point: sheen, else mirror."""
    softness = _softness(points, emitter)
    rough = (points.roughness > MIRRORS) & (softness < SKY)
    still = points.roughness <= STILL
    return np.asarray((softness < half_width(points.roughness)) & ~still | rough, bool)


def _turned(u: Array, number: int) -> Array:
    """Other samples (2, n) of the unit square for each emitter of a light.

    Source: M. Roberts, The Unreasonable Effectiveness of Quasirandom Sequences, 2018.
    """
    step = np.array([[0.7548777], [0.5698403]], np.float32)
    return shifted(u, np.broadcast_to(step * np.float32(number), u.shape))
