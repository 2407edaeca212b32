"""The answer's sheet: nothing lies on anything else at any length of text, all is in its column, all can be read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from preview.sheets.answer.blocks import Answer, Block, Cell, Drawing, Pictures, Table, Words
from preview.sheets.answer.sheet import answer_sheets, block_strips, caution_sign, plan_of
from preview.sheets.contact_sheet import GAP, cell_strips, contact_sheet
from preview.sheets.drawing import COLUMN, MARGIN, PAPER, TYPE, WIDTH, Align, figures_width
from preview.sheets.strip import LONGEST, Line, Strip, filled
from preview.sheets.tables import table_strips

GREY = np.full((54, 96, 3), 90, np.uint8)
ODD = st.text(st.characters(codec="latin-1", exclude_categories=("Cc",)), max_size=60)
WORDS = st.lists(st.text("abcdefghijklmn", min_size=1, max_size=14), max_size=30).map(" ".join)
TEXT = st.one_of(WORDS, ODD)
NUMBERS = st.sampled_from(
    ["0.25 lx", "−1.2 stops", "4.6:1", "54.4° × 31.2°", "T2.8", "28 000 lx", "none", ""]
)
CELLS = st.builds(
    Cell,
    name=TEXT,
    picture=st.sampled_from([GREY, GREY[:40], None]),
    figures=st.lists(st.tuples(TEXT, st.one_of(NUMBERS, TEXT)), max_size=4).map(tuple),
    sentences=st.lists(TEXT, max_size=3).map(tuple),
)


def boxes_apart(lines: Sequence[Line]) -> None:
    for one, other in combinations([line for line in lines if line.text.strip()], 2):
        beside = one.x + one.width <= other.x or other.x + other.width <= one.x
        below = one.y + one.height <= other.y or other.y + other.height <= one.y
        assert beside or below, (one, other)


def inside(strip: Strip, columns: Sequence[tuple[float, float]] = ((MARGIN, MARGIN + COLUMN),)) -> None:
    """Each line within one of the columns, and within the strip."""
    for line in strip.lines:
        assert any(left <= line.x and line.x + line.width <= right + 1 for left, right in columns), line
        assert line.y >= 0
        assert line.y + line.height <= strip.height


def off_pictures(strip: Strip) -> None:
    for picture in strip.pictures:
        high, wide = picture.pixels.shape[:2]
        for line in strip.lines:
            beside = line.x >= picture.x + wide or line.x + line.width <= picture.x
            assert beside or line.y >= picture.y + high or line.y + line.height <= picture.y


@given(st.lists(CELLS, min_size=1, max_size=7), st.integers(1, 4))
@settings(max_examples=40, deadline=None)
def test_cells_of_any_words_stay_apart_and_in_their_columns(cells: list[Cell], columns: int) -> None:
    plan = plan_of(Pictures(tuple(cells), columns))
    edges = [
        (MARGIN + n * (plan.width + GAP), MARGIN + n * (plan.width + GAP) + plan.width)
        for n in range(columns)
    ]
    assert edges[-1][1] <= MARGIN + COLUMN
    for strip in cell_strips(cells, plan):
        boxes_apart(strip.lines)
        inside(strip, edges)
        off_pictures(strip)


@given(st.lists(CELLS, min_size=1, max_size=5), st.integers(1, 4))
@settings(max_examples=40, deadline=None)
def test_no_word_of_a_cell_is_lost(cells: list[Cell], columns: int) -> None:
    strips = cell_strips(cells, plan_of(Pictures(tuple(cells), columns)))
    drawn = "".join(line.text for strip in strips for line in strip.lines)
    letters = sorted(drawn.replace("\N{NO-BREAK SPACE}", "").replace(" ", ""))
    for cell in cells:
        said = [cell.name, *(part for figure in cell.figures for part in figure), *cell.sentences]
        for letter in set("".join(said)) - {" ", "\N{NO-BREAK SPACE}"}:
            assert letters.count(letter) >= "".join(said).count(letter)


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_tables_of_any_words_stay_apart_and_on_the_paper(data: st.DataObject) -> None:
    kinds = data.draw(st.lists(st.sampled_from(["left", "right", "decimal"]), min_size=1, max_size=11))
    heads = [data.draw(TEXT) for _ in kinds]
    row = st.tuples(*(TEXT if kind == "left" else st.one_of(NUMBERS, TEXT) for kind in kinds))
    rows = data.draw(st.lists(row, min_size=1, max_size=4))
    for strip in table_strips(heads, rows, kinds):
        boxes_apart(strip.lines)
        inside(strip)


@given(st.lists(TEXT, max_size=4), TEXT, st.booleans())
@settings(max_examples=40, deadline=None)
def test_words_of_any_length_stay_apart(sentences: list[str], title: str, caution: bool) -> None:
    for strip in block_strips(Words(tuple(sentences), title, caution)):
        boxes_apart(strip.lines)
        inside(strip)
        off_pictures(strip)


def columns_of(kinds: Sequence[Align], rows: Sequence[Sequence[str]]) -> list[list[Line]]:
    return [list(strip.lines) for strip in table_strips([""] * len(kinds), rows, kinds)[1:]]


def test_points_stand_below_one_another_whatever_the_unit() -> None:
    values = ["1.25 lx", "114.5 lx", "7 lx"]
    lines = [row[1] for row in columns_of(["left", "decimal"], [["a", value] for value in values])]
    points = [
        line.x + figures_width(value.partition(".")[0].partition(" ")[0], "body")
        for line, value in zip(lines, values, strict=True)
    ]
    assert points == pytest.approx([points[0]] * 3)


def test_a_wide_table_wraps_words_and_no_number() -> None:
    rows = [
        ["three-quarter back light from camera left, 120° round", *["−12.5 stops"] * 5, "a long reason " * 12]
    ] * 2
    strips = table_strips(["direction", *"abcde", "why"], rows, ["left", *["decimal"] * 5, "left"])
    assert sum("12.5" in line.text for strip in strips for line in strip.lines) == 10
    assert all(line.text.endswith("stops") for strip in strips for line in strip.lines if "12.5" in line.text)


def test_columns_go_on_below_rather_than_off_the_paper() -> None:
    heads = ["figure", *(f"reading {n}" for n in range(14))]
    rows = [["Anna", *["−12.5 stops"] * 14], ["Karl", *["+3.5 stops"] * 14]]
    strips = table_strips(heads, rows, ["left", *["decimal"] * 14])
    names = [line.text for strip in strips for line in strip.lines if line.text in ("Anna", "Karl")]
    assert names == ["Anna", "Karl"] * 2


def cell(name: str, **more: object) -> Cell:
    return replace(Cell(name, GREY), **more)  # type: ignore[arg-type]


def test_rows_of_cells_stand_in_line() -> None:
    cells = (
        cell("Short", figures=(("ratio", "4:1"), ("rim", "+1 stop")), sentences=("Said.",)),
        cell(
            "A name that goes on for so long that it is wrapped over some lines",
            figures=(("ratio", "2:1"), ("rim", "0")),
        ),
        cell("No figure", sentences=("Said.",)),
    )
    (strip,) = cell_strips(cells, plan_of(Pictures(cells, 3)))
    at = {line.text: line.y for line in strip.lines}
    assert [line.y for line in strip.lines if line.text == "ratio"] == [at["4:1"]] * 2
    assert at["4:1"] == at["2:1"]
    assert at["+1\N{NO-BREAK SPACE}stop"] == at["0"]
    values = {line.x for line in strip.lines if line.text in ("4:1", "+1\N{NO-BREAK SPACE}stop")}
    assert len(values) == 1


def test_a_cell_without_a_picture_has_a_field_as_large_with_its_sentence_in_it() -> None:
    cells = (cell("one"), Cell("two", None, sentences=("Karl is out of frame.", "Move the camera back.")))
    plan = plan_of(Pictures(cells, 2))
    (strip,) = cell_strips(cells, plan)
    (field,) = strip.fields
    left, top, right, down = field.box
    assert (right - left, down - top) == (plan.width, plan.height) == strip.pictures[0].pixels.shape[1::-1]
    (said,) = [line for line in strip.lines if line.text == "Karl is out of frame."]
    assert left < said.x
    assert top < said.y < said.y + said.height < down
    (more,) = [line for line in strip.lines if line.text == "Move the camera back."]
    assert more.y > down


def test_a_sentence_too_long_for_the_field_stands_below_it() -> None:
    long = "The moon stands behind the house from where the camera is. " * 4 + "None."
    cells = (cell("one", figures=(("ratio", "4:1"),)), Cell("two", None, sentences=(long,)))
    plan = plan_of(Pictures(cells, 4))
    (strip,) = cell_strips(cells, plan)
    assert [line.text for line in strip.lines if line.y < plan.height] == ["No picture: see below."]
    assert " ".join(
        line.text for line in strip.lines if line.y > plan.height and line.x > MARGIN + plan.width
    ) == (f"two {long}".rstrip())


def test_pictures_of_other_shapes_are_not_stretched() -> None:
    wide = np.full((100, 240, 3), 90, np.uint8)
    cells = (cell("a"), Cell("b", wide))
    (strip,) = cell_strips(cells, plan_of(Pictures(cells, 2)))
    shapes = [one.pixels.shape for one in strip.pictures]
    assert shapes[0][1] / shapes[0][0] == pytest.approx(96 / 54, rel=0.01)
    assert shapes[1][1] / shapes[1][0] == pytest.approx(2.4, rel=0.01)
    assert shapes[0][1] == shapes[1][1]
    assert len({one.y + one.pixels.shape[0] for one in strip.pictures}) == 1


PHONE = 400
"""CSS pixels across a telephone that is held upright; common practice, no source."""


def test_type_can_be_read_on_a_telephone() -> None:
    """A sheet as wide as a telephone shows type of 28 px at 7 CSS pixels, small print, 21 of the screen's own where it has
    three to one: for figures, which are pinched larger. Names and running words are 33 px, a fifth more, and are read as
    they are; nothing is smaller than `small`."""
    on_phone = {style: size * PHONE / WIDTH for style, (size, _) in TYPE.items()}
    assert min(on_phone.values()) == on_phone["small"] == 7
    assert on_phone["strong"] >= 8.25
    (strip,) = cell_strips((cell("name"),), plan_of(Pictures((cell("name"),), 4)))
    assert [line.style for line in strip.lines if line.text == "name"] == ["strong"]


def test_headings_stay_with_what_they_stand_over_and_are_said_again() -> None:
    rows = tuple((f"row {n}", "1.0") for n in range(200))
    strips = block_strips(Table("Ranked", ("name", "score"), rows, ("left", "decimal")))
    assert strips[0].lines[0].text == "Ranked"
    assert all(strip.joined for strip in strips[1:3])
    assert not any(strip.joined for strip in strips[3:])
    assert [line.text for line in strips[5].again[0].lines] == ["Ranked, continued"]
    assert [line.text for line in strips[5].again[1].lines] == ["name", "score"]
    sheets = answer_sheets(
        Answer("a", "Title", "about", (Table("Ranked", ("name", "score"), rows, ("left", "decimal")),))
    )
    assert len(sheets) == 2
    assert max(sheet.height for sheet in sheets) <= LONGEST


def test_a_heading_is_not_left_at_the_foot_of_a_sheet() -> None:
    head, *body = block_strips(Pictures((cell("a"), cell("b")), 1, "Heading"))
    assert [strip.joined for strip in (head, *body)] == [False, True, False]
    # Left at the foot of the first, it would make both 3100 px.
    parts = [Strip(3000), replace(head, height=100.0), replace(body[0], height=3100.0)]
    first, second = filled("Title", "about", parts, longest=3600)
    assert second.height - first.height == 200


def test_an_answer_is_drawn_within_its_margins() -> None:
    drawing = np.full((200, COLUMN, 3), (10, 200, 30), np.uint8)
    answer = Answer(
        "all",
        "A title",
        "what it is about",
        (
            Words(("First what matters.",)),
            Pictures((cell("one"), Cell("two", None, sentences=("None.",))), 2, "Pictures"),
            Table("Table", ("a", "b"), (("x", "1.5"),), ("left", "decimal"), "How to read it."),
            Drawing("Drawing", drawing, "A green field.", "Green."),
            Words(("Mind your head.",), "Rigging", caution=True),
        ),
    )
    (sheet,) = answer_sheets(answer)
    page = np.asarray(sheet)
    assert page.shape[1] == WIDTH
    beyond = np.concatenate([page[:, : MARGIN - 2], page[:, WIDTH - MARGIN + 2 :]], axis=1)
    assert (beyond == PAPER).all()
    green = (page == (10, 200, 30)).all(axis=2)
    assert green.sum() == 200 * COLUMN
    assert green[:, MARGIN:-MARGIN].sum() == green.sum()


def test_a_caution_is_told_by_a_shape_and_a_word_beside_its_colour() -> None:
    """Seen without hue, the sign is a triangle: it widens downwards, and has a mark in it."""
    sign = np.asarray(Image.fromarray(caution_sign(60)).convert("L"), float)
    ground = np.asarray(Image.new("RGB", (1, 1), PAPER).convert("L"), float)[0, 0]
    filled_in = np.abs(sign - ground) > 40
    widths = [np.ptp(np.flatnonzero(row)) if row.any() else 0 for row in filled_in[6:52:6]]
    assert widths == sorted(widths)
    assert widths[-1] > 3 * max(1, widths[0])
    assert sign[20:40, 30].max() > 240
    (strip,) = block_strips(Words(("Mind the load.",), "Rigging", caution=True))
    assert strip.lines[0].text == "Caution: Rigging"
    assert len(strip.pictures) == 1
    assert block_strips(Words(("Mind.",), caution=True))[0].lines[0].text == "Caution"


def ends(strip: Strip) -> float:
    """Where what is seen in a strip ends."""
    return max(
        [line.y + line.height for line in strip.lines]
        + [one.y + one.pixels.shape[0] for one in strip.pictures]
        + [one.box[3] for one in strip.fields]
    )


FIGURED = (
    ("shot", "medium"),
    ("sees", "a long way over the field, to the trees and the house that stand behind it"),
)


@pytest.mark.parametrize(
    "block",
    [
        Words(("One.", "Two.")),
        Words(("Mind the load.",), "Rigging", caution=True),
        Table("", ("a", "b"), (("x", "1.5"), ("y", "2.5")), ("left", "decimal")),
        Table("", ("a", "b"), (("x", "word " * 60), ("y", "word " * 60)), ("left", "left")),
        Table("", ("a", "b"), (("x", "1.5"),), ("left", "decimal"), "Note."),
        Drawing("", np.zeros((90, COLUMN, 3), np.uint8), "Grey."),
        Drawing("", np.zeros((90, COLUMN, 3), np.uint8), "Grey.", "Note."),
        Pictures((Cell("a", GREY), Cell("b", GREY)), 2),
        Pictures((Cell("a", GREY, FIGURED), Cell("b", GREY, sentences=("One.", "Two."))), 2),
        Pictures((Cell("a", GREY), Cell("b", GREY, sentences=("One. " * 40,))), 1),
    ],
)
def test_every_block_ends_where_what_is_seen_of_it_does(block: Block) -> None:
    """So that the gap to the next block's rule is the same after pictures, tables, drawings and words."""
    last = block_strips(block)[-1]
    assert ends(last) == last.height


def test_a_contact_sheet_is_one_sheet_however_long() -> None:
    cells = [Cell(f"cell {n}", None) for n in range(40)]
    assert contact_sheet("Title", "about", cells, plan_of(Pictures(tuple(cells), 2))).height > LONGEST
