"""Grain: the sensor's noise.

A photosite that holds n electrons scatters by their count and by its reading: variance n + read^2 (electrons). How
many electrons a scene-linear value is follows from the electrons at clip, at the base ISO, and from how many stops
over grey the clip lies (`latitude.over`); at twice the ISO the same value is made of half as many.
Source: the linear model of EMVA Standard 1288, release 4.0, section 2. Electrons at clip, reading noise, base ISO and
photosites are those of a typical large sensor for motion pictures, from memory.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.camera.balance import balance_matrix
from preview.camera.exposure import GREY
from preview.camera.format import delivered, exposed
from preview.script.models.camera import Camera

Array = NDArray[np.float32]

BASE_ISO = 800.0
ELECTRONS_AT_CLIP = 40_000.0
"""At the base ISO, in each of the three colours of a photosite."""
READ_ELECTRONS = 4.0
PHOTOSITES_ACROSS = 4096.0
"""Over the width of the exposed format; they are square."""


def electrons_per_unit(camera: Camera) -> float:
    """Electrons that a scene-linear value of 1 is made of."""
    clip = GREY * 2.0**camera.latitude.over
    return ELECTRONS_AT_CLIP / clip * BASE_ISO / camera.iso


def photosites_per_pixel(camera: Camera, *, width: int, height: int) -> float:
    """Photosites under a pixel of a picture of the delivered frame; 1 at the least, where a pixel shares one."""
    area = delivered(camera)
    across = PHOTOSITES_ACROSS / exposed(camera).width_mm
    return max(1.0, area.width_mm * across / width * (area.height_mm * across / height))


def sensor_variance(signal: Array, camera: Camera, *, photosites: float) -> Array:
    """Variance of scene-linear sensor values (...), averaged over so many photosites; none grows beyond clip."""
    electrons = np.float32(electrons_per_unit(camera))
    clip = np.float32(GREY * 2.0**camera.latitude.over)
    counted = np.clip(signal, 0.0, clip) / electrons
    return np.asarray((counted + np.float32(READ_ELECTRONS**2) / electrons**2) / np.float32(photosites))


def with_grain(linear: Array, camera: Camera, *, seed: int) -> Array:
    """Scene-linear ACEScg (h, w, 3), exposed and balanced, with the sensor's noise; the same for a seed.

    The noise is that of the sensor before balance, of its own in each colour and pixel, so that a blue channel pushed
    for a warm light is the noisier. Values near black may come out below 0.
    """
    height, width = linear.shape[:2]
    balance = balance_matrix(camera)
    back, forth = np.linalg.inv(balance).astype(np.float32), balance.astype(np.float32)
    photosites = photosites_per_pixel(camera, width=width, height=height)
    random = np.random.Generator(np.random.Philox(seed))
    planes = [np.ascontiguousarray(linear[..., channel]) for channel in range(3)]
    noise = []
    for row in back:
        signal = row[0] * planes[0] + row[1] * planes[1] + row[2] * planes[2]
        deviation = np.sqrt(sensor_variance(signal, camera, photosites=photosites))
        noise.append(deviation * random.standard_normal((height, width), np.float32))
    result = np.empty_like(linear)
    for channel, row in enumerate(forth):
        result[..., channel] = planes[channel] + row[0] * noise[0] + row[1] * noise[1] + row[2] * noise[2]
    return result
