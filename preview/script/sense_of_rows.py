"""Whether the heads of a user's catalogue are whole: one way of saying what they give, and numbers that hang together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import degrees
from pathlib import Path

from preview.faults import UserError
from preview.light import beam as beams
from preview.light.photometry.read import web_of_file
from preview.script.document import Keys
from preview.script.models.catalogue_file import (
    ClothEntry,
    GelEntry,
    Given,
    GivenByLens,
    HeadEntry,
    LampEntry,
)
from preview.script.quantities import shown
from preview.script.sense_of_heads import beam_misfits
from preview.script.sense_of_photometry import in_script
from preview.script.words import listed, unknown
from preview.script.written import figures
from preview.trade.catalogue import names
from preview.trade.head_row import Shape

Found = Iterator[tuple[Keys, str]]

WAYS = {
    "candela": ("candela", "beam", "field"),
    "spot and flood": ("spot", "flood"),
    "lenses": ("lenses",),
    "photometry": ("photometry",),
}
"""The ways in which a row may say what its head gives, each with its keys."""
MOST_EFFICACY = 250.0
"""Lumens a watt. No white light can have many more: about 250 to 350 by its definition, from memory."""


@dataclass(frozen=True)
class Entries:
    """The rows of a file that are well formed, by name."""

    heads: Mapping[str, HeadEntry]
    gels: Mapping[str, GelEntry]
    cloths: Mapping[str, ClothEntry]
    lamps: Mapping[str, LampEntry]


def row_misfits(entries: Entries, folder: Path) -> Found:
    """Everything that keeps a row from being used. Files that rows name lie in or below `folder`."""
    for name, head in entries.heads.items():
        yield from _head(head, ("heads", name), folder)
    for name, gel in entries.gels.items():
        yield from _gel(gel, ("gels", name))
    for name, cloth in entries.cloths.items():
        yield from _cloth(cloth, ("cloths", name))
    for name, lamp in entries.lamps.items():
        yield from _lamp(lamp, ("lamps", name))


def _gel(entry: GelEntry, keys: Keys) -> Found:
    kinds = {
        "mired": bool(entry.mired or entry.duv),
        "green": entry.green is not None,
        "density": entry.density is not None,
        "bands": bool(entry.bands),
    }
    given = [kind for kind, is_given in kinds.items() if is_given]
    if len(given) != 1:
        found = "it has none" if not given else f"it has {' and '.join(given)}"
        yield keys, f"a gel says what it does by one of {listed(list(kinds))}; {found}"
    elif given[0] in ("mired", "green") and entry.stops is None:
        yield (*keys, "stops"), "is missing: say what the gel takes, such as stops: 0.5"
    elif given[0] in ("density", "bands") and entry.stops is not None:
        yield (*keys, "stops"), f"what it takes follows from its {given[0]}"
    if entry.bands and entry.floor == 0.0 and not any(_is_seen(*band) for band in entry.bands):
        yield (*keys, "bands"), "no visible light passes: a band between 400 and 700 nm or a floor is needed"
    for place, (low, high, _) in enumerate(entry.bands):
        if not low < high:
            yield (
                (*keys, "bands", place),
                f"a band goes from the shorter to the longer wave, not {low:g} to {high:g} nm",
            )


def _is_seen(low: float, high: float, share: float) -> bool:
    """Whether a band passes anything that the eye sees."""
    return share > 0.0 and min(low, high) < 700.0 and max(low, high) > 400.0


def _cloth(entry: ClothEntry, keys: Keys) -> Found:
    if entry.diffuse + entry.direct > 1.0:
        yield keys, "diffuse and direct together are more than 1: it passes more light than meets it"


def _lamp(entry: LampEntry, keys: Keys) -> Found:
    spectra = names("spectra")
    if entry.lamp is not None and entry.lamp not in spectra:
        yield (*keys, "lamp"), unknown("lamp", entry.lamp, spectra)


def _head(entry: HeadEntry, keys: Keys, folder: Path) -> Found:
    ways = [way for way, names in WAYS.items() if any(getattr(entry, name) for name in names)]
    if len(ways) != 1:
        found = "it has none" if not ways else f"it has {' and '.join(ways)}"
        yield keys, f"a head says what it gives by one of {listed(list(WAYS))}; {found}"
        return
    yield from _sizes(entry, keys)
    if entry.kelvins is not None and not entry.kelvins[0] < entry.kelvins[1]:
        yield (*keys, "kelvins"), "first the least, then the most that it can be set to"
    elif entry.kelvins is not None and not entry.kelvins[0] <= entry.kelvin <= entry.kelvins[1]:
        yield (*keys, "kelvin"), f"lies outside what it can be set to, {_range(entry.kelvins)}"
    if entry.usual is not None and entry.usual not in entry.lenses:
        why = unknown("lens", entry.usual, entry.lenses) if entry.lenses else "it has no lenses"
        yield (*keys, "usual"), why
    spectra = names("spectra")
    if entry.lamp is not None and entry.lamp not in spectra:
        yield (*keys, "lamp"), unknown("lamp", entry.lamp, spectra)
    if entry.photometry is not None:
        try:
            web_of_file(folder / entry.photometry)
        except UserError as error:
            yield (*keys, "photometry"), in_script(error)
        return
    for lens, given in (entry.lenses or {"": entry}).items():
        where = (*keys, "lenses", lens) if lens else keys
        if not lens.isprintable() or len(lens) > 60 or (entry.lenses and not lens.strip()):
            yield where, f"{shown(lens)} is no name for a lens: 1 to 60 printable letters"
        yield from _given_by_lens(given, where, entry)


def _sizes(entry: HeadEntry, keys: Keys) -> Found:
    needed, how = ("size", "size: [1.2, 0.3]") if entry.shape == "panel" else ("aperture", "aperture: 25 cm")
    lacking = getattr(entry, needed) is None and entry.photometry is None
    by_lens = needed == "aperture" and entry.lenses and all(each.aperture for each in entry.lenses.values())
    if lacking and not by_lens:
        yield (*keys, needed), f"is missing: a head of the shape {entry.shape} needs it, such as {how}"
    other = "aperture" if needed == "size" else "size"
    if getattr(entry, other) is not None:
        yield (*keys, other), f"a head of the shape {entry.shape} has no {other}"


def _given_by_lens(given: GivenByLens, keys: Keys, entry: HeadEntry) -> Found:
    if given.spot is None and given.flood is None:
        yield from _setting(given, keys, entry)
        return
    for one, other in (("spot", "flood"), ("flood", "spot")):
        if getattr(given, one) is None:
            yield (*keys, one), f"is missing: a head that has a {other} has a {one}"
    if given.candela is not None:
        yield (*keys, "candela"), "candela stand below spot and below flood, where there are those"
    if given.spot is None or given.flood is None:
        return
    faults = [
        *_setting(given.spot, (*keys, "spot"), entry),
        *_setting(given.flood, (*keys, "flood"), entry),
    ]
    yield from faults
    if faults:
        return
    spot, flood = given.spot, given.flood
    if spot.beam is None or flood.beam is None or spot.candela is None or flood.candela is None:
        yield (
            (*keys, "spot" if spot.beam is None else "flood", "beam"),
            "is missing: what is focused has a beam angle",
        )
    elif spot.beam >= flood.beam:
        yield (*keys, "spot", "beam"), "must be narrower than at flood"
    elif spot.candela <= flood.candela:
        yield (*keys, "spot", "candela"), "must be more than at flood"


def _setting(given: Given, keys: Keys, entry: HeadEntry) -> Found:
    if given.candela is None:
        yield (*keys, "candela"), "is missing: axial candela, such as candela: 9000 (lux at 10 m times 100)"
        return
    if entry.shape == "beam" and given.beam is None:
        yield (*keys, "beam"), "is missing: a head of the shape beam needs it, such as beam: 40 deg"
        return
    faults = list(beam_misfits(given.beam, given.field, keys, entry.shape))
    yield from faults
    if faults:
        return
    lumens = _lumens(given, entry.shape)
    if lumens > MOST_EFFICACY * entry.watts:
        beam = "" if given.beam is None else f" over {degrees(given.beam):.3g} deg"
        yield (
            (*keys, "candela"),
            f"{figures(given.candela)} candela{beam} are {figures(round(lumens))} lm, {lumens / entry.watts:.0f} for "
            f"each of its {entry.watts:g} watts: no lamp gives more than {MOST_EFFICACY:g}",
        )


def _lumens(given: Given, shape: Shape) -> float:
    assert given.candela is not None
    if shape == "ball":
        return given.candela / beams.ball_candela(1.0)
    if given.beam is None or given.field_angle is None:
        return beams.lambertian_lumens(given.candela)
    return beams.lumens(candela=given.candela, beam=given.beam, field=given.field_angle)


def _range(kelvins: tuple[float, float]) -> str:
    return f"{kelvins[0]:g} to {kelvins[1]:g} K"
