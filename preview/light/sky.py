"""Sky: the distant sources: the moon, the glow of the dome."""

from __future__ import annotations

from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from preview.light.emitters.distant import Distant
from preview.light.emitters.dome import Dome
from preview.light.finish import finished
from preview.light.light import Light
from preview.script.models.fixtures import Fixture, Moon, Sky

Floats = NDArray[np.float64]


def towards(*, azimuth: float, elevation: float) -> Floats:
    """Unit direction (3,) to a place in the sky; radians, azimuth clockwise from north."""
    return np.array([sin(azimuth) * cos(elevation), cos(azimuth) * cos(elevation), sin(elevation)])


def moon_light(fixture: Fixture, moon: Moon) -> Light:
    direction = towards(azimuth=moon.azimuth, elevation=moon.elevation)
    emitter = Distant(direction, moon.lux, moon.size / 2.0)
    return finished(fixture, (emitter,), kelvin=moon.kelvin)


def sky_light(fixture: Fixture, sky: Sky) -> Light:
    return finished(fixture, (Dome(sky.lux),), kelvin=sky.kelvin)
