"""Sky asked: what a user asks of a night on the command line, read as a script's quantities are."""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from typing import Final

from preview.commands.asked import Value, read_option
from preview.commands.sky.command import FAINT, SkyOptions
from preview.commands.sky.wanted import AROUND
from preview.faults import UserError
from preview.script import place_and_time, quantities

MOST_LUX: Final = 1.0
"""More than any moon gives."""


def sky_options(
    *,
    setup: str | None,
    date: str | None,
    time: str | None,
    cloud: str | None,
    month: str | None,
    want: str | None,
    within: str | None,
    heights: str | None,
    lux: str | None,
    dark: str,
) -> SkyOptions:
    """What is asked. UserError, with the option's name, for what will not do."""
    covered = _read("--cloud", cloud, place_and_time.cloud)
    if covered is not None and not 0.0 <= covered <= 1.0:
        raise UserError(f"--cloud: from 0 to 100 % of the sky, not {cloud}")
    around = _read("--within", within, quantities.angle)
    if around is not None and not 0.0 < around <= pi:
        raise UserError(f"--within: more than 0 and at most 180 degrees, not {within}")
    least = _read("--lux", lux, quantities.illuminance)
    if least is not None and not 0.0 <= least <= MOST_LUX:
        raise UserError(f"--lux: no moon gives more than about 0.3 lux, and this asks for {lux}")
    return SkyOptions(
        setup=setup,
        date=_read("--date", date, place_and_time.evening),
        time=_read("--time", time, place_and_time.clock),
        cloud=covered,
        month=_read("--month", month, place_and_time.month),
        want=want,
        around=AROUND if around is None else around,
        heights=None if heights is None else _heights(heights),
        dark=dark,
        least_lux=FAINT if least is None else least,
    )


def _read(option: str, given: str | None, reader: Callable[[object], Value]) -> Value | None:
    return None if given is None else read_option(option, _plain(given), reader)


def _plain(text: str) -> object:
    """A bare number as a number, as a script has it."""
    try:
        return float(text)
    except ValueError:
        return text


def _heights(text: str) -> tuple[float, float]:
    parts = text.split(",")
    if len(parts) != 2:
        raise UserError(f"--heights: two heights are needed, low and high, such as 10,45, not {text!r}")
    low, high = (_read("--heights", part.strip(), quantities.angle) for part in parts)
    if low is None or high is None or not 0.0 <= low < high <= pi / 2.0 + 1e-9:
        raise UserError(f"--heights: from 0 to 90 degrees, the low one first, such as 10,45, not {text!r}")
    return low, high
