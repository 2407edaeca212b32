"""Meter text: what the meter says, in lines that read well aloud: a block for each mark, no wide table."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from textwrap import wrap

from preview.sheets.answer.words import percent
from preview.sheets.meter_report import (
    Alone,
    Behind,
    Catchlight,
    Cheeks,
    Eye,
    Falloff,
    KeyAndFill,
    MarkReport,
    MeterReport,
    Ratio,
    ReceptorReading,
    Spot,
)
from preview.sheets.report import exposure_line, reading, stops_words

WIDTH = 80
TOGETHER = re.compile("([0-9]) (m|mm|lx|fc|fL|K|%|cd/m²|o'clock|stops?|mired)(?![a-z])")
"""A number and its unit stay on one line."""
LEAST_SHARE = 0.005
"""Share of a mark's light from which a fixture has a line of its own."""
LEAST_LUX = 0.001
"""Less than starlight does not reach anybody."""
SHADED = 1.5
"""Stops off what distance alone makes, from which more than distance is at work."""
SPECK_PX = 1.0
"""Pixels under which an image in the eye is a speck in a frame 960 wide."""


def meter_text(report: MeterReport, *, width: int = WIDTH) -> str:
    """The whole report, its lines no longer than `width` characters where words can be broken."""
    lines: list[str] = []
    for line in _lines(report):
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


def _lines(report: MeterReport) -> Iterator[str]:
    look = f", look {report.look}" if report.look else ""
    yield f"{report.title}  {report.setup}{look}"
    yield exposure_line(report)
    yield grey_line(report)
    for mark in report.marks:
        yield ""
        yield mark.name
        yield from (f"  {line}" for line in mark_lines(mark, report))
    told = [line for one in report.falloffs if (line := falloff_line(one))]
    if told:
        yield ""
        yield "Near to far, on a flat receptor turned to each fixture, no bounce"
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


def mark_lines(mark: MarkReport, report: MeterReport) -> Iterator[str]:
    """A mark's block, the first line what one asks first."""
    if mark.flat.lux <= 0.0 and mark.dome.lux <= 0.0:
        yield "no light"
        return
    yield receptor_line("Flat", mark.flat)
    yield receptor_line("Dome", mark.dome)
    if mark.key is not None:
        yield key_line(mark.key)
    yield from _alone_lines(mark.fixtures)
    if mark.flat.lux > 0.0:
        yield f"Of it {percent(mark.bounced_lux / mark.flat.lux)} is bounced."
    yield back_line(mark)
    if mark.cheeks is not None:
        yield cheeks_line(mark.cheeks)
    if mark.behind is not None:
        yield behind_line(mark.behind)
    if mark.colour is not None:
        colour = mark.colour
        yield (
            f"Colour {colour.kelvin:.0f} K, Duv {colour.duv:+.4f}, {colour.mired:.0f} mired; "
            f"against {report.balance_k:g} K: {colour.words}."
        )


def receptor_line(name: str, one: ReceptorReading) -> str:
    """`Flat: 1.21 fc (13.0 lx), T1.4 (1.35 exact), 1.1 stops under grey.`"""
    exact = "" if one.stop is None else f" ({one.stop:.2f} exact)"
    return (
        f"{name}: {reading(one.footcandles)} fc ({reading(one.lux)} lx), {one.stop_words}{exact}, "
        f"{stops_words(one.stops)}."
    )


def ratio_words(one: Ratio | None) -> str:
    """`2.1 to 1, 1.1 stops`."""
    return "no ratio" if one is None else f"{one.to_one:.1f} to 1, {stops_counted(one.stops)}"


def stops_counted(stops: float) -> str:
    """`2.4 stops`, `1.0 stop`: how many, whichever way."""
    return f"{abs(stops):.1f} stop{'' if 0.95 <= abs(stops) < 1.05 else 's'}"


def key_line(key: KeyAndFill) -> str:
    if key.ratio is None:
        return f"Key: {key.key}; nothing fills."
    return (
        f"Key: {key.key}. Fill, the key shaded: {reading(key.fill_footcandles)} fc. "
        f"Key and fill to fill: {ratio_words(key.ratio)}."
    )


def _alone_lines(fixtures: Sequence[Alone]) -> Iterator[str]:
    small = [one for one in fixtures if 0.0 < one.share < LEAST_SHARE]
    for one in fixtures:
        if one.share >= LEAST_SHARE:
            yield f"  {alone_words(one)}"
    if small:
        each = " each" if len(small) > 1 else ""
        yield f"  {', '.join(one.fixture for one in small)}: under {percent(LEAST_SHARE)}{each}"


def alone_words(one: Alone) -> str:
    """`moon key alone: 0.70 fc, three-quarter back light from camera right, 119° round, 16° up`."""
    if one.lux > 0.0 and one.bounced_lux > 0.95 * one.lux:
        way = "by bounce alone"
    elif one.way is None:
        way = "from all round"
    else:
        way = one.way.words
    return f"{one.fixture} alone: {reading(one.footcandles)} fc, {percent(one.share)}, {way}"


def back_line(mark: MarkReport) -> str:
    back = mark.back
    if back.fixture is None:
        return "Back: no light from behind."
    said = f"Back, turned from the lens: {reading(back.footcandles)} fc, most of it {back.fixture}"
    if back.ratio is None:
        return f"{said}."
    how = "over" if back.ratio.stops >= 0.0 else "under"
    return f"{said}, {stops_counted(back.ratio.stops)} {how} the flat reading."


def cheeks_line(cheeks: Cheeks) -> str:
    own_right = "left" if cheeks.left_is == "right" else "right"
    said = (
        f"Cheeks, turned {cheeks.turned_deg:.0f}° each way: camera left (own {cheeks.left_is}) "
        f"{reading(cheeks.left_footcandles)} fc, camera right (own {own_right}) {reading(cheeks.right_footcandles)} fc"
    )
    if cheeks.brighter == "even":
        return f"{said}: even."
    if cheeks.ratio is None:
        return f"{said}."
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
        return f"{one.fixture}: does not reach {near}; {reading(one.far_lux)} lx at {far}."
    if one.far_lux < LEAST_LUX:
        return f"{one.fixture}: {reading(one.near_lux)} lx at {near}; does not reach {far}."
    assert one.stops is not None
    how = "less" if one.stops >= 0.0 else "more"
    off = one.stops - one.by_distance
    shade = (
        f" {one.far if off > 0.0 else one.near} stands in shadow or out of its beam."
        if abs(off) > SHADED
        else ""
    )
    return (
        f"{one.fixture}: {reading(one.near_lux)} lx at {near}, {reading(one.far_lux)} lx at {far}: "
        f"{stops_counted(one.stops)} {how}, {stops_counted(one.by_distance)} by distance alone.{shade}"
    )


def eye_lines(eyes: Sequence[Eye]) -> Iterator[str]:
    for eye in eyes:
        name = f"{eye.figure}, eye on camera {eye.eye}"
        if eye.note is not None:
            yield f"{name}: {eye.note}."
            continue
        seen = [one for one in eye.lights if one.hidden is None]
        yield f"{name}, iris {eye.iris_px:.1f} pixels wide: {'' if seen else 'no light in it'}".rstrip(
            ": "
        ) + (":" if seen else ".")
        yield from (f"  {catchlight_words(one)}" for one in seen)
        hidden = [f"{one.fixture} {one.hidden}" for one in eye.lights if one.hidden is not None]
        if hidden:
            yield f"  not seen: {', '.join(hidden)}"


def catchlight_words(one: Catchlight) -> str:
    """`moon key at 12:10, 0.3 of the way out, 0.7 × 1.6 mm, 14 % of the iris, 4.5 stops over grey`."""
    partly = "" if one.seen > 0.95 else f", {percent(one.seen)} of it free"
    speck = ", a speck" if max(one.width_px, one.height_px) < SPECK_PX else ""
    return (
        f"{one.fixture} at {clock_words(one.clock)}, {one.off_centre:.1f} of the way out, "
        f"{one.width_mm:.2g} × {one.height_mm:.2g} mm, {percent(one.of_iris)} of the iris, "
        f"{stops_words(one.stops)}{partly}{speck}"
    )


def clock_words(hours: float) -> str:
    """`half past 2`, `10 o'clock`: to the half hour."""
    halves = round(2.0 * hours) % 24
    whole = halves // 2 or 12
    return f"half past {whole}" if halves % 2 else f"{whole} o'clock"


def spot_lines(spot: Spot) -> Iterator[str]:
    away = "" if spot.distance_m is None else f" at {spot.distance_m:.1f} m"
    yield f"on {spot.hits}{away}"
    value = "" if spot.exposure_value is None else f", EV {spot.exposure_value:.1f} at ISO 100 (K = 12.5)"
    yield (
        f"{reading(spot.luminance)} cd/m² ({reading(spot.footlamberts)} fL), {stops_words(spot.stops)}{value}"
    )
    most = [one for one in spot.fixtures if one.share >= LEAST_SHARE]
    if most:
        yield "from " + ", ".join(f"{one.fixture} {percent(one.share)}" for one in most)
