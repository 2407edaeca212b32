"""LM-63: the photometric file of the IES, editions 1986, 1991, 1995, 2002 and 2019, read into a `Web`.

Header lines, TILT=, then numbers broken over lines as one likes. Source: delimiters and angles of ANSI/IESNA LM-63-02,
section 3, and its order of fields, as public copies have them; symmetries, tilt and what the older editions did
otherwise, from memory and as open-source readers agree.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from preview.faults import Fault, UserError
from preview.light.photometry.numbers import LARGEST, MOST_ANGLES, MOST_VALUES, NUMBER, Numbers, split
from preview.light.photometry.opening import LARGEST as LARGEST_OPENING
from preview.light.photometry.opening import opening_of
from preview.light.photometry.text import lines_of, text_of
from preview.light.photometry.web import Floats, Tilt, Web

FIRST_LINE = re.compile(r"IES(?:NA)?:?(?:LM-?63-?)?((?:19|20)?\d\d)", re.IGNORECASE)
"""Names the edition. A file of 1986 has no such line: it starts with what its maker wished to say."""
SECOND_FACTOR_UNTIL = 1991
"""The last edition with a ballast-lamp factor in the place that later ones keep for other uses."""
METRES = {1: 0.3048, 2: 1.0}
KINDS = {1: "C", 2: "B", 3: "A"}
WIDEST_GAP = 2.0
"""How many times the widest other step the step across 360 degrees may be, where the last plane is left out."""


@dataclass(frozen=True)
class _Head:
    """The ten numbers after the tilt."""

    lamps: int
    lumens_each: float
    multiplier: float
    verticals: int
    horizontals: int
    kind: int
    metres: float
    width: float
    length: float
    height: float


def read_lm63(path: Path, text: str) -> Web:
    """The web of an LM-63 file; UserError with the line of what is wrong."""
    lines = lines_of(text)
    tilt_at = next((at for at, line in enumerate(lines) if _tilt_of(line) is not None), None)
    if tilt_at is None:
        raise UserError(Fault(path, None, "", "this is no LM-63 file: it has no line that starts with TILT="))
    year = _edition(lines[: max(tilt_at, 1)])
    numbers = Numbers(path, split(enumerate(lines[tilt_at + 1 :], start=tilt_at + 2)), len(lines))
    tilt = _tilt(path, _tilt_of(lines[tilt_at]) or "", tilt_at + 1, numbers)
    head = _head(numbers)
    ballast = numbers.positive("the ballast factor")
    second = numbers.number("the second factor, after the ballast factor")
    if year <= SECOND_FACTOR_UNTIL and second <= 0.0:
        numbers.wrong(f"the ballast-lamp factor should be more than 0, not {second:g}")
    watts = numbers.number("the watts")
    factor = head.multiplier * ballast * (second if year <= SECOND_FACTOR_UNTIL else 1.0)
    kind = KINDS[head.kind]
    low = 0.0 if kind == "C" else -90.0
    vertical = numbers.rising(
        head.verticals, "the vertical angles", low=low, high=180.0 if kind == "C" else 90.0
    )
    ends = (0.0, 360.0) if kind == "C" else (-180.0, 180.0)
    horizontal = numbers.rising(head.horizontals, "the horizontal angles", low=ends[0], high=ends[1])
    turns_line = numbers.words[-numbers.left - 1][0]
    values = np.array(numbers.intensities(head.verticals * head.horizontals)) * factor
    table = values.reshape(head.horizontals, head.verticals)
    _nothing_more(numbers)
    if table.max() <= 0.0:
        numbers.wrong("every intensity is 0: there is no light in this file")
    if table.max() > LARGEST:
        numbers.wrong("the intensities with their factors are beyond all measure")
    if kind == "C":
        horizontal, table = _all_round(numbers, horizontal, table, line=turns_line)
    else:
        if len(horizontal) == 1:
            numbers.wrong(f"type {kind} photometry needs two horizontal angles or more", line=turns_line)
        horizontal, table = _mirrored(horizontal, table)
        vertical, upright = _mirrored(vertical, table.T)
        table = upright.T
    sides = [side * head.metres for side in (head.length, head.width, head.height)]
    opening = opening_of(length=sides[0], width=sides[1], height=sides[2], year=year)
    if kind == "A":
        # Straight down is -90 there: height runs along the pole, length ahead.
        opening = opening_of(length=sides[2], width=sides[1], height=sides[0], year=year)
    return Web(
        kind=kind,  # type: ignore[arg-type]
        vertical=np.radians(vertical),
        horizontal=np.radians(horizontal),
        candela=np.ascontiguousarray(table),
        opening=opening,
        edition=f"LM-63-{year}",
        watts=watts if watts > 0.0 else None,
        lamp_lumens=head.lamps * head.lumens_each if head.lamps and head.lumens_each > 0.0 else None,
        tilt=tilt,
    )


def _tilt_of(line: str) -> str | None:
    found = re.match(r"\s*TILT\s*=\s*(.*)", line, re.IGNORECASE)
    return None if found is None else found.group(1).strip().strip('"')


def _edition(header: Sequence[str]) -> int:
    first = next((line for line in header if line.strip()), "")
    found = FIRST_LINE.fullmatch(first.replace(" ", "").strip())
    if found is None:
        return 1986
    year = int(found.group(1))
    return year if year > 100 else year + (1900 if year > 50 else 2000)


def _head(numbers: Numbers) -> _Head:
    lamps = numbers.count("the number of lamps", least=0, most=100_000)
    lumens = numbers.number("the lumens of a lamp")
    multiplier = numbers.positive("the candela multiplier")
    verticals = numbers.count("the number of vertical angles", least=2, most=MOST_ANGLES)
    horizontals = numbers.count("the number of horizontal angles", least=1, most=MOST_ANGLES)
    if verticals * horizontals > MOST_VALUES:
        numbers.wrong(
            f"{verticals} by {horizontals} angles are more than the {MOST_VALUES} values that a table may have"
        )
    kind = numbers.count("the photometric type (1 for C, 2 for B, 3 for A)", least=1, most=3)
    metres = METRES[numbers.count("the unit (1 for feet, 2 for metres)", least=1, most=2)]
    sides = []
    for what in ("width", "length", "height"):
        side = numbers.number(f"the {what} of the luminous opening")
        if abs(side) * metres > LARGEST_OPENING:
            numbers.wrong(
                f"the {what} of the luminous opening is {abs(side) * metres:g} m; its unit is feet or metres"
            )
        sides.append(side)
    return _Head(lamps, lumens, multiplier, verticals, horizontals, kind, metres, *sides)


def _tilt(path: Path, word: str, line: int, numbers: Numbers) -> Tilt | None:
    """What TILT= says: nothing, numbers that follow, or a file beside this one."""
    if word.upper() == "NONE":
        return None
    if word.upper() == "INCLUDE":
        return _tilt_table(numbers)
    if not word:
        raise UserError(Fault(path, line, "", "TILT= should say NONE, INCLUDE or the name of a file"))
    # Only a file beside it: what was a path on the laboratory's machine is none here.
    name = re.split(r"[\\/]", word)[-1]
    if not name.isprintable() or name in ("", ".", ".."):
        raise UserError(Fault(path, line, "", "TILT= should say NONE, INCLUDE or the name of a file"))
    beside = path.parent / name
    try:
        text = text_of(beside)
    except UserError:
        raise UserError(Fault(path, line, "", f'there is no tilt file "{name[:80]}" beside it')) from None
    lines = lines_of(text)
    return _tilt_table(Numbers(beside, split(enumerate(lines, start=1)), len(lines)))


def _tilt_table(numbers: Numbers) -> Tilt:
    geometry = numbers.count("the lamp's place in the luminaire", least=1, most=3)
    count = numbers.count("the number of tilt angles", least=1, most=MOST_ANGLES)
    angles = numbers.rising(count, "the tilt angles", low=0.0, high=180.0)
    factors = numbers.row(count, "the tilt factors")
    if min(factors) < 0.0 or max(factors) > 100.0 or max(factors) == 0.0:
        numbers.wrong("tilt factors go from 0 up, about 1, and not all are 0")
    return Tilt(geometry, np.radians(angles), np.array(factors))


def _all_round(
    numbers: Numbers, horizontal: list[float], table: Floats, *, line: int
) -> tuple[list[float], Floats]:
    """Type C planes from 0 to 360 degrees, by the symmetry that the last of them stands for."""
    if len(horizontal) == 1:
        return [0.0], table
    first, last = horizontal[0], horizontal[-1]
    turns = np.array(horizontal)
    if (first, last) == (90.0, 270.0):
        # The half to the other side of the plane 90-270: first what lies from 270 on, then what comes before 90.
        across = (540.0 - turns[-2::-1]) % 360.0
        turns = np.concatenate([turns, across])
        order = np.argsort(turns, kind="stable")
        turns, table = turns[order], np.concatenate([table, table[-2::-1]])[order]
        turns, keep = np.unique(turns, return_index=True)
        table = table[keep]
        return _closed(turns, table)
    if first != 0.0:
        numbers.wrong(
            f"the horizontal angles start at {first:g}; they should start at 0, or go from 90 to 270",
            line=line,
        )
    if last == 90.0:
        turns, table = np.append(turns, 180.0 - turns[-2::-1]), np.concatenate([table, table[-2::-1]])
        last = 180.0
    if last == 180.0:
        turns, table = np.append(turns, 360.0 - turns[-2::-1]), np.concatenate([table, table[-2::-1]])
        last = 360.0
    if last == 360.0:
        return turns.tolist(), table
    if 360.0 - last <= WIDEST_GAP * float(np.diff(turns).max()):
        return _closed(turns, table)
    return numbers.wrong(
        f"the horizontal angles end at {last:g}; they should end at 0, 90, 180 or 360 degrees", line=line
    )


def _closed(turns: Floats, table: Floats) -> tuple[list[float], Floats]:
    """With the plane at 0 once more at 360; made between its neighbours where there is none at 0."""
    if turns[0] == 0.0:
        return np.append(turns, 360.0).tolist(), np.concatenate([table, table[:1]])
    gap = turns[0] + 360.0 - turns[-1]
    share = (360.0 - turns[-1]) / gap
    seam = (table[-1] + share * (table[0] - table[-1]))[None]
    return [0.0, *turns.tolist(), 360.0], np.concatenate([seam, table, seam])


def _mirrored(angles: list[float], table: Floats) -> tuple[list[float], Floats]:
    """Types A and B: angles from 0 stand for the other side as well; rows of the table are theirs."""
    if angles[0] != 0.0:
        return angles, table
    return [-angle for angle in angles[:0:-1]] + angles, np.concatenate([table[:0:-1], table])


def _nothing_more(numbers: Numbers) -> None:
    """Whether what follows is not numbers: those would mean that the counts of angles are wrong."""
    more = 0
    for line, word in numbers.rest():
        if not NUMBER.fullmatch(word):
            break
        more += 1
        if more == 1:
            first = line
    if more:
        numbers.wrong(
            f"{more} numbers are left over after the candela values: the angles are not as many as the file says",
            line=first,
        )
