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
    Yes,
)

FIELD_TO_BEAM = 1.4
"""Field angle over beam angle where only the beam is given. From memory: usual for fresnels at flood."""
USUAL_APERTURE = 0.2
"""Diameter of a beam's front, metres, where it is not given. From memory: a middling fresnel's."""

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
    size: Annotated[Angle, Field(gt=0, le=radians(60))] = radians(0.52)
    """Apparent diameter: half a degree is the real moon; tens of degrees is very soft."""
    kelvin: Kelvin = 4100.0


class Sky(Model):
    """Even glow of the dome above the horizon; lux on open level ground."""

    lux: Illuminance = 0.002
    kelvin: Kelvin = 9000.0


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
