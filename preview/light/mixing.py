"""Mixing: how hard a head of several colours of LED drives each to give a colour, and what it gives then.

The output is the most that the emitters can give together of that colour, one or more of them at full.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import combinations, product
from math import degrees

import numpy as np
from numpy.typing import NDArray

from preview.light.colour import POINT_DUV, chromaticity
from preview.light.spaces import xyz_of
from preview.light.spectrum import of_luminance_one, table, xy_of_spectrum, xyz_of_spectrum
from preview.script.models.heads import Mixed
from preview.trade.catalogue import SpectrumRow, spectrum

Floats = NDArray[np.float64]

BARELY = 1e-4
"""Of the rated output: what gives less is out of reach."""


@dataclass(frozen=True)
class Mixture:
    """`spectrum` (81,) of luminance 1; `weights` 0 to 1 by emitter; `output` against the most lumens of the rated white.

    `reached`: whether the colour is the one that was asked for, and not the nearest on the way from white.
    """

    spectrum: Floats
    weights: dict[str, float]
    output: float
    reached: bool


def mixture(mix: Mixed, *, lamp: str, rated_k: float, kelvin: float) -> Mixture:
    """What a head gives that is mixed: `rated_k` is the white of its rated output, `kelvin` where the mix has none."""
    row = spectrum(lamp)
    white_k = mix.kelvin or kelvin
    white = chromaticity(cct_k=white_k, duv=POINT_DUV * mix.green)
    xy = white if mix.hue is None else _hue(row, white, hue=mix.hue, saturation=mix.saturation)
    found = mixed_to_xy(row, xy)
    rated = mixed_to_xy(row, chromaticity(cct_k=rated_k)).output
    return Mixture(found.spectrum, found.weights, found.output / rated, found.reached)


@lru_cache(maxsize=256)
def mixed_to_xy(row: SpectrumRow, xy: tuple[float, float]) -> Mixture:
    """The brightest mixture of a chromaticity; out of reach, of the nearest on the straight way from the row's white.

    `output` is in the units of the row's emitters.
    """
    found = _brightest(row, xy)
    if found is not None:
        return _mixture(row, found, reached=True)
    white = np.array(chromaticity(cct_k=row.kelvin))
    inside, outside = 0.0, 1.0
    best = _brightest(row, tuple(white))
    assert best is not None
    for _ in range(30):
        middle = (inside + outside) / 2.0
        tried = _brightest(row, tuple(white + middle * (np.array(xy) - white)))
        if tried is None:
            outside = middle
        else:
            inside, best = middle, tried
    return _mixture(row, best, reached=False)


def _mixture(row: SpectrumRow, weights: Floats, *, reached: bool) -> Mixture:
    names, spectra = _emitters(row)
    return Mixture(
        of_luminance_one(weights @ spectra),
        dict(zip(names, weights.tolist(), strict=True)),
        float(weights @ xyz_of_spectrum(spectra)[:, 1]),
        reached,
    )


@cache
def _emitters(row: SpectrumRow) -> tuple[tuple[str, ...], Floats]:
    """Names, and spectra (n, 81) whose luminance is what each gives alone at full."""
    names = tuple(name for name, _ in row.emitters)
    return names, np.stack([share * of_luminance_one(table(name)) for name, share in row.emitters])


def _brightest(row: SpectrumRow, xy: tuple[float, ...]) -> Floats | None:
    """Weights (n,) 0 to 1 of the most light of a chromaticity; None if it cannot be made.

    The best of a linear programme is at a corner: all weights but two are at nothing or full, or one of three, where
    no light is at full, sets the scale.
    """
    _, spectra = _emitters(row)
    columns = xyz_of_spectrum(spectra).T
    wanted = xyz_of((xy[0], xy[1]))
    count = columns.shape[1]
    best, most = None, BARELY
    for free in combinations(range(count), 2):
        held = [place for place in range(count) if place not in free]
        for levels in product((0.0, 1.0), repeat=len(held)):
            matrix = np.column_stack([columns[:, free[0]], columns[:, free[1]], -wanted])
            if abs(np.linalg.det(matrix)) < 1e-12:
                continue
            solved = np.linalg.solve(matrix, -columns[:, held] @ np.array(levels))
            weights = np.zeros(count)
            weights[held] = levels
            weights[list(free)] = solved[:2]
            if solved[2] > most and weights.min() > -1e-9 and weights.max() < 1.0 + 1e-9:
                best, most = np.clip(weights, 0.0, 1.0), float(solved[2])
    return best


def _hue(
    row: SpectrumRow, white: tuple[float, float], *, hue: float, saturation: float
) -> tuple[float, float]:
    """The chromaticity of a hue (radians; red 0, green 120, blue 240 degrees) between white, 0, and the emitters, 1.

    Of the first three emitters each counts for as much as it has in the white.
    """
    _, spectra = _emitters(row)
    three = spectra[:3]
    shares = np.linalg.solve(xyz_of_spectrum(three).T, xyz_of(white))
    sixth = degrees(hue) / 60.0
    channels = np.array(
        [np.clip(abs((sixth - turn) % 6.0 - 3.0) - 1.0, 0.0, 1.0) for turn in (0.0, 2.0, 4.0)]
    )
    amounts = (1.0 - saturation) + saturation * channels
    return xy_of_spectrum((amounts * np.maximum(shares, 0.0)) @ three)
