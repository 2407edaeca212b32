"""Whether fixtures and camera are whole: one kind each, known names, angles and outputs that can be."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees, log2

from preview.script.document import Keys
from preview.script.draft import Draft
from preview.script.models.fixtures import Fixture, Head, Practical, Through
from preview.script.places import Anchors
from preview.script.words import unknown
from preview.trade import catalogue

Found = Iterator[tuple[Keys, str]]

KINDS = ("head", "moon", "sky", "practical")
OUTPUTS = ("candela", "lumens", "reading")
NARROWEST_SKIRT = 1.01
"""Field angle over beam angle: below it the edge of the beam would be a step."""
ROUNDING = 1e-9
"""What a level of full may be over through arithmetic alone."""


def names_in(draft: Draft) -> Found:
    """Names that the catalogue does not have."""
    camera = draft.camera
    if camera is not None and isinstance(camera.format, str):
        yield from _known("format", "formats", camera.format, ("camera", "format"))
    for part in draft.fixtures:
        if part.model is None:
            continue
        if isinstance(part.model.head, str):
            yield from _known("head", "heads", part.model.head, (*part.keys, "head"))
        for place, thing in enumerate(part.model.through):
            keys = (*part.keys, "through", place)
            yield from _known("gel", "gels", thing.gel, (*keys, "gel"))
            yield from _known("cloth", "cloths", thing.cloth, (*keys, "cloth"))


def _known(noun: str, kind: catalogue.Kind, name: str | None, keys: Keys) -> Found:
    known = catalogue.names(kind)
    if name is not None and name not in known:
        yield keys, unknown(noun, name, known)


def misfits_in(draft: Draft, anchors: Anchors) -> Found:
    """Everything that keeps a fixture from being used."""
    for part in draft.fixtures:
        if part.model is not None:
            yield from _fixture(part.model, part.keys, anchors)


def _listed(words: list[str] | tuple[str, ...]) -> str:
    return ", ".join(words[:-1]) + f" or {words[-1]}"


def _fixture(fixture: Fixture, keys: Keys, anchors: Anchors) -> Found:
    kinds = [kind for kind in KINDS if getattr(fixture, kind) is not None]
    if len(kinds) != 1:
        found = "none is" if not kinds else f"{' and '.join(kinds)} are"
        yield keys, f"a fixture is exactly one of {_listed(KINDS)}; {found} given"
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
        yield from _head(fixture.head, (*keys, "head"))
    if fixture.sky is not None and fixture.sky.lux is not None and fixture.sky.brightness is not None:
        yield (*keys, "sky", "brightness"), "a sky is given by its lux or by its brightness, not by both"
    if fixture.practical is not None:
        yield from _practical(fixture.practical, (*keys, "practical"), anchors)
    for place, thing in enumerate(fixture.through):
        yield from _through(thing, (*keys, "through", place), on_head=fixture.head is not None)


def _over_full(kind: str, level: float) -> str:
    mend = {
        "head": "choose a stronger head or move it nearer",
        "practical": "give it more watts, lumens or luminance",
    }[kind]
    over = f"{log2(level):.2g}"
    stops = "stop" if over == "1" else "stops"
    return f"a {kind} gives no more than full: {100 * level:.4g} % is {over} {stops} over; {mend}"


def _head(head: Head, keys: Keys) -> Found:
    outputs = [key for key in OUTPUTS if getattr(head, key) is not None]
    if len(outputs) != 1:
        found = "none is" if not outputs else f"{' and '.join(outputs)} are"
        yield keys, f"a head needs exactly one of {_listed(OUTPUTS)}; {found} given"
    needed, not_taken = {
        "beam": ("beam", ("size",)),
        "panel": ("size", ("aperture",)),
        "ball": ("aperture", ("beam", "field", "size")),
    }[head.shape]
    if getattr(head, needed) is None:
        how = {
            "beam": "its beam angle, such as beam: 40 deg",
            "panel": "its size, such as size: 1.2x0.3 m",
            "ball": "its diameter, such as aperture: 60 cm",
        }[head.shape]
        yield (*keys, needed), f"is missing: a head of the shape {head.shape} needs {how}"
    for key in not_taken:
        if getattr(head, key) is not None:
            yield (*keys, key), f"a head of the shape {head.shape} has no {key}"
    if head.shape == "ball":
        return
    if head.beam is None and head.field is not None and head.shape == "panel":
        yield (*keys, "field"), "a field angle needs a beam angle beside it"
    if head.beam is not None and head.field is not None and head.field < NARROWEST_SKIRT * head.beam:
        beam, field = degrees(head.beam), degrees(head.field)
        yield (
            (*keys, "field"),
            f"the beam ({beam:g} deg) is wider than its field ({field:g} deg): the field is where the light falls to "
            "10 %, the beam where it falls to 50 %"
            if field < beam
            else f"the field ({field:g} deg) must be wider than the beam ({beam:g} deg): it is where the light falls to "
            "10 %, the beam where it falls to 50 %",
        )


def _practical(practical: Practical, keys: Keys, anchors: Anchors) -> Found:
    if practical.lumens is not None and practical.luminance is not None:
        yield keys, "a window needs lumens or luminance, not both"
    if practical.kind == "window":
        of = practical.at.of
        is_window = of is not None and (of.endswith(".window") or ".window[" in of)
        if not is_window:
            yield (*keys, "at"), "a lit window is at a window of a house, such as house.window[0]"
        elif of in anchors and practical.at.offset != (0.0, 0.0, 0.0):
            yield (*keys, "at"), "a lit window fills its opening, so it takes no offset"
        if practical.size is not None:
            yield (*keys, "size"), "a lit window has the size of its opening"
    elif practical.luminance is not None:
        yield (*keys, "luminance"), f"luminance is for windows; give a {practical.kind} its watts or lumens"
    if practical.facing is not None and practical.kind != "tube":
        yield (*keys, "facing"), f"facing is the way a tube runs; a {practical.kind} has none"
    if practical.size is not None and practical.size > 5:
        yield (*keys, "size"), f"no {practical.kind} is {practical.size:g} m long or wide"


def _through(thing: Through, keys: Keys, *, on_head: bool) -> Found:
    kinds = [kind for kind in ("gel", "shift", "scrim", "frame") if getattr(thing, kind) is not None]
    if len(kinds) != 1:
        found = "none is" if not kinds else f"{' and '.join(kinds)} are"
        yield keys, f"each item of through is exactly one of gel, shift, scrim or frame; {found} given"
    if thing.frame is None and kinds:
        for key in ("cloth", "away"):
            if key in thing.model_fields_set and getattr(thing, key) is not None:
                yield (
                    (*keys, key),
                    f"{key} goes with a frame, such as {{frame: 8x8 ft, cloth: half-grid, away: 2}}",
                )
    if thing.frame is not None and thing.cloth is None:
        yield (
            (*keys, "cloth"),
            "is missing: an empty frame does nothing; say what is in it, such as cloth: half-grid",
        )
    if thing.frame is not None and not on_head:
        yield (*keys, "frame"), "a frame stands before a head; nothing else has an axis to put it on"
    if thing.frame is not None and max(thing.frame) > 30:
        yield (*keys, "frame"), f"no frame is {max(thing.frame):g} m wide"
