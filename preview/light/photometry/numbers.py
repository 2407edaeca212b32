"""Numbers: those of a photometric file one after the other, each with its line, and the sentence when one is wrong."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import islice, pairwise
from pathlib import Path
from typing import NoReturn

from preview.faults import Fault, UserError

WORD = re.compile(r"[^\s,]+")
NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?")
LARGEST = 1e12
"""More than any value of any luminaire, in any unit."""
FINEST = 1e-4
"""Degrees: angles nearer to each other are one, told twice."""
MOST_ANGLES = 2000
"""To one side of a table. A tenth of a degree all round is 3600, but no laboratory turns both ways so finely."""
MOST_VALUES = 400_000
"""In a table: half a degree both ways is 260 thousand."""
MOST_WORDS = MOST_VALUES + 4 * MOST_ANGLES
"""What is looked at of a file."""


@dataclass
class Numbers:
    """The words of a file `path`, each with its line, taken in turn. `last`: the line that the file ends in."""

    path: Path
    words: list[tuple[int, str]]
    last: int
    _next: int = field(default=0, init=False)

    def wrong(self, message: str, *, line: int | None = None) -> NoReturn:
        """UserError at a line, by default that of the word taken last."""
        at = self.words[min(self._next, len(self.words)) - 1][0] if self._next else self.last
        raise UserError(Fault(self.path, line or at, "", message))

    @property
    def left(self) -> int:
        return len(self.words) - self._next

    def rest(self) -> Iterable[tuple[int, str]]:
        """What has not been taken."""
        return self.words[self._next :]

    def number(self, what: str) -> float:
        """The next word as a number; `what` it is, in words."""
        if not self.left:
            raise UserError(Fault(self.path, self.last, "", f"the file ends before {what}"))
        line, word = self.words[self._next]
        self._next += 1
        if not NUMBER.fullmatch(word):
            self.wrong(f"{what} should be a number, not {_shown(word)}", line=line)
        value = float(word)
        if abs(value) > LARGEST:
            self.wrong(f"{what} is beyond all measure: {_shown(word)}", line=line)
        return value

    def count(self, what: str, *, least: int, most: int) -> int:
        """The next word as a whole number from `least` to `most`."""
        value = self.number(what)
        if value != round(value) or not least <= value <= most:
            span = f"{least} to {most}" if least < most else f"{least}"
            self.wrong(f"{what} should be a whole number, {span}, not {value:g}")
        return round(value)

    def positive(self, what: str) -> float:
        """The next word as a number above 0."""
        value = self.number(what)
        if value <= 0.0:
            self.wrong(f"{what} should be more than 0, not {value:g}")
        return value

    def row(self, count: int, what: str) -> list[float]:
        """The next `count` words as numbers, refused at once where the file is too short."""
        if self.left < count:
            raise UserError(
                Fault(
                    self.path,
                    self.last,
                    "",
                    f"the file ends in {what}: {count} are announced, {self.left} are there",
                )
            )
        return [self.number(what) for _ in range(count)]

    def rising(self, count: int, what: str, *, low: float, high: float) -> list[float]:
        """The next `count` words as angles in degrees, each more than the one before it, from `low` to `high`."""
        start = self._next
        angles = self.row(count, what)
        for place, angle in enumerate(angles):
            if not low <= angle <= high:
                self.wrong(
                    f"{what} go from {low:g} to {high:g} degrees; one is {angle:g}",
                    line=self.words[start + place][0],
                )
        for place, (before, angle) in enumerate(pairwise(angles), start=1):
            if angle < before + FINEST:
                self.wrong(
                    f"{what} should rise: {angle:g} comes after {before:g}", line=self.words[start + place][0]
                )
        return angles

    def intensities(self, count: int) -> list[float]:
        """The next `count` words as candela, none negative."""
        start = self._next
        values = self.row(count, "the candela values")
        for place, value in enumerate(values):
            if value < 0.0:
                self.wrong(f"no intensity is negative: {value:g}", line=self.words[start + place][0])
        return values


def split(lines: Iterable[tuple[int, str]]) -> list[tuple[int, str]]:
    """Words of numbered lines, parted by spaces and commas; no more of them than a table can need."""
    words = ((number, found.group()) for number, line in lines for found in WORD.finditer(line))
    return list(islice(words, MOST_WORDS))


def _shown(word: str) -> str:
    plain = "".join(letter if letter.isprintable() else "?" for letter in word)
    return f'"{plain[:24]}…"' if len(plain) > 24 else f'"{plain}"'
