"""Moon asked: the directions and the moon that a user asks for on the command line, read as a script's quantities are."""

from __future__ import annotations

from collections.abc import Callable
from math import degrees, radians
from typing import Final, Literal

from preview.commands.asked import read_option
from preview.commands.moon.sweep import SOFT, SweepOptions
from preview.faults import UserError
from preview.script import quantities
from preview.script.models.sky import REAL_MOON

LOWEST: Final = 1.0
HIGHEST: Final = 85.0
"""Degrees up of a moon: from there on its azimuth says little."""
CLOSEST: Final = 5.0
"""Degrees between azimuths, at least."""
MOST: Final = 96
"""Directions in one sheet."""
KELVIN: Final = (1000.0, 25000.0)
LUX: Final = (1e-4, 1e5)


def sweep_options(
    *,
    every: str,
    heights: str,
    softness: Literal["hard", "soft"],
    size: str | None,
    lux: str | None,
    kelvin: str | None,
    across: int,
) -> SweepOptions:
    """What is swept. UserError, with the option's name, for what will not do."""
    step = degrees(read_option("--every", every, quantities.angle))
    if not CLOSEST <= step <= 360.0:
        raise UserError(f"--every: from {CLOSEST:g} to 360 degrees, not {every}")
    ups: list[float] = []
    for part in heights.split(","):
        up = degrees(read_option("--heights", part.strip(), quantities.angle))
        if not LOWEST - 1e-9 <= up <= HIGHEST + 1e-9:
            raise UserError(
                f"--heights: a moon is from {LOWEST:g} to {HIGHEST:g} degrees up here, not {part.strip()}"
            )
        ups.append(round(up, 6))
    if len(set(ups)) < len(ups):
        raise UserError(f"--heights: {heights} names a height twice")
    count = round(360.0 / step) * len(ups)
    if count > MOST:
        raise UserError(
            f"--every {every} with {len(ups)} heights are {count} directions, and {MOST} are the most: take a wider step "
            "or fewer heights"
        )
    diameter = REAL_MOON if softness == "hard" else SOFT
    if size is not None:
        diameter = read_option("--moon-size", size, quantities.angle)
        if not radians(0.05) <= diameter <= radians(60.0):
            raise UserError(f"--moon-size: from 0.05 to 60 degrees across, not {size}")
    return SweepOptions(
        every_deg=round(step, 6),
        heights_deg=tuple(sorted(ups)),
        size=diameter,
        visible=0.5 * REAL_MOON <= diameter <= 2.0 * REAL_MOON,
        lux=None if lux is None else _within("--lux", lux, quantities.illuminance, LUX, "lux"),
        kelvin=None if kelvin is None else _within("--kelvin", kelvin, quantities.kelvin, KELVIN, "K"),
        across=across,
    )


def direction_of(text: str) -> tuple[float, float]:
    """Azimuth and height in degrees from `45,35`."""
    parts = text.split(",")
    if len(parts) != 2:
        raise UserError(f'--rig: "{text[:40]}" is not an azimuth and a height; write --rig 45,35')
    azimuth, up = (degrees(read_option("--rig", part.strip(), quantities.angle)) for part in parts)
    if not LOWEST - 1e-9 <= up <= HIGHEST + 1e-9:
        raise UserError(
            f"--rig: a moon is from {LOWEST:g} to {HIGHEST:g} degrees up here, not {parts[1].strip()}"
        )
    return azimuth % 360.0, up


def _within(
    option: str, text: str, reader: Callable[[object], float], limits: tuple[float, float], unit: str
) -> float:
    amount = read_option(option, text, reader)
    if not limits[0] <= amount <= limits[1]:
        raise UserError(f"{option}: from {limits[0]:g} to {limits[1]:g} {unit}, not {text}")
    return amount
