"""From above: a built set as places on a plan, shaded by how much of it stands where, with its north and its scale."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from preview.build.world import World
from preview.sheets.drawing import INK, PAPER, Box, font

Floats = NDArray[np.float64]

SAMPLES: Final = 400_000
"""Places on the set that are looked at from above."""
LOW, HIGH = 0.25, 3.0
"""Metres above the ground between which the set is drawn."""
USUAL: Final = 0.6
"""Quantile of how much stands in the places that have anything, from which on a place is as dark as any."""
NORTH_AND_SCALE_HIGH: Final = 76.0
"""Pixels that north and scale take from top to bottom."""
NORTH_RING: Final = 21.0
LONGEST_BAR: Final = 240.0
"""Pixels of the bar of metres, at the most."""


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


def bar_metres(scale: float, *, longest: float) -> float:
    """The most metres, 1, 2 or 5 times a power of ten, whose bar is no longer than so many pixels, `scale` to a metre."""
    most = longest / scale
    decade = float(10.0 ** np.floor(np.log10(most)))
    return decade * max(step for step in (1.0, 2.0, 5.0) if step * decade <= most * (1.0 + 1e-9))


def north_and_scale(
    draw: ImageDraw.ImageDraw,
    corner: tuple[float, float],
    north: tuple[float, float],
    *,
    scale: float,
    fine: float = 1.0,
) -> Box:
    """Which way is north, and a bar of so many metres, on paper of its own; the box that they fill, so that names keep
    clear of it.

    `corner`: its upper left in pixels; it is `fine` times NORTH_AND_SCALE_HIGH high. `north` (2,): the way north on the
    drawing, to the right and down, of any length. `scale`: pixels of the drawing to a metre. `fine`: how many times as
    large it is drawn before it is brought down.
    """
    metres = bar_metres(scale, longest=LONGEST_BAR * fine)
    face, words, bar = font("small", fine), f"{metres:g} m", metres * scale
    high, ring = NORTH_AND_SCALE_HIGH * fine, NORTH_RING * fine
    left, top = corner
    start = left + high + 12.0 * fine
    box = left, top, start + bar + face.getlength(words) + 28.0 * fine, top + high
    draw.rounded_rectangle(box, 8 * fine, fill=PAPER)
    x, y = left + high / 2.0, top + high / 2.0
    length = float(np.hypot(*north))
    across, down = north[0] / length, north[1] / length
    tip, foot, half = 36.0 * fine, 0.92 * ring, 0.62 * ring
    back = x + foot * across, y + foot * down
    draw.polygon(
        [
            (x + tip * across, y + tip * down),
            (back[0] - half * down, back[1] + half * across),
            (back[0] + half * down, back[1] - half * across),
        ],
        fill=INK,
    )
    draw.ellipse((x - ring, y - ring, x + ring, y + ring), fill=PAPER, outline=INK, width=round(3 * fine))
    draw.text((x, y), "N", font=face, fill=INK, anchor="mm")
    draw.line((start, y, start + bar, y), fill=INK, width=round(4 * fine))
    for end in (start, start + bar):
        draw.line((end, y - 10.0 * fine, end, y + 10.0 * fine), fill=INK, width=round(4 * fine))
    draw.text((start + bar + 14.0 * fine, y - fine), words, font=face, fill=INK, anchor="lm")
    return box
