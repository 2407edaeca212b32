"""What the lens makes of a picture, from the script's keys to pixels."""

from math import pi

import numpy as np
import pytest

from preview.camera.framing import frame_tangents
from preview.camera.optics import seen_by_camera
from preview.camera.view import look
from preview.script.models.camera import Camera


def through(image, distance, focus, **lens):
    lens = {"focal": 50, "stop": 2.8, "glare": "off"} | lens
    values = {"format": {"width": 24, "height": 16}, "at": [0, 0, 0], "aim": [0, 1, 0], "lens": lens}
    camera = Camera.model_validate(values)
    across, upright = frame_tangents(camera)
    view = look(
        np.zeros(3), np.array([0.0, 1.0, 0.0]), roll=0.0, tan_half_width=across, tan_half_height=upright
    )
    depth = np.broadcast_to(np.asarray(distance, np.float32), image.shape[:2])
    return seen_by_camera(
        image,
        near=depth,
        far=depth,
        cover=np.ones(depth.shape, np.float32),
        camera=camera,
        view=view,
        focus_distance_m=focus,
    )


def lamp(height=1600, width=2400):
    image = np.full((height, width, 3), 1e-3, np.float32)
    image[height // 2, width // 2] = 1e6
    return image


def test_a_disc_has_the_thin_lens_diameter_in_the_frame():
    """50 mm, f/2.8, focused at 3 m, point at 6 m: 0.15133 mm (OP-22 of the check values), here 100 pixels to a mm."""
    disc = through(lamp(), 6.0, 3.0)[800, :, 0]
    assert (disc > 0.5 * disc[1200]).sum() == pytest.approx(15.133, abs=1.0)
    assert disc[1200] == pytest.approx(1e6 / (pi * 7.5665**2), rel=0.03)


def test_a_disc_is_as_large_a_share_of_any_picture():
    small = through(lamp(400, 600), 40.0, 2.0)[200, :, 0]
    large = through(lamp(1600, 2400), 40.0, 2.0)[800, :, 0]
    widths = [(row > 0.5 * row.max()).sum() / len(row) for row in (small, large)]
    assert widths[0] == pytest.approx(widths[1], rel=0.03)


def test_an_anamorphic_disc_on_the_unsqueezed_frame():
    """Height as with a spherical lens of its focal length; half the width at a squeeze of 2. A frame of 48 x 16."""
    image = lamp(400, 1200)
    disc = through(image, np.inf, 2.0, squeeze=2)[..., 0]
    over = disc > 0.5 * disc[200, 600]
    diameter = 50 / 2.8 * 50 / 1950 * 400 / 16
    assert over[:, 600].sum() == pytest.approx(diameter, abs=1.5)
    assert over[200].sum() == pytest.approx(diameter / 2, abs=1.5)


def test_a_wall_square_to_the_axis_is_sharp_into_its_corners():
    """A wide lens sees a wall's corner far off along the ray; along the axis it is where the middle is."""
    y, x = np.mgrid[0:400, 0:600]
    tangent = np.hypot((x + 0.5 - 300) / 300 * 12 / 14, (y + 0.5 - 200) / 200 * 8 / 14)
    image = np.random.default_rng(1).random((400, 600, 3), np.float32)
    distance = np.sqrt(1.0 + tangent**2)
    assert through(image, distance, 1.0, focal=14, stop=0.5) is image
    assert through(image, 1.0, 1.0, focal=14, stop=0.5) is not image


def test_vignette_and_glare_by_the_script():
    image = np.ones((160, 240, 3), np.float32)
    seen = through(image, 5.0, 5.0, vignette=2)
    assert seen[0, 0, 0] == pytest.approx(0.25, rel=0.02)
    assert seen[80, 120, 0] == pytest.approx(1.0, abs=1e-3)
    image[:, :120] = 1e-6
    veiled = through(image, 5.0, 5.0, glare="2 %")
    assert 1e-4 < veiled[80, 60, 0] < 0.02
