"""Equivalence: what lens, stop and light give one picture on two formats.

The picture is the same when its field is (focal length in proportion to the frame) and the lens has the same opening
in millimetres (the stop in the same proportion): then depth of field and blur are the same share of the frame, and
what it costs is light, by the square of the stop. Exact far off; at s metres the blur differs by about the focal
lengths' difference over s.
Source: the relation is that of published tables of equivalents, which tests/camera/test_equivalence.py names.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log2

from preview.camera.format import Area, delivered, exposed
from preview.script.models.camera import Camera

FULL_FRAME = Area(36.0, 24.0)
"""What people compare formats with. Source: ISO 1007, 135 film."""
MOST_VIGNETTE = 6.0
"""Stops; as a script may say."""


@dataclass(frozen=True)
class Equivalent:
    """What gives the picture of a camera on another format.

    `crop`: diagonal of full frame over that of the exposed format. `focal_mm`: of the same width of field; `stop`: of
    the same depth of field there; `light_stops`: how much more light that stop takes, negative for less; `iso`: that
    does it with the light as it is.
    """

    crop: float
    focal_mm: float
    stop: float
    light_stops: float
    iso: float


def crop_factor(area: Area, *, of: Area = FULL_FRAME) -> float:
    """How many times smaller an area is, corner to corner."""
    return of.diagonal_mm / area.diagonal_mm


def unsqueezed_width_mm(camera: Camera) -> float:
    """Width of the delivered frame, mm on the sensor, as wide as the picture shows it."""
    return delivered(camera).width_mm * camera.lens.squeeze


def same_field_mm(camera: Camera, other: Camera) -> float:
    """The focal length that sees with `other`'s format and squeeze as wide as `camera` does."""
    return camera.lens.focal * unsqueezed_width_mm(other) / unsqueezed_width_mm(camera)


def same_depth_stop(stop: float, *, focal_mm: float, other_mm: float) -> float:
    """The stop at which a lens of `other_mm` has the opening of one of `focal_mm` at `stop`."""
    return stop * other_mm / focal_mm


def light_for(stop: float, other: float) -> float:
    """How many stops more light `other` takes than `stop`; negative for less."""
    return 2.0 * log2(other / stop)


def equivalent(camera: Camera, other: Camera) -> Equivalent:
    """What gives `camera`'s picture on `other`'s format."""
    focal = same_field_mm(camera, other)
    stop = same_depth_stop(camera.lens.stop, focal_mm=camera.lens.focal, other_mm=focal)
    light = light_for(camera.lens.stop, stop)
    return Equivalent(crop_factor(exposed(other)), focal, stop, light, camera.iso * 2.0**light)


def vignette_on(stops: float, *, corner_mm: float, other_mm: float) -> float:
    """What a lens that loses `stops` at `corner_mm` from the axis loses at `other_mm`, by the law of `vignette`."""
    q = 2.0 ** (stops / 2.0) - 1.0
    return min(MOST_VIGNETTE, 2.0 * log2(1.0 + q * (other_mm / corner_mm) ** 2))
