"""Events: when sun and moon rise, set, culminate and cross the heights that part day, twilight and night.

Rise and set are of the upper limb over a level horizon, with 34 minutes of arc of refraction; twilights end with the
middle of the sun 6, 12 and 18 degrees below it, without refraction: the almanacs' conventions.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import degrees
from typing import Any, Final

from preview.night.ephemeris import moon_at, place_of, sun_at, time_of
from preview.night.observer import NightSpan, Observer

Spans = tuple[tuple[datetime, datetime], ...]

HORIZON: Final = -34.0 / 60.0
"""Degrees: the true height of what refraction lifts to the horizon."""
SUN_RADIUS: Final = 16.0 / 60.0
"""Degrees: as almanacs take it for sunrise and sunset."""
TWILIGHTS: Final = {"civil": -6.0, "nautical": -12.0, "astronomical": -18.0}
"""Degrees of the sun's middle at which each twilight ends. Common to all almanacs."""


@dataclass(frozen=True)
class Event:
    """`name`: `sunset`, `civil dusk`, `moonrise`, `moon highest` and so on; degrees, azimuth from true north."""

    name: str
    at: datetime
    azimuth_deg: float
    height_deg: float


def events_of(observer: Observer, night: NightSpan) -> tuple[Event, ...]:
    """All events of a night in their order; what does not happen in it is not there."""
    found: list[tuple[str, datetime]] = []
    for down, up, degrees_ in (
        ("sunset", "sunrise", None),
        *((f"{name} dusk", f"{name} dawn", height) for name, height in TWILIGHTS.items()),
    ):
        found += [(down, at) for at in _crossings(observer, night, "Sun", degrees_, rising=False)]
        found += [(up, at) for at in _crossings(observer, night, "Sun", degrees_, rising=True)]
    found += [("moonrise", at) for at in _crossings(observer, night, "Moon", None, rising=True)]
    found += [("moonset", at) for at in _crossings(observer, night, "Moon", None, rising=False)]
    found += [("moon highest", at) for at in _culminations(observer, night, "Moon", 0.0)]
    found += [("sun lowest", at) for at in _culminations(observer, night, "Sun", 12.0)]
    return tuple(_event(observer, name, at) for name, at in sorted(found, key=lambda one: one[1]))


def _event(observer: Observer, name: str, at: datetime) -> Event:
    seen = moon_at(observer, at) if "moon" in name else sun_at(observer, at)
    return Event(name, at, degrees(seen.azimuth) % 360.0, degrees(seen.height))


def sun_below(observer: Observer, night: NightSpan, height_deg: float | None) -> Spans:
    """The times of a night when the sun's middle is below a height, or with None the whole sun below the horizon."""
    at_start = degrees(sun_at(observer, night.start).true_height)
    limit = HORIZON - SUN_RADIUS if height_deg is None else height_deg
    return _between(
        night,
        at_start < limit,
        _crossings(observer, night, "Sun", height_deg, rising=False),
        _crossings(observer, night, "Sun", height_deg, rising=True),
    )


def moon_up(observer: Observer, night: NightSpan) -> Spans:
    """The times of a night when any of the moon is above the horizon."""
    moon = moon_at(observer, night.start)
    return _between(
        night,
        degrees(moon.true_height + moon.radius) > HORIZON,
        _crossings(observer, night, "Moon", None, rising=True),
        _crossings(observer, night, "Moon", None, rising=False),
    )


def _between(night: NightSpan, inside: bool, starts: list[datetime], ends: list[datetime]) -> Spans:
    spans: list[tuple[datetime, datetime]] = []
    since = night.start if inside else None
    for at, begins in sorted([*((at, True) for at in starts), *((at, False) for at in ends)]):
        if begins and since is None:
            since = at
        elif not begins and since is not None:
            spans.append((since, at))
            since = None
    return (*spans, (since, night.end)) if since is not None else tuple(spans)


def overlap(one: Spans, other: Spans) -> Spans:
    """The times that lie in both."""
    both = ((max(a, c), min(b, d)) for a, b in one for c, d in other)
    return tuple(sorted((start, end) for start, end in both if start < end))


def length(spans: Spans) -> timedelta:
    """How long they last in all."""
    return sum((end - start for start, end in spans), timedelta())


def _crossings(
    observer: Observer, night: NightSpan, body: str, height_deg: float | None, *, rising: bool
) -> list[datetime]:
    """When a body's middle crosses a height, or with None its upper limb the horizon."""
    import astronomy

    way = astronomy.Direction.Rise if rising else astronomy.Direction.Set
    here = place_of(observer)
    # At the sea's level, or the library would thin the air that refracts.
    by_the_sea = astronomy.Observer(here.latitude, here.longitude, 0.0)
    found: list[datetime] = []
    start = time_of(night.start)
    while True:
        days = time_of(night.end).ut - start.ut
        if days <= 0.0:
            return found
        whose = getattr(astronomy.Body, body)
        at = (
            astronomy.SearchRiseSet(whose, by_the_sea, way, start, days)
            if height_deg is None
            else astronomy.SearchAltitude(whose, here, way, start, days, height_deg)
        )
        if at is None:
            return found
        found.append(_instant(at))
        start = at.AddDays(1.0 / 1440.0)


def _culminations(observer: Observer, night: NightSpan, body: str, hour_angle: float) -> list[datetime]:
    import astronomy

    whose = getattr(astronomy.Body, body)
    at = astronomy.SearchHourAngle(whose, place_of(observer), hour_angle, time_of(night.start)).time
    moment = _instant(at)
    return [moment] if moment in night else []


def _instant(time: Any) -> datetime:
    moment: datetime = time.Utc().replace(tzinfo=UTC)
    return moment


@dataclass(frozen=True)
class Eclipse:
    """Of the moon: `total` or `partial`, and when the earth's dark shadow is on it."""

    kind: str
    start: datetime
    end: datetime


def eclipse(night: NightSpan) -> Eclipse | None:
    """An eclipse of the moon in a night, its half shadow left out; whether it is up is another question."""
    import astronomy

    info = astronomy.SearchLunarEclipse(time_of(night.start).AddDays(-0.25))
    kinds = {astronomy.EclipseKind.Total: "total", astronomy.EclipseKind.Partial: "partial"}
    peak, half = _instant(info.peak), timedelta(minutes=float(info.sd_partial))
    if info.kind not in kinds or peak + half < night.start or peak - half > night.end:
        return None
    return Eclipse(kinds[info.kind], peak - half, peak + half)
