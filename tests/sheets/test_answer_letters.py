"""Letters: what sheets cannot draw is said."""

from __future__ import annotations

import numpy as np
import pytest
from rich.console import Console

from preview.sheets.answer.blocks import Answer, Cell, Drawing, Pictures, Table, Words
from preview.sheets.answer.letters import ON_SHEET, lacking
from preview.sheets.answer.page import answer_page
from preview.sheets.answer.sheet import answer_sheets
from preview.sheets.answer.text import answer_text
from preview.sheets.drawing import Style, font


def named(name: str) -> Answer:
    return Answer("a", "Setups", "", (Pictures((Cell("wide", None, ((name, "1 lx"),), ("None.",)),)),))


@pytest.mark.parametrize(
    "name", ["Zoë Łukasz", "Håkon Řehoř", "Ελένη", "Наталья", "Nguyễn", "1.5 × 2 m ≈ −3°", "a\u0301"]
)
def test_latin_greek_and_cyrillic_are_drawn(name: str) -> None:
    assert lacking(named(name)) == ""


@pytest.mark.parametrize("name", ["漢", "月", "あ", "한", "ש", "م"])
def test_what_is_a_box_on_the_sheet_is_told_there_and_in_the_terminal(name: str) -> None:
    assert lacking(named(name)) == name
    assert answer_sheets(named(name))[0].height > answer_sheets(named("Anna"))[0].height
    console = Console(width=200, highlight=False, color_system=None)
    with console.capture() as captured:
        console.print(*answer_text(named(name)))
    assert f"On the sheet boxes stand for {name}: " in captured.get()
    assert name in answer_page(named(name))
    assert ON_SHEET not in answer_page(named(name))


def test_no_place_for_words_is_forgotten() -> None:
    for answer in (
        Answer("a", "月", "", ()),
        Answer("a", "", "月", ()),
        Answer("a", "", "", (Words((), "月"),)),
        Answer("a", "", "", (Words(("月",)),)),
        Answer("a", "", "", (Drawing("", np.zeros((2, 2, 3), np.uint8), "月"),)),
        Answer("a", "", "", (Drawing("", np.zeros((2, 2, 3), np.uint8), "", "月"),)),
        Answer("a", "", "", (Table("", ("月",), (("1",),), ("left",)),)),
        Answer("a", "", "", (Table("", ("",), (("月",),), ("left",)),)),
        Answer("a", "", "", (Table("", ("",), (), ("left",), "月"),)),
        Answer("a", "", "", (Pictures((Cell("月"),)),)),
        Answer("a", "", "", (Pictures((Cell("", None, (), ("月",)),)),)),
    ):
        assert lacking(answer) == "月"


@pytest.mark.parametrize("style", ["title", "heading", "body", "strong", "small", "label"])
def test_every_face_has_the_letters_that_are_promised(style: Style) -> None:
    none = bytes(font(style).getmask("\uffff"))
    for letter in "éßłΩλЖяї×−≈≤✓▲›":
        assert bytes(font(style).getmask(letter)) != none, letter
