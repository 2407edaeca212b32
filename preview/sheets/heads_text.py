"""Heads in words: a table of many, or all that is known of one, plain enough to be read aloud."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from preview.commands.heads import DISTANCES, Given, given, mixes
from preview.commands.table import plain_table
from preview.trade.head_row import HeadRow

if TYPE_CHECKING:
    from rich.console import RenderableType

NEAR = 5.0
"""Metres at which the list of many tells the light."""
WIDTH = 78
"""Columns that a line of the list takes, so that it stays whole in a narrow window."""
FAR = tuple(distance for distance in DISTANCES if distance >= NEAR)
"""Metres at which one head's light is told."""
RIGHT = {"candela", "beam", "field", "lumens", *(f"lux {distance:g} m" for distance in FAR)}

DIMS = {
    "dimmer": "dims on a dimmer",
    "itself": "dims by itself",
    "to 50 %": "dims to 50 %",
    "no": "does not dim",
}


def heads_text(rows: Sequence[HeadRow]) -> list[RenderableType]:
    """One head with all its settings, or a line for each of several."""
    return _one(rows[0]) if len(rows) == 1 else _many(rows)


def _many(rows: Sequence[HeadRow]) -> list[RenderableType]:
    from rich.text import Text

    said = (
        f"{len(rows)} heads, bare and at full level: candela on the axis, the beam to half in degrees, lux at {NEAR:g} m. "
        "Real units differ by a third either way."
    )
    listed = [Text(line, no_wrap=True, overflow="fold") for row in rows for line in _lines(row)]
    return [*listed, Text(), Text(said)]


def _lines(row: HeadRow) -> list[str]:
    """What a head is, then a line for each lens, at spot and at flood."""
    weight = [] if row.weight is None else [f"{row.weight:g} kg"]
    dims = [] if row.dims is None else [DIMS[row.dims]]
    what = ", ".join([f"{row.watts:g} W", f"{_kelvin(row)} K", *weight, *dims])
    lines = [f"{row.name}  {what.rjust(WIDTH - len(row.name) - 2)}"]
    for each in given(row):
        if each.setting != "half flood":
            beam = "even" if each.beam is None else f"{_angle(each.beam)} deg"
            near = f"{lux(each.lux[NEAR])} lux"
            lines.append(f"  {_set(each):<24}{count(each.candela):>14} cd{beam:>12}{near:>24}")
    return lines


def _set(each: Given) -> str:
    return ", ".join(part for part in (each.lens, each.setting) if part)


def _one(row: HeadRow) -> list[RenderableType]:
    from rich.text import Text

    settings = given(row)
    named = any(_set(each) for each in settings)
    headings = ("candela", "beam", "field", "lumens", *(f"lux {distance:g} m" for distance in FAR))
    headings = ("set", *headings) if named else headings
    lines = [
        (
            *((_set(each) + (" (usual)" if each.lens and each.lens == row.usual else ""),) if named else ()),
            count(each.candela),
            _angle(each.beam),
            _angle(each.field),
            count(each.lumens),
            *(lux(each.lux[distance]) for distance in FAR),
        )
        for each in settings
    ]
    return [
        Text(row.name, style="bold"),
        Text(),
        plain_table(headings, lines, right=RIGHT),
        Text(),
        *(Text(line) for line in _about(row)),
    ]


def _about(row: HeadRow) -> list[str]:
    about = [f"Draws {row.watts:g} W; {_light(row)}."]
    about += [f"{row.setting[:1].upper()}{row.setting[1:]}."] if row.setting else []
    about += [sentence for sentence in (_sizes(row), _dims(row), _flicker(row)) if sentence]
    return [*about, f"Source: {row.source}."]


def _light(row: HeadRow) -> str:
    made = f" ({row.lamp})" if row.lamp else ""
    if row.kelvins is None:
        return f"{row.kelvin:g} K{made}"
    colours = ", and colours" if mixes(row) else ""
    return f"{row.kelvins[0]:g} to {row.kelvins[1]:g} K{colours}{made}; figures at {row.kelvin:g} K"


def _sizes(row: HeadRow) -> str:
    parts = []
    if row.aperture is not None:
        parts.append(f"{metres(row.aperture)} {'across' if row.shape == 'ball' else 'at its front'}")
    if row.size is not None:
        parts.append(f"shines over {metres(row.size[0])} by {metres(row.size[1])}")
    if row.body is not None:
        width, height, depth = (metres(side) for side in row.body)
        parts.append(f"housing {width} wide, {height} high, {depth} deep")
    if row.weight is not None:
        parts.append(f"{row.weight:g} kg without stand, ballast and cable")
    told = ", ".join(parts)
    return f"{told[:1].upper()}{told[1:]}." if told else ""


def _dims(row: HeadRow) -> str:
    return {
        "dimmer": "Dims on a dimmer, and becomes warmer.",
        "itself": "Dims by its own control.",
        "to 50 %": "Dims to 50 % by its ballast; below that, scrims.",
        "no": "Does not dim: scrims and nets.",
    }.get(row.dims or "", "")


def _flicker(row: HeadRow) -> str:
    if row.flicker is None:
        return ""
    ballast = {
        "magnetic": "magnetic ballast",
        "electronic": "electronic ballast",
        "driver": "driver",
    }.get(row.ballast or "", "filament")
    if row.flicker == 0:
        return f"Steady at any shutter and frame rate ({ballast})."
    steady = (
        "keep the shutter to whole pulses of the mains"
        if row.flicker >= 10
        else "steady enough at usual shutters, to be tested at high frame rates"
    )
    return f"Flickers by {row.flicker:g} % at twice the mains frequency ({ballast}): {steady}."


def count(value: float) -> str:
    """Three figures, thousands held together by narrow spaces: `1 250 000`."""
    if value < 100:
        return f"{value:.3g}"
    return f"{float(f'{value:.3g}'):,.0f}".replace(",", "\u202f")


def lux(value: float) -> str:
    """Two figures and a bit: as a meter would be read aloud."""
    return f"{value:.2g}" if value < 10 else count(value)


def metres(value: float) -> str:
    """`25 cm`, or `1.2 m` from a metre up."""
    return f"{100 * value:.3g} cm" if value < 0.995 else f"{value:.3g} m"


def _angle(value: float | None) -> str:
    return "even" if value is None else f"{value:.3g}" if value < 10 else f"{value:.0f}"


def _kelvin(row: HeadRow) -> str:
    return f"{row.kelvin:g}" if row.kelvins is None else f"{row.kelvins[0]:g} to {row.kelvins[1]:g}"
