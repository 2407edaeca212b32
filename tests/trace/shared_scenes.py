"""Three scenes described twice, for this tracer and for the path tracer Mitsuba 3: direct, soft shadow, one bounce."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part, flat
from preview.build.solids import boxes
from preview.build.surfaces import matt
from preview.build.world import gather
from preview.camera.view import View, look
from preview.light.emitters.ball import Ball
from preview.light.emitters.patch import Patch
from preview.light.light import Emitter, Light
from preview.trace.geometry import Geometry
from preview.trace.plate import trace
from preview.trace.quality import Quality
from preview.trace.stage import Stage

WIDTH, HEIGHT = 320, 180
TAN_HALF_WIDTH = 0.55


@dataclass(frozen=True)
class SharedScene:
    """`quads`: name -> corners (4, 3) and albedo; `boxes`: name -> low, high and albedo; depth: Mitsuba's path length.

    `others`: further emitters, each for this tracer and for Mitsuba.
    """

    name: str
    quads: dict[str, tuple[list[list[float]], float]]
    boxes: dict[str, tuple[list[float], list[float], float]]
    emitter: Emitter
    mitsuba_emitter: dict[str, Any]
    eye: tuple[float, float, float]
    target: tuple[float, float, float]
    depth: int
    others: tuple[tuple[Emitter, dict[str, Any]], ...] = ()

    @property
    def view(self) -> View:
        return look(
            np.array(self.eye, float),
            np.array(self.target, float),
            roll=0.0,
            tan_half_width=TAN_HALF_WIDTH,
            tan_half_height=TAN_HALF_WIDTH * HEIGHT / WIDTH,
        )

    def geometry(self) -> Geometry:
        parts = [_quad(name, corners) for name, (corners, _) in self.quads.items()]
        parts += [flat(name, "grey", boxes(low, high)) for name, (low, high, _) in self.boxes.items()]
        albedo = [a for _, a in self.quads.values()] + [a for _, _, a in self.boxes.values()]
        grey = np.repeat(np.array(albedo, np.float32)[:, None], 3, axis=1)
        return Geometry(gather(parts), matt(grey))

    def ours(self, geometry: Geometry, quality: Quality, *, seed: int = 1) -> NDArray[np.float32]:
        """Radiance (HEIGHT, WIDTH) of this tracer."""
        nothing = Geometry(gather([]), matt(np.zeros((0, 3), np.float32)))
        light = Light("light", (self.emitter, *(own for own, _ in self.others)), 1.0, (1.0, 1.0, 1.0))
        plate = trace(
            Stage(geometry, nothing, nothing, ()),
            [light],
            self.view,
            width=WIDTH,
            height=HEIGHT,
            quality=quality,
            seed=seed,
        )
        return plate.layers[0][:, :, 0]

    def mitsuba_scene(self, mi: Any, *, sampler: str = "independent") -> Any:
        """The same for Mitsuba, its variant already set; `sampler` is one of its plugins."""
        shapes: dict[str, Any] = {}
        for name, (corners, albedo) in self.quads.items():
            shapes[name] = {
                "type": "rectangle",
                "to_world": _rectangle_transform(mi, corners),
                "bsdf": _diffuse(albedo),
            }
        for name, (low, high, albedo) in self.boxes.items():
            middle = [(a + b) / 2 for a, b in zip(low, high, strict=True)]
            half = [(b - a) / 2 for a, b in zip(low, high, strict=True)]
            transform = mi.ScalarTransform4f()
            shapes[name] = {
                "type": "cube",
                "to_world": transform.translate(middle) @ transform.scale(half),
                "bsdf": _diffuse(albedo),
            }
        for number, emitter in enumerate((self.mitsuba_emitter, *(theirs for _, theirs in self.others))):
            shapes[f"emitter {number}"] = _emitter(mi, emitter)
        return mi.load_dict(
            {
                "type": "scene",
                "sensor": {
                    "type": "perspective",
                    "fov": float(np.degrees(2 * np.arctan(TAN_HALF_WIDTH))),
                    "fov_axis": "x",
                    "to_world": mi.ScalarTransform4f().look_at(
                        origin=list(self.eye), target=list(self.target), up=[0, 0, 1]
                    ),
                    "sampler": {"type": sampler},
                    "film": {
                        "type": "hdrfilm",
                        "width": WIDTH,
                        "height": HEIGHT,
                        "rfilter": {"type": "box"},
                        "pixel_format": "rgb",
                        "component_format": "float32",
                    },
                },
                **shapes,
            }
        )


def _quad(name: str, corners: list[list[float]]) -> Part:
    a, b, c, d = (np.array(p, float) for p in corners)
    return flat(name, "grey", np.array([[a, b, c], [a, c, d]]))


def _emitter(mi: Any, described: dict[str, Any]) -> dict[str, Any]:
    emitter = dict(described)
    if "corners" in emitter:
        return {
            "type": "rectangle",
            "to_world": _rectangle_transform(mi, emitter["corners"]),
            "bsdf": _diffuse(0.0),
            "emitter": {"type": "area", "radiance": {"type": "rgb", "value": emitter["luminance"]}},
        }
    if "look" in emitter:
        origin, aim = emitter.pop("look")
        emitter["to_world"] = mi.ScalarTransform4f().look_at(origin=origin, target=aim, up=[0, 0, 1])
    return emitter


def _diffuse(albedo: float) -> dict[str, Any]:
    return {
        "type": "twosided",
        "bsdf": {"type": "diffuse", "reflectance": {"type": "rgb", "value": albedo}},
    }


def _rectangle_transform(mi: Any, corners: list[list[float]]) -> Any:
    """The square -1..1 of a Mitsuba rectangle placed on four corners, facing by their right-hand turn."""
    a, b, _, d = (np.array(p, float) for p in corners)
    matrix = np.eye(4)
    matrix[:3, 0], matrix[:3, 1] = (b - a) / 2, (d - a) / 2
    matrix[:3, 2] = np.cross(b - a, d - a) / np.linalg.norm(np.cross(b - a, d - a))
    matrix[:3, 3] = (b + d) / 2
    return mi.ScalarTransform4f(matrix)


def _spot(cosine: NDArray[np.float32]) -> NDArray[np.float32]:
    """Full to 10 deg, linear in angle to nothing at 20 deg, as Mitsuba's spot."""
    degrees = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))
    return np.clip((20.0 - degrees) / 10.0, 0.0, 1.0).astype(np.float32)


DIRECT = SharedScene(
    name="direct: a spot on a wall",
    quads={
        "wall": ([[0, -6, -6], [0, 6, -6], [0, 6, 6], [0, -6, 6]], 0.6),
        "floor": ([[0, -6, -2], [6, -6, -2], [6, 6, -2], [0, 6, -2]], 0.3),
    },
    boxes={"box": ([1.0, 0.3, -1.0], [1.5, 0.9, 0.2], 0.5)},
    emitter=Patch(np.array([5.0, 0, 0]), np.array([-1.0, 0, 0]), (1e-4, 1e-4), 10000.0, profile=_spot),
    mitsuba_emitter={
        "type": "spot",
        "intensity": {"type": "rgb", "value": 10000.0},
        "cutoff_angle": 20.0,
        "beam_width": 10.0,
        "look": ([5, 0, 0], [0, 0, 0]),
    },
    eye=(6.0, -2.0, 1.0),
    target=(0.0, 0.2, -0.2),
    depth=2,
)

SOFT_SHADOW = SharedScene(
    name="soft shadow: a square source over a box",
    quads={"floor": ([[-5, -5, 0], [5, -5, 0], [5, 5, 0], [-5, 5, 0]], 0.5)},
    boxes={"box": ([0.8, -0.5, 0.0], [1.3, 0.5, 1.0], 0.3)},
    emitter=Patch(np.array([0.0, 0, 3]), np.array([0.0, 0, -1]), (0.5, 0.5), 100.0, round=False),
    mitsuba_emitter={
        "corners": [[-0.5, -0.5, 3], [-0.5, 0.5, 3], [0.5, 0.5, 3], [0.5, -0.5, 3]],
        "luminance": 100.0,
    },
    eye=(2.5, -5.0, 2.4),
    target=(0.8, 0.0, 0.4),
    depth=2,
)

ONE_BOUNCE = SharedScene(
    name="one bounce: a corner under a small source",
    quads={
        "floor": ([[0, -2, 0], [4, -2, 0], [4, 2, 0], [0, 2, 0]], 0.6),
        "wall": ([[0, -2, 0], [0, 2, 0], [0, 2, 3], [0, -2, 3]], 0.4),
    },
    boxes={"box": ([0.5, 0.4, 0.0], [1.1, 1.0, 0.9], 0.5)},
    emitter=Ball(np.array([2.0, 0, 1.5]), 1e-3, 1000.0 / (np.pi * 1e-6)),
    mitsuba_emitter={
        "type": "point",
        "position": [2.0, 0.0, 1.5],
        "intensity": {"type": "rgb", "value": 1000.0},
    },
    eye=(5.5, -2.2, 2.2),
    target=(0.6, 0.3, 0.8),
    depth=3,
)

SHARED = (DIRECT, SOFT_SHADOW, ONE_BOUNCE)
