"""Tile: a block of a frame's pixels, with the places of the samples in them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.camera.view import View
from preview.trace.sampling import shifted, spread_points

Array = NDArray[np.float32]
Indices = NDArray[np.intp]

TILE_POINTS = 98304
"""Samples in a tile: enough that threads seldom wait for the interpreter, few enough to share the work out evenly."""


@dataclass(frozen=True)
class Tile:
    """rows x columns pixels of a frame of width x height, from its corner top, left; `samples` first ones a pixel."""

    top: int
    left: int
    rows: int
    columns: int
    width: int
    height: int
    samples: int

    @property
    def pixels(self) -> int:
        return self.rows * self.columns

    @property
    def place(self) -> tuple[slice, slice]:
        """Where the tile lies in an image of the frame."""
        return slice(self.top, self.top + self.rows), slice(self.left, self.left + self.columns)

    def numbers(self) -> NDArray[np.uint32]:
        """The number of each pixel in the frame (pixels,), scan line by scan line."""
        row, column = np.mgrid[self.place]
        return (row * self.width + column).ravel().astype(np.uint32)

    def places(self, pixel: Indices, sample: Indices | None) -> tuple[Array, Array]:
        """Frame coordinates u, v (n,) of samples of the tile's pixels (n,); of their middles where `sample` is None.

        A sample has the same place in every pixel, so that edges come out clean; what is left to chance is which part
        of a source each looks at. Further samples go on with the same sequence.
        """
        row, column = np.divmod(pixel, self.columns)
        across = down = np.float32(0.5)
        if sample is not None:
            most = int(sample.max()) + 1 if len(sample) else 1
            pattern = shifted(spread_points(most), np.full((2, most), 0.5 / self.samples, np.float32))
            across, down = np.take(pattern, sample, axis=1)
        u = (self.left + column.astype(np.float32) + across) / np.float32(self.width)
        v = (self.top + row.astype(np.float32) + down) / np.float32(self.height)
        return u, v

    def rays(self, view: View, pixel: Indices, sample: Indices | None) -> Array:
        """Unit directions (3, n) through samples of the tile's pixels, as `places`."""
        return view.rays(*self.places(pixel, sample))


def tiles(width: int, height: int, samples: int) -> list[Tile]:
    """The tiles of a frame, half as wide again as high."""
    tall = max(8, round((TILE_POINTS / samples / 1.5) ** 0.5))
    wide = tall * 3 // 2
    return [
        Tile(top, left, min(tall, height - top), min(wide, width - left), width, height, samples)
        for top in range(0, height, tall)
        for left in range(0, width, wide)
    ]


def moved(image: NDArray[Any], down: int, right: int) -> NDArray[Any]:
    """An image (..., rows, columns) with each pixel's neighbour in its place; the border repeated."""
    rows = np.clip(np.arange(image.shape[-2]) + down, 0, image.shape[-2] - 1)
    columns = np.clip(np.arange(image.shape[-1]) + right, 0, image.shape[-1] - 1)
    return image[..., rows, :][..., columns]


def neighbourhood(values: Array, reach: int = 2) -> Array:
    """The greatest of values (rows, columns) within `reach` pixels of each."""
    for _ in range(reach):
        wide = values.copy()
        np.maximum(wide[1:], values[:-1], out=wide[1:])
        np.maximum(wide[:-1], values[1:], out=wide[:-1])
        values = wide.copy()
        np.maximum(values[:, 1:], wide[:, :-1], out=values[:, 1:])
        np.maximum(values[:, :-1], wide[:, 1:], out=values[:, :-1])
    return values
