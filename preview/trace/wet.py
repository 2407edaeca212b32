"""Wet: what water makes of a surface: darker, under a film, with pools where it lies level.

Damp ground (0.5) is soaked, which darkens it in full; past that the film closes over its grain and turns smooth,
and pools gather in its hollows. The pattern is fixed in the world.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.trace.mottle import faded, smoothly, value_noise

Array = NDArray[np.float32]

WATER = 1.333
"""Refractive index of water."""
GROUND = 2.0
"""Refractive index of the grains of ground, in effect: what soil models after Lekner and Dorf take."""
INTO_WATER, INTO_GROUND, WATER_TO_GROUND = 0.0664, 0.1606, 0.0918
"""Reflectance for even light from all sides, by Fresnel, of air to water, air to ground, water to ground."""
INSIDE = 1.0 - (1.0 - INTO_WATER) / WATER**2
"""Share of diffuse light that the water's surface throws back down."""

SOAKED = 0.5
"""Wetness at which a surface is as dark as it gets, and from which pools gather."""
ROUGHEST, SMOOTHEST = 0.5, 0.14
"""GGX alpha of the film over the grain of the ground, hardly damp and after heavy rain. From memory, by eye."""
SWELLS = 0.9
"""How strongly the film's alpha falls towards the hollows, where it is thicker."""
POOL = 0.018
"""GGX alpha of standing water. From memory: a breath of air on it."""
LEVEL = (0.985, 0.998)
"""Cosine of the slope from which water begins to stand, and where it does in full: 10 to 4 deg."""
BRIM = (0.78, 0.2)
"""How high the field of hollows must reach to hold water, at SOAKED and at 1."""
BANK = 0.04
"""Half the height over which a pool's edge passes into film: some centimetres of ground."""
POOL_SIZE = 0.6
"""Grain of the pattern of pools, metres: where a pixel covers more, its mean is left."""
SPREAD = 0.33
"""Standard deviation of the field of hollows."""


@dataclass(frozen=True)
class Wetted:
    """reflectance (3, n) of what lies under the film, ior (n,) and roughness (n,) of the film; pool (n,) 0 to 1."""

    reflectance: Array
    ior: Array
    roughness: Array
    pool: Array


def wetted(
    reflectance: Array,
    ior: Array,
    roughness: Array,
    wet: Array,
    position: Array,
    facet: Array,
    *,
    footprint: Array | None = None,
) -> Wetted:
    """Surfaces (n) at position (3, n) m, facing facet (3, n), once they are `wet` (n,), 0 to 1; the dry stay as they are.

    What has a coat already is not darkened: its pores are shut. `footprint` (n,) m: how much surface a pixel covers.
    """
    soaked = smoothly(wet / np.float32(SOAKED))
    bare = ior <= 1.0
    under = reflectance + (soaked * bare) * (under_water(reflectance) - reflectance)
    pool, swell = _pools(wet, position, facet, footprint)
    grain = ROUGHEST * (SMOOTHEST / ROUGHEST) ** wet
    # A coat is smoother than the grain of the ground; the film on it follows it.
    film = np.where(bare, grain * swell, np.minimum(grain, roughness))
    film = film * (POOL / film) ** pool
    return Wetted(
        np.asarray(under, np.float32),
        np.asarray(ior + soaked * (np.float32(WATER) - ior), np.float32),
        np.asarray(np.where(wet > 0.0, film, roughness), np.float32),
        pool,
    )


def under_water(reflectance: Array) -> Array:
    """What a diffuse surface of that reflectance gives back through a film of water, as a share of what entered it.

    Source: J. Lekner and M. C. Dorf, Why some things are darker when wet, Applied Optics 27(7), 1988, after
    A. Angstrom, The albedo of various surfaces of ground, Geografiska Annaler 7, 1925.
    """
    # Water comes nearer to the index of the grains than air does: they turn back less and take in more.
    change = np.float32((1.0 - WATER_TO_GROUND) / (1.0 - INTO_GROUND))
    covered = 1.0 - (1.0 - reflectance) * (reflectance * change + 1.0 - reflectance)
    return np.asarray((1.0 - INSIDE) * covered / (1.0 - INSIDE * covered), np.float32)


def _pools(wet: Array, position: Array, facet: Array, footprint: Array | None) -> tuple[Array, Array]:
    """How far (n,) 0 to 1 places lie under standing water, and by how much (n,) the film's alpha differs there.

    No pools up to SOAKED, nor wherever the ground slopes.
    """
    pool, swell = np.zeros(len(wet), np.float32), np.ones(len(wet), np.float32)
    level = smoothly((facet[2] - np.float32(LEVEL[0])) / np.float32(LEVEL[1] - LEVEL[0]))
    held = np.flatnonzero((wet > SOAKED) & (level > 0.0))
    if len(held) == 0:
        return pool, swell
    flat = level[held]
    filled = (wet[held] - np.float32(SOAKED)) / np.float32(1.0 - SOAKED)
    brim = np.float32(BRIM[0]) + filled * np.float32(BRIM[1] - BRIM[0])
    field = hollows(np.take(position, held, axis=1))
    under = smoothly((field - brim + np.float32(BANK)) / np.float32(2.0 * BANK))
    if footprint is not None:
        seen = faded(footprint[held], np.float32(POOL_SIZE))
        # The share of places past the brim, were the field's values spread by the logistic's near-normal curve.
        share = 1.0 / (1.0 + np.exp(1.702 / SPREAD * brim))
        under = share + seen * (under - share)
        field *= seen
    pool[held] = under * flat
    swell[held] = np.exp(-SWELLS * filled * flat * field)
    return pool, swell


def hollows(position: Array) -> Array:
    """How deep (n,) the ground dips at positions (3, n) m, in its own scale, of mean 0: long shapes of one to three metres.

    Level ground of another height has other hollows, so that none runs on across a kerb.
    """
    x, y, z = position
    # Turned out of the axes, and bent, or the lattice would show.
    across, along = 0.86 * x + 0.51 * y, 0.86 * y - 0.51 * x
    apart = 9.0 * z
    bend = value_noise(np.stack([0.55 * across, 0.55 * along, apart + 5.5]))
    across = across + 0.6 * bend
    usual = value_noise(np.stack([1.05 * across, 0.6 * along + 0.6 * bend, apart]))
    small = value_noise(np.stack([2.3 * across, 1.7 * along, apart + 13.7]))
    fine = value_noise(np.stack([7.1 * across, 6.3 * along, apart + 21.2]))
    far = value_noise(np.stack([0.12 * across, 0.07 * along, apart + 27.9]))
    return np.asarray(0.75 * usual + 0.2 * small + 0.06 * fine + 0.25 * far, np.float32)
