"""Web: what a photometric file says of a luminaire: its intensity all round, and the opening that it comes from."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import pi
from typing import Any, Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from preview.light.photometry.opening import Opening

Floats = NDArray[np.float64]
AnyFloats = NDArray[np.floating[Any]]
Array = TypeVar("Array", NDArray[np.float32], NDArray[np.float64])

ROUNDING = 1e-5
"""Radians by which a direction may lie outside the table and still be on its edge."""
LEAST_STEP = 1e-9
"""Radians: angles nearer to each other are one."""
MOST_CELLS = 65_536
"""In which angles are looked up; where that is not fine enough they are searched."""


@dataclass(frozen=True)
class Tilt:
    """How a lamp's output changes with the luminaire's tilt: factors (n,) at `angles` (n,) radians from straight down.

    `geometry`, as LM-63 numbers it: 1, the lamp is upright when the luminaire looks down; 2, it lies and goes on lying
    when that is tilted; 3, it lies, and tilts with it.
    """

    geometry: int
    angles: Floats
    factors: Floats

    def factor(self, angle: float) -> float:
        """The factor for a luminaire that is aimed `angle` radians from straight down; the ends hold beyond the table."""
        return float(np.interp(0.0 if self.geometry == 2 else angle, self.angles, self.factors))


@dataclass(frozen=True)
class _Angles:
    """Rising angles (k,) radians of a table, and where among them others lie."""

    values: AnyFloats

    def bracket(self, at: Array) -> tuple[NDArray[np.intp], Array, NDArray[np.bool_]]:
        """Of `at` (n,), the angle that each comes after, how far on to the next it lies, and whether it is within them."""
        values = self.values
        if len(self._low) == 0:
            low = np.clip(np.searchsorted(values, at, side="right") - 1, 0, len(values) - 2)
        else:
            cell = ((at - values[0]) * self._cells).astype(np.int32)
            low = np.take(self._low, cell, mode="clip")
            low += at >= np.take(values, low + 1)
            np.minimum(low, len(values) - 2, out=low)
        start = np.take(values, low)
        # Angles that are one in single precision have no way between them.
        step = np.maximum(np.take(values, low + 1) - start, values.dtype.type(LEAST_STEP))
        share = np.clip((at - start) / step, 0.0, 1.0)
        inside = (at >= values[0] - ROUNDING) & (at <= values[-1] + ROUNDING)
        return low, share.astype(values.dtype, copy=False), inside

    @cached_property
    def _cells(self) -> np.floating[Any]:
        """Cells to the radian, so narrow that none holds more than one of the angles."""
        return self.values.dtype.type(1.02 / max(float(np.diff(self.values).min()), LEAST_STEP))

    @cached_property
    def _low(self) -> NDArray[np.intp]:
        """By cell, the angle before its start; none where there would be too many cells."""
        if len(self.values) < 2:
            return np.zeros(0, np.intp)
        count = float(self.values[-1] - self.values[0]) * float(self._cells) + 2.0
        if count > MOST_CELLS:
            return np.zeros(0, np.intp)
        starts = self.values[0] + np.arange(int(count)) / float(self._cells)
        return np.clip(np.searchsorted(self.values, starts, side="right") - 1, 0, len(self.values) - 2)


@dataclass(frozen=True)
class Web:
    """Intensities of a luminaire, as far off as its photometer stood. Every edition, symmetry and factor is done with.

    `candela` (h, v), all vertical angles of a horizontal one in a row; `vertical` (v,), `horizontal` (h,) radians, rising.
    One horizontal angle: the same all round. Between angles intensity is linear in both; outside them it is none.

    Directions are told along three axes: horizontal 0, horizontal 90, ahead. Type C: ahead is vertical 0 (straight down
    in the laboratory), vertical angles count from it to 180, horizontal ones from the first axis to the second, 0 to 360
    degrees. Types B and A: ahead is 0, 0; vertical angles go from it to 90 along the first axis, horizontal ones away from
    the second: upwards and to the right for who looks ahead with the first axis up. In type B the planes share the
    axis that lies across, so vertical angles go round it and horizontal ones towards it; in type A the other way about.

    Source: definitions of ANSI/IESNA LM-63-02, section 3: photometric zero, planes, clockwise and counterclockwise.
    Which angle of type B goes round was tried on a floodlight's stated lumens, in the tests.
    """

    kind: Literal["C", "B", "A"]
    vertical: Floats
    horizontal: Floats
    candela: Floats
    opening: Opening
    edition: str
    watts: float | None = None
    stated_lumens: float | None = None
    """Of the luminaire, by the file's own words; None where it says only its lamps'."""
    lamp_lumens: float | None = None
    tilt: Tilt | None = None

    def intensity(self, directions: Array) -> Array:
        """Candela (n,) along unit directions (3, n), in the file's axes."""
        along, beside, ahead = directions
        if self.kind == "C":
            vertical = np.arctan2(np.sqrt(along * along + beside * beside), ahead)
        elif self.kind == "B":
            vertical = np.arctan2(along, ahead)
        else:
            vertical = np.arctan2(along, np.sqrt(beside * beside + ahead * ahead))
        angles, turns, table = self._single if directions.dtype == np.float32 else self._double
        low, share, inside = angles.bracket(vertical)
        if len(turns.values) == 1:
            flat = table[0]
            candela = flat[low] + share * (flat[low + 1] - flat[low])
            return np.where(inside, candela, candela.dtype.type(0.0))
        if self.kind == "C":
            horizontal = np.arctan2(beside, along)
            horizontal += np.where(
                horizontal < 0.0, horizontal.dtype.type(2.0 * pi), horizontal.dtype.type(0.0)
            )
        elif self.kind == "B":
            horizontal = np.arctan2(-beside, np.sqrt(along * along + ahead * ahead))
        else:
            horizontal = np.arctan2(-beside, ahead)
        left, turned, within = turns.bracket(horizontal)
        flat, wide = table.ravel(), len(angles.values)
        cell = left * wide + low
        first = flat[cell] + share * (flat[cell + 1] - flat[cell])
        cell += wide
        second = flat[cell] + share * (flat[cell + 1] - flat[cell])
        candela = first + turned * (second - first)
        return np.where(inside & within, candela, candela.dtype.type(0.0))

    @cached_property
    def _single(self) -> tuple[_Angles, _Angles, NDArray[np.float32]]:
        narrow = (_Angles(angles.astype(np.float32)) for angles in (self.vertical, self.horizontal))
        return (*narrow, self.candela.astype(np.float32))  # type: ignore[return-value]

    @cached_property
    def _double(self) -> tuple[_Angles, _Angles, Floats]:
        return _Angles(self.vertical), _Angles(self.horizontal), self.candela

    def lumens(self) -> float:
        """Flux: the exact integral of the linear interpolant over solid angle, not the zonal sum of a laboratory."""
        if self.kind == "B":
            return _of_latitudes(self.horizontal, _summed(self.vertical, self.candela.T))
        alike = len(self.horizontal) == 1
        curve = 2.0 * pi * self.candela[0] if alike else _summed(self.horizontal, self.candela)
        if self.kind == "A":
            return _of_latitudes(self.vertical, curve)
        # Of zones about the pole, sin v = cos(pi / 2 - v).
        return _of_latitudes(pi / 2.0 - self.vertical[::-1], curve[::-1])

    @property
    def axial(self) -> float:
        """Candela straight ahead."""
        return float(self.intensity(np.array([[0.0], [0.0], [1.0]]))[0])

    @property
    def peak(self) -> float:
        """The largest intensity of the table, cd."""
        return float(self.candela.max())

    def angle_within(self, share: float, *, turn: float = 0.0) -> float:
        """Full angle, radians, within which intensity is at least `share` of the most, in the plane at horizontal `turn`.

        The plane goes through straight ahead, to both sides of it. Share 0.5: the beam angle, 0.1: the field angle.
        Source: definitions of ANSI/IES LS-1, by the maximum intensity; here that of the plane.
        """
        step = np.radians(0.1)
        angle = step * np.arange(3600)
        way = np.stack([np.sin(angle) * np.cos(turn), np.sin(angle) * np.sin(turn), np.cos(angle)])
        found: Floats = np.asarray(self.intensity(way), np.float64)
        found = np.roll(found, -int(np.argmax(found)))
        if found[0] <= 0.0:
            return 0.0
        one_way = _reach(found, share * found[0])
        other_way = _reach(np.roll(found[::-1], 1), share * found[0])
        return float(step * min(one_way + other_way, 3600.0))

    @property
    def beam(self) -> tuple[float, float]:
        """Full angles, radians, at half intensity: in the planes of horizontal 0 and of horizontal 90."""
        return self.angle_within(0.5), self.angle_within(0.5, turn=pi / 2.0)

    @property
    def field(self) -> tuple[float, float]:
        """Full angles, radians, at a tenth of the intensity, in the same planes."""
        return self.angle_within(0.1), self.angle_within(0.1, turn=pi / 2.0)


def _summed(angles: Floats, table: Floats) -> Floats:
    """The integral (k,) of rows (n, k) over rising angles (n,), linear between them."""
    total: Floats = np.diff(angles) @ (0.5 * (table[1:] + table[:-1]))
    return total


def _of_latitudes(angles: Floats, curve: Floats) -> float:
    """The integral of a curve (n,), linear between rising angles (n,), times the cosine of the angle."""
    low, high, start, end = angles[:-1], angles[1:], curve[:-1], curve[1:]
    slope = (end - start) / (high - low)
    return float(np.sum(end * np.sin(high) - start * np.sin(low) + slope * (np.cos(high) - np.cos(low))))


def _reach(found: Floats, level: float) -> float:
    """How many steps on from the first of what is found it falls below a level; all of them, if it never does."""
    below = np.flatnonzero(found < level)
    if len(below) == 0:
        return float(len(found))
    after = int(below[0])
    return float(after - 1 + (found[after - 1] - level) / (found[after - 1] - found[after]))
