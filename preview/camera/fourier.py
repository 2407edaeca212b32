"""Fourier: transforms of real planes, there and back.

Small ones are NumPy's: SciPy's are twice as quick, and take a third of a second to be read in.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Plane = NDArray[np.floating]
Spectrum = NDArray[np.complexfloating]
Shape = tuple[int, int]

LARGE: Final = 2**20
"""Samples above which SciPy's are worth reading in."""


def fast_length(length: int) -> int:
    """The smallest number from `length` on with no prime factor but 2, 3 and 5: transforms of such lengths are quick."""
    while _rest(length) > 1:
        length += 1
    return length


def spectrum_of(plane: Plane, shape: Shape, *, threads: int = -1) -> Spectrum:
    """The spectrum (rows, columns // 2 + 1) of a real plane, padded with zeros to `shape`; -1 for all threads there are."""
    if shape[0] * shape[1] <= LARGE:
        return np.fft.rfft2(plane, s=shape, axes=(0, 1))
    from scipy.fft import rfft2

    found: Spectrum = rfft2(plane, s=shape, workers=threads)
    return found


def plane_of(spectrum: Spectrum, shape: Shape, *, threads: int = -1) -> Plane:
    """The real plane of this shape whose spectrum that is; the spectrum is spent."""
    if shape[0] * shape[1] <= LARGE:
        return np.fft.irfft2(spectrum, s=shape, axes=(0, 1))
    from scipy.fft import irfft2

    found: Any = irfft2(spectrum, s=shape, overwrite_x=True, workers=threads)
    return np.asarray(found)


def _rest(number: int) -> int:
    """What is left of it without its factors 2, 3 and 5."""
    for prime in (2, 3, 5):
        while number % prime == 0:
            number //= prime
    return number
