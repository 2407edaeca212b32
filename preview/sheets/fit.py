"""Fit: how wide the columns of a table are, on paper or in a terminal, so that no number is broken and nothing is left out.

Heads give way first, then columns of words, widest first. What does not stand side by side goes on below.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from preview.sheets.drawing import Align
from preview.sheets.unbroken import bound

_NUMBER = re.compile(r"(?:[A-Za-z]{1,3}[ /]?)?[^A-Za-z]*\d[^A-Za-z]*[A-Za-z]{0,7}$")
_WHOLE = re.compile(r"\D*\d+(?:\s\d{3}(?!\d))*")
LONG = 20
"""Letters from which what looks like a number is a list of them, and is wrapped."""


@dataclass(frozen=True)
class Room:
    """What columns fit into: its `width`, the least `gap` between columns, the `narrowest` that a column of words is made
    if it was wider, in one unit; how wide a value and a head are in it."""

    width: float
    gap: float
    narrowest: float
    value: Callable[[str], float]
    head: Callable[[str], float]


@dataclass(frozen=True)
class Part:
    """Columns that stand side by side: which, how wide, and in which of the rooms."""

    columns: tuple[int, ...]
    widths: tuple[float, ...]
    room: int


def is_number(text: str) -> bool:
    """Whether a value is a number, or a few, with a sign and a unit or without, that must not be broken."""
    return len(text) < LONG and bool(_NUMBER.match(text))


def tail(text: str) -> str:
    """What stands after the whole part of a number: its decimals and its unit; of what is no number nothing."""
    whole = _WHOLE.match(bound(text)) if is_number(text) else None
    return bound(text)[whole.end() :] if whole else ""


def parted(
    heads: Sequence[str], rows: Sequence[Sequence[str]], align: Sequence[Align], rooms: Sequence[Room]
) -> list[Part] | None:
    """All columns in as few parts as fit, in the first of the rooms that they fit in.

    Each part begins with the columns that name a row. None where not even one column fits beside those.
    """
    named = naming(rows)
    others = range(named, len(heads))
    for count in range(1, max(1, len(others)) + 1):
        edges = [named + round(len(others) * n / count) for n in range(count + 1)]
        groups = [(*range(named), *range(edges[n], edges[n + 1])) for n in range(count)]
        for number, room in enumerate(rooms):
            parts = []
            for group in groups:
                widths = column_widths(
                    [heads[i] for i in group],
                    [[row[i] for i in group] for row in rows],
                    [align[i] for i in group],
                    room,
                )
                if widths is not None:
                    parts.append(Part(group, widths, number))
            if len(parts) == len(groups):
                return parts
    return None


def naming(rows: Sequence[Sequence[str]]) -> int:
    """How many columns tell one row from all others: the first, or the first two."""
    unique = len({row[0] for row in rows}) == len(rows)
    paired = len({tuple(row[:2]) for row in rows}) == len(rows)
    return 2 if not unique and paired else 1


def column_widths(
    heads: Sequence[str], rows: Sequence[Sequence[str]], align: Sequence[Align], room: Room
) -> tuple[float, ...] | None:
    """Of columns side by side in a room; None where they do not fit."""
    columns = [[row[i] for row in rows] for i in range(len(heads))]
    free = room.width - room.gap * (len(heads) - 1)
    tight, natural, least = [], [], []
    for head, values, stands in zip(heads, columns, align, strict=True):
        bare, word = _natural(values, stands, room), _longest_word(head, room.head)
        tight.append(max(bare, word))
        natural.append(max(bare, room.head(bound(head))))
        least.append(min(tight[-1], max([word] + [_least(value, stands, room) for value in values])))
    if sum(least) > free:
        return None
    low, high = (tight, natural) if sum(tight) <= free else (least, tight)
    return tuple(_between(low, high, free))


def _between(low: Sequence[float], high: Sequence[float], free: float) -> list[float]:
    """Widths between two bounds that fill what is free as far as they can: the widest give way to one common width."""
    if sum(high) <= free:
        return list(high)
    under, over = 0.0, max(high)
    for _ in range(40):
        middle = (under + over) / 2
        taken = sum(max(few, min(many, middle)) for few, many in zip(low, high, strict=True))
        under, over = (middle, over) if taken <= free else (under, middle)
    return [max(few, min(many, under)) for few, many in zip(low, high, strict=True)]


def _natural(values: Sequence[str], align: Align, room: Room) -> float:
    """What a column's values take unbroken."""
    widest = max([room.value(bound(value)) for value in values] + [0.0])
    if align != "decimal":
        return widest
    numbers = [value for value in values if is_number(value)]
    after = max([room.value(tail(value)) for value in numbers] + [0.0])
    before = max([room.value(bound(value)) - room.value(tail(value)) for value in numbers] + [0.0])
    return max(widest, before + after)


def _least(value: str, align: Align, room: Room) -> float:
    """What a value needs at least."""
    if is_number(value):
        return _natural([value], align, room)
    return max(_longest_word(value, room.value), min(room.value(bound(value)), room.narrowest))


def _longest_word(text: str, measure: Callable[[str], float]) -> float:
    return max([measure(word) for word in bound(text).split(" ")] + [0.0])
