"""Shot: a plate with the scene it is of: what the lens and the camera make of it, at the scene's levels and settings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from preview.camera.develop import scene_linear
from preview.camera.display_table import sheet_picture
from preview.camera.exposure import exposure_scale, stops_from_grey
from preview.camera.framing import focus_distance
from preview.camera.optics import seen_by_camera
from preview.commands.prepare import Ready
from preview.light.spaces import ACESCG
from preview.script.models.camera import Camera
from preview.trace.mix import mixed
from preview.trace.plate import Plate, trace
from preview.trace.quality import SHEET, Quality
from preview.trace.store import AnyStore

Array = NDArray[np.float32]

ACROSS = 480
"""Pixels across a picture that is one of many on a sheet."""


@dataclass(frozen=True)
class Shot:
    """A plate and the scene made ready, whose lights are the plate's, in their order.

    Another look of the same light is the same plate with another `ready`: nothing is traced for it.
    """

    ready: Ready
    plate: Plate

    @cached_property
    def light(self) -> Array:
        """Radiance (h, w, 3) cd/m2, linear ACEScg, before the lens."""
        return mixed(self.plate, self.ready.lights)

    @cached_property
    def seen(self) -> Array:
        """Radiance (h, w, 3) as the lens shows it."""
        return seen(self.ready, self.plate, self.light)

    @cached_property
    def stops(self) -> Array:
        """Stops from 18 % grey (h, w) as the lens shows it; -inf for no light."""
        return stops_of(self.seen, self.ready.scene.camera)

    @cached_property
    def picture(self) -> NDArray[np.uint8]:
        """The picture (h, w, 3), developed for a display, as one of many."""
        return sheet_picture(scene_linear(self.seen, self.ready.scene.camera))


def shot(
    ready: Ready,
    *,
    store: AnyStore,
    width: int = ACROSS,
    quality: Quality = SHEET,
    seed: int = 1,
    progress: Callable[[float], None] = lambda share: None,
) -> Shot:
    """A scene traced for a sheet, `width` pixels wide; what `store` has of it is not traced again."""
    plate = trace(
        ready.stage,
        ready.lights,
        ready.view,
        width=width,
        height=max(1, round(width / ready.view.aspect)),
        quality=quality,
        haze=ready.haze,
        seed=seed,
        store=store,
        label=ready.label,
        progress=progress,
    )
    return Shot(ready, plate)


def seen(ready: Ready, plate: Plate, radiance: Array) -> Array:
    """Radiance (h, w, 3) as the lens shows it."""
    return seen_by_camera(
        radiance,
        near=plate.depth,
        far=plate.far,
        cover=plate.cover,
        camera=ready.scene.camera,
        view=ready.view,
        focus_distance_m=focus_distance(ready.scene),
    )


def stops_of(radiance: Array, camera: Camera) -> Array:
    """Stops from 18 % grey (h, w) of radiance (h, w, 3) in cd/m2, before any balance; -inf for no light."""
    return stops_from_grey(
        (radiance @ ACESCG.luminance.astype(np.float32)) * np.float32(exposure_scale(camera))
    )
