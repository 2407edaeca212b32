"""Meant: drifts that cheats with a reason account for, so that nobody is called out for what the script says it wants."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from preview.commands.setups.cheat_effects import STOPS, Effect, OnFigure
from preview.commands.setups.continuity import Row
from preview.commands.setups.tolerance import Tolerance

LEAST = {"stop": STOPS, "mired": 3.0}
"""What a cheat must change of a row, in its unit, to be a cause of it."""


def with_meant(row: Row, effects: Sequence[Effect], tolerance: Tolerance) -> Row:
    """The row with those of its drifts marked as meant that would hold without what reasoned cheats do to them."""
    meant: dict[str, tuple[str, ...]] = {}
    for setup in row.drifting:
        by = _causes(row, [effect for effect in effects if effect.cheat.setup == setup])
        before = _causes(row, [effect for effect in effects if effect.cheat.setup == row.reference])
        rest = row.differences[setup] - sum(by.values()) + sum(before.values())
        if (by or before) and abs(rest) <= tolerance.of(row.kind) + 1e-9:
            meant[setup] = tuple(dict.fromkeys((*by, *before)))
    drifting = tuple(setup for setup in row.drifting if setup not in meant)
    return replace(row, drifting=drifting, meant=meant)


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
        return None if on.key_stops is None or on.fill_stops is None else on.key_stops - on.fill_stops
    if row.kind in ("azimuth", "height"):
        mine = effect.cheat.section == "fixtures" and row.measure.rpartition(",")[0] == effect.cheat.name
        return (on.azimuth_deg if row.kind == "azimuth" else on.up_deg) if mine else None
    return {"key": on.key_stops, "fill": on.fill_stops, "rim": on.rim_stops, "colour": on.colour_mired}.get(
        row.kind
    )
