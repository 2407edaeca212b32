"""Fit: numbers stay whole, columns fill what they have, nothing is left out."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from preview.sheets.drawing import Align
from preview.sheets.fit import Room, is_number, naming, parted, tail
from preview.sheets.unbroken import bound

LETTERS = Room(80, 2, 14, len, len)
WORDS = st.text("abcdefghij ,-", max_size=90)
NUMBERS = st.sampled_from(
    ["0.25 lx", "−1.2 stops", "4.6:1", "54.4° × 31.2°", "28\N{THIN SPACE}000 lx", "T2.8", "7"]
)
HOLD = "\N{NO-BREAK SPACE}"


@pytest.mark.parametrize(
    "text",
    [
        "1",
        "−1.2 stops",
        "+0.6",
        "4.6:1",
        "62 %",
        "T2.8",
        "f/4",
        "1/48 s",
        "35°",
        "2.4 × 1.2 m",
        "ISO 800",
        "< 0.01 lx",
    ],
)
def test_a_number_with_its_sign_and_unit_is_a_number(text: str) -> None:
    assert is_number(text)


@pytest.mark.parametrize(
    "text", ["", "none", "out of frame", "2 heads and a stand", "24, 35, 50, 85, 100, 135 mm"]
)
def test_words_and_lists_are_not(text: str) -> None:
    assert not is_number(text)


@pytest.mark.parametrize(
    ("text", "after"),
    [
        ("1.25", ".25"),
        ("114", ""),
        ("114 lx", f"{HOLD}lx"),
        ("0.25 lx", f".25{HOLD}lx"),
        ("4.6:1", ".6:1"),
        ("T2.8", ".8"),
        ("1\N{THIN SPACE}900.5 lx", f".5{HOLD}lx"),
        ("no light", ""),
    ],
)
def test_the_tail_is_what_stands_after_the_whole_part(text: str, after: str) -> None:
    assert tail(text) == after


@st.composite
def tables(draw: st.DrawFn) -> tuple[list[str], list[list[str]], list[Align]]:
    kinds = draw(st.lists(st.booleans(), min_size=1, max_size=9))
    heads = [draw(st.text("abcdef ", max_size=22)) for _ in kinds]
    rows = draw(
        st.lists(
            st.tuples(*(NUMBERS if number else WORDS for number in kinds)).map(list), min_size=1, max_size=5
        )
    )
    return heads, rows, ["decimal" if number else "left" for number in kinds]


@given(tables(), st.integers(30, 160))
@settings(max_examples=150, deadline=None)
def test_parts_fit_and_leave_no_column_out(
    table: tuple[list[str], list[list[str]], list[Align]], width: int
) -> None:
    heads, rows, align = table
    room = Room(width, 2, 14, len, len)
    parts = parted(heads, rows, align, [room])
    if parts is None:
        return
    first = naming(rows) if len(heads) > 1 else 1
    assert [i for part in parts for i in part.columns[first:]] == list(range(first, len(heads)))
    for part in parts:
        assert part.columns[:first] == tuple(range(min(first, len(heads))))
        assert sum(part.widths) + 2 * (len(part.widths) - 1) <= width + 1e-6
        for i, wide in zip(part.columns, part.widths, strict=True):
            numbers = [bound(row[i]) for row in rows if is_number(row[i])]
            assert wide >= max(map(len, numbers), default=0) - 1e-6


def test_words_give_way_and_numbers_do_not() -> None:
    heads, align = ["", "lux", "why"], ["left", "decimal", "left"]
    rows = [["Anna", "0.25 lx", "the moon stands behind the house for all of the night, " * 3]]
    (part,) = parted(heads, rows, ["left", "decimal", "left"], [LETTERS]) or []
    assert align
    assert part.widths[1] == len("0.25 lx")
    assert part.widths[0] == len("Anna")
    assert sum(part.widths) == pytest.approx(80 - 4, abs=0.01)


def test_a_number_of_several_words_is_never_parted() -> None:
    """Broken at their spaces both would stand in 26 letters; whole they do not."""
    rows = [["cloth", "2.4 × 1.2 m", "3.6 × 3.6 m", "a reason"]]
    parts = (
        parted(["", "", "", ""], rows, ["left", "right", "right", "left"], [Room(26, 2, 8, len, len)]) or []
    )
    assert [part.columns for part in parts] == [(0, 1), (0, 2), (0, 3)]
    assert [part.widths[1] for part in parts[:2]] == [11, 11]


def test_words_are_not_squeezed_into_a_column_of_one_word() -> None:
    """Rather than narrower than 14 letters they go on below."""
    rows = [["a row", "a b c d e f g h i j k l m n o p", "a b c d e f g h i j k l m n o p"]]
    parts = parted(["", "", ""], rows, ["left"] * 3, [Room(34, 2, 14, len, len)]) or []
    assert [len(part.columns) for part in parts] == [2, 2]
    assert min(part.widths[1] for part in parts) >= 14


def test_columns_go_on_below_with_what_names_a_row() -> None:
    """Two columns name a row where one does not."""
    heads = ["figure", "setup", *"abcdefghij"]
    rows = [["Anna", "wide", *["−12.3 stops"] * 10], ["Anna", "close", *["+1.5 stops"] * 10]]
    parts = parted(heads, rows, ["left", "left", *["decimal"] * 10], [LETTERS])
    assert parts is not None
    assert len(parts) == 2
    assert [part.columns for part in parts] == [(0, 1, 2, 3, 4, 5, 6), (0, 1, 7, 8, 9, 10, 11)]


def test_the_first_room_that_holds_all_is_taken() -> None:
    heads, rows = ["a", "b"], [["1234567 lx", "1234567 lx"]]
    small = Room(12, 2, 14, lambda text: len(text) / 2, len)
    (part,) = parted(heads, rows, ["right", "right"], [Room(12, 2, 14, len, len), small]) or []
    assert part.room == 1


def test_what_fits_nowhere_is_said() -> None:
    assert (
        parted(["a", "b"], [["unbreakable-name", "12.5 lx"]], ["left", "right"], [Room(12, 2, 14, len, len)])
        is None
    )
