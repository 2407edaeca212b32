"""Lens: thin-lens geometry of angles of view, depth of field, blur.

Focal lengths and blur in millimetres, distances in metres from the lens. Stops are used as f-numbers: a T-stop is a
little larger than its f-number, so depth computed from it is a little generous.
Source: S. F. Ray, Applied Photographic Optics, chapters on depth of field and on angle of view (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, hypot, inf

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class AnglesOfView:
    """Full angles in radians."""

    horizontal: float
    vertical: float
    diagonal: float


@dataclass(frozen=True)
class Depth:
    """What is sharp, metres from the lens; `far` is inf from the hyperfocal distance on."""

    near: float
    far: float
    hyperfocal: float


def half_tangents(
    *, width_mm: float, height_mm: float, focal_mm: float, squeeze: float = 1.0
) -> tuple[float, float]:
    """Tangents of half the horizontal and vertical angle of view, focused far away, unsqueezed."""
    return 0.5 * width_mm * squeeze / focal_mm, 0.5 * height_mm / focal_mm


def angles_of_view(
    *, width_mm: float, height_mm: float, focal_mm: float, squeeze: float = 1.0
) -> AnglesOfView:
    """Angles of view of an area behind a lens, focused far away: 2 atan(size / 2f), width times squeeze."""
    across, upright = half_tangents(
        width_mm=width_mm, height_mm=height_mm, focal_mm=focal_mm, squeeze=squeeze
    )
    return AnglesOfView(2.0 * atan(across), 2.0 * atan(upright), 2.0 * atan(hypot(across, upright)))


def hyperfocal(*, focal_mm: float, stop: float, confusion_mm: float) -> float:
    """The nearest focus, metres, at which infinity is still sharp: f^2 / (N c) + f."""
    return (focal_mm**2 / (stop * confusion_mm) + focal_mm) / 1000.0


def depth_of_field(*, focal_mm: float, stop: float, confusion_mm: float, focus: float) -> Depth:
    """Near and far limits for a focus in metres, which must be beyond the focal length (ValueError).

    near = s (H - f) / (H + s - 2f), far = s (H - f) / (H - s).
    """
    focal = focal_mm / 1000.0
    if focus <= focal:
        raise ValueError("a lens cannot be focused nearer than its focal length")
    far_focus = hyperfocal(focal_mm=focal_mm, stop=stop, confusion_mm=confusion_mm)
    near = focus * (far_focus - focal) / (far_focus + focus - 2.0 * focal)
    far = focus * (far_focus - focal) / (far_focus - focus) if focus < far_focus else inf
    return Depth(near, far, far_focus)


def magnification(*, focal_mm: float, focus: float) -> float:
    """Size on the sensor over true size, in the plane of focus (metres): f / (s - f)."""
    focal = focal_mm / 1000.0
    return focal / (focus - focal)


def blur_disc_mm(*, focal_mm: float, stop: float, focus: float, distance: float) -> float:
    """Diameter on the sensor of a point at `distance` metres: (f / N) m |d - s| / d."""
    aperture_mm = focal_mm / stop
    return aperture_mm * magnification(focal_mm=focal_mm, focus=focus) * abs(distance - focus) / distance


def signed_blur_mm(
    distance: NDArray[np.float32], *, focal_mm: float, stop: float, focus: float
) -> NDArray[np.float32]:
    """Blur-disc diameters of many points, as blur_disc_mm: negative before the plane of focus, inf taken.

    Points nearer than the focal length are taken to be there; so is a nearer focus (just beyond it).
    """
    focal = focal_mm / 1000.0
    focus = max(focus, 1.01 * focal)
    largest = focal_mm / stop * magnification(focal_mm=focal_mm, focus=focus)
    away = np.maximum(distance, np.float32(focal))
    return np.asarray(np.float32(largest) * (np.float32(1.0) - np.float32(focus) / away), np.float32)
