"""Angles of view, depth of field, blur against handbook examples."""

from math import degrees, inf

import pytest

from preview.camera import lens

SUPER35_3PERF = {"width_mm": 24.89, "height_mm": 13.87}
FULL_FRAME = {"width_mm": 36.0, "height_mm": 24.0}


@pytest.mark.parametrize(
    ("focal", "horizontal", "vertical"),
    [(18, 69.32, 42.14), (35, 39.15, 22.42), (50, 27.95, 15.79), (100, 14.19, 7.93)],
)
def test_angles_of_view_super35_3perf(focal, horizontal, vertical):
    """OP-10 of the check values, by the formula."""
    angles = lens.angles_of_view(**SUPER35_3PERF, focal_mm=focal)
    assert degrees(angles.horizontal) == pytest.approx(horizontal, abs=0.05)
    assert degrees(angles.vertical) == pytest.approx(vertical, abs=0.05)


@pytest.mark.parametrize(
    ("focal", "horizontal", "vertical", "diagonal", "printed"),
    [
        (24, 73.74, 53.13, 84.06, 84),
        (35, 54.43, 37.85, 63.44, 63),
        (50, 39.60, 26.99, 46.79, 47),
        (85, 23.91, 16.07, 28.56, 29),
    ],
)
def test_angles_of_view_full_frame(focal, horizontal, vertical, diagonal, printed):
    """OP-11; `printed` is the diagonal in the usual published list, whole degrees."""
    angles = lens.angles_of_view(**FULL_FRAME, focal_mm=focal)
    assert degrees(angles.horizontal) == pytest.approx(horizontal, abs=0.05)
    assert degrees(angles.vertical) == pytest.approx(vertical, abs=0.05)
    assert degrees(angles.diagonal) == pytest.approx(diagonal, abs=0.05)
    assert round(degrees(angles.diagonal)) == printed


def test_anamorphic_angle_is_that_of_half_the_focal_length():
    """OP-14: 50 mm at 2x on 21.95 x 18.59 has 47.40 deg across, as a 25 mm spherical, 21.06 upright."""
    angles = lens.angles_of_view(width_mm=21.95, height_mm=18.59, focal_mm=50, squeeze=2)
    assert degrees(angles.horizontal) == pytest.approx(47.40, abs=0.05)
    assert degrees(angles.vertical) == pytest.approx(21.06, abs=0.05)


@pytest.mark.parametrize(
    ("focal", "focus", "hyperfocal", "near", "far"),
    [(50, 3, 35.764, 2.771, 3.270), (32, 5, 14.661, 3.732, 7.571), (18, 2.5, 4.647, 1.627, 5.391)],
)
def test_depth_of_field(focal, focus, hyperfocal, near, far):
    """OP-16, OP-17, OP-20: f/2.8, circle of confusion 0.025 mm."""
    depth = lens.depth_of_field(focal_mm=focal, stop=2.8, confusion_mm=0.025, focus=focus)
    assert depth.hyperfocal == pytest.approx(hyperfocal, rel=0.002)
    assert depth.near == pytest.approx(near, rel=0.002)
    assert depth.far == pytest.approx(far, rel=0.002)


def test_depth_of_field_of_a_published_worked_example():
    """US Navy training manual 14209, Photography (Basic): 155 mm, f/2.8, 10 ft; near 9.8 ft, far 10.2 ft, H 554 ft.

    The manual's H implies a circle of confusion of 0.002 in.
    """
    feet = 0.3048
    depth = lens.depth_of_field(focal_mm=155, stop=2.8, confusion_mm=0.0508, focus=10 * feet)
    assert depth.hyperfocal / feet == pytest.approx(554, abs=1)
    assert depth.near / feet == pytest.approx(9.8, abs=0.05)
    assert depth.far / feet == pytest.approx(10.2, abs=0.05)


def test_focused_at_the_hyperfocal_distance_all_is_sharp_from_half_of_it():
    hyperfocal = lens.hyperfocal(focal_mm=18, stop=2.8, confusion_mm=0.025)
    depth = lens.depth_of_field(focal_mm=18, stop=2.8, confusion_mm=0.025, focus=hyperfocal)
    assert depth.far == inf
    assert depth.near == pytest.approx(hyperfocal / 2, rel=0.005)


def test_focus_inside_the_focal_length_is_refused():
    with pytest.raises(ValueError, match="focal length"):
        lens.depth_of_field(focal_mm=100, stop=2.8, confusion_mm=0.025, focus=0.1)


def test_blur_disc():
    """OP-22: 50 mm f/2.8 focused at 3 m, point at 6 m: 0.15133 mm."""
    found = lens.blur_disc_mm(focal_mm=50, stop=2.8, focus=3, distance=6)
    assert found == pytest.approx(0.15133, rel=0.005)


def test_blur_at_the_limits_of_depth_is_the_circle_of_confusion():
    depth = lens.depth_of_field(focal_mm=50, stop=2.8, confusion_mm=0.025, focus=3)
    for distance in (depth.near, depth.far):
        found = lens.blur_disc_mm(focal_mm=50, stop=2.8, focus=3, distance=distance)
        assert found == pytest.approx(0.025, rel=0.02)


def test_magnification():
    """OP-23: 50 mm at 3 m."""
    assert lens.magnification(focal_mm=50, focus=3) == pytest.approx(0.016949, rel=0.001)
