"""Unbroken: what of a text stands on one line: a number with its sign and unit, a date, a direction.

Told by spaces that do not break, wherever a text is laid out: on a sheet, on a page, in a terminal.
"""

from __future__ import annotations

import re
from functools import lru_cache

HOLD = "\N{NO-BREAK SPACE}"
# Longest first, so that the pattern takes the whole of a unit.
UNITS = (
    "degrees|minutes|seconds|mireds|metres|pixels|footcandles|kelvin|hours|mired|hour|stops|stop|deg|fps|lux|min|cm|mm|km|ft|lx|"
    "fc|cd|kW|kg|ms|lm|px|Hz|°C|m|K|W|V|A|s|h|%|°"
)
_MONTHS = "January|February|March|April|May|June|July|August|September|October|November|December"
_HELD = re.compile(
    rf"(?<=\d) (?=(?:{UNITS})(?!\w))"
    rf"|(?<=,) (?=(?:{UNITS})$)"
    r"|(?<=[<>≤≥≈~±+−]) (?=\d)"
    r"|(?<=[\d°]) (?=× \d)|(?<=×) (?=\d)"
    r"|(?<=\d h) (?=\d)|(?<=\d ft) (?=\d)|(?<=ISO) (?=\d)"
    r"|(?<=°) (?=(?:up|down|round|[NSEW])\b)|(?<=[NSEW]) (?=\d+(?:\.\d+)?°)"
    rf"|(?<=\d) (?=(?:{_MONTHS})\b)|(?<=Mon|Tue|Wed|Thu|Fri|Sat|Sun) (?=\d)"
)


@lru_cache(maxsize=1 << 14)
def bound(text: str) -> str:
    """The text with what stands on one line held together by spaces that do not break."""
    return _HELD.sub(HOLD, text)


def pieces(word: str) -> list[str]:
    """A word that is too long for a line, parted where it is held together: better there than in a number."""
    return word.split(HOLD)
