"""Incident: the stop that a meter says for a reading, with either receptor, and what a spot meter says of a luminance."""

from __future__ import annotations

from math import inf, log2, pi, sqrt
from typing import Final

from preview.camera.exposure import INCIDENT_CONSTANT, LUX_PER_FOOTCANDLE, exposure_time
from preview.script.models.camera import Camera

DOME_CONSTANT: Final = 340.0
"""C in lux seconds of a hemispherical receptor, E = C N^2 / (t S).

A dome takes in more than a flat receptor does, so its constant is larger: ISO 2720:1974 allows 320 to 540, and 340 is in
use, as the documentation of the library colour-hdri quotes it; the standard itself was not read. With the flat
receptor's 269 of this program, both say the same stop where the dome reads 1.26 times the flat receptor: for light from
about 50 degrees to the side. For light from the lens the dome opens up by 0.34 stop, from the side it closes down.
"""
SPOT_CONSTANT: Final = 12.5
"""K in cd s/m2 of a spot meter's exposure value at ISO 100, L = K 2^EV / 100. In use beside 14, inside the 10.6 to 13.4 of
ISO 2720:1974, as quoted by the same."""
CANDELA_PER_FOOTLAMBERT: Final = LUX_PER_FOOTCANDLE / pi
"""cd/m2: a perfect white diffuser under a footcandle."""

SERIES: Final = (
    "0.5",
    "0.7",
    "1",
    "1.4",
    "2",
    "2.8",
    "4",
    "5.6",
    "8",
    "11",
    "16",
    "22",
    "32",
    "45",
    "64",
    "90",
    "128",
)
"""Full stops as they are engraved; the first is 2 stops more open than T1."""
FIRST: Final = -2
THIRDS: Final = ("", " and a third", " and two thirds")


def constant_of(*, dome: bool) -> float:
    """C in lux seconds of a receptor."""
    return DOME_CONSTANT if dome else INCIDENT_CONSTANT


def metered_stop(lux: float, camera: Camera, *, dome: bool) -> float | None:
    """The T-stop that a meter says at the camera's ISO and shutter; None without light."""
    if lux <= 0.0:
        return None
    return sqrt(lux * exposure_time(camera) * camera.iso / constant_of(dome=dome))


def over_grey(lux: float, camera: Camera, *, dome: bool) -> float:
    """Stops by which a reading lies over what the camera is set for; -inf without light."""
    stop = metered_stop(lux, camera, dome=dome)
    return -inf if stop is None else 2.0 * log2(stop / camera.lens.stop)


def stop_words(stop: float | None) -> str:
    """A T-stop to the nearest third, as it is called: `T4 and a third`, `below T0.5`, `no stop` without light.

    The thirds count from the full stop that is more open, as marked on lenses.
    """
    if stop is None:
        return "no stop"
    thirds = round(6.0 * log2(stop))
    whole, third = divmod(thirds, 3)
    number = whole - FIRST
    if number < 0:
        return f"below T{SERIES[0]}"
    if number >= len(SERIES) or (number == len(SERIES) - 1 and third):
        return f"above T{SERIES[-1]}"
    return f"T{SERIES[number]}{THIRDS[third]}"


def footlamberts(luminance: float) -> float:
    """cd/m2 in footlamberts."""
    return luminance / CANDELA_PER_FOOTLAMBERT


def exposure_value(luminance: float) -> float | None:
    """Exposure value at ISO 100 of a luminance in cd/m2; None without light."""
    return log2(100.0 * luminance / SPOT_CONSTANT) if luminance > 0.0 else None
