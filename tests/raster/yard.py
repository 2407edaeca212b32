"""Yard: a floor, a wall and two boxes under hard lamps, small enough to reckon by hand, for the raster engine's tests."""

from __future__ import annotations

import ctypes.util
import sys
from collections.abc import Sequence
from copy import copy
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from preview.build.mesh import Part, flat
from preview.build.solids import boxes
from preview.build.surfaces import matt
from preview.build.world import gather
from preview.camera.view import View, look
from preview.faults import UserError
from preview.light.emitters.ball import Ball
from preview.light.emitters.distant import Distant
from preview.light.emitters.patch import Patch
from preview.light.light import Light
from preview.raster.driver import canvas
from preview.trace.geometry import Geometry
from preview.trace.plate import Plate, trace
from preview.trace.quality import Quality
from preview.trace.rays import Rays
from preview.trace.stage import Stage

Array = NDArray[np.float32]

WIDTH, HEIGHT = 320, 200
GREY = 0.5
CANDELA = 900.0
TINY = 1e-3
"""Metres: the radius of a lamp that throws hard shadows."""
QUALITY = Quality(samples=4, rounds=1, bounce_rays=0)


def need_driver() -> None:
    """Skips the caller's tests where no GL driver was ever installed; one that is there must work."""
    if sys.platform.startswith("linux") and ctypes.util.find_library("EGL") is None:
        pytest.skip("no EGL library here", allow_module_level=True)
    try:
        with canvas():
            pass
    except UserError as missing:
        if sys.platform.startswith("linux"):
            raise
        pytest.skip(str(missing), allow_module_level=True)


def quad(name: str, *corners: tuple[float, float, float]) -> Part:
    a, b, c, d = (np.array(corner, float) for corner in corners)
    return flat(name, "grey", np.array([[a, b, c], [a, c, d]]))


def geometry(*parts: Part) -> Geometry:
    return Geometry(gather(list(parts)), matt(np.full((len(parts), 3), GREY, np.float32)))


def yard() -> Stage:
    parts = (
        quad("floor", (-6, -6, 0), (6, -6, 0), (6, 6, 0), (-6, 6, 0)),
        quad("wall", (-6, 4, 0), (6, 4, 0), (6, 4, 3), (-6, 4, 3)),
        flat("crate", "grey", boxes([-1.6, 0.0, 0.0], [-0.6, 1.0, 1.0])),
        flat("post", "grey", boxes([1.0, -0.5, 0.0], [1.2, -0.3, 1.8])),
    )
    return Stage(geometry(*parts), geometry(), geometry(), ())


def view() -> View:
    return look(
        np.array([0.8, -7.0, 2.6]),
        np.array([0.0, 1.0, 0.6]),
        roll=0.0,
        tan_half_width=0.6,
        tan_half_height=0.6 * HEIGHT / WIDTH,
    )


def cone(cosine: np.ndarray) -> np.ndarray:
    """Even within 20 degrees, smoothly to nothing at 35."""
    inner, outer = np.cos(np.radians([20.0, 35.0]))
    return np.clip((cosine - outer) / (inner - outer), 0.0, 1.0).astype(np.float32)


SPOT_AT = np.array([-4.0, -4.0, 4.0])
SPOT_AXIS = np.array([0.4, 0.5, -0.4]) / np.linalg.norm([0.4, 0.5, -0.4])
POINT_AT = np.array([2.6, 1.6, 2.4])
TOWARDS = np.array([0.5, -0.6, 0.7]) / np.linalg.norm([0.5, -0.6, 0.7])
MOON_LUX = 3.0

LAMPS = {
    "spot": Patch(SPOT_AT, SPOT_AXIS, (TINY, TINY), CANDELA, profile=cone),
    "point": Ball(POINT_AT, TINY, CANDELA / (np.pi * TINY**2)),
    "distant": Distant(TOWARDS, MOON_LUX, 1e-4),
}


def lights() -> list[Light]:
    return [Light(name, (emitter,), 1.0, (1.0, 1.0, 1.0)) for name, emitter in LAMPS.items()]


class _NothingInTheWay(Rays):
    def blocked(self, origins: Array, directions: Array, distances: Array) -> NDArray[np.bool_]:
        return np.zeros(len(origins), bool)


def without_shadows(stage: Stage) -> Stage:
    """The same, seen as it is, but everything lets light by."""
    solid = copy(stage.solid)
    solid.rays = _NothingInTheWay(solid.world.vertices, solid.world.faces)
    return replace(stage, solid=solid)


def traced(stage: Stage, lamps: Sequence[Light], eye: View, *, width: int, height: int) -> Plate:
    """The traced engine's direct light."""
    return trace(stage, lamps, eye, width=width, height=height, quality=QUALITY)
