"""Mix: layers added up at their levels and in their colours; no ray is traced here."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Light
from preview.light.spaces import ACESCG
from preview.trace.plate import Plate

Array = NDArray[np.float32]


def weights(lights: Sequence[Light]) -> Array:
    """What each light's layer is multiplied by (lights, 3): its gain in its colour."""
    return np.array([np.multiply(light.gain, light.colour) for light in lights], np.float32).reshape(-1, 3)


def mixed(plate: Plate, lights: Sequence[Light]) -> Array:
    """The radiance (height, width, 3) of all lights together: cd/m2, linear ACEScg."""
    height, width = plate.depth.shape
    total = np.zeros((height, 3 * width), np.float32)
    for layer, weight in zip(plate.layers, weights(lights), strict=True):
        # Whole rows at once: numpy is slow along an axis of three.
        total += layer.reshape(height, -1) * np.tile(weight, width)
    return total.reshape(height, width, 3)


def uncertainty(plate: Plate, lights: Sequence[Light]) -> Array:
    """One standard deviation (height, width) cd/m2 of what chance leaves in the luminance of all lights together."""
    total = np.zeros(plate.depth.shape, np.float32)
    for error, weight in zip(plate.errors, weights(lights), strict=True):
        # Light by light, chance is independent.
        total += np.square(error * np.float32(weight @ ACESCG.luminance))
    return np.sqrt(total)
