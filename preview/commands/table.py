"""Table: rows under headings as the terminal shows them, plain, without rules."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.table import Table


def plain_table(headings: Sequence[str], rows: Iterable[Sequence[str]], *, right: Collection[str]) -> Table:
    """A rich table; columns whose headings are in `right` hold numbers and stand to the right."""
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, header_style="dim", padding=(0, 2, 0, 0))
    for heading in headings:
        number = heading in right
        whole = number or heading in (headings[0], "source")
        table.add_column(heading, justify="right" if number else "left", no_wrap=whole, overflow="fold")
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    return table
