"""Gel files: a user's own measurement of a gel, wavelength in nm and transmission 0 to 1, line by line.

Values between commas, semicolons, tabs or blanks; with semicolons, tabs or blanks a decimal comma is read too. A
header before the first row, empty lines, and comments after # are passed over.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from math import isfinite
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preview.faults import Fault, UserError
from preview.light.spectrum import WAVELENGTHS

Floats = NDArray[np.float64]

MOST_BYTES = 1_000_000
MUST_COVER_NM = (400.0, 700.0)
"""What the eye sees 99.9 % of light in; outside it the last value is kept."""
LARGEST_GAP_NM = 25.0
"""A wider step between rows says too little of an edge."""


def read_gel(path: Path) -> Floats:
    """Transmission (81,) on the grid of preview/light/spectrum.py, read-only. UserError with the file and its line.

    A finer table is averaged over each 5 nm with the weight of a triangle 10 nm wide, a coarser one goes straight
    between its rows.
    """
    try:
        status = path.stat()
    except (OSError, ValueError):
        raise _fault(path, None, "there is no such file") from None
    if not path.is_file():
        raise _fault(path, None, "this is not a file with a table")
    if status.st_size > MOST_BYTES:
        raise _fault(path, None, "this is no table of a gel: it has more than 1 MB")
    return _read(path, status.st_mtime_ns, status.st_size)


@lru_cache(maxsize=64)
def _read(path: Path, _changed: int, _size: int) -> Floats:
    try:
        text = path.read_bytes().decode("utf-8-sig", errors="replace")
    except OSError as problem:
        raise _fault(path, None, f"it cannot be read ({problem.strerror})") from None
    return gel_of_text(text, path)


def gel_of_text(text: str, path: Path) -> Floats:
    """The transmission that a file's text tells, as `read_gel`."""
    rows = _rows(text, path)
    if not rows:
        raise _fault(path, None, "no table of wavelength (nm) and transmission (0 to 1) is in it")
    if len(rows) == 1:
        raise _fault(path, rows[0][0], "too few rows: one is no table")
    _check(rows, path)
    wavelengths = np.array([nm for _, nm, _ in rows])
    values = np.array([value for _, _, value in rows])
    step = WAVELENGTHS[1] - WAVELENGTHS[0]
    if np.median(np.diff(wavelengths)) < 0.9 * step:
        offsets = np.linspace(-step, step, 41)[1:-1]
        weights = 1.0 - np.abs(offsets) / step
        fine = np.interp(WAVELENGTHS[:, None] + offsets, wavelengths, values)
        passes = fine @ weights / weights.sum()
    else:
        passes = np.interp(WAVELENGTHS, wavelengths, values)
    passes.flags.writeable = False
    return np.asarray(passes)


def _rows(text: str, path: Path) -> list[tuple[int, float, float]]:
    """Line number, nm and transmission of each row."""
    rows: list[tuple[int, float, float]] = []
    for number, line in enumerate(text.splitlines(), start=1):
        words = _words(line.partition("#")[0])
        if not words or (not rows and not words[0].lstrip("+-.")[:1].isdigit()):
            continue  # empty, or of the header
        if len(words) != 2:
            found = f"{len(words)} values" if len(words) > 1 else "one value"
            raise _fault(path, number, f"a wavelength and a transmission are needed, not {found}")
        nm, value = _number(words[0]), _number(words[1])
        if nm is None or value is None:
            raise _fault(path, number, f'"{_short(words[0 if nm is None else 1])}" is not a number')
        rows.append((number, nm, value))
    return rows


def _words(line: str) -> list[str]:
    mark = next((mark for mark in ";\t" if mark in line), None)
    if mark is not None:
        words = line.replace(",", ".").split(mark)
    elif "," in line and (len(line.split()) != 2 or ", " in line.strip()):
        words = line.split(",")
    else:
        words = line.replace(",", ".").split()
    words = [word.strip().strip('"').strip() for word in words]
    while words and not words[-1]:
        words.pop()
    return words


def _number(word: str) -> float | None:
    try:
        value = float(word)
    except ValueError:
        return None
    return value if isfinite(value) and "_" not in word else None


def _check(rows: list[tuple[int, float, float]], path: Path) -> None:
    """UserError for rows that are no transmission of visible light."""
    values = [value for _, _, value in rows]
    for line, _, value in rows:
        if not 0.0 <= value <= 1.0:
            in_per_cent = 1.0 < max(values) <= 100.0 and min(values) >= 0.0
            hint = ": the table looks like per cent; divide it by 100" if in_per_cent else ""
            raise _fault(path, line, f"a transmission is from 0 to 1, not {value:g}{hint}")
    if not any(values):
        raise _fault(path, rows[0][0], "every transmission is 0: no light passes")
    steps = [(line, before, nm) for (_, before, _), (line, nm, _) in pairwise(rows)]
    for line, before, nm in steps:
        if nm <= before:
            raise _fault(path, line, f"wavelengths must rise from row to row: {nm:g} follows {before:g}")
    first, last = rows[0][1], rows[-1][1]
    low, high = MUST_COVER_NM
    if first > low or last < high:
        hint = "; are they in nm?" if last < 10.0 else ""
        reach = f"the wavelengths go from {first:g} to {last:g} and must reach from {low:g} to {high:g} nm"
        raise _fault(path, rows[0 if first > low else -1][0], reach + hint)
    for line, before, nm in steps:
        if nm - before > LARGEST_GAP_NM and nm > low and before < high:
            apart = f"no more than {LARGEST_GAP_NM:g} nm apart"
            raise _fault(
                path, line, f"too few rows: nothing between {before:g} and {nm:g} nm; they must be {apart}"
            )


def _fault(path: Path, line: int | None, message: str) -> UserError:
    return UserError(Fault(path, line, "", message))


def _short(word: str) -> str:
    return word if len(word) <= 20 else word[:19] + "…"
