"""Filters: gels as transmissions by wavelength, and what all the gels, shifts and scrims of a fixture do together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preview.light.colour import COOLEST_MIRED, WARMEST_MIRED, chromaticity
from preview.light.colour_reading import read_xy
from preview.light.gel_files import read_gel
from preview.light.shaping import descended, green_filter, shape_towards, tinting, window
from preview.light.spectrum import luminous_share, mired_filter, white, xy_of_spectrum
from preview.script.models.through import Through
from preview.trade.catalogue import Catalogue, GelRow, scrim

Floats = NDArray[np.float64]

SHOULDER = 6.0
"""How sharply the transmission of a conversion gel levels off where it is clear. Our own choice."""
UNNOTICED = 0.02
"""Mireds, thousandths of Duv and stops that a made gel may miss its row by."""


@dataclass(frozen=True)
class Filtered:
    """`gain`: share of the lamp's light that passes; `spectrum` (81,): what passes, of any luminance.

    `is_clear`: nothing of it changes the colour.
    """

    gain: float
    spectrum: Floats
    is_clear: bool


def filtered(spectrum: Floats, through: Sequence[Through], catalogue: Catalogue, folder: Path) -> Filtered:
    """A lamp's spectrum (81,) behind all gels, shifts and scrims of a fixture, whatever their order.

    A `shift` has no loss, since it stands for a lamp that is so. Files of gels are in `folder`.
    """
    wire, gels, shift = 1.0, np.ones_like(spectrum), 0.0
    for thing in through:
        if isinstance(thing.gel, str):
            gels = gels * transmission(catalogue.gels[thing.gel])
        elif thing.gel is not None:
            gels = gels * read_gel(folder / thing.gel.file)
        elif thing.shift is not None:
            shift += thing.shift
        elif thing.scrim is not None:
            row = scrim(thing.scrim)
            wire *= 1.0 - row.covers * (1.0 - 2.0**-row.stops)
    passed = spectrum * gels
    if not passed.any():
        return Filtered(0.0, spectrum, is_clear=True)
    if shift:
        passed = passed * shift_filter(shift, of_k=read_xy(xy_of_spectrum(spectrum)).kelvin)
    is_clear = not shift and all(thing.gel is None for thing in through)
    return Filtered(wire * luminous_share(spectrum, gels), passed, is_clear)


@lru_cache(maxsize=512)
def transmission(row: GelRow) -> Floats:
    """Transmission (81,), 0 to 1, read-only, of a gel of the catalogue."""
    if row.density is not None:
        passes = np.full_like(white(row.design), 10.0**-row.density)
    elif row.bands:
        windows = [share * window(start, end, row.edge) for start, end, share in row.bands]
        passes = np.clip(row.floor + np.sum(windows, axis=0), 0.0, 1.0)
    elif row.green is not None:
        passes = green_filter(row.green)
        if row.stops is not None:
            passes = np.minimum(passes * 2.0**-row.stops / luminous_share(white(row.design), passes), 1.0)
    else:
        passes = _conversion(row)
    passes.flags.writeable = False
    return passes


def stops_lost(spectrum: Floats, passes: Floats) -> float:
    """What a transmission takes from this light, in stops."""
    return float(-np.log2(luminous_share(spectrum, passes)))


@lru_cache(maxsize=256)
def shift_filter(mired: float, *, of_k: float) -> Floats:
    """Wien's filter, as strong as it takes to move a plain light of a temperature by so many mireds exactly."""
    plain, strength = white(of_k), mired
    wanted = np.clip(1e6 / of_k + mired, COOLEST_MIRED, WARMEST_MIRED)
    for _ in range(12):
        missing = wanted - read_xy(xy_of_spectrum(plain * mired_filter(strength))).mired
        strength += float(missing)
        if abs(missing) < 1e-4:
            break
    return mired_filter(strength)


def _conversion(row: GelRow) -> Floats:
    """Wien's filter, greener by the row's Duv, levelled off where it would pass more than all.

    So strong that a plain lamp of the row's design comes out with its shift and loss. A row that no filter can have
    (less loss than such a shift takes) keeps its colour and its loss, and passes more than all somewhere.
    """
    lamp, stops = white(row.design), row.stops or 0.0
    bare = read_xy(xy_of_spectrum(lamp))
    ideal = read_xy(xy_of_spectrum(lamp * shift_filter(row.mired, of_k=row.design)))
    wanted = np.array([bare.mired + row.mired, 1e3 * (ideal.duv + row.duv), stops])

    def made(warmth: float, green: float, height: float) -> Floats:
        rising = 2.0**height * mired_filter(warmth)
        levelled = rising / (1.0 + rising**SHOULDER) ** (1.0 / SHOULDER)
        return np.asarray(levelled * green_filter(green))

    def gap(state: Floats) -> Floats:
        passes = made(*state)
        reading = read_xy(xy_of_spectrum(lamp * passes))
        return np.array([reading.mired, 1e3 * reading.duv, stops_lost(lamp, passes)]) - wanted

    state, left = descended(gap, np.array([row.mired, 0.0, 0.2 - stops]), sides=np.array([1.0, 0.002, 0.02]))
    if np.abs(left).max() < UNNOTICED:
        return made(*state)
    reached = float(np.clip(bare.mired + row.mired, COOLEST_MIRED, WARMEST_MIRED))
    plain = read_xy(chromaticity(cct_k=1e6 / reached)).duv
    wish = chromaticity(cct_k=1e6 / reached, duv=ideal.duv + row.duv - plain)
    passes = tinting(*shape_towards(lamp, wish))
    return passes * 2.0**-stops / luminous_share(lamp, passes)
