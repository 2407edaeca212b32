"""Rig stock: which heads of the catalogue, set how, give so many lux at the end of a throw, bare or through a frame."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import atan, pi, radians, sqrt, tan
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.commands.rig.frames import CLOTHS, FRAMES, HELD_OUT, STANDS_CARRY, filled, stands, within
from preview.commands.rig.units import FOOT, ON_LIFT, ON_STANDS, UNWEIGHED, Unit, effort, frame_kg
from preview.light.colour_reading import read_xy
from preview.light.filters import stops_lost, transmission
from preview.light.heads import HeadOutput, row_output
from preview.light.lamps import lamp_spectrum
from preview.light.spectrum import xy_of_spectrum
from preview.script.models.heads import USUAL_APERTURE
from preview.trade.catalogue import Catalogue, GelRow, LiftRow
from preview.trade.head_row import HeadRow

Floats = NDArray[np.float64]

FLOODS: Final = (1.0, 0.75, 0.5, 0.25, 0.0)
"""Travel from spot, 0, to flood at which a head that can be focused is tried, the widest first."""
SCRIMS: Final = ((), ("single",), ("double",), ("single", "double"), ("double", "double"))
"""Half a stop after the other; wire is only for heads with a lamp that stands heat."""
DIMS: Final = {"itself": 4.0, "dimmer": 0.5, "to 50 %": 1.0, "no": 0.0}
"""Stops that a head is turned down by at the most: by a dimmer no farther, for a filament warms. From memory, typical."""
PULSES: Final = 10.0
"""Per cent of flicker beyond which a head beats with the shutter. From memory, typical."""
LEAST_WATTS: Final = 50.0
"""Below that a head is no key from afar."""
SPARE: Final = 0.4
"""Stops that an estimate must have to spare: real heads differ by a third."""
MOST_HEADS: Final = 4
WIDEST: Final = radians(75.0)
"""Beam angle beyond which a head floods rather than throws. Our own choice: frosted lenses are below it, panels above."""


@dataclass(frozen=True)
class _Setting:
    """A row of the catalogue as it can be set; `gain`: what its gel passes."""

    head: HeadRow
    output: HeadOutput
    flood: float | None
    lens: str | None
    gel: str | None
    kelvin: float | None
    gain: float


@dataclass(frozen=True)
class _Framed:
    """Settings (n,) before a frame: their index, metres to it, lumens that meet it, axial candela, all gelled; and the
    share of the cloth that counts as evenly lit."""

    index: NDArray[np.intp]
    away: Floats
    lumens: Floats
    axial: Floats
    even: Floats


class Stock:
    """All heads that can play a moon, at every setting, gelled for a colour temperature; asked again and again."""

    def __init__(self, catalogue: Catalogue, kelvin: float) -> None:
        self.catalogue, self.kelvin = catalogue, kelvin
        self.settings = tuple(
            setting
            for row in catalogue.heads.values()
            if _serves(row)
            for setting in self._settings(row)
            if setting.output.beam is not None and setting.output.beam <= WIDEST
        )

    def _settings(self, row: HeadRow) -> list[_Setting]:
        gel, kelvin, gain = self._coloured(row)
        if row.photometry is not None:
            return [_Setting(row, row_output(row), None, None, gel, kelvin, gain)]
        found = []
        for lens in row.lenses or ("",):
            focuses = row.output(lens or None).spot is not None
            for flood in FLOODS if focuses else (None,):
                output = row_output(row, flood=1.0 if flood is None else flood, lens=lens or None)
                found.append(_Setting(row, output, flood, lens or None, gel, kelvin, gain))
        return found

    def _coloured(self, row: HeadRow) -> tuple[str | None, float | None, float]:
        """The gel, or the kelvin that it is set to, that brings it nearest; and what of its light is left."""
        if row.kelvins is not None and row.kelvins[0] <= self.kelvin <= row.kelvins[1]:
            return None, 50.0 * round(self.kelvin / 50.0), 1.0
        gel, gain = nearest_gel(row.lamp, row.kelvin, self.kelvin, tuple(self.catalogue.gels.values()))
        return gel, None, gain

    @cached_property
    def candela(self) -> Floats:
        """Axial (n,), of every setting, gelled."""
        return np.array([one.output.candela * one.gain for one in self.settings])

    @cached_property
    def beams(self) -> Floats:
        """Beam angles (n,), radians."""
        return np.array([one.output.beam or WIDEST for one in self.settings])

    @cached_property
    def fields(self) -> Floats:
        """Field angles (n,), radians."""
        return np.array([one.output.field or pi for one in self.settings])

    @cached_property
    def most(self) -> Floats:
        """Stops (n,) that each can be brought down by wire and dimming."""
        return np.array(
            [(2.0 if _takes_wire(one.head) else 0.0) + DIMS[one.head.dims or "no"] for one in self.settings]
        )

    @cached_property
    def watts(self) -> Floats:
        return np.array([one.head.watts for one in self.settings])

    @cached_property
    def weights(self) -> Floats:
        """Kilograms (n,)."""
        return np.array([UNWEIGHED if one.head.weight is None else one.head.weight for one in self.settings])

    def bare(
        self, lux: float, throw: float, *, covers: float, wide: float, lift: LiftRow, most: int = 2
    ) -> list[Unit]:
        """Bare units for so many lux at a throw: the least costly first, each of another lamp.

        `covers`: radians that the beam must take in, the cast; `wide`: what it should, the set. One head, else as
        many of the strongest as it takes, up to `MOST_HEADS`.
        """
        for count in range(1, MOST_HEADS + 1):
            over = np.log2(np.maximum(count * self.candela / (lux * throw**2), 1e-9))
            fits = (over >= SPARE) & (over <= self.most) & (self.beams >= covers)
            fits &= count * self.weights <= lift.carries
            chosen = self._cheapest(np.flatnonzero(fits), over, wide, count, most)
            if chosen:
                return [self._unit(self.settings[i], count, float(over[i])) for i in chosen]
        return []

    def strongest(self, throw: float, *, covers: float, lift: LiftRow) -> tuple[float, str]:
        """The most lux that bare heads can be counted on for at a throw, and of how many of which, in words."""
        best, words = 0.0, ""
        for count in range(1, MOST_HEADS + 1):
            fits = np.flatnonzero((self.beams >= covers) & (count * self.weights <= lift.carries))
            if len(fits):
                i = int(fits[np.argmax(self.candela[fits])])
                lux = count * float(self.candela[i]) / throw**2 / 2.0**SPARE
                if lux > best:
                    best, words = lux, self._unit(self.settings[i], count, SPARE).words
        return best, words

    def _cheapest(
        self, fits: NDArray[np.intp], over: Floats, wide: float, count: int, most: int
    ) -> list[int]:
        cost = effort(count * self.watts[fits], count) + 0.6 * np.log2(
            np.maximum(wide / self.fields[fits], 1.0)
        )
        chosen: list[int] = []
        for i in fits[np.argsort(cost + 0.05 * over[fits], kind="stable")]:
            lamps = {self.settings[j].head.lamp for j in chosen}
            if self.settings[i].head.lamp not in lamps and len(chosen) < most:
                chosen.append(int(i))
        return chosen

    def soft(
        self, lux: float, throw: float, *, lift: LiftRow, height: float, up: float, every_cloth: bool = False
    ) -> list[Unit]:
        """Units through each frame that goes there: of each size the one that costs least, or, with `every_cloth`, of each
        size and cloth. `up`: radians of elevation.
        """
        found = []
        for feet in FRAMES:
            side, ways = feet * FOOT, self._framed[feet]
            if not len(ways.index):
                continue
            # Far enough off for the throw, and where something holds it.
            weights = self.weights[ways.index]
            on_lift = (not lift.stands_below) & (side <= lift.frame) & (ways.away <= HELD_OUT)
            on_lift &= weights + frame_kg(side) <= lift.carries
            largest = lift.frame if lift.stands_below else STANDS_CARRY
            on_stands = (side <= largest + 0.01) & stands(side, height, ways.away, up)
            goes = (ways.away <= throw / 3.0) & (weights <= lift.carries) & (on_lift | on_stands)
            units: list[tuple[float, Unit]] = []
            for cloth in (self.catalogue.cloths[name] for name in CLOTHS if name in self.catalogue.cloths):
                axial = ways.axial / (1.0 + (2.355 * np.radians(cloth.spread) / self.beams[ways.index]) ** 2)
                gives = (
                    cloth.diffuse * ways.lumens / (pi * np.maximum(throw - ways.away, 0.1) ** 2)
                    + cloth.direct * axial / throw**2
                )
                over = np.log2(np.maximum(gives / lux, 1e-9))
                fits = np.flatnonzero(goes & (over >= SPARE) & (over <= self.most[ways.index]))
                if not len(fits):
                    continue
                cost = effort(self.watts[ways.index[fits]], 1) + 0.05 * over[fits]
                i = int(fits[np.argmin(cost)])
                unit = replace(
                    self._unit(self.settings[ways.index[i]], 1, float(over[i])),
                    size_m=side,
                    cloth=cloth.name,
                    frame_m=side,
                    away=float(ways.away[i]),
                    held=ON_LIFT if on_lift[i] else ON_STANDS,
                    direct=float(cloth.direct * axial[i] / throw**2 / gives[i]),
                    spread=radians(cloth.spread),
                    even=float(ways.even[i]),
                    passes=float(gives[i] * throw**2 / ways.axial[i]),
                )
                units.append((float(cost.min()), unit))
            if units and not every_cloth:
                units = [min(units, key=lambda one: round(one[0], 2))]
            found += [unit for _, unit in units]
        return found

    @cached_property
    def _framed(self) -> dict[int, _Framed]:
        """For each side of a frame, feet, which settings fill it, from where, and what of their light meets it."""
        found = {}
        for feet in FRAMES:
            side, rows = feet * FOOT, []
            for i, one in enumerate(self.settings):
                beam, field = one.output.beam, one.output.field
                if (
                    beam is None
                    or field is None
                    or one.output.photometry is not None
                    or one.flood not in (None, 1.0)
                ):
                    continue
                # Where the edge of the beam meets that of the frame, it is filled.
                away = round(float(np.clip(0.5 * side / tan(0.5 * min(beam, 2.0)), 0.8, 6.0)), 1)
                edge = atan(side / sqrt(pi) / away)
                caught = within(beam, field, edge) * self.candela[i]
                rows.append((i, away, caught, self.candela[i], filled(beam, field, edge)))
            index, away_m, lumens, axial, even = np.array(rows, np.float64).reshape(-1, 5).T
            found[feet] = _Framed(index.astype(np.intp), away_m, lumens, axial, even)
        return found

    def _unit(self, one: _Setting, count: int, over: float) -> Unit:
        scrims: tuple[str, ...] = ()
        if _takes_wire(one.head):
            # As little wire as leaves the dimming within what the head does well.
            scrims = next(
                some
                for k, some in enumerate(SCRIMS)
                if over - 0.5 * k <= DIMS[one.head.dims or "no"] or k == 4
            )
        size = one.output.aperture or USUAL_APERTURE
        if one.output.size is not None:
            size = sqrt(one.output.size[0] * one.output.size[1])
        return Unit(
            one.head,
            one.output,
            one.flood,
            one.lens,
            count,
            one.output.candela * one.gain,
            one.gel,
            one.kelvin,
            scrims,
            over - 0.5 * SCRIMS.index(scrims),
            size,
            source_m=size,
        )


def nearest_gel(
    lamp: str | None, kelvin: float, wanted: float, rows: Sequence[GelRow]
) -> tuple[str | None, float]:
    """The one conversion gel that brings a lamp nearest to a colour temperature, if any helps, and the share it passes."""
    bare = lamp_spectrum(lamp, kelvin)
    best, name, gain = abs(read_xy(xy_of_spectrum(bare)).mired - 1e6 / wanted), None, 1.0
    for row in rows:
        if row.bands or row.green is not None or row.density is not None or row.mired == 0.0:
            continue
        passes = transmission(row)
        left = abs(read_xy(xy_of_spectrum(bare * passes)).mired - 1e6 / wanted)
        # A gel is worth its loss where it brings the light nearer by what an eye sees.
        if left < best - 8.0:
            best, name, gain = left, row.name, 2.0 ** -stops_lost(bare, passes)
    return name, gain


def _serves(row: HeadRow) -> bool:
    """Whether a head can play a moon: it throws a beam one way, does not pulse, and can be turned down."""
    throws = row.shape != "ball" and row.watts >= LEAST_WATTS
    return throws and (row.flicker or 0.0) <= PULSES and row.dims in DIMS and row.dims != "no"


def _takes_wire(row: HeadRow) -> bool:
    """Heads with a hot lamp have a slot for scrims; lamps of LED are dimmed."""
    return row.shape == "beam" and row.dims != "itself"
