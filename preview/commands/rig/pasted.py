"""Rig pasted: the best rig as the script would say it, and what the meter reads there, alone and with all other light."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from preview.commands.metering.readings import HELD_OFF, levels
from preview.commands.rig.found import Found
from preview.commands.rig.trial import BOUNCE_RAYS, BOUNCES, RAYS, check_mark, meter_facing
from preview.commands.rig.words import lux_words, named, yaml_line
from preview.sheets.answer.blocks import Words

if TYPE_CHECKING:
    from preview.trace.store import AnyStore


def other_lux(found: Found, *, store: AnyStore, seed: int) -> float:
    """Lux of all other light where the best rig was read, on the same receptor."""
    if not found.ready.lights:
        return 0.0
    receptor = meter_facing(found.around.mark, found.trials[0].candidate.perch.at)
    read = levels(
        found.ready,
        (receptor,),
        rays=RAYS,
        bounce_rays=BOUNCE_RAYS,
        bounces=BOUNCES,
        seed=seed,
        store=store,
    )
    return float(read.total.sum())


def pasted(found: Found, other: float) -> Words:
    """What to paste, and what it reads; `other`: lux of all other light at the same receptor."""
    best = found.trials[0]
    perch, lift = best.candidate.perch, best.candidate.perch.lift
    assert lift is not None
    receptor = meter_facing(found.around.mark, perch.at)
    before = receptor.position - HELD_OFF * receptor.facing
    held = float(np.linalg.norm(before - found.around.mark.place))
    away = float(np.linalg.norm(perch.at - before))
    instead = f", in place of {named(found.moon.names)}" if found.moon.names else ""
    name = best.fixtures[0]["name"]
    alone = f"{name} alone" if len(best.fixtures) == 1 else f"{name} and its like alone"
    reads = f"{alone}: {lux_words(best.read_lux)}"
    if other > 0.0:
        reads += f"; with all else {lux_words(best.read_lux + other)}"
    lines = [
        f"The best rig, to paste into the script, under fixtures{instead}:",
        *(f"- {yaml_line(fixture)}" for fixture in best.fixtures),
        "To read it as it was read here, under marks:",
        f"- {yaml_line(check_mark(found.around, best))}",
        f"There the meter reads: {reads}. It is held {held:.2f} m before {found.around.mark.name}, clear of what is there, "
        f"so it is {away:.1f} m from the lamp; the throw is {perch.throw:.1f} m.",
    ]
    if not lift.stands_below:
        lines.append(
            f"The script draws no {lift.name.partition(',')[0]}: `stand: false` leaves the head in the air."
        )
    return Words(tuple(lines), title="In the script")
