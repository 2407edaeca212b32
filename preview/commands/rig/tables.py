"""Rig tables: where rigs stand, what they give, how they differ from a distant moon, in which setups they are in shot."""

from __future__ import annotations

from itertools import repeat
from math import degrees
from typing import Final

from preview.commands.rig.found import Found
from preview.commands.rig.in_shot import in_shot
from preview.commands.rig.lifts import HIGHEST
from preview.commands.rig.light import over_cast, over_set, shadows_apart
from preview.commands.rig.places import angle_between
from preview.commands.rig.words import (
    along_rows,
    azimuth_words,
    bearing_words,
    footcandle_figures,
    kilowatts,
    level_words,
    lux_figures,
    stops_off,
    stops_word,
)
from preview.sheets.answer.blocks import Table
from preview.sheets.answer.words import signed
from preview.sheets.drawing import Align

LEFT: Final[Align] = "left"
RIGHT: Final[Align] = "right"
DECIMAL: Final[Align] = "decimal"


def tables(found: Found) -> tuple[Table, ...]:
    """All of them, for at least one rig."""
    return _where(found), _ground(found), _gives(found), _differs(found), in_shot(found.trials)


def _where(found: Found) -> Table:
    rows = []
    for number, trial in enumerate(found.trials, 1):
        perch, unit = trial.candidate.perch, trial.candidate.unit
        assert perch.lift is not None
        metres = (f"{perch.off:.1f}", f"{perch.height:.1f}", f"{perch.throw:.1f}")
        weighs = f"{unit.weight_kg:.0f} of {perch.lift.carries:.0f}"
        bearing = bearing_words(found.around, perch.azimuth)
        rows.append((f"{number}", unit.words, perch.lift.name, weighs, *bearing, *metres))
    bearings = ("bearing",) if len(rows[0]) == 8 else ("bearing", "true")
    return Table(
        "Where they stand",
        ("", "head", "lifted by", "weight, kg", *bearings, "off, m", "lamp up, m", "throw, m"),
        tuple(rows),
        (*repeat(LEFT, 4 + len(bearings)), *repeat(DECIMAL, 3)),
        "Weight: of the heads, and of the frame where the lift holds it, without ballast and cable; of what such a lift "
        "takes, beside its operator. Bearing: from the mark, on the script's plan. Off: on the plan. Up: above the ground "
        "where it stands. Throw: lamp to mark. "
        f"Lifts are generic classes, from memory, to {HIGHEST:.0f} m: the plate and the operator decide.",
    )


def _ground(found: Found) -> Table:
    rows = []
    for number, trial in enumerate(found.trials, 1):
        footing = trial.candidate.perch.footing
        assert footing is not None
        kind = [word for word, so in (("wet", footing.wet), ("soft", footing.soft)) if so]
        on = footing.words + (f" ({' and '.join(kind)})" if kind else "")
        water = "none near" if footing.water_m is None else f"{footing.water}, {footing.water_m:.0f} m"
        free = "none near" if footing.free_m is None else f"{footing.beside}, {footing.free_m:.1f} m"
        rows.append((f"{number}", on, f"{footing.slope_deg:.0f}°", water, free))
    return Table(
        "What they stand on",
        ("", "ground", "slope", "nearest water", "nearest thing"),
        tuple(rows),
        (LEFT, LEFT, RIGHT, LEFT, LEFT),
        "As the script has it: the operator looks at the real ground, for drains, banks and what lies below it.",
    )


def _gives(found: Found) -> Table:
    rows = []
    for number, trial in enumerate(found.trials, 1):
        unit = trial.candidate.unit
        rows.append(
            (
                f"{number}",
                lux_figures(found.moon.lux),
                lux_figures(trial.read_lux),
                footcandle_figures(trial.read_lux),
                signed(stops_off(trial.read_lux, found.moon.lux), 2),
                level_words(trial.level),
                " and ".join(unit.scrims) or "none",
                unit.gel or (f"set to {unit.kelvin:.0f} K" if unit.kelvin else "none"),
                kilowatts(unit),
            )
        )
    return Table(
        "What they give",
        ("", "asked, lux", "read, lux", "read, fc", "off, stops", "level", "scrims", "colour", "power"),
        tuple(rows),
        (LEFT, *repeat(DECIMAL, 4), RIGHT, LEFT, LEFT, RIGHT),
        f"Read at {found.around.mark.name} on a receptor that faces the lamp, the set's shadows and bounce in it.",
    )


def _differs(found: Found) -> Table:
    mark, faces, seen = found.around.mark.place, found.around.faces, found.search.seen
    first = found.trials[0].candidate
    pieces = [reach.piece for reach in over_set(first.perch, first.unit, mark, seen)]
    rows = []
    for number, trial in enumerate(found.trials, 1):
        perch, unit = trial.candidate.perch, trial.candidate.unit
        cast, apart = over_cast(perch, unit, mark, faces), shadows_apart(perch, faces)
        stops = {one.piece: one.stops for one in over_set(perch, unit, mark, seen)}
        rows.append(
            (
                f"{number}",
                f"{angle_between(found.around, perch):.0f}°",
                *(() if cast is None else (f"{cast:.2f}",)),
                *(stops_word(stops[piece]) for piece in pieces),
                *(() if apart is None else (f"{apart:.1f}°",)),
                f"{trial.looks_deg:.2g}°",
            )
        )
    two = len(faces) > 1
    none = ("0°",) if two else ()
    rows.append(("moon", "0°", *repeat("0", len(pieces) + two), *none, f"{found.asked_deg:.2g}°"))
    cast_note = (
        " Over the cast: between the most and the least lit face. Shadows apart: between the two on the ground that differ "
        "most."
    )
    return Table(
        "Against a distant moon",
        (
            "",
            "off it",
            *(("over the cast, stops",) if two else ()),
            *(f"{piece}, stops" for piece in pieces),
            *(("shadows apart",) if two else ()),
            "looks",
        ),
        tuple(rows),
        (LEFT, RIGHT, *repeat(DECIMAL, len(pieces) + two), *repeat(RIGHT, 1 + two)),
        "Off it: degrees from the direction asked for. Pieces: light on what cameras see of them against the mark's, by "
        "distance and beam, shadows left out. Looks: degrees across, from the mark."
        + (cast_note if two else ""),
    )


def along(found: Found) -> Table:
    """Every distance along the direction asked for."""
    around = found.around
    return Table(
        f"Along {azimuth_words(around, around.azimuth)}, {degrees(around.elevation):.0f}° up",
        ("off, m", "lamp up, m", "what is there", "what would help"),
        tuple(along_rows(around, found.search.perches, found.trials)),
        (LEFT, LEFT, LEFT, LEFT),
        "Every distance that was tried on the very direction asked for.",
    )
