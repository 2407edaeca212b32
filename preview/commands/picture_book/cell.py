"""Cell: one picture of the book, with the words of a script that make it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

Section = Literal["pieces", "figures", "materials", "heads"]
Framing = Literal["piece", "ground", "figure", "face", "bench", "beam"]
"""What of a cell the camera takes in: a piece whole, ground from above, a figure, its face, the materials' bench; a beam
on a wall has no camera."""

SUBJECT = "subject"
"""The name of what a cell shows."""


@dataclass(frozen=True)
class Cell:
    """`caption`: the words of a script; `note`: what is said besides. `set`, `cast`, `fixtures` as in a script, light
    left out; `files`: what stands beside it, name to text."""

    section: Section
    caption: str
    framing: Framing
    note: str = ""
    set: tuple[Mapping[str, Any], ...] = ()
    cast: tuple[Mapping[str, Any], ...] = ()
    fixtures: tuple[Mapping[str, Any], ...] = ()
    files: Mapping[str, str] = field(default_factory=dict)

    @property
    def about(self) -> str:
        """All that words are looked for in."""
        return f"{self.section} {self.caption} {self.note}".lower()


def choices(model: type[BaseModel]) -> Iterator[tuple[tuple[str, ...], str]]:
    """The choices that a model leaves: the keys of each, and one of its values that is not the usual one.

    Keys of a model within it are told too, one level deep; not those in lists.
    """
    for name, info in model.model_fields.items():
        key = info.alias or name
        for value in words_of(info):
            if value != usual_word(info):
                yield (key,), value
        for kind in _members(info.annotation):
            if isinstance(kind, type) and issubclass(kind, BaseModel):
                for below, under in kind.model_fields.items():
                    for value in words_of(under):
                        if value != usual_word(under):
                            yield (key, under.alias or below), value


def words_of(info: FieldInfo) -> tuple[str, ...]:
    """The words that a key may have; none where it takes others."""
    return tuple(
        value
        for kind in _members(info.annotation)
        if get_origin(kind) is Literal
        for value in get_args(kind)
        if isinstance(value, str)
    )


def usual_word(info: FieldInfo) -> Any:
    """What a key has unless it is said; the first word of one that must be."""
    words = words_of(info)
    return words[0] if info.is_required() and words else info.default


def _members(kind: Any) -> Iterator[Any]:
    """What a type may be, `Annotated` and unions taken apart."""
    if get_origin(kind) is Annotated:
        yield from _members(get_args(kind)[0])
    elif get_origin(kind) in (Union, UnionType):
        for member in get_args(kind):
            yield from _members(member)
    elif kind is not type(None):
        yield kind


def nested(keys: tuple[str, ...], value: Any) -> dict[str, Any]:
    """`{"roof": {"shape": "hip"}}` of the keys roof, shape and the value hip."""
    for key in reversed(keys):
        value = {key: value}
    answer: dict[str, Any] = value
    return answer


def laid_over(base: Mapping[str, Any], more: Mapping[str, Any]) -> dict[str, Any]:
    """A mapping with another laid over it, mappings within laid over one another."""
    answer = dict(base)
    for key, value in more.items():
        below = answer.get(key)
        answer[key] = (
            laid_over(below, value) if isinstance(below, Mapping) and isinstance(value, Mapping) else value
        )
    return answer


def flow(value: Any) -> str:
    """A value as a script would write it on one line: `{roof: {shape: hip}}`."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(flow(item) for item in value) + "]"
    return f"{value:g}" if isinstance(value, float) else str(value)
