"""Month: which nights of a month give the look asked: dark, the moon where it is wanted and bright enough.

A night is looked at every ten minutes.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from math import degrees

from preview.night.ephemeris import Moon, moon_at, sun_at
from preview.night.events import TWILIGHTS, Spans, length, moon_up, overlap, sun_below
from preview.night.moonlight import facing_lux
from preview.night.observer import NightSpan, Observer, night_of
from preview.night.words import clock, hours_words, lux_words, minutes_of

STEP = timedelta(minutes=10)
ENOUGH = timedelta(hours=2)
"""What a short night scene takes once it is lit. Common practice, no source."""

Fits = Callable[[Moon], bool]


@dataclass(frozen=True)
class Asked:
    """The look asked of a night. `there`, `height`: whether the moon stands on the wanted side, at a wanted height.

    `words`: of both, as `from the back left, 10° to 45° up`; `least_lux` facing the moon; `dark`: the twilight that must
    be over, a name of TWILIGHTS; `cloud`: share of the sky.
    """

    words: str
    there: Fits
    height: Fits
    least_lux: float
    dark: str
    extinction: float
    cloud: float = 0.0


@dataclass(frozen=True)
class NightFit:
    """One night. `moon`: at its middle. `fit`: when all that is asked holds at once; `best_at`, `best_lux`: when the
    moon then gives most. `up_in_dark`: when it is up in the dark. `verdict`: a word; `why`: a few more.
    """

    evening: date
    moon: Moon
    dark: Spans
    up_in_dark: Spans
    fit: Spans
    best_at: datetime | None
    best_lux: float
    verdict: str = "no"
    why: str = ""
    reason: str = ""
    """Of a night that is not fit: a key of REASONS."""

    @property
    def time(self) -> timedelta:
        """How long it is fit in all."""
        return length(self.fit)

    @property
    def is_long_enough(self) -> bool:
        """To within half a step."""
        return self.time >= ENOUGH - STEP / 2


def month_of(observer: Observer, first: date, asked: Asked) -> tuple[NightFit, ...]:
    """The nights of the month of a day, in their order."""
    days = monthrange(first.year, first.month)[1]
    return tuple(night_fit(observer, first.replace(day=day), asked) for day in range(1, days + 1))


def ranked(nights: Sequence[NightFit]) -> tuple[NightFit, ...]:
    """The nights that are fit at all, best first: those long enough by their light, then the short ones by their time as
    it is told, of equals the brightest."""
    able = [night for night in nights if night.fit]
    enough = sorted((night for night in able if night.is_long_enough), key=lambda night: -night.best_lux)
    short = sorted(
        (night for night in able if not night.is_long_enough),
        key=lambda night: (-minutes_of(night.time), -night.best_lux),
    )
    return (*enough, *short)


def night_fit(observer: Observer, evening: date, asked: Asked) -> NightFit:
    """What a night has of the look asked."""
    night = night_of(observer, evening)
    dark = sun_below(observer, night, TWILIGHTS[asked.dark])
    both = overlap(dark, moon_up(observer, night))
    times = _times(both)
    moons = {at: moon_at(observer, at) for at in times}
    lux = {at: facing_lux(moon, extinction=asked.extinction, cloud=asked.cloud) for at, moon in moons.items()}
    here = [at for at in times if asked.there(moons[at])]
    right = [at for at in here if asked.height(moons[at])]
    fit = [at for at in right if lux[at] >= asked.least_lux]
    best = max(fit, key=lambda at: lux[at], default=None)
    seen = NightFit(
        evening,
        moon_at(observer, night.middle),
        dark,
        both,
        _runs(fit, both),
        best,
        0.0 if best is None else lux[best],
    )
    if fit:
        told = " and ".join(f"{clock(observer, start)} to {clock(observer, end)}" for start, end in seen.fit)
        return replace(seen, verdict="fit" if seen.is_long_enough else "short", why=told)
    if not dark:
        reason, why = _never_dark(observer, night)
    elif not both:
        reason, why = _no_moon(observer, night, dark)
    elif right:
        reason, why = "weak", f"too weak: {lux_words(max(lux[at] for at in right))} lux at most"
    elif here:
        heights = [degrees(moons[at].height) for at in here]
        reason, why = "height", f"where it is wanted, but {_between(min(heights), max(heights))} up"
    else:
        reason, why = "elsewhere", f"up for {hours_words(length(both))} of the dark, never where it is wanted"
    return replace(seen, reason=reason, why=why)


REASONS = {
    "day": "never dark: the sun does not set",
    "bright": "never dark: the sun stays too near the horizon",
    "down": "the moon stays below the horizon",
    "late": "the moon rises after it gets light",
    "early": "the moon sets before it is dark",
    "weak": "the moon is too weak",
    "height": "where it is wanted, but too low or too high",
    "elsewhere": "up in the dark, but never where it is wanted",
}
"""What several nights have in common that are not fit."""


def _never_dark(observer: Observer, night: NightSpan) -> tuple[str, str]:
    lowest = min(degrees(sun_at(observer, at).true_height) for at in night.every(20))
    if lowest > -0.85:
        return "day", REASONS["day"]
    return "bright", f"never dark: the sun goes no lower than {-lowest:.0f}°"


def _no_moon(observer: Observer, night: NightSpan, dark: Spans) -> tuple[str, str]:
    """Why no moon is up in the dark."""
    up = moon_up(observer, night)
    if not up:
        return "down", REASONS["down"]
    rises = next((start for start, _ in up if start >= dark[-1][1]), None)
    if rises is not None:
        return "late", f"the moon rises at {clock(observer, rises)}, after it gets light"
    sets = max((end for _, end in up if end <= dark[0][0]), default=None)
    return (
        "early",
        f"the moon sets{'' if sets is None else f' at {clock(observer, sets)}'}, before it is dark",
    )


def _times(spans: Spans) -> list[datetime]:
    """Instants inside spans, the middle of each step."""
    found: list[datetime] = []
    for start, end in spans:
        steps = max(1, round((end - start) / STEP))
        found += [start + (step + 0.5) * (end - start) / steps for step in range(steps)]
    return found


def _runs(times: Sequence[datetime], spans: Spans) -> Spans:
    """Steps that follow one another, as spans."""
    runs: list[list[datetime]] = []
    for at in times:
        if runs and at - runs[-1][1] < 1.6 * STEP:
            runs[-1][1] = at
        else:
            runs.append([at, at])
    half = STEP / 2
    found = []
    for start, end in runs:
        inside = next((span for span in spans if span[0] <= start <= span[1]), None)
        if inside is not None:
            found.append((max(start - half, inside[0]), min(end + half, inside[1])))
    return tuple(found)


def _between(low: float, high: float) -> str:
    return f"{low:.0f}°" if round(low) == round(high) else f"{low:.0f}° to {high:.0f}°"
