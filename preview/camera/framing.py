"""Framing: the view that a scene's camera has."""

from __future__ import annotations

import numpy as np

from preview.camera.format import delivered
from preview.camera.lens import half_tangents
from preview.camera.view import View, look
from preview.script.fields import Place
from preview.script.models.camera import Camera
from preview.script.scene import Scene


def view_of(scene: Scene) -> View:
    """The delivered frame of the scene's camera, as a pinhole at the camera's place."""
    camera = scene.camera
    across, upright = frame_tangents(camera)
    return look(
        scene.point(camera.at),
        scene.point(camera.aim),
        roll=camera.roll,
        tan_half_width=across,
        tan_half_height=upright,
    )


def frame_tangents(camera: Camera) -> tuple[float, float]:
    """Tangents of half the delivered frame's angles of view, horizontal, vertical."""
    area = delivered(camera)
    return half_tangents(
        width_mm=area.width_mm,
        height_mm=area.height_mm,
        focal_mm=camera.lens.focal,
        squeeze=camera.lens.squeeze,
    )


def frame_size(view: View, *, distance: float) -> tuple[float, float]:
    """Width and height in metres of what the frame takes in at a distance along the axis."""
    return 2.0 * view.tan_half_width * distance, 2.0 * view.tan_half_height * distance


def focus_distance(scene: Scene) -> float:
    """Metres along the axis to the plane of focus: where the script says, else where the camera aims."""
    focus = scene.camera.focus
    if isinstance(focus, float):
        return focus
    place = focus if isinstance(focus, Place) else scene.camera.aim
    _, depth = view_of(scene).project(scene.point(place)[np.newaxis])
    return float(depth[0])
