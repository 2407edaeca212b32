"""Mix: layers added up at their levels and in their colours; no ray is traced here."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from preview.light.light import Light
from preview.light.spaces import ACESCG
from preview.trace.plate import Plate
from preview.trace.store import set_aside

Array = NDArray[np.float32]


def weights(lights: Sequence[Light]) -> Array:
    """What each light's layer is multiplied by (lights, 3): its gain in its colour."""
    return np.array([np.multiply(light.gain, light.colour) for light in lights], np.float32).reshape(-1, 3)


ROWS = 64
"""Rows of a layer that are added at a time."""


def mixed(plate: Plate, lights: Sequence[Light]) -> Array:
    """The radiance (height, width, 3) of all lights together: cd/m2, linear ACEScg."""
    height, width = plate.depth.shape
    total = np.zeros((height, 3 * width), np.float32)
    for layer, weight in zip(plate.layers, weights(lights), strict=True):
        # Whole rows at once: numpy is slow along an axis of three.
        flat, across = layer.reshape(height, -1), np.tile(weight, width)
        for top in range(0, height, ROWS):
            total[top : top + ROWS] += flat[top : top + ROWS] * across
        set_aside(layer)
    return total.reshape(height, width, 3)


def uncertainty(plate: Plate, lights: Sequence[Light]) -> Array:
    """One standard deviation (height, width) cd/m2 of what chance leaves in the luminance of all lights together."""
    total = np.zeros(plate.depth.shape, np.float32)
    for error, weight in zip(plate.errors, weights(lights), strict=True):
        # Light by light, chance is independent.
        total += np.square(error * np.float32(weight @ ACESCG.luminance))
        set_aside(error)
    return np.sqrt(total, out=total)


def means(plate: Plate) -> NDArray[np.float64]:
    """The mean (lights, 3) over the frame of each light's layer, at full level and white."""
    height, width = plate.depth.shape
    answer = np.zeros((len(plate.layers), 3))
    for row, layer in enumerate(plate.layers):
        columns = layer.reshape(height, -1).sum(axis=0, dtype=np.float64)
        answer[row] = columns.reshape(width, 3).sum(axis=0) / (height * width)
        set_aside(layer)
    return answer
