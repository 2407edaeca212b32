"""Haze: air that takes light away along a path and scatters it, evenly or thinning with height."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]


@dataclass(frozen=True)
class Haze:
    """`extinction` per metre, the same at all heights, or up to `base` (m) and above it as exp(-height / `falloff`).

    `forward`: mean cosine between the way light comes and the way it leaves, -1 to 1; `albedo`: the share of what is
    taken away that is scattered, 0 to 1. `falloff` m, None for even haze.
    """

    extinction: float
    falloff: float | None = None
    base: float = 0.0
    forward: float = 0.8
    albedo: float = 0.98

    def density(self, points: Array) -> Array:
        """Extinction per metre (n,) at points (3, n)."""
        if self.falloff is None:
            return np.full(points.shape[1], self.extinction, np.float32)
        above = np.maximum(points[2] - np.float32(self.base), np.float32(0.0))
        return np.float32(self.extinction) * np.exp(above * np.float32(-1.0 / self.falloff))

    def depth(self, start: Array, direction: Array, distance: Array) -> Array:
        """Optical depth (n,) from `start` (3, n or 1) over `distance` (n,) m along unit `direction` (3, n).

        A distance may be inf: the depth then is inf too, unless the way leads up out of haze that thins.
        Source: Bouguer 1729, Beer 1852: the integral of the extinction along the way, here in closed form.
        """
        if self.falloff is None:
            return np.float32(self.extinction) * distance
        scale, rise = np.float32(self.falloff), direction[2]
        first = np.broadcast_to(start[2] - np.float32(self.base), rise.shape)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            climb = rise * distance
            last = first + climb
            # The way crosses the base at most once: how much of it lies above, from which height, over which climb.
            low = np.maximum(np.minimum(first, last), np.float32(0.0))
            crosses = (first < 0.0) != (last < 0.0)
            steep = np.where(crosses, np.maximum(first, last), np.abs(climb)) / scale
            above = np.where(crosses, steep * scale / np.abs(rise), np.where(first < 0.0, 0.0, distance))
            thin = np.where(steep > 1e-4, -np.expm1(-steep) / steep, 1.0 - steep / 2.0)
            path = distance - above + above * np.exp(-low / scale) * thin
            endless = np.maximum(-first, 0.0) + scale * np.exp(-np.maximum(first, 0.0) / scale)
            endless = np.where(rise > 0.0, endless / rise, np.float32(np.inf))
        path = np.where(np.isinf(distance), endless, path)
        return np.asarray(np.float32(self.extinction) * path, np.float32)

    def passing(self, start: Array, direction: Array, distance: Array) -> Array:
        """Share of the light (n,) that comes through, 0 to 1; arguments as for `depth`."""
        return np.exp(-self.depth(start, direction, distance))

    def reach(self, start: Array, direction: Array, depth: Array) -> Array:
        """The distance (n,) m at which optical `depth` (n,) is reached: `depth` turned round; inf where it never is."""
        path = depth / np.float32(self.extinction)
        if self.falloff is None:
            return np.asarray(path, np.float32)
        scale, rise = np.float32(self.falloff), direction[2]
        first = np.broadcast_to(start[2] - np.float32(self.base), rise.shape)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            # Below the base a metre counts as one; above it the path is scale (e^-low - e^-high) / rise.
            upwards = rise > 0.0
            below = np.where(upwards, np.maximum(-first, 0.0) / rise, 0.0)
            here = np.maximum(first, 0.0) / scale
            left = path - below
            grown = rise * left / scale * np.exp(here)
            small = np.abs(grown) < 1e-4
            above = np.where(
                small, left * np.exp(here) * (1.0 + grown / 2.0), -np.log1p(-grown) * scale / rise
            )
            above = np.where(grown >= 1.0, np.float32(np.inf), above)
            # On the way down it is even again from where the base is met.
            drop = first / np.maximum(-rise, 1e-20)
            spent = np.where(rise < 0.0, scale * -np.expm1(-here) / np.maximum(-rise, 1e-20), np.inf)
            down = np.where(path > spent, drop + path - spent, above)
            level = np.where(first > 0.0, above, path)
        far = np.where(upwards, np.where(left < 0.0, path, below + above), np.where(first > 0.0, down, level))
        return np.asarray(far, np.float32)

    def phase(self, cosine: Array) -> Array:
        """Share per steradian (n,) that is scattered at an angle; cosine 1 goes straight on.

        Source: L. G. Henyey and J. L. Greenstein, Diffuse radiation in the galaxy, Astrophysical Journal 93, 1941.
        """
        g = self.forward
        narrow = np.maximum(np.float32(1.0 + g * g) - np.float32(2.0 * g) * cosine, np.float32(1e-9))
        return np.float32((1.0 - g * g) / (4.0 * np.pi)) / (narrow * np.sqrt(narrow))

    def turn(self, u: Array) -> Array:
        """Cosines (n,) of scattering angles that follow the phase function, from u (n,) in [0, 1).

        Source: the same function's cumulative distribution, solved for the cosine.
        """
        g = self.forward
        if abs(g) < 1e-3:
            return np.asarray(1.0 - 2.0 * u, np.float32)
        share = (1.0 - g * g) / (1.0 + g - 2.0 * g * u)
        return np.asarray(np.clip((1.0 + g * g - share * share) / (2.0 * g), -1.0, 1.0), np.float32)
