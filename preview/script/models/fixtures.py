"""Fixtures as the script gives them: one lighting unit as placed, and what it shines through.

A fixture is exactly one of: `head` (from the catalogue, or described in place), `moon`, `sky`, `practical`.
"""

from __future__ import annotations

from math import pi, radians
from typing import Annotated, Literal

from pydantic import Field

from preview.script.fields import (
    Angle,
    At,
    Facing,
    Illuminance,
    Kelvin,
    Level,
    Mired,
    Model,
    Name,
    Number,
    Positive,
    Rectangle,
    Stops,
    Yes,
)

FIELD_TO_BEAM = 1.4
"""Field angle over beam angle where only the beam is given. From memory: usual for fresnels at flood."""
USUAL_APERTURE = 0.2
"""Diameter of a beam's front, metres, where it is not given. From memory: a middling fresnel's."""

REAL_MOON = radians(0.52)
"""Apparent diameter of the moon at its mean distance. Source: radius 1737.4 km at 384 400 km."""
USUAL_SKY_LUX = 0.002
"""Clear moonless night with airglow on level ground. Source: published lists of illuminances by order of magnitude."""
CLEAR_HORIZON = 0.85
"""Stops that a clear night's sky is brighter at the horizon than overhead.

Source: airglow after R. H. Garstang 1989, PASP 101, 306, with 0.6 of the light from it and 0.172 magnitudes lost in an
air mass (K. Krisciunas and B. E. Schaefer 1991, PASP 103, 1033).
"""

Amount = Annotated[Number, Field(gt=0)]


class LuxAt(Model):
    """An axial reading: this many lux at this distance."""

    lux: Illuminance
    at: Positive


class Head(Model):
    """A head described in place. Output: exactly one of candela (axial), lumens, reading.

    shape beam: a lensed or reflector head, `aperture` its diameter, beam (50 %) and field (10 %) angles.
    shape panel: a flat soft source of `size`; Lambertian unless beam and field are given.
    shape ball: a sphere of `aperture` diameter, even all round.
    """

    shape: Literal["beam", "panel", "ball"] = "beam"
    candela: Amount | None = None
    lumens: Amount | None = None
    reading: LuxAt | None = None
    beam: Annotated[Angle, Field(gt=0, lt=pi)] | None = None
    field: Annotated[Angle, Field(gt=0, le=pi)] | None = None
    aperture: Positive | None = None
    size: Rectangle | None = None
    kelvin: Kelvin = 5600.0
    watts: Amount | None = None

    @property
    def field_angle(self) -> float | None:
        """The field angle in radians: as given, else the usual for the beam; None for an even source."""
        if self.field is not None or self.beam is None:
            return self.field
        return min(FIELD_TO_BEAM * self.beam, pi)


class Moon(Model):
    """A distant source. Light comes FROM azimuth (clockwise from north) and elevation."""

    azimuth: Angle
    elevation: Annotated[Angle, Field(gt=0, le=pi / 2)]
    lux: Illuminance = 0.25
    """On a surface that faces it. Default: a clear full moon, high."""
    size: Annotated[Angle, Field(gt=0, le=radians(60))] = REAL_MOON
    """Apparent diameter: half a degree is the real moon; tens of degrees is very soft."""
    kelvin: Kelvin = 4100.0
    visible: Yes | None = None
    """Whether the camera sees its disc. Default: yes where it is half to twice as large as the real moon."""

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
    brightness: Annotated[Number, Field(ge=12, le=23)] | None = None
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


class Practical(Model):
    """A source that may be seen in frame, with its true luminance."""

    kind: Literal["bulb", "lantern", "street_lamp", "tube", "window", "candle"]
    at: At
    """A place; for a window, the name of one (`house.window[0]`)."""
    watts: Amount | None = None
    lumens: Amount | None = None
    luminance: Amount | None = None
    """cd/m2, for a lit window."""
    kelvin: Kelvin | None = None
    size: Positive | None = None
    """Diameter of a bulb, lantern or lamp glass; length of a tube. Default by kind."""
    facing: Facing | None = None
    """For a tube: the way it runs."""


class Through(Model):
    """One thing in the light's way, from the head outwards: exactly one of gel, shift, scrim, frame."""

    gel: str | None = None
    shift: Mired | None = None
    scrim: Literal["single", "double", "half single", "half double"] | None = None
    frame: Rectangle | None = None
    cloth: str | None = None
    away: Positive = 1.5
    """From the head to the frame along the axis."""


class Fixture(Model):
    name: Name
    head: str | Head | None = None
    moon: Moon | None = None
    sky: Sky | None = None
    practical: Practical | None = None
    at: At | None = None
    aim: At | None = None
    level: Level = 1.0
    kelvin: Kelvin | None = None
    """Overrides the head's own, where a head can be set."""
    through: list[Through] = Field(default=[], max_length=12)
    stand: Yes = True
    """Whether a head stands on a stand from the ground, or is rigged from elsewhere."""
