"""Cloth: a rectangle of diffusion that re-emits the light falling on it, unevenly as it is lit."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.axes import across

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Cloth:
    """`exitance` (rows, columns) lm/m2 over the rectangle, row 0 at the bottom; Lambertian to the side of `axis`.

    Sampled in proportion to the exitance, so that a half-filled frame costs no more rays than a full one.
    """

    centre: NDArray[np.float64]
    axis: NDArray[np.float64]
    half_size: tuple[float, float]
    exitance: NDArray[np.float64]
    _rows: Array = field(init=False, repr=False)
    _cells: NDArray[np.float64] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        by_row = self.exitance.sum(axis=1)
        rows = np.cumsum(by_row) / by_row.sum()
        within = np.cumsum(self.exitance, axis=1) / np.maximum(by_row, 1e-30)[:, None]
        object.__setattr__(self, "_rows", rows)
        object.__setattr__(self, "_cells", within + np.arange(len(rows))[:, None])

    @property
    def lumens(self) -> float:
        """Flux that leaves the cloth."""
        return float(self.exitance.mean() * 4.0 * self.half_size[0] * self.half_size[1])

    def luminance(self) -> NDArray[np.float64]:
        """cd/m2 of each cell, as `exitance`."""
        return self.exitance / np.pi

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`."""
        rows, columns = self.exitance.shape
        row = np.minimum(np.searchsorted(self._rows, u[:, 1], side="right"), rows - 1)
        low = np.where(row > 0, self._rows[row - 1], 0.0)
        y = (row + (u[:, 1] - low) / np.maximum(self._rows[row] - low, 1e-12)) / rows
        cell = np.searchsorted(self._cells.ravel(), row + np.minimum(u[:, 0], 0.999999), side="right")
        cell = np.minimum(cell, row * columns + columns - 1)
        column = cell - row * columns
        left = np.where(column > 0, self._cells.ravel()[cell - 1] - row, 0.0)
        share = np.maximum(self._cells.ravel()[cell] - row - left, 1e-12)
        x = (column + np.clip((u[:, 0] - left) / share, 0.0, 1.0)) / columns
        width, height = across(self.axis)
        start = (
            self.centre
            + (2.0 * x - 1.0)[:, None] * width * self.half_size[0]
            + (2.0 * y - 1.0)[:, None] * height * self.half_size[1]
        ).astype(np.float32)
        away = start - points
        square = np.einsum("ij,ij->i", away, away)
        distance = np.sqrt(square)
        direction = away / np.maximum(distance, 1e-6)[:, None]
        cosine = np.maximum(-(direction @ self.axis.astype(np.float32)), 0.0)
        return direction, distance, cosine * (np.float32(self.lumens / np.pi) / np.maximum(square, 1e-8))

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`."""
        return np.float32(max(self.half_size)) / distance
