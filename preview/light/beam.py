"""Beam: how a head's intensity falls away from its axis, with the lumens that this makes.

The profile meets both definitions of the trade exactly: half the axial intensity at the edge of the beam angle, a
tenth at the edge of the field angle (full angles, radians here).

    I(a) = I0 exp(-ln 2 (2a / beam)^p),   p = ln(log2 10) / ln(field / beam)

Source: definitions of beam and field angle, ANSI/IES LS-1; centre-beam intensity taken for the maximum, as CIE and
ANSI C78.379 do. The shape between is our own choice: p = 2 is a Gaussian, larger p a flatter top.
"""

from __future__ import annotations

from functools import lru_cache
from math import atan, log, log2, pi, sqrt

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]

PANELS = 20
LAMBERTIAN_BEAM = 2.0 * pi / 3.0
"""Full angle at half intensity of an even flat source: 120 degrees."""


def power(*, beam: float, field: float) -> float:
    """The exponent p of the profile; ValueError unless 0 < beam < field."""
    if not 0.0 < beam < field:
        raise ValueError("a beam angle must be more than nothing and less than the field angle")
    return log(log2(10.0)) / log(field / beam)


def relative_intensity(cos_angle: Array, *, beam: float, field: float) -> Array:
    """Intensity against the axis (...), float32, for cosines of the angle off it; none backwards."""
    exponent = np.float32(power(beam=beam, field=field))
    angle = np.arccos(np.clip(cos_angle, 0.0, 1.0).astype(np.float32, copy=False))
    relative = np.exp2(-((angle * np.float32(2.0 / beam)) ** exponent))
    return np.where(cos_angle > 0.0, relative, np.float32(0.0)).astype(np.float32, copy=False)


@lru_cache(maxsize=1)
def _gauss() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Nodes and weights of a quadrature from -1 to 1: Gauss's twenty in each of twenty panels."""
    nodes, weights = np.polynomial.legendre.leggauss(PANELS)
    middles = (2.0 * np.arange(PANELS) + 1.0) / PANELS - 1.0
    return (middles[:, None] + nodes / PANELS).ravel(), np.tile(weights / PANELS, PANELS)


@lru_cache(maxsize=256)
def lumens_per_candela(*, beam: float, field: float) -> float:
    """Lumens of a beam whose axial intensity is one candela: 2 pi times the integral of I sin a, to 90 degrees."""
    exponent = power(beam=beam, field=field)
    # Beyond 50 halvings nothing is left; a narrow beam must not fall between the nodes.
    edge = min(pi / 2.0, 0.5 * beam * 50.0 ** (1.0 / exponent))
    nodes, weights = _gauss()
    # Squaring the variable gathers nodes at the axis, where a profile with p < 1 has its cusp.
    step = 0.5 * (nodes + 1.0)
    angle = edge * step**2
    intensity = np.exp2(-((2.0 * angle / beam) ** exponent))
    return float(2.0 * pi * np.sum(weights * intensity * np.sin(angle) * edge * step))


def lumens(*, candela: float, beam: float, field: float) -> float:
    """Lumens in the whole beam of this axial intensity."""
    return candela * lumens_per_candela(beam=beam, field=field)


def candela_of_lumens(lumens: float, *, beam: float, field: float) -> float:
    """Axial candela of a beam that holds so many lumens."""
    return lumens / lumens_per_candela(beam=beam, field=field)


def candela_of_reading(*, lux: float, distance: float) -> float:
    """Axial candela from an incident reading at a distance in metres, far enough for the inverse square."""
    return lux * distance**2


def lambertian_lumens(candela: float) -> float:
    """Lumens to one side of an even flat source: pi times its axial candela."""
    return pi * candela


def lambertian_candela(lumens: float) -> float:
    """Axial candela of an even flat source."""
    return lumens / pi


def panel_lux(*, candela: float, size: tuple[float, float], distance: float) -> float:
    """Lux before the middle of an even flat rectangle of this axial candela, `size` and `distance` in metres.

    Its configuration factor from an element that faces it, four corners together, times pi times its luminance.
    Source: J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors, section B.
    """
    x, y = size[0] / (2.0 * distance), size[1] / (2.0 * distance)
    far_x, far_y = sqrt(1.0 + x * x), sqrt(1.0 + y * y)
    factor = (2.0 / pi) * (x / far_x * atan(y / far_x) + y / far_y * atan(x / far_y))
    return pi * candela / (size[0] * size[1]) * factor


def ball_candela(lumens: float) -> float:
    """Candela, the same all round, of an even ball."""
    return lumens / (4.0 * pi)
