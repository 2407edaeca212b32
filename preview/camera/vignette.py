"""Vignette: how much darker the picture grows towards its corners."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.camera.format import Area

Array = NDArray[np.float32]


def transmission(*, width: int, height: int, area: Area, corner_mm: float, stops: float) -> Array:
    """The share of light (height, width) that reaches each pixel; 1 on the axis.

    `area`: what is delivered, mm on the sensor; `corner_mm`: how far from the axis `stops` are lost: the corner of
    the format. All that a lens loses there, of itself and by its barrel, is in the one figure, and it falls off as
    the cosine's fourth power of an angle: (1 + q r^2)^-2, q chosen for the corner. The cosine law of a bare pinhole
    is not laid on top: lenses for motion pictures keep well under it, and makers print what is lost in all.
    Source: the cosine law, S. F. Ray, Applied Photographic Optics (from memory).
    """
    x = ((np.arange(width, dtype=np.float32) + 0.5) / width - 0.5) * np.float32(area.width_mm / corner_mm)
    y = ((np.arange(height, dtype=np.float32) + 0.5) / height - 0.5) * np.float32(area.height_mm / corner_mm)
    q = np.float32(2.0 ** (stops / 2.0) - 1.0)
    falling = 1.0 + q * (x[np.newaxis, :] ** 2 + y[:, np.newaxis] ** 2)
    return np.asarray(1.0 / falling**2, np.float32)
