"""The camera as the script gives it."""

from __future__ import annotations

from math import pi
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from preview.script.fields import Angle, At, Focus, Kelvin, Level, Millimetres, Model, Number, Stops
from preview.script.quantities import shown


class Sensor(Model):
    """A format by its size."""

    width: Millimetres
    height: Millimetres


def _blades(value: Any) -> Any:
    if value == "round" or (type(value) is int and 5 <= value <= 18):
        return value
    raise ValueError(f"write round, or from 5 to 18 blades, not {shown(value)}")


def _per_cent(value: Any) -> Any:
    """A bare number in per cent, however small."""
    return f"{value} %" if type(value) in (int, float) else value


Blades = Annotated[Literal["round"] | Annotated[int, Field(ge=5, le=18)], BeforeValidator(_blades)]


class Lens(Model):
    focal: Millimetres
    stop: Annotated[Number, Field(ge=0.5, le=64)] = 2.8
    """T-stop."""
    squeeze: Annotated[Number, Field(ge=1, le=2.5)] = 1.0
    """2 for a two-times anamorphic; 1 for spherical."""
    image_circle: Millimetres | None = None
    """Diameter that the lens covers, where it is known."""
    blades: Blades = "round"
    """Of the iris, 5 to 18: the outline of what is out of focus; round for a circle."""
    glare: Annotated[Level, Field(le=0.2), BeforeValidator(_per_cent)] = 0.008
    """Share of all light that strays in the lens and glows round what is bright; a good lens has under 1 %."""
    vignette: Annotated[Stops, Field(ge=0, le=6)] = 0.0
    """Stops lost in the corners of the format, all causes together."""


class Shutter(Model):
    fps: Annotated[Number, Field(gt=0, le=1000)] = 24.0
    angle: Annotated[Angle, Field(gt=0, le=2 * pi)] = pi


class Latitude(Model):
    """What the sensor holds, in stops from 18 % grey."""

    under: Annotated[Stops, Field(gt=0, le=20)] = 7.0
    over: Annotated[Stops, Field(gt=0, le=20)] = 6.0


class Camera(Model):
    format: str | Sensor = "super35-3perf"
    lens: Lens
    at: At
    aim: At
    roll: Angle = 0.0
    """Positive rolls the camera clockwise as its operator sees it."""
    focus: Focus | None = None
    """What is sharp: a place or a distance; default: what the camera aims at."""
    aspect: Annotated[Number, Field(ge=0.3, le=5)] | None = None
    """Width to height of the delivered frame; default: the format's own, unsqueezed."""
    iso: Annotated[Number, Field(ge=6, le=1_000_000)] = 800.0
    shutter: Shutter = Shutter()
    balance: Kelvin = 5600.0
    tint: Annotated[Number, Field(ge=-100, le=100)] = 0.0
    """Thousandths of Duv: positive corrects a green light by adding magenta."""
    latitude: Latitude = Latitude()
    circle_of_confusion: Millimetres | None = None
    """Default: the format's diagonal over 1500."""
