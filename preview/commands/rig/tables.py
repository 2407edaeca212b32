"""Rig tables: where rigs stand, what they give, how they differ from a distant moon, in which setups they are in shot."""

from __future__ import annotations

from itertools import repeat
from math import degrees
from typing import Final

from preview.commands.rig.found import Found
from preview.commands.rig.lifts import HIGHEST
from preview.commands.rig.light import looks_deg, over_cast, over_set, shadows_apart
from preview.commands.rig.places import angle_between
from preview.commands.rig.trial import check_mark
from preview.commands.rig.words import (
    along_rows,
    azimuth_words,
    clear_words,
    kilowatts,
    stops_off,
    stops_word,
    yaml_line,
)
from preview.sheets.answer.blocks import Table, Words
from preview.sheets.answer.words import signed
from preview.sheets.drawing import Align

LEFT: Final[Align] = "left"
RIGHT: Final[Align] = "right"
DECIMAL: Final[Align] = "decimal"


def one_or_none(found: Found) -> str:
    """What is said where two figures are needed."""
    return "one figure" if found.around.faces else "nobody"


def tables(found: Found) -> tuple[Table, ...]:
    """All of them, for at least one rig."""
    return _where(found), _gives(found), _differs(found), _in_shot(found)


def _where(found: Found) -> Table:
    rows = []
    for number, trial in enumerate(found.trials, 1):
        perch, unit = trial.candidate.perch, trial.candidate.unit
        assert perch.lift is not None
        metres = (f"{perch.off:.1f}", f"{perch.height:.1f}", f"{perch.throw:.1f}")
        rows.append((f"{number}", unit.words, perch.lift.name, azimuth_words(perch.azimuth), *metres))
    return Table(
        "Where they stand",
        ("", "head", "lifted by", "bearing", "off, m", "lamp up, m", "throw, m"),
        tuple(rows),
        (*repeat(LEFT, 4), *repeat(DECIMAL, 3)),
        "Bearing: from the mark, clockwise from north. Off: on the plan. Up: above the ground where it stands. Throw: lamp "
        "to mark. Classes of lift and their heights are generic, from memory; the tallest carries a lamp to "
        f"{HIGHEST:.0f} m.",
    )


def _gives(found: Found) -> Table:
    rows = []
    for number, trial in enumerate(found.trials, 1):
        unit = trial.candidate.unit
        rows.append(
            (
                f"{number}",
                f"{found.moon.lux:.3g}",
                f"{trial.read_lux:.3g}",
                signed(stops_off(trial.read_lux, found.moon.lux), 2),
                f"{100.0 * trial.level:.3g} %",
                " and ".join(unit.scrims) or "none",
                unit.gel or (f"set to {unit.kelvin:.0f} K" if unit.kelvin else "none"),
                kilowatts(unit),
            )
        )
    return Table(
        "What they give",
        ("", "asked, lux", "read, lux", "off, stops", "level", "wire", "colour", "power"),
        tuple(rows),
        (LEFT, *repeat(DECIMAL, 3), RIGHT, LEFT, LEFT, RIGHT),
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
                one_or_none(found) if cast is None else f"{cast:.2f}",
                *(stops_word(stops[piece]) for piece in pieces),
                one_or_none(found) if apart is None else f"{apart:.1f}°",
                f"{looks_deg(perch, unit):.2g}°",
            )
        )
    rows.append(("moon", "0°", "0", *repeat("0", len(pieces)), "0°", f"{found.asked_deg:.2g}°"))
    return Table(
        "Against a distant moon",
        (
            "",
            "off it",
            "over the cast, stops",
            *(f"{piece}, stops" for piece in pieces),
            "shadows apart",
            "looks",
        ),
        tuple(rows),
        (LEFT, RIGHT, DECIMAL, *repeat(DECIMAL, len(pieces)), RIGHT, RIGHT),
        "Off it: degrees from the direction asked for. Over the cast: between the most and the least lit face. Pieces: "
        "light on what the cameras see of them against the mark's, by distance and beam, shadows left out. Shadows apart: "
        "between the two on the ground that differ most.",
    )


def _in_shot(found: Found) -> Table:
    trials = found.trials
    return Table(
        "In shot or not",
        ("setup", *(f"rig {number}" for number in range(1, len(trials) + 1))),
        tuple(
            (setup, *(clear_words(trial.sightings[row][1]) for trial in trials))
            for row, (setup, _) in enumerate(trials[0].sightings)
        ),
        (LEFT, *repeat(LEFT, len(trials))),
        "Head, stand or lift, frame and cloth together: how far the nearest of it is from coming into frame, and the angle "
        "at the lens. A lift is reckoned as a plain body: leave room for the real one.",
    )


def along(found: Found) -> Table:
    """Every distance along the direction asked for."""
    around = found.around
    return Table(
        f"Along {azimuth_words(around.azimuth)}, {degrees(around.elevation):.0f}° up",
        ("off, m", "lamp up, m", "what is there", "what would help"),
        tuple(along_rows(around, found.search.perches, found.trials)),
        (LEFT, LEFT, LEFT, LEFT),
        "Every distance that was tried on the very direction asked for.",
    )


def script_words(found: Found) -> Words:
    """The best rig as the script would say it."""
    best = found.trials[0]
    lift = best.candidate.perch.lift
    assert lift is not None
    lines = [
        "The best rig, to paste into the script, under fixtures:",
        *(f"- {yaml_line(fixture)}" for fixture in best.fixtures),
        "To read it as it was read here, under marks:",
        f"- {yaml_line(check_mark(found.around, best))}",
    ]
    if not lift.stands_below:
        lines.append(
            f"The script draws no {lift.name.partition(',')[0]}: `stand: false` leaves the head in the air."
        )
    return Words(tuple(lines), title="In the script")
