"""Air column: at which stretches of an eye ray the air is asked for a light, and what of the light was found there.

A column is cut twice, once for what is near the eye, once for what is near the light, and both cuts count: a dark coat two
metres off shows the air before it as much as the sky shows the glow round a lamp.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from preview.light.vectors import dot
from preview.trace.haze import Haze

Array = NDArray[np.float32]
Indices = NDArray[np.intp]

NEAR = 1.0
"""Metres from the eye within which no place is nearer than another; past them ever longer stretches are as good."""
HEED = 0.4
"""Share of the rays that goes to the air before near things: by how many times more the light becomes, not how much."""
SLIGHT = 3e-4
"""Of a column's light: what is no more than this may be told by one ray."""
PAST = 3.0
"""Times the distance of a light up to which the air is told as what is near the eye: further off it gives little."""
TINY = np.float32(1e-30)


class Cut(Protocol):
    """A way to cut m columns so that each stretch tells about as much of a light."""

    def share(self, distance: Array) -> Array:
        """How far through it (k, m), 0 to 1, places at `distance` (k, m) m are."""
        ...

    def distance(self, share: Array) -> Array:
        """`share` (k, 1) turned round: m (k, m)."""
        ...

    def weighed(self, edges: Array) -> tuple[Array, Array]:
        """For stretches between edges (k + 1, m): m (k, m) to a place in each, and the light (k, m) that is scattered to
        the eye in it for each lux x phase."""
        ...


@dataclass(frozen=True)
class Round:
    """Even angles seen from a light, which make up for the square of the distance from it.

    middle (m,) m along each ray is nearest to it, apart (m,) m from it; far (m,) m; direction (3, m) from eye (3, 1).
    Source: C. Kulla and M. Fajardo, Importance Sampling Techniques for Path Tracing in Participating Media, Computer
    Graphics Forum 31(4), 2012, section 4.
    """

    haze: Haze
    eye: Array
    direction: Array
    far: Array
    middle: Array
    apart: Array

    def share(self, distance: Array) -> Array:
        first = np.arctan(-self.middle / self.apart)
        whole = np.arctan((self.far - self.middle) / self.apart) - first
        share = (np.arctan((distance - self.middle) / self.apart) - first) / np.maximum(whole, TINY)
        return np.asarray(np.clip(share, 0.0, 1.0), np.float32)

    def distance(self, share: Array) -> Array:
        first, last = np.arctan(-self.middle / self.apart), np.arctan((self.far - self.middle) / self.apart)
        return np.asarray(self.middle + self.apart * np.tan(first + share * (last - first)), np.float32)

    def weighed(self, edges: Array) -> tuple[Array, Array]:
        along = edges - self.middle
        reach = np.sqrt(along * along + self.apart * self.apart)
        before, behind = along[:-1], along[1:]
        # The middle of the angle, and the angle itself, without the difference of two arctangents that are nearly one.
        place = (before * reach[1:] + behind * reach[:-1]) / (reach[:-1] + reach[1:])
        angle = np.arctan2((edges[1:] - edges[:-1]) * self.apart, self.apart * self.apart + before * behind)
        metres = angle * (self.apart + place * place / self.apart)
        distance = np.maximum(self.middle + place, np.float32(0.0))
        every = np.tile(self.direction, (1, len(distance)))
        lost = np.float32(self.haze.albedo) * self.haze.density(self.eye + distance.ravel() * every)
        lost *= self.haze.passing(self.eye, every, distance.ravel())
        return distance, np.asarray(metres * lost.reshape(metres.shape), np.float32)


@dataclass(frozen=True)
class Everywhere:
    """Even shares of what comes through to the eye, for light that is the same all along; fields as in `Round`."""

    haze: Haze
    eye: Array
    direction: Array
    far: Array

    def _scattered(self, distance: Array) -> Array:
        """Share (k, m) of the light along a ray that is taken away before `distance` (k, m) m."""
        every = np.tile(self.direction, (1, len(distance)))
        return -np.expm1(-self.haze.depth(self.eye, every, distance.ravel()).reshape(distance.shape))

    def share(self, distance: Array) -> Array:
        whole = self._scattered(self.far[None])
        return np.asarray(np.clip(self._scattered(distance) / np.maximum(whole, TINY), 0.0, 1.0), np.float32)

    def distance(self, share: Array) -> Array:
        depth = -np.log1p(-share * self._scattered(self.far[None]))
        every = np.tile(self.direction, (1, len(depth)))
        return self.haze.reach(self.eye, every, depth.ravel()).reshape(depth.shape)

    def weighed(self, edges: Array) -> tuple[Array, Array]:
        every = np.tile(self.direction, (1, len(edges)))
        depth = self.haze.depth(self.eye, every, edges.ravel()).reshape(edges.shape)
        taken = np.exp(-depth[:-1]) * -np.expm1(depth[:-1] - depth[1:])
        return np.float32(0.5) * (edges[:-1] + edges[1:]), np.float32(self.haze.albedo) * taken


@dataclass(frozen=True)
class Stretches:
    """Stretches of m columns of air, one after the other from the eye.

    edges (stretches + 1, m) m; distance (stretches, m) m to a place in each; weight (stretches, m) as of `Cut.weighed`;
    near (m,) m: up to where what is near the eye is told.
    """

    edges: Array
    distance: Array
    weight: Array
    near: Array
    cut: Cut

    def place(self, distance: Array) -> NDArray[np.float64]:
        """Number of the stretch (k, m), with its fraction, at `distance` (k, m) m."""
        half = np.float32(len(self.distance) // 2)
        distance = np.minimum(distance, self.edges[-1])
        number = np.floor(half * self.nearness(distance)) + np.floor(half * self.cut.share(distance))
        number = np.clip(number, 0, len(self.distance) - 1).astype(np.intp)
        first, last = np.take_along_axis(self.edges, number, 0), np.take_along_axis(self.edges, number + 1, 0)
        within = (distance - first) / np.maximum(last - first, np.float32(1e-9))
        return np.asarray(number + np.clip(within, 0.0, 1.0), np.float64)

    def nearness(self, distance: Array) -> Array:
        """How far through the near things (k, m), 0 to 1, `distance` (k, m) m is."""
        whole = np.log1p(self.near * np.float32(1.0 / NEAR))
        share = np.log1p(distance * np.float32(1.0 / NEAR)) / np.maximum(whole, TINY)
        return np.asarray(np.minimum(share, np.float32(1.0)), np.float32)


def stretches(
    haze: Haze, eye: Array, direction: Array, far: Array, *, count: int, away: Array | None, radius: float
) -> Stretches:
    """The columns from eye (3, 1) along direction (3, m) up to far (m,) m, cut for a light into `count` stretches, an
    even number.

    `away` (3, 1) m: from the eye to the light; None for light that is everywhere; `radius` m: half of its size, within
    which it rises no more.
    """
    cut: Cut
    if away is None:
        near, cut = far, Everywhere(haze, eye, direction, far)
    else:
        middle = dot(np.broadcast_to(away, direction.shape), direction)
        beside = away - middle * direction
        apart = np.maximum(np.sqrt(dot(beside, beside)), np.float32(max(radius, 1e-3)))
        near = np.minimum(far, np.float32(PAST * np.linalg.norm(away)))
        cut = Round(haze, eye, direction, far, middle, apart)
    half = count // 2
    share = (np.arange(1, half + 1, dtype=np.float32) / np.float32(half))[:, None]
    by_nearness = np.float32(NEAR) * np.expm1(share * np.log1p(near * np.float32(1.0 / NEAR)))
    by_light = np.clip(cut.distance(share), np.float32(0.0), far)
    by_light[-1] = far
    edges = np.concatenate([np.zeros((1, len(far)), np.float32), np.minimum(by_nearness, far), by_light])
    edges.sort(axis=0)
    return Stretches(edges, *cut.weighed(edges), near, cut)


@dataclass(frozen=True)
class Asked:
    """Rays of m columns: from which distance (rays, m) m each is sent, and what each of them stands for.

    sums (stretches + 1, m): light without shadows up to each edge; told (stretches + 1, m): share of the rays, 0 to 1,
    up to there; before (rays + 1, m): light without shadows up to where each ray's part begins.
    """

    distance: Array
    sums: NDArray[np.float64]
    told: NDArray[np.float64]
    before: NDArray[np.float64]

    @property
    def light(self) -> Array:
        """Light without shadows (rays, m) that each ray stands for."""
        return np.asarray(np.diff(self.before, axis=0), np.float32)

    def up_to(self, place: NDArray[np.float64], share: Array | None = None) -> Array:
        """Light (k, m) up to each place (k, m) among the stretches; of each ray's only a `share` (rays, m)."""
        number = np.minimum(place.astype(np.intp), len(self.sums) - 2)
        within = place - number
        reached = _between(self.sums, number, within)
        if share is None:
            return np.asarray(reached, np.float32)
        ray = self._ray(place)
        light = self.light
        passed = np.zeros_like(self.before)
        np.cumsum(light * share, axis=0, out=passed[1:])
        start, whole = np.take_along_axis(self.before, ray, 0), np.take_along_axis(light, ray, 0)
        rest = np.clip(reached - start, 0.0, whole) * np.take_along_axis(share, ray, 0)
        return np.asarray(np.take_along_axis(passed, ray, 0) + rest, np.float32)

    def past(self, place: NDArray[np.float64], amounts: Array) -> Array:
        """Amounts (rays, m) that rays stand for, summed (k, m) over those that were met up to each place (k, m)."""
        return np.asarray(np.take_along_axis(np.cumsum(amounts, axis=0), self._ray(place), 0), np.float32)

    def _ray(self, place: NDArray[np.float64]) -> Indices:
        """Number of the ray (k, m) in whose part each place (k, m) lies."""
        number = np.minimum(place.astype(np.intp), len(self.sums) - 2)
        told = _between(self.told, number, place - number)
        return np.clip((told * len(self.distance)).astype(np.intp), 0, len(self.distance) - 1)


def asked(way: Stretches, light: Array, places: Array) -> Asked:
    """Where to ask for shadows: by what light (stretches, m) without them comes in, and for what is near the eye.

    places (rays, m): 0 to 1, where within its part each ray goes.
    """
    rays, columns = places.shape
    sums = _summed(light)
    told = _told(sums)
    parts = np.broadcast_to((np.arange(1, rays) / rays)[:, None], (rays - 1, columns))
    end, within = _found(told, parts)
    before = np.zeros((rays + 1, columns))
    before[1:-1] = _between(sums, end, within)
    before[-1] = sums[-1]
    # Within its part a ray goes where the light is: of a sky's ways some lead to the dark ground.
    number, within = _found(sums, before[:-1] + places * np.diff(before, axis=0))
    distance = np.asarray(_between(way.edges, number, within), np.float32)
    return Asked(distance, sums, told, before)


def all_asked(way: Stretches, light: Array) -> Asked:
    """One ray for every stretch, for light (stretches, m) that comes another way to each."""
    count, sums = len(light), _summed(light)
    told = np.broadcast_to((np.arange(count + 1) / count)[:, None], sums.shape)
    return Asked(way.distance, sums, told, sums)


def _between(sums: NDArray[Any], number: Indices, within: NDArray[np.float64]) -> NDArray[np.float64]:
    """Sums (edges, m) at a fraction `within` (k, m) of stretch `number` (k, m)."""
    first = np.take_along_axis(sums, number, 0)
    return np.asarray(first + within * (np.take_along_axis(sums, number + 1, 0) - first), np.float64)


def worth(way: Stretches, light: Array, distance: Array) -> Array:
    """Share (k, m) of what is worth telling of columns, 0 to 1, up to each `distance` (k,) m."""
    place = way.place(np.broadcast_to(distance[:, None], (len(distance), light.shape[1])))
    number = np.minimum(place.astype(np.intp), len(light) - 1)
    return np.asarray(_between(_told(_summed(light)), number, place - number), np.float32)


def _summed(light: Array) -> NDArray[np.float64]:
    """Sums (stretches + 1, m) of light (stretches, m)."""
    sums = np.zeros((len(light) + 1, light.shape[1]))
    np.cumsum(light, axis=0, out=sums[1:])
    return sums


def _told(sums: NDArray[np.float64]) -> NDArray[np.float64]:
    """Share of the rays, 0 to 1, that columns with such sums have up to each edge; both (stretches + 1, m)."""
    share = sums / np.maximum(sums[-1], 1e-300)
    return np.asarray(HEED * np.log1p(share / SLIGHT) / np.log1p(1.0 / SLIGHT) + (1.0 - HEED) * share)


def _found(sums: NDArray[np.float64], values: NDArray[np.float64]) -> tuple[Indices, NDArray[np.float64]]:
    """The stretch (k, m) in which sums (edges, m) come to values (k, m), and how far through it, 0 to 1."""
    whole = np.maximum(sums[-1], 1e-30)
    # All columns in one search: each has its own unit of one ascending line.
    columns = np.arange(sums.shape[1]) * 2.0
    line = (sums / whole + columns).T.ravel()
    number = (
        np.searchsorted(line, (values / whole + columns).T.ravel(), side="right").reshape(values.T.shape).T
    )
    number = np.clip(number - 1 - np.arange(sums.shape[1]) * len(sums), 0, len(sums) - 2)
    first, last = np.take_along_axis(sums, number, 0), np.take_along_axis(sums, number + 1, 0)
    return number, np.clip((values - first) / np.maximum(last - first, 1e-300), 0.0, 1.0)
