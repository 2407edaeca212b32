"""Sky: the real night of a script's place: sun and moon by the hour, what each setup sees, which nights fit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from datetime import date as Date
from datetime import time as Time

from preview.commands.sky.drawing import drawing_of
from preview.commands.sky.sight import Sets, Sight, sight_of
from preview.commands.sky.tables import event_table, hour_table, month_tables, sight_tables
from preview.commands.sky.tonight import Tonight
from preview.commands.sky.wanted import AROUND, wanted
from preview.commands.sky.words import about, before_words, method_words, opening_words
from preview.faults import Fault, UserError
from preview.night.events import TWILIGHTS, Spans, eclipse, events_of, moon_up, sun_below
from preview.night.month import Asked, month_of
from preview.night.observer import NightSpan, Observer, instant, night_of
from preview.script.models.night import Night, PlaceOnEarth
from preview.script.place_and_time import HOW_ON_EARTH
from preview.script.read import Script
from preview.script.real_moon import observer_of
from preview.script.scene import Scene
from preview.sheets.answer.blocks import Answer, Block, Words
from preview.trace.store import AnyStore

AROUND_THE_NIGHT = timedelta(minutes=25)
"""What is shown of the day before and after."""
FAINT = 0.02
"""Lux facing the moon that a night is asked to have at least: a wide crescent's. Common practice, no source."""


@dataclass(frozen=True)
class SkyOptions:
    """What is asked. `date`, `time`, `cloud`: in place of the script's; `month`: any day of it, default the night's own.

    `want`: a direction in words; `around`, `heights` radians; `dark`: the twilight that must be over, `nautical` as a rule;
    `setup`: one alone; `least_lux`: facing the moon.
    """

    setup: str | None = None
    date: Date | None = None
    time: Time | None = None
    cloud: float | None = None
    month: Date | None = None
    want: str | None = None
    around: float = AROUND
    heights: tuple[float, float] | None = None
    dark: str = "nautical"
    least_lux: float = FAINT


def sky(script: Script, options: SkyOptions, *, store: AnyStore | None = None) -> Answer:
    """The night as chart, tables and sentences. UserError for a script without a place or a night, and for bad options."""
    tonight = tonight_of(script, options, store=store)
    blocks: list[Block] = [
        Words(opening_words(tonight)),
        drawing_of(tonight),
        event_table(tonight),
        hour_table(tonight),
        *sight_tables(tonight),
        *month_tables(tonight),
        Words(method_words(tonight), "What the figures are"),
    ]
    before = before_words(tonight)
    if before:
        blocks.insert(0, Words(before))
    from preview.commands.sky.data import data_of

    title = f"The sky over {tonight.scene.title}"
    return Answer("sky", title, about(tonight), tuple(blocks), data_of(tonight))


def tonight_of(script: Script, options: SkyOptions, *, store: AnyStore | None = None) -> Tonight:
    """All that is known of the night asked."""
    main = script.scene(setup=options.setup)
    place, night = _place_and_night(main, options)
    observer = observer_of(place)
    span = night_of(observer, night.date)
    setups = script.setups if options.setup is None else (main.setup,)
    scenes = [replace(script.scene(setup=name), place=place, night=night) for name in setups]
    shown = shown_of(observer, span)
    sets = Sets(store)
    sights: tuple[Sight, ...] = tuple(sight_of(scene, observer, shown, sets) for scene in scenes)
    if options.dark not in TWILIGHTS:
        raise UserError(f"--dark {options.dark!r} is no twilight; write {', '.join(TWILIGHTS)}.")
    look = wanted(main, options.want, around=options.around, heights=options.heights)
    asked = Asked(
        look.words,
        lambda moon: look.there(sights[0], moon),
        look.height,
        options.least_lux,
        options.dark,
        night.extinction,
        night.cloud,
    )
    return Tonight(
        scenes[0],
        place,
        night,
        observer,
        span,
        shown,
        _moment(observer, night),
        events_of(observer, span),
        sun_below(observer, span, TWILIGHTS[options.dark]),
        moon_up(observer, span),
        eclipse(span),
        sights,
        asked,
        month_of(observer, options.month or night.date, asked),
        options.want is None and look.azimuth is None,
    )


def _place_and_night(scene: Scene, options: SkyOptions) -> tuple[PlaceOnEarth, Night]:
    if scene.place is None:
        raise UserError(
            Fault(
                scene.path,
                None,
                "",
                f"nothing says where on earth it lies; add {HOW_ON_EARTH}",
            )
        )
    night = scene.night
    if night is None and options.date is None:
        raise UserError(
            Fault(
                scene.path,
                None,
                "",
                "nothing says which night; add night: 2026-10-24, or ask with --date 2026-10-24",
            )
        )
    changes = {
        key: value
        for key, value in (("date", options.date), ("time", options.time), ("cloud", options.cloud))
        if value is not None
    }
    if night is None:
        assert options.date is not None
        night = Night(date=options.date)
    return scene.place, night.model_copy(update=changes)


def _moment(observer: Observer, night: Night) -> datetime | None:
    if night.time is None:
        return None
    try:
        return instant(observer, night.date, night.time)
    except ValueError as error:
        raise UserError(f"{error}.") from None


def shown_of(observer: Observer, span: NightSpan) -> tuple[datetime, datetime]:
    """From a little before sunset to a little after sunrise; from noon to noon where the sun does not do both."""
    down: Spans = sun_below(observer, span, None)
    if len(down) != 1 or down[0][0] <= span.start or down[0][1] >= span.end:
        return span.start, span.end
    start, end = down[0][0] - AROUND_THE_NIGHT, down[0][1] + AROUND_THE_NIGHT
    return max(start, span.start).astimezone(UTC), min(end, span.end).astimezone(UTC)
