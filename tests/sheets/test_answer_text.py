"""The answer in a terminal: as wide as that is, nothing lost, no number broken."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len
from rich.console import Console

from preview.sheets.answer.blocks import Answer, Block, Cell, Drawing, Pictures, Table, Words
from preview.sheets.answer.text import answer_text, wrapped

GREY = np.full((9, 16, 3), 90, np.uint8)
WORDS = st.lists(st.text("abcdefgü漢", min_size=1, max_size=12), max_size=25).map(" ".join)


def told(width: int, *blocks: Block, about: str = "Setup wide") -> list[str]:
    console = Console(width=width, highlight=False, color_system=None)
    with console.capture() as captured:
        for part in answer_text(Answer("moon", "Moon directions", about, blocks)):
            console.print(part)
    return captured.get().replace("\N{NO-BREAK SPACE}", " ").split("\n")


FIGURED = Pictures(
    (
        Cell("Front", GREY, (("bright side", "0.25 lx"), ("rim", "−1.2 stops")), ("Anna looks into it.",)),
        Cell("Back", GREY, (("bright side", "12.5 lx"), ("rim", "+0.6 stops"))),
        Cell("Behind the house", None, (), ("It lights nothing.",)),
    ),
    3,
    "Directions",
)


def test_cells_of_the_same_figures_are_a_table() -> None:
    assert told(80, FIGURED) == [
        "Moon directions",
        "Setup wide",
        "",
        "Directions",
        "       bright side         rim",
        "Front      0.25 lx  −1.2 stops",
        "Back      12.5 lx   +0.6 stops",
        "Front: Anna looks into it.",
        "Behind the house: It lights nothing.",
        "",
        "",
    ]


def test_cells_of_other_figures_are_lists() -> None:
    cells = (
        Cell("One", GREY, (("sees", "54.4° across"),), ("Wide.",)),
        Cell("Two", GREY, (("shot", "medium"),)),
    )
    assert told(80, Pictures(cells, 2))[3:-2] == [
        "One",
        "  sees  54.4° across",
        "  Wide.",
        "Two",
        "  shot  medium",
    ]


def test_a_table_gives_way_in_its_words() -> None:
    block = Table(
        "Ranked",
        ("rank", "lux", "why"),
        (("1", "0.25 lx", "rim on both figures and the tree line lifted"), ("2", "114 lx", "flat")),
        ("right", "decimal", "left"),
        "Weights.",
    )
    assert told(40, block)[3:-2] == [
        "Ranked",
        "rank        lux  why",
        "   1    0.25 lx  rim on both figures and",
        "                  the tree line lifted",
        "   2  114 lx     flat",
        "Weights.",
    ]


def test_a_caution_says_that_it_is_one_and_a_drawing_what_it_shows() -> None:
    lines = told(
        80,
        Words(("Mind the load.",), "Rigging", caution=True),
        Drawing("The night", GREY, "The moon rises at 19:10.", "Upper limb."),
    )
    assert lines[3:-2] == [
        "Caution: Rigging",
        "Mind the load.",
        "",
        "The night",
        "The moon rises at 19:10.",
        "Upper limb.",
    ]


def test_nothing_stands_after_a_line_and_markup_is_text() -> None:
    lines = told(60, FIGURED, Words(("A [bold]word[/bold] in brackets.",)))
    assert all(line == line.rstrip() for line in lines)
    assert "A [bold]word[/bold] in brackets." in lines


@pytest.mark.parametrize("width", [24, 40, 60, 80, 120])
def test_lines_are_no_wider_than_the_terminal(width: int) -> None:
    block = Table(
        "Setups",
        ("figure", "setup", *(f"reading {n}" for n in range(9)), "cheats"),
        (("Anna", "close over Karl's shoulder", *["−12.5 stops"] * 9, "key moved 1.2 m to camera left"),) * 2,
        ("left", "left", *["decimal"] * 9, "left"),  # type: ignore[arg-type]
    )
    lines = told(
        width, FIGURED, block, Words(("A 2.5 kW head on a 6 m stand is a load over people's heads. " * 3,))
    )
    assert max(cell_len(line) for line in lines) <= width
    for number, times in (("−12.5 stops", 18), ("2.5 kW", 3), ("6 m", 3)):
        assert sum(line.count(number) for line in lines) == times


@given(WORDS, st.integers(4, 60))
@settings(max_examples=100, deadline=None)
def test_wrapped_lines_fit_and_lose_nothing(text: str, width: int) -> None:
    lines = wrapped(text, width)
    assert all(cell_len(line) <= width for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


@given(st.lists(st.tuples(WORDS, WORDS, WORDS), min_size=1, max_size=4), st.integers(12, 90))
@settings(max_examples=60, deadline=None)
def test_no_word_of_a_table_is_lost(rows: list[tuple[str, str, str]], width: int) -> None:
    lines = told(width, Table("", ("a", "b", "c"), tuple(rows), ("left", "left", "right")))
    assert max(cell_len(line) for line in lines) <= width
    found = "".join(lines[2:])
    for letter in "defgü漢":
        assert found.count(letter) >= sum("".join(row).count(letter) for row in rows)
