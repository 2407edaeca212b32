"""Words: how numbers and directions are written in answers."""

from __future__ import annotations

from typing import Final

# fmt: off
POINTS: Final = (
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
)
# fmt: on


def signed(value: float, decimals: int = 1) -> str:
    """`+0.4`, `−1.2`, `0.0`: a true minus, and no sign before nought."""
    text = f"{abs(value):.{decimals}f}"
    return text if float(text) == 0.0 else f"{'+' if value > 0 else '−'}{text}"


def percent(share: float) -> str:
    """`62 %`, `0.4 %`, `< 0.1 %`, `0`."""
    if share <= 0:
        return "0"
    if share < 0.001:
        return "< 0.1 %"
    return f"{100 * share:.1f} %" if share < 0.0995 else f"{100 * share:.0f} %"


def point(azimuth_deg: float) -> str:
    """The nearest of the sixteen points of the compass: `ESE`."""
    return POINTS[round(azimuth_deg / 22.5) % 16]


def compass_words(azimuth_deg: float, decimals: int = 0) -> str:
    """A direction of the compass, degrees from north: `ESE 112°`."""
    return f"{point(azimuth_deg)} {degrees_words(azimuth_deg, decimals)}"


def degrees_words(azimuth_deg: float, decimals: int = 0) -> str:
    """`112°`, of an azimuth from 0 to 359: `0°`, `22.5°` with a decimal."""
    return f"{round(azimuth_deg, decimals) % 360:g}°"


def plan_words(azimuth_deg: float, north_deg: float = 0.0, decimals: int = 0) -> str:
    """An azimuth of a script's plan: `ESE 112°` where true north is at 0° of it, else `112° of the plan, true S 182°`.

    `north_deg`: the azimuth of the plan at which true north lies.
    """
    if abs((north_deg + 180.0) % 360.0 - 180.0) < 0.5:
        return compass_words(azimuth_deg, decimals)
    return (
        f"{degrees_words(azimuth_deg, decimals)} of the plan, true {compass_words(azimuth_deg - north_deg)}"
    )
