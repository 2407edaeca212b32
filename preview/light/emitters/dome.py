"""Dome: the glow of the sky above the horizon: even or brighter low down, with the light of a town or without."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import cos, exp, log, pi, sin
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.stars import star_light
from preview.light.light import Emitter
from preview.light.vectors import around

Array = NDArray[np.float32]
AnyFloats = NDArray[np.floating[Any]]

BAND = 0.32
"""Square of the sine of elevation over which what is added near the horizon falls to 1/e.

Fitted, within 0.04 stop at every elevation, to an airglow (0.6 of the light, from a thin high layer) dimmed by the air
on its way, b = (0.4 + 0.6 X) 10^(-0.4 k (X - 1)), with X = (1 - 0.96 sin^2 Z)^-0.5 and k = 0.172 magnitudes.
Source: R. H. Garstang 1989, PASP 101, 306; K. Krisciunas and B. E. Schaefer 1991, PASP 103, 1033; F. Patat 2003,
A&A 400, 1183, appendix C.
"""
RINGS, TURNS = 12, 24


@dataclass(frozen=True)
class TownGlow:
    """The light dome of a town: `stops` brighter at the horizon at `azimuth` than the horizon elsewhere.

    `width` radians, at most 2 pi / 3: between the azimuths at the horizon where half of what it adds is left. It
    falls to half upwards at a quarter of the width. The shape is our own; no published one is as plain.
    """

    azimuth: float
    stops: float
    width: float

    @property
    def gathered(self) -> float:
        """How tightly it gathers round its azimuth: the exponent's factor of the cosine from there."""
        return log(2.0) / (1.0 - cos(self.width / 2.0))

    @property
    def falling(self) -> float:
        """How fast it falls with the sine of elevation, on top of that."""
        height = self.width / 4.0
        return (log(2.0) - self.gathered * (1.0 - cos(height))) / sin(height)


@dataclass(frozen=True)
class Dome(Emitter):
    """`lux` on open level ground. `horizon`: stops brighter there, where no town glows, than overhead; 0 is even.

    `stars` are only seen: what they give is part of the lux.
    """

    lux: float
    horizon: float = 0.0
    town: TownGlow | None = None
    stars: bool = False

    @property
    def zenith(self) -> float:
        """cd/m2 straight overhead."""
        return self.lux / level_lux(horizon=self.horizon, town=self.town)

    def luminance(self, directions: Array) -> Array:
        """cd/m2 (n,) along unit `directions` (3, n); below level that of the horizon."""
        zenith = np.float32(self.zenith)
        if self.horizon == 0.0 and self.town is None:
            return np.full(directions.shape[1], zenith, np.float32)
        return zenith * _profile(directions, self.horizon, self.town)

    def arrive(self, points: Array, normals: Array, u: Array) -> tuple[Array, Array, Array]:
        """See `Emitter.arrive`. Directions follow the cosine from each normal: of an even sky, free of noise."""
        cosine = np.sqrt(np.maximum(1.0 - u[0], 1e-8))
        direction = around(normals, np.sqrt(u[0]), cosine, u[1])
        lux = np.where(
            direction[2] > 0.0, np.float32(pi) * self.luminance(direction) / cosine, np.float32(0.0)
        )
        return direction, np.full(len(lux), np.inf, np.float32), lux

    def shining(self, points: Array, direction: Array) -> tuple[Array, Array]:
        """See `Emitter.shining`."""
        seen = np.where(direction[2] > 0.0, self.luminance(direction), np.float32(0.0))
        return seen, np.full(direction.shape[1], np.inf, np.float32)

    def background(self, directions: Array, *, dip: float = 0.0, pixel: float = 0.0) -> Array:
        """cd/m2 (n,) along unit `directions` (3, n) that meet nothing; none from more than `dip` (a sine) below level.

        Stars are drawn about a pixel large where `pixel`, the angle of one in radians, is given.
        """
        seen = self.luminance(directions)
        if self.stars and pixel > 0.0:
            seen += star_light(directions, pixel=pixel)
        return np.where(directions[2] > -dip, seen, np.float32(0.0))

    def softness(self, distance: Array) -> Array:
        """See `Emitter.softness`."""
        return np.full(len(distance), pi / 2, np.float32)

    def rule(self) -> Array:
        """See `Emitter.rule`. Rings of equal share, twice as many directions round as rings."""
        ring, turn = np.meshgrid((np.arange(RINGS) + 0.5) / RINGS, (np.arange(TURNS) + 0.5) / TURNS)
        return np.stack([ring.ravel(), turn.ravel()], axis=1).astype(np.float32)


@cache
def level_lux(*, horizon: float, town: TownGlow | None) -> float:
    """Lux on open level ground of a sky of 1 cd/m2 overhead; pi where it is even."""
    # The band: the integral of 2 pi s ds, s the sine of elevation.
    edge = exp(-1.0 / BAND)
    lux = pi * (1.0 + (2.0**horizon - 1.0) * (BAND - edge * (1.0 + BAND)) / (1.0 - edge))
    if town is None:
        return lux
    node, weight = np.polynomial.legendre.leggauss(96)
    elevation, turn = np.meshgrid((node + 1.0) * pi / 4.0, (np.arange(128) + 0.5) * (2.0 * pi / 128))
    sine, cosine = np.sin(elevation), np.cos(elevation)
    added = np.asarray(_added(sine, cosine * np.cos(turn), horizon, town) * sine * cosine, np.float64)
    lux += float((added @ weight).sum()) * (pi / 4.0) * (2.0 * pi / 128)
    return lux / (1.0 + float(_added(np.ones(1), np.zeros(1), horizon, town)[0]))


def _profile(directions: Array, horizon: float, town: TownGlow | None) -> Array:
    """Luminance (n,) as a multiple of that overhead."""
    sine = np.maximum(directions[2], np.float32(0.0))
    edge = exp(-1.0 / BAND)
    share = np.float32((2.0**horizon - 1.0) / (1.0 - edge))
    profile: Array = share * np.exp(sine * sine * np.float32(-1.0 / BAND))
    profile += np.float32(1.0) - share * np.float32(edge)
    if town is not None:
        towards = (
            np.float32(sin(town.azimuth)) * directions[0] + np.float32(cos(town.azimuth)) * directions[1]
        )
        profile += _added(sine, towards, horizon, town)
        profile /= np.float32(1.0 + float(_added(np.ones(1), np.zeros(1), horizon, town)[0]))
    return profile


def _added(sine: AnyFloats, towards: AnyFloats, horizon: float, town: TownGlow) -> AnyFloats:
    """What a town adds (n,) to the sky, by the sine of elevation and the cosine from its place on the horizon."""
    exponent = towards - 1.0
    exponent *= town.gathered
    exponent -= town.falling * sine
    added: AnyFloats = np.exp(exponent)
    added *= 2.0**horizon * (2.0**town.stops - 1.0)
    return added
