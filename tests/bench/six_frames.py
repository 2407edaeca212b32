"""Six frames: the work that a night exterior is: six cloths of 3.6 m, far off, over a yard with boxes and a wall."""

from __future__ import annotations

from typing import Any

import numpy as np

from preview.light.emitters.patch import Patch
from tests.trace.shared_scenes import SharedScene

HALF = 1.8
LUMINANCE = 60.0


def cloth(azimuth_deg: float, distance: float, height: float) -> tuple[Patch, dict[str, Any]]:
    """A square cloth at a place round the yard, turned to its middle, for both tracers."""
    angle = np.radians(azimuth_deg)
    centre = np.array([distance * np.sin(angle), distance * np.cos(angle), height])
    axis = (np.array([0.0, 0.0, 0.8]) - centre) / np.linalg.norm(np.array([0.0, 0.0, 0.8]) - centre)
    width = np.cross(axis, [0.0, 0.0, 1.0])
    width /= np.linalg.norm(width)
    up = np.cross(width, axis)
    # Counterclockwise for somebody whom it lights.
    corners = [centre + HALF * (x * width + y * up) for x, y in ((1, -1), (-1, -1), (-1, 1), (1, 1))]
    patch = Patch(centre, axis, (HALF, HALF), LUMINANCE * 4 * HALF**2, round=False)
    return patch, {"corners": [corner.tolist() for corner in corners], "luminance": LUMINANCE}


_FIRST, *_OTHERS = (
    cloth(azimuth, distance, height)
    for azimuth, distance, height in (
        (250, 12, 6),
        (290, 15, 7),
        (330, 14, 6),
        (40, 13, 7),
        (80, 12, 5),
        (110, 15, 6),
    )
)

SIX_FRAMES = SharedScene(
    name="six frames: a yard under cloth from all sides",
    quads={
        "yard": ([[-20, -20, 0], [20, -20, 0], [20, 20, 0], [-20, 20, 0]], 0.3),
        "wall": ([[-4, 3, 0], [4, 3, 0], [4, 3, 2.6], [-4, 3, 2.6]], 0.5),
    },
    boxes={
        "crate": ([-1.6, 0.2, 0.0], [-0.7, 1.1, 0.9], 0.4),
        "post": ([0.2, -0.6, 0.0], [0.4, -0.4, 2.2], 0.4),
        "bench": ([1.0, 1.0, 0.0], [2.6, 1.5, 0.45], 0.4),
    },
    emitter=_FIRST[0],
    mitsuba_emitter=_FIRST[1],
    eye=(1.5, -6.5, 1.7),
    target=(0.2, 1.0, 0.8),
    depth=2,
    others=tuple(_OTHERS),
)
