"""Axes: a right-handed pair across a direction, so that a flat source knows its width from its height."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def across(axis: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Unit (width, height) directions perpendicular to the unit `axis`: width is level unless the axis is vertical."""
    width = np.cross(axis, [0.0, 0.0, 1.0])
    length = np.linalg.norm(width)
    width = np.array([1.0, 0.0, 0.0]) if length < 1e-6 else width / length
    return width, np.cross(width, axis)
