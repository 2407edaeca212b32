"""Lens tables: lens by lens for whoever moves the rig, pulls focus, or chooses a format."""

from __future__ import annotations

from collections.abc import Sequence
from math import log2
from typing import Final

from preview.camera.format import exposed
from preview.camera.in_shot import Sighting
from preview.commands.lenses.figures import Measured
from preview.commands.lenses.names import called
from preview.commands.lenses.trials import Trials, format_name, millimetres_of
from preview.commands.lenses.words import figure_words
from preview.sheets.answer.blocks import Table
from preview.sheets.drawing import Align

CLOSE_DEG: Final = 3.0
"""Degrees off the frame within which something clear is told of: a small pan brings it in. Common practice, no source."""
FASTEST: Final = 1.3
"""T-stop beyond which hardly any lens opens. From memory."""
THIRDS: Final = (100, 125, 160)
"""Speeds of a stop's thirds; whole stops are these doubled. From memory, after the rounded series of ISO 5800."""
CAUTION: Final = (
    "Moves are straight lines that take a thing out of frame; look what stands there first. To move a head, frame or stand "
    "changes its light, its ballast and its footing: have it done by those who are qualified."
)


def rig_table(made: Sequence[Measured]) -> Table | None:
    """What is in shot or nearly so, and what clears it with each lens; None where there is nothing."""
    every = [{s.name: s for s in (*one.coverage.items, *one.edges.seen, *one.edges.rest)} for one in made]
    names = [
        name
        for name in dict.fromkeys(name for found in every for name in found)
        if any(_worth(found[name]) for found in every if name in found)
    ]
    if not names:
        return None
    names.sort(
        key=lambda name: (_first(every, name).kind == "edge", -sum(_seen(found.get(name)) for found in every))
    )
    rows = tuple(
        (
            called([name]),
            *(_unshown(one, name) or _cell(found.get(name)) for one, found in zip(made, every, strict=True)),
        )
        for name in names
    )
    return Table(
        "What must be moved out, or hidden",
        ("", *(one.trial.name for one in made)),
        rows,
        _left(len(made) + 1),
        CAUTION,
    )


def focus_table(trials: Trials, made: Sequence[Measured]) -> Table:
    """For whoever pulls focus."""
    held = trials.figure is not None
    rows = []
    for one in made:
        focus = one.coverage.focus
        far = "infinity" if focus.far_m is None else f"{focus.far_m:.2f}"
        depth = "" if focus.far_m is None else f"{focus.far_m - focus.near_m:.2f}"
        rows.append(
            (
                one.trial.name,
                f"T{focus.stop:g}",
                f"{focus.distance_m:.2f}",
                f"{focus.near_m:.2f}",
                far,
                depth,
                f"{focus.hyperfocal_m:.1f}",
                f"{focus.circle_of_confusion_mm:.3f}",
            )
        )
    where = "the camera's new place" if held else "the camera"
    return Table(
        "For focus",
        ("", "stop", "focus, m", "near, m", "far, m", "depth, m", "hyperfocal, m", "circle, mm"),
        tuple(rows),
        ("left", "left", "decimal", "decimal", "decimal", "decimal", "decimal", "decimal"),
        f"Metres from {where} along the lens's axis, by the thin lens, T-stop taken as f-number; the circle of confusion "
        "is the script's, or the format's diagonal over 1500.",
    )


def figures_table(made: Sequence[Measured]) -> Table | None:
    """Who is how large with each lens; None without figures."""
    names = [figure.name for figure in made[0].coverage.figures] if made else []
    if not names:
        return None
    rows = tuple(
        (name, *(figure_words(next(s for s in one.coverage.figures if s.name == name)) for one in made))
        for name in names
    )
    return Table("Shot sizes", ("", *(one.trial.name for one in made)), rows, _left(len(made) + 1))


def formats_table(trials: Trials) -> Table:
    """What gives the same picture on each format."""
    rows = []
    for trial in trials.each:
        whole, equal = exposed(trial.camera), trial.equal
        light = (
            "none"
            if abs(equal.light_stops) < 0.05
            else f"{abs(equal.light_stops):.1f} {_more(equal.light_stops)}"
        )
        rows.append(
            (
                format_name(trial.camera),
                f"{whole.width_mm:.2f} × {whole.height_mm:.2f}",
                f"{equal.crop:.2f}",
                millimetres_of(equal.focal_mm),
                f"T{equal.stop:.1f}{', hardly made' if equal.stop < FASTEST else ''}",
                light,
                f"{round_iso(equal.iso)}",
            )
        )
    own = trials.scene.camera
    lens = f"{trials.base.lens.focal:g} mm at T{own.lens.stop:g}, ISO {own.iso:g}, on {format_name(own)}"
    return Table(
        f"The picture of {lens}, on each format",
        ("", "format, mm", "crop", "same field", "same depth", "light, stops", "or ISO"),
        tuple(rows),
        ("left", "left", "decimal", "left", "left", "left", "left"),
        "Crop: the diagonal of full frame over the format's. The lens of the same width of field, at the stop that has the "
        "same opening in millimetres, has the same depth of field and blur in the frame; that stop takes so much more or "
        "less light, or that ISO, to a third of a stop. Noise at an ISO is the camera's own: ask its tests. "
        f"Hardly any lens opens beyond T{FASTEST:g} (from memory).",
    )


def round_iso(speed: float) -> int:
    """The speed on a camera's scale, in thirds of a stop, that is nearest."""
    third = round(3.0 * log2(speed / 100.0))
    stops, step = divmod(third, 3)
    return round(THIRDS[step] * 2.0**stops)


def _left(columns: int) -> tuple[Align, ...]:
    return tuple("left" for _ in range(columns))


def _more(stops: float) -> str:
    return "more" if stops > 0.0 else "less"


def _first(every: Sequence[dict[str, Sighting]], name: str) -> Sighting:
    return next(found[name] for found in every if name in found)


def _seen(sighting: Sighting | None) -> bool:
    return sighting is not None and sighting.status == "in shot"


def _worth(sighting: Sighting) -> bool:
    if sighting.kind == "practical":
        return False
    if sighting.status == "in shot":
        return True
    near = sighting.clear_deg is not None and sighting.clear_deg < CLOSE_DEG
    return near and sighting.status == "clear" and sighting.kind != "edge"


def _unshown(one: Measured, name: str) -> str | None:
    """What is said of an edge that lies in frame and is not made out there."""
    if name in one.edges.horizon:
        return "the horizon"
    return "not made out" if name in one.edges.dim else None


def _cell(sighting: Sighting | None) -> str:
    if sighting is None:
        return "not built"
    if sighting.status == "in shot":
        if sighting.clears is not None:
            return sighting.clears.words
        return "hide or build on" if sighting.kind == "edge" else "in shot: strike it"
    if sighting.status == "hidden":
        return "hidden"
    if sighting.clear_deg is not None and sighting.clear_deg > 90.0:
        return "behind"
    return f"clear by {sighting.clear_m:.1f} m"
