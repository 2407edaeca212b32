"""Waters: which grounds of a set are water, and where one would stand in it."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.script.models.pieces.ground import Ground
from preview.script.scene import Scene

Floats = NDArray[np.float64]

WATERS: Final = frozenset({"water"})
"""Materials of ground that are water."""


def waters_of(scene: Scene) -> tuple[str, ...]:
    """The grounds that are water, by name, in the script's order."""
    return tuple(
        name for name, piece in scene.set if isinstance(piece, Ground) and str(piece.material) in WATERS
    )


def in_water(scene: Scene, x: Floats, y: Floats) -> NDArray[np.bool_]:
    """Whether what lies uppermost at plan points, m, is water."""
    waters = waters_of(scene)
    # Last, and so of -1: of no ground at all.
    wet = np.array([*(surface.name in waters for surface in scene.terrain.surfaces), False])
    found: NDArray[np.bool_] = wet[scene.terrain.uppermost(x, y)]
    return found
