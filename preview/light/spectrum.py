"""Spectrum: light by wavelength, 380 to 780 nm by 5 nm, relative; what an eye makes of it; the plain families.

A spectrum is (81,) float64 of power per nm. Sums with the observer are plain, since both end near nothing.
Source: CIE 15:2004 for the observer, the daylight series and the grid; Planck's law with c2 = 0.014388 m K (ITS-90).
"""

from __future__ import annotations

from functools import cache, lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preview.light.colour import DAYLIGHT_FROM_MIRED, RADIATOR_FROM_MIRED, daylight_xy

Floats = NDArray[np.float64]

TABLE = Path(__file__).with_name("spectra.csv")
WAVELENGTHS: Floats = np.arange(380.0, 781.0, 5.0)
SECOND_RADIATION_CONSTANT = 0.014388
"""c2, m K, ITS-90."""
PER_MIRED = SECOND_RADIATION_CONSTANT * 1e-6 / 1e-9
"""nm: one mired of Wien's law multiplies a spectrum by exp(-this / wavelength)."""


def table(name: str) -> Floats:
    """A column of spectra.csv (81,), read-only; KeyError for one that is not there."""
    return _table()[name]


@cache
def _table() -> dict[str, Floats]:
    with TABLE.open(encoding="utf-8") as file:
        header = next(line for line in file if not line.startswith("#"))
        values = np.loadtxt(file, delimiter=",", dtype=np.float64)
    values.flags.writeable = False
    return dict(zip(header.strip().split(","), values.T, strict=True))


@cache
def observer() -> Floats:
    """(81, 3): what X, Y and Z each take of a wavelength."""
    return np.stack([table("x"), table("y"), table("z")], axis=1)


def xyz_of_spectrum(spectrum: Floats) -> Floats:
    """X, Y, Z (..., 3) of spectra (..., 81), in units of the sum over the grid."""
    return np.asarray(spectrum @ observer())


def xy_of_spectrum(spectrum: Floats) -> tuple[float, float]:
    """The chromaticity of a spectrum (81,) that is not dark."""
    xyz = xyz_of_spectrum(spectrum)
    x, y = (xyz[:2] / xyz.sum()).tolist()
    return x, y


def luminous_share(spectrum: Floats, transmission: Floats) -> float:
    """Luminous transmittance of a filter for this light: the share of its lumens that passes."""
    return float((spectrum * transmission) @ table("y") / (spectrum @ table("y")))


@lru_cache(maxsize=256)
def radiator(cct_k: float) -> Floats:
    """Planck's law, luminance 1."""
    wavelengths = WAVELENGTHS / 560.0
    power = wavelengths**-5 / np.expm1(SECOND_RADIATION_CONSTANT / (WAVELENGTHS * 1e-9 * cct_k))
    return of_luminance_one(power)


@lru_cache(maxsize=256)
def daylight(cct_k: float) -> Floats:
    """The CIE daylight series, luminance 1; 4000 to 25 000 K. Source: CIE 15:2004 equations 3.6 to 3.8."""
    x, y = daylight_xy(cct_k)
    below = 0.0241 + 0.2562 * x - 0.7341 * y
    first = (-1.3515 - 1.7703 * x + 5.9114 * y) / below
    second = (0.0300 - 31.4424 * x + 30.0717 * y) / below
    return of_luminance_one(np.maximum(table("s0") + first * table("s1") + second * table("s2"), 0.0))


@lru_cache(maxsize=256)
def white(cct_k: float) -> Floats:
    """A plain light of this temperature, as preview/light/colour.py has its chromaticity, luminance 1."""
    mired = 1e6 / cct_k
    share = (RADIATOR_FROM_MIRED - mired) / (RADIATOR_FROM_MIRED - DAYLIGHT_FROM_MIRED)
    if share <= 0.0:
        return radiator(cct_k)
    if share >= 1.0:
        return daylight(cct_k)
    return mixture_along_uv(radiator(cct_k), daylight(cct_k), share)


def mixture_along_uv(first: Floats, second: Floats, share: float) -> Floats:
    """Two lights mixed so that u, v (CIE 1960) lie `share` of the way from the first to the second; luminance 1."""
    # u, v are X, Y over X + 15 Y + 3 Z: that sum is what a light weighs with in a mixture.
    weighs = np.array([1.0, 15.0, 3.0])
    one, other = first / (xyz_of_spectrum(first) @ weighs), second / (xyz_of_spectrum(second) @ weighs)
    return of_luminance_one((1.0 - share) * one + share * other)


def mired_filter(mired: float) -> Floats:
    """The ideal filter that shifts a radiator by so many mireds, 1 at 560 nm. Source: Wien's law."""
    return np.exp(-PER_MIRED * mired * (1.0 / WAVELENGTHS - 1.0 / 560.0))


def of_luminance_one(power: Floats) -> Floats:
    """The spectrum scaled so that its Y is 1, read-only."""
    spectrum: Floats = power / (power @ table("y"))
    spectrum.flags.writeable = False
    return spectrum
