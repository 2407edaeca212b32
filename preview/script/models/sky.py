"""The distant sources as the script gives them: the moon, and the glow of the sky."""

from __future__ import annotations

from math import pi, radians
from typing import Annotated, Any

from pydantic import ConfigDict, Field, model_validator

from preview.script.fields import Angle, Illuminance, Kelvin, Model, Number, Quantity, Stops, Yes
from preview.script.quantities import shown

REAL_MOON = radians(0.52)
"""Apparent diameter of the moon at its mean distance. Source: radius 1737.4 km at 384 400 km."""
USUAL_SKY_LUX = 0.002
"""Clear moonless night with airglow on level ground. Source: published lists of illuminances by order of magnitude."""
CLEAR_HORIZON = 0.85
"""Stops that a clear night's sky is brighter at the horizon than overhead.

Source: airglow after R. H. Garstang 1989, PASP 101, 306, with 0.6 of the light from it and 0.172 magnitudes lost in an
air mass (K. Krisciunas and B. E. Schaefer 1991, PASP 103, 1033).
"""


class Moon(Model):
    """A distant source. Light comes FROM azimuth (clockwise from the plan's north) and elevation.

    Of a real one the scene holds the true azimuth, elevation and lux; below the horizon its lux is 0.
    """

    model_config = ConfigDict(
        json_schema_extra={
            "anyOf": [{"required": ["azimuth", "elevation"]}, {"required": ["real"]}],
        }
    )

    real: Yes = False
    """Whether it is the true moon of the script's place, night and time: azimuth, elevation and lux follow."""
    azimuth: Angle = 0.0
    """Where its light comes from. Needed, but of a real one."""
    elevation: Annotated[Angle, Field(gt=0, le=pi / 2)] = 0.0
    """How high it stands above the horizon. Needed, but of a real one."""
    lux: Illuminance = 0.25
    """On a surface that faces it. Default: a clear full moon, high."""
    size: Annotated[Angle, Field(gt=0, le=radians(60))] = REAL_MOON
    """Apparent diameter: half a degree is the real moon; tens of degrees is very soft."""
    kelvin: Kelvin = 4100.0
    visible: Yes | None = None
    """Whether the camera sees its disc. Default: yes where it is half to twice as large as the real moon."""

    @model_validator(mode="before")
    @classmethod
    def _real(cls, data: Any) -> Any:
        """`moon: real`."""
        if isinstance(data, str):
            if data.strip().lower() != "real":
                raise ValueError(f"{shown(data)} is no moon; write real, or {{azimuth: 250, elevation: 35}}")
            return {"real": True}
        return data

    @property
    def is_visible(self) -> bool:
        """As given; else whether it can be taken for the moon, and not for a lamp that plays one."""
        if self.visible is not None:
            return self.visible
        return 0.5 * REAL_MOON <= self.size <= 2.0 * REAL_MOON


class TownGlow(Model):
    """The light dome of a town beyond the horizon."""

    azimuth: Angle
    """Where the town lies, clockwise from north."""
    stops: Annotated[Stops, Field(gt=0, le=8)] = 2.0
    """How much brighter the sky is at the horizon there than at the horizon elsewhere."""
    width: Annotated[Angle, Field(ge=radians(5), le=radians(120))] = radians(60)
    """Between the azimuths where half of the glow is left; it stands a quarter as high. A near town is wide."""


class Sky(Model):
    """Glow of the dome above the horizon; given by its lux on open level ground, or by its brightness overhead."""

    lux: Illuminance | None = None
    """On open level ground, from the whole sky, town and all. Default: 0.002 lux, a clear night without a moon."""
    brightness: Annotated[Number, Quantity("sky"), Field(ge=12, le=23)] | None = None
    """Overhead, in magnitudes to the square arc second: 22 is the darkest there is, 18 a town's."""
    kelvin: Kelvin = 9000.0
    horizon: Annotated[Stops, Field(ge=-2, le=5)] = CLEAR_HORIZON
    """How much brighter the sky is at the horizon than overhead; 0 is even."""
    glow: TownGlow | None = None
    stars: Yes = False
    """Whether the camera sees stars; what they give is part of the sky's light."""

    @property
    def level_lux(self) -> float:
        """The lux as given, else the usual; of no account where the brightness is given."""
        return USUAL_SKY_LUX if self.lux is None else self.lux
