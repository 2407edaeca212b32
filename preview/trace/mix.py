"""Mix: layers added up at their levels and in their colours; no ray is traced here."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Light
from preview.trace.plate import Plate

Array = NDArray[np.float32]


def weights(lights: Sequence[Light]) -> Array:
    """What each light's layer is multiplied by (lights, 3): its gain in its colour."""
    return np.array([np.multiply(light.gain, light.colour) for light in lights], np.float32).reshape(-1, 3)


def mixed(plate: Plate, lights: Sequence[Light]) -> Array:
    """The radiance (height, width, 3) of all lights together: cd/m2, linear ACEScg."""
    _, height, width, _ = plate.layers.shape
    total = np.zeros((height, 3 * width), np.float32)
    for layer, weight in zip(plate.layers, weights(lights), strict=True):
        # Whole rows at once: numpy is slow along an axis of three.
        total += layer.reshape(height, -1) * np.tile(weight, width)
    return total.reshape(height, width, 3)
