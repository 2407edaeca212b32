"""Heads as the script gives them: a lamp head described where it stands, and the colour that one is mixed to."""

from __future__ import annotations

from math import pi
from typing import Annotated, Literal

from pydantic import Field

from preview.script.fields import (
    Amount,
    Angle,
    Illuminance,
    Kelvin,
    Level,
    Model,
    Number,
    Positive,
    Rectangle,
)

FIELD_TO_BEAM = 1.4
"""Field angle over beam angle where only the beam is given. From memory: usual for fresnels at flood."""
USUAL_APERTURE = 0.2
"""Diameter of a beam's front, metres, where it is not given. From memory: a middling fresnel's."""


class LuxAt(Model):
    """An axial reading: this many lux at this distance."""

    lux: Illuminance
    at: Positive


class Head(Model):
    """A head described in place. Output: exactly one of candela (axial), lumens, reading; or a `photometry` file's own.

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
    photometry: str | None = None
    """A photometric file, LM-63 (.ies) or EULUMDAT (.ldt), by its path from the script: it says how the light spreads and
    what shines. Its vertical 0 goes along the aim; horizontal 0 is to the right and 90 above for who stands behind the
    head, until `turn`. `candela`, `lumens` or `reading` give it another strength, `aperture` or `size` another opening."""
    kelvin: Kelvin = 5600.0
    lamp: str | None = None
    """What light is made with, a name of the catalogue's spectra. Default: a plain light of that kelvin."""
    watts: Amount | None = None

    @property
    def field_angle(self) -> float | None:
        """The field angle in radians: as given, else the usual for the beam; None for an even source."""
        if self.field is not None or self.beam is None:
            return self.field
        return min(FIELD_TO_BEAM * self.beam, pi)


class Mixed(Model):
    """What a head of several colours of light is mixed to: a white by `kelvin` and `green`, or a `hue`.

    It gives as much of that as its emitters have together, so a deep colour has a small share of the lux of white.
    """

    kelvin: Kelvin | None = None
    """Of the white. Default: what the head is rated at."""
    green: Annotated[Number, Field(ge=-30, le=30)] = 0.0
    """Thousandths of Duv added to that white: positive is greener, negative more magenta."""
    hue: Annotated[Angle, Field(ge=0, le=2 * pi)] | None = None
    """Red at 0, green at 120, blue at 240 degrees, by the head's own emitters."""
    saturation: Annotated[Level, Field(le=1)] = 1.0
    """Full: the hue alone; 0: the white."""
