"""Logs: round timbers laid on each other, let into each other at the corners, where their ends stand out."""

from __future__ import annotations

import numpy as np

from preview.build.buildings.face import UNDER_TRIM, Face
from preview.build.mesh import Floats
from preview.build.pile import Pile, shades, sheet

LOG = 0.115
"""Radius of a log, metres."""
LOG_RISE = 0.205
"""From one log's middle to the next one's: less than its thickness, since it is hollowed to sit on the lower."""
LOG_PAST = 0.24
"""How far logs run past the corner that they are let into."""


def log_lines(low: float, high: float, *, lower: bool) -> Floats:
    """Heights of logs' middles in a wall between two heights; those of neighbouring walls lie half a log lower."""
    first = low + LOG - (0.5 * LOG_RISE if lower else 0.0)
    return np.arange(first, high + 0.5 * LOG_RISE, LOG_RISE)


def logs(pile: Pile, face: Face, material: str, rng: np.random.Generator) -> None:
    """The outer sides of logs, shaded round, cut at holes and at the slopes of a gable."""
    middles = log_lines(face.low, face.peak - 0.06, lower=face.peak > face.high)
    angles = np.linspace(-0.56 * np.pi, 0.56 * np.pi, 10)
    rise, out = np.sin(angles), np.cos(angles)
    cut = face.grown(UNDER_TRIM)
    for middle in middles:
        ends = face.ends(np.array([min(middle + 0.5 * LOG, face.peak)]))
        edges = sorted(box[::2] for box in cut if box[1] - LOG < middle < box[3] + LOG)
        starts = [float(ends[0][0]), *(edge[1] for edge in edges)]
        stops = [*(edge[0] for edge in edges), float(ends[1][0])]
        tint = shades(rng, 1, light=0.14, hue=0.04)[0]
        swell = 0.004 * rng.standard_normal()
        for start, stop in zip(starts, stops, strict=True):
            if stop - start > 0.02:
                _half_log(pile, material, start, stop, middle, rise, out, swell, tint, rng)


def _half_log(
    pile: Pile,
    material: str,
    start: float,
    stop: float,
    middle: float,
    rise: Floats,
    out: Floats,
    swell: float,
    tint: Floats,
    rng: np.random.Generator,
) -> None:
    rings = max(2, round((stop - start) / 0.9) + 1)
    along = np.linspace(start, stop, rings)
    radius = LOG - 0.005 + np.clip(swell + 0.002 * rng.standard_normal(rings), -0.006, 0.005)
    points = np.stack(
        [
            np.broadcast_to(along[:, None], (rings, len(rise))),
            middle + radius[:, None] * rise,
            radius[:, None] * out - LOG,
        ],
        axis=2,
    )
    normals = np.broadcast_to(np.stack([np.zeros_like(rise), rise, out], axis=1), points.shape)
    triangles, shading = sheet(points, normals)
    pile.add("walls", material, triangles, tint=tint, normals=shading)


def log_ends(pile: Pile, face: Face, material: str, rng: np.random.Generator) -> None:
    """The ends of a wall's logs, past the corners that they cross."""
    turn = np.linspace(0.0, 2.0 * np.pi, 15)
    circle = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    for middle in log_lines(face.low, face.high - 0.06, lower=face.peak > face.high):
        for start, stop in ((-LOG_PAST, 0.06), (face.length - 0.06, face.length + LOG_PAST)):
            first, last = (
                value + 0.02 * rng.standard_normal() * (abs(value - 0.5 * face.length) > 0.5 * face.length)
                for value in (start, stop)
            )
            tint = shades(rng, 1, light=0.14, hue=0.04)[0]
            radius = LOG - 0.006 + 0.002 * rng.standard_normal()
            rings = np.stack(
                [
                    np.column_stack(
                        [np.full(15, a), middle + radius * circle[:, 1], radius * circle[:, 0] - LOG]
                    )
                    for a in (first, last)
                ]
            )
            around = np.broadcast_to(np.column_stack([np.zeros(15), circle[:, 1], circle[:, 0]]), rings.shape)
            triangles, shading = sheet(rings, around)
            pile.add("walls", material, triangles, tint=tint, normals=shading)
            step = np.arange(1, 13)
            fan = np.stack([np.zeros_like(step), step, step + 1], axis=1)
            # Cut ends are fresher wood than the weathered round.
            pile.add("walls", material, rings[0][fan], tint=1.45 * tint * [1.05, 1.0, 0.9])
            pile.add("walls", material, rings[1][fan[:, ::-1]], tint=1.45 * tint * [1.05, 1.0, 0.9])
