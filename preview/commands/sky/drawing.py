"""Drawing of the night: what the chart shows, taken from what is known of the night."""

from __future__ import annotations

from datetime import datetime, timedelta
from math import atan2, degrees

import numpy as np

from preview.commands.sky.tonight import Tonight, on_the_clock
from preview.commands.sky.words import sight_words, unseen_words
from preview.night.ephemeris import Moon, direction, moon_at, sun_at
from preview.night.words import date_words, lux_words
from preview.sheets.answer.blocks import Drawing
from preview.sheets.answer.words import compass_words
from preview.sheets.night_chart import Disc, Lane, NightChart, Tick, night_chart, tick_hours

STEP = timedelta(minutes=5)


def drawing_of(tonight: Tonight) -> Drawing:
    """The chart with the words that stand for it."""
    start, end = tonight.shown
    return Drawing(
        "The night",
        night_chart(chart_of(tonight)),
        f"The night of {date_words(tonight.night.date)} from {tonight.clock(start)} to {tonight.clock(end)}: how dark the "
        "sky is, the moon's height, and when each setup has it in frame; the tables say the same.",
        "The moon's height over a level horizon, its disc as it looks to somebody who faces it; below, the time, its true "
        "bearing and what it gives on a surface that faces it in clear air.",
    )


def chart_of(tonight: Tonight) -> NightChart:
    """What the chart shows."""
    start, end = tonight.shown
    observer = tonight.observer
    times = [start + number * STEP for number in range(int((end - start) / STEP) + 1)]
    times = [*times, end] if times[-1] < end else times
    hours = tick_hours(end - start)
    whole = on_the_clock(observer, start, end, timedelta(hours=1))
    # Counted on from the first that fits, since an hour may come twice, or not at all, as clocks change.
    first = next((n for n, at in enumerate(whole) if observer.local(at).hour % hours == 0), 0)
    ticks = whole[first::hours]
    return NightChart(
        start,
        end,
        tuple((at, degrees(sun_at(observer, at).true_height)) for at in times),
        _runs(tonight, times),
        tuple(disc for at in whole if (disc := _disc(tonight, at)) is not None),
        tuple(Tick(at, _tick(tonight, at)) for at in ticks),
        tuple(
            Lane(
                sight_words(tonight, sight),
                tuple((one.start, one.end, one.state) for one in sight.stretches),
            )
            for sight in tonight.sights
            if sight.stretches
        ),
        None if tonight.moment is None else (tonight.moment, tonight.clock(tonight.moment)),
        "" if any(moon_at(observer, at).is_up for at in times) else "The moon stays below the horizon",
        unseen_words(tonight),
    )


def _runs(tonight: Tonight, times: list[datetime]) -> tuple[tuple[tuple[datetime, float], ...], ...]:
    """The moon's height while it is up, run by run, each from rise to set."""
    edges = [at for span in tonight.up for at in span if times[0] < at < times[-1]]
    runs: list[list[tuple[datetime, float]]] = [[]]
    for at in sorted([*times, *edges]):
        height = degrees(moon_at(tonight.observer, at).height)
        if height > 0.0 or at in edges:
            runs[-1].append((at, max(height, 0.0)))
        if (height <= 0.0 or at in edges) and len(runs[-1]) > 1:
            runs.append([])
    return tuple(tuple(run) for run in runs if len(run) > 1)


def _disc(tonight: Tonight, at: datetime) -> Disc | None:
    moon = moon_at(tonight.observer, at)
    return Disc(at, degrees(moon.height), moon.lit, tilt(moon)) if moon.height > 0.02 else None


def tilt(moon: Moon) -> float:
    """The way to its lit side as somebody who faces it sees it, radians anticlockwise from the right."""
    ahead = np.array(direction(moon.azimuth, moon.true_height))
    right = np.cross(ahead, [0.0, 0.0, 1.0])
    right = right / np.linalg.norm(right)
    limb = np.array(moon.limb)
    return atan2(float(limb @ np.cross(right, ahead)), float(limb @ right))


def _tick(tonight: Tonight, at: datetime) -> tuple[str, ...]:
    hour = tonight.hour(at)
    time = f"{tonight.observer.local(at):%H:%M}"
    if not hour.moon.is_up:
        return time, "below", ""
    return time, compass_words(degrees(hour.moon.azimuth)), f"{lux_words(hour.facing_lux)} lx"
