"""Coverage sheet: the clay view of a setup with everything marked that the lens sees or should not see."""

from __future__ import annotations

from dataclasses import replace
from math import log
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preview.camera.coverage import Coverage, FrameLines, ImageCircle
from preview.camera.in_shot import Sighting
from preview.camera.view import View
from preview.sheets.coverage_text import (
    angles_line,
    focus_line,
    format_line,
    frame_line,
    sighting_words,
    subject_notes,
    verdict,
)
from preview.sheets.drawing import (
    BLUE,
    COLUMN,
    GREEN,
    INK,
    MARGIN,
    PAPER,
    QUIET,
    RULE,
    SHADE,
    VERMILION,
    WHITE,
    WIDTH,
    Box,
    Colour,
    Sheet,
    dashed,
    font,
    framed,
    line_height,
    place_labels,
    rectangle_path,
)
from preview.sheets.tables import table

if TYPE_CHECKING:
    from PIL import Image, ImageDraw

SURROUND = 1.12
"""The clay view takes in this much more than the frame each way, so that what is just out of frame shows too."""
RADIUS = 21.0
"""Of a number's disc, in pixels."""


def surround_view(view: View, surround: float = SURROUND) -> View:
    """The view to draw the clay picture with: the frame and a rim round it."""
    return replace(
        view, tan_half_width=view.tan_half_width * surround, tan_half_height=view.tan_half_height * surround
    )


def coverage_sheet(coverage: Coverage, clay: NDArray[np.uint8], *, surround: float = SURROUND) -> Image.Image:
    """The sheet. `clay`: grey picture (h, w, 3) of `surround_view(view, surround)`."""
    focus = coverage.focus
    sheet = Sheet(
        f"{coverage.title}: coverage", f"Setup {coverage.setup}, {focus.focal_mm:g} mm at T{focus.stop:g}"
    )
    sheet.text(verdict(coverage), "strong")
    sheet.y += 18
    box = sheet.picture(clay)
    _mark(sheet, box, coverage, surround)
    _key(sheet)
    sheet.heading("Lens and format")
    top = sheet.y
    room = 430
    _format_diagram(
        sheet, coverage.frame_lines, coverage.image_circle, (WIDTH - MARGIN - room, top, room, 330)
    )
    rows = [
        ("Sees", angles_line(coverage)),
        ("Format", format_line(coverage)),
        ("Frame", frame_line(coverage)),
    ]
    if coverage.image_circle is not None:
        rows.append(("Circle", f"{coverage.image_circle.stated_mm:.1f} mm: {coverage.image_circle.words}"))
    else:
        rows.append(("Circle", "not stated for this lens"))
    sheet.rows(rows, width=COLUMN - room - 40)
    sheet.y = max(sheet.y, top + 350)
    sheet.heading("Focus")
    sheet.text(focus_line(focus))
    _depth_strip(sheet, coverage)
    subjects = [*coverage.figures, *coverage.marks]
    if subjects:
        sheet.heading("Figures and marks")
        table(
            sheet,
            ["", "metres", "frame wide", "high", "shot"],
            [
                [
                    s.name,
                    f"{s.distance_m:.2f}",
                    "" if s.frame_width_m is None else f"{s.frame_width_m:.2f}",
                    "" if s.frame_height_m is None else f"{s.frame_height_m:.2f}",
                    subject_notes(s),
                ]
                for s in subjects
            ],
            ["left", "decimal", "decimal", "decimal", "left"],
        )
    _list(sheet, "Rig", coverage.items)
    _list(sheet, "Edges of the set", coverage.edges)
    sheet.y += 24
    sheet.text(
        "Moves are straight lines that take the thing out of frame; look what stands there first. Moving a head, "
        "frame or stand changes its light, its ballast and its footing: have it rigged by those who are qualified.",
        "small",
        colour=QUIET,
    )
    return sheet.finished()


def _colour(sighting: Sighting) -> Colour:
    if sighting.status == "clear":
        return GREEN
    if sighting.status == "hidden" or sighting.kind == "practical":
        return BLUE
    return VERMILION


def symbol(
    draw: ImageDraw.ImageDraw, at: tuple[float, float], sighting: Sighting, *, numbered: bool = True
) -> None:
    """The number in its shape: filled disc in shot, ring half filled hidden, empty ring clear, square practical."""
    x, y = at
    colour, r = _colour(sighting), RADIUS
    bounds = (x - r, y - r, x + r, y + r)
    seen = sighting.status == "in shot"
    if sighting.kind == "practical":
        draw.rectangle(bounds, fill=colour if seen else PAPER, outline=PAPER if seen else colour, width=3)
    else:
        draw.ellipse((x - r - 2, y - r - 2, x + r + 2, y + r + 2), fill=PAPER)
        draw.ellipse(bounds, fill=colour if seen else PAPER, outline=colour, width=4)
        if sighting.status == "hidden":
            draw.chord(bounds, 30, 150, fill=colour)
    if numbered:
        ink = WHITE if seen else INK
        draw.text((x, y - 2), str(sighting.number), font=font("label", 0.93), fill=ink, anchor="mm")


def _mark(sheet: Sheet, box: Box, coverage: Coverage, surround: float) -> None:
    """Frame lines, boxes, edges, figures' names and numbers on the clay picture."""
    draw = sheet.draw
    left, top, right, bottom = box
    width, height = right - left, bottom - top

    def spot(u: float, v: float) -> tuple[float, float]:
        return left + width * (0.5 + (u - 0.5) / surround), top + height * (0.5 + (v - 0.5) / surround)

    def within(point: tuple[float, float]) -> bool:
        return left <= point[0] <= right and top <= point[1] <= bottom

    frame = (*spot(0, 0), *spot(1, 1))
    framed(draw, frame, WHITE, rim=INK, width=5)
    numbered: list[tuple[Sighting, tuple[float, float]]] = []
    for s in (*coverage.edges, *coverage.items):
        if s.at is None or not within(spot(*s.at)) or (s.kind == "edge" and not s.outline):
            continue
        if s.outline:
            for u, v in s.outline:
                x, y = spot(u, v)
                draw.ellipse((x - 5, y - 5, x + 5, y + 5), fill=PAPER)
                draw.ellipse((x - 3, y - 3, x + 3, y + 3), fill=_colour(s))
        elif s.box is not None and s.status != "clear":
            around = (*spot(s.box[0], s.box[1]), *spot(s.box[2], s.box[3]))
            if s.status == "in shot":
                framed(draw, around, _colour(s), rim=PAPER)
            else:
                draw.line(rectangle_path(around), fill=PAPER, width=7)
                dashed(draw, rectangle_path(around), _colour(s), width=3)
        numbered.append((s, spot(*s.at)))
    names = [(f.name, spot(*f.at)) for f in coverage.figures if f.at is not None and within(spot(*f.at))]
    sizes = [(2 * RADIUS + 4, 2 * RADIUS + 4)] * len(numbered)
    sizes += [(font("label").getlength(name) + 20, 40.0) for name, _ in names]
    corners = place_labels([at for _, at in numbered] + [at for _, at in names], sizes, box)
    for at, (x, y), (w, h) in zip(
        [at for _, at in numbered] + [at for _, at in names], corners, sizes, strict=True
    ):
        _leader(draw, at, (x + w / 2, y + h / 2))
    for (s, _), (x, y) in zip(numbered, corners, strict=False):
        symbol(draw, (x + RADIUS + 2, y + RADIUS + 2), s)
    for (name, _), (x, y), (w, h) in zip(
        names, corners[len(numbered) :], sizes[len(numbered) :], strict=True
    ):
        draw.rounded_rectangle((x, y, x + w, y + h), 8, fill=PAPER)
        draw.text((x + w / 2, y + h / 2 - 2), name, font=font("label"), fill=INK, anchor="mm")


def _leader(draw: ImageDraw.ImageDraw, at: tuple[float, float], label: tuple[float, float]) -> None:
    draw.line((*at, *label), fill=PAPER, width=6)
    draw.line((*at, *label), fill=INK, width=2)
    draw.ellipse((at[0] - 5, at[1] - 5, at[0] + 5, at[1] + 5), fill=INK, outline=PAPER, width=2)


def _key(sheet: Sheet) -> None:
    """What the shapes mean, in one line under the picture."""
    examples = (
        ("in shot", Sighting(0, "", "head", "in shot", "", 0)),
        ("hidden", Sighting(0, "", "head", "hidden", "", 0)),
        ("clear", Sighting(0, "", "head", "clear", "", 0)),
        ("practical", Sighting(0, "", "practical", "in shot", "", 0)),
    )
    x, y = float(MARGIN), sheet.y + RADIUS
    sheet.reserve(60)
    for words, example in examples:
        symbol(sheet.draw, (x + RADIUS, y), example, numbered=False)
        sheet.draw.text((x + 2 * RADIUS + 12, y - 2), words, font=font("small"), fill=INK, anchor="lm")
        x += 2 * RADIUS + 12 + font("small").getlength(words) + 44
    sheet.draw.line((x, y, x + 50, y), fill=INK, width=9)
    sheet.draw.line((x, y, x + 50, y), fill=WHITE, width=4)
    sheet.draw.text((x + 62, y - 2), "delivered frame", font=font("small"), fill=INK, anchor="lm")
    sheet.y = y + RADIUS + 12


def _format_diagram(
    sheet: Sheet, lines: FrameLines, circle: ImageCircle | None, room: tuple[float, float, float, float]
) -> None:
    """The format to scale with the frame in it, and the lens's image circle."""
    x, y, width, height = room
    sheet.reserve(height)
    across = max(lines.format_width_mm, circle.stated_mm if circle else 0.0)
    upright = max(lines.format_height_mm, circle.stated_mm if circle else 0.0)
    scale = min((width - 8) / across, (height - 8) / upright)
    cx, cy = x + width / 2, y + height / 2
    if circle is not None:
        r = circle.stated_mm / 2 * scale
        sheet.draw.ellipse((cx - r, cy - r, cx + r, cy + r), fill=SHADE, outline=QUIET, width=2)
    half = (lines.format_width_mm / 2 * scale, lines.format_height_mm / 2 * scale)
    dashed(sheet.draw, rectangle_path((cx - half[0], cy - half[1], cx + half[0], cy + half[1])), INK, width=3)
    half = (lines.width_mm / 2 * scale, lines.height_mm / 2 * scale)
    sheet.draw.rectangle((cx - half[0], cy - half[1], cx + half[0], cy + half[1]), outline=BLUE, width=5)
    sheet.draw.text((cx, cy - 18), "frame", font=font("small"), fill=BLUE, anchor="mm")
    sheet.draw.text((cx, cy + 18), "dashed: format", font=font("small"), fill=QUIET, anchor="mm")


def _depth_strip(sheet: Sheet, coverage: Coverage) -> None:
    """Distance from the lens on a logarithmic line, what is sharp on it shaded, the figures above it."""
    focus = coverage.focus
    # A mark on a figure stands with the figure.
    people = {figure.name for figure in coverage.figures}
    marks = [mark for mark in coverage.marks if mark.name.partition(".")[0] not in people]
    subjects = [s for s in (*coverage.figures, *marks) if s.distance_m > 0.2]
    known = [focus.near_m, focus.distance_m, *(s.distance_m for s in subjects)]
    nearest = min(known) * 0.8
    furthest = max([*known, focus.far_m or 0.0, focus.distance_m * 2]) * 1.25
    sheet.y += 14
    sheet.reserve(240)
    left, right, y = float(MARGIN), float(WIDTH - MARGIN), sheet.y + 110

    def along(metres: float) -> float:
        return left + (right - left) * log(metres / nearest) / log(furthest / nearest)

    end = right if focus.far_m is None else along(focus.far_m)
    draw = sheet.draw
    draw.rectangle((along(focus.near_m), y - 16, end, y + 16), fill=(196, 218, 230))
    draw.line((left, y, right, y), fill=INK, width=3)
    # Near to the left of its tick and far to the right leave the middle free for the focus's own, a row lower.
    ticks = [
        (focus.near_m, f"near {focus.near_m:.2f} m", 1.0, 0),
        (focus.distance_m, f"focus {focus.distance_m:.2f} m", 0.5, 1),
    ]
    if focus.far_m is not None:
        ticks.append((focus.far_m, f"far {focus.far_m:.2f} m", 0.0, 0))
    for metres, words, share, row in ticks:
        x, length = along(metres), font("small").getlength(words)
        draw.line((x, y - 16, x, y + 22 + 34 * row), fill=BLUE, width=4)
        start = min(max(x - share * length, left), right - length)
        draw.text((start, y + 22 + 34 * row), words, font=font("small"), fill=INK)
    if focus.far_m is None:
        draw.text((right, y + 22), "to infinity", font=font("small"), fill=INK, anchor="ra")
    names = [(s.name, along(s.distance_m)) for s in subjects]
    sizes = [(font("label").getlength(name) + 6, 34.0) for name, _ in names]
    corners = place_labels([(x, y - 40.0) for _, x in names], sizes, (left, y - 116, right, y - 22), gap=0)
    for (name, x), (label_x, label_y) in zip(names, corners, strict=True):
        draw.line((x, y, x, label_y + 34), fill=RULE, width=2)
        draw.polygon([(x, y - 2), (x - 9, y - 20), (x + 9, y - 20)], fill=INK)
        draw.text((label_x, label_y), name, font=font("label"), fill=INK)
    sheet.y = y + 22 + 34 * 2 + 6


def _list(sheet: Sheet, heading: str, sightings: tuple[Sighting, ...]) -> None:
    if not sightings:
        return
    sheet.heading(heading)
    for s in sightings:
        sheet.reserve(3 * line_height("body"))
        symbol(sheet.draw, (MARGIN + RADIUS + 2, sheet.y + line_height("strong") / 2), s)
        sheet.text(s.name, "strong", indent=66)
        sheet.text(sighting_words(s), "body", colour=INK if s.status == "in shot" else QUIET, indent=66)
        sheet.y += 10
