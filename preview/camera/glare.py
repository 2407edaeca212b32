"""Glare: light that strays in the lens, as a glow round whatever is bright and a faint veil over the frame.

A share of all light leaves the point where it belongs and is spread by a sum of three bells, each

    a / (2 pi (r^2 + a^2)^(3/2)),

of integral 1 over the plane, whose skirts fall as the cube of distance. Widths are shares of the frame's height, so
that a picture of any size glows alike. Only light within the frame strays: a lamp just outside it does not.
Source: measured spreads of lenses fall with the second to third power of distance (McCann and Rizzi, The Art and
Science of HDR Imaging, chapter on glare; from memory); ISO 9358 measures the share as veiling glare. The bells' widths
and shares are common practice, no source.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from preview.camera.fourier import Spectrum, fast_length, plane_of, spectrum_of

Array = NDArray[np.float32]

BELLS = ((0.008, 0.5), (0.04, 0.3), (0.25, 0.2))
"""Width a in frame heights, share of the stray light."""
ROWS = 256
"""The glow is reckoned on a grid of about so many rows, in float64: a lamp is many millions of times the dark."""


def with_glare(image: Array, share: float) -> Array:
    """The image (h, w, 3), linear, with `share` (0 to 1) of its light strayed; the image itself for none."""
    if share <= 0.0:
        return image
    height, width = image.shape[:2]
    step = max(1, height // ROWS)
    rows, columns = -(-height // step), -(-width // step)
    shape = fast_length(2 * rows), fast_length(2 * columns)
    bells = _bells(shape, height / step)
    result = np.empty_like(image)
    for channel in range(3):
        padded = np.zeros((rows * step, columns * step))
        padded[:height, :width] = image[..., channel]
        coarse = padded.reshape(rows, step, columns, step).mean(axis=(1, 3))
        stray = plane_of(spectrum_of(coarse, shape) * bells, shape)[:rows, :columns]
        glow = enlarged(np.maximum(stray, 0.0).astype(np.float32), step, height, width)
        glow *= np.float32(share)
        glow += np.float32(1.0 - share) * image[..., channel]
        result[..., channel] = glow
    return result


@lru_cache(maxsize=4)
def _bells(shape: tuple[int, int], frame_height: float) -> Spectrum:
    """The spectrum of the spread on a grid of this shape, whose far half holds negative distances."""
    down, right = (np.minimum(np.arange(n), n - np.arange(n)).astype(np.float64) for n in shape)
    squared = down[:, np.newaxis] ** 2 + right[np.newaxis, :] ** 2
    spread = np.zeros(shape)
    for height_share, share in BELLS:
        a = height_share * frame_height
        spread += share * a / (2.0 * np.pi) * (squared + a * a) ** -1.5
    # On a small grid the sharpest bell is sampled too coarsely to add up to its share: its peak is set right.
    for height_share, share in BELLS:
        spread[0, 0] -= share * _sampled_excess(height_share * frame_height)
    return spectrum_of(spread, shape)


def _sampled_excess(a: float) -> float:
    """By how much a bell of width `a` pixels, sampled over the whole plane, adds up to more than 1.

    By Poisson's summation: its transform is exp(-2 pi a nu), here at the nearest harmonics of the grid.
    """
    order = np.arange(-6, 7)
    nu = np.hypot(order[:, np.newaxis], order[np.newaxis, :])
    return float(np.exp(-2.0 * np.pi * a * nu).sum() - 1.0)


def enlarged(coarse: Array, step: int, height: int, width: int) -> Array:
    """(rows, columns) enlarged `step` times each way, linear between the middles, cut to height x width."""
    if step == 1:
        return coarse[:height, :width]
    for axis, size in ((0, height), (1, width)):
        place = np.clip((np.arange(size) + 0.5) / step - 0.5, 0.0, coarse.shape[axis] - 1.0)
        low = np.minimum(place.astype(np.intp), max(coarse.shape[axis] - 2, 0))
        share = (place - low).astype(np.float32).reshape((-1, 1) if axis == 0 else (1, -1))
        first = np.take(coarse, low, axis=axis)
        second = np.take(coarse, np.minimum(low + 1, coarse.shape[axis] - 1), axis=axis)
        second -= first
        second *= share
        second += first
        coarse = second
    return coarse
