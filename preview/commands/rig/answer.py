"""Rig answer: what the search for rigs found, as pictures, tables, a plan and sentences."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import degrees, radians
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.bearing import bearing
from preview.commands.moon.sweep import Direction, SweepOptions, moon_from
from preview.commands.rig.cautions import cautions
from preview.commands.rig.data import asked_data, perch_data, rig_data
from preview.commands.rig.drawing import plan_drawing
from preview.commands.rig.found import Found
from preview.commands.rig.light import over_cast
from preview.commands.rig.pasted import other_lux, pasted
from preview.commands.rig.places import direction
from preview.commands.rig.sentences import rig_sentences
from preview.commands.rig.tables import along, tables
from preview.commands.rig.verdict import about, verdict
from preview.commands.rig.words import along_rows, lux_words
from preview.commands.shot import Shot, shot
from preview.light.light import Light
from preview.sheets.answer.blocks import Answer, Block, Cell, Pictures, Words
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]

NAME: Final = "moon-rig"


def rig_answer(
    found: Found,
    *,
    store: AnyStore,
    across: int,
    seed: int,
    progress: Callable[[float], None] = lambda share: None,
) -> Answer:
    """The whole answer; pictures `across` pixels wide."""
    blocks: list[Block] = [Words(tuple(verdict(found)))]
    blocks.append(_pictures(found, store, across, seed, progress))
    if found.trials:
        blocks += tables(found)
    blocks.append(plan_drawing(found.around, found.trials, found.search.perches, found.nearest))
    if found.trials:
        blocks.append(Words(rig_sentences(found), title="Rig by rig"))
    blocks.append(along(found))
    data = _data(found)
    if found.trials:
        other = other_lux(found, store=store, seed=seed)
        blocks.append(pasted(found, other))
        data["other_lux"] = other
    blocks.append(Words(cautions(found), title="lifts, frames, heads, this place", caution=True))
    return Answer(NAME, f"{found.ready.scene.title}: rigs for the moon", about(found), tuple(blocks), data)


def _pictures(
    found: Found, store: AnyStore, across: int, seed: int, progress: Callable[[float], None]
) -> Pictures:
    """The scene under the moon that is asked for, and under the best rig, and the best that is otherwise hard or soft."""
    around, ready, moon = found.around, found.ready, found.moon
    sweep = SweepOptions(size=radians(found.asked_deg), lux=moon.lux, kelvin=moon.kelvin)
    way = direction(around.azimuth, around.elevation)
    asked = Direction(
        degrees(around.azimuth), degrees(around.elevation), way, bearing(way, around.mark.place, ready.view)
    )
    others = [
        number
        for number, trial in enumerate(found.trials)
        if trial.candidate.unit.is_soft != found.trials[0].candidate.unit.is_soft
    ]
    shown = [*([0] if found.trials else []), *others[:1]]
    groups: list[tuple[Light, ...]] = [(moon_from(ready.scene, asked, moon, sweep),)]
    # All rigs have the same names, and the frame must tell them apart; no fixture of a script has a colon in its name.
    groups += [
        tuple(replace(light, name=f"{light.name}:{number}") for light in found.trials[number].lights)
        for number in shown
    ]
    rest = ready.lights
    lights = (*rest, *(light for group in groups for light in group))
    whole = shot(replace(ready, lights=lights), store=store, width=across, seed=seed, progress=progress)
    cells = []
    for place, group in enumerate(groups):
        mine = {light.name for light in group}
        lit = tuple(
            light if light in rest or light.name in mine else replace(light, gain=0.0) for light in lights
        )
        picture = Shot(replace(ready, lights=lit), whole.plate).picture
        cells.append(_cell(found, picture, None if place == 0 else shown[place - 1]))
    return Pictures(
        tuple(cells),
        columns=2 if len(cells) < 3 else 3,
        title="The frame under each" if shown else "The frame",
    )


def _cell(found: Found, picture: NDArray[np.uint8], number: int | None) -> Cell:
    if number is None:
        return Cell(
            "The moon asked for",
            picture,
            (
                ("at the mark", lux_words(found.moon.lux)),
                *((("over the cast", "even"),) if len(found.around.faces) > 1 else ()),
                ("looks", f"{found.asked_deg:.2g}° across"),
            ),
        )
    trial = found.trials[number]
    perch, unit = trial.candidate.perch, trial.candidate.unit
    cast = over_cast(perch, unit, found.around.mark.place, found.around.faces)
    return Cell(
        f"Rig {number + 1}, {'through a frame' if unit.is_soft else 'bare'}",
        picture,
        (
            ("at the mark", lux_words(trial.read_lux)),
            *((("over the cast", f"{cast:.2f} stop"),) if cast is not None else ()),
            ("looks", f"{trial.looks_deg:.2g}° across"),
        ),
    )


def _data(found: Found) -> dict[str, Any]:
    return {
        "asked": asked_data(found.around, found.moon, found.asked_deg, found.ready.view),
        "rigs": [
            rig_data(trial, number, found.around, found.moon, found.ready.view, found.search.seen)
            for number, trial in enumerate(found.trials, 1)
        ],
        "along": [
            {"off_m": off, "lamp_up_m": up, "what": what, "helps": helps}
            for off, up, what, helps in along_rows(found.around, found.search.perches, found.trials)
        ],
        "places": len(found.search.perches),
        "free": len(found.search.free),
        "failures": list(found.failures),
        "asked_grey_stops": found.grey_stops,
        "strongest": None
        if found.search.strongest is None
        else {
            "lux": found.search.strongest.lux,
            "heads": found.search.strongest.heads,
            "throw_m": found.search.strongest.perch.throw,
        },
        "nearest": None
        if found.nearest is None
        else perch_data(found.nearest, found.around, found.ready.view),
    }
