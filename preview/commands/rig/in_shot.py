"""Rig in shot: how far the lamp of each rig, and what carries it, are from each setup's frame, and past which edge."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import TYPE_CHECKING, Final

from preview.sheets.answer.blocks import Table
from preview.sheets.drawing import Align

if TYPE_CHECKING:
    from preview.camera.in_shot import Sighting
    from preview.commands.rig.trial import Trial

LEFT: Final[Align] = "left"
DECIMAL: Final[Align] = "decimal"
PAST: Final = {"left": "left of", "right": "right of", "top": "above", "bottom": "below"}
"""Where a thing is that is out of frame past an edge."""


def in_shot(trials: Sequence[Trial]) -> Table:
    """A row for each rig in each setup."""
    rows = []
    for number, trial in enumerate(trials, 1):
        for setup, seen in trial.sightings:
            lamp = [one for one in seen if one.kind != "stand"]
            lift = [one for one in seen if one.kind == "stand"]
            gaps = [one.clear_m for one in seen if one.clear_m is not None and isfinite(one.clear_m)]
            left = f"{min(gaps):.1f}" if gaps else "hidden"
            rows.append((f"{number}", setup, clear_words(lamp), clear_words(lift), left))
    return Table(
        "In shot or not",
        ("rig", "setup", "head and frame", "what carries it", "left, m"),
        tuple(rows),
        (LEFT, LEFT, LEFT, LEFT, DECIMAL),
        "Degrees at the lens to the frame's edge, metres by the nearest way into view. Left: the least of those metres, "
        "for sway, for reframing, and for a real lift, which is bulkier than the plain body that was reckoned with.",
    )


def clear_words(seen: Sequence[Sighting]) -> str:
    """Of some parts of a rig in one setup: `above the frame by 5° (4.4 m)`, `hidden by pears`, `in shot`."""
    if not seen:
        return "nothing"
    if any(one.status == "in shot" for one in seen):
        return "in shot"
    hidden = sorted(
        {name.partition(".")[0] for one in seen if one.status == "hidden" for name in one.hidden_by}
    )
    clear = [one for one in seen if one.status == "clear" and one.clear_m is not None]
    if not clear:
        return f"hidden by {' and '.join(hidden)}" if hidden else "hidden"
    nearest = min(clear, key=lambda one: one.clear_m or 0.0)
    if (nearest.clear_deg or 0.0) > 90.0:
        words = f"behind the lens ({nearest.clear_m:.1f} m)"
    else:
        past = PAST[nearest.clear_of or "top"]
        words = f"{past} the frame by {nearest.clear_deg:.0f}° ({nearest.clear_m:.1f} m)"
    return f"{words}, part hidden by {' and '.join(hidden)}" if hidden else words
