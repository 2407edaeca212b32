"""Whether what a fixture shines through is whole: one thing an item, and what goes with it."""

from __future__ import annotations

from collections.abc import Iterator

from preview.script.document import Keys
from preview.script.models.through import Through
from preview.script.words import listed

Found = Iterator[tuple[Keys, str]]

KINDS = (
    "gel", "shift", "scrim", "frame", "bounce", "box", "flag", "cucoloris", "doors", "snoot"
)  # fmt: skip
STANDING = ("frame", "bounce", "flag", "cucoloris")
WITH = {
    "cloth": ("frame", "box", "flag", "cloth"),
    "of": ("bounce",),
    "to": ("bounce",),
    "depth": ("box",),
    "skirt": ("box",),
    "grid": ("box",),
    "open": ("cucoloris",),
    "seed": ("cucoloris",),
    "away": STANDING,
    "aside": STANDING,
    "up": STANDING,
    "tilt": ("frame", "flag", "cucoloris"),
    "turn": ("frame", "flag", "cucoloris"),
    "roll": (*STANDING, "box"),
}
"""Which keys go with which things."""
EXAMPLES = {
    "frame": "{frame: 8x8 ft, cloth: half-grid, away: 2}",
    "bounce": "{bounce: 8x8 ft, of: bleached-muslin, away: 2.5, to: Mara.face}",
    "box": "{box: 90x60 cm, cloth: half-grid, depth: 40 cm}",
    "flag": "{flag: 24x36 in, away: 1.5, up: 0.4}",
    "cucoloris": "{cucoloris: 4x4 ft, away: 2, open: 40 %}",
    "cloth": "{cloth: light-frost}",
}
NEEDS = {"frame": ("cloth",), "box": ("cloth",), "bounce": ("of", "to")}
MISSING = {
    "cloth": "say what is in it, such as cloth: half-grid",
    "of": "say what the board is, such as of: bleached-muslin",
    "to": "say what the light goes on to, such as to: Mara.face",
}
WIDEST = 30.0
"""Metres across anything that a crew puts up."""


def through_misfits(thing: Through, keys: Keys, *, on_head: bool) -> Found:
    kinds = [kind for kind in KINDS if getattr(thing, kind) is not None]
    if not kinds and thing.cloth is not None:
        kinds = ["cloth"]
    if len(kinds) != 1:
        found = "none is" if not kinds else f"{' and '.join(kinds)} are"
        yield keys, f"each item of through is exactly one of {listed((*KINDS, 'cloth'))}; {found} given"
        return
    (kind,) = kinds
    for key, owners in WITH.items():
        if kind not in owners and key in thing.model_fields_set and getattr(thing, key) is not None:
            example = next(EXAMPLES[owner] for owner in owners if owner in EXAMPLES)
            with_what = listed(owners) if len(owners) > 1 else owners[0]
            yield (*keys, key), f"{key} goes with {with_what}, such as {example}; this is a {kind}"
    for key in NEEDS.get(kind, ()):
        if getattr(thing, key) is None:
            empty = "an empty frame does nothing; " if kind == "frame" else ""
            yield (*keys, key), f"is missing: {empty}{MISSING[key]}"
    if kind in ("flag", "cucoloris") and "away" not in thing.model_fields_set:
        yield (*keys, "away"), f"is missing: say how far along the beam it stands, such as {EXAMPLES[kind]}"
    if kind not in ("gel", "shift", "scrim") and not on_head:
        yield (*keys, kind), f"a {kind} stands before a head; nothing else has an axis to put it on"
    size = getattr(thing, kind)
    if kind in (*STANDING, "box") and max(size) > WIDEST:
        yield (*keys, kind), f"no {kind} is {max(size):g} m wide"
    if kind == "doors" and thing.doors is not None and not thing.doors.model_fields_set:
        yield (
            (*keys, "doors"),
            "doors without a leaf do nothing: say how far one is open, such as {top: 60 deg}",
        )
