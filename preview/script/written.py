"""Values as a person would write them in a script: the way back from the units used inside."""

from __future__ import annotations

from collections.abc import Sequence
from math import degrees
from typing import Any

from preview.script.fields import Place, Quantity


def figures(value: float) -> str:
    """A number with at most six figures and no trailing zeros."""
    text = f"{round(value, 6):.6g}"
    return f"{float(text):.0f}" if "e+" in text else text


def quantity(value: float, kind: str | None) -> str:
    """A number in the unit of its kind: `180 deg`, `2.8 m`, `100 %`."""
    unit = {
        "length": " m",
        "millimetres": " mm",
        "angle": " deg",
        "kelvin": " K",
        "level": " %",
        "stops": " stops",
        "lux": " lux",
        "mired": " mired",
        "sky": " magnitudes to the square arc second",
    }.get(kind or "", "")
    if kind == "angle":
        value = degrees(value)
    if kind == "level":
        value *= 100
    return figures(value) + unit


def place(value: Place) -> str:
    """A place as coordinates, a name, or both."""
    coordinates = "[" + ", ".join(figures(part) for part in value.offset) + "]"
    above = "" if value.above is None else f", above: {figures(value.above)}"
    if value.of is None:
        plan = "[" + ", ".join(figures(part) for part in value.offset[:2]) + "]"
        return coordinates if value.above is None else f"{{at: {plan}{above}}}" if value.above else plan
    moved = "" if value.offset == (0.0, 0.0, 0.0) else f", offset: {coordinates}"
    return f"{{of: {value.of}{moved}{above}}}" if moved or above else value.of


def value(anything: Any, metadata: Sequence[Any] = ()) -> str:
    """Any value of a field, given the metadata of the field's type."""
    kind = next((part.kind for part in metadata if isinstance(part, Quantity)), None)
    if anything is None:
        return "none"
    if isinstance(anything, bool):
        return "yes" if anything else "no"
    if isinstance(anything, Place):
        return place(anything)
    if isinstance(anything, int | float):
        return quantity(anything, kind)
    if isinstance(anything, list | tuple):
        return "[" + ", ".join(value(part, metadata) for part in anything) + "]"
    return str(anything)
