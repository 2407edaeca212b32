"""The whole script as one model: what may stand at the top level of a scene file."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, create_model, model_validator

from preview.script import quantities
from preview.script.fields import Model, Seed
from preview.script.models.air import Haze
from preview.script.models.camera import Camera
from preview.script.models.cast import Figure, Mark
from preview.script.models.fixtures import Fixture
from preview.script.models.night import Night, PlaceOnEarth
from preview.script.models.pieces import PIECES
from preview.script.models.pieces.piece import Piece


class _OneKey(Model):
    """A group with exactly one key, the kind of the piece."""

    @model_validator(mode="after")
    def _exactly_one(self) -> _OneKey:
        if len(self.model_fields_set) != 1:
            raise ValueError(
                "an item of the set starts with one key, its kind: " + ", ".join(PIECES)
                if not self.model_fields_set
                else "one item of the set holds "
                + " and ".join(sorted(self.model_fields_set, key=list(PIECES).index))
                + "; start each with its own dash"
            )
        return self


SetItem: type[_OneKey] = create_model(
    "SetItem",
    __base__=_OneKey,
    **{kind: (model | None, Field(default=None)) for kind, model in PIECES.items()},  # type: ignore[call-overload]
)
"""One item of `set:`, such as `{house: {…}}`."""


def piece_of(item: _OneKey) -> tuple[str, Piece]:
    """Kind and model of an item of the set."""
    (kind,) = item.model_fields_set
    piece: Piece = getattr(item, kind)
    return kind, piece


def _version(value: Any) -> int:
    if quantities.whole(value) != 1:
        raise ValueError(f"this program reads version 1 of the script format, not {quantities.shown(value)}")
    return 1


def _or_nothing(empty: Any) -> BeforeValidator:
    """A section whose key is written with nothing below it is an empty section."""
    return BeforeValidator(lambda value: empty if value is None else value)


def _or_date(shown: dict[str, Any]) -> None:
    """A night may be its date alone."""
    shown["anyOf"] = [{"type": "string"}, *shown["anyOf"]]


class SceneScript(Model):
    """A scene file. `setups` and `looks` are patches of the rest; they are merged before this model is read."""

    version: Annotated[Literal[1], BeforeValidator(_version)] = 1
    """Of the script format."""
    title: str | None = None
    """Default: the name of the file."""
    seed: Seed = 1
    """What makes the noise of a picture the same each time."""
    catalogue: str | None = None
    """A file beside this one with heads, gels, cloths and lamps of your own: added to the program's, or in their place."""
    set: Annotated[list[SetItem], _or_nothing([])] = Field(default=[])
    cast: Annotated[list[Figure], _or_nothing([])] = Field(default=[])
    camera: Camera
    haze: Haze | None = None
    """What light scatters in. Default: clear air."""
    place: PlaceOnEarth | None = None
    """Where on earth the set lies, so that the real sky is known. Default: nowhere."""
    night: Annotated[Night | None, Field(json_schema_extra=_or_date)] = None
    """Which night it is shot: a date, or a date with a time. Default: none told."""
    fixtures: Annotated[list[Fixture], _or_nothing([])] = Field(default=[])
    marks: Annotated[list[Mark], _or_nothing([])] = Field(default=[])
    setups: Annotated[dict[str, Any], _or_nothing({})] = Field(default={})
    """Other camera positions and what moves for them, by name."""
    looks: Annotated[dict[str, Any], _or_nothing({})] = Field(default={})
    """Other levels, colours and exposures of the same light, by name."""
