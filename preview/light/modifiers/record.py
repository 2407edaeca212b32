"""Record: what stood in a light's way, kept for those who ask how it was lit and what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from preview.light.light import Emitter

Floats = NDArray[np.float64]
Way = Literal["bare", "direct", "diffuse"]


@dataclass(frozen=True)
class Origin:
    """Where an emitter's light last came from: the `stage`-th thing in its way, -1 for the head; which `way` from it."""

    stage: int
    way: Way


@dataclass(frozen=True)
class Stood:
    """A frame, bounce, box or cloth as it stood in a light.

    `falling` (rows, columns) lux on it, row 0 at the bottom; `spilling` the emitters whose light goes past it, as far as
    it does, from `source` (3,) m; `spilled` their lumens; `lumens` those of the bare head; `passed` the share of what
    falls on it that leaves it.
    """

    kind: Literal["frame", "bounce", "box", "cloth"]
    of: str
    size_m: tuple[float, float]
    centre: Floats
    falling: Floats
    spilling: tuple[Emitter, ...]
    source: Floats
    spilled: float
    lumens: float
    passed: float

    @property
    def flux(self) -> float:
        """Lumens that fall on it."""
        return float(self.falling.mean() * self.size_m[0] * self.size_m[1])
