"""Tile: a block of pixels, its samples, and which of them are alike enough to share what one of them finds."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.light.vectors import dot
from preview.trace.geometry import Points
from preview.trace.sampling import spread_points

Array = NDArray[np.float32]
Indices = NDArray[np.intp]
Mask = NDArray[np.bool_]

TILE_POINTS = 98304
"""Samples in a tile: enough that threads seldom wait for the interpreter, few enough to share the work out evenly."""
ALIKE = 0.97
"""Cosine between the normals of one pixel's samples from which they may share."""
OFF_PLANE = 0.004
"""How far a sample may lie off the plane of its pixel's first, as a share of its distance."""


@dataclass(frozen=True)
class Tile:
    """rows x columns pixels of a frame of width x height, from its corner top, left."""

    top: int
    left: int
    rows: int
    columns: int
    width: int
    height: int

    def pixels(self) -> tuple[NDArray[np.uint32], Array, Array]:
        """Number, column and row of each pixel, scan line by scan line."""
        row, column = np.mgrid[self.top : self.top + self.rows, self.left : self.left + self.columns]
        number = (row * self.width + column).ravel().astype(np.uint32)
        return number, column.ravel().astype(np.float32), row.ravel().astype(np.float32)

    def places(self, samples: int) -> tuple[Array, Array]:
        """Frame coordinates u, v (samples x pixels,) of every sample.

        The same in every pixel, so that edges come out clean; what is left to chance is which part of a source each
        sample looks at.
        """
        _, column, row = self.pixels()
        inside = spread_points(samples) + np.float32(0.5 / samples)
        u = (column + inside[0][:, None]) / np.float32(self.width)
        v = (row + inside[1][:, None]) / np.float32(self.height)
        return u.ravel(), v.ravel()


def tiles(width: int, height: int, samples: int) -> list[Tile]:
    """The tiles of a frame, half as wide again as high."""
    tall = max(8, round((TILE_POINTS / samples / 1.5) ** 0.5))
    wide = tall * 3 // 2
    return [
        Tile(top, left, min(tall, height - top), min(wide, width - left), width, height)
        for top in range(0, height, tall)
        for left in range(0, width, wide)
    ]


@dataclass(frozen=True)
class Grid:
    """Where n points lie in a tile of rows x columns pixels, `samples` to a pixel.

    index (n,): number among the tile's samples x pixels, all pixels' first samples first; pixel (n,): number within
    the tile; sample (n,): which of the pixel's samples; edge (pixels,): whether a pixel's samples differ; lead (m,):
    the points that get an answer of their own: every one on an edge, the first of a plain pixel; opening (k,): those
    among the leads that are asked first, one a pixel; points (n) themselves; eye (3, 1) m.
    """

    rows: int
    columns: int
    samples: int
    index: Indices
    pixel: Indices
    sample: Indices
    edge: Mask
    lead: Indices
    opening: Indices
    points: Points
    eye: Array

    @property
    def pixels(self) -> int:
        return self.rows * self.columns

    def gathered(self, values: Array) -> Array:
        """What the leads' values (3, m) come to over each pixel (3, pixels): an edge's are shares of its samples."""
        pixel = self.pixel[self.lead]
        on_edge = self.edge[pixel]
        total = np.zeros((3, self.pixels), np.float32)
        total[:, pixel[~on_edge]] = values[:, ~on_edge]
        pixel, values = pixel[on_edge], values[:, on_edge] / np.float32(self.samples)
        for channel in range(3):
            total[channel] += np.bincount(pixel, weights=values[channel], minlength=self.pixels)
        return total

    @cached_property
    def kin(self) -> tuple[tuple[int, int, Array], ...]:
        """For each neighbour (down, right): 1 where a pixel and that one are plain and of one surface (rows, columns)."""
        shape = self.rows, self.columns
        first = np.flatnonzero(self.sample == 0)
        place = np.zeros((3, self.pixels), np.float32)
        normal = np.zeros_like(place)
        part = np.full(self.pixels, -1, np.int32)
        place[:, self.pixel[first]] = np.take(self.points.position, first, axis=1)
        normal[:, self.pixel[first]] = np.take(self.points.normal, first, axis=1)
        part[self.pixel[first]] = np.where(self.edge[self.pixel[first]], -1, self.points.part[first])
        places, normals, parts = place.reshape(3, *shape), normal.reshape(3, *shape), part.reshape(shape)
        reach = places - self.eye[:, :, None]
        allowed = np.float32(OFF_PLANE) * np.sqrt(np.einsum("ijk,ijk->jk", reach, reach))
        kin = []
        for down in (-1, 0, 1):
            for right in (-1, 0, 1):
                if down == right == 0:
                    continue
                turned = np.einsum("ijk,ijk->jk", normals, moved(normals, down, right))
                off = np.abs(np.einsum("ijk,ijk->jk", moved(places, down, right) - places, normals))
                same = (parts >= 0) & (parts == moved(parts, down, right))
                alike = same & (turned > ALIKE) & (off < allowed)
                kin.append((down, right, alike.astype(np.float32)))
        return tuple(kin)

    def blended(self, values: Array) -> Array:
        """Values (..., pixels) summed over each pixel and its neighbours on the same surface."""
        image = values.reshape(*values.shape[:-1], self.rows, self.columns)
        margin = [(0, 0)] * (image.ndim - 2) + [(1, 1), (1, 1)]
        wide = np.pad(image, margin)
        total = image.copy()
        for down, right, alike in self.kin:
            beside = wide[..., 1 + down : 1 + down + self.rows, 1 + right : 1 + right + self.columns]
            total += alike * beside
        return total.reshape(values.shape)

    def leads(self) -> Points:
        """The points that get an answer; a plain pixel's stands for all its samples, in their middle.

        Its shadow rays still start from the surface itself, which the middle may lie below.
        """
        leads = self.points.take(self.lead)
        plain = np.flatnonzero(~self.edge[self.pixel[self.lead]])
        if self.samples == 1 or len(plain) == 0:
            return leads
        pixel = self.pixel[self.lead[plain]]
        for own, every in (
            (leads.position, self.points.position),
            (leads.normal, self.points.normal),
            (leads.reflectance, self.points.reflectance),
        ):
            spread = np.zeros((3, self.samples * self.pixels), np.float32)
            spread[:, self.index] = every
            mean = spread.reshape(3, self.samples, self.pixels).mean(axis=1)
            own[:, plain] = np.take(mean, pixel, axis=1)
        leads.normal[:] /= np.sqrt(dot(leads.normal, leads.normal))
        return leads


def grid_of(tile: Tile, samples: int, index: Indices, points: Points, eye: Array) -> Grid:
    """The grid of points whose numbers among the tile's samples x pixels are `index` (n,); eye (3, 1) m."""
    count = tile.rows * tile.columns
    pixel, sample = index % count, index // count
    edge = np.bincount(pixel, minlength=count) != samples
    if samples > 1:
        first = np.full(count, -1, np.intp)
        lead = np.flatnonzero(sample == 0)
        first[pixel[lead]] = lead
        other = np.flatnonzero(sample > 0)
        base = first[pixel[other]]
        there = base >= 0
        other, base = other[there], base[there]
        position, normal = np.take(points.position, base, axis=1), np.take(points.normal, base, axis=1)
        away = np.take(points.position, other, axis=1) - position
        off = np.abs(dot(away, normal))
        reach = position - eye
        distance = np.sqrt(dot(reach, reach))
        turned = dot(np.take(points.normal, other, axis=1), normal)
        differs = (points.part[other] != points.part[base]) | (turned < ALIKE) | (off > OFF_PLANE * distance)
        edge[pixel[other[differs]]] = True
    lead = np.flatnonzero((sample == 0) | edge[pixel])
    # Leads stand in order of their samples, so a pixel's first is its opening one.
    opening = np.sort(np.unique(pixel[lead], return_index=True)[1])
    return Grid(tile.rows, tile.columns, samples, index, pixel, sample, edge, lead, opening, points, eye)


def moved(image: NDArray[Any], down: int, right: int) -> NDArray[Any]:
    """An image (..., rows, columns) with each pixel's neighbour in its place; the border repeated."""
    rows = np.clip(np.arange(image.shape[-2]) + down, 0, image.shape[-2] - 1)
    columns = np.clip(np.arange(image.shape[-1]) + right, 0, image.shape[-1] - 1)
    return image[..., rows, :][..., columns]


def neighbourhood(values: Array) -> Array:
    """The greatest of values (rows, columns) within two pixels of each."""
    for _ in range(2):
        wide = values.copy()
        np.maximum(wide[1:], values[:-1], out=wide[1:])
        np.maximum(wide[:-1], values[1:], out=wide[:-1])
        values = wide.copy()
        np.maximum(values[:, 1:], wide[:, :-1], out=values[:, 1:])
        np.maximum(values[:, :-1], wide[:, 1:], out=values[:, :-1])
    return values
