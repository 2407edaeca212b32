"""Coverage: what the lens of a setup sees, written as sheet and JSON."""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from pathlib import Path

import numpy as np

from preview.camera.coverage import Coverage, cover, to_json
from preview.camera.in_shot import RigUnit
from preview.commands.prepare import Ready, prepare
from preview.light.heads import head_output
from preview.light.light import Light
from preview.script.models.fixtures import Fixture
from preview.script.scene import Scene
from preview.sheets.coverage_sheet import coverage_sheet, surround_view
from preview.sheets.data import json_text
from preview.sheets.drawing import COLUMN
from preview.sheets.png import save_png
from preview.sheets.stage import staged
from preview.trace.clay import clay

FILES = ("coverage.png", "coverage.json")


def coverage(
    scene: Scene, folder: Path, *, progress: Callable[[float], None] = lambda share: None
) -> Coverage:
    """The coverage of a scene's setup, written into `folder`: coverage.png, coverage.json.

    Raises UserError when the set cannot be built or the folder cannot be written.
    """
    ready = prepare(scene)
    answer = cover(scene, ready.view, ready.world, ready.stage.solid.rays, rig_units(ready))
    wide = surround_view(ready.view)
    width = int(COLUMN)
    picture = clay(ready.stage, wide, width=width, height=round(width / wide.aspect), progress=progress)
    sheet_file, data_file = FILES
    with staged(folder) as stage:
        save_png(coverage_sheet(answer, picture), stage / sheet_file)
        (stage / data_file).write_text(json_text(to_json(answer)) + "\n", encoding="utf-8")
    return answer


def rig_units(ready: Ready) -> list[RigUnit]:
    """Every head, stand, frame, cloth and practical of the scene, with where it shines; a frame's stand by itself, and
    whatever else stands in a light or hangs on a head, as a frame."""
    units = []
    for fixture, light in zip(ready.scene.fixtures, ready.lights, strict=True):
        units += _units(ready.scene, fixture, light)
    return units


def _units(scene: Scene, fixture: Fixture, light: Light) -> list[RigUnit]:
    if fixture.practical is not None:
        return [RigUnit(f"{fixture.name}.practical", "practical", glow.part) for glow in light.glows[:1]]
    if fixture.head is None or fixture.at is None or fixture.aim is None:
        return []
    output = head_output(fixture, scene.catalogue, scene.path.parent)
    at = scene.point(fixture.at)
    away = scene.point(fixture.aim) - at
    axis = None if output.shape == "ball" else away / np.linalg.norm(away)
    units: list[RigUnit] = []
    for part in (*light.bodies, *(glow.part for glow in light.glows)):
        match part.name.rpartition(".")[2]:
            case "head":
                units.append(RigUnit(part.name, "head", part, axis, output.field or pi, at))
            case ("stand" | "frame" | "cloth") as kind:
                units.append(RigUnit(part.name, kind, part))
            case "frame stand":
                units.append(RigUnit(part.name, "stand", part))
            case "flag" | "cucoloris" | "board" | "box" | "front" | "doors" | "snoot":
                units.append(RigUnit(part.name, "frame", part))
    return units
