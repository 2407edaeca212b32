"""Place and time as people write them: latitudes, longitudes, time zones, dates, hours, cloud.

Each raises ValueError in words. Inside: radians, north and east positive; a zone is its name in the time zone
database or an offset such as `+02:00`.
"""

from __future__ import annotations

import re
from calendar import month_name, monthrange
from datetime import date, time, timedelta, timezone, tzinfo
from math import radians
from typing import TypeGuard

from preview.script import quantities
from preview.script.quantities import shown

EARLIEST, LATEST = 1900, 2100
"""Years for which the sky is reckoned and clocks are known or may be guessed."""

HOW_ON_EARTH = "place: {latitude: 57 N, longitude: 4 E, zone: CET}"
"""An example: open sea."""
HOW_NIGHT = "write night: 2026-10-24, or night: {date: 2026-10-24, time: 21:30}"
_HOW_ZONE = "write a name of the time zone database, such as CET, or an offset, such as +02:00"
_HOW_MONTH = "write year and month: 2026-10"
_HOW_DATE = "write year, month and day: 2026-10-24"
_HOW_TIME = "write 21:30, 02:15 or 9:30 pm"
_HOW_CLOUD = "write 30 %, 3/8, clear or overcast"

_COORDINATE = re.compile(
    r"([+-]?)\s*([0-9]{1,3}(?:\.[0-9]{1,12})?)\s*(?:°|deg(?:rees)?\b)?"
    r"(?:\s*([0-9]{1,2}(?:\.[0-9]{1,9})?)\s*(?:['′]|min\b))?"
    r"(?:\s*([0-9]{1,2}(?:\.[0-9]{1,9})?)\s*(?:[\"″]|s(?:ec)?\b))?\s*([A-Za-z]?)"
)
_OFFSET = re.compile(r"(?:UTC|GMT)?\s*([+-])([0-9]{1,2})(?::?([0-5][0-9]))?", re.IGNORECASE)
_DATE = re.compile(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})")
_TIME = re.compile(r"([0-9]{1,2}):([0-9]{2})(?::00)?\s*([ap]\.?m\.?)?", re.IGNORECASE)
_EIGHTHS = re.compile(r"([0-9])\s*/\s*8")


def latitude(value: object) -> float:
    """Radians, north positive, from `51.5`, `51.5 N`, `33.9 S`, `51° 30′ N`."""
    return _coordinate(value, "latitude", "NS", 90.0, "51.5 N or -33.9")


def longitude(value: object) -> float:
    """Radians, east positive, from `-70.5`, `1.2 E`, `70.5 W`, `1° 12′ E`."""
    return _coordinate(value, "longitude", "EW", 180.0, "1.2 E or -70.5")


def _coordinate(value: object, what: str, letters: str, most: float, example: str) -> float:
    how = f"write {example}"
    if isinstance(value, int | float) and not isinstance(value, bool):
        degrees = quantities.number(value)
    else:
        found = _COORDINATE.fullmatch(value.strip().replace("−", "-")) if _is_short(value) else None
        letter = found[5].upper() if found is not None else ""
        if found is None or (letter and letter not in letters):
            hint = f"{letter} is no side of a {what}; " if letter in ("N", "S", "E", "W") and letter else ""
            raise ValueError(f"{shown(value)} is not a {what}; {hint}{how}")
        if found[1] and letter:
            raise ValueError(f"{shown(value)} has a sign and a letter; {how}")
        minutes, seconds = float(found[3] or 0.0), float(found[4] or 0.0)
        if minutes >= 60.0 or seconds >= 60.0:
            raise ValueError(f"{shown(value)} has more than 60 minutes or seconds; {how}")
        degrees = float(found[2]) + minutes / 60.0 + seconds / 3600.0
        degrees = -degrees if found[1] == "-" or letter == letters[1] else degrees
    if abs(degrees) > most:
        raise ValueError(f"a {what} lies between {-most:.0f} and {most:.0f} degrees, not {shown(value)}")
    return radians(degrees)


def zone(value: object) -> str:
    """A zone's name as its database spells it, or an offset as `+02:00`."""
    if (
        isinstance(value, int | float)
        and not isinstance(value, bool)
        and abs(value) < 24
        and value * 4 % 1 == 0
    ):
        value = f"{'-' if value < 0 else '+'}{abs(int(value))}:{round(abs(value) % 1 * 60):02d}"
    if not _is_short(value):
        raise ValueError(f"{shown(value)} is no time zone; {_HOW_ZONE}")
    text = value.strip().replace("−", "-")
    offset = _OFFSET.fullmatch(text)
    if offset is not None:
        hours, minutes = int(offset[2]), int(offset[3] or 0)
        if hours * 60 + minutes > 14 * 60:
            raise ValueError(f"no clock is {text} from universal time; offsets go to 14 hours")
        return f"{offset[1]}{hours:02d}:{minutes:02d}"
    from preview.script.zone_names import known_zones, meant

    named = {name.lower(): name for name in known_zones()}
    if text.lower() in named:
        return named[text.lower()]
    raise ValueError(f"no time zone {shown(value)}; {meant(text) or _HOW_ZONE}")


def zone_of(name: str) -> tzinfo:
    """The clocks of a zone as `zone` gives it."""
    offset = _OFFSET.fullmatch(name)
    if offset is not None:
        away = timedelta(hours=int(offset[2]), minutes=int(offset[3] or 0))
        return timezone(-away if offset[1] == "-" else away)
    import zoneinfo

    return zoneinfo.ZoneInfo(name)


def evening(value: object) -> date:
    """A day of the calendar from `2026-10-24`."""
    if isinstance(value, date):
        return value
    found = _DATE.fullmatch(value.strip()) if _is_short(value) else None
    if found is None:
        raise ValueError(f"{shown(value)} is no date; {_HOW_DATE}")
    year, month, day = int(found[1]), int(found[2]), int(found[3])
    if not EARLIEST <= year <= LATEST:
        raise ValueError(f"the sky is reckoned for the years {EARLIEST} to {LATEST}, not {year}")
    if not 1 <= month <= 12:
        raise ValueError(f"there is no month {month}; {_HOW_DATE}")
    days = monthrange(year, month)[1]
    if not 1 <= day <= days:
        raise ValueError(f"{month_name[month]} {year} has {days} days; there is no {day}")
    return date(year, month, day)


def month(value: object) -> date:
    """The first day of a month from `2026-10`."""
    found = re.fullmatch(r"([0-9]{4})-([0-9]{1,2})", value.strip()) if _is_short(value) else None
    if found is None:
        raise ValueError(f"{shown(value)} is no month; {_HOW_MONTH}")
    if not 1 <= int(found[2]) <= 12:
        raise ValueError(f"there is no month {int(found[2])}; {_HOW_MONTH}")
    return evening(f"{found[1]}-{found[2]}-01")


def clock(value: object) -> time:
    """A time of the day from `21:30`, `02:15`, `9:30 pm`."""
    if isinstance(value, time):
        return value
    found = _TIME.fullmatch(value.strip()) if _is_short(value) else None
    if found is None:
        raise ValueError(f"{shown(value)} is no time of the day; {_HOW_TIME}")
    hour, minute, half = int(found[1]), int(found[2]), (found[3] or "").lower()[:1]
    if half and not 1 <= hour <= 12:
        raise ValueError(f"{shown(value)} is no time of the day; {_HOW_TIME}")
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour > 23 or minute > 59:
        raise ValueError(f"a day ends at 23:59, so {shown(value)} is no time of it; {_HOW_TIME}")
    return time(hour, minute)


def cloud(value: object) -> float:
    """The share of the sky that is covered, from per cent (bare, or `30 %`), eighths (`3/8`), `clear`, `overcast`."""
    words = {"clear": 0.0, "none": 0.0, "overcast": 1.0}
    if isinstance(value, str) and value.strip().lower() in words:
        return words[value.strip().lower()]
    eighths = _EIGHTHS.fullmatch(value.strip()) if _is_short(value) else None
    if eighths is not None:
        return int(eighths[1]) / 8.0
    if isinstance(value, str) and not re.fullmatch(r"\s*[+-]?[0-9.]+\s*(%|per ?cent)?\s*", value):
        raise ValueError(f"{shown(value)} is no share of the sky; {_HOW_CLOUD}")
    return quantities.level(value)


def _is_short(value: object) -> TypeGuard[str]:
    return isinstance(value, str) and len(value) <= 60
