"""Gels: the catalogue's gels, those that some words fit; and which stacks of them take one light to another."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from itertools import combinations_with_replacement
from math import isfinite
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.faults import UserError
from preview.light.colour_reading import ColourReading, hue_word, read_xy
from preview.light.filters import stops_lost, transmission
from preview.light.lamps import lamp_spectrum
from preview.light.shaping import brought_to
from preview.light.spectrum import (
    observer,
    of_luminance_one,
    white,
    xy_of_spectrum,
)
from preview.script.own_catalogue import read_catalogue
from preview.script.words import did_you_mean
from preview.trade.catalogue import Catalogue, GelRow, names, spectrum, usual

Floats = NDArray[np.float64]

MOST_GELS = 3
STACKS = 6
"""As many are told."""
SAME = 0.003
"""Difference in CIE 1976 u', v' that `matches`: three steps of MacAdam's, about 0.0011 each; from memory."""
CLOSE, APART = 0.008, 0.02
"""Up to the first it is `close`, seen only side by side, up to the second `off`. From memory, typical."""
COUNTS_MORE = 0.001
"""A gel more, or half a stop more, must bring a stack nearer by so much to be worth telling."""
HALF_STOP = 0.5


@dataclass(frozen=True)
class Gel:
    """A gel on a plain lamp of `design_k`: shift in mireds, Duv added, loss in stops; `does` in words.

    `mired` and `duv` are None where what passes has no colour temperature.
    """

    name: str
    does: str
    mired: float | None
    duv: float | None
    stops: float
    design_k: float
    source: str


@dataclass(frozen=True)
class End:
    """A light to start from or to reach: as asked, its reading, and its chromaticity."""

    asked: str
    reading: ColourReading
    xy: tuple[float, float]


@dataclass(frozen=True)
class Stack:
    """Gels on the first light: `error` in CIE 1976 u', v', `mired` and `duv` over what is wanted (None without a colour
    temperature), `stops` that they take, the `reading` of what comes out, and how near that is in a `word`."""

    gels: tuple[str, ...]
    error: float
    mired: float | None
    duv: float | None
    stops: float
    reading: ColourReading
    word: str


@dataclass(frozen=True)
class Search:
    """`bare`: the first light without a gel; `stacks`: the nearest first, each worth its gels and its loss."""

    start: End
    wanted: End
    bare: Stack
    stacks: tuple[Stack, ...]


def gels(words: Sequence[str], *, file: Path | None) -> tuple[Gel, ...]:
    """The gels that all the words fit, by name or what they do; UserError for a faulty file and where none does."""
    catalogue = _catalogue(file)
    wanted = " ".join(words).lower().split()
    told = tuple(_gel(row) for row in catalogue.gels.values())
    found = tuple(gel for gel in told if all(word in f"{gel.name} {gel.does}" for word in wanted))
    if not found:
        near = did_you_mean("-".join(wanted), catalogue.gels)
        hint = f'; did you mean "{near}"?' if near else "; `preview gels` lists them all"
        raise UserError(f'no gel answers to "{" ".join(words)}"{hint}')
    return found


def search(start: str, wanted: str, words: Sequence[str] = (), *, file: Path | None) -> Search:
    """The stacks of up to three gels that bring one light nearest to another; only gels that the words fit, if any.

    A light is a kelvin, the name of a spectrum, or x,y (CIE 1931). UserError for what is none of them.
    """
    first = _light(start, "--from")
    end = _end(wanted, "--to")
    rows = _catalogue(file).gels
    chosen = [rows[gel.name] for gel in gels(words, file=file)] if words else list(rows.values())
    coloured = [row for row in chosen if row.density is None]
    if not coloured:
        raise UserError("neutral densities change no colour: leave the words away, or name other gels")
    begin = End(start, read_xy(xy_of_spectrum(first)), xy_of_spectrum(first))
    bare = _stack((), begin.xy, end, 0.0)
    return Search(begin, end, bare, tuple(_nearest(first, coloured, end, bare)))


def to_json(found: Sequence[Gel] | Search) -> dict[str, Any]:
    """Plain values."""
    if isinstance(found, Search):
        return asdict(found)
    return {"gels": [asdict(gel) for gel in found]}


def _nearest(first: Floats, rows: Sequence[GelRow], end: End, bare: Stack) -> list[Stack]:
    """Stacks in the order of their error, without those that another does as well with less."""
    passes = np.stack([transmission(row) for row in rows])
    towards = observer() * first[:, None]
    found: list[Stack] = [bare]
    for count in range(1, MOST_GELS + 1):
        picks = sensible(np.array(list(combinations_with_replacement(range(len(rows)), count))), rows)
        # One gel's transmission at a time, so that a stack costs one product.
        xyz = np.prod(passes[picks], axis=1) @ towards
        errors = np.hypot(*(_uv_1976(xyz) - _uv_1976(np.array(_xyz(end.xy)))).T)
        stops = -np.log2(np.maximum(xyz[:, 1], 1e-12) / (first @ observer()[:, 1]))
        for place in np.argsort(errors + COUNTS_MORE * stops / HALF_STOP)[:60]:
            x, y = (xyz[place, :2] / xyz[place].sum()).tolist()
            found.append(
                _stack(tuple(rows[pick].name for pick in picks[place]), (x, y), end, float(stops[place]))
            )
    worth = [stack for stack in found if not any(_beats(other, stack) for other in found)]
    return sorted((stack for stack in worth if stack.gels), key=lambda stack: stack.error)[:STACKS]


def sensible(picks: NDArray[np.int64], rows: Sequence[GelRow]) -> NDArray[np.int64]:
    """Without stacks in which a conversion or correction is undone by another gel."""
    corrects = np.array([not row.bands for row in rows])[picks]
    told = [_gel(row) for row in rows]
    keep = np.ones(len(picks), dtype=bool)
    for does, least in (
        ([gel.mired or 0.0 for gel in told], 10.0),
        ([1000.0 * (gel.duv or 0.0) for gel in told], 3.5),
    ):
        side = np.where(np.abs(does) < least, 0.0, np.sign(does))[picks]
        for sign in (1.0, -1.0):
            keep &= ~((corrects & (side == sign)).any(axis=1) & (side == -sign).any(axis=1))
    return picks[keep]


def _beats(other: Stack, stack: Stack) -> bool:
    """Whether another stack is as near with fewer gels or clearly less loss, or nearer at no greater cost."""
    if other is stack:
        return False
    cost = COUNTS_MORE * ((len(other.gels) - len(stack.gels)) + (other.stops - stack.stops) / HALF_STOP)
    no_dearer = len(other.gels) <= len(stack.gels) and other.stops <= stack.stops + 0.05
    return other.error + cost < stack.error and no_dearer


def _stack(gels: tuple[str, ...], xy: tuple[float, float], end: End, stops: float) -> Stack:
    error = float(np.hypot(*(_uv_1976(np.array(_xyz(xy))) - _uv_1976(np.array(_xyz(end.xy))))))
    reading = read_xy(xy)
    tempered = reading.hue is None and end.reading.hue is None
    word = (
        "matches" if error <= SAME else "close" if error <= CLOSE else "off" if error <= APART else "no match"
    )
    return Stack(
        gels,
        error,
        reading.mired - end.reading.mired if tempered else None,
        reading.duv - end.reading.duv if tempered else None,
        stops,
        reading,
        word,
    )


def _uv_1976(xyz: Floats) -> Floats:
    """u', v' (..., 2) of X, Y, Z (..., 3). Source: CIE 15:2004 section 8.1."""
    x, y, z = xyz[..., 0], xyz[..., 1], xyz[..., 2]
    below = x + 15.0 * y + 3.0 * z
    return np.stack([4.0 * x / below, 9.0 * y / below], axis=-1)


def _xyz(xy: tuple[float, float]) -> tuple[float, float, float]:
    return xy[0], xy[1], 1.0 - xy[0] - xy[1]


def _gel(row: GelRow) -> Gel:
    lamp, passes = white(row.design), transmission(row)
    before, after = read_xy(xy_of_spectrum(lamp)), read_xy(xy_of_spectrum(lamp * passes))
    tempered = after.hue is None
    return Gel(
        row.name,
        _does(row, passes),
        after.mired - before.mired if tempered else None,
        after.duv - before.duv if tempered else None,
        stops_lost(lamp, passes),
        row.design,
        row.source,
    )


def _does(row: GelRow, passes: Floats) -> str:
    if row.density is not None:
        return "neutral density"
    if row.green is not None:
        return "greener" if row.green > 0 else "more magenta"
    if not row.bands:
        side = "warmer" if row.mired > 0 else "cooler"
        return f"{side}, greener" if row.duv > 0 else f"{side}, more magenta" if row.duv < 0 else side
    return hue_word(xy_of_spectrum(passes))


def _light(asked: str, option: str) -> Floats:
    """The spectrum of a light to start from; x,y is a plain light of its temperature with a smooth tint."""
    end = _end(asked, option)
    name = asked.strip().lower()
    if name in names("spectra"):
        return lamp_spectrum(name, spectrum(name).kelvin)
    if "," not in asked:
        return lamp_spectrum(None, _kelvin(asked) or end.reading.kelvin)
    tinted = brought_to(white(end.reading.kelvin), end.xy)
    if np.hypot(*(np.array(xy_of_spectrum(tinted)) - end.xy)) > 1e-3:
        raise UserError(f"{option}: {asked} is no colour that a lamp has; start from a spectrum or a kelvin")
    return of_luminance_one(tinted)


def _end(asked: str, option: str) -> End:
    name, kelvin = asked.strip().lower(), _kelvin(asked)
    if name in names("spectra"):
        xy = xy_of_spectrum(lamp_spectrum(name, spectrum(name).kelvin))
    elif kelvin is not None:
        if not 1000.0 <= kelvin <= 25_000.0:
            raise UserError(f"{option}: {asked} is outside 1000 to 25 000 K")
        xy = xy_of_spectrum(lamp_spectrum(None, kelvin))
    elif "," in asked:
        xy = _chromaticity(asked, option)
    else:
        near = did_you_mean(name, names("spectra"))
        hint = f'; did you mean "{near}"?' if near else f"; spectra are {', '.join(names('spectra'))}"
        raise UserError(f"{option}: {asked!r} is no kelvin, no x,y and no spectrum{hint}")
    return End(asked, read_xy(xy), xy)


def _kelvin(asked: str) -> float | None:
    found = re.fullmatch(r"\s*([0-9]+(?:\.[0-9]+)?)\s*[kK]?\s*", asked)
    return None if found is None else float(found[1])


def _chromaticity(asked: str, option: str) -> tuple[float, float]:
    try:
        x, y = (float(part) for part in asked.split(","))
    except ValueError:
        raise UserError(f"{option}: {asked!r} is not x,y, such as 0.533,0.415") from None
    if not (isfinite(x) and isfinite(y) and x > 0.0 and y > 0.01 and x + y < 1.0):
        raise UserError(f"{option}: {asked} is no chromaticity: x and y are above 0 and together below 1")
    return x, y


def _catalogue(file: Path | None) -> Catalogue:
    if file is None:
        return usual()
    own = read_catalogue(file)
    if own.faults:
        raise UserError(*own.faults)
    return own.catalogue
