"""Meter eye text: what the eyes mirror and what a spot meter says, in lines that read well aloud."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from preview.sheets.answer.words import percent
from preview.sheets.meter_report import Catchlight, Eye, Spot
from preview.sheets.report import reading, stops_words

LEAST_SHARE: Final = 0.005
"""Share of a light from which a fixture has a line of its own."""
SPECK_PX: Final = 1.0
"""Pixels under which an image in the eye is a speck in a frame 960 wide."""


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
