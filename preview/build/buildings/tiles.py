"""Tiles: what covers a roof's plane: tiles and slates lapped in courses, shingles, sheets with standing seams."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.build.mesh import Floats
from preview.build.pile import of_quads, shades
from preview.build.solids import hexahedra

MOST = 9000
"""Tiles of a plane: larger ones get larger tiles."""


@dataclass(frozen=True)
class Cover:
    """How a material lies on a roof, metres: gauge from course to course, width, thickness at the lower edge.

    `ragged`: how unlike the widths are; `uneven`: how unlike neighbours lie; light and hue: how unlike their tints are.
    """

    gauge: float
    width: float
    thick: float
    ragged: float
    uneven: float
    light: float
    hue: float


TILES = Cover(0.20, 0.20, 0.022, 0.0, 0.0045, 0.20, 0.07)
COVERS = {
    "roof tiles": TILES,
    "slate": Cover(0.20, 0.25, 0.013, 0.0, 0.0035, 0.19, 0.03),
    "wood": Cover(0.14, 0.15, 0.016, 0.55, 0.006, 0.20, 0.04),
    "weathered wood": Cover(0.14, 0.15, 0.016, 0.55, 0.006, 0.20, 0.04),
    "metal": Cover(60.0, 0.45, 0.004, 0.0, 0.0006, 0.04, 0.0),
}
"""By material; others lie as tiles. Common practice, no source."""
FAR = 34.0
"""From so far on, metres, tiles are twice as large."""


def covered(
    plane: Floats, material: str, rng: np.random.Generator, *, away: float = 0.0
) -> tuple[Floats, Floats]:
    """Lapped tiles on a plane (4, 3) that starts with its eave, seen from `away` metres: triangles and tints.

    Upper ends lie under the next course, undersides in the slab but for the lowest course, which overhangs it.
    """
    cover = COVERS.get(material, TILES)
    (along, up, normal), length, reach, ends = _measured(plane)
    larger = max(2.0 if away > FAR else 1.0, np.sqrt(length * reach / (cover.gauge * cover.width) / MOST))
    count = max(1, round(reach / (cover.gauge * larger)))
    width = cover.width * larger
    lines = np.linspace(0.0, reach - 0.02, count + 1)
    first, last = _across(length, width, count, cover.ragged, rng)
    low, high = lines[:-1].copy(), lines[1:] + 0.02
    low[0] -= 0.05
    # Cut to no straighter a line than a slater does.
    butt = low[:, None] + 0.5 * cover.uneven * rng.standard_normal(first.shape)

    def clipped(position: Floats, height: Floats) -> Floats:
        share = np.clip(height / reach, 0.0, 1.0)[:, None]
        cut: Floats = np.clip(position, ends[0] * share, length + (ends[1] - length) * share)
        return cut

    s = [[clipped(first, low), clipped(last, low)], [clipped(first, high), clipped(last, high)]]
    wide = np.maximum(s[0][1] - s[0][0], s[1][1] - s[1][0]) > 0.01
    base = 0.010 + cover.thick
    proud = base + cover.uneven * (rng.random(first.shape) + 0.5 * rng.standard_normal(first.shape))
    # One in fifty has slipped or lifted.
    proud += (rng.random(first.shape) < 0.02) * 0.008 * (cover.thick < 0.05)
    proud = np.maximum(proud, 0.008)
    tilt = 0.5 * cover.uneven * rng.standard_normal(first.shape)
    corners = np.empty((*first.shape, 8, 3))
    for corner in range(8):
        right, upper, top = corner & 1, corner >> 1 & 1, corner >> 2
        height = np.broadcast_to(high[:, None], first.shape) if upper else butt
        rise = (
            -0.012 if not top else (0.005 if upper else np.maximum(proud + (tilt if right else -tilt), 0.006))
        )
        corners[:, :, corner] = (
            plane[0]
            + s[upper][right][..., None] * along
            + height[..., None] * up
            + np.broadcast_to(rise, first.shape)[..., None] * normal
        )
    tint = shades(rng, first.size, light=cover.light, hue=cover.hue).reshape(*first.shape, 3)[wide]
    sides = hexahedra(corners[wide]).reshape(2, -1, 6, 3, 3)
    lowest = np.nonzero(wide)[0] == 0
    return (
        np.concatenate([sides[:, :, [1, 2, 4, 5]].reshape(-1, 3, 3), sides[:, lowest, 0].reshape(-1, 3, 3)]),
        np.concatenate([of_quads(tint, 4), of_quads(tint[lowest])]),
    )


def _measured(plane: Floats) -> tuple[tuple[Floats, Floats, Floats], float, float, tuple[float, float]]:
    """Of a plane (4, 3) that starts with its eave: unit ways along the eave, up and off it; how long the eave is and how
    far up the plane reaches; where its upper edge starts and ends along the eave."""
    eave = plane[1] - plane[0]
    length = float(np.linalg.norm(eave))
    along = eave / length
    normal = np.cross(eave, plane[2] - plane[0])
    normal /= np.linalg.norm(normal)
    up = np.cross(normal, along)
    ends = (float((plane[3] - plane[0]) @ along), float((plane[2] - plane[0]) @ along))
    return (along, up, normal), length, float((plane[2] - plane[0]) @ up), ends


def seams(plane: Floats, *, every: float = 0.45) -> Floats:
    """The standing seams of a metal roof's plane (4, 3), from eave to ridge: bodies on the sheets."""
    (along, up, normal), length, reach, ends = _measured(plane)
    at = np.arange(0.5 * every, length, every)
    # A hip cuts a seam short where its slanting edge comes.
    top = np.full(len(at), reach)
    if ends[0] > 1e-6:
        top = np.minimum(top, at / ends[0] * reach)
    if ends[1] < length - 1e-6:
        top = np.minimum(top, (length - at) / (length - ends[1]) * reach)
    corners = np.empty((len(at), 8, 3))
    for corner in range(8):
        aside = at + (0.009 if corner & 1 else -0.009)
        height = top - 0.02 if corner >> 1 & 1 else np.full(len(at), -0.045)
        rise = 0.045 if corner >> 2 else 0.0
        corners[:, corner] = plane[0] + aside[:, None] * along + height[:, None] * up + rise * normal
    return hexahedra(corners[top > 0.2])


def _across(
    length: float, width: float, rows: int, ragged: float, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Left and right ends (rows, n) of the tiles along their courses, broken from course to course."""
    gap = 0.004
    columns = int(length / (width * (1.0 - 0.5 * ragged))) + 3
    if not ragged:
        starts = (np.arange(columns)[None, :] - 0.5 * (np.arange(rows)[:, None] % 2)) * width
        return starts, starts + width - gap
    widths = width * (1.0 + ragged * (2.0 * rng.random((rows, columns)) - 1.0))
    stops = np.cumsum(widths, axis=1) - width * rng.random((rows, 1))
    return stops - widths, stops - gap
