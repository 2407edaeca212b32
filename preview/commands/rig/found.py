"""Rig found: all that a search for rigs found, before it is told."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees

from preview.commands.moon.sweep import Mooned
from preview.commands.prepare import Ready
from preview.commands.rig.around import Around
from preview.commands.rig.places import Perch
from preview.commands.rig.search import Search
from preview.commands.rig.stock import Stock
from preview.commands.rig.trial import Trial
from preview.script.models.sky import REAL_MOON


@dataclass(frozen=True)
class Found:
    """`ready`: the scene without its moon; `looks`: degrees across that the moon should look, None for the real one's;
    `failures`: why further candidates did not do; `nearest`: the nearest place that does, where none about it does.
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

    @property
    def asked_deg(self) -> float:
        """Degrees across of the moon that is asked for."""
        return degrees(REAL_MOON) if self.looks is None else self.looks
