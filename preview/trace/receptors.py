"""Receptors: what flat meter receptors held in the set would read, light by light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Light
from preview.trace.arrival import one_sample
from preview.trace.bounce import bounced
from preview.trace.geometry import Geometry, Points
from preview.trace.haze import Haze
from preview.trace.sampling import spread_points

Array = NDArray[np.float32]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Reading:
    """Illuminance in lux at n receptors, every light at full level: direct (lights, n), indirect (lights, n, 3).

    `direct` is for white light; `indirect` is coloured by the surfaces it came from (linear ACEScg).
    """

    direct: Floats
    indirect: Floats


def read(
    position: Floats,
    facing: Floats,
    geometry: Geometry,
    lights: Sequence[Light],
    *,
    rays: int = 1024,
    bounce_rays: int = 1024,
    bounces: int = 1,
    haze: Haze | None = None,
    seed: int = 1,
) -> Reading:
    """The readings of receptors at `position` (n, 3) m whose unit normals are `facing` (n, 3).

    `rays` shadow rays to each source, `bounce_rays` directions from each receptor (0: no bounce), each by
    way of up to `bounces` surfaces. Sums are float64.
    """
    count = len(position)
    direct = np.zeros((len(lights), count))
    spread = np.tile(spread_points(rays), (1, count))
    held = _receptors(position, facing, rays)
    for index, light in enumerate(lights):
        for emitter in light.emitters:
            lux = one_sample(held, emitter, geometry.rays, spread, haze).lux
            direct[index] += lux.astype(np.float64).reshape(count, rays).mean(axis=1)
    indirect = np.zeros((len(lights), count, 3))
    if bounce_rays:
        # Few rays from each of many copies: their random shifts differ, so the mean stays well spread.
        each = 4
        copies = max(1, bounce_rays // each)
        held = _receptors(position, facing, copies)
        lux3 = bounced(
            held,
            geometry,
            lights,
            pixels=np.arange(count * copies, dtype=np.uint32),
            rays=each,
            bounces=bounces,
            seed=seed,
            haze=haze,
        )
        indirect = (
            lux3.astype(np.float64).reshape(len(lights), 3, count, copies).mean(axis=3).transpose(0, 2, 1)
        )
    return Reading(direct, indirect)


def _receptors(position: Floats, facing: Floats, copies: int) -> Points:
    """Each receptor `copies` times over."""
    where = np.repeat(position.astype(np.float32).T, copies, axis=1)
    normal = np.repeat(facing.astype(np.float32).T, copies, axis=1)
    count = where.shape[1]
    return Points(
        where,
        where,
        normal,
        normal,
        np.ones_like(where),
        np.zeros(count, np.float32),
        np.ones(count, np.float32),
        np.zeros(count, np.float32),
        np.zeros(count, np.int32),
    )
