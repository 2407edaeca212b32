"""Readings: what the meter says at a scene's marks, fixture by fixture."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.commands.prepare import Ready
from preview.light.spaces import ACESCG
from preview.script.fields import Place
from preview.script.models.cast import Mark
from preview.script.scene import Scene
from preview.trace.digest import digest, program_digest
from preview.trace.keys import light_digest, set_digest
from preview.trace.plate import Plate
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]

HELD_OFF = 0.06
"""Metres in front of a mark that the receptor is held: clear of skin and wall."""


AROUND = 0.1
"""Metres about a mark within which the picture is looked at."""


@dataclass(frozen=True)
class Receptor:
    """A mark with its place and the way the receptor faces: position (3,) m, facing (3,) unit.

    `on`: the part of the set or cast that is looked at for it in the picture, None for whatever is there. `dome`: whether
    the receptor is half a sphere, not flat. `of`: the named place that it is held before.
    """

    name: str
    position: Floats
    facing: Floats
    on: str | None
    dome: bool = False
    of: str = ""


def receptors(scene: Scene) -> tuple[Receptor, ...]:
    """The script's marks; without any, every figure's face."""
    marks = scene.marks or tuple(Mark(name=f"{figure.name}.face") for figure in scene.cast)
    return tuple(receptor_at(scene, mark) for mark in marks)


def receptor_at(scene: Scene, mark: Mark) -> Receptor:
    """What is held at a mark; a figure's name alone means its face."""
    place = mark.at or Place(of=mark.name)
    if place in [Place(of=figure.name) for figure in scene.cast]:
        place = Place(of=f"{place.of}.face")
    position = scene.point(place)
    anchor = scene.anchors.get(place.of or "")
    if mark.facing == "up":
        facing = np.array([0.0, 0.0, 1.0])
    elif isinstance(mark.facing, float):
        facing = np.array([np.sin(mark.facing), np.cos(mark.facing), 0.0])
    elif isinstance(mark.facing, Place):
        facing = scene.point(mark.facing) - position
    elif mark.facing is None and anchor is not None and anchor.facing is not None:
        facing = np.array(anchor.facing)
    else:
        facing = scene.point(scene.camera.at) - position
    facing = facing / np.linalg.norm(facing)
    figure, _, part = (place.of or "").rpartition(".")
    on = f"{figure}.head" if part in ("face", "eyes") else None
    return Receptor(mark.name, position + HELD_OFF * facing, facing, on, of=place.of or "")


def in_picture(ready: Ready, plate: Plate, stops: NDArray[np.float32], mark: Receptor) -> float | None:
    """Median stops from grey (h, w) of what the camera sees at a mark, -inf for black; None where it sees nothing."""
    height, width = stops.shape
    place = mark.position - HELD_OFF * mark.facing
    uv, depth = ready.view.project(place[np.newaxis])
    if depth[0] <= 0.0:
        return None
    distance = float(np.linalg.norm(place - ready.view.position))
    radius = max(1.5, AROUND / (2.0 * ready.view.tan_half_width * float(depth[0])) * width)
    column, row = uv[0, 0] * width - 0.5, uv[0, 1] * height - 0.5
    rows, columns = np.ogrid[:height, :width]
    here = (rows - row) ** 2 + (columns - column) ** 2 <= radius**2
    if mark.on is None:
        here = here & (np.abs(plate.depth - distance) < 2.0 * AROUND)
    else:
        parts = [i for i, name in enumerate(ready.world.names) if name == mark.on]
        here = here & np.isin(plate.part, parts)
    return float(np.median(stops[here])) if here.any() else None


@dataclass(frozen=True)
class Levels:
    """Lux at each receptor by each light, at its level and in its colour.

    direct, bounced (receptors, lights); rgb (receptors, lights, 3): both together in linear ACEScg; flow (receptors,
    lights, 3): the light vector of the direct light, as in `Reading`.
    """

    direct: Floats
    bounced: Floats
    rgb: Floats
    flow: Floats

    @property
    def total(self) -> Floats:
        return self.direct + self.bounced


def levels(
    ready: Ready,
    marks: tuple[Receptor, ...],
    *,
    rays: int,
    bounces: int,
    seed: int,
    store: AnyStore,
    bounce_rays: int | None = None,
    tolerance: float = 0.0,
) -> Levels:
    """The readings at receptors: lux as the lights are set. What `store` has of them is not traced again.

    `bounce_rays`: None for four times `rays`; `tolerance` as for `read`.
    """
    lights = ready.lights
    position = np.array([mark.position for mark in marks]).reshape(-1, 3)
    facing = np.array([mark.facing for mark in marks]).reshape(-1, 3)
    domes = np.array([mark.dome for mark in marks], bool)
    ways = 4 * rays if bounce_rays is None else bounce_rays
    place = digest(program_digest(), set_digest(ready.stage), ready.haze, position, facing, domes)
    common = digest(place, rays, tolerance, ways, bounces, seed)
    found: dict[str, Mapping[str, NDArray[Any]]] = {}
    missing = []
    for light in lights:
        known = store.load(digest(common, light_digest(light)))
        if known is None:
            missing.append(light)
        else:
            found[light.name] = known
    if missing:
        # Heavy, and idle where the store has every reading.
        from preview.trace.receptors import read

        fresh = read(
            position,
            facing,
            ready.stage.solid,
            missing,
            domes=domes,
            rays=rays,
            tolerance=tolerance,
            bounce_rays=ways,
            bounces=bounces,
            haze=ready.haze,
            seed=seed,
        )
        for row, light in enumerate(missing):
            arrays = {
                "direct": fresh.direct[row],
                "indirect": fresh.indirect[row],
                "flow": fresh.flow[row],
            }
            label = f"{ready.label}: {light.name}"
            store.put(digest(common, light_digest(light)), arrays, kind="readings", label=label)
            found[light.name] = arrays
    rgb, flow = np.zeros((2, len(marks), len(lights), 3))
    direct, bounced = np.zeros((2, len(marks), len(lights)))
    for column, light in enumerate(lights):
        known, colour = found[light.name], np.asarray(light.colour)
        direct[:, column] = light.gain * known["direct"]
        bounced[:, column] = light.gain * (known["indirect"] @ (ACESCG.luminance * colour))
        rgb[:, column] = light.gain * colour * (known["direct"][:, np.newaxis] + known["indirect"])
        flow[:, column] = light.gain * known["flow"]
    return Levels(direct, bounced, rgb, flow)
