"""Tonight: all that is known of one night at a script's place, before it is told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import degrees

from preview.commands.sky.sight import Sight
from preview.night.ephemeris import Moon, Sun, moon_at, sun_at
from preview.night.events import Eclipse, Event, Spans
from preview.night.month import Asked, NightFit
from preview.night.moonlight import facing_lux, level_lux
from preview.night.observer import NightSpan, Observer
from preview.night.words import clock
from preview.script.models.night import Night, PlaceOnEarth
from preview.script.real_moon import in_plan
from preview.script.scene import Scene

OVERCAST = 1.0
HALF_HOURS_BELOW = timedelta(hours=7)
"""Nights shorter than this are told by the half hour."""


@dataclass(frozen=True)
class Hour:
    """One instant of the night. Degrees; lux of the moon in clear air, and on level ground under cloud as well.

    `plan_deg`: the moon's azimuth in the script's plan.
    """

    at: datetime
    sun: Sun
    moon: Moon
    plan_deg: float
    facing_lux: float
    level_lux: float
    clouded_lux: float


@dataclass(frozen=True)
class Tonight:
    """`shown`: what of the night is drawn and told, from about sunset to sunrise. `moment`: the script's time, if any.

    `dark`: while the twilight asked is over; `up`: while the moon is. `month`: the nights of the month, in their order.
    """

    scene: Scene
    place: PlaceOnEarth
    night: Night
    observer: Observer
    span: NightSpan
    shown: tuple[datetime, datetime]
    moment: datetime | None
    events: tuple[Event, ...]
    dark: Spans
    up: Spans
    eclipse: Eclipse | None
    sights: tuple[Sight, ...]
    asked: Asked
    month: tuple[NightFit, ...]
    no_wish: bool = False
    """Whether neither the user nor the script says where the moon is wanted."""

    @property
    def cloud(self) -> float:
        """The cloud that is compared with a clear sky: the night's own, else a closed cover."""
        return self.night.cloud or OVERCAST

    @property
    def cloud_words(self) -> str:
        return f"{100 * self.night.cloud:.0f} % cloud" if self.night.cloud else "overcast"

    @property
    def clocks_change(self) -> datetime | None:
        """When in the night the clocks of the place change, to the minute; None where they do not."""
        low, high = self.span.start, self.span.end
        before = self.observer.local(low).utcoffset()
        if before == self.observer.local(high).utcoffset():
            return None
        while high - low > timedelta(seconds=30):
            middle = low + (high - low) / 2
            low, high = (middle, high) if self.observer.local(middle).utcoffset() == before else (low, middle)
        return (high + timedelta(seconds=30)).replace(second=0, microsecond=0)

    def clock(self, at: datetime) -> str:
        """A time by the clocks of the place, with their name in a night in which they change."""
        zone = f" {self.observer.local(at).tzname()}" if self.clocks_change is not None else ""
        return f"{clock(self.observer, at)}{zone}"

    def hour(self, at: datetime) -> Hour:
        """Sun, moon and moonlight at an instant."""
        moon = moon_at(self.observer, at)
        extinction = self.night.extinction
        return Hour(
            at,
            sun_at(self.observer, at),
            moon,
            degrees(in_plan(moon.azimuth, self.place)),
            facing_lux(moon, extinction=extinction),
            level_lux(moon, extinction=extinction),
            level_lux(moon, extinction=extinction, cloud=self.cloud),
        )

    def hours(self) -> Iterator[Hour]:
        """By the hour of the clocks from the first to the last that is shown, the script's time among them."""
        start, end = self.shown
        step = timedelta(hours=1) if end - start > HALF_HOURS_BELOW else timedelta(minutes=30)
        times = {self.moment} if self.moment is not None and start <= self.moment <= end else set()
        times |= set(on_the_clock(self.observer, start, end, step))
        for at in sorted(times):
            yield self.hour(at)


def on_the_clock(observer: Observer, start: datetime, end: datetime, step: timedelta) -> list[datetime]:
    """Instants between two others at which the clocks of a place show whole steps."""
    offset = observer.local(start).utcoffset() or timedelta()
    since = datetime(start.year, 1, 1, tzinfo=UTC) - offset
    first = since + -(-(start - since) // step) * step
    count = int((end - first) / step) + 1 if first <= end else 0
    return [first + number * step for number in range(count)]
