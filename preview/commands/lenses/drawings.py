"""Lens drawings: frame lines one in the other, the camera's places from above, formats to scale."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan
from typing import Final

import numpy as np

from preview.camera.format import delivered, exposed
from preview.camera.framing import frame_tangents, view_of
from preview.commands.lenses.figures import GROUND, Measured
from preview.commands.lenses.trials import Trials, format_name
from preview.commands.prepare import Ready
from preview.script.words import listed_all
from preview.sheets.answer.blocks import Block, Drawing
from preview.sheets.camera_plan import PlanCamera, camera_plan
from preview.sheets.from_above import heights_of
from preview.sheets.nested_frames import FrameLine, nested_frames

REACH: Final = 60.0
"""Metres about the held figure within which the plan asks how high the ground is."""


def drawings(trials: Trials, made: Sequence[Measured], ready: Ready | None) -> list[Block]:
    """Frame lines on the widest picture, or a plan of where the camera goes; formats to scale."""
    blocks: list[Block] = []
    if trials.figure is not None and ready is not None:
        blocks.append(_plan(trials, ready))
    elif len(made) > 1 and not trials.match:
        blocks.append(_nested(trials, made))
    if trials.formats:
        blocks.append(_to_scale(trials))
    return blocks


def _nested(trials: Trials, made: Sequence[Measured]) -> Drawing:
    lines = [
        FrameLine(one.trial.name, one.view.tan_half_width, one.view.tan_half_height, one.trial.own)
        for one in made
    ]
    widest, lens = made[0], trials.base.lens
    covers = lens.image_circle if trials.formats and lens.squeeze == 1.0 else None
    pixels = nested_frames(
        lines,
        picture=widest.picture,
        picture_half=(widest.view.tan_half_width, widest.view.tan_half_height),
        circle=None if covers is None else 0.5 * covers / lens.focal,
    )
    names = listed_all([one.trial.name for one in made])
    return Drawing(
        f"Each frame on that of {widest.trial.name}",
        pixels,
        f"The frame lines of {names} about one middle, on the picture of {widest.trial.name}.",
        "From one place frames about one axis nest exactly, whatever the distance. Blur is that of the widest."
        + (
            f" The circle is what the lens covers, {covers:.1f} mm: beyond it is dark."
            if covers is not None
            else ""
        ),
    )


def _to_scale(trials: Trials) -> Drawing:
    lines = []
    for trial in trials.each:
        whole, frame = exposed(trial.camera), delivered(trial.camera)
        fills = frame.width_mm * frame.height_mm > 0.999 * whole.width_mm * whole.height_mm
        about = None if fills else (whole.width_mm / 2, whole.height_mm / 2)
        name = f"{format_name(trial.camera)}, {frame.width_mm:.2f} × {frame.height_mm:.2f} mm"
        own = trial.camera.format == trials.scene.camera.format
        lines.append(FrameLine(name, frame.width_mm / 2, frame.height_mm / 2, own, about))
    lines.sort(key=lambda line: -line.half_width * line.half_height)
    circle = None if trials.match else trials.base.lens.image_circle
    words = listed_all([line.name for line in lines])
    covers = f" The disc is what the lens covers, {circle:.1f} mm." if circle is not None else ""
    return Drawing(
        "The formats to scale",
        nested_frames(lines, circle=None if circle is None else circle / 2),
        f"The delivered frames to scale about one middle: {words}.",
        f"Heavy and coloured: the delivered frame, mm on the sensor; thin: all that the format exposes.{covers}",
    )


def _plan(trials: Trials, ready: Ready) -> Drawing:
    assert trials.figure is not None
    scene, held = trials.scene, trials.figure.name
    cameras = []
    for trial in trials.each:
        view = view_of(trial.scene)
        level = view.forward[:2] / max(float(np.linalg.norm(view.forward[:2])), 1e-9)
        eyes = np.array(scene.anchors[f"{held}.eyes"].position)
        distance = float((eyes - view.position) @ view.forward)
        half = atan(frame_tangents(trial.camera)[0])
        cameras.append(
            PlanCamera(
                trial.name, view.position[:2], level, half, distance, trial.own, trial.refused is not None
            )
        )
    names = sorted((figure.name for figure in scene.cast), key=lambda name: name != held)
    figures = [(name, np.array(scene.anchors[f"{name}.eyes"].position[:2])) for name in names]
    flat = {name for name, piece in scene.set if isinstance(piece, GROUND)}
    heights = heights_of(ready.world, flat)
    near = np.hypot(*(heights[:2] - figures[0][1][:, np.newaxis])) < REACH
    heights = heights[:, near]
    heights[2] -= scene.terrain.height(heights[0], heights[1])
    told = listed_all(
        [f"{camera.name} {camera.distance_m:.2f} m" for camera in cameras if not camera.refused]
    )
    return Drawing(
        f"Where the camera stands to keep {held} at one size",
        camera_plan(cameras, figures, heights),
        f"A plan with the camera's places, from {held}'s eyes along the axis: {told}.",
        f"Metres from {held}'s eyes along the lens's axis. Distances are as focal lengths are, on one format: exactly so "
        "for a thin lens, breathing or not. Grey is what is built between 0.25 and 3 m above the ground.",
    )
