"""Source clip: how far a lamp in frame is over what the sensor holds, by its own luminance, whatever the picture's size."""

from __future__ import annotations

from math import inf, log2
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.exposure import exposure_scale, stops_from_grey
from preview.camera.framing import focus_distance
from preview.camera.lens import blur_disc_mm
from preview.commands.prepare import Ready
from preview.light.emitters.distant import Distant
from preview.light.emitters.phased import Phased
from preview.light.light import Glow, Light

Floats = NDArray[np.float64]

FEW: Final = 40
"""Pixels under which those of a lamp are no judge: most of them hold something else as well."""
STRING_GLOBE: Final = 0.045
"""Metres across one globe of a string that does not say."""


def over_by_source(ready: Ready, name: str, *, pixels: int) -> float | None:
    """Stops that a practical's own luminance is over the latitude, negative under it; -inf of one that is off.

    Its light goes through the haze and, where it is out of focus, is spread over its disc. None where its pixels tell
    better: of a flame, which is uneven, that fills more than FEW of them.
    """
    lights = [light for light in ready.lights if light.name == name and light.glows]
    even = all(type(glow).seen_at is Glow.seen_at for light in lights for glow in light.glows)
    if not lights or not (even or pixels < FEW):
        return None
    return max(_over(ready, light, glow) for light in lights for glow in light.glows)


def over_of_luminance(ready: Ready, luminance: float) -> float:
    """Stops that a luminance, cd/m2 as it comes to the lens, is over the latitude; -inf of none."""
    camera = ready.scene.camera
    value = np.array([luminance * exposure_scale(camera)], np.float32)
    return float(stops_from_grey(value)[0]) - camera.latitude.over


def moon_luminance(ready: Ready, light: Light) -> float:
    """cd/m2 of what is lit of a moon's disc, as it comes to the lens."""
    most = 0.0
    for moon in light.emitters:
        if not isinstance(moon, Distant):
            continue
        luminance = moon.luminance / (moon.lit if isinstance(moon, Phased) and moon.lit > 0.0 else 1.0)
        if ready.haze is not None:
            start, way = (
                one.astype(np.float32)[:, np.newaxis] for one in (ready.view.position, moon.towards)
            )
            luminance *= float(ready.haze.passing(start, way, np.array([inf], np.float32))[0])
        most = max(most, luminance * light.gain)
    return most


def _over(ready: Ready, light: Light, glow: Glow) -> float:
    vertices = np.asarray(glow.part.vertices, np.float64)
    middle = vertices.mean(axis=0)
    away = ready.view.position - middle
    distance = float(np.linalg.norm(away))
    towards = (away / max(distance, 1e-9)).astype(np.float32)[:, np.newaxis]
    luminance = float(glow.seen(towards)[0]) * light.gain
    if ready.haze is not None:
        start = middle.astype(np.float32)[:, np.newaxis]
        luminance *= float(ready.haze.passing(start, towards, np.array([distance], np.float32))[0])
    over = over_of_luminance(ready, luminance)
    return over if over == -inf else over + log2(_kept(ready, light.name, vertices))


def _kept(ready: Ready, name: str, vertices: Floats) -> float:
    """The share of a lamp's luminance that is left in the middle of its disc of confusion: 1 for one that is sharp."""
    view, scene = ready.view, ready.scene
    lens, focus = scene.camera.lens, focus_distance(scene)
    away = vertices - view.position
    depth = float(away.mean(axis=0) @ view.forward)
    if depth <= 0.0 or focus <= lens.focal / 1000.0:
        return 1.0
    wide, high = float(np.ptp(away @ view.right)), float(np.ptp(away @ view.up))
    practical = next((one.practical for one in scene.fixtures if one.name == name), None)
    if practical is not None and practical.kind == "string":
        size = practical.size if isinstance(practical.size, float) else STRING_GLOBE
        wide = high = size
    disc = blur_disc_mm(focal_mm=lens.focal, stop=lens.stop, focus=focus, distance=depth)
    # Both are ellipses on the sensor, the lamp's as large as the lens draws it.
    drawn = wide * high * (lens.focal / depth) ** 2
    return min(1.0, drawn / disc**2) if disc > 0.0 and drawn > 0.0 else 1.0
