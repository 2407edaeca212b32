"""Gels in words: a line for each gel, or the stacks that take one light to another."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from preview.commands.gels import APART, CLOSE, SAME, End, Gel, Search, Stack
from preview.commands.table import plain_table

if TYPE_CHECKING:
    from rich.console import RenderableType

RIGHT = {"mired", "duv", "stops", "on", "off by", "comes out"}


def gels_text(found: Sequence[Gel] | Search) -> list[RenderableType]:
    return _stacks(found) if isinstance(found, Search) else _list(found)


def _list(found: Sequence[Gel]) -> list[RenderableType]:
    from rich.text import Text

    said = (
        "Shift in mireds (positive is warmer) and in thousandths of Duv (positive is greener), and stops lost, on a plain "
        "lamp of so many kelvin; on another lamp all three differ."
    )
    rows = [
        (
            gel.name,
            gel.does,
            _signed(gel.mired),
            _points(gel.duv),
            f"{gel.stops:.2f}",
            f"{gel.design_k:.0f} K",
        )
        for gel in found
    ]
    return [
        Text(said),
        Text(),
        plain_table(("gel", "does", "mired", "duv", "stops", "on"), rows, right=RIGHT),
    ]


def _stacks(found: Search) -> list[RenderableType]:
    from rich.text import Text

    said = [Text(f"From {_named(found.start)} to {_named(found.wanted)}.")]
    bare = found.bare
    if bare.error <= CLOSE:
        said.append(
            Text(
                f"No gel is needed: bare it {'matches' if bare.error <= SAME else 'is close'}, {_off(bare)}."
            )
        )
    if not found.stacks:
        return [*said, Text("No stack of up to three gels brings it nearer than no gel at all.")]
    best = found.stacks[0]
    if best.error > APART:
        said.append(Text(f"Nothing comes near: the nearest is off by {_off(best)}."))
    rows = [
        (stack.word, _off(stack), f"{stack.stops:.1f}", _kelvin(stack), " + ".join(stack.gels))
        for stack in found.stacks
    ]
    return [*said, Text(), plain_table(("", "off by", "stops", "comes out", "gels"), rows, right=RIGHT)]


def _named(end: End) -> str:
    reading = end.reading
    known = f"{reading.hue}" if reading.hue is not None else f"{reading.kelvin:.0f} K, duv {reading.duv:+.4f}"
    return f"{end.asked} ({known})"


def _off(stack: Stack) -> str:
    if stack.mired is None or stack.duv is None:
        return f"{stack.error:.3f} u'v'"
    # Adding nothing turns minus nothing into nothing.
    return f"{round(stack.mired) + 0:+d} mired, {round(1000.0 * stack.duv) + 0:+d} duv"


def _kelvin(stack: Stack) -> str:
    return stack.reading.hue if stack.reading.hue is not None else f"{stack.reading.kelvin:.0f} K"


def _signed(value: float | None) -> str:
    return "" if value is None else f"{value:+.0f}".replace("-0", "0").replace("+0", "0")


def _points(duv: float | None) -> str:
    return _signed(None if duv is None else 1000.0 * duv)
