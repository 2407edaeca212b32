"""Strips: lines that are filled fairly, sheets that are as long as what is on them."""

from __future__ import annotations

import pytest
from PIL import Image

from preview.sheets.drawing import COLUMN, MARGIN, WIDTH, length, wrap
from preview.sheets.strip import LONGEST, MEASURE, Strip, fairly_wrapped, filled, paragraph, running


def pages(count: int, height: float = 500) -> list[Strip]:
    return [Strip(height, paragraph(f"strip {n}", "body", MARGIN, 0, COLUMN)) for n in range(count)]


def test_a_long_answer_goes_on_on_another_sheet_of_about_the_same_length() -> None:
    sheets = filled("Title", "about", pages(20))
    lengths = [sheet.height for sheet in sheets]
    assert len(sheets) == 2
    assert max(lengths) <= LONGEST
    assert max(lengths) - min(lengths) <= 500


def test_one_sheet_does_not_count_itself() -> None:
    (sheet,) = filled("Title", "about", pages(3))
    bare = filled("Title", "about", [])[0]
    assert sheet.height == bare.height + 3 * 500


def test_no_short_line_is_left_at_the_end() -> None:
    """In as few lines as there would be anyhow, none wider."""
    for count in range(10, 60):
        text = "word " * count + "it."
        lines = running(text)
        assert lines[-1].width > 0.2 * MEASURE, [line.text for line in lines]
        assert len(lines) == len(wrap(text, "body", MEASURE))
        assert all(line.width <= MEASURE for line in lines)


def test_a_short_line_stays_where_it_would_cost_another_or_break_a_word() -> None:
    text = f"{'n' * 50} it."
    assert fairly_wrapped(text, "body", length("n" * 50, "body") + 1) == ["n" * 50, "it."]


def test_paper_is_as_long_as_it_needs_from_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    """Never copied: not longer while it is drawn on, not cut when it is done."""
    made: list[tuple[int, int]] = []
    new = Image.new

    def counted(mode: str, size: tuple[int, int], *more: object) -> Image.Image:
        if mode == "RGB" and size[0] == WIDTH:
            made.append(size)
        return new(mode, size, *more)  # type: ignore[arg-type]

    strips = [Strip(500.3, strip.lines) for strip in pages(20)]
    monkeypatch.setattr("preview.sheets.drawing.Image.new", counted)
    sheets = filled("A title", "about it", strips)
    assert made == [sheet.size for sheet in sheets]
