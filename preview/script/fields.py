"""The types of the script's fields: a quantity's parser, its limits and its place in the JSON Schema."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema, model_validator

from preview.script import quantities


class Model(BaseModel):
    """Base of every part of a script: unknown keys refused, values frozen."""

    # Built when first used: a scene needs few of the kinds of piece there are.
    model_config = ConfigDict(
        extra="forbid", frozen=True, populate_by_name=True, allow_inf_nan=False, defer_build=True
    )

    @model_validator(mode="before")
    @classmethod
    def _bare_keys(cls, data: Any) -> Any:
        """A key written without a value, such as `porch:`, takes its part with every default."""
        if not isinstance(data, dict) or None not in data.values():
            return data
        parts = {
            field.alias or name
            for name, field in cls.model_fields.items()
            if any(isinstance(part, type) and issubclass(part, Model) for part in _parts(field.annotation))
        }
        return {key: {} if value is None and key in parts else value for key, value in data.items()}


def _parts(annotation: Any) -> tuple[Any, ...]:
    """The members of an optional type without text among them, else the type itself; none of a list."""
    if get_origin(annotation) not in (Union, UnionType):
        return (annotation,)
    members = get_args(annotation)
    return () if str in members else members


@dataclass(frozen=True)
class Quantity:
    """Which kind of quantity a field holds, so that limits and defaults can be told in its unit."""

    kind: Literal["length", "millimetres", "angle", "kelvin", "level", "stops", "lux", "mired", "sky"]


def _written(description: str, *examples: str | float) -> WithJsonSchema:
    return WithJsonSchema(
        {"type": ["number", "string"], "description": description, "examples": list(examples)}
    )


Number = Annotated[float, BeforeValidator(quantities.number), WithJsonSchema({"type": "number"})]
Amount = Annotated[Number, Field(gt=0)]
Whole = Annotated[int, BeforeValidator(quantities.whole), WithJsonSchema({"type": "integer"})]
Seed = Annotated[Whole, Field(ge=0, le=2**31 - 1)]
"""What makes anything grown or strewn come out the same each time."""
Yes = Annotated[bool, BeforeValidator(quantities.yes), WithJsonSchema({"type": "boolean"})]

Length = Annotated[
    float,
    Quantity("length"),
    BeforeValidator(quantities.length),
    _written("A length: metres, or with a unit.", "5 ft 6 in", 3.5, "80 cm"),
]
Positive = Annotated[Length, Field(gt=0)]
NotNegative = Annotated[Length, Field(ge=0)]
Millimetres = Annotated[
    float,
    Quantity("millimetres"),
    BeforeValidator(quantities.millimetres),
    Field(gt=0),
    _written("A length in millimetres, or with a unit.", "35 mm"),
]
Angle = Annotated[
    float,
    Quantity("angle"),
    BeforeValidator(quantities.angle),
    _written("An angle in degrees, or with a unit.", "38 deg"),
]
Steepness = Annotated[
    float,
    Quantity("angle"),
    BeforeValidator(quantities.steepness),
    Field(gt=0, le=radians(45)),
    _written("How steep: degrees, or per cent of the way.", "6 deg", "8 %"),
]
Kelvin = Annotated[
    float,
    Quantity("kelvin"),
    BeforeValidator(quantities.kelvin),
    Field(ge=1000, le=25000),
    _written("A colour temperature.", "3200 K"),
]
Level = Annotated[
    float,
    Quantity("level"),
    BeforeValidator(quantities.level),
    Field(ge=0),
    _written("Per cent, or stops from full.", "60 %", "-1.5 stops", "full"),
]
Stops = Annotated[
    float,
    Quantity("stops"),
    BeforeValidator(quantities.stops),
    _written("Stops.", "1.5 stops", "1 1/3 stops"),
]
Illuminance = Annotated[
    float,
    Quantity("lux"),
    BeforeValidator(quantities.illuminance),
    Field(gt=0),
    _written("Lux, or footcandles.", "12 fc", "130 lux"),
]
Mired = Annotated[
    float,
    Quantity("mired"),
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
            "description": "Width and height: metres, or with a unit.",
            "examples": ["12x12 ft", "1.2x0.6 m"],
        }
    ),
]
Heights = Annotated[
    str | tuple[tuple[float, ...], ...],
    Quantity("length"),
    BeforeValidator(quantities.heights),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string"},
                {
                    "type": "array",
                    "minItems": 2,
                    "items": {"type": "array", "minItems": 2, "items": {"type": ["number", "string"]}},
                },
            ],
            "description": "Rows of heights from north to south, each from west to east, or a picture of grey.",
        }
    ),
]
Relief = Annotated[
    tuple[float, float],
    Quantity("length"),
    BeforeValidator(quantities.relief),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": ["number", "string"]},
                {"type": "array", "minItems": 2, "maxItems": 2, "items": {"type": ["number", "string"]}},
            ],
            "description": "The lowest and the highest, or the highest alone: metres, or with a unit.",
            "examples": ["12 m"],
        }
    ),
]
Point2 = tuple[Length, Length]
Point3 = tuple[Length, Length, Length]
Path2 = Annotated[list[Point2], Field(min_length=2, max_length=500)]


def _name(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    name = value.strip()
    if not name:
        raise ValueError("a name cannot be empty")
    if len(name) > 60:
        raise ValueError(f"{quantities.shown(name)} is too long for a name; 60 letters at most")
    if any(letter in ".[]/\\:" or not letter.isprintable() for letter in name):
        raise ValueError(
            f"a name cannot hold . [ ] / \\ : or line breaks, which {quantities.shown(name)} does: "
            "places are named with them"
        )
    return name


Name = Annotated[str, BeforeValidator(_name)]
"""The name of a piece, figure, fixture or mark."""


class Place(Model):
    """A place: coordinates, or a named place with an offset.

    Written `[x, y]`, on the ground there; `[x, y, z]`; `{at: [x, y], above: 1.5}`, so high above the ground there;
    `Mara.eyes`; `{of: Mara.eyes, offset: [0, 0, 0.2]}`; or `{of: gate, above: 1.5}`.
    The offset is in world axes (x right/east, y north, z up), metres.
    """

    of: str | None = None
    offset: Point3 = (0.0, 0.0, 0.0)
    above: Length | None = None
    """How high it is above the ground, a street or a path included, in place of a height of its own."""


HOW_PLACE = (
    "write [x, y], [x, y, z], {at: [x, y], above: 1.5}, a name such as Mara.eyes, "
    "or {of: Mara.eyes, offset: [x, y, z]}"
)


def _place(value: Any) -> Any:
    if isinstance(value, str):
        return {"of": value.strip()}
    if isinstance(value, list | tuple):
        if len(value) not in (2, 3):
            raise ValueError(f"a list of {len(value)} is not a place; {HOW_PLACE}")
        return {"offset": [*value, 0.0][:3], **({"above": 0.0} if len(value) == 2 else {})}
    if isinstance(value, dict) and "at" in value:
        return _over(value)
    if isinstance(value, Place) or (isinstance(value, dict) and value):
        return value
    raise ValueError(f"{quantities.shown(value)} is not a place; {HOW_PLACE}")


def _over(value: dict[str, Any]) -> dict[str, Any]:
    at = value["at"]
    if "of" in value or "offset" in value:
        raise ValueError("a place is at a plan point or of another place, not both")
    if not isinstance(at, list | tuple) or len(at) != 2 or "above" not in value:
        raise ValueError(
            f"at is a plan point here, with a height above the ground: {{at: [x, y], above: 1.5}}; {HOW_PLACE}"
        )
    return {"offset": [*at, 0.0], **{key: given for key, given in value.items() if key != "at"}}


_PLACE_SCHEMA: dict[str, Any] = {
    "anyOf": [
        {"type": "string"},
        {"type": "array", "minItems": 2, "maxItems": 3, "items": {"type": ["number", "string"]}},
        {
            "type": "object",
            "properties": {
                "of": {"type": "string"},
                "offset": {
                    "type": "array",
                    "minItems": 3,
                    "maxItems": 3,
                    "items": {"type": ["number", "string"]},
                },
                "at": {
                    "type": "array",
                    "minItems": 2,
                    "maxItems": 2,
                    "items": {"type": ["number", "string"]},
                },
                "above": {"type": ["number", "string"]},
            },
            "additionalProperties": False,
        },
    ],
    "description": "A place: [x, y], [x, y, z], {at: [x, y], above: 1.5}, a name, or {of: name, offset: [x, y, z]}.",
    "examples": ["Mara.eyes"],
}


def _or_number(schema: dict[str, Any], description: str) -> WithJsonSchema:
    return WithJsonSchema({"anyOf": [{"type": "number"}, *schema["anyOf"]], "description": description})


def _facing(value: Any) -> Any:
    return quantities.angle(value) if quantities.is_angle(value) else _place(value)


At = Annotated[Place, BeforeValidator(_place), WithJsonSchema(_PLACE_SCHEMA)]
Facing = Annotated[
    float | Place,
    Quantity("angle"),
    BeforeValidator(_facing),
    _or_number(_PLACE_SCHEMA, "An azimuth in degrees clockwise from north, or a place to look at."),
]
"""An azimuth in radians clockwise from north, or a place to look at."""
MarkFacing = Annotated[
    float | Place | Literal["up", "camera"],
    Quantity("angle"),
    BeforeValidator(lambda v: v if v in ("up", "camera") else _facing(v)),
    _or_number(_PLACE_SCHEMA, "An azimuth, a place to look at, up, or camera."),
]
Focus = Annotated[
    float | Place,
    Quantity("length"),
    BeforeValidator(lambda v: quantities.length(v) if quantities.is_angle(v) else _place(v)),
    _or_number(_PLACE_SCHEMA, "A place, or a distance from the camera."),
]
"""A distance in metres, or a place."""
