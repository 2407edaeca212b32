"""Seen: the visible points of a tile, and which of its pixels are plain enough that one point answers for them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.camera.view import View
from preview.light.vectors import column, dot
from preview.trace.geometry import Points
from preview.trace.spots import NOTHING, Glass, Met, Spots, met, spots
from preview.trace.stage import Stage
from preview.trace.tile import Tile, moved

Array = NDArray[np.float32]
Indices = NDArray[np.intp]
Mask = NDArray[np.bool_]

ALIKE = 0.97
"""Cosine between the facets of one pixel's samples from which they may share."""
OFF_PLANE = 0.004
"""How far a sample may lie off the plane of its pixel's first, as a share of its distance."""
ONE_SURFACE = 1.02
"""Ratio of the farthest to the nearest distance in a pixel up to which it shows one surface."""


@dataclass(frozen=True)
class Seen:
    """A tile's first samples. The `spots` of a plain pixel are one, in its middle; on an edge there is one a sample.

    edge (pixels,): whether a pixel's samples differ. near, far (pixels,) m along the ray: the nearest and the farthest
    surface in it, inf for none; cover (pixels,): the share of it that is near; part (pixels,) int32: of its first sample.
    """

    tile: Tile
    view: View
    spots: Spots
    edge: Mask
    near: Array
    far: Array
    cover: Array
    part: NDArray[np.int32]
    _more: dict[int, Spots] = field(default_factory=dict, repr=False)

    @cached_property
    def number(self) -> Indices:
        """Of each spot (n,): its number among samples x pixels, all pixels' first samples first."""
        return self.spots.sample * self.tile.pixels + self.spots.pixel

    @cached_property
    def plain(self) -> Mask:
        """Whether each spot (n,) answers for a whole pixel."""
        return np.asarray(~self.edge[self.spots.pixel], bool)

    @cached_property
    def opening(self) -> Indices:
        """Those of the spots that are asked first, one a pixel."""
        return np.sort(np.unique(self.spots.pixel, return_index=True)[1])

    @cached_property
    def opening_points(self) -> Points:
        """Theirs."""
        return self.spots.points.take(self.opening)

    @cached_property
    def owner(self) -> Indices:
        """For each of samples x pixels: the spot that stands for it, -1 where there is none."""
        count, samples = self.tile.pixels, self.tile.samples
        owner = np.full(samples * count, -1)
        owner[self.number] = np.arange(len(self.number))
        first = owner[:count]
        plain = np.flatnonzero(~self.edge)
        for sample in range(1, samples):
            owner[sample * count + plain] = first[plain]
        return owner

    def at(self, number: Indices) -> Points:
        """The points of samples by number (k,); those of a plain pixel lie on the plane of its spot."""
        own = self.owner[number]
        points = self.spots.points.take(own)
        shared = np.flatnonzero(self.plain[own])
        if self.tile.samples > 1 and len(shared):
            sample, pixel = np.divmod(number[shared], self.tile.pixels)
            _slide(points, shared, self.tile.rays(self.view, pixel, sample), self.view)
        return points

    def more(self, stage: Stage, number: int, wanted: Mask, *, shared: bool) -> Spots:
        """Further samples of the pixels on an edge that are `wanted` (pixels,): the `number`-th lot, from 1, as many a
        pixel as there were first. Where they are `shared` with other lights, those of all edges are found once."""
        if not shared:
            return self._lot(stage, number, wanted)
        if number not in self._more:
            self._more[number] = self._lot(stage, number, self.edge)
        return self._more[number].only(wanted)

    def _lot(self, stage: Stage, number: int, wanted: Mask) -> Spots:
        pixel, samples = np.flatnonzero(wanted), self.tile.samples
        sample = np.repeat(np.arange(number * samples, (number + 1) * samples), len(pixel))
        what = met(stage, self.view, self.tile, np.tile(pixel, samples), sample)
        return spots(stage, self.view, self.tile, what, np.arange(len(sample)))

    @cached_property
    def kin(self) -> tuple[tuple[int, int, Array], ...]:
        """For each neighbour (down, right): 1 where a pixel and that one are plain and of one surface (rows, columns)."""
        shape = self.tile.rows, self.tile.columns
        points = self.spots.points
        index = np.flatnonzero(self.plain)
        pixel = self.spots.pixel[index]
        place = np.zeros((3, self.tile.pixels), np.float32)
        normal = np.zeros_like(place)
        part = np.full(self.tile.pixels, NOTHING, np.int32)
        place[:, pixel] = np.take(points.position, index, axis=1)
        normal[:, pixel] = np.take(points.normal, index, axis=1)
        part[pixel] = points.part[index]
        places, normals, parts = place.reshape(3, *shape), normal.reshape(3, *shape), part.reshape(shape)
        reach = places - column(self.view.position)[:, :, None]
        allowed = np.float32(OFF_PLANE) * np.sqrt(np.einsum("ijk,ijk->jk", reach, reach))
        kin = []
        for down in (-1, 0, 1):
            for right in (-1, 0, 1):
                if down == right == 0:
                    continue
                turned = np.einsum("ijk,ijk->jk", normals, moved(normals, down, right))
                off = np.abs(np.einsum("ijk,ijk->jk", moved(places, down, right) - places, normals))
                same = (parts != NOTHING) & (parts == moved(parts, down, right))
                alike = same & (turned > ALIKE) & (off < allowed)
                kin.append((down, right, alike.astype(np.float32)))
        return tuple(kin)

    def blended(self, values: Array) -> Array:
        """Values (..., pixels) summed over each pixel and its neighbours on the same surface."""
        rows, columns = self.tile.rows, self.tile.columns
        image = values.reshape(*values.shape[:-1], rows, columns)
        margin = [(0, 0)] * (image.ndim - 2) + [(1, 1), (1, 1)]
        wide = np.pad(image, margin)
        total = image.copy()
        for down, right, alike in self.kin:
            beside = wide[..., 1 + down : 1 + down + rows, 1 + right : 1 + right + columns]
            total += alike * beside
        return total.reshape(values.shape)


def seen(stage: Stage, view: View, tile: Tile) -> Seen:
    """The visible points of a tile."""
    pixel = np.tile(np.arange(tile.pixels), tile.samples)
    what = met(stage, view, tile, pixel, np.repeat(np.arange(tile.samples), tile.pixels))
    return seen_of(stage, view, tile, what)


def seen_of(stage: Stage, view: View, tile: Tile, what: Met) -> Seen:
    """The visible points of a tile from what every sample of it met, all pixels' first samples first."""
    count, samples = tile.pixels, tile.samples
    edge, rise = _edges(what, stage, count, samples)
    chosen = np.flatnonzero(np.concatenate([np.ones(count, bool), np.tile(edge, samples - 1)]))
    places = spots(stage, view, tile, what, chosen, plain=~edge)
    if samples > 1:
        points, middle = places.points, np.flatnonzero(~edge[places.pixel])
        _slide(points, middle, tile.rays(view, places.pixel[middle], None), view)
        # In a hollow the plane of the first sample dips below the surface beside it, which would shade it.
        opaque = points.transmission[middle] == 0.0
        lift = np.where(opaque, rise[places.pixel[middle]], np.float32(0.0))
        points.start[:, middle] += lift * np.take(points.facet, middle, axis=1)
    distance = what.distance.reshape(samples, count)
    near, far = distance.min(axis=0), distance.max(axis=0)
    with np.errstate(invalid="ignore"):
        split = np.where(np.isfinite(far), np.sqrt(near * far), np.float32(3e38))
        one = ~(far > np.float32(ONE_SURFACE) * near)
        cover = np.where(one, np.float32(1.0), (distance <= split).mean(axis=0, dtype=np.float32))
    return Seen(tile, view, places, edge, near, np.where(one, near, far), cover, what.part[:count])


def _edges(what: Met, stage: Stage, count: int, samples: int) -> tuple[Mask, Array]:
    """Pixels (count,) whose samples are not all of one smooth surface of one part, seen through the same glass.

    And how far (count,) m any of a pixel's samples rises over the plane of its first, towards the eye.
    """
    edge, rise = np.zeros(count, bool), np.zeros(count, np.float32)
    if samples == 1:
        return edge, rise
    facets = what.facets(stage)
    first, flat = (
        slice(0, count),
        what.direction * np.where(what.part != NOTHING, what.distance, np.float32(0.0)),
    )
    allowed = np.float32(OFF_PLANE) * np.where(what.part != NOTHING, what.distance, np.float32(0.0))[first]
    towards_eye = -np.sign(dot(facets[:, first], what.direction[:, first]))
    for sample in range(1, samples):
        own = slice(sample * count, (sample + 1) * count)
        turned = np.abs(dot(facets[:, own], facets[:, first]))
        off = dot(flat[:, own] - flat[:, first], facets[:, first])
        edge |= (what.part[own] != what.part[first]) | (what.pane[own] != what.pane[first])
        edge |= (what.part[first] != NOTHING) & ((turned < ALIKE) | (np.abs(off) > allowed))
        rise = np.maximum(rise, towards_eye * off)
    return edge, rise


def _slide(points: Points, index: Indices, direction: Array, view: View) -> None:
    """Moves points `index` in their own plane to where rays (3, k) from the eye meet it; far off they stay."""
    facet = np.take(points.facet, index, axis=1)
    away = np.take(points.position, index, axis=1) - column(view.position)
    with np.errstate(divide="ignore", invalid="ignore"):
        shift = direction * (dot(away, facet) / dot(direction, facet)) - away
        near = dot(shift, shift) < np.float32(0.25) * dot(away, away)
    shift = np.where(near, shift, np.float32(0.0))
    points.position[:, index] += shift
    points.start[:, index] += shift


def stored(answer: Seen) -> dict[str, NDArray[Any]]:
    """A tile's visible points as plain arrays."""
    arrays: dict[str, NDArray[Any]] = {
        name: getattr(answer, name) for name in ("edge", "near", "far", "cover", "part")
    }
    for prefix, owner in (("", answer.spots), ("glass.", answer.spots.glass)):
        for item in fields(owner):
            value = getattr(owner, item.name)
            if isinstance(value, np.ndarray):
                arrays[prefix + item.name] = value
        arrays |= {f"{prefix}points.{item.name}": getattr(owner.points, item.name) for item in fields(Points)}
    return arrays


def restored(tile: Tile, view: View, arrays: Mapping[str, NDArray[Any]]) -> Seen:
    """The same from plain arrays."""

    def points(prefix: str) -> Points:
        return Points(**{item.name: arrays[f"{prefix}{item.name}"] for item in fields(Points)})

    own: dict[str, Any] = {item.name: arrays[item.name] for item in fields(Spots) if item.name in arrays}
    glass: dict[str, Any] = {
        item.name: arrays[f"glass.{item.name}"] for item in fields(Glass) if f"glass.{item.name}" in arrays
    }
    places = Spots(
        tile=tile,
        view=view,
        first=0,
        points=points("points."),
        glass=Glass(points=points("glass.points."), **glass),
        **own,
    )
    image: dict[str, Any] = {name: arrays[name] for name in ("edge", "near", "far", "cover", "part")}
    return Seen(tile=tile, view=view, spots=places, **image)
