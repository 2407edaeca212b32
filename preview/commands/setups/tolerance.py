"""Tolerance: how far light may differ between two setups before somebody sees it in the cut."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from math import degrees, isfinite
from typing import Final, Literal

from preview.faults import UserError
from preview.script import quantities
from preview.script.words import unknown

Kind = Literal[
    "key", "fill", "ratio", "rim", "background", "colour", "background_colour", "azimuth", "height"
]

_IN_DEGREES: Callable[[object], float] = lambda value: degrees(quantities.angle(value))  # noqa: E731
READERS: dict[str, tuple[Callable[[object], float], str]] = {
    **dict.fromkeys(("key", "fill", "ratio", "rim", "background"), (quantities.stops, "1/2 stop")),
    **dict.fromkeys(("colour", "background_colour"), (quantities.mired, "15 mired")),
    **dict.fromkeys(("azimuth", "height"), (_IN_DEGREES, "15 deg")),
}
"""By kind: what reads it, and an example."""


@dataclass(frozen=True)
class Tolerance:
    """Stops of key, fill, ratio, rim and background, mireds of the key's colour and of what is behind, degrees of the
    moon's azimuth and height.

    Common practice, no source: half a stop on a face is seen in a straight cut, a rim and what is behind may drift
    more, and another frame of it is of other things.
    """

    key: float = 0.5
    fill: float = 0.5
    ratio: float = 0.5
    rim: float = 2.0 / 3.0
    background: float = 2.0 / 3.0
    colour: float = 15.0
    background_colour: float = 40.0
    azimuth: float = 15.0
    height: float = 10.0

    def of(self, kind: Kind) -> float:
        value: float = getattr(self, kind)
        return value


USUAL: Final = Tolerance()


def tolerance_of(given: Sequence[str]) -> Tolerance:
    """The usual tolerance with what is given laid over it: `key=1/3 stop,colour=20`. UserError for what is none."""
    answer = USUAL
    known = [field.name.replace("_", " ") for field in fields(Tolerance)]
    for text in given:
        for part in text.split(","):
            kind, sign, value = (piece.strip() for piece in part.partition("="))
            if not sign or not value:
                raise UserError(
                    f'--tolerance: "{part.strip()}" is not a kind with its value; write key=1/2 or colour=15'
                )
            if kind not in known:
                raise UserError(f"--tolerance: {unknown('kind of drift', kind, known)}")
            field = kind.replace(" ", "_")
            reader, example = READERS[field]
            try:
                amount = reader(value)
            except ValueError as error:
                raise UserError(f"--tolerance: {kind}: {error}, as in {kind}={example}") from None
            if not isfinite(amount) or amount <= 0.0:
                raise UserError(
                    f"--tolerance: {kind} must be more than 0, as in {kind}={example}, not {value}"
                )
            answer = replace(answer, **{field: amount})
    return answer
