"""Whether heads are whole and can do what is asked: one output, what a shape needs, angles, lenses, kelvin."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import degrees

from preview.script.document import Keys
from preview.script.models.fixtures import Fixture
from preview.script.models.heads import Head
from preview.script.quantities import shown
from preview.script.words import did_you_mean, listed
from preview.trade.catalogue import spectrum
from preview.trade.head_row import HeadRow

Found = Iterator[tuple[Keys, str]]

OUTPUTS = ("candela", "lumens", "reading")
NARROWEST_SKIRT = 1.01
"""Field angle over beam angle: below it the edge of the beam would be a step."""

_DEFINED = "the field is where the light falls to 10 %, the beam where it falls to 50 %"
_DEFINED_BACK = "it is where the light falls to 10 %, the beam where it falls to 50 %"


def head_misfits(head: Head, keys: Keys) -> Found:
    if head.photometry is not None:
        # Told in `sense_of_photometry`.
        return
    outputs = [key for key in OUTPUTS if getattr(head, key) is not None]
    if len(outputs) != 1:
        found = "none is" if not outputs else f"{' and '.join(outputs)} are"
        yield keys, f"a head needs exactly one of {listed(OUTPUTS)}; {found} given"
    needed, not_taken = {
        "beam": ("beam", ("size",)),
        "panel": ("size", ("aperture",)),
        "ball": ("aperture", ("size",)),
    }[head.shape]
    if getattr(head, needed) is None:
        how = {
            "beam": "its beam angle, such as beam: 40 deg",
            "panel": "its size, such as size: 1.2x0.3 m",
            "ball": "its diameter, such as aperture: 60 cm",
        }[head.shape]
        yield (*keys, needed), f"is missing: a head of the shape {head.shape} needs {how}"
    for key in not_taken:
        if getattr(head, key) is not None:
            yield (*keys, key), f"a head of the shape {head.shape} has no {key}"
    yield from beam_misfits(head.beam, head.field, keys, head.shape)


def beam_misfits(beam: float | None, field: float | None, keys: Keys, shape: str) -> Found:
    """What is wrong with a beam and a field angle (radians) of a head of this shape."""
    if shape == "ball":
        for key, angle in (("beam", beam), ("field", field)):
            if angle is not None:
                yield (*keys, key), f"a head of the shape ball has no {key}"
        return
    if beam is None and field is not None and shape == "panel":
        yield (*keys, "field"), "a field angle needs a beam angle beside it"
    if beam is not None and field is not None and field < NARROWEST_SKIRT * beam:
        told = f"({degrees(beam):g} deg)", f"({degrees(field):g} deg)"
        yield (
            (*keys, "field"),
            f"the beam {told[0]} is wider than its field {told[1]}: {_DEFINED}"
            if field < beam
            else f"the field {told[1]} must be wider than the beam {told[0]}: {_DEFINED_BACK}",
        )


SET_ON_A_HEAD = ("flood", "lens", "turn", "mix")
"""Keys of a fixture that only a head has."""


def setting_misfits(fixture: Fixture, keys: Keys, heads: Mapping[str, HeadRow]) -> Found:
    """What a fixture asks of its head that this head cannot do."""
    given = [key for key in SET_ON_A_HEAD if key in fixture.model_fields_set]
    if fixture.head is None:
        for key in given:
            yield (*keys, key), f"{key} goes with a head"
        return
    if isinstance(fixture.head, Head):
        for key, how in (("flood", "give its beam as it is set"), ("lens", "give its beam with that lens")):
            if key in given:
                yield (*keys, key), f"a head described here has none; {how}"
        return
    row = heads.get(fixture.head)
    if row is None:
        return
    lens = fixture.lens
    if lens is not None and lens not in row.outputs:
        yield (*keys, "lens"), _no_lens(row, lens)
    elif "flood" in given and (not row.outputs or row.output(lens).spot is None):
        with_lens = f" with the lens {lens or row.usual}" if row.lenses else ""
        focusing = [name for name in row.lenses if row.output(name).spot is not None]
        which = f"; it can with {' or '.join(focusing)}" if focusing else ""
        yield (*keys, "flood"), f"{row.name} cannot be focused{with_lens}{which}"
    if fixture.kelvin is not None:
        yield from _kelvin(row, fixture.kelvin, keys)
    if fixture.mix is not None and not (row.lamp is not None and spectrum(row.lamp).emitters):
        yield (
            (*keys, "mix"),
            f"{row.name} has one colour of light, so there is nothing to mix; colour it with a gel",
        )
    elif fixture.mix is not None and fixture.kelvin is not None:
        yield (*keys, "kelvin"), "the kelvin of a mix is written in it"


def _no_lens(row: HeadRow, lens: str) -> str:
    if not row.lenses:
        return f"{row.name} has no set of lenses"
    near = did_you_mean(lens, row.lenses)
    also = f'; did you mean "{near}"?' if near else f"; it has {', '.join(row.lenses)}"
    return f"no lens {shown(lens)} for {row.name}{also}"


def _kelvin(row: HeadRow, kelvin: float, keys: Keys) -> Found:
    """A lamp with a filament may be dimmed or metered as it is; other light is what the head can be set to."""
    if row.kelvins is not None:
        low, high = row.kelvins
        if not low <= kelvin <= high:
            yield (*keys, "kelvin"), f"{row.name} goes from {low:g} to {high:g} K, not to {kelvin:g} K"
    elif row.lamp is not None and not spectrum(row.lamp).filament and kelvin != row.kelvin:
        yield (
            (*keys, "kelvin"),
            f"{row.name} gives {row.kelvin:g} K and cannot be set; colour it with a gel or a shift",
        )
