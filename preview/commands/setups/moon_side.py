"""Moon side: from where in the world, and in the frame, the light that plays the moon reaches a figure."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan2, cos, degrees, hypot, sin

import numpy as np
from numpy.typing import NDArray

from preview.camera.bearing import Bearing, bearing
from preview.commands.prepare import Ready
from preview.light.light import Light
from preview.script.models.cast import Figure
from preview.script.models.fixtures import Fixture
from preview.script.motives import MOON, motive_of
from preview.script.scene import Scene

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Source:
    """One light as it comes to a figure's eyes: degrees clockwise from north and up from level, in the world; `way`, as
    the camera sees it; `towards` (3,) m to where it comes from, or just the way there of what `is_far`: a moon."""

    fixture: str
    azimuth_deg: float
    height_deg: float
    way: Bearing
    towards: tuple[float, float, float]
    is_far: bool


def moon_sources(ready: Ready, figure: Figure) -> tuple[Source, ...]:
    """Of every light that plays the moon and is on."""
    answer = []
    for fixture, light in zip(ready.scene.fixtures, ready.lights, strict=True):
        if motive_of(fixture) == MOON and fixture.level > 0.0:
            found = source_of(ready, figure, fixture, light)
            answer += [] if found is None else [found]
    return tuple(answer)


def source_of(ready: Ready, figure: Figure, fixture: Fixture, light: Light) -> Source | None:
    """Of one fixture; None for one that has no place, such as a sky."""
    eyes = eyes_of(ready.scene, figure)
    towards = _towards(ready.scene, eyes, fixture, light)
    if towards is None or np.linalg.norm(towards) < 1e-6:
        return None
    east, north, up = (towards / np.linalg.norm(towards)).tolist()
    return Source(
        fixture.name,
        degrees(atan2(east, north)) % 360.0,
        degrees(asin(max(-1.0, min(1.0, up)))),
        bearing(towards, eyes, ready.view),
        (float(towards[0]), float(towards[1]), float(towards[2])),
        fixture.moon is not None,
    )


def eyes_of(scene: Scene, figure: Figure) -> Floats:
    """Where a figure's eyes are, metres (3,)."""
    return np.array(scene.anchors[f"{figure.name}.eyes"].position)


def apart_deg(one: float, other: float) -> float:
    """From one azimuth to another, degrees, -180 to 180, clockwise positive."""
    return (other - one + 180.0) % 360.0 - 180.0


def _towards(scene: Scene, eyes: Floats, fixture: Fixture, light: Light) -> Floats | None:
    """The way (3,), of any length, to where a fixture's light comes from: its last bounce board, its head, the moon."""
    moon = fixture.moon
    if moon is not None:
        level = cos(moon.elevation)
        return np.array([sin(moon.azimuth) * level, cos(moon.azimuth) * level, sin(moon.elevation)])
    boards = [stood.centre for stood in light.modifiers if stood.kind == "bounce"]
    if boards:
        return np.asarray(boards[-1] - eyes)
    at = fixture.practical.at if fixture.practical is not None else fixture.at
    return None if at is None else scene.point(at) - eyes


def camera_round_deg(ready: Ready, figure: Figure) -> float:
    """Azimuth, degrees, from a figure to the lens."""
    east, north = (ready.view.position - eyes_of(ready.scene, figure))[:2].tolist()
    return degrees(atan2(east, north)) % 360.0 if hypot(east, north) > 1e-6 else 0.0
