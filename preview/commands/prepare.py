"""Prepare: a scene made ready to trace: its world, its lights, the view through its lens."""

from __future__ import annotations

from dataclasses import dataclass

from preview.build.mesh import Part
from preview.build.surfaces import surfaces_of
from preview.build.world import World, gather
from preview.camera.framing import view_of
from preview.camera.view import View
from preview.commands.air import air_of
from preview.commands.kept_set import Pair, geometries_of, set_of
from preview.light.light import Glow, Light
from preview.light.lights import lights_of
from preview.script.scene import Scene
from preview.trace.geometry import Geometry
from preview.trace.haze import Haze
from preview.trace.keys import out_of_frame
from preview.trace.stage import Stage
from preview.trace.store import AnyStore


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


def prepare(scene: Scene, *, store: AnyStore | None = None) -> Ready:
    """Builds the set, the cast and the lights of a scene; a set that `store` has is not built again.

    Raises UserError for a mesh file that will not do.
    """
    lights, view = lights_of(scene), view_of(scene)
    return Ready(scene, view, lights, stage_on(set_of(scene, store), lights, view), air_of(scene))


def same_set(ready: Ready, scene: Scene) -> Ready:
    """Another camera, or other fixtures, in the set that `ready` has: `scene` has its set, its cast and its eyes."""
    lights = ready.lights if scene.fixtures == ready.scene.fixtures else lights_of(scene)
    view = view_of(scene)
    stage = stage_on((ready.stage.solid, ready.stage.panes), lights, view)
    return Ready(scene, view, lights, stage, air_of(scene))


def stage_of(world: World, lights: tuple[Light, ...], view: View | None = None) -> Stage:
    """The stage of a world that is built."""
    return stage_on(geometries_of(world), lights, view)


def stage_on(pair: Pair, lights: tuple[Light, ...], view: View | None = None) -> Stage:
    """What of the set stops light, its panes (as a pair), and what of the lights is only seen.

    What is out of the frame of `view` is numbered last: it may come and go, and what is seen keeps its number.
    """
    solid, panes = pair
    shown: list[tuple[Part, tuple[str, Glow] | None]] = []
    for light in lights:
        shown += [(body, None) for body in light.bodies]
        shown += [(glow.part, (light.name, glow)) for glow in light.glows]
    if view is not None:
        shown.sort(key=lambda one: out_of_frame(view, one[0].vertices))
    parts = gather([part for part, _ in shown])
    return Stage(solid, Geometry(parts, surfaces_of(parts)), panes, tuple(owner for _, owner in shown))
