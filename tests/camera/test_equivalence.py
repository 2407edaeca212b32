"""Lens and format equivalents against published tables, worked examples, and the thin lens."""

from math import atan, degrees, hypot
from typing import Any

import pytest

from preview.camera import lens
from preview.camera.equivalence import (
    crop_factor,
    equivalent,
    light_for,
    same_depth_stop,
    same_field_mm,
    vignette_on,
)
from preview.camera.format import Area, circle_of_confusion_mm, delivered, exposed
from preview.camera.framing import frame_tangents
from preview.camera.vignette import transmission
from preview.script.models.camera import Camera


def camera(form: Any, focal: float, stop: float = 2.0, **more: Any) -> Camera:
    given = {"format": form, "lens": {"focal": focal, "stop": stop}, "at": [0, 0, 1.5], "aim": [0, 10, 1.5]}
    return Camera.model_validate(given | more)


@pytest.mark.parametrize(
    ("focal", "printed"),
    [(20, 94), (28, 75), (35, 63), (50, 46), (85, 28.5), (135, 18), (200, 12), (300, 8.25), (400, 6.16)],
)
def test_diagonal_angles_of_a_published_list(focal, printed):
    """firststepsinphotography.blogspot.com, March 2012, focal length and viewing angle; it prints 46 where 46.8 is."""
    across, upright = frame_tangents(camera("full-frame", focal))
    assert degrees(2 * atan(hypot(across, upright))) == pytest.approx(printed, abs=0.85)


def test_angles_of_a_published_table_on_full_frame():
    """ayton.id.au, photo:fov: 50 mm on 36 x 24 sees 39.6 by 27.0, diagonal 46.8 degrees."""
    across, upright = frame_tangents(camera("full-frame", 50))
    found = [degrees(2 * atan(tangent)) for tangent in (across, upright, hypot(across, upright))]
    assert found == pytest.approx([39.6, 27.0, 46.8], abs=0.05)


def test_crop_of_micro_four_thirds_is_two():
    """OP-04 of the check values: 17.3 x 13.0 mm, diagonal 21.64 mm, crop 2.00 (markbalcomphotography.com, format table)."""
    assert crop_factor(exposed(camera("micro-four-thirds", 25))) == pytest.approx(2.00, abs=0.005)


def test_diagonals_of_super_16_and_standard_16():
    """photo.net, casual conversations 00Zrnf: 14.55 mm and 12.7 mm, a crop of 1.15 from one to the other."""
    wide, standard = exposed(camera("super16", 12)), exposed(camera("16mm", 12))
    assert wide.diagonal_mm == pytest.approx(14.55, abs=0.01)
    assert standard.diagonal_mm == pytest.approx(12.7, abs=0.01)
    assert crop_factor(standard, of=wide) == pytest.approx(1.15, abs=0.01)


def test_crop_of_a_large_super_35_sensor_in_a_worked_example():
    """whatiskurt.com, calculatefov: 27.03 x 14.26 mm, diagonal 30.56, crop 1.417, so that 50 mm is as 70.84 mm."""
    crop = crop_factor(Area(27.03, 14.26))
    assert Area(27.03, 14.26).diagonal_mm == pytest.approx(30.56, abs=0.005)
    assert crop == pytest.approx(1.417, abs=0.002)
    assert 50 * crop == pytest.approx(70.84, abs=0.1)


@pytest.mark.parametrize(
    ("stop", "printed"), [(1.4, 2.016), (2, 2.88), (2.8, 4.032), (4, 5.76), (5.6, 8.064), (8, 11.52)]
)
def test_stops_of_super_35_on_full_frame_in_a_published_table(stop, printed):
    """conversionencyclopedia.com, f-number of Super 35, 24.9 mm wide, on full frame; it rounds the ratio to 1.44."""
    found = equivalent(camera("super35-3perf", 35, stop), camera("full-frame", 35, stop))
    assert found.stop == pytest.approx(printed, rel=0.005)
    assert found.focal_mm == pytest.approx(35 * 1.44, rel=0.005)


@pytest.mark.parametrize(("crop", "stop", "iso"), [(1.6, 2.5, 156), (2.0, 2.0, 100)])
def test_stop_and_iso_of_smaller_formats_in_a_published_example(crop, stop, iso):
    """brontosaurusrex.github.io, 2019, matching depth of field: full frame at f/4 and ISO 400."""
    small = {"width": 36 / crop, "height": 24 / crop}
    found = equivalent(camera("full-frame", 80, 4, iso=400), camera(small, 80, 4, iso=400))
    assert found.stop == pytest.approx(stop, abs=0.005)
    assert found.iso == pytest.approx(iso, abs=0.5)
    assert found.focal_mm == pytest.approx(80 / crop)
    assert found.crop == pytest.approx(crop)


def test_25_mm_at_1_4_is_50_mm_at_2_8_on_twice_the_format():
    """dpreview.com, forum post 53107559: 25 mm f/1.4 on micro four thirds is 50 mm f/2.8 on full frame; 18 mm openings."""
    stop = same_depth_stop(1.4, focal_mm=25, other_mm=50)
    assert stop == pytest.approx(2.8)
    assert 50 / stop == pytest.approx(25 / 1.4)
    assert 50 / stop == pytest.approx(18, abs=0.2)
    assert light_for(1.4, stop) == pytest.approx(2.0)
    assert light_for(stop, 1.4) == pytest.approx(-2.0)


def test_anamorphic_has_the_field_of_a_spherical_lens_of_half_the_length():
    """OP-14: 50 mm at 2x sees across as a 25 mm spherical on the same format."""
    form = {"width": 21.95, "height": 18.59}
    anamorphic = camera(form, 50, lens={"focal": 50, "stop": 2, "squeeze": 2})
    assert same_field_mm(anamorphic, camera(form, 50)) == pytest.approx(25.0)


@pytest.mark.parametrize("form", ["full-frame", "micro-four-thirds", "super16", "65mm-5perf"])
def test_the_equivalent_gives_the_same_field_depth_and_blur(form):
    own = camera("super35-3perf", 35, 2.0, aspect=1.85)
    found = equivalent(own, camera(form, 35, 2.0, aspect=1.85))
    other = camera(form, found.focal_mm, found.stop, aspect=1.85)
    assert frame_tangents(other) == pytest.approx(frame_tangents(own), rel=1e-6)
    depths, blurs = [], []
    for one in (own, other):
        optics = {"focal_mm": one.lens.focal, "stop": one.lens.stop}
        circle = circle_of_confusion_mm(own) * delivered(one).width_mm / delivered(own).width_mm
        depths.append(lens.depth_of_field(**optics, confusion_mm=circle, focus=5.0))
        blurs.append(lens.blur_disc_mm(**optics, focus=5.0, distance=20.0) / delivered(one).width_mm)
    assert depths[1].near == pytest.approx(depths[0].near, rel=0.01)
    assert depths[1].far == pytest.approx(depths[0].far, rel=0.02)
    assert blurs[1] == pytest.approx(blurs[0], rel=0.01)


def test_equal_size_asks_for_distances_as_focal_lengths_are():
    """OP-23: 50 mm at 3 m draws at 0.016949; a thin lens of any other length does so at its share of the distance,
    since m = f / (s - f) depends on s / f alone: breathing changes nothing."""
    assert lens.magnification(focal_mm=50, focus=3.0) == pytest.approx(0.016949, rel=0.001)
    for focal in (18, 24, 35, 85, 135):
        found = lens.magnification(focal_mm=focal, focus=3.0 * focal / 50)
        assert found == pytest.approx(0.016949, rel=0.001)


def test_a_lens_keeps_its_fall_off_on_another_format():
    """What the vignette law loses in the corner of the smaller format is what the lens loses at that radius."""
    large, small = Area(36.0, 24.0), Area(24.89, 13.87)
    lost = vignette_on(2.0, corner_mm=large.diagonal_mm, other_mm=small.diagonal_mm)
    assert 0.0 < lost < 2.0
    whole = transmission(width=3600, height=2400, area=large, corner_mm=large.diagonal_mm / 2, stops=2.0)
    own = transmission(width=2489, height=1387, area=small, corner_mm=small.diagonal_mm / 2, stops=lost)
    row, column = 1200 - round(1387 / 2), 1800 - round(2489 / 2)
    assert own[0, 0] == pytest.approx(whole[row, column], rel=0.003)
    assert vignette_on(0.0, corner_mm=20, other_mm=40) == 0.0
