"""Lights: every fixture of a scene made ready to trace."""

from __future__ import annotations

from preview.light.heads import head_light
from preview.light.light import Light
from preview.light.practicals import practical_light
from preview.light.sky import moon_light, sky_light
from preview.script.models.fixtures import Fixture
from preview.script.scene import Scene


def lights_of(scene: Scene) -> tuple[Light, ...]:
    """The scene's fixtures in script order."""
    return tuple(_light(scene, fixture) for fixture in scene.fixtures)


def _light(scene: Scene, fixture: Fixture) -> Light:
    if fixture.moon is not None:
        return moon_light(scene, fixture, fixture.moon)
    if fixture.sky is not None:
        return sky_light(scene, fixture, fixture.sky)
    if fixture.practical is not None:
        return practical_light(scene, fixture, fixture.practical)
    return head_light(scene, fixture)
