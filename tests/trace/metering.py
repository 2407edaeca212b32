"""Metering: receptors held before lights, for the tests: single ones, and a whole sphere of them that counts lumens."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preview.build.mesh import Part
from preview.build.surfaces import matt
from preview.build.world import gather
from preview.light.light import Emitter, Light
from preview.trace.geometry import Geometry
from preview.trace.receptors import read

Floats = NDArray[np.float64]


def grey_world(parts: Sequence[Part] = (), *, reflectance: float = 0.5) -> Geometry:
    """Parts, all of one even grey; with none, empty space."""
    grey = np.full((len(parts), 3), reflectance, np.float32)
    return Geometry(gather(list(parts)), matt(grey))


def white(*emitters: Emitter, name: str = "light") -> Light:
    """A light at full level, without colour."""
    return Light(name, emitters, 1.0, (1.0, 1.0, 1.0))


def lux_at(
    emitters: Emitter | Sequence[Emitter],
    position: ArrayLike,
    facing: ArrayLike,
    *,
    world: Geometry | None = None,
    rays: int = 4096,
) -> Floats:
    """Direct illuminance (n,) lux of receptors at `position` (n or 1, 3) with unit normals `facing` (n or 1, 3)."""
    lights = white(*emitters) if isinstance(emitters, Sequence) else white(emitters)
    where, towards = np.broadcast_arrays(
        np.atleast_2d(np.asarray(position, float)), np.atleast_2d(np.asarray(facing, float))
    )
    reading = read(where, towards, world or grey_world(), [lights], rays=rays, bounce_rays=0)
    lux: Floats = reading.direct[0]
    return lux


def sphere_of_receptors(
    radius: float, *, centre: ArrayLike = (0.0, 0.0, 0.0), polar: int = 96, turns: int = 24
) -> tuple[Floats, Floats, Floats]:
    """Places (n, 3), inward unit normals (n, 3) and areas (n,) m2 that tile a sphere.

    Whatever shines inside, and however it is placed, the sum of lux times area is its lumens. Gauss's nodes in the
    cosine from the z axis, even steps round it.
    """
    cosine, weight = np.polynomial.legendre.leggauss(polar)
    turn = 2.0 * np.pi * (np.arange(turns) + 0.5) / turns
    sine = np.sqrt(1.0 - cosine**2)
    outward = np.stack(
        [
            np.outer(sine, np.cos(turn)).ravel(),
            np.outer(sine, np.sin(turn)).ravel(),
            np.repeat(cosine, turns),
        ],
        axis=1,
    )
    area = np.repeat(weight, turns) * (2.0 * np.pi / turns) * radius**2
    return np.asarray(centre, float) + radius * outward, -outward, area


def lumens_of(
    emitters: Emitter | Sequence[Emitter],
    *,
    radius: float,
    centre: ArrayLike = (0.0, 0.0, 0.0),
    polar: int = 96,
    turns: int = 24,
    rays: int = 64,
    world: Geometry | None = None,
) -> float:
    """Lumens that arrive on a sphere of receptors."""
    places, inward, area = sphere_of_receptors(radius, centre=centre, polar=polar, turns=turns)
    return float(lux_at(emitters, places, inward, rays=rays, world=world) @ area)
