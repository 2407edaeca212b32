"""Softened: a source through a cloth that keeps its direction but for a small spread: frost, silk, a sheet of silver."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import pi, radians

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.cut_gaussian import drawn
from preview.light.emitters.plane import crossing
from preview.light.light import Emitter, arriving
from preview.light.vectors import across, column, dot

Array = NDArray[np.float32]
Mask = NDArray[np.bool_]

WINDING = (57.9, 41.9)
"""How often the place on the source goes round while that on the cloth goes once across: a sample chooses both."""
MEAN = 16
"""Places of the source whose light is added up where a ray meets the cloth."""
FARTHEST = 5.0
"""Spreads from straight on beyond which nothing is scattered."""
ONE_OFF = (0.15866, 0.84134)
"""Shares of a Gaussian below one deviation either way: Gauss's two equal shares of it, exact to the third degree."""
NARROWEST = radians(0.2)
"""Of a spread: no cloth and no mirror on set is flatter."""


@dataclass(frozen=True)
class Softened(Emitter):
    """`source` behind a rectangle: `centre` (3,) m, unit `axis` the way the light goes, `half_size`, `turn`.

    The share `passes` of what falls on each place goes on about its old direction: as much a solid angle, at an angle a
    from it, as a Gaussian of standard deviation `spread` radians, exp(-a^2 / 2 spread^2), normalised over the sphere.
    Sampled about the straight line from each point to a place on the source, where it crosses the cloth, by a Gaussian of
    spread / (1 / a + 1 / b), a and b the lengths of its two parts, cut off at the cloth's edges; the rest is in the weight.
    So the cloth looks, from afar, as large as the spread makes the source, and no sample of it is in vain.
    """

    source: Emitter
    centre: NDArray[np.float64]
    axis: NDArray[np.float64]
    half_size: tuple[float, float]
    passes: float
    spread: float
    away: float
    """Metres from the middle of the source to that of the cloth."""
    turn: float = 0.0

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`: the sample is a place on the cloth."""
        axis, centre = self.axis.astype(np.float32), column(self.centre)
        v = _wound(u)
        straight, reach, _ = self.source.arrive(points, normals, v)
        behind = axis @ (points - centre)
        rising = -(axis @ straight)
        with np.errstate(divide="ignore", invalid="ignore"):
            b = behind / rising
            # What is itself seen through a cloth comes from further back than that.
            a = np.maximum(reach - b, np.float32(self.away))
            reaches = (behind > 0.0) & (rising > 1e-3) & (reach > b)
            sigma = np.float32(self._spread) / (1.0 / a + 1.0 / b)
        sigma = np.where(reaches, sigma, np.float32(1.0))
        rise = np.where(reaches, rising, np.float32(1.0))
        crossing_at = points - centre
        crossing_at += np.where(reaches, b, np.float32(0.0)) * straight
        place: Array = np.repeat(centre, points.shape[1], axis=1)
        pdf = np.ones(points.shape[1], np.float32)
        for side, half, turn in zip(self._across, self.half_size, u, strict=True):
            way = side.astype(np.float32)
            # Square to the straight line it is round; on the cloth, longer where the line is slanted.
            slant = (way @ straight) / rise
            along, density = drawn(
                turn, middle=way @ crossing_at, sigma=sigma * np.sqrt(1.0 + slant * slant), half=half
            )
            place += along * way[:, None]
            pdf *= density
        to_place = place - points
        square = np.maximum(dot(to_place, to_place), np.float32(1e-8))
        distance = np.sqrt(square)
        direction = np.asarray(to_place / distance, np.float32)
        onward = self._lit(place, -direction, v)
        lux = np.where(reaches, onward / (square * np.maximum(pdf, np.float32(1e-12))), 0.0)
        return direction, distance, np.asarray(lux, np.float32)

    def _on_cloth(self, offset: Array) -> Mask:
        """Whether places of its plane, less its centre (3, n), lie on it."""
        width, height = self._across
        return np.asarray(
            (np.abs(width.astype(np.float32) @ offset) <= self.half_size[0])
            & (np.abs(height.astype(np.float32) @ offset) <= self.half_size[1]),
            bool,
        )

    def _lit(self, place: Array, leaving: Array, v: Array) -> Array:
        """cd/m2 of cloth (n,), along unit `leaving` (3, n), that one place v (2, n) of the source makes at `place`."""
        axis = self.axis.astype(np.float32)
        facing = np.broadcast_to(-axis[:, None], place.shape)
        towards, _, lux = arriving(self.source, place, facing, v)
        half_chord = np.float32(0.5) * np.sqrt(np.maximum(dot(towards + leaving, towards + leaving), 0.0))
        angle = 2.0 * np.arcsin(np.minimum(half_chord, np.float32(1.0)))
        lobe = np.where(
            angle < self._farthest,
            np.exp(-0.5 * np.square(angle / np.float32(self._spread))),
            np.float32(0.0),
        )
        cosine = np.maximum(-(axis @ towards), 0.0)
        ahead = (axis @ leaving) > 0.0
        return np.where(ahead, np.float32(self._top) * lux * cosine * lobe, np.float32(0.0))

    def shining(self, points: Array, direction: Array) -> tuple[Array, Array]:
        """See `Emitter.shining`."""
        offset, distance, _ = crossing(
            points, direction, centre=column(self.centre), normal=column(self.axis)
        )
        meets = self._on_cloth(offset) & np.isfinite(distance)
        at = np.flatnonzero(meets)
        luminance = np.zeros(points.shape[1], np.float32)
        if len(at):
            luminance[at] = self.luminance_at(
                np.take(offset, at, axis=1) + column(self.centre), -np.take(direction, at, axis=1)
            )
        return luminance, np.where(meets, distance, np.float32(np.inf))

    def luminance_at(self, place: Array, leaving: Array) -> Array:
        """cd/m2 (n,) of the cloth at places (3, n) on it along unit `leaving` (3, n): the mean over the source."""
        total = np.zeros(place.shape[1], np.float32)
        for v in self._middles.T:
            total += self._lit(place, leaving, np.broadcast_to(v[:, None], (2, len(total))))
        cosine = np.abs(self.axis.astype(np.float32) @ leaving)
        return total / (np.float32(MEAN) * np.maximum(cosine, np.float32(0.02)))

    @cached_property
    def _middles(self) -> Array:
        side = (np.arange(4) + 0.5) / 4
        return np.stack(np.meshgrid(side, side)).reshape(2, MEAN).astype(np.float32)

    @property
    def _spread(self) -> float:
        return max(self.spread, NARROWEST)

    @property
    def _farthest(self) -> float:
        """Radians from straight on beyond which nothing is scattered."""
        return float(min(FARTHEST * self._spread, 1.5))

    @cached_property
    def _top(self) -> float:
        """1/sr straight on, times what passes: the integral of the lobe over the sphere is one."""
        step = self._farthest / 4096
        angle = (np.arange(4096) + 0.5) * step
        whole = np.sum(np.exp(-0.5 * (angle / self._spread) ** 2) * np.sin(angle)) * step
        return float(self.passes / (2.0 * pi * whole))

    @cached_property
    def _across(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        return across(self.axis, self.turn)

    @property
    def most(self) -> float:
        """See `Emitter.most`: no place of the cloth is brighter than the source."""
        return self.source.most

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`: of the source as it stands behind the cloth, and of the spread."""
        whole = distance + np.float32(self.away)
        spread = np.float32(1.5 * self._spread * self.away) / whole
        own = self.source.softness(whole)
        return np.asarray(
            np.minimum(np.hypot(own, spread), np.float32(max(self.half_size)) / distance), np.float32
        )

    def rule(self) -> Array:
        """See `Emitter.rule`: four places of the Gaussian, each with every place of the source's own rule."""
        return self._rule

    @cached_property
    def _rule(self) -> Array:
        winding = np.array(WINDING)
        answer = []
        for middle in np.stack(np.meshgrid(ONE_OFF, ONE_OFF), axis=-1).reshape(-1, 2):
            for wanted in self.source.rule():
                missing = np.asarray(wanted, float) - (winding * middle) % 1.0
                missing -= np.round(missing)
                answer.append(middle + missing / winding)
        return np.array(answer, np.float32)


def _wound(u: Array) -> Array:
    """Which place (2, n) of the source a sample u (2, n) of the cloth goes with."""
    wound = u.astype(np.float64) * np.array(WINDING)[:, None]
    return np.minimum(wound - np.floor(wound), 0.9999999).astype(np.float32)
