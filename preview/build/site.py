"""Site: what a builder may ask of the scene that its piece stands in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from preview.build.mesh import Floats
from preview.script.fields import Place
from preview.script.scene import Scene


@dataclass(frozen=True)
class Site:
    """Where pieces are built: the scene's places, its ground, where it is looked at from."""

    scene: Scene

    @property
    def folder(self) -> Path:
        """What names of files in the script are relative to."""
        return self.scene.path.parent

    @property
    def eyes(self) -> Floats:
        """Places (n, 3) of the cameras of all setups, metres: detail by distance is the same in every one of them."""
        return np.array(self.scene.eyes, dtype=float).reshape(-1, 3)

    def azimuth(self, facing: float | Place, at: tuple[float, float]) -> float:
        """Radians clockwise from north of a piece that stands at `at` and has this `facing`."""
        return self.scene.azimuth(facing, np.array([*at, 0.0]))

    def ground(self, x: Floats, y: Floats) -> Floats:
        """Height of the ground at plan points, metres, of their shape."""
        return np.zeros(np.broadcast(x, y).shape)
