"""Faces: what tells one head from another.

Sizes, from memory: the anthropometric surveys of the United States Army, 1988 and 2012, for adults; L. Farkas,
"Anthropometry of the Head and Face" (1994), for children of 13 and 8 years.
"""

from __future__ import annotations

from dataclasses import dataclass

from preview.script.people import PersonName


@dataclass(frozen=True)
class Face:
    """What a head is made from. Millimetres unless said."""

    heights: tuple[float, ...]
    """Where his menton, sulcus, mouth, nose's base, root of the nose, brow, hairline and vertex come to."""
    breadth: tuple[float, ...]
    """Share of his breadth at those heights."""
    depth: tuple[float, float]
    """Share of his depth before and behind the axis."""
    deltas: tuple[tuple[float, float, float, float, float], ...] = ()
    """(x, y, z of him, radius, outward): rises of the skin round a place."""
    eye: tuple[float, float, float] = (32.0, 69.0, 0.0)
    eyeball: float = 12.0
    lids: tuple[float, float, float] = (14.0, 3.8, 5.5)
    """Half the length of the opening, its height above and below the pupil."""
    nose: tuple[float, float, float] = (1.0, 1.0, 1.0)
    """Share of his nose's breadth, projection, length."""
    tip: float = 0.0
    """How far the tip of the nose turns up."""
    mouth: tuple[float, float] = (1.0, 1.0)
    """Share of his mouth's breadth and lips' fullness."""
    brow: float = 1.0
    """How strongly the ridge of the brow stands out."""
    ear: float = 1.0
    neck: float = 1.0
    voice: float = 1.0
    """How far the larynx stands out, share of his."""
    sinew: float = 1.0
    """How far the neck's muscles stand out, share of his."""
    folds: float = 1.0
    """How deep are the folds beside the mouth and below the eyes."""
    brows: tuple[float, float] = (1.0, 1.0)
    """Share of his eyebrows' thickness, and of how dense."""


HEIGHTS = (-113.0, -87.0, -69.0, -47.0, 7.0, 20.0, 68.0, 115.0)
FACES: dict[PersonName, Face] = {
    "man": Face(heights=HEIGHTS, breadth=(1.0,) * 8, depth=(1.0, 1.0)),
    "woman": Face(
        heights=(-105.0, -81.5, -65.5, -44.5, 6.0, 18.5, 64.0, 111.0),
        breadth=(0.86, 0.885, 0.90, 0.925, 0.945, 0.95, 0.95, 0.95),
        depth=(0.95, 0.95),
        deltas=(
            (0, 95, 20, 26, -2.2),
            (28, 90, 20, 20, -1.2),
            (58, 4, -72, 24, -3.0),
            (40, 76, -22, 18, 1.2),
            (0, 90, 45, 34, 1.5),
        ),
        eye=(31.0, 65.5, 0.0),
        lids=(13.8, 4.3, 5.4),
        nose=(0.87, 0.88, 0.92),
        tip=1.6,
        mouth=(0.93, 1.16),
        brow=0.15,
        ear=0.93,
        neck=0.85,
        voice=0.15,
        sinew=0.7,
        folds=0.5,
        brows=(0.62, 0.85),
    ),
    "teen": Face(
        heights=(-100.0, -77.5, -61.5, -42.5, 5.2, 18.0, 66.0, 113.0),
        breadth=(0.81, 0.86, 0.885, 0.905, 0.93, 0.945, 0.95, 0.955),
        depth=(0.935, 0.955),
        deltas=(
            (0, 95, 20, 26, -2.6),
            (28, 90, 20, 20, -1.6),
            (58, 4, -72, 24, -3.0),
            (0, 90, 48, 34, 2.0),
            (38, 74, -42, 20, 2.8),
            (44, 64, -56, 18, 2.6),
            (0, 88, -100, 18, -0.8),
        ),
        eye=(30.0, 64.5, 0.0),
        lids=(13.6, 4.6, 5.5),
        nose=(0.82, 0.82, 0.86),
        tip=2.2,
        mouth=(0.88, 1.08),
        brow=0.12,
        ear=0.95,
        neck=0.82,
        voice=0.2,
        sinew=0.4,
        folds=0.15,
        brows=(0.66, 0.85),
    ),
    "child": Face(
        heights=(-92.0, -71.0, -56.0, -38.5, 4.5, 17.0, 66.0, 111.0),
        breadth=(0.74, 0.82, 0.855, 0.875, 0.905, 0.925, 0.94, 0.94),
        depth=(0.90, 0.945),
        deltas=(
            (0, 95, 20, 26, -3.2),
            (28, 90, 20, 20, -2.0),
            (0, 90, 50, 36, 3.0),
            (40, 72, -42, 20, 4.4),
            (44, 64, -58, 18, 4.4),
            (58, 4, -72, 22, -2.5),
            (0, 88, -100, 20, -1.5),
            (20, 84, -102, 16, -1.5),
            (0, 88, 6, 12, -2.0),
        ),
        eye=(27.0, 62.3, 0.0),
        eyeball=11.7,
        lids=(13.2, 5.0, 5.8),
        nose=(0.76, 0.76, 0.77),
        tip=3.2,
        mouth=(0.80, 1.0),
        brow=0.0,
        ear=0.91,
        neck=0.72,
        voice=0.0,
        sinew=0.0,
        folds=0.0,
        brows=(0.55, 0.7),
    ),
}
