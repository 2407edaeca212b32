"""Words: how a night is told: phases, heights, times by the clocks of the place."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from math import degrees

from preview.night.ephemeris import Moon
from preview.night.events import Spans
from preview.night.observer import Observer

QUARTER = 0.04
WHOLE = 0.985
"""How near half, or all, or none of the disc the lit share is where the phase has a name of its own."""


def phase(moon: Moon) -> str:
    """`waxing gibbous`, `full`, `last quarter`."""
    if moon.lit >= WHOLE:
        return "full"
    if moon.lit <= 1.0 - WHOLE:
        return "new"
    if abs(moon.lit - 0.5) <= QUARTER:
        return "first quarter" if moon.waxing else "last quarter"
    shape = "gibbous" if moon.lit > 0.5 else "crescent"
    return f"{'waxing' if moon.waxing else 'waning'} {shape}"


def clock(observer: Observer, at: datetime) -> str:
    """`21:30` by the clocks of the place, to the nearest minute."""
    return f"{observer.local(at + timedelta(seconds=30)):%H:%M}"


def spans_words(observer: Observer, spans: Spans) -> str:
    """`from 22:10 to 22:35 and from 01:00 to 02:10`."""
    told = [f"from {clock(observer, start)} to {clock(observer, end)}" for start, end in spans]
    return told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"


def minutes_of(time: timedelta) -> int:
    """Whole minutes, the nearest, as `hours_words` tells them."""
    return round(time.total_seconds() / 60.0)


def hours_words(time: timedelta) -> str:
    """`2 h 40 min`, `25 min`, `none`."""
    minutes = minutes_of(time)
    if minutes <= 0:
        return "none"
    hours, rest = divmod(minutes, 60)
    return " ".join(part for part in (f"{hours} h" * bool(hours), f"{rest} min" * bool(rest)) if part)


def lux_words(lux: float) -> str:
    """Two figures: `0.21`, `0.045`; `none` for no light, `< 0.001` for hardly any."""
    if lux <= 0.0:
        return "none"
    if lux < 0.001:
        return "< 0.001"
    places = 3 if lux < 0.1 else 2
    return f"{lux:.{places}f}"


def height_words(height: float) -> str:
    """`34° up`, `12° below`, of radians over the horizon."""
    angle = degrees(height)
    return f"{abs(angle):.0f}° {'up' if angle >= 0.0 else 'below'}"


def day_words(day: date) -> str:
    """`Tue 27`."""
    return f"{day:%a} {day.day}"


def date_words(day: date) -> str:
    """`Tuesday 27 October 2026`."""
    return f"{day:%A} {day.day} {day:%B %Y}"
