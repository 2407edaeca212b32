"""Prepare: a scene made ready to trace: its world, its lights, the view through its lens."""

from __future__ import annotations

from dataclasses import dataclass

from preview.build.assemble import assemble
from preview.build.mesh import Part
from preview.build.surfaces import surfaces_of
from preview.build.world import World, gather, split
from preview.camera.framing import view_of
from preview.camera.view import View
from preview.commands.air import air_of
from preview.light.light import Glow, Light
from preview.light.lights import lights_of
from preview.script.scene import Scene
from preview.trace.geometry import Geometry
from preview.trace.haze import Haze
from preview.trace.keys import out_of_frame
from preview.trace.stage import Stage


@dataclass(frozen=True)
class Ready:
    """A scene with all that tracing it needs."""

    scene: Scene
    view: View
    lights: tuple[Light, ...]
    stage: Stage
    haze: Haze | None = None

    @property
    def world(self) -> World:
        """The solid set and cast."""
        return self.stage.solid.world

    @property
    def label(self) -> str:
        """What people call it: the scene's file and the setup."""
        return f"{self.scene.path.stem} {self.scene.setup}"


def prepare(scene: Scene) -> Ready:
    """Builds the set, the cast and the lights of a scene. Raises UserError for a mesh file that will not do."""
    lights, view = lights_of(scene), view_of(scene)
    return Ready(scene, view, lights, stage_of(assemble(scene), lights, view), air_of(scene))


def stage_of(world: World, lights: tuple[Light, ...], view: View | None = None) -> Stage:
    """What of the set stops light, its panes, and what of the lights is only seen.

    What is out of the frame of `view` is numbered last: it may come and go, and what is seen keeps its number.
    """
    solid, panes = split(world)
    shown: list[tuple[Part, tuple[str, Glow] | None]] = []
    for light in lights:
        shown += [(body, None) for body in light.bodies]
        shown += [(glow.part, (light.name, glow)) for glow in light.glows]
    if view is not None:
        shown.sort(key=lambda one: out_of_frame(view, one[0].vertices))
    parts = gather([part for part, _ in shown])
    return Stage(_geometry(solid), _geometry(parts), _geometry(panes), tuple(owner for _, owner in shown))


def _geometry(world: World) -> Geometry:
    return Geometry(world, surfaces_of(world))
