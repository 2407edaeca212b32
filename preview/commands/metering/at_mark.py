"""At a mark: what is said there of the readings of the receptors that are held."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.exposure import footcandles
from preview.camera.incident import metered_stop, over_grey, stop_words
from preview.commands.metering.directions import back_of, cheeks_of, key_and_fill, way_of
from preview.commands.metering.held import Held, owner_of
from preview.commands.metering.readings import Levels
from preview.commands.prepare import Ready
from preview.light.colour import chromaticity
from preview.light.colour_reading import colour_words, read_colour, read_xy
from preview.light.spaces import ACESCG
from preview.sheets.meter_report import Alone, Behind, Colour, MarkReport, ReceptorReading

Floats = NDArray[np.float64]

COLOURLESS: Final = 10.0
"""Stops under grey from which light has no colour to speak of: no sensor tells it from its noise. From memory."""


def mark_report(ready: Ready, one: Held, lux: Levels, row: int, seen_behind: Behind | None) -> MarkReport:
    """What is said at a mark whose receptors' readings start at a row."""
    names = [light.name for light in ready.lights]
    flat, dome, back, *cheeks = lux.total[row : row + len(one.receptors)]
    direct = lux.direct[row]
    whole = float(flat.sum())
    order = np.argsort(-flat, kind="stable").tolist()
    return MarkReport(
        name=one.name,
        note=note_of(one),
        flat=_reading(ready, whole, dome=False),
        dome=_reading(ready, float(dome.sum()), dome=True),
        direct_lux=float(direct.sum()),
        bounced_lux=float(lux.bounced[row].sum()),
        fixtures=tuple(
            Alone(
                names[i],
                float(flat[i]),
                footcandles(float(flat[i])),
                float(lux.bounced[row, i]),
                float(dome[i]),
                footcandles(float(dome[i])),
                float(flat[i]) / whole if whole else 0.0,
                way_of(one.flat.position, lux.flow[row, i], float(lux.direct[row + 1, i]), ready.view),
            )
            for i in order
        ),
        key=key_and_fill(names, direct, flat),
        back=back_of(names, back, whole),
        cheeks=cheeks_of(float(cheeks[0].sum()), float(cheeks[1].sum()), one.left_is_own) if cheeks else None,
        behind=seen_behind,
        colour=_colour(ready, lux.rgb[row].sum(axis=0)),
    )


def _reading(ready: Ready, lux: float, *, dome: bool) -> ReceptorReading:
    camera = ready.scene.camera
    stop = metered_stop(lux, camera, dome=dome)
    stops = over_grey(lux, camera, dome=dome)
    return ReceptorReading(
        lux, footcandles(lux), stops if np.isfinite(stops) else None, stop, stop_words(stop)
    )


def note_of(one: Held) -> str | None:
    """What is to be said of where it is held, in a sentence; None where that is where the mark is."""
    if one.drawn_out is None:
        return f"Inside {owner_of(one.flat)}: no light gets there. Give the mark a place outside."
    if one.drawn_out > 0.0:
        return f"Held {100.0 * one.drawn_out:.0f} cm farther out, clear of {owner_of(one.flat)}."
    if one.figure is not None and one.name == one.figure.name:
        return f"Held before the face, {one.flat.of}."
    return None


def _colour(ready: Ready, rgb: Floats) -> Colour | None:
    """None where there is no light to speak of."""
    camera = ready.scene.camera
    if over_grey(float(ACESCG.luminance @ rgb), camera, dome=False) < -COLOURLESS:
        return None
    reading = read_colour(rgb)
    balance = read_xy(chromaticity(cct_k=camera.balance)).mired
    words = colour_words(reading, balance_k=camera.balance, tint=camera.tint)
    return Colour(reading.kelvin, reading.duv, reading.mired, reading.mired - balance, words)
