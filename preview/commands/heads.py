"""Heads: the catalogue's lamp heads, those that answer to some words, with what each gives at its settings."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from math import degrees, isclose
from pathlib import Path
from typing import Any

from preview.faults import UserError
from preview.light import beam as beams
from preview.light.heads import HeadOutput, row_output
from preview.script.own_catalogue import read_catalogue
from preview.script.words import did_you_mean
from preview.trade.catalogue import Catalogue, spectrum, usual
from preview.trade.head_row import HeadRow

DISTANCES = (3.0, 5.0, 10.0, 20.0)
"""Metres at which a head's light is told."""
SETTINGS = (("spot", 0.0), ("half flood", 0.5), ("flood", 1.0))

LARGEST_KILOWATTS = 24.0
"""Up to which a bare number of watts is taken for kilowatts."""

_WATTS = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*(k?w|k)?", re.IGNORECASE)
_KILOWATTS = re.compile(r"([0-9]) +(k?w)\b", re.IGNORECASE)


@dataclass(frozen=True)
class Given:
    """What a head gives at a setting: angles in degrees, None for even; `lux` on the axis by distance in metres."""

    lens: str
    setting: str
    candela: float
    beam: float | None
    field: float | None
    lumens: float
    lux: dict[float, float]


def heads(words: Sequence[str], *, file: Path | None) -> tuple[HeadRow, ...]:
    """The heads that all the words fit, in the catalogue's order; with `file`, a catalogue of one's own, its too.

    A word fits a head whose name, lamp, setting or lenses hold it, or that draws so many watts (`2500`, `2.5kw`, `2.5`);
    one whole name is that head alone. UserError for a faulty file, and where nothing fits.
    """
    rows = _catalogue(file).heads
    if len(words) == 1 and words[0].lower() in rows:
        return (rows[words[0].lower()],)
    wanted = _KILOWATTS.sub(r"\1\2", " ".join(words)).lower().split()
    found = tuple(row for row in rows.values() if all(_fits(row, word) for word in wanted))
    if not found:
        near = did_you_mean("-".join(wanted), rows)
        hint = f'; did you mean "{near}"?' if near else "; `preview heads` lists them all"
        raise UserError(f'no head answers to "{" ".join(words)}"{hint}')
    return found


def _catalogue(file: Path | None) -> Catalogue:
    if file is None:
        return usual()
    own = read_catalogue(file)
    if own.faults:
        raise UserError(*own.faults)
    return own.catalogue


def _fits(row: HeadRow, word: str) -> bool:
    watts = _WATTS.fullmatch(word)
    if watts is not None:
        # On set a `2.5` is two and a half kilowatts.
        small = not watts.group(2) and float(watts.group(1)) <= LARGEST_KILOWATTS
        scale = 1000.0 if small or (watts.group(2) or "").startswith("k") else 1.0
        if isclose(float(watts.group(1)) * scale, row.watts, rel_tol=0.01):
            return True
        if watts.group(2):
            return False
    return word in _about(row)


def _about(row: HeadRow) -> str:
    """All that words are looked for in."""
    said = [row.name, row.shape, row.lamp or "", row.setting, *row.lenses, row.ballast or ""]
    said += ["daylight"] if row.kelvin >= 5000 else []
    said += ["bicolour"] if row.kelvins is not None and not mixes(row) else []
    said += ["colour rgb"] if mixes(row) else []
    return " ".join(said).lower()


def mixes(row: HeadRow) -> bool:
    """Whether a head has several colours of light."""
    return row.lamp is not None and bool(spectrum(row.lamp).emitters)


def given(row: HeadRow) -> tuple[Given, ...]:
    """What a head gives with each of its lenses; at spot, half flood and flood where it can be focused."""
    return tuple(_each(row))


def _each(row: HeadRow) -> Iterator[Given]:
    if not row.outputs:
        yield _given("", "by its file", row_output(row))
    for lens, output in row.outputs.items():
        for setting, flood in SETTINGS if output.spot is not None else (("", 1.0),):
            yield _given(lens, setting, row_output(row, flood=flood, lens=lens))


def _given(lens: str, setting: str, output: HeadOutput) -> Given:
    beam, field = (None if angle is None else degrees(angle) for angle in (output.beam, output.field))
    lux = {distance: axial_lux(output, distance) for distance in DISTANCES}
    return Given(lens, setting, output.candela, beam, field, output.lumens, lux)


def axial_lux(output: HeadOutput, distance: float) -> float:
    """Lux on the axis of a bare head at a distance in metres; of an even panel with its size reckoned with."""
    if output.shape == "panel" and output.beam is None and output.size is not None:
        return beams.panel_lux(candela=output.candela, size=output.size, distance=distance)
    return output.candela / distance**2


def to_json(rows: Sequence[HeadRow]) -> list[dict[str, Any]]:
    """Each head as plain data: degrees, metres, kilograms, watts, kelvin, lumens, lux by metres."""
    return [_plain(row) for row in rows]


def _plain(row: HeadRow) -> dict[str, Any]:
    rest = {key: value for key, value in asdict(row).items() if key not in ("outputs", "photometry")}
    gives = [
        {**asdict(each), "lux": {f"{distance:g}": lux for distance, lux in each.lux.items()}}
        for each in given(row)
    ]
    photometry = None if row.photometry is None else str(row.photometry)
    return {**rest, "photometry": photometry, "gives": gives}
