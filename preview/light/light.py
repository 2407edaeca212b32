"""Light: one fixture ready to trace: its emitters at full level, what scales and colours them, what is seen of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part
from preview.light.modifiers.record import Origin, Stood

Array = NDArray[np.float32]


class Emitter(Protocol):
    """A source of light in lux, sampled; one file of this folder per kind."""

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """One sample of the source from each point.

        points, normals (3, n), u (2, n) in [0, 1): returns the unit direction to the sample (3, n), its distance
        (n,) m (inf when it is not in the set) and the lux (n,) it would give a surface that faces it. The mean
        over u of lux x cos is the unshadowed illuminance. Zero where the source does not shine.
        """
        ...

    def passing(self, points: Array, direction: Array, distance: Array) -> Array | None:
        """What cloth on the way lets by of the sample that `arrive` gave: (n,) 0 to 1, or None for no cloth."""
        return None

    def shining(self, points: Array, direction: Array) -> tuple[Array, Array]:
        """What a ray from each of points (3, n) along a unit direction (3, n) sees of the source if nothing stands between.

        Returns its luminance (n,) cd/m2, cloth in its way reckoned with, and its distance (n,) m; 0 and inf where the
        ray misses. The same light as that of `arrive`: lux x cos is luminance x cos x solid angle.
        """
        ...

    def background(self, directions: Array, *, dip: float = 0.0, pixel: float = 0.0) -> Array | None:
        """cd/m2 (n,) that the camera sees of it behind everything, along unit directions (3, n); None for nothing.

        `dip`: how far below level, as a sine, the sky is still shown; `pixel`: radians across one.
        """
        return None

    @property
    def most(self) -> float:
        """Lux that no surface can get more of, however near: what an even source all round it would give."""
        return inf

    def softness(self, distance: Array) -> Array:
        """Radians (n,): half the angle it fills seen from `distance` (n,) m; decides how many rays its shadow needs."""
        ...

    def rule(self) -> Array:
        """A few samples u (k, 2) whose mean is the unshadowed illuminance but for terms of the fourth degree."""
        ...


def arriving(emitter: Emitter, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
    """As `Emitter.arrive`, with what stands in the light's own way reckoned with: direction, distance, lux."""
    direction, distance, lux = emitter.arrive(points, normals, u)
    passing = emitter.passing(points, direction, distance)
    return direction, distance, lux if passing is None else lux * passing


@dataclass(frozen=True)
class Glow:
    """A luminous surface that the camera may see: `luminance` cd/m2 at full level, white, on its `axis`.

    `axis` (3,) unit with `profile` (relative luminance against the cosine from it) for a beam's aperture, which is
    blinding within the beam and dull beside it; None for a surface that is even all round.
    """

    part: Part
    luminance: float
    axis: NDArray[np.float64] | None = None
    profile: Callable[[Array], Array] | None = None

    def seen_at(self, points: Array, leaving: Array) -> Array:
        """cd/m2 (n,) at points (3, n) of the surface towards unit directions `leaving` (3, n) it."""
        return self.seen(leaving)

    def seen(self, leaving: Array) -> Array:
        """cd/m2 (n,) towards unit directions `leaving` (3, n) the surface; of an uneven one, of its mean."""
        if self.axis is None or self.profile is None:
            return np.full(leaving.shape[1], self.luminance, np.float32)
        return np.float32(self.luminance) * self.profile(self.axis.astype(np.float32) @ leaving)


@dataclass(frozen=True)
class Light:
    """`gain`: level, scrims and gel loss, 1 = bare at full. `colour`: linear ACEScg of luminance 1; `kelvin` of it.

    `bodies`: what is seen of it but is dark: housing, stand, frame. `modifiers`: what stood in its way, in order;
    `origins`: of each emitter, which of those it comes from; neither changes what is traced. `lamp_k`: kelvin of its lamp
    at full; `tint`: linear ACEScg of luminance 1, of boards that it comes off.
    """

    name: str
    emitters: tuple[Emitter, ...]
    gain: float
    colour: tuple[float, float, float]
    kelvin: float | None = None
    glows: tuple[Glow, ...] = ()
    bodies: tuple[Part, ...] = ()
    modifiers: tuple[Stood, ...] = ()
    origins: tuple[Origin, ...] = ()
    lamp_k: float = 5600.0
    tint: tuple[float, float, float] = (1.0, 1.0, 1.0)
