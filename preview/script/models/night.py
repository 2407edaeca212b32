"""The night as the script gives it: where on earth the set lies, and which night it is shot."""

from __future__ import annotations

from datetime import date as Date
from datetime import time as Time
from math import pi
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from preview.script import place_and_time
from preview.script.fields import Angle, Length, Model, Number, Quantity
from preview.script.quantities import shown

USUAL_EXTINCTION = 0.25
"""Magnitudes that clear lowland air takes from what stands overhead: 21 per cent. From memory, typical; on a high
mountain 0.172 (K. Krisciunas and B. E. Schaefer 1991, PASP 103, 1033)."""


def _text(description: str, *examples: str | float) -> WithJsonSchema:
    return WithJsonSchema(
        {"type": ["string", "number"], "description": description, "examples": list(examples)}
    )


Latitude = Annotated[
    float,
    Quantity("angle"),
    BeforeValidator(place_and_time.latitude),
    _text("Degrees, north positive, or with N or S.", "57 N", -33.9),
]
Longitude = Annotated[
    float,
    Quantity("angle"),
    BeforeValidator(place_and_time.longitude),
    _text("Degrees, east positive, or with E or W.", "4 E", -70.5),
]
Zone = Annotated[
    str,
    BeforeValidator(place_and_time.zone),
    _text("A name of the time zone database, or hours from universal time.", "CET", "+02:00"),
]
Evening = Annotated[
    Date, BeforeValidator(place_and_time.evening), _text("Year, month and day.", "2026-10-24")
]
Clock = Annotated[
    Time, BeforeValidator(place_and_time.clock), _text("Hours and minutes.", "21:30", "9:30 pm")
]
Cloud = Annotated[
    float,
    Quantity("level"),
    BeforeValidator(place_and_time.cloud),
    Field(ge=0, le=1),
    _text("How much of the sky: per cent or eighths.", "30 %", "3/8", "overcast"),
]


class PlaceOnEarth(Model):
    """Where the set lies; the sky over it follows."""

    latitude: Latitude
    longitude: Longitude
    zone: Zone
    """Whose clocks the call sheet goes by: a name of the time zone database, which knows when they change, or an offset."""
    height: Annotated[Length, Field(ge=-500, le=9000)] = 0.0
    """Above the sea."""
    north: Annotated[Angle, Field(ge=-2 * pi, le=2 * pi)] = 0.0
    """The azimuth of the script's plan at which true north lies: a set is often drawn square to the house."""


class Night(Model):
    """The night that begins on the evening of `date`; a time after midnight belongs to it too."""

    date: Evening
    """Of its evening: 02:15 in the night of the 24th is on the 25th by the calendar."""
    time: Clock | None = None
    """By the clocks of the place; an hour that comes twice as clocks go back is the first. Default: none told."""
    cloud: Cloud = 0.0
    """How much of the sky is covered. The moon then gives what it gives through such a sky on average."""
    extinction: Annotated[Number, Field(ge=0.05, le=2)] = USUAL_EXTINCTION
    """Magnitudes that clear air takes from what stands overhead: 0.15 on a mountain, 0.25 in clear lowland, 0.5 in haze."""

    @model_validator(mode="before")
    @classmethod
    def _date_alone(cls, data: Any) -> Any:
        """`night: 2026-10-24` is the night of that date, at no time."""
        if isinstance(data, str | int | float) and not isinstance(data, bool):
            return {"date": place_and_time.evening(data)}
        if isinstance(data, Date):
            return {"date": data}
        if not isinstance(data, dict | Night):
            raise ValueError(f"{shown(data)} is no night; {place_and_time.HOW_NIGHT}")
        return data
