"""Site: what a builder may ask of the scene that its piece stands in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from preview.build.mesh import Floats
from preview.script.fields import Place
from preview.script.scene import Scene
from preview.script.terrain import Terrain


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

    @property
    def terrain(self) -> Terrain:
        """The ground that everything stands on."""
        return self.scene.terrain

    def ground(self, x: ArrayLike, y: ArrayLike) -> Floats:
        """Height of the ground at plan points, metres, of their shape."""
        return self.terrain.height(x, y)

    def falls(self, at: tuple[float, float], size: tuple[float, float], azimuth: float) -> float:
        """How far the ground falls away below what stands at `at`, anywhere under a plan of `size`; metres, 0 on level.

        So deep must the foundation of a level piece go.
        """
        if not self.terrain.is_uneven:
            return 0.0
        share = np.linspace(-0.5, 0.5, 9)
        across, deep = np.meshgrid(share * size[0], share * size[1])
        x = at[0] + across * np.cos(azimuth) + deep * np.sin(azimuth)
        y = at[1] - across * np.sin(azimuth) + deep * np.cos(azimuth)
        return max(0.0, self.terrain.footing(*at) - float(self.ground(x, y).min()))
