"""Tile: a block of pixels, its samples, and which of them are alike enough to share what one of them finds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.trace.geometry import Points
from preview.trace.sampling import shifted, shifts, spread_points

Array = NDArray[np.float32]
Indices = NDArray[np.intp]
Mask = NDArray[np.bool_]

TILE_WIDTH, TILE_HEIGHT = 96, 64
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

    def places(self, samples: int, seed: int) -> tuple[Array, Array]:
        """Frame coordinates u, v (samples x pixels,) of every sample; a lone sample sits in its pixel's middle."""
        number, column, row = self.pixels()
        if samples == 1:
            inside = np.full((1, len(number), 2), 0.5, np.float32)
        else:
            move = shifts(number, seed * 977)
            inside = np.stack([shifted(point, move) for point in spread_points(samples)])
        u = (column + inside[..., 0]) / np.float32(self.width)
        v = (row + inside[..., 1]) / np.float32(self.height)
        return u.ravel(), v.ravel()


def tiles(width: int, height: int) -> list[Tile]:
    """The tiles of a frame."""
    return [
        Tile(top, left, min(TILE_HEIGHT, height - top), min(TILE_WIDTH, width - left), width, height)
        for top in range(0, height, TILE_HEIGHT)
        for left in range(0, width, TILE_WIDTH)
    ]


@dataclass(frozen=True)
class Grid:
    """Where n points lie in a tile of rows x columns pixels, `samples` to a pixel.

    index (n,): number among the tile's samples x pixels, all pixels' first samples first; pixel (n,): number within
    the tile; sample (n,): which of the pixel's samples; edge (pixels,): whether a pixel's samples differ; lead (m,):
    the points that are asked first: every one on an edge, the first of a plain pixel.
    """

    rows: int
    columns: int
    samples: int
    index: Indices
    pixel: Indices
    sample: Indices
    edge: Mask
    lead: Indices

    @property
    def pixels(self) -> int:
        return self.rows * self.columns

    def gathered(self, values: Array) -> Array:
        """What the leads' values (m, 3) come to over each pixel (pixels, 3): an edge's are shares of its samples."""
        pixel = self.pixel[self.lead]
        on_edge = self.edge[pixel]
        total = np.zeros((self.pixels, 3), np.float32)
        plain = ~on_edge
        total[pixel[plain]] = values[plain]
        pixel, values = pixel[on_edge], values[on_edge] / np.float32(self.samples)
        for channel in range(3):
            total[:, channel] += np.bincount(pixel, weights=values[:, channel], minlength=self.pixels)
        return total

    def lead_reflectance(self, points: Points) -> Array:
        """Reflectance (m, 3) of the leads; a plain pixel's is the mean over its samples."""
        pixel = self.pixel[self.lead]
        answer = points.reflectance[self.lead]
        if self.samples == 1:
            return answer
        every = np.zeros((self.samples * self.pixels, 3), np.float32)
        every[self.index] = points.reflectance
        plain = np.flatnonzero(~self.edge[pixel])
        answer[plain] = every.reshape(self.samples, self.pixels, 3).mean(axis=0)[pixel[plain]]
        return answer


def grid_of(tile: Tile, samples: int, index: Indices, points: Points, eye: Array) -> Grid:
    """The grid of points whose numbers among the tile's samples x pixels are `index` (n,); eye (3,) m."""
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
        away = points.position[other] - points.position[base]
        off = np.abs(np.einsum("ij,ij->i", away, points.normal[base]))
        reach = points.position[base] - eye
        distance = np.sqrt(np.einsum("ij,ij->i", reach, reach))
        turned = np.einsum("ij,ij->i", points.normal[other], points.normal[base])
        differs = (points.part[other] != points.part[base]) | (turned < ALIKE) | (off > OFF_PLANE * distance)
        edge[pixel[other[differs]]] = True
    lead = np.flatnonzero((sample == 0) | edge[pixel])
    return Grid(tile.rows, tile.columns, samples, index, pixel, sample, edge, lead)


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
