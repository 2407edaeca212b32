"""Rig words: how places, lux, angles and distances of rigs are said, and what is at each distance of a direction."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from math import degrees, floor, log2, log10
from typing import TYPE_CHECKING, Any

from preview.camera.bearing import Bearing, bearing
from preview.camera.exposure import footcandles
from preview.commands.rig.places import angle_between
from preview.commands.rig.units import Unit
from preview.script.words import listed_all
from preview.sheets.answer.words import plan_words, signed

if TYPE_CHECKING:
    from preview.camera.view import View
    from preview.commands.rig.around import Around
    from preview.commands.rig.places import Perch
    from preview.commands.rig.trial import Trial

UNLIT = -8.0
"""Stops under the mark's from which it is no light."""
ON_IT = 0.5
"""Degrees within which a rig is on the direction that is asked for."""


def stops_word(stops: float) -> str:
    """Against the mark, to a tenth; `no light` where so little comes that no camera sees it."""
    return "no light" if stops < UNLIT else signed(stops, 1)


def lux_words(lux: float) -> str:
    """`86.1 lux (8.0 fc)`: footcandles to two figures."""
    return f"{lux_figures(lux)} lux ({footcandle_figures(lux)} fc)"


def lux_figures(lux: float) -> str:
    """`0.15`, `8`, `86.1`, `2140`."""
    return f"{lux:.3g}" if lux < 1000 else f"{lux:.0f}"


def footcandle_figures(lux: float) -> str:
    """Footcandles of so many lux, to two figures: `0.014`, `8.0`, `93`."""
    value = footcandles(lux)
    digits = max(0, 1 - floor(log10(value))) if value > 0.0 else 0
    return f"{value:.{min(digits, 6)}f}"


def level_words(level: float) -> str:
    """`56 %`, `4.2 %`; 1 is full."""
    return f"{100.0 * level:.0f} %" if level >= 0.0995 else f"{100.0 * level:.2g} %"


def from_camera(perch: Perch, around: Around, view: View) -> Bearing:
    """How the camera sees the lamp from the mark."""
    return bearing(perch.at - around.mark.place, around.mark.place, view)


def north_of(around: Around) -> float:
    """Radians: the azimuth of the script's plan at which true north lies."""
    return 0.0 if around.scene.place is None else around.scene.place.north


def azimuth_words(around: Around, azimuth: float) -> str:
    """`ENE 62°`, or `54° of the plan, true ESE 107°`; radians."""
    return plan_words(degrees(azimuth), degrees(north_of(around)))


def bearing_words(around: Around, azimuth: float) -> tuple[str, ...]:
    """The same in as many columns as it takes: `ENE 62°`, or `54°` and `ESE 107°`."""
    plan, comma, true = azimuth_words(around, azimuth).partition(" of the plan, true ")
    return (plan, true) if comma else (plan,)


def kilowatts(unit: Unit) -> str:
    return f"{unit.watts / 1000.0:.3g} kW" if unit.watts >= 1000 else f"{unit.watts:.0f} W"


def cheat_words(around: Around, perch: Perch) -> str:
    """`15° clockwise on the plan and 3° lower`; empty for the direction that is asked for."""
    turn = (degrees(perch.azimuth - around.azimuth) + 180.0) % 360.0 - 180.0
    lower = degrees(around.elevation - perch.elevation)
    told = []
    if abs(turn) >= ON_IT:
        told.append(f"{abs(turn):.0f}° {'clockwise' if turn > 0 else 'anticlockwise'} on the plan")
    if abs(lower) >= ON_IT:
        told.append(f"{abs(lower):.0f}° {'lower' if lower > 0 else 'higher'}")
    return " and ".join(told)


def on_the_way(around: Around, perch: Perch) -> bool:
    """Whether a place lies on the very direction that is asked for."""
    return perch.azimuth == around.azimuth and abs(perch.elevation - around.elevation) < 1e-9


def numbered(numbers: Sequence[int], of: int) -> str:
    """`rig 2`, `rigs 1 and 3`, `rigs 2 to 5`, `all rigs`."""
    if len(numbers) == 1:
        return f"rig {numbers[0]}"
    if len(numbers) == of:
        return "all rigs"
    if len(numbers) > 2 and numbers[-1] - numbers[0] == len(numbers) - 1:
        return f"rigs {numbers[0]} to {numbers[-1]}"
    return f"rigs {listed_all([str(number) for number in numbers])}"


def named(names: Sequence[str]) -> str:
    """`"moon key" and "lane edge"`."""
    return listed_all([f'"{name}"' for name in names])


def along_rows(
    around: Around, perches: Sequence[Perch], trials: Sequence[Trial]
) -> list[tuple[str, str, str, str]]:
    """What is at each distance along the way asked for: off, lamp up, what is against it, what would help."""
    numbers: dict[int, list[int]] = {}
    for number, trial in enumerate(trials, 1):
        numbers.setdefault(id(trial.candidate.perch), []).append(number)
    here = [perch for perch in perches if on_the_way(around, perch)]
    rows = []
    helps = {id(perch): perch.remedy or _aside(around, perch, perches) for perch in here if perch.why}
    for _, group in groupby(here, key=lambda perch: (_kind(perch.why), helps.get(id(perch), ""))):
        some = list(group)
        told = sorted(number for perch in some for number in numbers.get(id(perch), []))
        lifts = list(dict.fromkeys(perch.lift.name for perch in some if perch.lift is not None))
        why = (
            some[0].why if len(some) == 1 or "m up" not in some[0].why else "higher than any lift of the list"
        )
        free = f"free: {', '.join(lifts)}" + (f"; {numbered(told, len(trials))}" if told else "")
        rows.append(
            (
                _range([perch.off for perch in some]),
                _range([perch.height for perch in some]),
                why or free,
                helps.get(id(some[0]), ""),
            )
        )
    return rows


def _aside(around: Around, perch: Perch, perches: Sequence[Perch]) -> str:
    """The nearest free way at the same throw, in words."""
    free = [one for one in perches if not one.why and one.throw == perch.throw]
    if not free:
        return ""
    return f"free {cheat_words(around, min(free, key=lambda one: angle_between(around, one)))}"


def _kind(why: str) -> str:
    return "lift" if "no lift" in why else why


def _range(values: Sequence[float]) -> str:
    first, last = f"{values[0]:.1f}", f"{values[-1]:.1f}"
    return first if first == last else f"{first} to {last}"


def stops_off(read_lux: float, asked_lux: float) -> float:
    return log2(read_lux / asked_lux)


def yaml_line(data: Any) -> str:
    """Plain values as one line of YAML."""
    import yaml

    return str(
        yaml.safe_dump(data, default_flow_style=True, sort_keys=False, width=10_000, allow_unicode=True)
    ).strip()
