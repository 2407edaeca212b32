"""Colour of a light: from a colour temperature to a chromaticity, and from that to linear ACEScg.

Lights are absolute: ACEScg here is the light's own chromaticity in AP1 primaries, not adapted to any white, so a
light of the ACES white (near daylight of 6000 K) is 1, 1, 1. The camera's balance is applied much later.

Below 4000 K a light is a full radiator, above 5000 K it is of the CIE daylight series, between them a mixture
along the line of constant temperature. `duv` is the distance from the full radiator in CIE 1960 u, v, positive
towards green.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from preview.light.make_locus import TABLE
from preview.light.spaces import ACESCG, xyz_of

Floats = NDArray[np.float64]

COOLEST_MIRED, WARMEST_MIRED = 40.0, 1000.0
"""25 000 K, where the daylight series ends, to 1000 K."""
RADIATOR_FROM_MIRED, DAYLIGHT_FROM_MIRED = 250.0, 200.0
POINT_DUV = 0.001
"""Duv of one point of a camera's tint or of a head's green."""


def chromaticity(*, cct_k: float, duv: float = 0.0) -> tuple[float, float]:
    """CIE 1931 x, y of a light of this colour temperature (1000 to 25 000 K; beyond, the nearest).

    Source: Planck's law; CIE 15:2004 section 3.1 for the daylight series; Duv as ANSI C78.377 defines it.
    """
    return xy_of(_uv(1e6 / cct_k) + duv * _towards_green(1e6 / cct_k))


def rgb(xy: tuple[float, float]) -> tuple[float, float, float]:
    """Linear ACEScg of luminance 1 of a chromaticity; one outside AP1 is brought to its edge."""
    triple = np.maximum(ACESCG.from_xyz @ xyz_of(xy), 0.0)
    red, green, blue = (triple / (ACESCG.luminance @ triple)).tolist()
    return red, green, blue


def _uv(mired: float) -> Floats:
    """CIE 1960 u, v (2,) of a light without Duv of its own choosing."""
    mired = float(np.clip(mired, COOLEST_MIRED, WARMEST_MIRED))
    daylight = (RADIATOR_FROM_MIRED - mired) / (RADIATOR_FROM_MIRED - DAYLIGHT_FROM_MIRED)
    if daylight <= 0.0:
        return _radiator(mired)
    if daylight >= 1.0:
        return uv_of(daylight_xy(1e6 / mired))
    return (1.0 - daylight) * _radiator(mired) + daylight * uv_of(daylight_xy(1e6 / mired))


def daylight_xy(cct_k: float) -> tuple[float, float]:
    """x, y of the CIE daylight series, 4000 to 25 000 K. Source: CIE 15:2004 equations 3.3 to 3.5."""
    if cct_k <= 7000.0:
        x = -4.6070e9 / cct_k**3 + 2.9678e6 / cct_k**2 + 0.09911e3 / cct_k + 0.244063
    else:
        x = -2.0064e9 / cct_k**3 + 1.9018e6 / cct_k**2 + 0.24748e3 / cct_k + 0.237040
    return x, -3.000 * x**2 + 2.870 * x - 0.275


def _radiator(mired: float) -> Floats:
    table = locus()
    return np.array([np.interp(mired, table[:, 0], table[:, axis]) for axis in (1, 2)])


def _towards_green(mired: float) -> Floats:
    """Unit step in u, v square to the full radiators' locus, upwards."""
    mired = float(np.clip(mired, COOLEST_MIRED, WARMEST_MIRED))
    du, dv = _radiator(mired + 2.0) - _radiator(mired - 2.0)
    return np.array([-dv, du]) / np.hypot(du, dv)


def uv_of(xy: tuple[float, float]) -> Floats:
    """CIE 1960 u, v (2,) of a chromaticity x, y."""
    x, y = xy
    return np.array([4.0 * x, 6.0 * y]) / (-2.0 * x + 12.0 * y + 3.0)


def xy_of(uv: Floats) -> tuple[float, float]:
    """The chromaticity x, y of CIE 1960 u, v (2,)."""
    u, v = uv.tolist()
    below = 2.0 * u - 8.0 * v + 4.0
    return 3.0 * u / below, 2.0 * v / below


@cache
def locus() -> Floats:
    """Rows of mired, u, v (CIE 1960) of full radiators, 4 mired apart, a little beyond 1000 to 25 000 K."""
    return np.loadtxt(TABLE, delimiter=",", comments="#", dtype=np.float64)
