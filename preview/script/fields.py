"""The types of the script's fields: a quantity's parser, its limits and its place in the JSON Schema."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema

from preview.script import quantities


class Model(BaseModel):
    """Base of every part of a script: unknown keys refused, values frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True, allow_inf_nan=False)


def _written(description: str, example: str) -> WithJsonSchema:
    return WithJsonSchema({"type": ["number", "string"], "description": description, "examples": [example]})


Length = Annotated[
    float, BeforeValidator(quantities.length), _written("A length: metres, or with a unit.", "5 ft 6 in")
]
Positive = Annotated[Length, Field(gt=0)]
NotNegative = Annotated[Length, Field(ge=0)]
Millimetres = Annotated[
    float,
    BeforeValidator(quantities.millimetres),
    Field(gt=0),
    _written("A length in millimetres, or with a unit.", "35 mm"),
]
Angle = Annotated[
    float, BeforeValidator(quantities.angle), _written("An angle in degrees, or with a unit.", "38 deg")
]
Kelvin = Annotated[
    float,
    BeforeValidator(quantities.kelvin),
    Field(ge=1000, le=25000),
    _written("A colour temperature.", "3200 K"),
]
Level = Annotated[
    float, BeforeValidator(quantities.level), Field(ge=0), _written("Per cent, or stops from full.", "60 %")
]
Stops = Annotated[float, BeforeValidator(quantities.stops), _written("Stops.", "1.5 stops")]
Illuminance = Annotated[
    float, BeforeValidator(quantities.illuminance), Field(gt=0), _written("Lux, or footcandles.", "12 fc")
]
Mired = Annotated[
    float,
    BeforeValidator(quantities.mired),
    Field(ge=-500, le=500),
    _written("A shift in mireds.", "+30 mired"),
]
Rectangle = Annotated[
    tuple[Positive, Positive],
    BeforeValidator(quantities.rectangle),
    WithJsonSchema(
        {
            "anyOf": [{"type": "string"}, {"type": "array", "minItems": 2, "maxItems": 2}],
            "examples": ["12x12 ft"],
        }
    ),
]
Point2 = tuple[Length, Length]
Point3 = tuple[Length, Length, Length]
Path2 = Annotated[list[Point2], Field(min_length=2)]


class Place(Model):
    """A place: coordinates, or a named place with an offset.

    Written `[x, y]`, `[x, y, z]`, `Mara.eyes`, or `{of: Mara.eyes, offset: [0, 0, 0.2]}`.
    The offset is in world axes (x right/east, y north, z up), metres.
    """

    of: str | None = None
    offset: Point3 = (0.0, 0.0, 0.0)


def _place(value: Any) -> Any:
    if isinstance(value, str):
        return {"of": value}
    if isinstance(value, list | tuple):
        if len(value) not in (2, 3):
            raise ValueError("a place is [x, y], [x, y, z], a name, or {of: name, offset: [x, y, z]}")
        return {"offset": [*value, 0.0][:3]}
    return value


At = Annotated[Place, BeforeValidator(_place)]
Facing = Annotated[
    float | Place,
    BeforeValidator(lambda v: quantities.angle(v) if quantities.is_angle(v) else _place(v)),
]
"""An azimuth in radians clockwise from north, or a place to look at."""
