"""Page table: a table of a page; where a screen has no room for its columns each row is a small block with their names."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from preview.sheets.answer.blocks import Table
from preview.sheets.drawing import Align
from preview.sheets.fit import Room, is_number, naming, parted, tail
from preview.sheets.unbroken import bound

MANY = 7
"""Columns from which a table is set smaller on paper."""
WORDY = 24
"""Letters from which a value is words, that are given room."""
TELEPHONE, TABLET = 34, 68
"""Letters that stand side by side on one that is held upright."""
HALF = 21
"""Letters of a name and its value that stand in half of a telephone."""
FIGURE_SPACE, POINT_SPACE = "\N{FIGURE SPACE}", "\N{PUNCTUATION SPACE}"


def table_html(block: Table, named: str) -> str:
    """The table, which is moved sideways if all else fails; `named`: the attribute that says what it is."""
    heads = "".join(_head(head, align) for head, align in zip(block.heads, block.align, strict=True))
    telling = naming(_told_in_full(block.rows))
    long = _long(block, telling)
    columns = [_column(block, i, names=i < telling, long=long) for i in range(len(block.heads))]
    rows = "\n".join(
        f"<tr{'' if row[0] else _classed('on')}>{''.join(column[n] for column in columns)}</tr>"
        for n, row in enumerate(block.rows)
    )
    kinds = [*(["many"] if len(block.heads) > MANY else []), *_stacks(block)]
    return (
        f'<div class="scroll" role="group" tabindex="0" {named}>'
        f"<table{_classed(*kinds)}>\n<thead><tr>{heads}</tr></thead>\n<tbody>\n{rows}\n</tbody>\n</table></div>"
    )


def _stacks(block: Table) -> list[str]:
    """Whether rows become blocks on a telephone, and on a tablet."""

    def fits(letters: int) -> bool:
        parts = parted(block.heads, block.rows, block.align, [Room(letters, 2, 10, len, len)])
        return parts is not None and len(parts) == 1

    return [] if fits(TELEPHONE) else ["stacks"] if fits(TABLET) else ["stacks", "broad"]


def _told_in_full(rows: Sequence[Sequence[str]]) -> list[tuple[str, ...]]:
    """Rows whose first value, left out where it is that of the row above, is said again."""
    told: list[tuple[str, ...]] = []
    for row in rows:
        told.append((row[0] or (told[-1][0] if told else ""), *row[1:]))
    return told


def _long(block: Table, telling: int) -> set[int]:
    """Columns that take the whole of a telephone's width: those whose names and values do not fit half of it.

    With one of words all that are words do, and with half of the columns all, so that they stand in line.
    """
    named = range(telling, len(block.heads))
    long = {i for i in named if any(len(block.heads[i]) + 1 + len(row[i]) > HALF for row in block.rows)}
    words = {i for i in named if not _numbers([row[i] for row in block.rows])}
    if long & words:
        long |= words
    return set(named) if 2 * len(long) >= len(named) else long


def _numbers(values: Sequence[str]) -> bool:
    """Whether most values are numbers."""
    return sum(map(is_number, values)) > len(values) / 2


def _column(block: Table, column: int, *, names: bool, long: set[int]) -> list[str]:
    """Its cells, from the top down, each with what it is called where it stands in a block."""
    head, align = block.heads[column], block.align[column]
    values = [row[column] for row in block.rows]
    # What tells rows apart needs no name, unless it is a number.
    called = head if not names or _numbers(values) else ""
    whole = names or column in long
    data = f' data-head="{_text(called)}"' if called else ""
    cells = []
    for shown, value in zip(_padded(values, align), values, strict=True):
        kinds = [
            *(["number"] if is_number(value) else []),
            *(["right"] if align != "left" else []),
            *(["words"] if align == "left" and not is_number(value) and len(value) > WORDY else []),
            *(["whole"] if whole else []),
        ]
        inside = f"{_classed(*kinds)}{data}>{_text(shown)}"
        cells.append(f'<th scope="row"{inside}</th>' if column == 0 else f"<td{inside}</td>")
    return cells


def _head(head: str, align: Align) -> str:
    right = _classed(*(["right"] if align != "left" else []))
    return f'<th scope="col"{right}>{_text(head)}</th>' if head else f"<td{right}></td>"


def _classed(*kinds: str) -> str:
    return f' class="{" ".join(kinds)}"' if kinds else ""


def _padded(values: Sequence[str], align: Align) -> list[str]:
    """Numbers of a `decimal` column with spaces as wide as the digits that others have more."""
    if align != "decimal":
        return list(values)
    most = max((_decimals(value) for value in values if is_number(value)), default=0)
    return [
        value + _pad(most - _decimals(value), point="." in tail(value)) if is_number(value) else value
        for value in values
    ]


def _decimals(value: str) -> int:
    return sum(letter.isdigit() for letter in tail(value))


def _pad(missing: int, *, point: bool) -> str:
    return ("" if point or not missing else POINT_SPACE) + FIGURE_SPACE * missing


def _text(text: str) -> str:
    return escape(bound(text))
