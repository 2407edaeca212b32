"""The answer's page: one file that needs nothing else, whole and escaped, read on any screen and on paper."""

from __future__ import annotations

import re
from base64 import b64decode
from io import BytesIO
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from preview.sheets.answer.blocks import Cell, Drawing, Pictures, Table, Words
from preview.sheets.answer.data_uri import BUDGET, drawing_uri
from preview.sheets.answer.page import answer_page
from preview.sheets.answer.page_style import DARK, GROUNDS, LIGHT, PRINT, TEXT, style_sheet
from preview.sheets.drawing import COLUMN
from tests.sheets.page_tree import Tree, answer

HOSTILE = "<script>alert('x')</script> & \"quoted\" <img src=http://example.org/x onerror=1>"
GREY = np.full((27, 48, 3), 90, np.uint8)
ODD = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=40)


WHOLE = answer(
    Words(("What matters comes first.",)),
    Pictures(
        (
            Cell("Three-quarter back", GREY, (("ratio", "4:1"), ("rim", "+1.2 stops")), ("Nobody looks into it.",)),
            Cell("Behind the house", None, (), ("It lights nothing that the camera sees.", "Try another.")),
        ),
        2,
        "Pictures",
    ),
    Pictures((Cell("Alone", GREY),), 1),
    Table(
        "Ranked",
        ("", "lux", "why"),
        (("a", "1.25", "so"), ("b", "114.5", "or so"), ("c", "7", "")),
        ("left", "decimal", "left"),
        "Weights.",
    ),
    Drawing("The night", np.full((40, COLUMN, 3), 200, np.uint8), "The moon rises at 19:10.", "Upper limb."),
    Words(("A head on a stand is a load over people's heads.",), "Rigging", caution=True),
)  # fmt: skip


def test_the_page_is_balanced_and_has_all_words() -> None:
    tree = Tree(answer_page(WHOLE))
    said = tree.text()
    for words in (
        "Moon directions", "Setup wide, ISO 800", "What matters comes first.", "Three-quarter back", "ratio", "+1.2 stops",
        "Nobody looks into it.", "It lights nothing that the camera sees.", "Try another.", "114.5", "or so", "Weights.",
        "Upper limb.", "Caution: Rigging", "A head on a stand is a load over people's heads.",
    ):  # fmt: skip
        assert words in said, words


def test_nothing_is_fetched() -> None:
    page = answer_page(WHOLE)
    tree = Tree(page)
    bare = re.sub(r"data:image/[^\"]*", "", page)
    assert not re.search(r"https?:|//|@import|<script|<link|<iframe|<object|<form", bare, re.I)
    assert not re.search(r"url\(", style_sheet())
    for tag, attributes in tree.elements:
        for name, value in attributes.items():
            if name in ("src", "href", "srcset", "poster", "data", "action", "background"):
                assert tag == "img"
                assert (value or "").startswith("data:image/")
            assert not name.startswith("on")
    (policy,) = [
        one["content"] for one in tree.of("meta") if one.get("http-equiv") == "Content-Security-Policy"
    ]
    assert policy is not None
    assert "default-src 'none'" in policy


def test_every_picture_has_words_and_its_size() -> None:
    tree = Tree(answer_page(WHOLE))
    assert len(tree.of("img")) == 3
    for picture in tree.of("img"):
        assert picture["alt"]
        _, data = (picture["src"] or "").split(",")
        with Image.open(BytesIO(b64decode(data, validate=True))) as image:
            assert image.width / image.height == pytest.approx(
                int(picture["width"] or 0) / int(picture["height"] or 0), rel=0.02
            )
    assert [one["alt"] for one in tree.of("img")][-1] == "The moon rises at 19:10."


def test_what_is_hostile_is_only_text() -> None:
    hostile = answer(
        Pictures((Cell(HOSTILE, GREY, ((HOSTILE, HOSTILE),), (HOSTILE,)), Cell(HOSTILE, None, (), (HOSTILE,))), 2, HOSTILE),
        Table(HOSTILE, (HOSTILE, "b"), ((HOSTILE, HOSTILE),), ("left", "left"), HOSTILE),
        Drawing(HOSTILE, GREY, HOSTILE, HOSTILE),
        Words((HOSTILE,), HOSTILE, caution=True),
        title=HOSTILE,
        about=HOSTILE,
    )  # fmt: skip
    tree = Tree(answer_page(hostile))
    assert not tree.of("script")
    assert all((one["src"] or "").startswith("data:image/") for one in tree.of("img"))
    assert len(tree.of("img")) == 2
    assert tree.text().count(HOSTILE) == 19


@given(ODD, ODD, st.lists(ODD, min_size=1, max_size=3))
@settings(max_examples=40, deadline=None)
def test_any_words_come_back(title: str, name: str, sentences: list[str]) -> None:
    made = answer(
        Pictures((Cell(name, None, ((name, name),), tuple(sentences)),), 3, title),
        Table(title, (name, "b"), ((name, "1"),), ("left", "right")),
        title=title,
    )
    tree = Tree(answer_page(made))
    found = "".join("".join(words for _, words in tree.words).split())
    for words in (title, name, *sentences):
        assert "".join(words.split()) in found


def test_headings_go_in_order() -> None:
    # Source: WCAG 2.1, technique G141: headings nest, and none is skipped.
    levels = [int(tag[1]) for tag, _ in Tree(answer_page(WHOLE)).elements if re.fullmatch(r"h\d", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_the_page_says_its_language_and_fits_a_telephone() -> None:
    tree = Tree(answer_page(WHOLE))
    # Source: WCAG 2.1, success criterion 3.1.1.
    assert tree.of("html")[0]["lang"] == "en-GB"
    (view,) = [one["content"] for one in tree.of("meta") if one.get("name") == "viewport"]
    assert view == "width=device-width, initial-scale=1"
    assert answer_page(WHOLE).startswith("<!doctype html>")
    assert "minmax(min(100%" in style_sheet()


def test_ids_are_used_once_and_labels_find_theirs() -> None:
    tree = Tree(answer_page(WHOLE))
    ids = [attributes["id"] for _, attributes in tree.elements if "id" in attributes]
    assert len(ids) == len(set(ids))
    for _, attributes in tree.elements:
        for name in ("for", "aria-labelledby"):
            assert attributes.get(name, ids[0]) in ids


def contrast(one: str, other: str) -> float:
    """Source: WCAG 2.1, contrast ratio and relative luminance."""

    def luminance(colour: str) -> float:
        channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_reckoned_as_the_standard_does() -> None:
    # Source: WCAG 2.1: black on white is 21:1; #767676 is the lightest grey of 4.5:1 on white.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("colours", [LIGHT, DARK, PRINT])
def test_text_can_be_read_on_every_ground(colours: dict[str, str]) -> None:
    # Source: WCAG 2.1, success criteria 1.4.3 (text, 4.5:1) and 1.4.11 (signs, 3:1).
    for text in TEXT:
        for ground in GROUNDS:
            assert contrast(colours[text], colours[ground]) >= 4.5, (text, ground)
    assert contrast(colours["warn"], colours["paper"]) >= 3


def test_the_style_has_no_other_colours() -> None:
    named = {*LIGHT.values(), *DARK.values(), *PRINT.values()}
    assert set(re.findall(r"#[0-9a-f]{3,8}\b", style_sheet())) == named
    assert set(re.findall(r"(?<![-\w])color:var\(--(\w+)\)", style_sheet())) == set(TEXT)
    assert set(re.findall(r"background:var\(--(\w+)\)", style_sheet())) == set(GROUNDS)
    assert style_sheet().count("{") == style_sheet().count("}")


def test_frames_stand_on_near_black_on_every_screen() -> None:
    """Under 2 % of a screen's white, so that a frame's darks are not outshone by what is round them."""
    tree = Tree(answer_page(WHOLE))
    assert contrast(DARK["paper"], "#000000") < 1.15
    assert [one.get("class") for one in tree.of("section")].count("frames") == 2
    assert re.search(r"@media screen\{\.frames\{[^}]*--paper:" + DARK["paper"], style_sheet())


def test_paper_is_white_and_keeps_things_whole() -> None:
    """Black on white; a cell, a row, a caution are not cut, a heading stays with what follows. No size is named, so that A4
    and Letter both hold it."""
    style = style_sheet()
    paper = style[style.index("@media print") :]
    assert PRINT["paper"] == "#ffffff"
    assert PRINT["ink"] == "#000000"
    assert ".cell,.drawing,.caution,tr{break-inside:avoid}" in paper
    assert "break-after:avoid" in paper
    assert re.search(r"@page\{margin:", paper)
    assert not re.search(r"@page\{[^}]*size:", paper)


def night(seed: int, grain: float = 7) -> np.ndarray:
    """A dark frame with grain and lamps, invented: hard on JPEG."""
    random = np.random.default_rng(seed)
    ramp = np.linspace(8, 70, 480)[None, :, None] * np.ones((259, 1, 3))
    ramp[40:44, ::40] = 250
    return np.clip(ramp + random.normal(0, grain, ramp.shape), 0, 255).astype(np.uint8)


@pytest.mark.parametrize("grain", [7, 30])
def test_twenty_four_frames_go_by_mail(grain: float) -> None:
    """Those with more grain than any camera's by giving up sharpness; the others whole."""
    cells = tuple(Cell(f"moon {n}", night(n, grain)) for n in range(24))
    page = answer_page(answer(Pictures(cells, 4, "Moons")))
    assert len(page) < BUDGET + 20_000
    data = (Tree(page).of("img")[0]["src"] or "").partition(",")[2]
    with Image.open(BytesIO(b64decode(data))) as image:
        assert image.width == 480 if grain < 10 else image.width >= 240
        error = np.asarray(image.resize((480, 259)), float).mean() - night(0, grain).mean()
    assert abs(error) < 2


def test_a_drawing_keeps_every_pixel_unless_a_photograph_makes_it_heavy() -> None:
    drawing = np.full((90, 160, 3), (250, 248, 243), np.uint8)
    drawing[20:22] = (28, 33, 39)
    kind, _, data = drawing_uri(drawing).partition(",")
    assert kind == "data:image/png;base64"
    with Image.open(BytesIO(b64decode(data))) as image:
        assert (np.asarray(image.convert("RGB")) == drawing).all()
    heavy = np.concatenate([np.concatenate([night(n) for n in range(3)], axis=1)] * 2)
    assert drawing_uri(heavy).startswith("data:image/jpeg")
