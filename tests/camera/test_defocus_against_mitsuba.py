"""Defocus against Mitsuba's thin lens, which traces the rays through the pupil (`thin_lens_reference.json`)."""

import json

import numpy as np

from preview.camera.defocus import defocused
from tests.camera.flat_scene import REFERENCE, blur_radius, pinhole

WANTED = np.array(json.loads(REFERENCE.read_text(encoding="utf-8"))["radiance"])


def ours():
    told = pinhole()
    image = np.repeat(told["image"][..., np.newaxis], 3, axis=2).astype(np.float32)
    near, far = blur_radius(told["near"]), blur_radius(told["far"])
    return defocused(image, near=near, far=far, cover=told["cover"].astype(np.float32))[..., 1]


def test_a_post_a_figure_a_bar_and_a_wall_with_windows():
    """Radiance from 0.02 to 3.

    Two things a pinhole's picture cannot tell, and are left out: what is wholly hidden in it, and which part of a
    far light's disc a near blurred thing cuts off (it is taken to dim the disc evenly).
    """
    error = np.abs(ours() - WANTED)
    assert np.median(error) < 0.003
    assert np.quantile(error, 0.9) < 0.025
    assert error.mean() < 0.012
    assert abs(ours().mean() / WANTED.mean() - 1.0) < 0.02


def test_the_pinhole_picture_alone_would_not_pass():
    error = np.abs(pinhole()["image"] - WANTED)
    assert error.mean() > 0.1
