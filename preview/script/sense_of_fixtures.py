"""Whether fixtures and camera are whole: one kind each, known names, angles and outputs that can be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import log2
from pathlib import Path
from typing import Any

from preview.script.document import Keys
from preview.script.draft import Draft
from preview.script.models.fixtures import Fixture
from preview.script.models.heads import Head
from preview.script.models.practicals import Practical
from preview.script.motives import MOON, SKY
from preview.script.own_catalogue import Own
from preview.script.places import Anchors
from preview.script.sense_of_colour import colour_misfits
from preview.script.sense_of_heads import head_misfits, setting_misfits
from preview.script.sense_of_photometry import photometry_misfits
from preview.script.sense_of_through import through_misfits
from preview.script.words import listed, unknown
from preview.trade import catalogue

Found = Iterator[tuple[Keys, str]]

KINDS = ("head", "moon", "sky", "practical")
FACING = ("tube", "headlamp", "main_beam", "tail_lamp", "brake_lamp")
"""Kinds of practical that look some way."""
ROUNDING = 1e-9
"""What a level of full may be over through arithmetic alone."""


def names_in(draft: Draft) -> Found:
    """Names that the catalogue does not have."""
    camera = draft.camera
    formats = catalogue.names("formats")
    if camera is not None and isinstance(camera.format, str) and camera.format not in formats:
        yield ("camera", "format"), unknown("format", camera.format, formats)
    for part in draft.fixtures:
        if part.model is None:
            continue
        own, rows = draft.own, draft.own.catalogue
        if isinstance(part.model.head, str):
            yield from _known("head", part.model.head, rows.heads, own, (*part.keys, "head"))
        for place, thing in enumerate(part.model.through):
            keys = (*part.keys, "through", place)
            gel = thing.gel if isinstance(thing.gel, str) else None
            yield from _known("gel", gel, rows.gels, own, (*keys, "gel"))
            yield from _known("cloth", thing.cloth, rows.cloths, own, (*keys, "cloth"))
            boards = (*catalogue.names("bounces"), *catalogue.names("materials"))
            if thing.of is not None and thing.of not in boards:
                yield (*keys, "of"), unknown("bounce", thing.of, boards)


def _known(noun: str, name: str | None, known: Mapping[str, Any], own: Own, keys: Keys) -> Found:
    if name is not None and not own.has(name, known):
        yield keys, unknown(noun, name, known)


def misfits_in(draft: Draft, anchors: Anchors) -> Found:
    """Everything that keeps a fixture from being used."""
    names = [part.name for part in draft.fixtures if part.name is not None]
    for part in draft.fixtures:
        if part.model is not None:
            yield from _motive(part.model, part.keys, names, anchors)
            yield from _fixture(part.model, part.keys, anchors)
            yield from setting_misfits(part.model, part.keys, draft.own.catalogue.heads)
            yield from _photometry(part.model, part.keys, draft.folder)
            yield from colour_misfits(part.model, part.keys, draft.folder)


def _fixture(fixture: Fixture, keys: Keys, anchors: Anchors) -> Found:
    kinds = [kind for kind in KINDS if getattr(fixture, kind) is not None]
    if len(kinds) != 1:
        found = "none is" if not kinds else f"{' and '.join(kinds)} are"
        yield keys, f"a fixture is exactly one of {listed(KINDS)}; {found} given"
    elif kinds == ["head"]:
        for key, how in (
            ("at", "where it stands: at: [-12, -1, 4.8]"),
            ("aim", "what it is aimed at: aim: Mara"),
        ):
            if getattr(fixture, key) is None:
                yield (*keys, key), f"is missing: a head needs {how}"
    else:
        for key in ("at", "aim"):
            if getattr(fixture, key) is not None:
                where = "; write its place under practical" if kinds == ["practical"] and key == "at" else ""
                yield (*keys, key), f"{key} goes with a head, not with a {kinds[0]}{where}"
    if kinds in (["head"], ["practical"]) and fixture.level > 1.0 + ROUNDING:
        yield (*keys, "level"), _over_full(kinds[0], fixture.level)
    if isinstance(fixture.head, Head):
        yield from head_misfits(fixture.head, (*keys, "head"))
    if fixture.sky is not None and fixture.sky.lux is not None and fixture.sky.brightness is not None:
        yield (*keys, "sky", "brightness"), "a sky is given by its lux or by its brightness, not by both"
    if fixture.practical is not None:
        yield from _practical(fixture.practical, (*keys, "practical"), anchors)
    for place, thing in enumerate(fixture.through):
        yield from through_misfits(thing, (*keys, "through", place), on_head=fixture.head is not None)
        if thing.to is not None and thing.to.of == fixture.name:
            yield (*keys, "through", place, "to"), "a bounce cannot go on to the head that lights it"


def _motive(fixture: Fixture, keys: Keys, fixtures: list[str], anchors: Anchors) -> Found:
    """A motive is of a head, and is something else of the scene, or out in the sky."""
    if fixture.motive is None:
        return
    keys = (*keys, "motive")
    if fixture.head is None:
        yield keys, "a motive is what a head plays; moon, sky and practicals are their own"
    elif fixture.motive == fixture.name:
        yield keys, "a head cannot be its own motive; name what in the story gives this light"
    elif fixture.motive not in (MOON, SKY, *fixtures) and fixture.motive not in anchors:
        yield keys, unknown("motive", fixture.motive, [MOON, SKY, *fixtures, *anchors])


def _photometry(fixture: Fixture, keys: Keys, folder: Path) -> Found:
    if isinstance(fixture.head, Head) and fixture.head.photometry is not None:
        yield from photometry_misfits(fixture.head, (*keys, "head"), folder)


def _over_full(kind: str, level: float) -> str:
    mend = {
        "head": "choose a stronger head or move it nearer",
        "practical": "give it more watts, lumens or luminance",
    }[kind]
    over = f"{log2(level):.2g}"
    stops = "stop" if over == "1" else "stops"
    return f"a {kind} gives no more than full: {100 * level:.4g} % is {over} {stops} over; {mend}"


def _practical(practical: Practical, keys: Keys, anchors: Anchors) -> Found:
    if practical.lumens is not None and practical.luminance is not None:
        yield keys, f"a {practical.kind} needs lumens or luminance, not both"
    if practical.kind == "window":
        of = practical.at.of
        is_window = of is not None and (of.endswith(".window") or ".window[" in of)
        if not is_window:
            yield (*keys, "at"), "a lit window is at a window of a house, such as house.window[0]"
        elif of in anchors and practical.at.offset != (0.0, 0.0, 0.0):
            yield (*keys, "at"), "a lit window fills its opening, so it takes no offset"
        if practical.size is not None:
            yield (*keys, "size"), "a lit window has the size of its opening"
    elif practical.luminance is not None and practical.kind != "fire":
        yield (
            (*keys, "luminance"),
            f"luminance is for windows and fires; give a {practical.kind} its watts or lumens",
        )
    if practical.facing is not None and practical.kind not in FACING:
        yield (*keys, "facing"), f"facing is the way a tube runs; a {practical.kind} has none"
    if practical.kind == "string" and (practical.at.of is None or f"{practical.at.of}[0]" not in anchors):
        yield (*keys, "at"), "a string is at a string of bulbs in the set, by its name: at: lights"
    if practical.size is not None and practical.size > 5:
        yield (*keys, "size"), f"no {practical.kind} is {practical.size:g} m long or wide"
