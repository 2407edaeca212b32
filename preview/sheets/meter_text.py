"""Meter text: what the meter says, in lines that read well aloud: a block for each mark, no wide table."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import Final

from preview.camera.exposure import footcandles
from preview.sheets.answer.words import percent
from preview.sheets.meter_eye_text import LEAST_SHARE, eye_lines, spot_lines
from preview.sheets.meter_report import (
    Alone,
    Behind,
    Cheeks,
    Falloff,
    KeyAndFill,
    MarkReport,
    MeterReport,
    Ratio,
    ReceptorReading,
)
from preview.sheets.report import exposure_line, reading, stops_words

WIDTH: Final = 80
TOGETHER: Final = re.compile("([0-9]) (m|mm|lx|fc|fL|K|%|cd/m²|o'clock|stops?|mired)(?![a-z])")
"""A number and its unit stay on one line."""
LEAST_LUX: Final = 0.001
"""Less than starlight does not reach anybody."""
MOST_TO_ONE: Final = 1000.0
"""Ten stops: past what lies between black and white on a sensor a ratio has no number. From memory."""
NAME_ROOM: Final = 20
"""Characters of a fixture's name beside its figures; a longer one stands above them."""
SHADED: Final = 1.5
"""Stops off what distance alone makes, from which more than distance is at work."""


def meter_text(report: MeterReport, *, width: int = WIDTH) -> str:
    """The whole report, its lines no longer than `width` characters where words can be broken."""
    lines: list[str] = []
    for line in _lines(report, width):
        indent = len(line) - len(line.lstrip())
        lines += wrap(
            TOGETHER.sub("\\1\N{NO-BREAK SPACE}\\2", line),
            width,
            initial_indent="",
            subsequent_indent=" " * (indent + 2),
            drop_whitespace=True,
            break_long_words=False,
            break_on_hyphens=False,
        ) or [""]
    return "\n".join(lines).replace("\N{NO-BREAK SPACE}", " ")


def _lines(report: MeterReport, width: int) -> Iterator[str]:
    look = f", look {report.look}" if report.look else ""
    yield f"{report.title}  {report.setup}{look}"
    yield exposure_line(report)
    yield grey_line(report)
    for mark in report.marks:
        yield ""
        yield mark.name
        yield from (f"  {line}" for line in mark_lines(mark, report, width - 2))
    told = [line for one in report.falloffs if (line := falloff_line(one))]
    if told:
        yield ""
        yield "Near to far, from lamp to meter: on a flat receptor turned to each fixture, no bounce"
        yield from (f"  {line}" for line in told)
    if report.eyes:
        yield ""
        yield "Eye light"
        yield from (f"  {line}" for line in eye_lines(report.eyes))
    for one in report.spots:
        yield ""
        yield f"Spot {one.x:.0f},{one.y:.0f}"
        yield from (f"  {line}" for line in spot_lines(one))


def grey_line(report: MeterReport) -> str:
    return (
        f"Grey wants {reading(report.grey_footcandles)} fc ({reading(report.grey_lux)} lx) on a flat receptor, "
        f"{reading(report.grey_dome_footcandles)} fc ({reading(report.grey_dome_lux)} lx) on a dome."
    )


def mark_lines(mark: MarkReport, report: MeterReport, width: int) -> Iterator[str]:
    """A mark's block, the first line what one asks first."""
    if mark.note is not None:
        yield mark.note
    if mark.flat.lux < LEAST_LUX and mark.dome.lux < LEAST_LUX:
        yield "No light to speak of."
        return
    yield receptor_line("Flat", mark.flat)
    yield receptor_line("Dome", mark.dome)
    if mark.key is not None:
        yield key_line(mark.key)
    yield from _alone_lines(mark.fixtures, width)
    if mark.flat.lux > 0.0:
        yield f"Of it {percent(mark.bounced_lux / mark.flat.lux)} is bounced."
    yield back_line(mark)
    if mark.cheeks is not None:
        yield cheeks_line(mark.cheeks)
    if mark.behind is not None:
        yield behind_line(mark.behind)
    if mark.colour is None:
        yield "Colour: too little light to have one."
    else:
        colour = mark.colour
        yield (
            f"Colour {colour.kelvin:.0f} K, Duv {colour.duv:+.4f}, {colour.mired:.0f} mired; "
            f"against {report.balance_k:g} K: {colour.words}."
        )


def light_words(lux: float) -> str:
    """`1.21 fc (13.0 lx)`; less than starlight is no light."""
    return "no light" if lux < LEAST_LUX else f"{reading(footcandles(lux))} fc ({reading(lux)} lx)"


def receptor_line(name: str, one: ReceptorReading) -> str:
    """`Flat: 1.21 fc (13.0 lx), T1.4 (1.35 exact), 1.1 stops under grey.`"""
    exact = "" if one.stop is None else f" ({one.stop:.2f} exact)"
    return (
        f"{name}: {reading(one.footcandles)} fc ({reading(one.lux)} lx), {one.stop_words}{exact}, "
        f"{stops_words(one.stops)}."
    )


def ratio_words(one: Ratio | None) -> str:
    """`2.1 to 1, 1.1 stops`; `over 1000 to 1`."""
    if one is None:
        return "no ratio"
    if one.to_one > MOST_TO_ONE:
        return f"over {MOST_TO_ONE:.0f} to 1"
    return f"{one.to_one:.1f} to 1, {stops_counted(one.stops)}"


def stops_counted(stops: float) -> str:
    """`2.4 stops`, `1.0 stop`: how many, whichever way."""
    return f"{abs(stops):.1f} stop{'' if 0.95 <= abs(stops) < 1.05 else 's'}"


def key_line(key: KeyAndFill) -> str:
    if key.ratio is None or key.fill_lux < LEAST_LUX:
        return f"Key: {key.key}; nothing fills."
    return (
        f"Key: {key.key}. Fill, the key shaded: {light_words(key.fill_lux)}. "
        f"Key and fill to fill, the key's bounce in both: {ratio_words(key.ratio)}."
    )


def _alone_lines(fixtures: Sequence[Alone], width: int) -> Iterator[str]:
    """A row for each fixture, its figures one below the other; what hardly tells in one line."""
    told = [one for one in fixtures if one.share >= LEAST_SHARE]
    small = [one for one in fixtures if 0.0 < one.share < LEAST_SHARE]
    if not told and not small:
        return
    yield "Each fixture alone:"
    cells = [(f"{reading(one.footcandles)} fc", f"{reading(one.lux)} lx", percent(one.share)) for one in told]
    across = [max(map(len, column)) for column in zip(*cells, strict=True)]
    name_room = min(NAME_ROOM, max((len(one.fixture) for one in told), default=0))
    for one, row in zip(told, cells, strict=True):
        name = one.fixture
        if len(name) > name_room:
            yield f"  {name}"
            name = ""
        figures = "  ".join(cell.rjust(room) for cell, room in zip(row, across, strict=True))
        start = f"  {name.ljust(name_room)}  {figures}  "
        first, *further = wrap(way_words(one), max(width - len(start), 20))
        yield start + first
        yield from (" " * len(start) + line for line in further)
    if small:
        each = " each" if len(small) > 1 else ""
        yield f"  {', '.join(one.fixture for one in small)}: under {percent(LEAST_SHARE)}{each}"


def way_words(one: Alone) -> str:
    """`three-quarter back, camera right, 16° up`: from where a fixture's light comes."""
    if one.lux > 0.0 and one.bounced_lux > 0.95 * one.lux:
        return "by bounce alone"
    return "from all round" if one.way is None else one.way.short


def back_line(mark: MarkReport) -> str:
    back = mark.back
    if back.fixture is None or back.lux < LEAST_LUX:
        return "Back: no light from behind."
    said = f"Back, turned from the lens: {light_words(back.lux)}, most of it {back.fixture}"
    if back.ratio is None:
        return f"{said}."
    how = "over" if back.ratio.stops >= 0.0 else "under"
    return f"{said}, {stops_counted(back.ratio.stops)} {how} the flat reading."


def cheeks_line(cheeks: Cheeks) -> str:
    own_right = "left" if cheeks.left_is == "right" else "right"
    said = (
        f"Cheeks, turned {cheeks.turned_deg:.0f}° each way: camera left (own {cheeks.left_is}) "
        f"{light_words(cheeks.left_lux)}, camera right (own {own_right}) {light_words(cheeks.right_lux)}"
    )
    if max(cheeks.left_lux, cheeks.right_lux) < LEAST_LUX:
        return f"{said}."
    if cheeks.brighter == "even":
        return f"{said}: even."
    if cheeks.ratio is None or cheeks.ratio.to_one > MOST_TO_ONE:
        dark = "left" if cheeks.brighter == "right" else "right"
        return f"{said}: camera {dark} in shadow, over {MOST_TO_ONE:.0f} to 1."
    return f"{said}: camera {cheeks.brighter} brighter, {ratio_words(cheeks.ratio)}."


def behind_line(behind: Behind) -> str:
    if behind.face is None:
        return f"Behind: {reading(behind.behind)} cd/m² in the middle; the lens does not see the face."
    if behind.stops is None:
        return "Behind: no light."
    how = "brighter" if behind.stops >= 0.0 else "darker"
    return (
        f"Behind, in the middle, {stops_counted(behind.stops)} {how} than the face "
        f"({reading(behind.behind)} to {reading(behind.face)} cd/m²)."
    )


def falloff_line(one: Falloff) -> str | None:
    """None for a fixture whose light reaches neither."""
    near, far = f"{one.near} at {one.near_m:.1f} m", f"{one.far} at {one.far_m:.1f} m"
    if one.near_lux < LEAST_LUX and one.far_lux < LEAST_LUX:
        return None
    if one.near_lux < LEAST_LUX:
        return f"{one.fixture}: does not reach {near}; {light_words(one.far_lux)} at {far}."
    if one.far_lux < LEAST_LUX:
        return f"{one.fixture}: {light_words(one.near_lux)} at {near}; does not reach {far}."
    assert one.stops is not None
    how = "less" if one.stops >= 0.0 else "more"
    off = one.stops - one.by_distance
    shade = (
        f" {one.far if off > 0.0 else one.near} stands in shadow or out of its beam."
        if abs(off) > SHADED
        else ""
    )
    return (
        f"{one.fixture}: {light_words(one.near_lux)} at {near}, {light_words(one.far_lux)} at {far}: "
        f"{stops_counted(one.stops)} {how}, {stops_counted(one.by_distance)} by distance alone.{shade}"
    )
