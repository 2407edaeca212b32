"""Colour spaces: the linear RGB spaces in use, made from the primaries and white that define them.

Chromaticities are CIE 1931 x, y; XYZ has the white at Y = 1. Source: ITU-R BT.709-6 item 1.4 (Rec.709);
SMPTE ST 2065-1 and S-2014-004 (AP1, ACES white). Matrices by SMPTE RP 177 (normalised primary matrix).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
"""XYZ to sharpened cone responses. Source: Lam 1985, as in CIE 159 and ICC.1 annex E."""


@dataclass(frozen=True)
class Space:
    """`to_xyz`, `from_xyz` (3, 3); `white` xy; `luminance` (3,): weights that give Y of a linear triple."""

    white: tuple[float, float]
    to_xyz: Floats
    from_xyz: Floats

    @property
    def luminance(self) -> Floats:
        weights: Floats = self.to_xyz[1]
        return weights


def xyz_of(xy: tuple[float, float] | Floats) -> Floats:
    """XYZ (..., 3) with Y = 1 of chromaticities (..., 2); y > 0."""
    pair = np.asarray(xy, dtype=np.float64)
    x, y = pair[..., 0], pair[..., 1]
    return np.stack([x / y, np.ones_like(x), (1.0 - x - y) / y], axis=-1)


def space(primaries: Floats, white: tuple[float, float]) -> Space:
    """The linear space of primaries (3, 2), rows red, green, blue."""
    columns = xyz_of(primaries).T
    to_xyz = columns * np.linalg.solve(columns, xyz_of(white))
    return Space(white, to_xyz, np.linalg.inv(to_xyz))


def adaptation(source: Floats, target: Floats, *, sharpening: Floats = BRADFORD) -> Floats:
    """The von Kries matrix (3, 3) from XYZ seen under white `source` (3,) to that under `target` (3,)."""
    gains = (sharpening @ target) / (sharpening @ source)
    return np.asarray(np.linalg.solve(sharpening, gains[:, None] * sharpening))


def adaptation_between(source: tuple[float, float], target: tuple[float, float]) -> Floats:
    """`adaptation` between whites given as xy, by Bradford."""
    return adaptation(xyz_of(source), xyz_of(target))


REC709 = space(np.array([[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]]), (0.3127, 0.3290))
ACESCG = space(np.array([[0.713, 0.293], [0.165, 0.830], [0.128, 0.044]]), (0.32168, 0.33767))
