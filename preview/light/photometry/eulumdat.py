"""EULUMDAT: the photometric file of Europe (.ldt), one value a line, read into a `Web`.

Intensities are told per 1000 lm of the lamps. Source: the field list of A. W. Stockmar, EULUMDAT, Licht '90, as public
copies print it; that length runs along C90 and that a negative number of lamps means absolute photometry, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import NoReturn

import numpy as np

from preview.light.photometry.numbers import LARGEST, MOST_ANGLES, MOST_VALUES, Numbers
from preview.light.photometry.opening import LARGEST as LARGEST_OPENING
from preview.light.photometry.opening import POINT, SMALLEST, Opening
from preview.light.photometry.text import lines_of
from preview.light.photometry.web import Floats, Web

MOST_SETS = 20
"""Standard sets of lamps: the first counts."""
DIRECT_RATIOS = 10


def read_eulumdat(path: Path, text: str) -> Web:
    """The web of a EULUMDAT file; UserError with the line of what is wrong."""
    reader = _Reader(path, lines_of(text))
    reader.skip("the maker's name")
    reader.whole("the type of luminaire", least=0, most=3)
    symmetry = reader.whole("the symmetry", least=0, most=4)
    planes = reader.whole("the number of C-planes", least=1, most=MOST_ANGLES)
    told = _told(reader, symmetry, planes)
    reader.number("the distance between C-planes")
    angles = reader.whole("the number of gamma angles", least=2, most=MOST_ANGLES)
    if planes * angles > MOST_VALUES:
        reader.wrong(
            f"{planes} by {angles} angles are more than the {MOST_VALUES} values that a table may have"
        )
    reader.number("the distance between gamma angles")
    for what in ("the report's number", "the name", "the number", "the file's name", "date and user"):
        reader.skip(what)
    for what in ("length", "width", "height"):
        reader.number(f"the {what} of the luminaire")
    opening = _opening(reader)
    reader.number("the downward flux fraction")
    ratio = reader.number("the light output ratio")
    factor = reader.positive("the conversion factor of intensities")
    reader.number("the tilt during measurement")
    sets = reader.whole("the number of standard sets of lamps", least=1, most=MOST_SETS)
    lumens, watts = _lamps(reader, sets)
    for _ in range(DIRECT_RATIOS):
        reader.number("the direct ratios")
    turns = reader.rising(planes, "the C-planes", high=360.0)
    if turns[0] != 0.0:
        reader.wrong(f"the C-planes start at {turns[0]:g}; they should start at 0")
    vertical = reader.rising(angles, "the gamma angles", high=180.0)
    values = np.array(reader.intensities(told * angles)).reshape(told, angles)
    table = values * (factor * lumens / 1000.0)
    if table.max() <= 0.0:
        reader.wrong("every intensity is 0: there is no light in this file")
    if table.max() > LARGEST:
        reader.wrong("the intensities with their factors are beyond all measure")
    horizontal, table = _all_round(symmetry, turns, table)
    return Web(
        kind="C",
        vertical=np.radians(vertical),
        horizontal=np.radians(horizontal),
        candela=table,
        opening=opening,
        edition="EULUMDAT",
        watts=watts if watts > 0.0 else None,
        stated_lumens=lumens * ratio / 100.0 if ratio > 0.0 else None,
        lamp_lumens=lumens,
    )


@dataclass
class _Reader:
    """The lines of a file, taken in turn."""

    path: Path
    lines: list[str]
    _at: int = field(default=0, init=False)

    def skip(self, what: str) -> str:
        """The next line as text; past the end it is wrong."""
        if self._at >= len(self.lines):
            self._at = len(self.lines)
            self.wrong(f"the file ends before {what}")
        self._at += 1
        return self.lines[self._at - 1].strip()

    def wrong(self, message: str) -> NoReturn:
        Numbers(self.path, [], self._at).wrong(message, line=max(self._at, 1))

    def _one(self, what: str) -> Numbers:
        # Some write a comma for the point.
        word = self.skip(what).replace(",", ".")
        return Numbers(self.path, [(self._at, word or "nothing")], self._at)

    def number(self, what: str) -> float:
        return self._one(what).number(what)

    def positive(self, what: str) -> float:
        return self._one(what).positive(what)

    def whole(self, what: str, *, least: int, most: int) -> int:
        return self._one(what).count(what, least=least, most=most)

    def _words(self, count: int, what: str) -> Numbers:
        self.enough(count, what)
        words = []
        for _ in range(count):
            word = self.skip(what).replace(",", ".")
            words.append((self._at, word or "nothing"))
        return Numbers(self.path, words, self._at)

    def enough(self, count: int, what: str) -> None:
        left = len(self.lines) - self._at
        if left < count:
            self._at = len(self.lines)
            self.wrong(f"the file ends in {what}: {count} are announced, {left} are there")

    def rising(self, count: int, what: str, *, high: float) -> list[float]:
        return self._words(count, what).rising(count, what, low=0.0, high=high)

    def intensities(self, count: int) -> list[float]:
        return self._words(count, "the intensities").intensities(count)


def _opening(reader: _Reader) -> Opening:
    """The luminous area: millimetres, its length along C90, round where no width is given; sides where it has height."""
    length, width, *heights = (
        reader.number(f"the {what} of the luminous area") / 1000.0
        for what in ("length", "width", "height at C0", "height at C90", "height at C180", "height at C270")
    )
    if max(abs(length), abs(width), *heights) > LARGEST_OPENING:
        reader.wrong(f"the luminous area is larger than {LARGEST_OPENING:g} m; it is given in millimetres")
    height = max(heights)
    length, width, height = (side if side >= SMALLEST else 0.0 for side in (length, width, height))
    if length == 0.0:
        # Sides alone, or a mistake: as thin as can be.
        sides = max(width, SMALLEST), SMALLEST, max(height, SMALLEST)
        return Opening("box", sides) if width or height else POINT
    if width == 0.0:
        return Opening("cylinder" if height else "ellipse", (length, length, height))
    return Opening("box" if height else "rectangle", (width, length, height))


def _lamps(reader: _Reader, sets: int) -> tuple[float, float]:
    """Lumens of all the lamps of the first standard set, and its watts."""
    found: list[tuple[float, float]] = []
    for _ in range(sets):
        reader.number("the number of lamps")
        reader.skip("the type of lamps")
        lumens = reader.positive("the lumens of the lamps")
        reader.skip("the colour of the lamps")
        reader.skip("the colour rendering of the lamps")
        found.append((lumens, reader.number("the watts")))
    return found[0]


def _told(reader: _Reader, symmetry: int, planes: int) -> int:
    """How many planes have values; the others are the same by symmetry."""
    if symmetry in (2, 3) and (planes < 2 or planes % 2):
        reader.wrong(f"symmetry {symmetry} needs an even number of C-planes, not {planes}")
    if symmetry == 4 and (planes < 4 or planes % 4):
        reader.wrong(f"symmetry 4 needs a number of C-planes that four divides, not {planes}")
    return {0: planes, 1: 1, 2: planes // 2 + 1, 3: planes // 2 + 1, 4: planes // 4 + 1}[symmetry]


def _all_round(symmetry: int, turns: list[float], table: Floats) -> tuple[list[float], Floats]:
    """All planes from 0 to 360 degrees."""
    count = len(turns)
    if symmetry == 1 or count == 1:
        return [0.0], table[:1]
    place = np.arange(count)
    if symmetry == 2:
        # Those to both sides of C0-C180 are alike: plane k and plane n - k.
        which = np.minimum(place, count - place)
    elif symmetry == 3:
        # Values go from C270 over C0 to C90; plane k and the one as far to the other side of C90 are alike.
        start = (3 * count) // 4
        offset = (place - start) % count
        which = np.minimum(offset, count - offset)
    elif symmetry == 4:
        half = np.minimum(place, count - place)
        which = np.minimum(half, count // 2 - half)
    else:
        which = place
    rows = table[which]
    if turns[-1] == 360.0:
        return turns, rows
    return [*turns, 360.0], np.concatenate([rows, rows[:1]])
