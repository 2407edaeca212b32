"""Sky: the distant sources: the moon, the dome with what a town adds to it."""

from __future__ import annotations

from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.distant import Distant
from preview.light.emitters.dome import Dome, TownGlow, level_lux
from preview.light.emitters.phased import Phased
from preview.light.finish import finished
from preview.light.light import Light
from preview.script.models.fixtures import Fixture
from preview.script.models.sky import Moon, Sky
from preview.script.real_moon import moon_of, way_in_plan
from preview.script.scene import Scene

Floats = NDArray[np.float64]


def towards(*, azimuth: float, elevation: float) -> Floats:
    """Unit direction (3,) to a place in the sky; radians, azimuth clockwise from north."""
    return np.array([sin(azimuth) * cos(elevation), cos(azimuth) * cos(elevation), sin(elevation)])


def luminance(brightness: float) -> float:
    """cd/m2 of a sky of so many magnitudes to the square arc second.

    Source: L = 10.8e4 x 10^(-0.4 m), the conversion of sky quality meters.
    """
    return float(10.8e4 * 10.0 ** (-0.4 * brightness))


def moon_light(scene: Scene, fixture: Fixture, moon: Moon) -> Light:
    direction = towards(azimuth=moon.azimuth, elevation=moon.elevation)
    emitter = Distant(direction, moon.lux, moon.size / 2.0, visible=moon.is_visible)
    if moon.real and "size" not in moon.model_fields_set:
        emitter = _in_its_phase(scene, emitter)
    return finished(scene, fixture, (emitter,), kelvin=moon.kelvin)


def _in_its_phase(scene: Scene, moon: Distant) -> Distant:
    """The true moon, of which the camera sees what is lit."""
    seen = moon_of(scene.place, scene.night) if scene.place is not None and scene.night is not None else None
    if seen is None or scene.place is None:
        return moon
    limb = np.array(way_in_plan(seen.limb, scene.place))
    limb -= (limb @ moon.towards) * moon.towards
    return Phased(
        moon.towards,
        moon.lux,
        moon.half_angle,
        moon.visible,
        lit=seen.lit,
        limb=limb / np.linalg.norm(limb),
    )


def sky_light(scene: Scene, fixture: Fixture, sky: Sky) -> Light:
    """Stars take the sky's colour and level with it."""
    town = None if sky.glow is None else TownGlow(sky.glow.azimuth, sky.glow.stops, sky.glow.width)
    lux = sky.level_lux
    if sky.brightness is not None:
        lux = luminance(sky.brightness) * level_lux(horizon=sky.horizon, town=town)
    dome = Dome(lux, sky.horizon, town, sky.stars)
    return finished(scene, fixture, (dome,), kelvin=sky.kelvin)
