"""Moon sweep: what the script's moon gives now, taken out, and one distant source from each direction in its place."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import cos, degrees, pi, radians, sin
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.build.world import gather
from preview.camera.bearing import Bearing, bearing
from preview.camera.exposure import grey_illuminance_of
from preview.camera.framing import focus_distance
from preview.commands.metering.readings import Receptor, receptor_at, receptors
from preview.commands.prepare import Ready, prepare, stage_of
from preview.commands.shot import ACROSS
from preview.light.light import Light
from preview.light.lights import lights_of
from preview.light.sky import moon_light
from preview.script.fields import Place
from preview.script.models.cast import Figure, Mark
from preview.script.models.fixtures import Fixture
from preview.script.models.sky import REAL_MOON, Moon
from preview.script.motives import MOON, motive_of
from preview.script.scene import Scene
from preview.script.words import listed_all
from preview.trace.plate import Plate, trace
from preview.trace.quality import SHEET
from preview.trace.receptors import read
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]

SOFT: Final = radians(12.0)
"""Apparent diameter of a large frame of cloth some way off: 8 m across at 38 m."""
UNDER: Final = 1.0
"""Stops under the camera's grey that a moon is given where the script has none. Common practice, no source."""
USUAL_KELVIN: Final = 4100.0
SAMPLES: Final = 4096
"""Of each source, to tell what it gives."""


@dataclass(frozen=True)
class SweepOptions:
    """`every_deg`: between azimuths; `heights_deg`: of each; `size`: radians of the source's diameter; `visible`: whether
    it is seen in shot. None of `lux` and `kelvin`: what the script's moon gives now. `across`: pixels of a picture."""

    every_deg: float = 45.0
    heights_deg: tuple[float, ...] = (20.0, 35.0, 50.0)
    size: float = REAL_MOON
    visible: bool = True
    lux: float | None = None
    kelvin: float | None = None
    across: int = ACROSS
    seed: int = 1


@dataclass(frozen=True)
class Mooned:
    """What the script's moon is: the names of the fixtures that play it, and what they give together at the place `at`
    (m), which people call `where`, on a surface that faces the strongest of them, unshadowed; their kelvin."""

    names: tuple[str, ...]
    where: str
    at: Floats
    lux: float
    kelvin: float
    lux_by: str
    """Where the lux is from, in words."""
    kelvin_by: str
    lux_is_usual: bool = False
    """Whether the lux is that of a script without a moon."""


@dataclass(frozen=True)
class Direction:
    """One direction of the moon: degrees, the unit vector (3,) towards it, how the camera sees it from the main figure."""

    azimuth_deg: float
    height_deg: float
    towards: Floats
    seen: Bearing


@dataclass(frozen=True)
class Sweep:
    """`ready`: the scene without its moon, its lights those of `plate`, the moons of `directions` last."""

    ready: Ready
    plate: Plate
    moon: Mooned
    options: SweepOptions
    directions: tuple[Direction, ...]

    @property
    def others(self) -> int:
        """How many of the lights are not moons."""
        return len(self.ready.lights) - len(self.directions)

    @property
    def north_deg(self) -> float:
        """The azimuth of the plan at which true north lies, 0 where the script does not say."""
        place = self.ready.scene.place
        return 0.0 if place is None else degrees(place.north) % 360.0


def main_place(scene: Scene) -> tuple[str, Floats]:
    """The place that directions are told from, and what people call it: the first face that is a mark, else the first
    figure's, else what is in focus."""
    faces = [mark for mark in receptors(scene) if mark.on is not None]
    if not faces and scene.cast:
        faces = [face_of(scene, scene.cast[0])]
    if faces:
        return faces[0].name, faces[0].position
    camera = scene.point(scene.camera.at)
    ahead = scene.point(scene.camera.aim) - camera
    if isinstance(scene.camera.focus, Place):
        return "what is in focus", scene.point(scene.camera.focus)
    return "what is in focus", camera + ahead / np.linalg.norm(ahead) * focus_distance(scene)


def face_of(scene: Scene, figure: Figure) -> Receptor:
    """A flat receptor before a figure's face."""
    return receptor_at(scene, Mark(name=f"{figure.name}.face"))


def without_moon(scene: Scene) -> tuple[Scene, tuple[Fixture, ...]]:
    """The scene without what plays the moon, and what was taken out."""
    moons = tuple(fixture for fixture in scene.fixtures if motive_of(fixture) == MOON)
    return replace(scene, fixtures=tuple(one for one in scene.fixtures if one not in moons)), moons


def mooned(scene: Scene, options: SweepOptions) -> Mooned:
    """What the moon gives now, or what stands for it where the script has none or the user says it."""
    _, fixtures = without_moon(scene)
    where, at = main_place(scene)
    lights = lights_of(replace(scene, fixtures=fixtures))
    gives, strongest = _unshadowed(at, lights)
    names = tuple(fixture.name for fixture in fixtures)
    lux = gives
    lux_by = f"what {'they give together' if len(names) > 1 else 'it gives'} at {where} now, unshadowed"
    if gives <= 0.0:
        lux = grey_illuminance_of(scene.camera) * 2.0**-UNDER
        lux_by = f"{UNDER:g} stop under what the camera is set for" + (
            f", since {listed_all(names)} {'give' if len(names) > 1 else 'gives'} nothing at {where}"
            if names
            else ""
        )
    kelvin = strongest.kelvin if strongest is not None and strongest.kelvin is not None else USUAL_KELVIN
    kelvin_by = f"that of {strongest.name}" if strongest is not None and strongest.kelvin else "a high moon's"
    if options.lux is not None:
        lux, lux_by = options.lux, "as asked"
    if options.kelvin is not None:
        kelvin, kelvin_by = options.kelvin, "as asked"
    usual = gives <= 0.0 and options.lux is None
    return Mooned(names, where, at, lux, kelvin, lux_by, kelvin_by, usual)


def _unshadowed(at: Floats, lights: Sequence[Light]) -> tuple[float, Light | None]:
    """Lux at a place (3,) from all lights on a surface that faces the strongest of them, and that one; nothing stands in
    their way but what is their own."""
    if not lights:
        return 0.0, None
    nothing = stage_of(gather([]), ()).solid

    def of(towards: Floats) -> tuple[Floats, Floats]:
        found = read(at[None], towards[None], nothing, lights, rays=SAMPLES, bounce_rays=0)
        gains = np.array([light.gain for light in lights])
        return found.direct[:, 0] * gains, found.flow[:, 0] * gains[:, None]

    _, flow = of(np.array([0.0, 0.0, 1.0]))
    strength = np.linalg.norm(flow, axis=1)
    best = int(np.argmax(strength))
    if strength[best] <= 0.0:
        return 0.0, None
    lux, _ = of(flow[best] / strength[best])
    return float(lux.sum()), lights[best]


def directions_of(scene: Scene, ready: Ready, at: Floats, options: SweepOptions) -> tuple[Direction, ...]:
    """Every direction, by azimuth from north clockwise, each from its lowest height."""
    count = max(1, round(360.0 / options.every_deg))
    found = []
    for number in range(count):
        azimuth = number * options.every_deg
        for height in sorted(options.heights_deg):
            a, h = radians(azimuth), radians(height)
            towards = np.array([sin(a) * cos(h), cos(a) * cos(h), sin(h)])
            found.append(Direction(azimuth, height, towards, bearing(towards, at, ready.view)))
    return tuple(found)


def moon_from(scene: Scene, direction: Direction, moon: Mooned, options: SweepOptions) -> Light:
    """A moon from a direction. Traced at a lux of 1, so that another lux or kelvin traces nothing."""
    fixture = Fixture.model_construct(
        # No fixture of a script can have this name: names hold no colon.
        name=f"moon:{direction.azimuth_deg:g}:{direction.height_deg:g}",
        moon=Moon.model_construct(
            azimuth=radians(direction.azimuth_deg),
            elevation=min(radians(direction.height_deg), pi / 2.0),
            lux=1.0,
            size=options.size,
            kelvin=moon.kelvin,
            visible=options.visible,
        ),
    )
    assert fixture.moon is not None
    light = moon_light(scene, fixture, fixture.moon)
    return replace(light, gain=light.gain * moon.lux)


def sweep(
    scene: Scene,
    options: SweepOptions,
    *,
    store: AnyStore,
    progress: Callable[[float], None] = lambda share: None,
) -> Sweep:
    """A scene with the moon from each direction, traced; what `store` has is not traced again."""
    moon = mooned(scene, options)
    rest, _ = without_moon(scene)
    ready = prepare(rest, store=store)
    directions = directions_of(scene, ready, moon.at, options)
    moons = tuple(moon_from(scene, one, moon, options) for one in directions)
    ready = replace(ready, lights=(*ready.lights, *moons))
    plate = trace(
        ready.stage,
        ready.lights,
        ready.view,
        width=options.across,
        height=max(1, round(options.across / ready.view.aspect)),
        quality=SHEET,
        haze=ready.haze,
        seed=options.seed,
        store=store,
        label=f"{ready.label}, moon",
        progress=progress,
    )
    return Sweep(ready, plate, moon, options, directions)
