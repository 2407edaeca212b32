"""Meant: drifts and lost light that cheats with a reason account for: nobody is called out for what the script wants."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from preview.commands.setups.cheat_effects import Effect
from preview.commands.setups.continuity import Row
from preview.commands.setups.on_figure import STOPS, OnFigure
from preview.commands.setups.tolerance import Tolerance

LEAST = {"stop": STOPS, "mired": 3.0}
"""What a cheat must change of a row, in its unit, to be a cause of it."""


def with_meant(row: Row, effects: Sequence[Effect], tolerance: Tolerance) -> Row:
    """The row with those of its drifts marked as meant that would hold without what reasoned cheats do to them, and with
    the light that they take away."""
    meant: dict[str, tuple[str, ...]] = {}
    for setup in row.drifting:
        by = _causes(row, [effect for effect in effects if effect.cheat.setup == setup])
        before = _causes(row, [effect for effect in effects if effect.cheat.setup == row.reference])
        rest = row.differences[setup] - sum(by.values()) + sum(before.values())
        if (by or before) and abs(rest) <= tolerance.of(row.kind) + 1e-9:
            meant[setup] = tuple(dict.fromkeys((*by, *before)))
    for setup in row.lost:
        by_them = [
            effect.cheat.name
            for effect in effects
            if effect.cheat.reason is not None
            and row.figure in effect.figures
            and _takes_away(effect, row, setup)
        ]
        if by_them:
            meant[setup] = tuple(dict.fromkeys(by_them))
    drifting, lost = (tuple(setup for setup in one if setup not in meant) for one in (row.drifting, row.lost))
    return replace(row, drifting=drifting, lost=lost, meant=meant)


def _takes_away(effect: Effect, row: Row, setup: str) -> bool:
    """Whether a cheat keeps the row's light off its figure in a setup, or brings it to them in the reference."""
    on = effect.figures[row.figure]
    if effect.cheat.setup == setup:
        return row.fixture in on.lost
    return effect.cheat.setup == row.reference and row.fixture in on.gained


def _causes(row: Row, effects: Sequence[Effect]) -> Mapping[str, float]:
    """By how much each reasoned cheat of a setup changes what the row measures."""
    found: dict[str, float] = {}
    for effect in effects:
        if effect.cheat.reason is None:
            continue
        by = _change(row, effect.figures.get(row.figure), effect)
        if by is not None and abs(by) >= LEAST.get(row.unit, 1.0):
            found[effect.cheat.name] = by
    return found


def _change(row: Row, on: OnFigure | None, effect: Effect) -> float | None:
    if on is None:
        return None
    if row.kind == "ratio":
        return on.ratio_stops
    if row.kind in ("azimuth", "height"):
        mine = effect.cheat.section == "fixtures" and row.fixture == effect.cheat.name
        return (on.azimuth_deg if row.kind == "azimuth" else on.up_deg) if mine else None
    return {"key": on.key_stops, "fill": on.fill_stops, "rim": on.rim_stops, "colour": on.colour_mired}.get(
        row.kind
    )
