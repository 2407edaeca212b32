"""Continuity: what light is on each figure from setup to setup, and whether it holds in the cut or drifts.

Levels are compared as they are exposed, in stops from 18 % grey, since that is what is cut together; lux are said beside
them. Each setup is held against the widest in which the figure is seen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

from preview.commands.setups.moon_side import Source, apart_deg
from preview.commands.setups.seen import Lit, SetupSeen
from preview.commands.setups.tolerance import Kind, Tolerance
from preview.light.colour import chromaticity
from preview.light.colour_reading import ColourReading, read_xy
from preview.sheets.answer.words import signed

Verdict = Literal["holds", "drifts", "as meant", "not compared"]

OTHER_SIDE: Final = 45.0
"""Degrees that a camera may stand round from another and still see the same edge of light and the same background. Common
practice, no source."""


@dataclass(frozen=True)
class Value:
    """A measure in one setup: `amount` in the row's unit, of levels not under the sensor's floor; None where there is none;
    `words` as shown, which then say why; `lux` behind it, where it is a level."""

    setup: str
    amount: float | None
    words: str
    lux: float | None = None


@dataclass(frozen=True)
class Row:
    """One measure of one figure over the setups. `differences` from the first that has it, by setup; `drifting`: those
    past the tolerance; `apart`: the differences of setups that see another side of it, which are not judged; `meant`: the
    cheats that account for what else is past the tolerance, by setup."""

    figure: str
    measure: str
    kind: Kind
    unit: str
    values: tuple[Value, ...]
    reference: str | None
    differences: dict[str, float]
    drifting: tuple[str, ...]
    apart: dict[str, float]
    meant: dict[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def verdict(self) -> Verdict:
        if not self.differences:
            return "not compared"
        if self.drifting:
            return "drifts"
        return "as meant" if self.meant else "holds"

    def value(self, setup: str) -> Value:
        return next(value for value in self.values if value.setup == setup)


def rows_of(figure: str, seen: Sequence[SetupSeen], tolerance: Tolerance) -> tuple[Row, ...]:
    """Every measure of one figure over the setups, widest first."""
    rows = [
        _row(figure, "key", "key", "stop", seen, tolerance, _level(lambda lit: lit.face.key_stops, _key_lux)),
        _row(
            figure,
            "fill",
            "fill",
            "stop",
            seen,
            tolerance,
            _level(lambda lit: lit.face.fill_stops, _fill_lux),
        ),
        _row(figure, "key to fill", "ratio", "stop", seen, tolerance, _ratio),
        _row(figure, "rim", "rim", "stop", seen, tolerance, _rim),
        _row(figure, "behind", "background", "stop", seen, tolerance, _background),
        _row(figure, "key colour", "colour", "mired", seen, tolerance, _key_colour),
        _row(figure, "colour behind", "background_colour", "mired", seen, tolerance, _colour_behind),
    ]
    for fixture in moons_of(figure, seen):
        for measure, kind in (("azimuth", "azimuth"), ("height", "height")):
            of = _of_moon(fixture, measure)
            rows.append(_row(figure, f"{fixture}, {measure}", kind, "°", seen, tolerance, of))  # type: ignore[arg-type]
    return tuple(rows)


def moons_of(figure: str, seen: Sequence[SetupSeen]) -> tuple[str, ...]:
    """The lights that play the moon for a figure: in each setup the key of them, and any that moves between setups."""
    found: dict[str, None] = {}
    places: dict[str, list[Source]] = {}
    for one in seen:
        lit = one.lit[figure]
        if lit.in_frame and lit.moons:
            found[lit.moons[0].fixture] = None
        for source in lit.moons if lit.in_frame else ():
            places.setdefault(source.fixture, []).append(source)
    for name, sources in places.items():
        if any(abs(apart_deg(sources[0].azimuth_deg, each.azimuth_deg)) > 3.0 for each in sources):
            found[name] = None
    return tuple(found)


Measure = Callable[[SetupSeen, Lit], Value]


def _row(
    figure: str,
    measure: str,
    kind: Kind,
    unit: str,
    seen: Sequence[SetupSeen],
    tolerance: Tolerance,
    of: Measure,
) -> Row:
    values = tuple(of(one, one.lit[figure]) for one in seen)
    first = next((number for number, value in enumerate(values) if value.amount is not None), None)
    differences, apart = dict[str, float](), dict[str, float]()
    if first is not None:
        start, camera = values[first].amount, seen[first].lit[figure].camera_deg
        assert start is not None
        for one, value in list(zip(seen, values, strict=True))[first + 1 :]:
            if value.amount is None:
                continue
            moved = abs(apart_deg(camera, one.lit[figure].camera_deg))
            round_ = kind == "azimuth"
            by = apart_deg(start, value.amount) if round_ else value.amount - start
            if moved > OTHER_SIDE and kind in ("rim", "background", "background_colour"):
                apart[one.name] = by
            else:
                differences[one.name] = by
    drifting = tuple(name for name, each in differences.items() if abs(each) > tolerance.of(kind) + 1e-9)
    reference = None if first is None else seen[first].name
    return Row(figure, measure, kind, unit, values, reference, differences, drifting, apart)


def lux_words(lux: float) -> str:
    """`160 lx`, `6.5 lx`."""
    return f"{lux:.0f} lx" if lux >= 10.0 else f"{lux:.2g} lx"


def _stops(one: SetupSeen, stops: float | None, lux: float | None, nothing: str) -> Value:
    """A level as exposed; what is under the sensor's floor is compared as if it were on it, for nobody sees it."""
    floor = -one.ready.scene.camera.latitude.under
    if stops is None:
        return Value(one.name, floor, nothing, lux)
    return Value(
        one.name, max(floor, stops), signed(stops) + ("" if lux is None else f" · {lux_words(lux)}"), lux
    )


def _key_lux(lit: Lit) -> float | None:
    return None if lit.face.key is None else lit.face.key.key_lux


def _fill_lux(lit: Lit) -> float | None:
    return None if lit.face.key is None else lit.face.key.fill_lux


def _level(stops: Callable[[Lit], float | None], lux: Callable[[Lit], float | None]) -> Measure:
    def of(one: SetupSeen, lit: Lit) -> Value:
        if lit.unseen:
            return Value(one.name, None, lit.unseen)
        return _stops(one, stops(lit), lux(lit), "no light")

    return of


def _ratio(one: SetupSeen, lit: Lit) -> Value:
    if lit.unseen:
        return Value(one.name, None, lit.unseen)
    if lit.face.key is None:
        return Value(one.name, None, "no light")
    ratio = lit.face.key.ratio
    if ratio is None:
        return Value(one.name, None, "no fill")
    return Value(one.name, ratio.stops, f"{ratio.stops:.1f} · {ratio.to_one:.3g}:1")


def _rim(one: SetupSeen, lit: Lit) -> Value:
    if not lit.in_frame:
        return Value(one.name, None, lit.unseen)
    most = max(lit.face.hair_lux, *lit.face.shoulders_lux)
    return _stops(one, lit.face.rim_stops, most, "no light")


def _background(one: SetupSeen, lit: Lit) -> Value:
    if not lit.in_frame:
        return Value(one.name, None, lit.unseen)
    return _stops(one, lit.behind.stops, None, "black")


def _key_colour(one: SetupSeen, lit: Lit) -> Value:
    return Value(one.name, None, lit.unseen) if lit.unseen else _coloured(one, lit.face.key_colour)


def _colour_behind(one: SetupSeen, lit: Lit) -> Value:
    stops = lit.behind.stops
    if lit.in_frame and (stops is None or stops < -one.ready.scene.camera.latitude.under):
        return Value(one.name, None, "under the floor")
    return _coloured(one, lit.behind.colour) if lit.in_frame else Value(one.name, None, lit.unseen)


def _coloured(one: SetupSeen, colour: ColourReading | None) -> Value:
    """A colour against the balance, in mireds, warmer positive."""
    if colour is None:
        return Value(one.name, None, "no light")
    if colour.hue is not None:
        return Value(one.name, None, colour.hue)
    off = colour.mired - read_xy(chromaticity(cct_k=one.ready.scene.camera.balance)).mired
    return Value(one.name, off, signed(off, 0))


def _of_moon(fixture: str, measure: str) -> Measure:
    def of(one: SetupSeen, lit: Lit) -> Value:
        if not lit.in_frame:
            return Value(one.name, None, lit.unseen)
        source = next((each for each in lit.moons if each.fixture == fixture), None)
        if source is None:
            return Value(one.name, None, "off")
        amount = source.azimuth_deg if measure == "azimuth" else source.height_deg
        return Value(one.name, amount, f"{amount:.0f}°")

    return of
