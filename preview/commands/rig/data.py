"""Rig data: rigs as plain values, units in their names."""

from __future__ import annotations

from dataclasses import asdict
from math import degrees
from typing import TYPE_CHECKING, Any

from preview.camera.bearing import bearing
from preview.commands.rig.around import Around
from preview.commands.rig.light import SeenSet, over_cast, over_set, shadows_apart
from preview.commands.rig.places import Perch, angle_between, direction
from preview.commands.rig.trial import Trial, check_mark
from preview.commands.rig.words import from_camera, stops_off, yaml_line

if TYPE_CHECKING:
    from preview.camera.view import View
    from preview.commands.moon.sweep import Mooned


def asked_data(around: Around, moon: Mooned, asked_deg: float, view: View) -> dict[str, Any]:
    """The moon that is asked for."""
    seen = bearing(direction(around.azimuth, around.elevation), around.mark.place, view)
    return {
        "azimuth_deg": degrees(around.azimuth),
        "elevation_deg": degrees(around.elevation),
        "words": seen.words,
        "mark": around.mark.name,
        "lux": moon.lux,
        "lux_by": moon.lux_by,
        "kelvin": moon.kelvin,
        "looks_deg": asked_deg,
        "taken_out": list(moon.names),
    }


def perch_data(perch: Perch, around: Around, view: View) -> dict[str, Any]:
    """A place for a lamp."""
    seen = from_camera(perch, around, view)
    lift = perch.lift
    return {
        "azimuth_deg": degrees(perch.azimuth) % 360.0,
        "elevation_deg": degrees(perch.elevation),
        "off_direction_deg": angle_between(around, perch),
        "camera": {
            "words": seen.words,
            "round_deg": seen.round_deg,
            "side": seen.side,
            "up_deg": seen.up_deg,
        },
        "off_m": perch.off,
        "throw_m": perch.throw,
        "lamp_up_m": perch.height,
        "at_m": [float(x) for x in perch.at],
        "base_m": list(perch.base),
        "lift": None
        if lift is None
        else {
            "name": lift.name,
            "highest_m": lift.highest,
            "carries_kg": lift.carries,
            "source": lift.source,
        },
        "hidden_share": perch.shade,
        "footing": None if perch.footing is None else {**asdict(perch.footing), "words": perch.footing.words},
    }


def rig_data(
    trial: Trial, number: int, around: Around, moon: Mooned, view: View, seen: SeenSet
) -> dict[str, Any]:
    """One rig, with its fixtures as the script would say them."""
    perch, unit = trial.candidate.perch, trial.candidate.unit
    reaches = over_set(perch, unit, around.mark.place, seen)
    return {
        "number": number,
        **perch_data(perch, around, view),
        "head": unit.head.name,
        "count": unit.count,
        "lens": unit.lens,
        "flood": unit.flood,
        "watts": unit.watts,
        "cloth": unit.cloth,
        "frame_m": unit.frame_m,
        "frame_away_m": unit.away if unit.is_soft else None,
        "gel": unit.gel,
        "kelvin": unit.kelvin,
        "scrims": list(unit.scrims),
        "level": trial.level,
        "asked_lux": moon.lux,
        "read_lux": trial.read_lux,
        "difference_stops": stops_off(trial.read_lux, moon.lux),
        "faces_lux": {face.name: lux for face, lux in zip(around.faces, trial.faces_lux, strict=True)},
        "faces_hidden_share": {
            face.name: share for face, share in zip(around.faces, perch.faces_shade, strict=True)
        },
        "over_cast_stops": over_cast(perch, unit, around.mark.place, around.faces),
        "over_set": [
            {"piece": one.piece, "distance_m": one.distance_m, "stops": one.stops} for one in reaches
        ],
        "shadows_apart_deg": shadows_apart(perch, around.faces),
        "looks_deg": trial.looks_deg,
        "frame_held": unit.held or None,
        "frame_direct_share": trial.direct,
        "frame_spill_share": trial.spill,
        "weight_kg": unit.weight_kg,
        "setups": {
            setup: [
                {
                    "part": one.name,
                    "status": one.status,
                    "clear_deg": one.clear_deg,
                    "clear_m": one.clear_m,
                    "clear_edge": one.clear_of,
                    "hidden_by": list(one.hidden_by),
                    "words": one.words,
                    "shines": None if one.shines is None else one.shines.words,
                }
                for one in some
            ]
            for setup, some in trial.sightings
        },
        "points": trial.candidate.points,
        "against": dict(trial.candidate.reasons),
        "fixtures": list(trial.fixtures),
        "mark": check_mark(around, trial),
        "yaml": "\n".join(f"- {yaml_line(fixture)}" for fixture in trial.fixtures),
    }
