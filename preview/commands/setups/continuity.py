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

Verdict = Literal["holds", "drifts", "lost", "as meant", "not compared"]

OTHER_SIDE: Final = 45.0
"""Degrees that a camera may stand round from another and still see the same edge of light and the same background. Common
practice, no source."""


@dataclass(frozen=True)
class Value:
    """A measure in one setup: `amount` in the row's unit, of levels not under the sensor's floor; None where there is none;
    `words` as shown, which then say why; `lux` behind it, where it is a level; `lost`: why a light that is on does not
    reach the figure."""

    setup: str
    amount: float | None
    words: str
    lux: float | None = None
    lost: str = ""


@dataclass(frozen=True)
class Row:
    """One measure of one figure over the setups. `differences` from the first that has it, by setup; `drifting`: those
    past the tolerance; `apart`: the differences of setups that see another side of it, which are not judged; `lost`: the
    setups in which the light does not reach the figure, as it does in the reference; `meant`: the cheats that account for
    what else is past the tolerance or lost, by setup."""

    figure: str
    measure: str
    kind: Kind
    unit: str
    values: tuple[Value, ...]
    reference: str | None
    differences: dict[str, float]
    drifting: tuple[str, ...]
    apart: dict[str, float]
    lost: tuple[str, ...] = ()
    meant: dict[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def verdict(self) -> Verdict:
        if self.drifting:
            return "drifts"
        if self.lost:
            return "lost"
        if self.meant:
            return "as meant"
        return "holds" if self.differences else "not compared"

    @property
    def fixture(self) -> str:
        """Of a row about a light that plays the moon, that light."""
        return self.measure.rpartition(",")[0]

    def told(self, setup: str) -> float:
        """The difference from the reference as it is told: of the figures as they are shown, so that they add up."""
        assert self.reference is not None
        before, now = self.value(self.reference).amount, self.value(setup).amount
        assert before is not None
        assert now is not None
        digits = 1 if self.unit == "stop" else 0
        before, now = round(before, digits), round(now, digits)
        return round(apart_deg(before, now) if self.kind == "azimuth" else now - before, digits)

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
    """The lights that play the moon for a figure: in each setup the key of them, and of all that are seen on it any that
    moves between setups, or is kept off in one."""
    found: dict[str, None] = {}
    places: dict[str, list[Source]] = {}
    came: dict[str, set[bool]] = {}
    for one in seen:
        lit = one.lit[figure]
        if not lit.in_frame:
            continue
        if lit.reaching:
            found[lit.reaching[0].fixture] = None
        for source in lit.moons:
            came.setdefault(source.fixture, set()).add(lit.reach[source.fixture].comes)
        for source in lit.reaching:
            places.setdefault(source.fixture, []).append(source)
    for name, sources in places.items():
        if len(came[name]) > 1 or any(
            abs(apart_deg(sources[0].azimuth_deg, each.azimuth_deg)) > 3.0 for each in sources
        ):
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
    lost = () if first is None else tuple(value.setup for value in values if value.lost)
    return Row(figure, measure, kind, unit, values, reference, differences, drifting, apart, lost)


def lux_words(lux: float) -> str:
    """`160 lx`, `6.5 lx`."""
    return f"{lux:.0f} lx" if lux >= 10.0 else f"{lux:.2g} lx"


def _stops(one: SetupSeen, stops: float | None, lux: float | None, nothing: str) -> Value:
    """A level as exposed; what is under the sensor's floor is compared as if it were on it, for nobody sees it."""
    floor = -one.ready.scene.camera.latitude.under
    if stops is None:
        return Value(one.name, floor, nothing, lux)
    shown = signed(stops) if stops >= floor else f"under {signed(floor)}"
    return Value(one.name, max(floor, stops), shown + ("" if lux is None else f" · {lux_words(lux)}"), lux)


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
        reach = lit.reach[fixture]
        if not reach.comes:
            return Value(one.name, None, "does not reach", lost=reach.why_not)
        if not reach.reaches:
            return Value(one.name, None, reach.why_not)
        amount = source.azimuth_deg if measure == "azimuth" else source.height_deg
        shown = round(amount) % 360 if measure == "azimuth" else round(amount)
        return Value(one.name, amount, f"{shown}°")

    return of
