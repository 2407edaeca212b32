"""Twin: a demo scene stripped to what this tracer and Mitsuba 3 express alike, and its frame in this tracer.

Kept: every triangle of set and cast, flat; of surfaces, the diffuse reflectance; of fixtures, level and colour, cloths,
even panels, windows, lamps as discs, balls and tubes, all at their true size. A beam becomes a spot without an aperture,
as wide at half and at a tenth of its intensity; the moon a point. What is flat and shines stops light, black.

Left out: mottle, clear coats, wet, light through leaves, panes, rounded normals, what is seen of the rig, what of a head
goes straight through a frame's cloth or past it, the glow of towns.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part, flat
from preview.build.surfaces import matt
from preview.build.world import World, gather
from preview.camera.view import View
from preview.commands.prepare import prepare
from preview.light.emitters.ball import Ball
from preview.light.emitters.cloth import Cloth
from preview.light.emitters.distant import Distant
from preview.light.emitters.dome import Dome
from preview.light.emitters.patch import Patch, lambertian
from preview.light.emitters.tube import Tube
from preview.light.light import Emitter, Light
from preview.light.spaces import ACESCG
from preview.light.vectors import across
from preview.script.read import read_scene
from preview.trace.geometry import Geometry
from preview.trace.mix import mixed
from preview.trace.plate import trace
from preview.trace.quality import Quality
from preview.trace.stage import Stage

Image = NDArray[np.float64]

FOLDER = Path(__file__).parents[2] / "scenes"
NAMES = ("orchard-gate", "bus-shelter", "wet-quay")
TINY = 1e-4
"""Metres or radians: as good as nothing, for a source without size."""
SIDES = 32
"""Of the polygon that stands in a disc's place and stops light."""
BEHIND = 5e-3
"""Metres from what shines to what stops light in its place, so that it does not stop its own."""


@dataclass(frozen=True)
class Twin:
    """`lights` hold only emitters that `preview.light` and Mitsuba share; `sources`: the first part that shines."""

    name: str
    solid: Geometry
    lights: tuple[Light, ...]
    view: View
    width: int
    height: int
    sources: int

    def without_sky(self) -> Twin:
        """The same under no sky: in this tracer, that comes with the bounce."""
        kept = tuple(light for light in self.lights if not isinstance(light.emitters[0], Dome))
        return replace(self, lights=kept)

    def traced(self, quality: Quality) -> Image:
        """Luminance (height, width) of this tracer's picture, at the lights' levels and in their colours."""
        nothing = Geometry(gather([]), matt(np.zeros((0, 3), np.float32)))
        plate = trace(
            Stage(self.solid, nothing, nothing, ()),
            self.lights,
            self.view,
            width=self.width,
            height=self.height,
            quality=quality,
        )
        return np.asarray(mixed(plate, self.lights) @ ACESCG.luminance, np.float64)


def twin(name: str, *, width: int) -> Twin:
    """The twin of a demo scene, by its file's name."""
    ready = prepare(read_scene(FOLDER / f"{name}.yaml"))
    lights = []
    for light in ready.lights:
        own = tuple(alike for alike in map(_alike, light.emitters) if alike is not None)
        if own:
            lights.append(replace(light, emitters=own, glows=(), bodies=()))
    world, surfaces = ready.stage.solid.world, ready.stage.solid.surfaces
    bodies = [body for light in lights for body in map(_body, light.emitters) if body is not None]
    black = np.zeros((len(bodies), 3), np.float32)
    solid = Geometry(
        _faceted(_joined(world, gather(bodies))), matt(np.concatenate([surfaces.reflectance, black]))
    )
    height = round(width / ready.view.aspect)
    # Mitsuba's pixels are square.
    view = replace(ready.view, tan_half_height=ready.view.tan_half_width * height / width)
    return Twin(name, solid, tuple(lights), view, width, height, len(world.names))


def linear_beam(cosine: NDArray[np.float32], *, full: float, none: float) -> NDArray[np.float32]:
    """Relative intensity that falls evenly with the angle from 1 at `full` to 0 at `none` (radians), as Mitsuba's spot."""
    angle = np.arccos(np.clip(cosine, -1.0, 1.0))
    return np.clip((none - angle) / (none - full), 0.0, 1.0).astype(np.float32)


def spot_angles(patch: Patch) -> tuple[float, float]:
    """Half angles (radians) at which a linear beam has left its maximum and is at nothing: by its half and its tenth."""
    cosine = np.cos(np.linspace(0.0, np.pi / 2.0, 4096)).astype(np.float32)
    relative = patch.profile(cosine)
    half, tenth = (float(np.arccos(cosine[np.argmax(relative < share)])) for share in (0.5, 0.1))
    return max(half - 1.25 * (tenth - half), 0.0), min(half + 1.25 * (tenth - half), np.pi / 2.0)


def _alike(emitter: Emitter) -> Emitter | None:
    """The emitter, or the nearest that Mitsuba has too; None where it has none."""
    match emitter:
        case Ball() | Cloth() | Tube():
            return emitter
        case Patch(profile=profile) if profile is lambertian:
            return emitter
        case Patch():
            full, none = spot_angles(emitter)
            profile = partial(linear_beam, full=full, none=none)
            return replace(emitter, half_size=(TINY, TINY), round=True, profile=profile)
        case Distant():
            return replace(emitter, half_angle=TINY, visible=False)
        case Dome(town=None):
            return replace(emitter, stars=False)
    return None


def _body(emitter: Emitter) -> Part | None:
    """The flat surface that shines, as a thing in light's way."""
    if isinstance(emitter, Cloth) or (isinstance(emitter, Patch) and emitter.profile is lambertian):
        width, height = across(emitter.axis)
        turn = np.linspace(0.0, 2.0 * np.pi, SIDES, endpoint=False)
        ring = np.stack([np.cos(turn), np.sin(turn)])
        if not getattr(emitter, "round", False):
            ring = np.array([[-1.0, 1.0, 1.0, -1.0], [-1.0, -1.0, 1.0, 1.0]])
        x, y = ring * np.array(emitter.half_size)[:, None]
        corners = emitter.centre - BEHIND * emitter.axis + x[:, None] * width + y[:, None] * height
        fan = [(corners[0], corners[n], corners[n + 1]) for n in range(1, len(corners) - 1)]
        return flat("source", "grey", np.array(fan))
    return None


def _joined(first: World, second: World) -> World:
    return World(
        np.concatenate([first.vertices, second.vertices]),
        np.concatenate([first.normals, second.normals]),
        np.concatenate([first.faces, second.faces + np.int32(len(first.vertices))]),
        np.concatenate([first.part_of_face, second.part_of_face + np.int32(len(first.names))]),
        first.names + second.names,
        first.materials + second.materials,
        first.wets + second.wets,
    )


def _faceted(world: World) -> World:
    """The same triangles, each flat: no corner shares its normal."""
    corners = world.vertices[world.faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), np.float32(1e-20))
    faces = np.arange(3 * len(corners), dtype=np.int32).reshape(-1, 3)
    return replace(world, vertices=corners.reshape(-1, 3), normals=np.repeat(normal, 3, axis=0), faces=faces)
