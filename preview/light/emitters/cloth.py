"""Cloth: a rectangle of diffusion that re-emits the light falling on it, unevenly as it is lit."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.plane import crossing, within
from preview.light.light import Emitter
from preview.light.vectors import across, column, dot

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Cloth(Emitter):
    """`exitance` (rows, columns) lm/m2 over the rectangle, row 0 at the bottom; Lambertian to the side of `axis`.

    Sampled in proportion to the exitance, so that a half-filled frame costs no more rays than a full one.
    """

    centre: NDArray[np.float64]
    axis: NDArray[np.float64]
    half_size: tuple[float, float]
    exitance: NDArray[np.float64]
    turn: float = 0.0
    """How far width and height are turned about the axis, see `across`."""
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
        row = np.minimum(np.searchsorted(self._rows, u[1], side="right"), rows - 1)
        low = np.where(row > 0, self._rows[row - 1], 0.0)
        y = (row + (u[1] - low) / np.maximum(self._rows[row] - low, 1e-12)) / rows
        cell = np.searchsorted(self._cells.ravel(), row + np.minimum(u[0], 0.999999), side="right")
        cell = np.minimum(cell, row * columns + columns - 1)
        place = cell - row * columns
        left = np.where(place > 0, self._cells.ravel()[cell - 1] - row, 0.0)
        share = np.maximum(self._cells.ravel()[cell] - row - left, 1e-12)
        x = (place + np.clip((u[0] - left) / share, 0.0, 1.0)) / columns
        width, height = self._across
        away = (
            column(self.centre)
            + (2.0 * x - 1.0).astype(np.float32) * column(width * self.half_size[0])
            + (2.0 * y - 1.0).astype(np.float32) * column(height * self.half_size[1])
            - points
        )
        square = dot(away, away)
        distance = np.sqrt(square)
        direction = away / np.maximum(distance, 1e-6)
        cosine = np.maximum(-(self.axis.astype(np.float32) @ direction), 0.0)
        return direction, distance, cosine * (np.float32(self.lumens / np.pi) / np.maximum(square, 1e-8))

    def shining(self, points: Array, direction: Array) -> tuple[Array, Array]:
        """See `Emitter.shining`."""
        rows, columns = self.exitance.shape
        width, height = self._across
        offset, distance, _ = crossing(
            points, direction, centre=column(self.centre), normal=column(self.axis)
        )
        x, y = within(offset, width=width, height=height, half_size=self.half_size)
        meets = (np.abs(x) < 1.0) & (np.abs(y) < 1.0) & np.isfinite(distance)
        cell = np.where(meets, ((y + 1.0) * (0.5 * rows)).astype(np.int32) * columns, 0)
        cell += np.where(meets, ((x + 1.0) * (0.5 * columns)).astype(np.int32), 0)
        luminance = np.take(self._luminance, cell, mode="clip")
        return np.where(meets, luminance, np.float32(0.0)), np.where(meets, distance, np.float32(np.inf))

    @cached_property
    def _luminance(self) -> Array:
        return self.luminance().astype(np.float32).ravel()

    @cached_property
    def _across(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        return across(self.axis, self.turn)

    @property
    def most(self) -> float:
        """See `Emitter.most`."""
        return float(self.exitance.max())

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`."""
        return np.float32(max(self.half_size)) / distance

    def rule(self) -> Array:
        """See `Emitter.rule`: four places one standard deviation of the exitance off its middle each way."""
        return self._rule

    @cached_property
    def _rule(self) -> Array:
        rows, columns = self.exitance.shape
        share = self.exitance / self.exitance.sum()
        x, y = (np.arange(columns) + 0.5) / columns, (np.arange(rows) + 0.5) / rows
        across_share, up_share = share.sum(axis=0), share.sum(axis=1)
        # Within a cell the light is even: a twelfth of its side squared.
        middle = across_share @ x, up_share @ y
        spread = (
            np.sqrt(across_share @ (x - middle[0]) ** 2 + 1.0 / (12.0 * columns**2)),
            np.sqrt(up_share @ (y - middle[1]) ** 2 + 1.0 / (12.0 * rows**2)),
        )
        return np.array(
            [
                self._u_of(middle[0] + side * spread[0], middle[1] + level * spread[1])
                for side in (-1.0, 1.0)
                for level in (-1.0, 1.0)
            ],
            np.float32,
        )

    def _u_of(self, x: float, y: float) -> tuple[float, float]:
        """The sample that `arrive` turns into the place x, y (0 to 1 across and up the cloth)."""
        rows, columns = self.exitance.shape
        row, column = min(int(y * rows), rows - 1), min(int(x * columns), columns - 1)
        below = self._rows[row - 1] if row else 0.0
        within = np.append(0.0, self._cells[row] - row)
        return (
            float(within[column] + (x * columns - column) * (within[column + 1] - within[column])),
            float(below + (y * rows - row) * (self._rows[row] - below)),
        )
