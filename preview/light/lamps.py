"""Lamps: what light is made with, as a spectrum at a kelvin; a filament warms as it is dimmed."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from preview.light.colour import COOLEST_MIRED, WARMEST_MIRED, chromaticity
from preview.light.colour_reading import read_xy
from preview.light.mixing import mixed_to_xy
from preview.light.shaping import brought_to
from preview.light.spectrum import (
    daylight,
    mixture_along_uv,
    of_luminance_one,
    radiator,
    table,
    white,
    xy_of_spectrum,
)
from preview.script.models.practicals import Practical
from preview.trade.catalogue import LampRow, spectrum

Floats = NDArray[np.float64]

LIGHT_BY_VOLTAGE, KELVIN_BY_VOLTAGE = 3.4, 0.42
"""Exponents of an incandescent lamp: light as V^3.4, colour temperature as V^0.42.

Source: the rerating laws as an encyclopaedia's article 'Lamp rerating' gives them (3.4 to 3.5 and 0.42); that they are
those of the IES Lighting Handbook is from memory. Halogen lamps follow them nearly.
"""


def warmed(kelvin: float, *, level: float) -> float:
    """Colour temperature of a filament of `kelvin` at full that is dimmed to a share of its light; 1000 K at least."""
    if level >= 1.0:
        return kelvin
    return max(1e6 / WARMEST_MIRED, kelvin * level ** (KELVIN_BY_VOLTAGE / LIGHT_BY_VOLTAGE))


def is_filament(lamp: str | None) -> bool:
    return lamp is not None and spectrum(lamp).filament


def is_settable(lamp: str | None) -> bool:
    """Whether the lamp has a spectrum at any kelvin, and not one colour of its own."""
    return lamp is None or spectrum(lamp).column is None


def practical_lamp(practical: Practical, usual: LampRow) -> str | None:
    """The name of a practical's spectrum; None for a plain light of its kelvin.

    One that is given a kelvin and no lamp is plain, if its kind's own lamp has one colour.
    """
    if practical.lamp is not None or practical.kelvin is None or is_settable(usual.lamp):
        return practical.lamp or usual.lamp
    return None


def practical_kelvin(practical: Practical, usual: LampRow) -> float:
    """Rated kelvin as given; else its kind's, or its lamp's where the kind's only names a colour of one lamp."""
    if practical.kelvin is not None:
        return practical.kelvin
    if practical.lamp is not None and not is_settable(usual.lamp):
        return spectrum(practical.lamp).kelvin
    return usual.kelvin


def practical_lumens(practical: Practical, usual: LampRow) -> float | None:
    """Lumens as given, or that its watts make, or its kind's; None where a luminance says how bright it is."""
    if practical.lumens is not None or practical.luminance is not None:
        return practical.lumens
    lamp = practical_lamp(practical, usual)
    efficacy = None if lamp is None else spectrum(lamp).efficacy
    if practical.watts is None:
        return usual.lumens
    if efficacy is not None and (usual.lumens is None or lamp != usual.lamp):
        return practical.watts * efficacy
    if usual.lumens is None or usual.watts is None:
        return usual.lumens
    return usual.lumens * practical.watts / usual.watts


@lru_cache(maxsize=256)
def lamp_spectrum(lamp: str | None, kelvin: float) -> Floats:
    """Spectrum (81,) of luminance 1 of a lamp by its name (None: plain white) at a kelvin within 1000 to 25 000.

    A lamp of one colour of its own has that, whatever the kelvin. KeyError for an unknown name.
    """
    row = spectrum("white" if lamp is None else lamp)
    kelvin = float(np.clip(kelvin, 1e6 / WARMEST_MIRED, 1e6 / COOLEST_MIRED))
    if row.column is not None:
        return of_luminance_one(table(row.column))
    if row.emitters:
        return mixed_to_xy(row, chromaticity(cct_k=kelvin)).spectrum
    if row.shapes:
        return of_luminance_one(brought_to(_shape(row.shapes, kelvin), chromaticity(cct_k=kelvin)))
    return {"radiator": radiator, "daylight": daylight, "white": white}[row.law or "white"](kelvin)


def _shape(columns: tuple[str, ...], kelvin: float) -> Floats:
    """The mixture, along u, v, of the two columns whose colour temperatures are on both sides; the last beyond them."""
    lights = sorted(
        ((read_xy(xy_of_spectrum(table(column))).mired, column) for column in columns), reverse=True
    )
    mired = 1e6 / kelvin
    for (warmer, first), (cooler, second) in pairwise(lights):
        if cooler <= mired <= warmer:
            return mixture_along_uv(table(first), table(second), (warmer - mired) / (warmer - cooler))
    return table(lights[0][1] if mired > lights[0][0] else lights[-1][1])
