"""Shaping: smooth filters that bring light to a chromaticity: Wien's filter for warmth, a green one for the rest."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from preview.light.colour import uv_of
from preview.light.spectrum import WAVELENGTHS, mired_filter, xy_of_spectrum

Floats = NDArray[np.float64]

GREEN_FROM, GREEN_TO, GREEN_EDGE = 497.0, 583.0, 15.0
"""Where a colour-correcting green passes, nm, and how soft its edges are. From memory, typical of its dyes."""

STEEPEST = 60.0
"""Exponent beyond which nothing is left of a window."""
LONGEST_STEP = 60.0
"""As a multiple of what slopes are taken over."""


def window(start: float, end: float, edge: float) -> Floats:
    """(81,): 1 between two wavelengths, 0 outside, one half at each; smooth over about two `edge` nm to each side."""
    rises, falls = (start - WAVELENGTHS) / edge, (WAVELENGTHS - end) / edge
    return 1.0 / (1.0 + np.exp(np.minimum(rises, STEEPEST))) / (1.0 + np.exp(np.minimum(falls, STEEPEST)))


def green_filter(density: float) -> Floats:
    """A colour-correcting green of this density in red and blue, clear in the green; negative: magenta, dense there."""
    passes = window(GREEN_FROM, GREEN_TO, GREEN_EDGE)
    return np.asarray(10.0 ** (-density * (1.0 - passes) + min(density, 0.0)))


def tinting(mired: float, density: float) -> Floats:
    """Wien's filter with a green one."""
    return np.asarray(mired_filter(mired) * green_filter(density))


def brought_to(spectrum: Floats, xy: tuple[float, float]) -> Floats:
    """A spectrum with as much of both filters as brings it to a chromaticity not far from its own."""
    mired, density = shape_towards(spectrum, xy)
    return np.asarray(spectrum * tinting(mired, density))


def shape_towards(spectrum: Floats, xy: tuple[float, float]) -> tuple[float, float]:
    """Mireds and density of the filters that bring a spectrum to a chromaticity, or as near as they go."""
    wanted = uv_of(xy)

    def gap(state: Floats) -> Floats:
        return uv_of(xy_of_spectrum(spectrum * tinting(*state))) - wanted

    (mired, density), _ = descended(gap, np.zeros(2), sides=np.array([10.0, 0.02]))
    return float(mired), float(density)


def descended(gap: Callable[[Floats], Floats], start: Floats, *, sides: Floats) -> tuple[Floats, Floats]:
    """Where a gap (n,) of a state (n,) closes, by Newton's steps, and what is left of it there.

    `sides`: how far to each side slopes are taken. A step that does not help is halved, for the green filter bends at
    nothing.
    """
    state, left = start, gap(start)
    for _ in range(60):
        if np.linalg.norm(left) < 1e-8:
            break
        slopes = np.stack([gap(state + side) - gap(state - side) for side in np.diag(sides)], axis=1)
        step = np.linalg.lstsq(slopes / (2.0 * sides), -left, rcond=None)[0]
        step = np.clip(step, -LONGEST_STEP * sides, LONGEST_STEP * sides)
        for _ in range(14):
            tried = gap(state + step)
            if np.linalg.norm(tried) < np.linalg.norm(left):
                state, left = state + step, tried
                break
            step = step / 2.0
        else:
            break
    return state, left
