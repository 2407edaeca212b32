"""Whether what colours a fixture is whole: the lamp it is made with, what it is mixed to, files of gels."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from preview.faults import Fault, UserError
from preview.light.gel_files import read_gel
from preview.light.lamps import is_settable
from preview.script.document import Keys
from preview.script.models.fixtures import Fixture
from preview.script.models.heads import Head, Mixed
from preview.script.models.practicals import Practical
from preview.script.quantities import shown
from preview.script.words import unknown
from preview.trade.catalogue import names, spectrum

Found = Iterator[tuple[Keys, str]]

DAYLIGHT_FROM_K = 4000.0
"""Where the daylight series starts. Source: CIE 15:2004 section 3.1."""


def colour_misfits(fixture: Fixture, keys: Keys, folder: Path) -> Found:
    """Files lie in or below `folder`, the script's own."""
    for thing in ("head", "practical"):
        made = getattr(fixture, thing)
        if isinstance(made, Head | Practical):
            yield from _lamp(made, (*keys, thing))
    if fixture.mix is not None:
        yield from _mix(fixture.mix, (*keys, "mix"))
        lamp = fixture.head.lamp if isinstance(fixture.head, Head) else None
        if isinstance(fixture.head, Head) and not (lamp in names("spectra") and spectrum(str(lamp)).emitters):
            yield (*keys, "mix"), "a head described here mixes if it says so: lamp: led-mix"
        elif isinstance(fixture.head, Head) and fixture.kelvin is not None:
            yield (*keys, "kelvin"), "the kelvin of a mix is written in it"
    for place, item in enumerate(fixture.through):
        if item.gel is not None and not isinstance(item.gel, str):
            for why in _gel_file(folder, item.gel.file):
                yield (*keys, "through", place, "gel", "file"), why


def _lamp(made: Head | Practical, keys: Keys) -> Found:
    """A lamp of one colour has no kelvin beside it."""
    if made.lamp is None:
        return
    if made.lamp not in names("spectra"):
        yield (*keys, "lamp"), unknown("lamp", made.lamp, names("spectra"))
        return
    if "kelvin" not in made.model_fields_set or made.kelvin is None:
        return
    if not is_settable(made.lamp):
        yield (
            (*keys, "kelvin"),
            f"{made.lamp} has one colour of its own, so it takes no kelvin; colour it with a gel",
        )
    elif spectrum(made.lamp).law == "daylight" and made.kelvin < DAYLIGHT_FROM_K:
        yield (
            (*keys, "kelvin"),
            f"daylight starts at {DAYLIGHT_FROM_K:g} K; give the lamp as white or tungsten",
        )


def _mix(mix: Mixed, keys: Keys) -> Found:
    if mix.kelvin is None and mix.hue is None and "green" not in mix.model_fields_set:
        yield keys, "a mix needs a white, such as {kelvin: 4300, green: -5}, or a hue, such as {hue: 220 deg}"
    if mix.hue is None and "saturation" in mix.model_fields_set:
        yield (*keys, "saturation"), "saturation goes with a hue, such as {hue: 220 deg, saturation: 60 %}"


def _gel_file(folder: Path, file: str) -> Iterator[str]:
    if not file.strip() or "\0" in file:
        yield "is missing: the name of a file beside the script, such as amber.csv"
        return
    try:
        read_gel(folder / file)
    except UserError as error:
        for fault in error.faults:
            if not isinstance(fault, Fault):
                yield fault
            elif fault.line is None:
                yield f"{shown(file)}: {fault.message}"
            else:
                yield f"{shown(file)}, line {fault.line}: {fault.message}"
