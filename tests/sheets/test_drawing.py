"""The drawing kit: text stays in its column, digits line up, labels keep clear of one another."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from preview.sheets.drawing import (
    COLUMN,
    INK,
    MARGIN,
    PAPER,
    QUIET,
    WIDTH,
    Colour,
    Sheet,
    Style,
    dashed,
    figures_width,
    font,
    headed_height,
    place_labels,
    wrap,
)
from preview.sheets.even_digits import figures


def luminance(colour: Colour) -> float:
    """Source: WCAG 2.1, relative luminance."""
    linear = [c / 255 / 12.92 if c / 255 <= 0.03928 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in colour]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("colour", [INK, QUIET])
def test_text_can_be_read_on_the_paper(colour: Colour) -> None:
    # Source: WCAG 2.1, success criterion 1.4.3: text has a contrast of 4.5:1 at least.
    assert (luminance(PAPER) + 0.05) / (luminance(colour) + 0.05) >= 4.5


@given(st.text(st.characters(codec="latin-1", exclude_categories=("Cc",)), max_size=200))
@settings(max_examples=40, deadline=None)
def test_wrapped_lines_fit_and_lose_nothing(text: str) -> None:
    lines = wrap(text, "body", 300)
    assert all(font("body").getlength(line) <= 300 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_digits_have_one_width() -> None:
    assert figures_width("111.11", "body") == figures_width("808.42", "body")
    image = Image.new("RGB", (400, 60))
    figures(ImageDraw.Draw(image), (0, 0), "1118", "body", (255, 255, 255))
    columns = np.flatnonzero(np.asarray(image).max(axis=(0, 2)))
    assert columns[-1] == pytest.approx(figures_width("1118", "body"), abs=4)


def test_dashes_leave_gaps_of_the_length_asked() -> None:
    image = Image.new("RGB", (200, 9))
    dashed(ImageDraw.Draw(image), [(0, 4), (199, 4)], (255, 255, 255), width=1, on=14, off=10)
    row = np.asarray(image)[4, :, 0] > 0
    assert row.mean() == pytest.approx(15 / 24, abs=0.05)  # a dash covers the pixels at both its ends
    assert np.flatnonzero(np.diff(row.astype(int)) == 1)[:2].tolist() == pytest.approx([23, 47], abs=1)


def test_labels_keep_apart_and_inside() -> None:
    anchors = [(500.0 + 3 * i, 300.0) for i in range(8)] + [(0.0, 0.0), (1000.0, 600.0)]
    sizes = [(46.0, 46.0)] * 8 + [(140.0, 40.0)] * 2
    corners = place_labels(anchors, sizes, (0, 0, 1000, 600))
    boxes = [(x, y, x + w, y + h) for (x, y), (w, h) in zip(corners, sizes, strict=True)]
    for i, a in enumerate(boxes):
        assert a[0] >= 0
        assert a[1] >= 0
        assert a[2] <= 1000
        assert a[3] <= 600
        for b in boxes[:i]:
            assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


def test_a_sheet_grows_and_keeps_its_margins() -> None:
    sheet = Sheet("Title", "and what it is about")
    for _ in range(200):
        sheet.text("A line of the sheet that is long enough to be wrapped at the end of the column. " * 2)
    page = np.asarray(sheet.finished())
    assert page.shape[1] == WIDTH
    assert page.shape[0] > 2400
    dark = (page < 128).all(axis=2)
    assert not dark[:, : MARGIN - 2].any()
    assert not dark[:, WIDTH - MARGIN + 2 :].any()
    assert dark[-MARGIN - 60 : -MARGIN].any()
    assert not dark[-MARGIN + 10 :].any()


def test_a_picture_fills_the_column() -> None:
    sheet = Sheet("Title")
    left, top, right, bottom = sheet.picture(np.full((90, 160, 3), (10, 200, 30), np.uint8))
    assert (left, right) == (MARGIN, WIDTH - MARGIN)
    assert bottom - top == round(COLUMN * 90 / 160)
    page = np.asarray(sheet.finished())
    assert page[int(top) + 5, int(left) + 5].tolist() == [10, 200, 30]
    assert page[int(bottom) - 5, int(right) - 5].tolist() == [10, 200, 30]


ONE_BY_ONE = [
    "−2.0 · 8.2 lx",
    "WSW 254°",
    "7 %, −3.8 stops",
    "Tue 27",
    "cd/m² 10²",
    "To",
    "AV 1.92:1",
    "",
    " 7 ",
]


@pytest.mark.parametrize("text", ONE_BY_ONE)
@pytest.mark.parametrize("style", ["body", "small"])
@pytest.mark.parametrize("at", [(20.0, 5.0), (20.37, 5.5)])
def test_even_digits_are_as_drawn_letter_by_letter(text: str, style: Style, at: tuple[float, float]) -> None:
    """Whatever is drawn in one go or kept: to the pixel, and twice."""
    letter_by_letter = Image.new("RGB", (400, 60), PAPER)
    draw, face, x = ImageDraw.Draw(letter_by_letter), font(style), at[0]
    digit = face.getlength("0")
    for letter in text:
        advance = face.getlength(letter)
        inset = (digit - advance) / 2 if letter.isdigit() else 0.0
        draw.text((x + inset, at[1]), letter, font=face, fill=INK)
        x += digit if letter.isdigit() else advance
    assert x - at[0] == pytest.approx(figures_width(text, style))
    for _ in range(2):
        image = Image.new("RGB", (400, 60), PAPER)
        figures(ImageDraw.Draw(image), at, text, style)
        assert (np.asarray(image) == np.asarray(letter_by_letter)).all()


@pytest.mark.parametrize(
    ("title", "below"), [("Title", ""), ("A long title " * 9, "and what it is about " * 9)]
)
def test_where_a_title_ends_is_known_before_it_is_drawn(title: str, below: str) -> None:
    assert headed_height(title, below) == Sheet(title, below).y
