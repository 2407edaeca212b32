"""Light: one fixture ready to trace: its emitters at full level, what scales and colours them, what is seen of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part

Array = NDArray[np.float32]


class Emitter(Protocol):
    """A source of light in lux, sampled; one file of this folder per kind."""

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """One sample of the source from each point.

        points, normals (n, 3), u (n, 2) in [0, 1): returns the unit direction to the sample (n, 3), its distance
        (n,) m (inf when it is not in the set) and the lux (n,) it would give a surface that faces it. The mean
        over u of lux x cos is the unshadowed illuminance. Zero where the source does not shine.
        """
        ...


@dataclass(frozen=True)
class Glow:
    """A luminous surface that the camera may see.

    `luminance`: cd/m2 at full level, white; for a beam's aperture the axial value with its `axis` and profile.
    """

    part: Part
    luminance: float
    towards: object | None = None
    """A callable (directions (n, 3) leaving the surface) -> relative luminance (n,), or None for even."""


@dataclass(frozen=True)
class Light:
    """`gain`: level, scrims and gel loss, 1 = bare at full. `colour`: linear ACEScg of luminance 1."""

    name: str
    emitters: tuple[Emitter, ...]
    gain: float
    colour: tuple[float, float, float]
    glows: tuple[Glow, ...] = ()
