"""Patterns: how the mottling of each kind of surface lies: grass in patches, wood along its grain, render in streaks.

Each is three layers of one noise, coarse to fine, of which some are drawn out along the grain or down the wall. The
coarse ones also shift the hue, towards yellow and brown or towards blue.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.build.surfaces import PATTERNS
from preview.trace.mottle import faded, smoothly, value_noise
from preview.trade.catalogue import Pattern

Array = NDArray[np.float32]
Numbers = NDArray[np.int8]


@dataclass(frozen=True)
class Layer:
    """`finer` than the material's grain by so many times, of relative `strength`; `drawn` out so many times."""

    finer: float
    strength: float
    drawn: float = 1.0


@dataclass(frozen=True)
class Lie:
    """How a pattern lies. `way`: what its layers are drawn out along; `hue`: how far it shifts, as a share of the
    variation; `hard`: how steeply it goes from dark to light; `damp`: whether its foot is dark where walls stand."""

    layers: tuple[Layer, Layer, Layer]
    way: str = ""
    hue: float = 0.2
    hard: float = 1.0
    damp: float = 0.0


LIES: dict[Pattern, Lie] = {
    "plain": Lie((Layer(1.0, 1.0), Layer(3.7, 0.6), Layer(1.0, 0.0)), hue=0.1),
    "patchy": Lie((Layer(0.11, 0.9), Layer(1.0, 0.7), Layer(3.7, 0.6)), hue=0.25),
    "speckled": Lie((Layer(0.12, 0.4), Layer(1.0, 1.0), Layer(2.9, 0.8)), hue=0.2, hard=1.7),
    "stained": Lie((Layer(0.24, 0.8), Layer(1.0, 0.5), Layer(3.1, 0.9, 14.0)), way="down", damp=0.25),
    "boards": Lie(
        (Layer(0.26, 0.4, 3.0), Layer(1.0, 0.8, 12.0), Layer(4.3, 0.8, 18.0)), way="grain", hue=0.12
    ),
    "furrowed": Lie((Layer(0.15, 0.5), Layer(1.0, 0.9, 4.0), Layer(3.1, 0.7, 3.0)), way="down"),
    "woven": Lie((Layer(0.2, 0.6), Layer(1.0, 0.5), Layer(6.0, 0.6)), hue=0.1),
}
assert tuple(LIES) == PATTERNS


def _table(of: list[tuple[float, ...]]) -> Array:
    """A row a layer, a column a pattern."""
    return np.array(of, np.float32).T


_FINER = _table([tuple(layer.finer for layer in lie.layers) for lie in LIES.values()])
_STRENGTH = _table([tuple(layer.strength for layer in lie.layers) for lie in LIES.values()])
_DRAWN = _table([tuple(layer.drawn for layer in lie.layers) for lie in LIES.values()])
_HUE, _HARD, _DAMP = _table([(lie.hue, lie.hard, lie.damp) for lie in LIES.values()])
_DOWN = np.array([lie.way == "down" for lie in LIES.values()])
ALONG_GRAIN = np.array([lie.way == "grain" for lie in LIES.values()])
"""Whether each of PATTERNS follows the grain of what it lies on."""
_OFF = (0.0, 11.3, 23.9)
WARMER = np.float32(0.6) * np.array([[1.0], [-0.25], [-1.9]], np.float32)
"""How ACEScg red, green, blue change towards warm; 0.272, 0.674 and 0.054 of them, the luminance of grey, are nothing."""
UPRIGHT = (0.85, 0.35)
"""Cosine between a surface and the level up to which damp rises in it, and up to which it does in full."""
DAMP_RISES = (0.25, 0.75)
"""How high damp climbs a wall, metres above the set's level ground: the least, the most. Common practice, no source."""


def mottled(
    reflectance: Array,
    variation: Array,
    grain: Array,
    position: Array,
    *,
    pattern: Numbers | None = None,
    along: Array | None = None,
    level: Array | None = None,
    footprint: Array | None = None,
) -> Array:
    """Reflectance (3, n) varied by about +-`variation` (n,) at sizes of `grain` (n,) m; unchanged where it is 0.

    `pattern` (n,): how it lies, a number of PATTERNS; None for plain. `along` (3, n): unit, the way of the grain of what
    has one. `level` (n,): cosine between the surface and the level, for damp rises in what stands; None: nowhere.
    `footprint` (n,) m is how much surface a pixel covers: what is finer is left out.
    """
    uneven = np.flatnonzero(variation > 0.0)
    if len(uneven) == 0:
        return reflectance
    place = np.take(position, uneven, axis=1)
    kind = np.zeros(len(uneven), np.int8) if pattern is None else pattern[uneven]
    size = grain[uneven]
    covered = None if footprint is None else footprint[uneven]
    ways = None if along is None else np.take(along, uneven, axis=1)
    tone, hue = np.zeros(len(uneven), np.float32), np.zeros(len(uneven), np.float32)
    for number in range(3):
        strength = _STRENGTH[number][kind]
        small = size / _FINER[number][kind]
        if covered is not None:
            strength = strength * faded(covered, small)
        there = np.flatnonzero(strength)
        if len(there) == 0:
            continue
        here = drawn_out(place, kind, _DRAWN[number], ways, there) / small[there]
        layer = strength[there] * value_noise(here + np.float32(_OFF[number]))
        tone[there] += layer
        if number < 2:
            hue[there] += layer if number else -layer
    tone *= _HARD[kind]
    np.clip(tone, -1.6, 1.6, out=tone)
    factor = 1.0 + variation[uneven] * tone
    if level is not None:
        factor *= _dry(place, kind, level[uneven])
    colour = 1.0 + (variation[uneven] * _HUE[kind] * hue) * WARMER
    varied = reflectance.copy()
    varied[:, uneven] *= np.clip(factor, 0.05, 2.0) * colour
    return np.minimum(varied, np.float32(0.98))


def drawn_out(
    place: Array, kind: Numbers, drawn: Array, along: Array | None, there: NDArray[np.intp]
) -> Array:
    """Places `there` of (3, n), their coordinate along the pattern's way divided by how far it is `drawn` out there.

    `drawn` is a row of PATTERNS, `along` (3, n) as in `mottled`.
    """
    here = np.take(place, there, axis=1)
    kinds = kind[there]
    times = drawn[kinds]
    down = np.flatnonzero(_DOWN[kinds] & (times != 1.0))
    if len(down):
        here[2, down] /= times[down]
    if along is not None:
        grained = np.flatnonzero(ALONG_GRAIN[kinds] & (times != 1.0))
        if len(grained):
            way = np.take(along, there[grained], axis=1)
            mine = np.take(here, grained, axis=1)
            way *= np.einsum("ij,ij->j", mine, way) * (1.0 - 1.0 / times[grained])
            here[:, grained] = mine - way
    return here


def way_of(kind: Numbers, along: Array | None, there: NDArray[np.intp]) -> Array:
    """Unit ways (3, k) that the patterns of places `there` are drawn out along: their grain's, or down."""
    way = np.zeros((3, len(there)), np.float32)
    way[2] = 1.0
    if along is not None:
        grained = np.flatnonzero(ALONG_GRAIN[kind[there]])
        way[:, grained] = np.take(along, there[grained], axis=1)
    return way


def _dry(place: Array, kind: Numbers, level: Array) -> Array:
    """What damp that has risen in the foot of a wall leaves (n,) of its reflectance."""
    low, high = DAMP_RISES
    left = np.ones(len(kind), np.float32)
    foot = np.flatnonzero((_DAMP[kind] > 0.0) & (level < UPRIGHT[0]) & (place[2] < high) & (place[2] > -1.0))
    if len(foot):
        here = np.take(place, foot, axis=1)
        tide = value_noise(np.stack([here[0] / 0.9, here[1] / 0.9, np.full_like(here[0], 7.7)]))
        rise = np.float32(0.5 * (low + high)) + np.float32(0.5 * (high - low)) * tide
        stands = smoothly((UPRIGHT[0] - level[foot]) / np.float32(UPRIGHT[0] - UPRIGHT[1]))
        left[foot] -= _DAMP[kind[foot]] * stands * smoothly((rise - here[2]) / np.float32(0.3) + 0.5)
    return left
