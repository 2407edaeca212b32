"""Defocus against the thin lens: the size of discs, what hides what, and where light goes."""

from math import asin, pi, sqrt

import numpy as np
import pytest

from preview.camera.aperture import Iris
from preview.camera.defocus import defocused
from preview.camera.lens import blur_disc_mm, signed_blur_mm


def seen(image, near, far=None, cover=None, iris=None):
    image = np.asarray(image, np.float32)
    near = np.broadcast_to(np.asarray(near, np.float32), image.shape[:2])
    far = near if far is None else np.broadcast_to(np.asarray(far, np.float32), near.shape)
    cover = np.ones(near.shape, np.float32) if cover is None else np.asarray(cover, np.float32)
    return defocused(image, near=near, far=far, cover=cover, iris=iris)


def point(light=1e6, height=121, width=161, ground=0.0):
    image = np.full((height, width, 3), ground, np.float32)
    image[height // 2, width // 2] = light
    return image


def extents(disc):
    """Width and height of what is over half the middle, pixels."""
    over = disc > 0.5 * disc[disc.shape[0] // 2, disc.shape[1] // 2]
    return int(over.any(axis=0).sum()), int(over.any(axis=1).sum())


def mean_squares(disc):
    y, x = np.indices(disc.shape, dtype=np.float64)
    total = disc.sum(dtype=np.float64)
    x, y = x - (disc * x).sum() / total, y - (disc * y).sum() / total
    return (disc * x * x).sum() / total - 1 / 12, (disc * y * y).sum() / total - 1 / 12


# The size of the disc.


@pytest.mark.parametrize(
    ("focal", "stop", "focus", "distance"),
    [(50, 2.8, 3, 6), (75, 2.0, 5.3, 9.5), (35, 1.4, 2, 40), (135, 2.0, 19, 60), (85, 2.0, 6, 3)],
)
def test_blur_by_the_image_equation(focal, stop, focus, distance):
    """1/f = 1/s + 1/s': the cone behind the pupil, cut where the sensor stands, by similar triangles."""

    def image_mm(metres):
        return 1.0 / (1.0 / focal - 1.0 / (1000.0 * metres))

    wanted = focal / stop * (image_mm(focus) - image_mm(distance)) / image_mm(distance)
    found = signed_blur_mm(np.array([distance], np.float32), focal_mm=focal, stop=stop, focus=focus)
    assert found[0] == pytest.approx(wanted, rel=1e-4)
    told = blur_disc_mm(focal_mm=focal, stop=stop, focus=focus, distance=distance)
    assert abs(found[0]) == pytest.approx(told, rel=1e-4)


def test_blur_of_the_sky_and_of_a_speck_on_the_lens():
    """Of infinity (f/N) f / (s - f): 50 mm, f/2, 5 m: 0.2525 mm. Nothing nearer than the focal length is worse."""
    found = signed_blur_mm(np.array([np.inf, 0.0], np.float32), focal_mm=50, stop=2, focus=5)
    assert found[0] == pytest.approx(0.252525, rel=1e-4)
    assert np.isfinite(found[1])
    assert found[1] < 0


@pytest.mark.parametrize("light", [1e6, 20.0])
@pytest.mark.parametrize("radius", [2.3, 6.0, 13.4, 31.0, -6.0, -21.0])
def test_a_point_becomes_a_disc_of_that_radius(radius, light):
    """On a ground of 1: drawn by itself when a million times brighter, among its layer when 20 times."""
    disc = seen(point(light, ground=1.0), radius)[..., 1].astype(np.float64) - 1.0
    assert disc.sum() == pytest.approx(light - 1.0, rel=1e-3)
    tolerance = 0.02 + 0.03 / abs(radius)
    assert mean_squares(np.where(disc > 1e-3 * disc.max(), disc, 0)) == pytest.approx(
        (radius**2 / 4, radius**2 / 4), rel=tolerance
    )
    if light > 1e3:
        assert extents(disc) == pytest.approx((2 * abs(radius),) * 2, abs=1.5)
        assert disc[60, 80] == pytest.approx(light / (pi * radius**2), rel=0.03)


def test_anamorphic_discs_are_ovals():
    disc = seen(point(), 24.0, iris=Iris(squeeze=2.0))[..., 0]
    width, height = extents(disc)
    assert height == pytest.approx(48, abs=1.5)
    assert width == pytest.approx(24, abs=1.5)


# What is left alone.


def test_what_is_sharp_everywhere_is_returned():
    image = np.random.default_rng(1).random((30, 40, 3), np.float32)
    assert seen(image, 0.0) is image
    blur = np.random.default_rng(2).uniform(-0.5, 0.5, (30, 40))
    assert seen(image, blur, blur[::-1], np.full((30, 40), 0.5)) is image


def test_what_is_sharp_beside_what_is_not_is_the_same_to_the_bit():
    random = np.random.default_rng(1)
    image = random.random((60, 80, 3), np.float32)
    blur = np.zeros((60, 80), np.float32)
    blur[:, 40:] = 9.0
    found = seen(image, blur)
    assert (found[:, :40] == image[:, :40]).all()
    assert np.abs(found[:, 41:] - image[:, 41:]).max() > 0.2


@pytest.mark.parametrize("seed", [1, 2])
def test_a_flat_field_stays_flat(seed):
    """Whatever stands where: no light is made or lost at any edge."""
    random = np.random.default_rng(seed)
    near = np.kron(random.uniform(-14, 14, (6, 8)), np.ones((16, 16))).astype(np.float32)
    near[40:60] += np.linspace(-6, 6, 128, dtype=np.float32)
    cover = np.where(random.random(near.shape) < 0.2, random.random(near.shape), 1.0)
    found = seen(np.full((*near.shape, 3), 0.37), near, near + 5.0, cover)
    np.testing.assert_allclose(found, 0.37, rtol=2e-5)


def test_light_is_neither_made_nor_lost():
    """A receding ground with lights and texture: the sum is kept, but for what leaves at the frame's border."""
    random = np.random.default_rng(3)
    image = np.zeros((120, 160, 3), np.float32)
    image[20:100, 25:135] = random.random((80, 110, 1), np.float32) ** 4
    image[40:80:10, 40:120:20] = 5e4
    blur = np.linspace(6.0, -3.0, 120, dtype=np.float32)[:, np.newaxis] * np.ones((1, 160), np.float32)
    assert seen(image, blur).sum(dtype=np.float64) == pytest.approx(image.sum(dtype=np.float64), rel=0.01)


# What hides what.


def edge_of(width, at, dark, bright):
    """A vertical edge at `at` (not whole): the row of colours, and the cover of the left side where it is cut."""
    left = np.clip(at - np.arange(width), 0.0, 1.0)
    return left * dark + (1.0 - left) * bright, left


@pytest.mark.parametrize("beyond", [4.0, 11.0, 25.0])
@pytest.mark.parametrize(("dark", "bright"), [(0.01, 10.0), (10.0, 0.01)])
def test_a_sharp_figure_before_a_blurred_wall_has_no_halo(dark, bright, beyond):
    """In the plane of focus every ray to a point of the figure ends there; an even wall stays even behind it."""
    row, left = edge_of(160, 70.4, dark, bright)
    image = np.tile(row[np.newaxis, :, np.newaxis], (90, 1, 3))
    near = np.where(left > 0, 0.0, beyond)[np.newaxis, :] * np.ones((90, 1))
    cover = np.where((left > 0) & (left < 1), left, 1.0)[np.newaxis, :] * np.ones((90, 1))
    found = seen(image, near, np.full((90, 160), beyond), cover)
    np.testing.assert_allclose(found, image, rtol=1e-3)


@pytest.mark.parametrize("radius", [5.0, 12.0, 22.0])
def test_a_blurred_post_before_a_sharp_wall_is_seen_through_at_its_edge(radius):
    """The share of the pupil that the post fills is a segment of a circle: (acos t - t sqrt(1 - t^2)) / pi."""
    row, left = edge_of(160, 80.0, 1.0, 4.0)
    image = np.tile(row[np.newaxis, :, np.newaxis], (120, 1, 3))
    found = seen(image, np.where(left > 0, -radius, 0.0)[np.newaxis, :] * np.ones((120, 1)))[60, :, 0]
    t = np.clip((np.arange(160) + 0.5 - 80.0) / radius, -1.0, 1.0)
    share = np.array([0.5 - (asin(x) + x * sqrt(1.0 - x * x)) / pi for x in t])
    np.testing.assert_allclose(found, share * 1.0 + (1.0 - share) * 4.0, atol=0.06)


def test_a_post_far_before_focus_hides_no_texture_of_the_wall_beside_it():
    random = np.random.default_rng(5)
    image = random.random((80, 120, 3), np.float32)
    blur = np.zeros((80, 120), np.float32)
    blur[:, 55:65] = -10.0
    found = seen(image, blur)
    np.testing.assert_allclose(found[:, :44], image[:, :44], atol=1e-5)
    np.testing.assert_allclose(found[:, 76:], image[:, 76:], atol=1e-5)


def test_a_lamp_behind_a_sharp_post_is_cut_by_it():
    """The disc is whole where no post is, of its own brightness, and none of it lies on the post."""
    image = np.full((121, 161, 3), 0.02, np.float32)
    image[60, 80] = 1e5
    blur = np.full((121, 161), 15.0, np.float32)
    image[:, 88:100], blur[:, 88:100] = 0.5, 0.0
    found = seen(image, blur)[..., 0]
    assert (found[:, 88:100] == 0.5).all()
    assert found[60, 84] == pytest.approx(1e5 / (pi * 15.0**2), rel=0.03)
    assert found[60, 70] == pytest.approx(found[60, 84], rel=1e-3)


def test_a_lamp_before_a_distant_sky_gives_its_light_once():
    """A lamp of 4 pixels at a distance of its own, between two layers, far before what is behind it."""
    image = np.full((121, 161, 3), 1e-3, np.float32)
    image[60:62, 80:82] = 2e4
    blur = np.full((121, 161), 14.0, np.float32)
    blur[60:62, 80:82] = 11.2
    assert seen(image, blur).sum(dtype=np.float64) == pytest.approx(3 * 8e4, rel=0.01)


# The dark beside the bright.


def lamps(count, light):
    random = np.random.default_rng(7)
    dark = (1e-3 * (1.0 + random.random((240, 320, 3)))).astype(np.float32)
    lit = dark.copy()
    lit[100 : 100 + count, 100 : 100 + count] = light
    blur = np.full((240, 320), 6.3, np.float32)
    return dark, lit, blur


@pytest.mark.parametrize(("count", "light"), [(1, 1e7), (3, 1e6), (90, 1e4)])
def test_the_dark_stays_clean_beside_lamps(count, light):
    """Ten decades lie between them, more than float32 holds in one sum; 90 x 90 pixels are too many to draw."""
    dark, lit, blur = lamps(count, light)
    with_lamps, without = seen(lit, blur), seen(dark, blur)
    away = np.ones(blur.shape, bool)
    away[90 : 110 + count, 90 : 110 + count] = False
    np.testing.assert_allclose(with_lamps[away], without[away], rtol=0.01)
    assert with_lamps.min() > 0.9e-3
