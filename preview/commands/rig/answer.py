"""Rig answer: what the search for rigs found, as pictures, tables, a plan and sentences."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from math import degrees, radians
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.bearing import bearing
from preview.commands.moon.sweep import Direction, Mooned, SweepOptions, moon_from
from preview.commands.rig.data import asked_data, perch_data, rig_data
from preview.commands.rig.drawing import plan_drawing
from preview.commands.rig.found import Found
from preview.commands.rig.light import looks_deg, over_cast, over_set
from preview.commands.rig.places import angle_between, direction
from preview.commands.rig.tables import along, one_or_none, script_words, tables
from preview.commands.rig.trial import Trial
from preview.commands.rig.words import (
    CAUTIONS,
    along_rows,
    azimuth_words,
    lux_words,
    rig_sentence,
    stops_off,
)
from preview.commands.shot import Shot, shot
from preview.light.light import Light
from preview.script.words import listed_all
from preview.sheets.answer.blocks import Answer, Block, Cell, Pictures, Words
from preview.sheets.drawing import Align
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]

NAME: Final = "moon-rig"
LEFT: Final[Align] = "left"
DECIMAL: Final[Align] = "decimal"


def rig_answer(
    found: Found,
    *,
    store: AnyStore,
    across: int,
    seed: int,
    progress: Callable[[float], None] = lambda share: None,
) -> Answer:
    """The whole answer; pictures `across` pixels wide."""
    blocks: list[Block] = [Words(tuple(_verdict(found)))]
    blocks.append(_pictures(found, store, across, seed, progress))
    if found.trials:
        blocks += tables(found)
    blocks.append(plan_drawing(found.around, found.ready.view, found.trials, found.search.perches))
    if found.trials:
        view = found.ready.view
        told = [
            rig_sentence(
                trial,
                number,
                found.around,
                view,
                asked_deg=found.asked_deg,
                kelvin=found.moon.kelvin,
                instead=_instead(found, trial),
                reaches=over_set(
                    trial.candidate.perch, trial.candidate.unit, found.around.mark.place, found.search.seen
                ),
            )
            for number, trial in enumerate(found.trials, 1)
        ]
        blocks.append(Words(tuple(told), title="Rig by rig"))
    blocks.append(along(found))
    if found.trials:
        blocks.append(script_words(found))
    blocks.append(Words(CAUTIONS, title="lifts, frames, heads", caution=True))
    return Answer(
        NAME, f"{found.ready.scene.title}: rigs for the moon", _about(found), tuple(blocks), _data(found)
    )


def _about(found: Found) -> str:
    around, moon = found.around, found.moon
    seen = bearing(direction(around.azimuth, around.elevation), around.mark.place, found.ready.view)
    return (
        f"Setup {found.ready.scene.setup}. Moon from {azimuth_words(around.azimuth)}: "
        f"{seen.words}; {lux_words(moon.lux)} at {around.mark.name}, {_kelvin(moon)} K"
    )


def _verdict(found: Found) -> list[str]:
    around, moon, trials = found.around, found.moon, found.trials
    lines = []
    if trials:
        best = trials[0].candidate
        assert best.perch.lift is not None
        number = len(trials)
        does = "One rig does it" if number == 1 else f"{number} rigs do it, best first"
        lines.append(
            f"{does}: {best.unit.words}, on a {best.perch.lift.name}, {best.perch.off:.1f} m off and "
            f"{best.perch.height:.1f} m up. "
            f"{'It' if number == 1 else 'Each'} was built in the scene and read with the meter."
        )
    elif found.search.free and not found.search.candidates:
        lines.append(_no_light(found))
    elif found.search.free:
        lines.append(
            f"No rig does it: {'; '.join(dict.fromkeys(found.failures)) or 'none of them passes the meter'}."
        )
    else:
        lines.append(
            f"No rig does it. What stops one, of {len(found.search.perches)} places: {_stopped(found)}."
        )
        lines.append(_nearest(found))
    played = ""
    if moon.names:
        played = f"What plays the moon now, {listed_all(moon.names)}, is taken out for this. "
    lines.append(
        f"{played}{_capital(lux_words(moon.lux))}, on a receptor at {around.mark.name} turned to the lamp, is "
        f"{moon.lux_by}; {_kelvin(moon)} K is {moon.kelvin_by}."
    )
    count, free = len(found.search.perches), len(found.search.free)
    if free:
        lines.append(
            f"{free} of {count} places that were tried can be used: throws of 5 to 65 m, up to 15° round and 10° lower. "
            "Ranked by how close to the direction, fall-off over cast and set, what lifts it, power, shade, and cloth in "
            "the wind."
        )
    return lines


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _stopped(found: Found) -> str:
    """What is against most of the places, in words."""
    counts = Counter(
        "higher than any lift goes" if "no lift" in perch.why else perch.why for perch in found.search.perches
    )
    return "; ".join(f"{why}: {count}" for why, count in counts.most_common(3))


def _instead(found: Found, trial: Trial) -> str:
    """Another kind of lamp at the same place, by estimate."""
    mine = trial.candidate
    return next(
        (
            one.unit.words
            for one in found.search.candidates
            if one.perch is mine.perch
            and one.unit.frame_m == mine.unit.frame_m
            and one.unit.head.lamp != mine.unit.head.lamp
        ),
        "",
    )


def _kelvin(moon: Mooned) -> int:
    """To fifty, as a head is set."""
    return 50 * round(moon.kelvin / 50.0)


def _no_light(found: Found) -> str:
    """How far off what the heads of the catalogue give is from what is asked for, at the place that suits best."""
    lux, stock = found.moon.lux, found.stock
    near, far = (pick(found.search.free, key=lambda perch: perch.throw) for pick in (min, max))
    most = float(stock.candela.max()) / near.throw**2
    if most < lux:
        return (
            f"No rig does it: at the nearest place, {near.throw:.1f} m from the mark, the strongest head of the catalogue, "
            f"spotted, gives {lux_words(most)}, {-stops_off(most, lux):.1f} stops under what is asked for."
        )
    least = float((stock.candela / 2.0**stock.most).min()) / far.throw**2
    if least > lux:
        return (
            f"No rig does it: at the farthest place, {far.throw:.1f} m from the mark, the weakest head, wired and dimmed, "
            f"still gives {lux_words(least)}, {stops_off(least, lux):.1f} stops over what is asked for; neutral density "
            "would take that."
        )
    return (
        "No rig does it: no head of the catalogue has a beam that covers the cast and so much light, and can be carried "
        "up there."
    )


def _nearest(found: Found) -> str:
    perch = found.nearest
    if perch is None:
        return "No other direction has room for one either: every place is taken, seen, or in a shadow."
    assert perch.lift is not None
    return (
        f"The nearest that has: from {azimuth_words(perch.azimuth)}, {degrees(perch.elevation):.0f}° up, "
        f"{angle_between(found.around, perch):.0f}° from what was asked; {perch.off:.1f} m off, "
        f"{perch.height:.1f} m up on a {perch.lift.name}."
    )


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
    groups += [found.trials[number].lights for number in shown]
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
                ("over the cast", "none"),
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
            ("over the cast", one_or_none(found) if cast is None else f"{cast:.2f} stop"),
            ("looks", f"{looks_deg(perch, unit):.2g}° across"),
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
        "nearest": None
        if found.nearest is None
        else perch_data(found.nearest, found.around, found.ready.view),
    }
