"""Optics: what the lens makes of a picture that a pinhole saw: defocus, vignette, glare.

All three are linear in light and the same for every light, so that they are done once, after the layers are mixed.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preview.camera.aperture import Iris
from preview.camera.defocus import defocused
from preview.camera.format import delivered, exposed
from preview.camera.glare import with_glare
from preview.camera.lens import signed_blur_mm
from preview.camera.view import View
from preview.camera.vignette import transmission
from preview.script.models.camera import Camera

Array = NDArray[np.float32]


def seen_by_camera(
    radiance: Array,
    *,
    near: Array,
    far: Array,
    cover: Array,
    camera: Camera,
    view: View,
    focus_distance_m: float,
) -> Array:
    """Radiance (h, w, 3) of the delivered frame as the camera's lens shows it.

    `near`, `far` (h, w): metres along the ray, inf for sky, to the nearer and the farther surface in each pixel;
    `cover` (h, w): the nearer one's share, 1 where there is one surface; `focus_distance_m`: metres along the axis.
    The light goes through the iris first, is lost at the barrel next, and strays on its way.
    """
    height, width = near.shape
    lens, area = camera.lens, delivered(camera)
    along = _along_axis(view, width=width, height=height)
    radius = np.float32(0.5 * height / area.height_mm)
    blur_near, blur_far = (
        radius * signed_blur_mm(depth * along, focal_mm=lens.focal, stop=lens.stop, focus=focus_distance_m)
        for depth in (near, far)
    )
    iris = Iris(None if lens.blades == "round" else lens.blades, lens.squeeze)
    seen = defocused(radiance, near=blur_near, far=blur_far, cover=cover, iris=iris)
    if lens.vignette > 0.0:
        corner_mm = 0.5 * exposed(camera).diagonal_mm
        light = transmission(width=width, height=height, area=area, corner_mm=corner_mm, stops=lens.vignette)
        seen = seen * light[..., np.newaxis]
    return with_glare(seen, lens.glare)


def _along_axis(view: View, *, width: int, height: int) -> Array:
    """Depth along the axis of what is 1 m off along the ray through each pixel's middle, (height, width)."""
    x = ((2.0 * np.arange(width) + 1.0) / width - 1.0) * view.tan_half_width
    y = ((2.0 * np.arange(height) + 1.0) / height - 1.0) * view.tan_half_height
    return (1.0 / np.sqrt(1.0 + x[np.newaxis, :] ** 2 + y[:, np.newaxis] ** 2)).astype(np.float32)
