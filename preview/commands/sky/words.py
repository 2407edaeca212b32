"""Sky words: the night in sentences: what there is of it, what cannot be, and what the figures are."""

from __future__ import annotations

from datetime import datetime, timedelta
from math import degrees

from preview.commands.sky.sight import Sight
from preview.commands.sky.stand_ins import own_moon_words, two_moons_words
from preview.commands.sky.tonight import Tonight
from preview.night.ephemeris import moon_at, sun_at
from preview.night.events import length, moon_up, overlap, sun_below
from preview.night.month import ranked
from preview.night.moonlight import passed_by_cloud
from preview.night.observer import MISTAKEN, hours_off_the_sun, zone_words
from preview.night.words import (
    date_words,
    day_words,
    height_words,
    hours_words,
    lux_words,
    phase,
)
from preview.script.words import listed_all
from preview.sheets.answer.words import compass_words


def about(tonight: Tonight) -> str:
    """`51.5° N 1.2° E, night of Saturday 24 October 2026, CEST, 2 h ahead of universal time`."""
    told = zone_words(tonight.observer, tonight.moment or tonight.shown[0])
    if tonight.clocks_change is not None:
        told = " then ".join(_letters(tonight))
    zone = tonight.place.zone
    clocks = told if told.startswith(f"{zone},") else f"{zone} ({told})"
    return f"{tonight.observer.words}, night of {date_words(tonight.night.date)}, clocks of {clocks}"


def zone_told(tonight: Tonight) -> str:
    """`Times are CEST, 2 h ahead of universal time.`, `Times are CEST until 03:00, then CET.`"""
    if tonight.clocks_change is None:
        return f"Times are {zone_words(tonight.observer, tonight.shown[0])}."
    before, after = _letters(tonight)
    return f"Times are {before} until {_changes(tonight)}, then {after}."


def _letters(tonight: Tonight) -> tuple[str, str]:
    """What clocks show before and after they change in the night, `CEST` and `CET`."""
    first, last = (tonight.observer.local(at).tzname() for at in (tonight.span.start, tonight.span.end))
    return f"{first}", f"{last}"


def _changes(tonight: Tonight) -> str:
    """What the clocks show, by their old time, as they change."""
    assert tonight.clocks_change is not None
    local = tonight.observer.local
    before, after = (local(at).utcoffset() or timedelta() for at in (tonight.span.start, tonight.span.end))
    return f"{local(tonight.clocks_change).replace(tzinfo=None) - (after - before):%H:%M}"


def before_words(tonight: Tonight) -> tuple[str, ...]:
    """What may be mistaken in the script itself."""
    off = hours_off_the_sun(tonight.observer, tonight.span.start)
    if abs(off) <= MISTAKEN:
        return ()
    return (
        f"Look at longitude and zone again: the clocks of {tonight.place.zone} are {abs(off):.0f} h "
        f"{'ahead of' if off > 0 else 'behind'} the sun at {tonight.observer.words}.",
    )


def opening_words(tonight: Tonight) -> tuple[str, ...]:
    """The night in a few sentences."""
    return tuple(
        sentence
        for sentence in (
            _sun(tonight),
            _moon(tonight),
            _at_the_time(tonight),
            own_moon_words(tonight),
            two_moons_words(tonight),
            _clocks(tonight),
            _eclipse(tonight),
            *(f"{sight_words(tonight, sight)}." for sight in tonight.sights if sight.stretches),
            unseen_words(tonight),
            _best(tonight),
        )
        if sentence
    )


def _sun(tonight: Tonight) -> str:
    down = sun_below(tonight.observer, tonight.span, None)
    if not down:
        return "The sun does not set in this night: there is no dark to light."
    start, end = down[0][0], down[-1][1]
    polar = start <= tonight.span.start and end >= tonight.span.end
    told = (
        "The sun does not rise: it is below the horizon from noon to noon"
        if polar
        else f"Sunset {tonight.clock(start)}, sunrise {tonight.clock(end)}"
        if start > tonight.span.start and end < tonight.span.end
        else f"The sun is below the horizon from {tonight.clock(start)} to {tonight.clock(end)}"
    )
    if not tonight.dark:
        lowest = min(degrees(sun_at(tonight.observer, at).true_height) for at in tonight.span.every(10))
        return (
            f"{told}; it never gets dark: the sun goes no lower than {-lowest:.0f}°, and {tonight.asked.dark} "
            "twilight lasts all night."
        )
    dark = " and ".join(f"{tonight.clock(a)} to {tonight.clock(b)}" for a, b in tonight.dark)
    return f"{told}; dark, {tonight.asked.dark} twilight over, {dark}, {hours_words(length(tonight.dark))}."


def _moon(tonight: Tonight) -> str:
    moon = moon_at(tonight.observer, tonight.moment or tonight.span.middle)
    what = f"The moon is {phase(moon)}, {100 * moon.lit:.0f} % lit"
    up = overlap(tonight.up, (tonight.shown,))
    if not up:
        return f"{what}, and below the horizon all night: it lights nothing and is in no shot. {_comes_up(tonight)}"
    parts = []
    for start, end in up:
        rises = f"rises at {tonight.clock(start)}" if start > tonight.shown[0] else ""
        sets = f"sets at {tonight.clock(end)}" if end < tonight.shown[1] else ""
        parts.append(" and ".join(part for part in (rises, sets) if part) or "is up all night")
    told = f"{what}; it {', '.join(parts)}"
    if not tonight.dark:
        return f"{told}."
    both = overlap(tonight.up, tonight.dark)
    if both:
        return f"{told}: {hours_words(length(both))} of moon in the dark."
    later = up[0][0] >= tonight.dark[-1][1]
    return f"{told}: {'only after dawn has begun' if later else 'gone before it is dark'}, so there is no moon in the dark."


def _comes_up(tonight: Tonight) -> str:
    around = moon_up(tonight.observer, tonight.span)
    if around:
        return f"It is up by day, from {tonight.clock(around[0][0])} to {tonight.clock(around[-1][1])}."
    return "It does not rise in these 24 hours."


def _at_the_time(tonight: Tonight) -> str:
    if tonight.moment is None:
        return ""
    hour = tonight.hour(tonight.moment)
    when, sun = f"At {tonight.clock(tonight.moment)}", degrees(hour.sun.true_height)
    light = ""
    if sun > -0.8333:
        light = " The sun is up then."
    elif sun > -12.0:
        light = f" The sun is only {-sun:.0f}° down then: the sky still gives light of its own."
    if not hour.moon.is_up:
        return (
            f"{when} the moon is {height_words(hour.moon.true_height)} the horizon and gives no light.{light}"
        )
    cloud = f", {lux_words(hour.clouded_lux)} under {tonight.cloud_words}" if tonight.night.cloud else ""
    return (
        f"{when} it stands {height_words(hour.moon.height)} in the {compass_words(degrees(hour.moon.azimuth))}, at "
        f"{hour.plan_deg:.0f}° of the plan: {lux_words(hour.facing_lux)} lux facing it, {lux_words(hour.level_lux)} on "
        f"level ground{cloud}.{light}"
    )


def _clocks(tonight: Tonight) -> str:
    change = tonight.clocks_change
    if change is None:
        return ""
    before, after = (tonight.observer.local(at) for at in (tonight.span.start, tonight.span.end))
    moved = (after.utcoffset() or timedelta()) - (before.utcoffset() or timedelta())
    way = "forward" if moved.total_seconds() > 0 else "back"
    return f"The clocks go {way} in this night, from {_changes(tonight)} {before.tzname()} to {tonight.clock(change)}."


def _eclipse(tonight: Tonight) -> str:
    shadow = tonight.eclipse
    if shadow is None or not overlap(((shadow.start, shadow.end),), tonight.up):
        return ""
    return (
        f"A {shadow.kind} eclipse of the moon darkens it from {tonight.clock(shadow.start)} to "
        f"{tonight.clock(shadow.end)}: its lux and its exposure do not hold then."
    )


def sight_words(tonight: Tonight, sight: Sight) -> str:
    """`wide: in shot 22:10 to 22:35, behind lime 22:35 to 22:50`."""
    parts = []
    for state, how in (("clear", "in shot"), ("part", "partly hidden by"), ("hidden", "in frame behind")):
        spans = [one for one in sight.stretches if one.state == state]
        if spans:
            names = " and ".join(dict.fromkeys(one.behind or "the set" for one in spans))
            what = how if state == "clear" else f"{how} {names}"
            parts.append(f"{what} {_times(tonight, _joined([(one.start, one.end) for one in spans]))}")
    return f"{sight.setup}: {', '.join(parts)}"


def unseen_words(tonight: Tonight) -> str:
    """`Never in frame in main and tight.`; of a night without a moon nothing, since that is said."""
    names = [sight.setup for sight in tonight.sights if not sight.stretches]
    if not names or not overlap(tonight.up, (tonight.shown,)):
        return ""
    if len(names) == len(tonight.sights) > 1:
        return "The moon is never in frame, in any setup."
    told = listed_all(names)
    return f"The moon is never in frame in {told}."


def _joined(spans: list[tuple[datetime, datetime]]) -> list[tuple[datetime, datetime]]:
    """Spans of which those that touch are one."""
    joined: list[tuple[datetime, datetime]] = []
    for start, end in spans:
        if joined and start <= joined[-1][1]:
            joined[-1] = joined[-1][0], end
        else:
            joined.append((start, end))
    return joined


def _times(tonight: Tonight, spans: list[tuple[datetime, datetime]]) -> str:
    told = [f"{tonight.clock(a)} to {tonight.clock(b)}" for a, b in spans]
    return listed_all(told)


def _best(tonight: Tonight) -> str:
    best, asked = ranked(tonight.month), tonight.asked.words
    month = f"{tonight.month[0].evening:%B %Y}"
    unasked = (
        " Neither the script nor --want says where the moon is wanted, so it may stand anywhere."
        if tonight.no_wish
        else ""
    )
    if not best:
        return f"No night of {month} has a moon {asked}, in the dark; the last table says why.{unasked}"
    fit = [one for one in best if one.is_long_enough][:3]
    if fit:
        told = (
            f"Best nights of {month} for a moon {asked}: {', '.join(day_words(one.evening) for one in fit)}."
        )
    else:
        longest = f"{day_words(best[0].evening)}, {hours_words(best[0].time)}"
        told = f"No night of {month} has a moon {asked}, for two hours of the dark; the longest is {longest}."
    return f"{told}{_tonights(tonight)}{unasked}"


def _tonights(tonight: Tonight) -> str:
    own = next((one for one in tonight.month if one.evening == tonight.night.date), None)
    if own is None:
        return ""
    if own.verdict == "no":
        return f" Not tonight: {own.why}."
    return (
        " Tonight fits."
        if own.verdict == "fit"
        else f" Tonight is short, {hours_words(own.time)}: {own.why}."
    )


def method_words(tonight: Tonight) -> tuple[str, ...]:
    """What the figures hold and what they leave out."""
    air = 100 * (1 - 10 ** (-0.4 * tonight.night.extinction))
    return (
        "Rise and set are of the upper limb over a level horizon with 34' of refraction; twilights end with the sun's "
        "middle 6°, 12° and 18° down. Hills, trees and houses hide the moon for longer; what each setup sees reckons with "
        "the set.",
        "Moonlight is after Krisciunas and Schaefer 1991, with the true distance; clear air takes "
        f"{air:.0f} % from overhead ({tonight.night.extinction:g} magnitudes) and far more low down, after Kasten and "
        "Young 1989. Not in it: that a low moon is redder, the surge of up to a third close to full, haze, the light of "
        "the sky itself. Real nights differ by a third either way.",
        "Under cloud it is what level ground has left of the sun on average, after Kasten and Czeplak 1980: "
        f"{tonight.cloud_words} leaves {100 * passed_by_cloud(tonight.cloud):.0f} %. A real cloud passes nearly all or "
        "nearly nothing, and an overcast moon has no shadow.",
        "A disc is given in stops over grey as the setup is exposed: its lit part, in clear air. Lux facing the moon is "
        "what a flat receptor turned to it reads.",
    )
