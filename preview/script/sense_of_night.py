"""Whether place, night and moons go together: a night needs a place, a real moon all three and a time."""

from __future__ import annotations

from collections.abc import Iterator

from preview.script.document import Keys
from preview.script.draft import Draft
from preview.script.models.sky import Moon
from preview.script.place_and_time import HOW_ON_EARTH
from preview.script.real_moon import moment_of

Found = Iterator[tuple[Keys, str]]

FOLLOW = ("azimuth", "elevation", "lux")
"""What of a real moon nobody chooses."""
NEEDED = {
    "azimuth": "say where its light comes from, in degrees clockwise from north, or write moon: real",
    "elevation": "say how high it stands, in degrees above the horizon, or write moon: real",
}


def misfits_in(draft: Draft) -> Found:
    """A night without a place, an hour that never comes, and moons that are neither chosen nor known."""
    if "night" in draft.sections and "place" not in draft.sections:
        yield ("night",), f"a night needs a place on earth: {HOW_ON_EARTH}"
    if draft.place is not None and draft.night is not None:
        try:
            moment_of(draft.place, draft.night)
        except ValueError as error:
            yield ("night", "time"), str(error)
    for part in draft.fixtures:
        if part.model is not None and part.model.moon is not None:
            yield from _moon(part.model.moon, (*part.keys, "moon"), draft)


def _moon(moon: Moon, keys: Keys, draft: Draft) -> Found:
    if not moon.real:
        for key, what in NEEDED.items():
            if key not in moon.model_fields_set:
                yield (*keys, key), f"is missing: {what}"
        return
    for key in FOLLOW:
        if key in moon.model_fields_set:
            more = "; dim it with the fixture's level" if key == "lux" else ""
            yield (
                (*keys, key),
                f"the {key} of a real moon follows from place, night and time; leave it out{more}",
            )
    if any(unread[0] in ("place", "night") for unread, _ in draft.faults):
        return
    if "place" not in draft.sections:
        yield keys, f"a real moon needs a place on earth: {HOW_ON_EARTH}"
    elif "night" not in draft.sections:
        yield keys, "a real moon needs its night: night: {date: 2026-10-24, time: 21:30}"
    elif draft.night is not None and "time" not in draft.night.model_fields_set:
        yield keys, "a real moon needs its time: night: {date: 2026-10-24, time: 21:30}"
