"""What is wrong with a value, in plain words: the validator's complaints turned into sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from functools import lru_cache
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from preview.script import written
from preview.script.document import Key, Keys
from preview.script.fields import HOW_PLACE, Length, Place, Quantity
from preview.script.quantities import shown

NEEDED = {
    ("SceneScript", "camera"): "such as camera: {lens: {focal: 35 mm}, at: [2, -7, 1.5], aim: house}",
    ("Camera", "lens"): "say which lens, such as lens: {focal: 35 mm, stop: 2.8}",
    ("Camera", "at"): "say where the camera is, such as at: [2.2, -7.5, 1.5]",
    ("Camera", "aim"): "say what the camera looks at, such as aim: Mara.eyes",
    ("Lens", "focal"): "say its focal length, such as focal: 35 mm",
    ("Figure", "facing"): "say which way the figure looks: an azimuth (180 is towards the south) or a place",
    ("Figure", "at"): "say where the figure is, such as at: [-0.6, 2.5]",
    ("PlaceOnEarth", "latitude"): "say where the set lies, such as latitude: 57 N",
    ("PlaceOnEarth", "longitude"): "say where the set lies, such as longitude: 4 E",
    ("PlaceOnEarth", "zone"): "say whose clocks: a name of the time zone database, such as CET, or +02:00",
    ("Night", "date"): "say which evening the night begins on, such as date: 2026-10-24",
    ("TownGlow", "azimuth"): "say where the town lies, in degrees clockwise from north",
    ("Practical", "at"): "say where it is: a place such as house.porch.lamp",
    ("HeadEntry", "watts"): "say what it draws, such as watts: 575",
    ("HeadEntry", "kelvin"): "say the colour of its light, such as kelvin: 5600",
    ("ClothEntry", "diffuse"): "say what share of the light it spreads, such as diffuse: 0.4",
    ("ClothEntry", "direct"): "say what share of the light goes straight on, such as direct: 0.04",
    ("Opening", "from_left"): "say how far its left edge is from the left end of the wall, seen from outside",
    ("Window", "from_left"): "say how far its left edge is from the left end of the wall, seen from outside",
    ("Door", "from_left"): "say how far its left edge is from the left end of the wall, seen from outside",
}
"""What a missing key is for, by model and field."""

EITHER = {
    "format": "the name of a format, or {width: 24 mm, height: 13 mm}",
    "head": "the name of a head, or its description {candela: 9000, beam: 40 deg, …}",
    "facing": "an angle, or a place",
    "focus": "a place, or a distance",
}
"""What a field of two shapes takes, by name."""

_WRONG_SHAPE = {"string_type", "float_type", "model_type", "dict_type", "literal_error"}


def did_you_mean(word: str, known: Iterable[str]) -> str | None:
    """The known word that a mistyped one is likely to be; capitals do not count."""
    return _nearest(word.lower()[:80], tuple(known))


@lru_cache(maxsize=4096)
def _nearest(word: str, known: tuple[str, ...]) -> str | None:
    # Kept, because the same mistake is looked at again in every setup and look of a script.
    by_lower = {name.lower(): name for name in known}
    near = get_close_matches(word, by_lower, n=1, cutoff=0.65)
    return by_lower[near[0]] if near else None


def unknown(kind: str, word: str, known: Iterable[str]) -> str:
    """`no cloth "haf-grid"; did you mean "half-grid"?`, else what there is."""
    known = list(known)
    near = did_you_mean(word, known)
    if near is not None:
        return f'no {kind} {shown(word)}; did you mean "{near}"?'
    if not known:
        return f"no {kind} {shown(word)}"
    listed = ", ".join(known[:30]) + (" …" if len(known) > 30 else "")
    return f"no {kind} {shown(word)}; there is {listed}"


def faults_of(error: ValidationError, model: type[BaseModel], data: Any) -> list[tuple[Keys, str]]:
    """Path and message of each fault that `model` found in `data`, in the order found, each once."""
    faults: dict[tuple[Keys, str], None] = {}
    at_unions: dict[Keys, list[tuple[Keys, str, bool]]] = {}
    for detail in error.errors(include_url=False, include_context=True):
        if detail["type"] == "default_factory_not_called":
            # Only where another value could not be read, which is told.
            continue
        keys, union = _written_path(
            detail["loc"], data, missing=detail["type"] in ("missing", "extra_forbidden")
        )
        keys, message = _message(dict(detail), keys, model, data)
        if union is None:
            faults[keys, message] = None
        else:
            wrong_shape = detail["type"] in _WRONG_SHAPE and keys == union
            at_unions.setdefault(union, []).append((keys, message, wrong_shape))
    for union, found in at_unions.items():
        inside = [(keys, message) for keys, message, wrong_shape in found if not wrong_shape]
        wanted = EITHER.get(str(union[-1]) if union else "", "something else")
        value = _value_at(data, union)
        for fault in inside or [(union, f"{shown(value)} does not fit; write {wanted}")]:
            faults[fault] = None
    return list(faults)


def keys_of(model: type[BaseModel]) -> list[str]:
    """The keys that a part of the script takes, as they are written."""
    return [field.alias or name for name, field in model.model_fields.items()]


def field_type(model: Any, keys: Keys) -> tuple[Any, list[Any]]:
    """The type of what stands at a path below a model, and its metadata; (None, []) where it cannot be told."""
    kind, metadata = model, list[Any]()
    for key in keys:
        kind, metadata = _step(kind, key)
        if kind is None:
            return None, []
    return kind, metadata


def _step(kind: Any, key: Key) -> tuple[Any, list[Any]]:
    for member in _members(kind):
        if isinstance(member, type) and issubclass(member, BaseModel):
            if member is Place and isinstance(key, int):
                return _bare(Length)
            for name, field in member.model_fields.items():
                if key in (name, field.alias):
                    bare, inner = _bare(field.annotation)
                    return bare, [*field.metadata, *inner]
        arguments = get_args(member)
        if isinstance(key, int) and get_origin(member) is list:
            return _bare(arguments[0])
        if isinstance(key, int) and get_origin(member) is tuple and key < len(arguments):
            return _bare(arguments[key])
        if isinstance(key, str) and get_origin(member) is dict:
            return _bare(arguments[1])
    return None, []


def _bare(kind: Any) -> tuple[Any, list[Any]]:
    if get_origin(kind) is Annotated:
        return get_args(kind)[0], list(get_args(kind)[1:])
    metadata = list[Any]()
    if get_origin(kind) in (Union, UnionType):
        for member in get_args(kind):
            metadata += _bare(member)[1]
    return kind, metadata


def _members(kind: Any) -> tuple[Any, ...]:
    bare = _bare(kind)[0]
    if get_origin(bare) in (Union, UnionType):
        return tuple(inner for member in get_args(bare) for inner in _members(member))
    return (bare,)


def _written_path(loc: tuple[Key, ...], data: Any, *, missing: bool) -> tuple[Keys, Keys | None]:
    """The keys of `loc` that are in the data, and the path at which one of two shapes was tried, if any.

    A validator's location also names the shapes that it tried, and the parts it made of a short form.
    """
    keys: Keys = ()
    union: Keys | None = None
    for place, step in enumerate(loc):
        last = place == len(loc) - 1
        data = {} if data is None and last and missing else data
        if isinstance(data, Mapping) and (step in data or (last and missing)):
            data = data.get(step)
        elif (
            isinstance(data, list | tuple)
            and isinstance(step, int)
            and (step < len(data) or (last and missing))
        ):
            data = data[step] if step < len(data) else None
        else:
            # "offset" is made of the list [x, y, z]; any other step that is not in the data names a shape.
            if step != "offset" and union is None:
                union = keys
            continue
        keys = (*keys, step)
    return keys, union


def _value_at(data: Any, keys: Keys) -> Any:
    for key in keys:
        data = data[key]
    return data


def _message(detail: dict[str, Any], keys: Keys, model: type[BaseModel], data: Any) -> tuple[Keys, str]:
    kind, context, given = detail["type"], detail.get("ctx", {}), detail.get("input")
    if kind == "missing" and keys and isinstance(keys[-1], int):
        keys, kind = keys[:-1], "too_short"
        given = _value_at(data, keys)
    if kind == "missing":
        return keys, _missing(keys, model)
    if kind == "extra_forbidden":
        return keys, _extra(keys, model)
    if given is None:
        return keys, "nothing is written after this key"
    if kind == "value_error":
        return keys, str(context["error"])
    if kind in ("too_short", "too_long"):
        return keys, _count(
            keys, model, given, least=context.get("min_length"), most=context.get("max_length")
        )
    if kind in ("greater_than", "greater_than_equal", "less_than", "less_than_equal"):
        return keys, _limit(context, keys, model, _value_at(data, keys))
    if kind == "literal_error":
        allowed = [str(word) for word in get_args(_literal(field_type(model, keys)[0]))]
        return keys, _choice(given, allowed)
    if kind in ("string_type", "string_sub_type"):
        quotes = "; put it in quotes if it is meant as text" if isinstance(given, bool | int | float) else ""
        return keys, f"text is needed, not {shown(given)}{quotes}"
    if kind in ("list_type", "tuple_type"):
        return keys, f"a list is needed, not {shown(given)}" + _list_hint(given)
    if kind in ("model_type", "dict_type", "model_attributes_type"):
        return keys, _group(keys, model, given)
    if kind == "float_type":
        return keys, f"a number is needed, not {shown(given)}"
    return keys, f"{shown(given)} does not fit here"


def _list_hint(given: Any) -> str:
    return "; start each item below it with a dash" if isinstance(given, Mapping) else ""


def _missing(keys: Keys, model: type[BaseModel]) -> str:
    parent = next(
        (part for part in _members(field_type(model, keys[:-1])[0]) if isinstance(part, type)), model
    )
    help_ = NEEDED.get((parent.__name__, str(keys[-1])))
    return "is missing" + (f": {help_}" if help_ else "")


def _is_of_a_piece(key: str, item: type[BaseModel]) -> bool:
    """Whether a key beside a piece is one of those that go below it, such as `at`."""
    pieces = (part for name in keys_of(item) for part in _members(field_type(item, (name,))[0]))
    return any(
        isinstance(part, type) and issubclass(part, BaseModel) and key in keys_of(part) for part in pieces
    )


def _extra(keys: Keys, model: type[BaseModel]) -> str:
    parent = field_type(model, keys[:-1])[0]
    for member in _members(parent):
        if isinstance(member, type) and issubclass(member, BaseModel):
            allowed = keys_of(member)
            near = did_you_mean(str(keys[-1]), allowed)
            if near and not (member.__name__ == "SetItem" and _is_of_a_piece(str(keys[-1]), member)):
                return f'no such key; did you mean "{near}"?'
            if member.__name__ == "SetItem":
                return f"no such piece, or a key that is not indented below its piece; there is {', '.join(allowed)}"
            return "no such key; allowed here: " + ", ".join(allowed)
    return "no such key"


def _count(keys: Keys, model: type[BaseModel], given: Any, *, least: int | None, most: int | None) -> str:
    kind = field_type(model, keys)[0]
    for member in _members(kind):
        if get_origin(member) is tuple:
            return f"needs {len(get_args(member))} values, not {len(given)}"
    if most is not None and len(given) > most:
        return f"{len(given)} are more than the {most} that fit here"
    words = {3: "three"}.get(least or 2, "two")
    return f"needs {words} or more points, not {len(given)}"


def _limit(context: dict[str, Any], keys: Keys, model: type[BaseModel], given: Any) -> str:
    metadata = field_type(model, keys)[1]
    kind = next((part.kind for part in metadata if isinstance(part, Quantity)), None)
    (name, bound), *_ = [(name, context[name]) for name in ("gt", "ge", "lt", "le") if name in context]
    words = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}[name]
    limit = "0" if bound == 0 else written.quantity(bound, kind)
    return f"must be {words} {limit}, not {shown(given)}"


def _literal(kind: Any) -> Any:
    for member in _members(kind):
        if get_origin(member) is Literal:
            return member
    return kind


def _choice(given: Any, allowed: list[str]) -> str:
    near = did_you_mean(given, allowed) if isinstance(given, str) else None
    listed = ", ".join(allowed)
    if near:
        return f'{shown(given)} is not one of {listed}; did you mean "{near}"?'
    return f"{shown(given)} is not one of {listed}"


def _group(keys: Keys, model: type[BaseModel], given: Any) -> str:
    for member in _members(field_type(model, keys)[0]):
        if member is Place:
            return f"{shown(given)} is not a place; {HOW_PLACE}"
        if isinstance(member, type) and issubclass(member, BaseModel):
            allowed = keys_of(member)
            listed = ", ".join(allowed[:6]) + (" …" if len(allowed) > 6 else "")
            return f"a group of keys ({listed}) is needed, not {shown(given)}"
    return f"a group of keys is needed, not {shown(given)}"


def listed(words: Sequence[str]) -> str:
    """`a, b or c`."""
    return ", ".join(words[:-1]) + f" or {words[-1]}"


def listed_all(words: Sequence[str]) -> str:
    """`a, b and c`."""
    return f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else "".join(words)
