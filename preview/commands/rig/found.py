"""Rig found: all that a search for rigs found, before it is told."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees

from preview.camera.exposure import incident_stops
from preview.commands.moon.sweep import Mooned
from preview.commands.prepare import Ready
from preview.commands.rig.around import Around
from preview.commands.rig.nearest import STEP
from preview.commands.rig.places import Perch
from preview.commands.rig.search import Search
from preview.commands.rig.stock import Stock
from preview.commands.rig.trial import Trial
from preview.script.models.sky import REAL_MOON


@dataclass(frozen=True)
class Found:
    """`ready`: the scene without its moon; `looks`: degrees across that the moon should look, None for the real one's;
    `failures`: why further candidates did not do; `nearest`: where none about the direction does, the place of a rig that
    does, built and metered, from as near to it as any in steps of `nearest_step` degrees; None for none.
    """

    around: Around
    ready: Ready
    stock: Stock
    moon: Mooned
    looks: float | None
    search: Search
    trials: tuple[Trial, ...]
    failures: tuple[str, ...]
    nearest: Perch | None
    nearest_step: float = STEP

    @property
    def grey_stops(self) -> float:
        """Stops over (negative: under) 18 % grey that the light asked for is at the camera's exposure, on what faces it."""
        return incident_stops(self.moon.lux, self.ready.scene.camera)

    @property
    def asked_deg(self) -> float:
        """Degrees across of the moon that is asked for."""
        return degrees(REAL_MOON) if self.looks is None else self.looks
