"""Rig units: a head with what it shines through, as it would be set to play the moon."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, degrees, pi, sqrt
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from preview.light.heads import HeadOutput
from preview.script.quantities import LUX_PER_FOOTCANDLE
from preview.trade.head_row import HeadRow

Floats = NDArray[np.float64]

FOOT: Final = 1.0 / sqrt(LUX_PER_FOOTCANDLE)
"""Metres."""
SIDE_BY_SIDE: Final = 0.25
"""Metres between housings of heads beside one another."""
Held = Literal["", "on the lift", "on stands of its own"]
ON_LIFT: Final[Held] = "on the lift"
ON_STANDS: Final[Held] = "on stands of its own"
UNWEIGHED: Final = 15.0
"""Kilograms of a head whose row does not say. From memory, typical."""
FRAME_KG: Final = {4: 4.0, 6: 8.0, 8: 12.0, 12: 25.0, 20: 60.0}
"""Kilograms of a frame of so many feet with its cloth. From memory, typical."""
NUMBERS: Final = ("", "", "two of ", "three of ", "four of ")


@dataclass(frozen=True)
class Unit:
    """A head as it would be set, so many of them side by side, bare or through a frame.

    `candela`: axial of one, with its gel. `size_m`: side of the frame, or diameter of what shines. `scrims`, `stops`:
    wire in front, and how far it is dimmed after that (an estimate that the meter puts right). `kelvin`: what it is set to.
    `held`: what holds the frame, empty without one. `source_m`: diameter of what shines in the head; `direct`: the share of
    the light at the mark that goes straight on through the cloth, `spread` radians of it, as a cloth's; `passes`: that
    light against what the bare head would give there; `even`: the share of the cloth that counts as evenly lit.
    """

    head: HeadRow
    output: HeadOutput
    flood: float | None
    lens: str | None
    count: int
    candela: float
    gel: str | None
    kelvin: float | None
    scrims: tuple[str, ...]
    stops: float
    size_m: float
    cloth: str | None = None
    frame_m: float | None = None
    away: float = 0.0
    held: Held = ""
    source_m: float = 0.0
    direct: float = 0.0
    spread: float = 0.0
    passes: float = 1.0
    even: float = 1.0

    @property
    def weight_kg(self) -> float:
        """Kilograms of the heads, and of the frame where the lift holds it; without ballast and cable."""
        heads = self.count * (UNWEIGHED if self.head.weight is None else self.head.weight)
        return heads + (frame_kg(self.frame_m) if self.frame_m is not None and self.held == ON_LIFT else 0.0)

    @property
    def watts(self) -> float:
        """Of all heads together, as their lamps are named; ballasts take some more."""
        return self.count * self.head.watts

    @property
    def is_soft(self) -> bool:
        return self.frame_m is not None

    @property
    def words(self) -> str:
        """`two of hmi-fresnel-2500, full flood, 8x8 ft of half-grid`."""
        number = NUMBERS[self.count]
        how = ""
        if self.lens is not None:
            how = f", {self.lens} lens"
        if self.flood is not None:
            how += (
                ", full flood"
                if self.flood >= 1
                else ", full spot"
                if self.flood <= 0
                else f", {100 * self.flood:.0f} % flood"
            )
        if self.frame_m is None:
            return f"{number}{self.head.name}{how}, bare"
        feet = round(self.frame_m / FOOT)
        return f"{number}{self.head.name}{how}, {feet}x{feet} ft of {self.cloth}"

    def along(self, offs: Floats, throws: Floats, throw: float) -> Floats:
        """Lux (n,) at places so far (m) from the lamp and so many radians off its axis, against that at `throw` on it.

        Of a frame: what leaves the cloth evenly, what goes straight on through it, and what misses it and goes past.
        """
        relative = np.asarray(self.output.profile(np.cos(offs).astype(np.float32)), np.float64)
        beam = relative * (throw / throws) ** 2
        if self.frame_m is None:
            return beam
        cloth = np.maximum(np.cos(offs), 0.0)
        cloth *= ((throw - self.away) / np.maximum(throws - self.away, 0.1)) ** 2
        past = offs > atan(self.frame_m / sqrt(pi) / self.away)
        return (1.0 - self.direct) * cloth + np.where(past, 1.0 / self.passes, self.direct) * beam


def frame_kg(side_m: float) -> float:
    """Kilograms of a square frame with its cloth, by its side in metres."""
    return FRAME_KG[round(side_m / FOOT)]


def effort(watts: Floats, count: int) -> Floats:
    """What power costs in the ranking, in points: a quarter for each doubling past a kilowatt, more for more heads."""
    return np.asarray(0.25 * np.maximum(np.log2(watts / 1000.0), -1.0) + 0.3 * (count - 1))


def apparent_deg(size_m: float, away_m: float) -> float:
    """Degrees across that a disc looks from so far away."""
    return 2.0 * degrees(atan(size_m / 2.0 / away_m))
