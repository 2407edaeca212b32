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
from preview.trace.receptors import read
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]

HELD_OFF = 0.06
"""Metres in front of a mark that the receptor is held: clear of skin and wall."""


AROUND = 0.1
"""Metres about a mark within which the picture is looked at."""


@dataclass(frozen=True)
class Receptor:
    """A mark with its place and the way the receptor faces: position (3,) m, facing (3,) unit.

    `on`: the part of the set or cast that is looked at for it in the picture, None for whatever is there.
    """

    name: str
    position: Floats
    facing: Floats
    on: str | None


def receptors(scene: Scene) -> tuple[Receptor, ...]:
    """The script's marks; without any, every figure's face."""
    marks = scene.marks or tuple(Mark(name=f"{figure.name}.face") for figure in scene.cast)
    return tuple(_receptor(scene, mark) for mark in marks)


def _receptor(scene: Scene, mark: Mark) -> Receptor:
    place = mark.at or Place(of=mark.name)
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
    return Receptor(mark.name, position + HELD_OFF * facing, facing, on)


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
    """Lux at each mark by each light, at its level and in its colour: direct, bounced (marks, lights)."""

    direct: Floats
    bounced: Floats

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
) -> Levels:
    """The readings at receptors: lux as the lights are set. What `store` has of them is not traced again."""
    lights = ready.lights
    position = np.array([mark.position for mark in marks]).reshape(-1, 3)
    facing = np.array([mark.facing for mark in marks]).reshape(-1, 3)
    common = digest(
        program_digest(), set_digest(ready.stage), ready.haze, position, facing, rays, bounces, seed
    )
    found: dict[str, Mapping[str, NDArray[Any]]] = {}
    missing = []
    for light in lights:
        known = store.load(digest(common, light_digest(light)))
        if known is None:
            missing.append(light)
        else:
            found[light.name] = known
    if missing:
        fresh = read(
            position,
            facing,
            ready.stage.solid,
            missing,
            rays=rays,
            bounce_rays=4 * rays,
            bounces=bounces,
            haze=ready.haze,
            seed=seed,
        )
        for row, light in enumerate(missing):
            arrays = {"direct": fresh.direct[row], "indirect": fresh.indirect[row]}
            label = f"{ready.label}: {light.name}"
            store.put(digest(common, light_digest(light)), arrays, kind="readings", label=label)
            found[light.name] = arrays
    direct, bounced = np.zeros((2, len(marks), len(lights)))
    for column, light in enumerate(lights):
        direct[:, column] = light.gain * found[light.name]["direct"]
        bounced[:, column] = light.gain * (found[light.name]["indirect"] @ (ACESCG.luminance * light.colour))
    return Levels(direct, bounced)
