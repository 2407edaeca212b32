"""Zone names: what a time zone that the database does not have is likely to mean: mistyped, or letters on a clock."""

from __future__ import annotations

import zoneinfo
from collections import Counter
from datetime import datetime, timedelta
from functools import lru_cache

from preview.script.words import did_you_mean, listed

SEASONS = (datetime(2026, 1, 15), datetime(2026, 7, 15))
"""Days of winter and summer, on which clocks show their letters."""
TOLD = 3
"""Names that are told, at most."""


@lru_cache(maxsize=1)
def known_zones() -> tuple[str, ...]:
    """All names of the time zone database."""
    return tuple(sorted(zoneinfo.available_timezones()))


def meant(text: str) -> str | None:
    """`did you mean "CET"?`, or which areas go by letters such as AEDT; None for what is like nothing."""
    letters = text.upper()
    lettered = _by_letters().get(letters, {})
    bare = [name for names in lettered.values() for name in names if "/" not in name]
    near = did_you_mean(letters, sorted(bare)) if lettered else _near(text)
    if near is not None:
        return f'did you mean "{near}"?'
    areas = {offset: found for offset, names in sorted(lettered.items()) if (found := _areas(names))}
    if not areas:
        return None
    if len(areas) == 1:
        (told,) = areas.values()
    else:
        told = [f"{names[0]} ({offset_words(offset)})" for offset, names in areas.items()][:TOLD]
    names = listed(told) if len(told) > 1 else told[0]
    return f"{letters} is what clocks show, not an area; write one that goes by it, such as {names}"


def offset_words(offset: timedelta) -> str:
    """`+05:30`."""
    minutes = round(offset.total_seconds() / 60.0)
    return f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def _near(text: str) -> str | None:
    """The zone that a mistyped or shortened name is likely to be."""
    known = known_zones()
    last = {name.rpartition("/")[2].lower(): name for name in known if "/" in name}
    word = text.replace(" ", "_")
    near = did_you_mean(word, [name for name in known if ("/" in name) == ("/" in word)])
    if near is None and (short := did_you_mean(word.rpartition("/")[2], last)) is not None:
        near = last[short]
    return near


@lru_cache(maxsize=1)
def _by_letters() -> dict[str, dict[timedelta, set[str]]]:
    """The zones whose clocks show some letters in winter or summer, by how far those are ahead of universal time."""
    found: dict[str, dict[timedelta, set[str]]] = {}
    for name in known_zones():
        clocks = zoneinfo.ZoneInfo(name)
        for day in SEASONS:
            local = day.replace(tzinfo=clocks)
            letters, offset = local.tzname() or "", local.utcoffset() or timedelta()
            if letters.isalpha():
                found.setdefault(letters, {}).setdefault(offset, set()).add(name)
    return found


def _areas(names: set[str]) -> list[str]:
    """The main names among some zones, those of the area that has most of them."""
    main = sorted(names & _main_names())
    if not main:
        return []
    most = Counter(name.partition("/")[0] for name in main).most_common(1)[0][0]
    return [name for name in main if name.partition("/")[0] == most][:TOLD]


@lru_cache(maxsize=1)
def _main_names() -> frozenset[str]:
    """One zone for each kind of clock that there is now, as the database lists them, else those listed by country."""
    from importlib.resources import files

    folder = files("tzdata") / "zoneinfo"
    tables = [table for name in ("zonenow.tab", "zone.tab") if (table := folder / name).is_file()]
    lines = tables[0].read_text(encoding="utf-8").splitlines() if tables else []
    return frozenset(line.split("\t")[2] for line in lines if line and not line.startswith("#"))
