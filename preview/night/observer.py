"""Observer: the place on earth from which the sky is seen, and the one night that is looked at."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from math import degrees

NOON = time(12, 0)
MISTAKEN = 3.5
"""Hours by which no clocks are off the sun: three in the widest zones, summer time included."""


@dataclass(frozen=True)
class Observer:
    """Radians, north and east positive; `height` metres above the sea; `clocks` those that the place goes by."""

    latitude: float
    longitude: float
    height: float
    clocks: tzinfo

    def local(self, at: datetime) -> datetime:
        """An instant by the clocks of the place."""
        return at.astimezone(self.clocks)

    @property
    def words(self) -> str:
        """`51.5° N 1.2° E`."""
        across = ((self.latitude, "N", "S"), (self.longitude, "E", "W"))
        return " ".join(
            f"{abs(degrees(angle)):.4g}° {positive if angle >= 0.0 else negative}"
            for angle, positive, negative in across
        )


@dataclass(frozen=True)
class NightSpan:
    """The night of an evening: from noon to the next noon by the clocks of the place, as universal time."""

    evening: date
    start: datetime
    end: datetime

    def __contains__(self, at: datetime) -> bool:
        return self.start <= at < self.end

    @property
    def middle(self) -> datetime:
        """Midnight, but for a change of clocks."""
        return self.start + (self.end - self.start) / 2

    def every(self, minutes: float) -> list[datetime]:
        """Instants from its start to its end."""
        count = int((self.end - self.start) / timedelta(minutes=minutes))
        return [self.start + step * timedelta(minutes=minutes) for step in range(count + 1)]


def night_of(observer: Observer, evening: date) -> NightSpan:
    """The night that begins on an evening."""
    start, end = (
        datetime.combine(day, NOON, observer.clocks).astimezone(UTC)
        for day in (evening, evening + timedelta(days=1))
    )
    return NightSpan(evening, start, end)


def instant(observer: Observer, evening: date, clock: time) -> datetime:
    """The instant of a time in the night of an evening, as universal time: before noon it is of the following day.

    A time that comes twice as clocks go back is the first; ValueError, in words, for one that never comes.
    """
    day = evening if clock >= NOON else evening + timedelta(days=1)
    wall = datetime.combine(day, clock)
    at = wall.replace(tzinfo=observer.clocks).astimezone(UTC)
    back = at.astimezone(observer.clocks)
    if back.replace(tzinfo=None) != wall:
        raise ValueError(
            f"{clock:%H:%M} never comes in this night: the clocks go forward, and it is {back:%H:%M} then"
        )
    return at


def comes_twice(observer: Observer, at: datetime) -> bool:
    """Whether the clocks go back so that the time of an instant comes twice."""
    wall = observer.local(at).replace(tzinfo=None)
    first, second = (
        wall.replace(tzinfo=observer.clocks, fold=fold).astimezone(UTC)  # two readings of one clock
        for fold in (0, 1)
    )
    return first < second


def zone_words(observer: Observer, at: datetime) -> str:
    """`CEST, 2 h ahead of universal time`: what the clocks of the place go by at an instant."""
    local = observer.local(at)
    ahead = local.utcoffset() or timedelta()
    hours = abs(ahead).total_seconds() / 3600.0
    if not ahead:
        return f"{local.tzname()}, universal time"
    name = "" if not (local.tzname() or "").isalpha() else f"{local.tzname()}, "
    return f"{name}{hours:g} h {'ahead of' if ahead > timedelta() else 'behind'} universal time"


def hours_off_the_sun(observer: Observer, at: datetime) -> float:
    """Hours by which the clocks are ahead of the mean sun at the place: 0 to 2 as a rule, more where one is mistaken."""
    ahead = (observer.local(at).utcoffset() or timedelta()).total_seconds() / 3600.0
    off = ahead - degrees(observer.longitude) / 15.0
    return (off + 12.0) % 24.0 - 12.0
