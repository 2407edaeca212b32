"""Sky tables: the night's events, sun and moon by the hour, what each setup sees, the nights of the month."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import degrees, radians

from preview.commands.sky.sight import Sight, Stretch
from preview.commands.sky.tonight import Hour, Tonight
from preview.commands.sky.words import zone_told
from preview.night.month import REASONS, NightFit, ranked
from preview.night.words import day_words, height_words, hours_words, lux_words, phase
from preview.script.real_moon import in_plan
from preview.sheets.answer.blocks import Block, Table, Words
from preview.sheets.answer.words import compass_words

ALL_PHASES = 28
"""Nights in a row that have nearly all phases: the moon takes 29.5 days."""
STATES = {"clear": "in shot", "part": "partly", "hidden": "hidden"}


def event_table(tonight: Tonight) -> Block:
    """What happens when, by the clocks of the place."""
    rows = tuple(
        (
            event.name,
            tonight.clock(event.at),
            day_words(event.at.astimezone(tonight.observer.clocks)),
            compass_words(event.azimuth_deg),
            f"{degrees(in_plan(radians(event.azimuth_deg), tonight.place)):.0f}°",
            f"{event.height_deg:.0f}°".replace("-", "−")
            if event.name in ("moon highest", "sun lowest")
            else "",
        )
        for event in tonight.events
        if tonight.shown[0] <= event.at <= tonight.shown[1] or event.name in ("moonrise", "moonset")
    )
    if not rows:
        return Words(("Nothing rises, sets or turns dark between noon and noon.",), "When")
    return Table(
        "When",
        ("", "time", "day", "bearing", "in the plan", "height"),
        rows,
        ("left", "right", "left", "left", "right", "right"),
        f"{zone_told(tonight)} Bearings are from true north, which lies at "
        f"{degrees(tonight.place.north) % 360:.0f}° of the script's plan.",
    )


def hour_table(tonight: Tonight) -> Block:
    """Sun and moon by the hour."""
    rows = tuple(_hour(tonight, hour) for hour in tonight.hours())
    return Table(
        "By the hour",
        (
            "time",
            "sun",
            "moon",
            "bearing",
            "in the plan",
            "lux facing it",
            "level",
            f"level, {tonight.cloud_words}",
        ),
        rows,
        ("left", "right", "right", "left", "right", "decimal", "decimal", "decimal"),
        _noted(tonight),
    )


def _noted(tonight: Tonight) -> str:
    shown = tonight.moment is not None and tonight.shown[0] <= tonight.moment <= tonight.shown[1]
    return "› is the script's time." if shown else ""


def _hour(tonight: Tonight, hour: Hour) -> tuple[str, ...]:
    marked = "› " if hour.at == tonight.moment else ""
    time = f"{marked}{tonight.clock(hour.at)}"
    sun = height_words(hour.sun.true_height)
    if not hour.moon.is_up:
        return time, sun, height_words(hour.moon.true_height), "", "", "none", "none", "none"
    return (
        time,
        sun,
        height_words(hour.moon.height),
        compass_words(degrees(hour.moon.azimuth)),
        f"{hour.plan_deg:.0f}°",
        lux_words(hour.facing_lux),
        lux_words(hour.level_lux),
        lux_words(hour.clouded_lux),
    )


def sight_tables(tonight: Tonight) -> Iterator[Block]:
    """For each setup where moonlight comes from and where the disc is, then when it is in frame and how it is exposed."""
    framed = tuple(row for sight in tonight.sights for row in _in_frame(tonight, sight))
    if framed:
        yield Table(
            "The moon in frame",
            ("setup", "from", "to", "its disc", "exposure"),
            framed,
            ("left", "right", "right", "left", "left"),
            "Exposure of its lit part half way through. What a setup's sensor holds: "
            + ", ".join(
                f"{sight.setup} {sight.scene.camera.latitude.over:g} stops over grey"
                for sight in tonight.sights
                if sight.stretches
            )
            + ".",
        )
    for sight in tonight.sights:
        rows = tuple(_sight(tonight, sight, hour) for hour in tonight.hours() if hour.moon.is_up)
        if rows:
            yield Table(
                f"The moon as {sight.setup} has it",
                ("time", "its light", "its disc"),
                rows,
                ("left", "left", "left"),
                f"Light as it comes to {sight.mark}.",
            )


def _sight(tonight: Tonight, sight: Sight, hour: Hour) -> tuple[str, ...]:
    marked = "› " if hour.at == tonight.moment else ""
    stretch = sight.at(hour.at)
    disc = sight.off(hour.moon) if stretch is None else disc_words(stretch)
    exposed = "" if stretch is None or stretch.state == "hidden" else f", {exposure_words(sight, hour)}"
    return f"{marked}{tonight.clock(hour.at)}", sight.bearing(hour.moon).short, f"{disc}{exposed}"


def disc_words(stretch: Stretch) -> str:
    """`in shot`, `partly behind pears`, `hidden behind house`."""
    return STATES[stretch.state] + (f" behind {stretch.behind}" if stretch.behind else "")


def exposure_words(sight: Sight, hour: Hour) -> str:
    """`10.4 stops over grey, clips`."""
    stops = sight.stops(hour.moon)
    if stops is None:
        return ""
    clips = ", clips" if stops > sight.scene.camera.latitude.over else ""
    return f"{abs(stops):.1f} stops {'over' if stops >= 0.0 else 'under'} grey{clips}"


def _in_frame(tonight: Tonight, sight: Sight) -> Iterator[tuple[str, ...]]:
    """The stretches themselves, to the minute."""
    for one in sight.stretches:
        hour = tonight.hour(one.start + (one.end - one.start) / 2)
        exposed = "" if one.state == "hidden" else exposure_words(sight, hour)
        yield (
            sight.setup,
            tonight.clock(one.start),
            tonight.clock(one.end),
            disc_words(one),
            exposed,
        )


def month_tables(tonight: Tonight) -> Iterator[Block]:
    """The nights of the month that are fit, best first; then the others, those together that have one reason."""
    asked = tonight.asked
    best = ranked(tonight.month)
    title = f"{tonight.month[0].evening:%B %Y} for a moon {asked.words}"
    cloud = f", under {tonight.cloud_words}" if tonight.night.cloud else ""
    fit = (
        f"Fit: {asked.dark} twilight over, the moon where it is wanted, at least {asked.least_lux:g} lux facing it{cloud}. "
        "Nights of two hours or more come first, the brightest of them first, then short ones, the longest first. Lux is "
        "the most that the moon then gives; the share lit is that of midnight."
    )
    if best:
        yield Table(
            title,
            ("", "evening", "moon", "from to", "in all", "lux", ""),
            tuple(_fit_night(tonight, place, night) for place, night in enumerate(best, 1)),
            ("right", "left", "left", "left", "left", "decimal", "left"),
            fit,
        )
    others = tuple(_unfit(tonight))
    if others:
        yield Table(
            "The other nights of the month" if best else title,
            ("evening", "moon lit", "why not"),
            others,
            ("left", "left", "left"),
            "" if best else fit,
        )


def _fit_night(tonight: Tonight, place: int, night: NightFit) -> tuple[str, ...]:
    return (
        f"{place}",
        _evening(tonight, night),
        f"{100 * night.moon.lit:.0f} % {phase(night.moon)}",
        night.why,
        hours_words(night.time),
        lux_words(night.best_lux),
        night.verdict,
    )


def _unfit(tonight: Tonight) -> Iterator[tuple[str, ...]]:
    """Evenings that follow one another and fail for one reason are one row."""
    nights = [night for night in tonight.month if not night.fit]
    groups: list[list[NightFit]] = []
    for night in nights:
        last = groups[-1][-1] if groups else None
        if last and last.reason == night.reason and (night.evening - last.evening).days == 1:
            groups[-1].append(night)
        else:
            groups.append([night])
    for group in groups:
        first, last = group[0], group[-1]
        evenings = _evening(tonight, first)
        why = first.why
        if len(group) > 1:
            evenings = f"{evenings} to {_evening(tonight, last)}"
            why = REASONS[first.reason]
            why += f": under {tonight.asked.least_lux:g} lux" if first.reason == "weak" else ""
        yield evenings, lit_words([night.moon.lit for night in group]), why


def lit_words(shares: Sequence[float]) -> str:
    """How much of the moon is lit in nights that follow one another: `46 % to 8 %` as it wanes or grows, else from the
    least to the most; `all phases` of a whole month."""
    if len(shares) >= ALL_PHASES:
        return "all phases"
    one_way = sorted(shares) in (list(shares), list(shares)[::-1])
    told = [
        f"{100 * share:.0f} %"
        for share in ((shares[0], shares[-1]) if one_way else (min(shares), max(shares)))
    ]
    return " to ".join(dict.fromkeys(told))


def _evening(tonight: Tonight, night: NightFit) -> str:
    marked = "› " if night.evening == tonight.night.date else ""
    return f"{marked}{day_words(night.evening)}"
