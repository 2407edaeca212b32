"""Colour reading: what a colour meter says of light: colour temperature, Duv, mireds, and in words.

The colour temperature is that of the full radiator nearest in CIE 1960 u, v, Duv the distance from it, positive
towards green. Source: CIE 15:2004 section 9.5; ANSI C78.377 for the sign of Duv.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, copysign, degrees, hypot

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preview.light.colour import POINT_DUV, chromaticity, locus, uv_of
from preview.light.spaces import ACESCG, REC709, xyz_of

Floats = NDArray[np.float64]

FARTHEST_DUV = 0.05
"""Farther from the locus a light has no colour temperature. Source: CIE 15:2004 section 9.5."""
COOLEST_K, WARMEST_K = 25_000.0, 1000.0

AS_BALANCED_MIRED, AS_BALANCED_DUV = 5.0, 0.002
"""Nearer the balance nobody would put a gel in. Common practice, no source."""
GREEN_DUV, VERY_GREEN_DUV = 0.006, 0.015
"""From a quarter, and from three quarters of a full correction, a cast has its plain and its strong word."""

HUES = (
    (14.0, "red"),
    (28.0, "orange"),
    (48.0, "amber"),
    (92.0, "yellow"),
    (115.0, "yellow-green"),
    (160.0, "green"),
    (222.0, "cyan"),
    (272.0, "blue"),
    (290.0, "violet"),
    (312.0, "purple"),
    (350.0, "magenta"),
    (360.0, "red"),
)
"""Up to this angle (degrees, in CIE 1976 u', v' about the equal-energy white) a hue has this name.

Of wavelengths: red from 608 nm, orange 592, amber 584, yellow 571, yellow-green 562, green 508, cyan 485, blue 445.
Our own division; those of published charts differ by 5 to 10 nm.
"""


@dataclass(frozen=True)
class ColourReading:
    """`kelvin` within 1000 to 25 000, `mired` of it, `duv` positive towards green.

    `hue`: the colour's word where it has no colour temperature; its kelvin is then only the nearest.
    """

    kelvin: float
    duv: float
    mired: float
    hue: str | None = None


def read_colour(rgb: ArrayLike) -> ColourReading:
    """The reading of linear ACEScg (3,) of any luminance. ValueError for black and what is no light."""
    triple = np.asarray(rgb, dtype=np.float64)
    xyz = ACESCG.to_xyz @ triple
    if not np.isfinite(xyz).all() or xyz[1] <= 0.0 or xyz.sum() <= 0.0:
        raise ValueError("there is no light to read the colour of")
    return read_xy((float(xyz[0] / xyz.sum()), float(xyz[1] / xyz.sum())))


def read_xy(xy: tuple[float, float]) -> ColourReading:
    """The reading of a chromaticity, CIE 1931 x, y."""
    mired, duv = _nearest(uv_of(xy))
    kelvin = 1e6 / mired
    beyond = not WARMEST_K < kelvin < COOLEST_K
    return ColourReading(kelvin, duv, mired, hue_word(xy) if beyond or abs(duv) > FARTHEST_DUV else None)


def colour_words(reading: ColourReading, *, balance_k: float, tint: float = 0.0) -> str:
    """A reading against the camera's balance (kelvin, and tint in points): 'cool by 40 mired, green'.

    A cast is told against a plain light of the reading's own kelvin, so that neither daylight nor tungsten has one.
    """
    if reading.hue is not None:
        return f"{reading.hue}, no colour temperature"
    plain = read_xy(chromaticity(cct_k=reading.kelvin))
    warmth = _warmth(reading.mired - read_xy(chromaticity(cct_k=balance_k)).mired)
    cast = _cast(reading.duv - plain.duv - POINT_DUV * tint)
    return ", ".join(word for word in (warmth, cast) if word) or "on the balance"


def hue_word(xy: tuple[float, float]) -> str:
    """The plain name of a strong colour; `deep` where no screen shows it as strong, `pale` where it is weak."""
    x, y = xy
    below = -2.0 * x + 12.0 * y + 3.0
    angle = degrees(atan2(9.0 * y / below - 9.0 / 19.0, 4.0 * x / below - 4.0 / 19.0)) % 360.0
    name = next(word for end, word in HUES if angle <= end)
    screen = REC709.from_xyz @ xyz_of(xy)
    least = screen.min() / screen.max()
    return f"deep {name}" if least < 0.02 else f"pale {name}" if least > 0.4 else name


def _warmth(mired: float) -> str:
    if abs(mired) < AS_BALANCED_MIRED:
        return ""
    return f"{'warm' if mired > 0 else 'cool'} by {abs(mired):.0f} mired"


def _cast(duv: float) -> str:
    if abs(duv) < AS_BALANCED_DUV:
        return ""
    how = "a little " if abs(duv) < GREEN_DUV else "" if abs(duv) < VERY_GREEN_DUV else "very "
    return how + ("green" if duv > 0 else "magenta")


def _nearest(uv: Floats) -> tuple[float, float]:
    """Mired and signed distance of the nearest full radiator to u, v (2,): a parabola through the nearest rows."""
    table = locus()
    away = (table[:, 1] - uv[0]) ** 2 + (table[:, 2] - uv[1]) ** 2
    nearest = min(max(int(away.argmin()), 1), len(table) - 2)
    (_, u0, v0), (mired, u1, v1), (end, u2, v2) = table[nearest - 1 : nearest + 2].tolist()
    u, v = uv.tolist()
    slope_u, slope_v, bend_u, bend_v = (u2 - u0) / 2, (v2 - v0) / 2, u2 - 2 * u1 + u0, v2 - 2 * v1 + v0

    def place(at: float) -> tuple[float, float, float, float]:
        """From the light to the parabola, and along it, `at` rows past the nearest."""
        gap_u = u1 + slope_u * at + bend_u * at**2 / 2 - u
        gap_v = v1 + slope_v * at + bend_v * at**2 / 2 - v
        return gap_u, gap_v, slope_u + bend_u * at, slope_v + bend_v * at

    at = 0.0
    for _ in range(8):
        gap_u, gap_v, along_u, along_v = place(at)
        square = along_u**2 + along_v**2
        # Far inside the curve its bend would turn the step round.
        at -= (gap_u * along_u + gap_v * along_v) / max(square + gap_u * bend_u + gap_v * bend_v, square / 4)
        at = min(max(at, -1.0), 1.0)
    found = min(max(mired + at * (end - mired), 1e6 / COOLEST_K), 1e6 / WARMEST_K)
    gap_u, gap_v, along_u, along_v = place((found - mired) / (end - mired))
    # Towards warmer, green lies on the left: the step in u, v turned a quarter.
    side = along_v * gap_u - along_u * gap_v
    return found, copysign(hypot(gap_u, gap_v), side)
