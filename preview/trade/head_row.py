"""Head row: what is known of a lamp head: its outputs by setting, its sizes, what it takes and how it behaves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import radians
from pathlib import Path
from typing import Any, Literal

Shape = Literal["beam", "panel", "ball"]
Dims = Literal["dimmer", "itself", "to 50 %", "no"]
"""By what a head dims: a dimmer on its feed, its own control, its ballast down to half, or not at all."""
Ballast = Literal["none", "magnetic", "electronic", "driver"]

SETTING = ("candela", "beam", "field")
OUTPUT = (*SETTING, "spot", "flood")
"""What says what a head gives, in its row or with one of its lenses."""


@dataclass(frozen=True)
class Setting:
    """`candela`: axial, bare, at full level; `beam`, `field`: full angles in radians, None for an even panel or ball."""

    candela: float
    beam: float | None = None
    field: float | None = None


@dataclass(frozen=True)
class Output:
    """A head's setting, the one at full flood where it can be focused; `spot` None where it cannot.

    `aperture`: metres, of what shines with this lens, where that is not the head's own.
    """

    flood: Setting
    spot: Setting | None = None
    aperture: float | None = None


@dataclass(frozen=True)
class HeadRow:
    """A bare head at full level; lengths in metres.

    `outputs`: by lens; one under "" for a head without a set of lenses; none where `photometry`, a file, tells them.
    `aperture`: diameter of a beam's front or of a ball; `size`: width and height of a panel. `body`: width, height and
    depth of the housing. `weight`: kg, without stand and ballast. `kelvins`: least and most of a head that is set in
    kelvin. `flicker`: percent flicker, highest less lowest over their sum, at twice the mains frequency.
    """

    name: str
    shape: Shape
    watts: float
    kelvin: float
    source: str
    outputs: Mapping[str, Output] = field(default_factory=dict)
    usual: str = ""
    aperture: float | None = None
    size: tuple[float, float] | None = None
    body: tuple[float, float, float] | None = None
    weight: float | None = None
    lamp: str | None = None
    kelvins: tuple[float, float] | None = None
    dims: Dims | None = None
    flicker: float | None = None
    ballast: Ballast | None = None
    setting: str = ""
    photometry: Path | None = None

    @property
    def lenses(self) -> tuple[str, ...]:
        """The names of its lenses; none where it has no set of them."""
        return tuple(name for name in self.outputs if name)

    def output(self, lens: str | None = None) -> Output:
        """With a lens of its set, by default its usual one; KeyError for another."""
        return self.outputs[self.usual if lens is None else lens]


def head_row(name: str, written: Mapping[str, Any]) -> HeadRow:
    """A row of heads.yaml, whose bare numbers are candela, degrees, metres, kilograms, watts and kelvin."""
    rest: dict[str, Any] = {
        key: tuple(value) if isinstance(value, list) else value
        for key, value in written.items()
        if key not in (*OUTPUT, "lenses")
    }
    outputs = {lens: _output(inner) for lens, inner in written.get("lenses", {"": written}).items()}
    return HeadRow(name, outputs=outputs, **rest)


def _output(written: Mapping[str, Any]) -> Output:
    if "flood" in written:
        return Output(_setting(written["flood"]), _setting(written["spot"]), written.get("aperture"))
    return Output(_setting(written), None, written.get("aperture"))


def _setting(written: Mapping[str, Any]) -> Setting:
    angles = [radians(written[key]) if key in written else None for key in ("beam", "field")]
    return Setting(written["candela"], *angles)
