"""Cornea: the small convex mirror at the front of an eye, and where in it a source is seen.

The cornea is taken for a sphere. Of an object of height h at a distance d before its surface it shows an upright image of
height h R / (2 d + R), a little less than R / 2 behind the surface: the mirror equation.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, pi, sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

RADIUS: Final = 7.8e-3
"""Metres, of the front of the cornea.

Source: the Gullstrand-Le Grand eye, as lecture notes on schematic eyes tabulate it."""
IRIS_RADIUS: Final = 11.7e-3 / 2.0
"""Metres, half the visible iris from limbus to limbus.

Source: F. Rüfer et al., White-to-white corneal diameter, Cornea 24(3), 2005: 11.71 mm on the mean of 743 eyes."""
INDEX: Final = 1.376
"""Of the cornea. Source: Gullstrand's eye, as tabulated in a dictionary of optometry. The film of tears is nearer 1.336,
and reflects a sixth less."""
EDGE: Final = asin(IRIS_RADIUS / RADIUS)
"""Radians from its middle at which the cornea ends, at the limbus."""
STEPS: Final = 12
"""Repetitions that find the place of reflection; each is nearer by the ratio of R to the distance."""


@dataclass(frozen=True)
class Cornea:
    """`centre` (3,) m of its sphere; `axis` (3,) unit, the way the eye looks."""

    centre: Floats
    axis: Floats

    def normals(self, sources: Floats, eye: Floats, *, distant: bool = False) -> Floats:
        """Unit normals (n, 3) at which the sphere shows `sources` (n, 3) m, or unit directions to distant ones,
        to an eye at (3,) m: there the angle from either is the same (Alhazen's problem)."""
        normal = _unit(_unit(sources if distant else sources - self.centre) + _unit(eye - self.centre))
        for _ in range(STEPS):
            place = self.centre + RADIUS * normal
            towards = sources if distant else _unit(sources - place)
            normal = _unit(towards + _unit(eye - place))
        return normal

    def shows(self, normals: Floats, eye: Floats) -> NDArray[np.bool_]:
        """Whether (n,) those places are on the cornea and on the side of an eye at (3,)."""
        place = self.centre + RADIUS * normals
        ahead = np.einsum("ij,ij->i", normals, _unit(eye - place)) > 0.0
        return np.asarray((normals @ self.axis >= np.cos(EDGE)) & ahead)

    def clock(self, normal: Floats, *, right: Floats, up: Floats) -> tuple[float, float]:
        """Hours (over 0, to 12) and share of the iris's radius, off the middle of the cornea, of a place of normal (3,), as
        a viewer with unit axes right and up (3,) sees it."""
        aside = normal - (normal @ self.axis) * self.axis
        share = RADIUS * float(np.linalg.norm(aside)) / IRIS_RADIUS
        hours = float(np.arctan2(aside @ right, aside @ up)) / (2.0 * pi) * 12.0 % 12.0
        return hours or 12.0, share


def cornea_of(eyeball: Floats, radius: float, axis: Floats) -> Cornea:
    """The cornea of an eyeball at (3,) m of `radius` m that looks along unit `axis` (3,): they meet at the limbus."""
    limbus = sqrt(radius**2 - IRIS_RADIUS**2)
    return Cornea(eyeball + (limbus - sqrt(RADIUS**2 - IRIS_RADIUS**2)) * axis, axis)


def reflected(cosine: float) -> float:
    """Share of unpolarised light that a cornea reflects at a cosine from its normal: Fresnel."""
    from preview.trace.microfacet import fresnel

    return float(fresnel(np.array([cosine], np.float32), np.array([INDEX], np.float32))[0])


def _unit(vectors: Floats) -> Floats:
    return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True))
