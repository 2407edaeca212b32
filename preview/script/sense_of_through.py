"""Whether what a fixture shines through is whole: one thing an item, and what goes with it."""

from __future__ import annotations

from collections.abc import Iterator

from preview.script.document import Keys
from preview.script.models.through import Through

Found = Iterator[tuple[Keys, str]]


def through_misfits(thing: Through, keys: Keys, *, on_head: bool) -> Found:
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
