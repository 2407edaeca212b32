"""Sense: whether the parts of a script, each well formed, make a scene; every check answers in words.

A check yields the path of keys that is wrong, and what is wrong with it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import hypot
from typing import Any

import numpy as np

from preview.script import sense_of_fixtures, sense_of_night, sense_of_set
from preview.script.document import Keys
from preview.script.draft import Draft, Part, places_in
from preview.script.fields import Place
from preview.script.models.air import Haze
from preview.script.models.pieces.growth import MOST_TREES, Planted
from preview.script.models.pieces.piece import Piece
from preview.script.places import Anchors, anchors_of, position_of
from preview.script.quantities import shown
from preview.script.solids import ground_above, inside_of
from preview.script.words import did_you_mean, unknown

Found = Iterator[tuple[Keys, str]]
LineOf = Callable[[Keys], int]

NEAR = 1e-3
"""Metres: nearer places are one."""


def anchors_of_draft(draft: Draft) -> Anchors:
    """The named places of what could be read; trees beyond the most that may be are not planted."""
    return anchors_of(
        _pieces(draft),
        [part.model for part in draft.cast if part.model is not None],
        [part.model for part in draft.fixtures if part.model is not None],
        [part.model for part in draft.marks if part.model is not None],
        draft.folder,
    )


def _pieces(draft: Draft) -> list[tuple[str, Piece]]:
    pieces: list[tuple[str, Piece]] = []
    trees = 0
    for part in draft.pieces:
        if part.model is None or part.name is None:
            continue
        trees += part.model.number if isinstance(part.model, Planted) else 0
        if not isinstance(part.model, Planted) or trees <= 2 * MOST_TREES:
            pieces.append((part.name, part.model))
    return pieces


def faults_in(draft: Draft, anchors: Anchors, line_of: LineOf) -> Found:
    """What is wrong whatever else is: names, and what stands or looks where it cannot.

    `line_of` gives the line of a path, for faults that name another line.
    """
    yield from _names(draft, line_of)
    yield from sense_of_set.names_in(draft)
    yield from sense_of_fixtures.names_in(draft)
    yield from _places(draft, anchors)
    yield from _facings(draft, anchors)
    yield from _aims(draft, anchors)


def misfits_in(draft: Draft, anchors: Anchors) -> Found:
    """Values that do not go together; meaningless where one of them could not be read."""
    yield from sense_of_set.misfits_in(draft)
    yield from sense_of_fixtures.misfits_in(draft, anchors)
    yield from sense_of_night.misfits_in(draft)
    yield from _haze(draft.haze)


def _haze(haze: Haze | None) -> Found:
    if haze is None:
        return
    if haze.visibility is None and haze.density is None:
        yield ("haze",), "say how thick the haze is: visibility: 80 m, or density: 0.05 (per metre)"
    elif haze.visibility is not None and haze.density is not None:
        yield ("haze", "density"), "visibility and density are two ways to say the same; give one of them"
    if haze.falloff is None and "from_" in haze.model_fields_set:
        yield ("haze", "from"), "from goes with falloff: without it the haze is the same at all heights"


def _names(draft: Draft, line_of: LineOf) -> Found:
    taken: dict[str, tuple[str, Keys]] = {}
    for part in draft.named:
        if part.name is None:
            continue
        keys = (*part.keys, "name")
        first = taken.setdefault(part.name.lower(), (part.name, keys))
        if first[1] != keys:
            yield keys, f"the name {shown(part.name)} is already taken in line {line_of(first[1])}"
    marks: dict[str, Keys] = {}
    for mark in draft.marks:
        if mark.name is None:
            continue
        keys = (*mark.keys, "name")
        if mark.name.lower() in taken and mark.model is not None and mark.model.at is not None:
            line = line_of(taken[mark.name.lower()][1])
            yield (
                keys,
                f"a mark with a place of its own cannot be named {shown(mark.name)}, the name in line {line}",
            )
        before = marks.setdefault(mark.name.lower(), keys)
        if before != keys:
            yield keys, f"the mark {shown(mark.name)} is already in line {line_of(before)}"


def unknown_place(name: str, anchors: Anchors) -> str:
    """That no place has this name, and what there is near it."""
    end = min(place for letter in ".[" if (place := f"{name}{letter}".index(letter)) >= 0)
    owner, rest = name[:end], name[end:]
    owners = [place for place in anchors if "." not in place and "[" not in place]
    near = owner if owner in owners else did_you_mean(owner, owners)
    if near is None:
        return unknown("place", name, owners)
    if near in anchors.unread:
        return f"no place {shown(name)}: {anchors.unread[near]}"
    below = [place for place in anchors if place.startswith((f"{near}.", f"{near}["))]
    # Only what follows the owner is compared: the owner alone would make everything look alike.
    likely = rest if near + rest in anchors else did_you_mean(rest, [place[len(near) :] for place in below])
    if likely is not None:
        return f'no place {shown(name)}; did you mean "{near}{likely}"?'
    listed = ", ".join(below[:15]) + (" …" if len(below) > 15 else "")
    return f"no place {shown(name)}; {near} has {listed or 'no places of its own'}"


def _places(draft: Draft, anchors: Anchors) -> Found:
    """Names of places that nothing bears."""
    parts: tuple[Part[Any], ...] = (*draft.named, *draft.marks)
    unread = [part.name.lower() for part in parts if part.model is None and part.name is not None]
    placeless = {
        part.name: "moon" if part.model.moon is not None else "sky"
        for part in draft.fixtures
        if part.model is not None and (part.model.moon is not None or part.model.sky is not None)
    }
    # A fixture that hangs on a wrong name has no place; only the wrong name itself is reported.
    hanging = {
        part.name for part in draft.fixtures if part.name not in anchors and part.name not in placeless
    }
    seen_circle = False
    for keys, name in _references(draft):
        if name in anchors or any(
            name.lower() == n or name.lower().startswith((f"{n}.", f"{n}[")) for n in unread
        ):
            continue
        if name in placeless:
            yield keys, f"{shown(name)} is the {placeless[name]}, which has no place"
        elif name in hanging:
            if not seen_circle and all(other in hanging for other in _chain(draft, name)):
                seen_circle = True
                yield keys, f"{shown(name)} hangs on itself: its place is told by its own place"
        else:
            yield keys, unknown_place(name, anchors)


def _chain(draft: Draft, name: str) -> list[str | None]:
    """The names on which a fixture's place hangs, until one repeats or ends."""
    at: dict[str | None, str | None] = {}
    for part in draft.fixtures:
        if part.model is not None:
            place = part.model.practical.at if part.model.practical is not None else part.model.at
            at[part.name] = place.of if place is not None else None
    chain: list[str | None] = [name]
    while (following := at.get(chain[-1])) is not None and following not in chain:
        chain.append(following)
    return chain


def _references(draft: Draft) -> Iterator[tuple[Keys, str]]:
    parts: tuple[Part[Any], ...] = (
        *draft.pieces,
        *draft.cast,
        Part(("camera",), "camera", None, draft.camera),
        *draft.fixtures,
        *draft.marks,
    )
    for part in parts:
        for path, place in places_in(part.model, part.keys) if part.model is not None else ():
            if place.of is not None:
                yield path, place.of
    for mark in draft.marks:
        if mark.model is not None and mark.model.at is None:
            yield (*mark.keys, "name"), mark.model.name


def _facings(draft: Draft, anchors: Anchors) -> Found:
    parts: list[Part[Any]] = [*draft.cast, *(part for part in draft.pieces if part.kind == "lamp_post")]
    for part in parts:
        if part.model is None:
            continue
        facing, at = part.model.facing, part.model.at
        towards = position_of(facing, anchors) if isinstance(facing, Place) else None
        if towards is None:
            continue
        own = facing.of is not None and part.name is not None and _belongs(facing.of, part.name)
        if own or hypot(towards[0] - at[0], towards[1] - at[1]) < NEAR:
            thing = "a figure" if part.kind == "figure" else "a lamp post"
            yield (*part.keys, "facing"), f"{thing} cannot face its own place"


def _belongs(place: str, name: str) -> bool:
    return place == name or place.startswith(f"{name}.")


def _aims(draft: Draft, anchors: Anchors) -> Found:
    pieces = _pieces(draft)
    cast = [part.model for part in draft.cast if part.model is not None]
    camera = draft.camera
    if camera is not None:
        at, aim = position_of(camera.at, anchors), position_of(camera.aim, anchors)
        if at is not None:
            inside = inside_of(at, pieces, cast, anchors.terrain)
            below = ground_above(at, anchors.terrain)
            if inside is not None:
                yield ("camera", "at"), f"the camera stands inside {inside}"
            elif below is not None:
                yield ("camera", "at"), _below("the camera", at[2], below)
            if aim is not None and np.linalg.norm(aim - at) < NEAR:
                yield ("camera", "aim"), "the camera is aimed at its own place"
            focus = position_of(camera.focus, anchors) if isinstance(camera.focus, Place) else None
            if focus is not None and np.linalg.norm(focus - at) < NEAR:
                yield ("camera", "focus"), "the camera is focused on its own place"
        if isinstance(camera.focus, float) and camera.focus <= 0:
            yield ("camera", "focus"), f"the focus must be more than 0 m away, not {camera.focus:g} m"
    for part in draft.fixtures:
        fixture = part.model
        if fixture is None or fixture.head is None or fixture.at is None:
            continue
        at = position_of(fixture.at, anchors)
        aim = position_of(fixture.aim, anchors) if fixture.aim is not None else None
        below = ground_above(at, anchors.terrain) if at is not None else None
        if at is not None and below is not None:
            yield (*part.keys, "at"), _below("the head", at[2], below)
        if at is not None and aim is not None and np.linalg.norm(aim - at) < NEAR:
            yield (*part.keys, "aim"), "the head is aimed at its own place"


def _below(what: str, height: float, ground: tuple[str, float]) -> str:
    name, top = ground
    where = "at the height of" if height == top else "below"
    return f"{what} is {where} {name} ({height:g} m, where the ground is at {top:g} m); say how high it is"
