"""Draft: the parts of a script that could be read, each with its path in the file and its name.

Of a camera, figure, fixture or mark with faulty values the rest is kept, so that the names in it are still looked
at; a piece of the set is only kept whole, since its measures hang together.

A part that could not be read keeps its name, so that whatever refers to it is not called unknown.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ValidationError

from preview.script.document import Keys
from preview.script.fields import Model, Place
from preview.script.models.air import Haze
from preview.script.models.camera import Camera
from preview.script.models.cast import Figure, Mark
from preview.script.models.fixtures import Fixture
from preview.script.models.night import Night, PlaceOnEarth
from preview.script.models.pieces import PIECES
from preview.script.models.pieces.piece import Piece
from preview.script.models.scene_script import SceneScript
from preview.script.own_catalogue import Own
from preview.script.words import faults_of

PartModel = TypeVar("PartModel", bound=Model)


MOST = {"set": 400, "cast": 200, "fixtures": 64, "marks": 200}
"""Items of each section; the rest is not even looked at."""


@dataclass(frozen=True)
class Part(Generic[PartModel]):
    """One part of the script: `keys` its path, `name` None where it has none, `model` None where it is faulty."""

    keys: Keys
    kind: str
    name: str | None
    model: PartModel | None


@dataclass(frozen=True)
class Draft:
    """What could be read of a script; files that it names lie in or below `folder`, its own."""

    title: str | None
    seed: int
    pieces: tuple[Part[Piece], ...]
    cast: tuple[Part[Figure], ...]
    camera: Camera | None
    haze: Haze | None
    place: PlaceOnEarth | None
    night: Night | None
    fixtures: tuple[Part[Fixture], ...]
    marks: tuple[Part[Mark], ...]
    faults: tuple[tuple[Keys, str], ...]
    folder: Path
    own: Own
    """What fixtures may be chosen from."""
    sections: frozenset[str] = frozenset()
    """What stands at the top level with something after it, read or not."""

    @property
    def named(self) -> Iterator[Part[Any]]:
        """Pieces, cast and fixtures: what must not share a name."""
        yield from self.pieces
        yield from self.cast
        yield from self.fixtures


def draft_of(data: dict[str, Any], folder: Path, own: Own) -> Draft:
    """The draft of a script in `folder` without setups and looks, given as plain data; `own` its catalogue."""
    faults: list[tuple[Keys, str]] = []
    for section, most in MOST.items():
        items = _items(data, section)
        if len(items) > most:
            faults.append(((section,), f"{len(items)} are more than the {most} that a scene may have"))
            data = {**data, section: items[:most]}
    try:
        SceneScript.model_validate(data)
    except ValidationError as error:
        faults += faults_of(error, SceneScript, data)
    title, seed = data.get("title"), data.get("seed")
    return Draft(
        title if isinstance(title, str) else None,
        seed if isinstance(seed, int) and not isinstance(seed, bool) else 1,
        tuple(_pieces(_items(data, "set"))),
        tuple(_parts(data, "cast", Figure, "figure")),
        _read(Camera, data.get("camera")),
        _read(Haze, {} if data["haze"] is None else data["haze"]) if "haze" in data else None,
        _read(PlaceOnEarth, data.get("place")),
        _read(Night, data.get("night")),
        tuple(_parts(data, "fixtures", Fixture, "fixture")),
        tuple(_parts(data, "marks", Mark, "mark")),
        tuple(faults),
        folder,
        own,
        frozenset(name for name, value in data.items() if value is not None),
    )


def _items(data: dict[str, Any], section: str) -> list[Any]:
    items = data.get(section)
    return items if isinstance(items, list) else []


def _read(model: type[PartModel], item: Any, *, mend: bool = True) -> PartModel | None:
    """The part; with `mend`, what is left of it once its faulty values are back at their defaults."""
    try:
        return model.model_validate(item)
    except ValidationError as error:
        faults = faults_of(error, model, item)
    if not mend or not isinstance(item, dict):
        return None
    mended = deepcopy(item)
    for keys, _ in faults:
        _drop(mended, keys)
    return _read(model, mended, mend=False)


def _drop(item: Any, keys: Keys) -> None:
    """Takes out of a part the innermost key on the way to a path."""
    holder, key = item, keys[0] if keys else ""
    for step in keys:
        if isinstance(item, dict):
            holder, key = item, step
            item = item.get(step)
        else:
            item = (
                item[step] if isinstance(item, list) and isinstance(step, int) and step < len(item) else None
            )
    holder.pop(key, None)


def _parts(
    data: dict[str, Any], section: str, model: type[PartModel], kind: str
) -> Iterator[Part[PartModel]]:
    for place, item in enumerate(_items(data, section)):
        yield Part((section, place), kind, _written_name(item), _read(model, item))


def _pieces(items: Sequence[Any]) -> Iterator[Part[Piece]]:
    """The pieces with their names: those that have none take their kind's, numbered when it repeats."""
    taken = {
        name.lower()
        for item in items
        for kind in _kinds(item)
        if (name := _written_name(item[kind])) is not None
    }
    for place, item in enumerate(items):
        for kind in _kinds(item):
            body = {} if item[kind] is None else item[kind]
            name = _written_name(body)
            if name is None:
                number = 1
                while _numbered(kind, number).lower() in taken:
                    number += 1
                name = _numbered(kind, number)
                taken.add(name.lower())
            yield Part(("set", place, kind), kind, name, _read(PIECES[kind], body, mend=False))


def _numbered(kind: str, number: int) -> str:
    return kind if number == 1 else f"{kind} {number}"


def _kinds(item: Any) -> list[str]:
    """The kind of an item of the set, where it has exactly one."""
    kinds = [kind for kind in item if kind in PIECES] if isinstance(item, dict) else []
    return kinds if len(kinds) == 1 else []


def _written_name(item: Any) -> str | None:
    name = item.get("name") if isinstance(item, dict) else None
    return name.strip() if isinstance(name, str) and name.strip() else None


def places_in(model: BaseModel, keys: Keys) -> Iterator[tuple[Keys, Place]]:
    """Every place that a part refers to, with its path."""
    for name, value in values_in(model, keys):
        if isinstance(value, Place):
            yield name, value


def values_in(model: BaseModel, keys: Keys) -> Iterator[tuple[Keys, Any]]:
    """Every value of a part that is no group of keys itself, with its path, defaults included."""
    for name, field in type(model).model_fields.items():
        value, path = getattr(model, name), (*keys, field.alias or name)
        if isinstance(value, BaseModel) and not isinstance(value, Place):
            yield from values_in(value, path)
        elif isinstance(value, list) and value and isinstance(value[0], BaseModel):
            for place, item in enumerate(value):
                yield from values_in(item, (*path, place))
        else:
            yield path, value
