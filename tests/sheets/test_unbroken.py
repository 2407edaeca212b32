"""Unbroken: a number is not parted from its sign or its unit, however a text is laid out."""

from __future__ import annotations

import pytest
from rich.console import Console

from preview.sheets.answer.blocks import Answer, Table, Words
from preview.sheets.answer.page import answer_page
from preview.sheets.answer.sheet import block_strips
from preview.sheets.answer.text import answer_text
from preview.sheets.drawing import COLUMN, wrap
from preview.sheets.unbroken import HOLD, bound

HELD = [
    "2.5 kW",
    "< 0.001 lux",
    "> 12 lx",
    "≈ 8 lux",
    "± 0.5 stop",
    "0.4 × 1.2 m",
    "11 h 22 min",
    "6 ft 2",
    "ISO 1600",
    "35° up",
    "40.6° N",
    "ENE 64.5°",
    "24 metres",
    "20 %",
    "27 October",
    "Mon 26",
]


@pytest.mark.parametrize("held", HELD)
def test_a_number_stays_with_its_sign_and_its_unit(held: str) -> None:
    assert bound(f"so that {held}, or") == f"so that {held.replace(' ', HOLD)}, or"


@pytest.mark.parametrize(
    "free",
    [
        "3 men",
        "6.8 to 8.5",
        "a < b",
        "50 heads",
        "the ISO speed",
        "2 keys",
        "moon, mired warm",
        "A 3",
        "24 Kelvins",
    ],
)
def test_words_go_where_there_is_room(free: str) -> None:
    assert bound(free) == free


def test_a_head_keeps_its_unit() -> None:
    assert bound("lamp up, m") == f"lamp up,{HOLD}m"


@pytest.mark.parametrize("held", HELD)
def test_sheet_page_and_terminal_break_elsewhere(held: str) -> None:
    """At whatever place of a line it comes to stand; on a page the browser breaks at no such space."""
    for n in range(1, 90, 3):
        words = Words((f"{'n' * n} {'and so on ' * 9}{held} and more",))
        on_sheet = [line.text for strip in block_strips(words) for line in strip.lines]
        console = Console(width=60, highlight=False, color_system=None)
        with console.capture() as captured:
            console.print(*answer_text(Answer("a", "Title", "", (words,))))
        for lines in (on_sheet, captured.get().split("\n")):
            assert sum(held in line.replace(HOLD, " ") for line in lines) == 1, lines
    assert held.replace(" ", HOLD).replace("<", "&lt;").replace(">", "&gt;") in answer_page(
        Answer("a", "", "", (words,))
    )


def test_what_is_too_long_for_a_line_breaks_between_numbers_first() -> None:
    assert wrap("11 h 22 min", "body", 80) == ["11 h", "22", "min"]
    assert wrap("11 h 22 min", "body", COLUMN) == [f"11{HOLD}h{HOLD}22{HOLD}min"]


def test_what_is_copied_from_a_terminal_has_plain_spaces() -> None:
    console = Console(width=60, highlight=False, color_system=None)
    table = Table("", ("a", "lux"), (("2.5 kW", "12.5 lx"), ("1.2 kW", "8 lx")), ("left", "decimal"))
    with console.capture() as captured:
        console.print(
            *answer_text(Answer("a", "Title", "", (Words(("- {level: 73.9 %, aim: 2 m}",)), table)))
        )
    assert "- {level: 73.9 %, aim: 2 m}" in captured.get()
    assert HOLD not in captured.get()
