"""Exposure: how bright a luminance comes out for the camera's ISO, stop and shutter.

An 18 % grey card that faces the light is exposed as 0.18, the scene-linear grey, when its illuminance is

    E = C N^2 / (t S)

with N the T-stop, t the exposure time in seconds, S the ISO speed.
"""

from __future__ import annotations

from math import log2, pi, tau
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.script.models.camera import Camera

Array = NDArray[np.float32]

LUX_PER_FOOTCANDLE: Final = 10.763910416709722
"""One lumen a square foot: 1 / 0.3048^2."""

GREY: Final = 0.18

INCIDENT_CONSTANT: Final = 25.0 * LUX_PER_FOOTCANDLE
"""C in lux: 269.1, the camera department's own rule fc = 25 N^2 / (S t).

It lies inside the 240 to 400 that ISO 2720 allows for a flat receptor, and it is what ISO 12232 gives for an 18 %
card by the standard output sensitivity (268.5), so card, meter and sensor agree.
"""


def exposure_time(camera: Camera) -> float:
    """Seconds that the shutter is open: its part of a turn over the frames a second."""
    return camera.shutter.angle / tau / camera.shutter.fps


def grey_illuminance(*, iso: float, stop: float, time_s: float) -> float:
    """Lux that expose an 18 % grey card as 18 % grey."""
    return INCIDENT_CONSTANT * stop**2 / (time_s * iso)


def grey_illuminance_of(camera: Camera) -> float:
    """Lux that this camera wants on the subject."""
    return grey_illuminance(iso=camera.iso, stop=camera.lens.stop, time_s=exposure_time(camera))


def exposure_scale(camera: Camera) -> float:
    """Scene-linear value of one cd/m2: pi / E, since a card of 0.18 under E has 0.18 E / pi."""
    return pi / grey_illuminance_of(camera)


def stops_from_grey(value: Array) -> Array:
    """Stops over (positive) or under 18 % grey of scene-linear values (...), float32; -inf for no light at all."""
    with np.errstate(divide="ignore"):
        return np.log2(np.maximum(np.asarray(value, dtype=np.float32), 0.0) * np.float32(1.0 / GREY))


def incident_stops(lux: float, camera: Camera) -> float:
    """Stops over or under of an incident reading: 0 exposes a grey card as grey; -inf for no light at all."""
    return log2(lux / grey_illuminance_of(camera)) if lux > 0.0 else -np.inf


def footcandles(lux: float) -> float:
    """An illuminance in footcandles."""
    return lux / LUX_PER_FOOTCANDLE
