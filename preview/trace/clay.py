"""Clay: the set in one plain grey under an even sky, to see what is where whatever the lighting."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from preview.build.surfaces import matt
from preview.camera.view import View
from preview.light.emitters.distant import Distant
from preview.light.emitters.dome import Dome
from preview.light.light import Light
from preview.trace.geometry import Geometry
from preview.trace.plate import trace
from preview.trace.quality import Quality
from preview.trace.stage import Stage

QUALITY = Quality(target=0.3, rounds=2, bounce_rays=12, bounces=1)
SET_GREY, RIG_GREY = 0.62, 0.16


def clay(
    stage: Stage,
    view: View,
    *,
    width: int,
    height: int,
    progress: Callable[[float], None] = lambda share: None,
) -> NDArray[np.uint8]:
    """A grey picture (h, w, 3): the set light, what is rigged dark, the sky pale."""
    plain = Stage(
        _plain(stage.solid, SET_GREY),
        _plain(stage.shown, RIG_GREY),
        _plain(stage.panes, SET_GREY),
        (None,) * len(stage.glow_of_part),
    )
    # A soft light over the camera's left shoulder gives shape; it follows the view, so no side is ever black.
    above = -0.75 * view.forward - 0.55 * view.right + np.array([0.0, 0.0, 0.75])
    lights = (
        Light("sky", (Dome(0.62 * np.pi),), 1.0, (1.0, 1.0, 1.0)),
        Light("shape", (Distant(above / np.linalg.norm(above), 1.3, 0.15),), 1.0, (1.0, 1.0, 1.0)),
    )
    plate = trace(plain, lights, view, width=width, height=height, quality=QUALITY, progress=progress)
    value = np.clip(np.sum(plate.layers, axis=0) * 0.95, 0.0, 1.0)
    value[~np.isfinite(plate.depth)] = 0.78
    encoded: NDArray[np.uint8] = (value ** (1 / 2.2) * 255.0 + 0.5).astype(np.uint8)
    return encoded


def _plain(geometry: Geometry, grey: float) -> Geometry:
    return geometry.resurfaced(matt(np.full_like(geometry.surfaces.reflectance, grey)))
