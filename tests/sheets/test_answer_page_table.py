"""The page's tables: columns where a screen has room for them, else each row a block; nothing is off the screen."""

from __future__ import annotations

import re
from dataclasses import replace

from preview.sheets.answer.blocks import Table
from preview.sheets.answer.page import answer_page
from preview.sheets.answer.page_style import TABLET, TELEPHONE, style_sheet
from tests.sheets.page_tree import Tree, answer

DECIMALS = Table(
    "Ranked",
    ("", "lux", "why"),
    (("a", "1.25", "so"), ("b", "114.5", "or so"), ("c", "7", "")),
    ("left", "decimal", "left"),
    "Weights.",
)


def test_a_table_has_scopes_and_scrolls_within_itself() -> None:
    tree = Tree(answer_page(answer(DECIMALS)))
    assert [one["scope"] for one in tree.of("th")] == ["col", "col", "row", "row", "row"]
    assert [one.get("tabindex") for one in tree.of("div") if one.get("class") == "scroll"] == ["0"]
    assert re.search(r"\.scroll\{overflow-x:auto", style_sheet())


def classes(block: Table) -> set[str]:
    (table,) = Tree(answer_page(answer(block))).of("table")
    return set((table.get("class") or "").split())


def rows_of(block: Table) -> list[list[tuple[str | None, set[str]]]]:
    """Of each cell of each row what it is called in a block, and how it stands."""
    rows: list[list[tuple[str | None, set[str]]]] = []
    for tag, attributes in Tree(answer_page(answer(block))).elements:
        if tag == "tr":
            rows.append([])
        elif tag in ("td", "th"):
            rows[-1].append((attributes.get("data-head"), set((attributes.get("class") or "").split())))
    return rows[1:]


HOURS = Table(
    "By the hour",
    ("time", "sun", "moon", "bearing", "in the plan", "lux facing it"),
    (
        ("17:00", "3° below", "6° up", "", "11°", "0.075"),
        ("18:00", "14° below", "16° up", "ENE 64°", "11°", "0.1"),
    ),
    ("left", "decimal", "decimal", "left", "decimal", "decimal"),
)
TO_SET = Table(
    "What to set",
    ("Look", "What", "To", "From"),
    (
        ("Colder", "camera, balance", "3400 K, 62 mired cooler", "4300 K"),
        ("", "porch bulb, level", "off", "full"),
    ),
    ("left", "left", "left", "left"),
)


def test_rows_are_blocks_where_a_screen_has_no_room_for_columns() -> None:
    """Each value with its column's name, no name hidden: so that lux, the last column, is not off the screen."""
    assert classes(HOURS) == {"stacks"}
    assert classes(Table("", ("", "lux"), (("Anna", "1.25"),), ("left", "decimal"))) == set()
    wide = replace(
        HOURS, heads=HOURS.heads * 2, rows=tuple(row * 2 for row in HOURS.rows), align=HOURS.align * 2
    )
    assert classes(wide) == {"stacks", "broad", "many"}
    assert [name for name, _ in rows_of(HOURS)[0]] == list(HOURS.heads)
    style = style_sheet()
    assert style.count("content:attr(data-head)") == 2
    for table, width in ((".stacks", TELEPHONE), (".stacks.broad", TABLET)):
        assert re.search(
            rf"@media screen and \(max-width:{width}\)\{{[^@]*\n?{re.escape(table)} tr\{{display:grid", style
        )
    assert "data-head" not in style[style.index("@media print") :]


def test_what_tells_rows_apart_heads_their_block() -> None:
    """A look that is said once heads all its rows; words stand in line, each on a line of its own."""
    first, second = rows_of(TO_SET)
    assert [name for name, _ in first] == [None, None, "To", "From"]
    assert all("whole" in kinds for _, kinds in first)
    found = [
        attributes.get("class")
        for tag, attributes in Tree(answer_page(answer(TO_SET))).elements
        if tag == "tr"
    ]
    assert found == [None, None, "on"]
    assert [name for name, _ in second] == [None, None, "To", "From"]


def test_points_stand_below_one_another() -> None:
    """Digits are of one width, and what has fewer decimals is filled up with spaces as wide."""
    tree = Tree(answer_page(answer(DECIMALS)))
    values = [words for tag, words in tree.words if tag == "td" and words[0].isdigit()]
    assert values == [
        "1.25",
        "114.5\N{FIGURE SPACE}",
        "7\N{PUNCTUATION SPACE}\N{FIGURE SPACE}\N{FIGURE SPACE}",
    ]
    assert "tabular-nums" in style_sheet()
