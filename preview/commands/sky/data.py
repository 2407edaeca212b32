"""Sky data: the night as plain values, times in ISO 8601, angles in degrees."""

from __future__ import annotations

from datetime import datetime
from math import degrees, radians
from typing import Any

from preview.commands.sky.sight import Sight
from preview.commands.sky.stand_ins import stand_ins_data
from preview.commands.sky.tonight import Hour, Tonight
from preview.night.events import Spans
from preview.night.month import NightFit, ranked
from preview.night.words import phase
from preview.script.real_moon import in_plan


def data_of(tonight: Tonight) -> dict[str, Any]:
    """Everything that is told, and the times to the second."""
    place, night = tonight.place, tonight.night
    return {
        "title": tonight.scene.title,
        "place": {
            "latitude_deg": degrees(place.latitude),
            "longitude_deg": degrees(place.longitude),
            "height_m": place.height,
            "zone": place.zone,
            "north_deg": degrees(place.north),
        },
        "night": {
            "date": night.date.isoformat(),
            "time": None if tonight.moment is None else _time(tonight, tonight.moment),
            "cloud": night.cloud,
            "extinction_magnitudes": night.extinction,
        },
        "events": [
            {
                "name": event.name,
                "time": _time(tonight, event.at),
                "azimuth_deg": event.azimuth_deg,
                "plan_azimuth_deg": degrees(in_plan(radians(event.azimuth_deg), place)),
                "height_deg": event.height_deg,
            }
            for event in tonight.events
        ],
        "dark": {"twilight_over": tonight.asked.dark, "spans": _spans(tonight, tonight.dark)},
        "moon_up": _spans(tonight, tonight.up),
        "eclipse": None
        if tonight.eclipse is None
        else {
            "kind": tonight.eclipse.kind,
            "start": _time(tonight, tonight.eclipse.start),
            "end": _time(tonight, tonight.eclipse.end),
        },
        "at_the_time": None if tonight.moment is None else _hour(tonight, tonight.hour(tonight.moment)),
        "hours": [_hour(tonight, hour) for hour in tonight.hours()],
        "play_the_moon": stand_ins_data(tonight),
        "setups": [_sight(tonight, sight) for sight in tonight.sights],
        "month": _month(tonight),
    }


def _time(tonight: Tonight, at: datetime) -> str:
    return tonight.observer.local(at).replace(microsecond=0).isoformat()


def _spans(tonight: Tonight, spans: Spans) -> list[dict[str, str]]:
    return [{"start": _time(tonight, start), "end": _time(tonight, end)} for start, end in spans]


def _hour(tonight: Tonight, hour: Hour) -> dict[str, Any]:
    moon = hour.moon
    return {
        "time": _time(tonight, hour.at),
        "sun_height_deg": degrees(hour.sun.true_height),
        "sun_azimuth_deg": degrees(hour.sun.azimuth),
        "moon_height_deg": degrees(moon.height),
        "moon_azimuth_deg": degrees(moon.azimuth),
        "moon_plan_azimuth_deg": hour.plan_deg,
        "moon_lit": moon.lit,
        "moon_phase": phase(moon),
        "moon_diameter_deg": degrees(2.0 * moon.radius),
        "moon_distance_km": moon.distance_km,
        "lux_facing": hour.facing_lux,
        "lux_level": hour.level_lux,
        "lux_level_under_cloud": hour.clouded_lux,
        "cloud": tonight.cloud,
    }


def _sight(tonight: Tonight, sight: Sight) -> dict[str, Any]:
    return {
        "setup": sight.setup,
        "mark": sight.mark,
        "in_frame": [
            {
                "start": _time(tonight, one.start),
                "end": _time(tonight, one.end),
                "disc": one.state,
                "behind": one.behind,
            }
            for one in sight.stretches
        ],
        "hours": [_seen(tonight, sight, hour) for hour in tonight.hours() if hour.moon.is_up],
    }


def _seen(tonight: Tonight, sight: Sight, hour: Hour) -> dict[str, Any]:
    bearing, stretch, stops = sight.bearing(hour.moon), sight.at(hour.at), sight.stops(hour.moon)
    return {
        "time": _time(tonight, hour.at),
        "bearing": bearing.words,
        "round_deg": bearing.round_deg,
        "side": bearing.side,
        "disc": "out of frame" if stretch is None else stretch.state,
        "behind": None if stretch is None else stretch.behind,
        "disc_stops_over_grey": stops,
        "disc_clips": stops is not None and stops > sight.scene.camera.latitude.over,
    }


def _month(tonight: Tonight) -> dict[str, Any]:
    asked = tonight.asked
    order = {night.evening: place for place, night in enumerate(ranked(tonight.month), 1)}
    return {
        "asked": {
            "direction": asked.words,
            "least_lux": asked.least_lux,
            "twilight_over": asked.dark,
            "cloud": asked.cloud,
        },
        "nights": [_night(tonight, night, order.get(night.evening)) for night in tonight.month],
    }


def _night(tonight: Tonight, night: NightFit, rank: int | None) -> dict[str, Any]:
    return {
        "date": night.evening.isoformat(),
        "moon_lit": night.moon.lit,
        "moon_phase": phase(night.moon),
        "dark": _spans(tonight, night.dark),
        "moon_up_in_the_dark": _spans(tonight, night.up_in_dark),
        "fit": _spans(tonight, night.fit),
        "best_time": None if night.best_at is None else _time(tonight, night.best_at),
        "best_lux_facing": night.best_lux,
        "rank": rank,
        "verdict": night.verdict,
        "why": night.why,
        "reason": night.reason or None,
    }
