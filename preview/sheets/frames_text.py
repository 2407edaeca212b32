"""Frames, in words: how each frame of a head is filled, what it is at the marks, where what misses it lands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from math import isinf
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import Group

    from preview.commands.metering.frames import FrameAtMark, FrameReading

FOOT = 0.3048
NO_SPILL = 0.005
"""Share of the head's lumens under which spill is not spoken of."""
DARK = 10.0
"""Stops below its middle from which a cloth's edge has no light worth a number."""


def frames_table(readings: Sequence[FrameReading]) -> Group:
    """Of each frame a title, its sentences, and a line for each mark that its light reaches."""
    from rich.console import Group
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    pieces: list[Text | Table | Padding] = []
    for reading in readings:
        pieces.append(Text(title(reading), style="bold"))
        pieces += [Padding(Text(sentence), (0, 0, 0, 2)) for sentence in sentences(reading)]
        reached = [mark for mark in reading.marks if mark.direct is not None]
        if not reached:
            continue
        table = Table(box=None, pad_edge=False, header_style="dim", padding=(0, 2, 0, 0))
        for heading in ("  at", "lux", "direct", "looks", "as a disc of"):
            table.add_column(heading, justify="left" if heading == "  at" else "right", no_wrap=True)
        for mark in reached:
            table.add_row(*(Text(cell) for cell in _row(mark)))
        pieces.append(table)
    return Group(*pieces)


def title(reading: FrameReading) -> str:
    """Such as `key: 8 x 8 ft frame of half-grid`."""
    size = _size(reading.size_m)
    return {
        "frame": f"{reading.fixture}: {size} frame of {reading.of}",
        "bounce": f"{reading.fixture}: {size} board of {reading.of}",
        "box": f"{reading.fixture}: {size} soft box, {reading.of}",
        "cloth": f"{reading.fixture}: {reading.of} on the head",
    }[reading.kind]


def sentences(reading: FrameReading) -> list[str]:
    """How it is filled, what misses it, what stays in it."""
    answer = [f"{100 * reading.fill:.0f} % of it is lit above half its brightest; {_evenness(reading)}"]
    if reading.spill >= NO_SPILL:
        spill = f"{100 * reading.spill:.0f} % of the head's light misses it"
        landings = [one for one in reading.landings if one.share >= NO_SPILL]
        if landings:
            where = " and ".join(
                f"{_with_article(one.name)} at {one.distance_m:.1f} m ({100 * one.share:.0f} %)"
                for one in landings
            )
            spill += f" and lands on {where}"
        answer.append(spill)
    elif reading.kind in ("frame", "bounce"):
        answer.append("next to nothing misses it")
    answer.append(f"{100 * reading.lost:.0f} % of the head's light is lost in it")
    return answer


def to_json(readings: Sequence[FrameReading]) -> list[dict[str, Any]]:
    """Plain data, shares from 0 to 1; a dark edge's evenness is null, for no number says it."""
    data = [asdict(reading) for reading in readings]
    for one in data:
        if isinf(one["evenness_stops"]):
            one["evenness_stops"] = None
    return data


def _row(mark: FrameAtMark) -> tuple[str, ...]:
    assert mark.direct is not None
    looks = "" if mark.size_deg is None else f"{mark.size_deg:.1f}°"
    disc = "" if mark.size_m is None else f"{mark.size_m:.2f} m"
    return f"  {mark.mark}", f"{mark.lux:.3g}", f"{100 * mark.direct:.0f} %", looks, disc


def _evenness(reading: FrameReading) -> str:
    stops = reading.evenness_stops
    if isinf(stops) or stops > DARK:
        return "its edge gets nothing"
    if abs(stops) < 0.05:
        return "it is even to the edge"
    return f"its edge is {abs(stops):.1f} stops {'below' if stops > 0 else 'above'} its middle"


def _with_article(name: str) -> str:
    """Pieces that bear their kind's name get an article; what has a name of its own keeps it."""
    return f"the {name}" if name.islower() else name


def _size(size_m: tuple[float, float]) -> str:
    feet = [side / FOOT for side in size_m]
    if all(abs(side - round(side)) < 1e-6 for side in feet):
        return f"{feet[0]:.0f} × {feet[1]:.0f} ft"
    return f"{size_m[0]:.2f} × {size_m[1]:.2f} m"
