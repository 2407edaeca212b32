"""Coverage text: the coverage of a setup as lines that read well in a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from preview.camera.coverage import Coverage, Focus, Subject
from preview.camera.in_shot import Sighting

if TYPE_CHECKING:
    from rich.console import Group


def angles_line(coverage: Coverage) -> str:
    a = coverage.frame_angles
    return (
        f"{a.horizontal_deg:.1f}° across, {a.vertical_deg:.1f}° high, {a.diagonal_deg:.1f}° corner to corner"
    )


def format_line(coverage: Coverage) -> str:
    lines, a = coverage.frame_lines, coverage.format_angles
    squeeze = f", {lines.squeeze:g}x squeeze" if lines.squeeze != 1 else ""
    return (
        f"{lines.format}, {lines.format_width_mm:.2f} × {lines.format_height_mm:.2f} mm{squeeze}: "
        f"{a.horizontal_deg:.1f}° × {a.vertical_deg:.1f}°, diagonal {a.diagonal_deg:.1f}°"
    )


def frame_line(coverage: Coverage) -> str:
    lines = coverage.frame_lines
    size = f"{lines.aspect:.2f}:1, {lines.width_mm:.2f} × {lines.height_mm:.2f} mm"
    if lines.share > 0.999:
        return f"{size}: the whole format"
    return f"{size}: {100 * lines.share:.0f} % of the format"


def focus_line(focus: Focus) -> str:
    far = "infinity" if focus.far_m is None else f"{focus.far_m:.2f} m"
    return (
        f"focused at {focus.distance_m:.2f} m, sharp from {focus.near_m:.2f} m to {far}; "
        f"hyperfocal {focus.hyperfocal_m:.1f} m (circle of confusion {focus.circle_of_confusion_mm:.3f} mm)"
    )


def subject_notes(subject: Subject) -> str:
    """The shot's name and what is wrong with it, in words."""
    if not subject.in_frame:
        return subject.where
    notes = [subject.shot_size] if subject.shot_size else [subject.where]
    if not subject.sharp:
        notes.append("soft")
    if subject.hidden_by:
        notes.append(f"{'face ' if subject.shot_size else ''}behind {subject.hidden_by}")
    return ", ".join(notes)


def verdict(coverage: Coverage) -> str:
    """The one sentence to read first."""
    seen = [s for s in coverage.items if s.status == "in shot" and s.kind != "practical"]
    flares = [s for s in coverage.items if s.shines is not None and s.kind != "practical"]
    edges = [s for s in coverage.edges if s.status == "in shot"]
    parts = []
    if seen:
        parts.append(f"{_count(len(seen), 'piece')} of the rig in shot")
    if flares:
        parts.append(f"{_count(len(flares), 'head')} shining into the lens")
    if edges:
        parts.append(f"{_count(len(edges), 'edge')} of the set showing")
    return (
        (", ".join(parts) + ".").capitalize()
        if parts
        else "The frame is clean: nothing is in shot that should not be."
    )


def sighting_words(sighting: Sighting) -> str:
    """Status, what clears it and whether it flares, in one line."""
    words = sighting.words
    if sighting.kind == "practical" and sighting.status == "in shot":
        words = words.replace("in shot", "in shot, as a practical should be", 1)
    if sighting.clears is not None:
        words += f"; {sighting.clears.words} to clear"
    elif sighting.status == "in shot" and sighting.kind == "edge":
        words += "; no turn under 45° clears it: hide it or build on"
    if sighting.shines is not None and not (sighting.kind == "practical" and sighting.shines.in_frame):
        words += f"; {sighting.shines.words}"
    return words


def coverage_text(coverage: Coverage) -> Group:
    """A rich renderable of the whole answer."""
    from rich.console import Group
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    focus = coverage.focus
    facts = Table.grid(padding=(0, 2))
    facts.add_column(style="dim", no_wrap=True)
    facts.add_column(overflow="fold")
    facts.add_row("lens", f"{focus.focal_mm:g} mm at T{focus.stop:g}")
    facts.add_row("sees", angles_line(coverage))
    facts.add_row("format", format_line(coverage))
    facts.add_row("frame", frame_line(coverage))
    if coverage.image_circle is not None:
        circle = coverage.image_circle
        facts.add_row("image circle", f"{circle.stated_mm:.1f} mm: {circle.words}")
    facts.add_row("focus", focus_line(focus))
    blocks: list[Text | Table | Padding] = [
        Text.assemble((coverage.title, "bold"), f"  {coverage.setup}"),
        Text(verdict(coverage)),
        Padding(facts, (1, 0, 0, 2)),
    ]
    subjects = [*coverage.figures, *coverage.marks]
    if subjects:
        table = Table(box=None, pad_edge=False, header_style="dim", padding=(0, 2, 0, 0))
        table.add_column("at")
        table.add_column("metres", justify="right")
        table.add_column("frame there, m", justify="right")
        table.add_column("shot", overflow="fold")
        for s in subjects:
            size = "" if s.frame_width_m is None else f"{s.frame_width_m:.2f} × {s.frame_height_m:.2f}"
            table.add_row(Text(s.name), f"{s.distance_m:.2f}", size, Text(subject_notes(s)))
        blocks.append(Padding(table, (1, 0, 0, 2)))
    if coverage.items or coverage.edges:
        table = Table.grid(padding=(0, 2))
        table.add_column(justify="right", style="dim")
        table.add_column(overflow="fold")
        table.add_column(overflow="fold")
        styles = {"in shot": "bold", "hidden": "", "clear": "dim"}
        for item in (*coverage.items, *coverage.edges):
            style = "" if item.kind == "practical" else styles[item.status]
            table.add_row(
                str(item.number), Text(item.name, style=style), Text(sighting_words(item), style=style)
            )
        blocks.append(Padding(table, (1, 0, 0, 2)))
    return Group(*blocks)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
