"""Look sweeps: looks that are made on the command line: a setting of the camera or of one fixture, at several values.

A step is a look as a script would have it, so that a cell can be pasted into one. Ranges go in steps that look alike:
levels, stops and ISO by equal ratios, colour temperatures by equal mireds.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import exp, log, log2
from typing import Any, Literal

from preview.commands.asked import read_option
from preview.faults import UserError
from preview.script import quantities
from preview.script.quantities import shown
from preview.script.scene import Scene
from preview.script.words import unknown
from preview.script.written import figures
from preview.sheets.answer.words import signed

Setting = Literal["balance", "stop", "iso", "tint", "level", "kelvin"]
Change = Mapping[str, Any]
"""What a look changes: groups of keys, as in a script."""

STEPS = 5
"""Of a range that does not say how many."""
MOST = 24
"""Pictures that a sheet compares: more are not looked at."""
_RANGE = re.compile(r"(.+?)\.\.(.+?)(?:/\s*([0-9]{1,3}))?")


@dataclass(frozen=True)
class Step:
    """`name`: what people call it; `value`: as it is written in a script."""

    name: str
    value: str
    change: Change


@dataclass(frozen=True)
class Sweep:
    """`option`: as it was given, for faults. `fixture`: whose `setting` it is; None for the camera's."""

    option: str
    setting: Setting
    fixture: str | None
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class _Kind:
    """How a setting is read, told and stepped: `rounded` is a value as one would set it."""

    read: Callable[[object], float]
    example: str
    unit: str
    over: Callable[[float], float]
    back: Callable[[float], float]
    rounded: Callable[[float], float]


def _figures(count: int) -> Callable[[float], float]:
    return lambda value: float(f"{value:.{count}g}")


def _tens(value: float) -> float:
    return 10.0 * round(value / 10.0)


_MIRED: dict[str, Callable[[float], float]] = {
    "over": lambda k: 1e6 / k,
    "back": lambda m: 1e6 / m,
    "rounded": _tens,
}
_RATIO: dict[str, Callable[[float], float]] = {"over": log, "back": exp}

KINDS: dict[Setting, _Kind] = {
    "balance": _Kind(quantities.kelvin, "3200,4400,5600", " K", **_MIRED),
    "kelvin": _Kind(quantities.kelvin, "2200,2700,3200", " K", **_MIRED),
    "level": _Kind(quantities.level, "25,50,100", " %", **_RATIO, rounded=_figures(2)),
    "stop": _Kind(quantities.number, "2,2.8,4", "", **_RATIO, rounded=_figures(2)),
    "iso": _Kind(quantities.number, "800,1600", "", **_RATIO, rounded=_figures(2)),
    "tint": _Kind(
        quantities.number, "-5,0,5", "", over=lambda t: t, back=lambda t: t, rounded=lambda t: round(t, 1)
    ),
}


_EXAMPLES: dict[Setting, str] = {
    "balance": "3200..5600",
    "kelvin": "2200..3200",
    "level": "25..100",
    "stop": "2..4",
    "iso": "400..1600",
    "tint": "-5..5",
}


def sweep_of(setting: Setting, text: str, scene: Scene) -> Sweep:
    """The sweep that an option asks for: `2,2.8,4`, `25..100`, `25..100/7`; for a fixture's, `NAME=` before it.

    UserError that names the option, for what cannot be read and for a fixture that is not there.
    """
    option, values, fixture = f"--{setting}", text, None
    if setting in ("level", "kelvin"):
        name, equals, values = text.rpartition("=")
        names = [one.name for one in scene.fixtures]
        example = f'{option} "{names[0] if names else "moon key"}={KINDS[setting].example}"'
        if not equals or not name.strip():
            raise UserError(f"{option}: say which fixture, then its values, such as {example}")
        fixture = next((known for known in names if known.lower() == name.strip().lower()), None)
        if fixture is None:
            raise UserError(f"{option}: {unknown('fixture', name.strip(), names)}")
    found = dict.fromkeys(_values(setting, values, option))
    if len(found) > MOST:
        raise UserError(f"{option}: {len(found)} values are more than a sheet compares; {MOST} are the most")
    return Sweep(
        f"{option} {text}", setting, fixture, tuple(_step(setting, fixture, value) for value in found)
    )


def _values(setting: Setting, text: str, option: str) -> Iterable[float]:
    kind = KINDS[setting]
    for part in text.split(","):
        part = part.strip()
        if not part:
            raise UserError(f"{option}: a value is missing in {shown(text)}; write {kind.example}")
        found = _RANGE.fullmatch(part)
        if found is None and ".." in part:
            raise UserError(
                f"{option}: {shown(part)} lacks an end; a range has two, such as {_EXAMPLES[setting]}"
            )
        if found is None:
            yield read_option(option, part, kind.read)
            continue
        low, high, count = found[1].strip(), found[2].strip(), int(found[3] or STEPS)
        unit = re.sub(r"^[-+−]?[0-9./ ]*", "", high)
        if unit and re.fullmatch(r"[-+−]?[0-9. ]+", low):
            low = f"{low} {unit}"
        start, end = read_option(option, low, kind.read), read_option(option, high, kind.read)
        if not 2 <= count <= MOST:
            raise UserError(f"{option}: {shown(part)} has {count} steps; a range has 2 to {MOST}")
        if start == end:
            raise UserError(f"{option}: {shown(part)} is no range, it ends where it starts")
        if setting != "tint" and min(start, end) <= 0.0:
            raise UserError(
                f"{option}: {shown(part)} goes in equal ratios, which never come to nothing; list the values, "
                f"such as {'off,25,50' if setting == 'level' else kind.example}"
            )
        a, b = kind.over(start), kind.over(end)
        yield start
        yield from (
            _as_set(setting, kind.back(a + (b - a) * step / (count - 1))) for step in range(1, count - 1)
        )
        yield end


def _as_set(setting: Setting, value: float) -> float:
    """A value between the ends of a range, as one would set it."""
    rounded = KINDS[setting].rounded(value)
    return next(
        (known for known in T_STOPS if setting == "stop" and abs(log2(known / value)) < 0.06), rounded
    )


T_STOPS = (0.7, 1.0, 1.4, 2.0, 2.8, 4.0, 5.6, 8.0, 11.0, 16.0, 22.0, 32.0)
"""As they are engraved. Source: ISO 517, the rounded series of whole stops (from memory)."""


def _step(setting: Setting, fixture: str | None, value: float) -> Step:
    kind = KINDS[setting]
    written = figures(100.0 * value if setting == "level" else value)
    value_as_written: Any = f"{written}{kind.unit}" if kind.unit else float(written)
    if fixture is not None:
        told = level_words(value) if setting == "level" else f"{written} K"
        return Step(f"{fixture} {told}", told, {"fixtures": {fixture: {setting: value_as_written}}})
    told = {
        "balance": f"balance {written} K",
        "stop": f"T{written}",
        "iso": f"ISO {written}",
        "tint": f"tint {trimmed(value, 0)}" if value else "no tint",
    }[setting]
    if setting == "stop":
        return Step(told, told, {"camera": {"lens": {"stop": value_as_written}}})
    return Step(told, told, {"camera": {setting: value_as_written}})


def level_words(level: float) -> str:
    """`50 %, −1 stop`: of full, both ways; `full`, `off`."""
    if level <= 0.0:
        return "off"
    if abs(level - 1.0) < 5e-4:
        return "full"
    return f"{100.0 * level:.3g} %, {stops_words(log2(level))}"


def trimmed(value: float, decimals: int = 1) -> str:
    """`−1.3`, `+2`, `0`: with its sign, without trailing zeros."""
    text = signed(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


def stops_words(stops: float) -> str:
    """`−1 stop`, `+2.5 stops`."""
    text = trimmed(stops)
    return f"{text} {'stop' if abs(float(text[1:] or 0)) <= 1.0 else 'stops'}"


def amount_words(stops: float) -> str:
    """`1 stop`, `2.5 stops`, whichever way."""
    return stops_words(abs(stops)).lstrip("+")


def together(changes: Sequence[Change]) -> dict[str, Any]:
    """Several looks as one, the later over the earlier."""
    whole: dict[str, Any] = {}
    for change in changes:
        for key, value in change.items():
            known = whole.get(key)
            if isinstance(value, Mapping) and isinstance(known, Mapping):
                value = together([known, value])
            whole[key] = value
    return whole


def refuse_many(sweeps: Sequence[Sweep], looks: Sequence[str]) -> None:
    """UserError for more than a grid, for one setting twice, and for more pictures than anybody looks at."""
    sides = [*((len(looks),) if looks and sweeps else ()), *(len(sweep.steps) for sweep in sweeps)]
    if len(sides) > 2:
        told = "--looks and one sweep" if looks else "two sweeps"
        raise UserError(f"{told} make a grid, rows and columns; leave out {sweeps[-1].option.split()[0]}")
    if len(sweeps) == 2 and (sweeps[0].setting, sweeps[0].fixture) == (sweeps[1].setting, sweeps[1].fixture):
        raise UserError(f"--{sweeps[0].setting}: {sweeps[0].fixture} is swept twice; put both in one list")
    cells = 1
    for side in sides:
        cells *= side
    if cells > MOST:
        by = " by ".join(str(side) for side in sides)
        raise UserError(
            f"{by} are {cells} pictures; {MOST} are the most that a sheet compares, so take fewer steps"
        )
