"""From above: a built set as places on a plan, and shaded by how much of it stands where."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from preview.build.world import World
from preview.sheets.drawing import PAPER

Floats = NDArray[np.float64]

SAMPLES: Final = 400_000
"""Places on the set that are looked at from above."""
LOW, HIGH = 0.25, 3.0
"""Metres above the ground between which the set is drawn."""
USUAL: Final = 0.6
"""Quantile of how much stands in the places that have anything, from which on a place is as dark as any."""


def on_triangles(corners: Floats, a: Floats, b: Floats) -> Floats:
    """A place (n, 3) on each triangle (n, 3, 3), evenly over it, by two chances (n,) from 0 to 1."""
    folded = a + b > 1.0
    a, b = np.where(folded, 1.0 - a, a)[:, None], np.where(folded, 1.0 - b, b)[:, None]
    one, two, three = corners[:, 0], corners[:, 1], corners[:, 2]
    return np.asarray(one + a * (two - one) + b * (three - one))


def heights_of(world: World, leave_out: set[str]) -> Floats:
    """Places (3, n) m on a built set, evenly by area; without the pieces to leave out. The same each time."""
    names = np.array([name.partition(".")[0] in leave_out for name in world.names] + [True])
    faces = world.faces[~names[world.part_of_face]]
    if not len(faces):
        return np.zeros((3, 0))
    corners = world.vertices[faces].astype(np.float64)
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    random = np.random.default_rng(1)
    chosen = np.searchsorted(np.cumsum(area) / area.sum(), random.random(SAMPLES)).clip(max=len(faces) - 1)
    a, b = random.random((2, SAMPLES))
    return np.asarray(on_triangles(corners[chosen], a, b).T)


def shaded(x: Floats, y: Floats, heights: Floats, *, width: int, height: int, depth: float) -> Image.Image:
    """Paper, up to `depth` (0 to 1) darker where more of the set stands between LOW and HIGH m; x, y (n,) in pixels."""
    standing = (heights > LOW) & (heights < HIGH)
    columns, rows = x[standing].astype(int), y[standing].astype(int)
    inside = (columns >= 0) & (columns < width) & (rows >= 0) & (rows < height)
    seen = np.zeros((height, width))
    np.add.at(seen, (rows[inside], columns[inside]), 1.0)
    usual = float(np.quantile(seen[seen > 0], USUAL)) if seen.any() else 1.0
    dark = 1.0 - depth * np.minimum(1.0, seen / max(1.0, usual))
    return Image.fromarray((np.array(PAPER) * dark[..., np.newaxis]).astype(np.uint8))
