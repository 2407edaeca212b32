"""The coverage sheet marks things where they are; the text says the same."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO

import numpy as np
import pytest
from rich.console import Console

from preview.camera.coverage import Angles, Coverage, Focus, FrameLines, ImageCircle, Subject
from preview.camera.in_shot import Clear, Shine, Sighting
from preview.camera.view import look
from preview.sheets import drawing
from preview.sheets.coverage_sheet import coverage_sheet, surround_view
from preview.sheets.coverage_text import coverage_text, sighting_words, verdict

HEAD = Sighting(
    1, "moon key.head", "head", "in shot", "in shot, upper left", 9.0, "upper left", (0.1, 0.1, 0.2, 0.2),
    (0.15, 0.15), 1.0, clears=Clear("move", "up", 0.8, "raise by 0.8 m"),
    shines=Shine(12.0, True, "shines straight into the lens, 12° off its axis: expect flare"),
)  # fmt: skip
STAND = Sighting(2, "kicker.stand", "stand", "hidden", "hidden by house.walls; right", 20.0, "right",
                 (0.9, 0.5, 0.92, 0.7), (0.91, 0.6), hidden_by=("house.walls",))  # fmt: skip
BULB = Sighting(3, "porch bulb", "practical", "in shot", "in shot, right", 16.0, "right", (0.7, 0.4, 0.71, 0.41),
                (0.705, 0.405), 1.0, shines=Shine(None, True, "shines"))  # fmt: skip
EDGE = Sighting(4, "ground, north edge", "edge", "in shot", "in shot, centre", 30.0, "centre", (0, 0.5, 1, 0.5),
                (0.5, 0.5), 0.4, outline=((0.3, 0.5), (0.5, 0.5), (0.7, 0.5)))  # fmt: skip
ANSWER = Coverage(
    "The gate", "tight", Angles(39.1, 29.9, 47.9), Angles(39.1, 20.2, 43.4),
    FrameLines("super35-4perf", 24.89, 18.66, 1.0, 2.0, 24.89, 12.45, (0, 0.1667, 1, 0.8333), 0.667),
    ImageCircle(31.5, 31.11, 27.83, 0.39, 3.67, "covers the format with 0.4 mm to spare"),
    Focus(35, 2.0, 0.021, 10.14, 7.55, 15.41, 29.6),
    (Subject("Mara", 10.4, 7.4, 3.7, True, "centre", (0.5, 0.3), True, None, "long shot", 0.45),
     Subject("Visitor", 20.4, 14.4, 7.2, True, "right", (0.8, 0.3), False, "fence", "long shot", 0.25)),
    (Subject("gate post", 11.1, 7.9, 3.9, True, "lower right", (0.8, 0.8), True),),
    (HEAD, STAND, BULB), (EDGE,),
)  # fmt: skip


def printed(coverage: Coverage, width: int = 120) -> str:
    out = StringIO()
    Console(file=out, width=width).print(coverage_text(coverage))
    return out.getvalue()


def test_marks_stand_where_things_are() -> None:
    clay = np.full((728, 1456, 3), 128, np.uint8)
    page = np.asarray(coverage_sheet(ANSWER, clay, surround=1.25)).astype(int)
    grey = (page == 128).all(axis=2)
    rows, columns = np.flatnonzero(grey.any(axis=1)), np.flatnonzero(grey.any(axis=0))
    top, left = rows[0], columns[0]

    def colour(u: float, v: float) -> list[int]:
        x = left + 1456 * (0.5 + (u - 0.5) / 1.25)
        y = top + 728 * (0.5 + (v - 0.5) / 1.25)
        return page[round(y), round(x)].tolist()

    assert colour(0.15, 0.15) == list(drawing.INK)  # the dot that the number points to
    assert colour(0.1005, 0.17) == list(drawing.VERMILION)  # its box
    assert colour(0.3, 0.5) == list(drawing.VERMILION)  # the edge of the set
    assert colour(0.5, 0.9995) == list(drawing.WHITE)  # the frame's lower line
    assert colour(0.5, 0.75) == [128, 128, 128]
    assert colour(-0.05, 0.95) == [128, 128, 128]


def test_the_surround_takes_in_more_by_its_factor() -> None:
    view = look(np.zeros(3), np.array([0.0, 1, 0]), roll=0, tan_half_width=0.4, tan_half_height=0.2)
    wide = surround_view(view, 1.25)
    point = np.array([[0.4, 1.0, 0.0]])
    assert view.project(point)[0][0, 0] == pytest.approx(1.0)
    assert wide.project(point)[0][0, 0] == pytest.approx(0.9)


def test_the_sheet_takes_what_it_is_given() -> None:
    clay = np.zeros((100, 180, 3), np.uint8)
    none = replace(ANSWER, image_circle=None, figures=(), marks=(), items=(), edges=())
    short = coverage_sheet(none, clay)
    far = replace(ANSWER, focus=replace(ANSWER.focus, far_m=None))
    assert coverage_sheet(far, clay).height > short.height
    assert short.width == drawing.WIDTH


def test_the_verdict() -> None:
    assert (
        verdict(ANSWER)
        == "1 piece of the rig in shot, 1 head shining into the lens, 1 edge of the set showing."
    )
    clean = replace(ANSWER, items=(STAND, BULB), edges=())
    assert verdict(clean) == "The frame is clean: nothing is in shot that should not be."


def test_what_is_said_of_each() -> None:
    assert sighting_words(HEAD) == (
        "in shot, upper left; raise by 0.8 m to clear; "
        "shines straight into the lens, 12° off its axis: expect flare"
    )
    assert sighting_words(BULB) == "in shot, as a practical should be, right"
    assert sighting_words(EDGE) == "in shot, centre; no turn under 45° clears it: hide it or build on"


def test_the_text() -> None:
    text = printed(ANSWER)
    assert "39.1° across, 20.2° high, 43.4° corner to corner" in text
    assert "2.00:1, 24.89 × 12.45 mm: 67 % of the format" in text
    assert "31.5 mm: covers the format with 0.4 mm to spare" in text
    assert "focused at 10.14 m, sharp from 7.55 m to 15.41 m; hyperfocal 29.6 m" in text
    assert "long shot, soft, face behind fence" in text
    assert max(len(line) for line in printed(ANSWER, 60).splitlines()) <= 60


def test_names_with_brackets_are_printed_as_they_are() -> None:
    named = replace(STAND, name="house.window[0]", words="hidden by house.window[1]; right")
    assert "house.window[0]" in printed(replace(ANSWER, items=(named,)))
