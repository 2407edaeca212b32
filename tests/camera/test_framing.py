"""The delivered frame with where it stands in the world."""

from pathlib import Path

import numpy as np
import pytest

from preview.camera.format import circle_of_confusion_mm, delivered, exposed
from preview.camera.framing import focus_distance, frame_size, frame_tangents, view_of
from preview.script.models.camera import Camera
from preview.script.scene import Anchor, Scene


def camera(**changes):
    values = {
        "format": "super35-3perf",
        "lens": {"focal": 35, "stop": 2.0},
        "at": [0, -5, 1.5],
        "aim": [0, 0, 1.5],
    }
    return Camera.model_validate(values | changes)


def scene(**changes):
    anchors = {"Mara.eyes": Anchor((0.5, 1.0, 1.6))}
    return Scene(Path("s.yaml"), "s", "main", (), (), camera(**changes), (), (), anchors)


def test_default_frame_is_the_whole_format():
    assert delivered(camera()) == exposed(camera())


def test_format_by_its_size():
    area = exposed(camera(format={"width": 30, "height": 20}))
    assert (area.width_mm, area.height_mm) == (30, 20)


def test_wide_delivery_crops_the_height():
    """2.39:1 from 24.89 mm of width is 10.41 mm high."""
    area = delivered(camera(aspect=2.39))
    assert area.width_mm == 24.89
    assert area.height_mm == pytest.approx(24.89 / 2.39)


def test_narrow_delivery_crops_the_width():
    area = delivered(camera(aspect=1.0))
    assert (area.width_mm, area.height_mm) == (pytest.approx(13.87), 13.87)


def test_anamorphic_frame_is_unsqueezed():
    """OP-14: 2x on 21.95 x 18.59 unsqueezes to 2.361:1."""
    squeezed = camera(format={"width": 21.95, "height": 18.59}, lens={"focal": 50, "squeeze": 2, "stop": 2.8})
    across, upright = frame_tangents(squeezed)
    assert across / upright == pytest.approx(2.361, abs=0.001)


def test_anamorphic_delivery_crop():
    """Scope 2.39:1 from the same: the squeezed area delivered is 1.195 as wide as high."""
    squeezed = camera(
        format={"width": 21.95, "height": 18.59}, lens={"focal": 50, "squeeze": 2, "stop": 2.8}, aspect=2.39
    )
    area = delivered(squeezed)
    assert area.width_mm / area.height_mm == pytest.approx(1.195)
    across, upright = frame_tangents(squeezed)
    assert across / upright == pytest.approx(2.39)


def test_frame_size_at_a_distance():
    """OP-13: 32 mm on 24.89 x 18.66 at 10 m: 7.778 x 5.831 m."""
    view = view_of(scene(format={"width": 24.89, "height": 18.66}, lens={"focal": 32, "stop": 2.8}))
    assert frame_size(view, distance=10) == pytest.approx((7.778, 5.831), rel=0.005)


def test_view_looks_where_the_camera_aims():
    view = view_of(scene())
    assert view.forward == pytest.approx([0, 1, 0])
    assert view.right == pytest.approx([1, 0, 0])
    uv, depth = view.project(np.array([[0.0, 0.0, 1.5]]))
    assert uv[0] == pytest.approx([0.5, 0.5])
    assert depth[0] == pytest.approx(5.0)


def test_edge_of_the_frame_is_at_half_the_angle_of_view():
    """A point 39.15 / 2 degrees to the right (35 mm, Super 35 3 perf, OP-10) stands on the frame's edge."""
    view = view_of(scene())
    aside = 5.0 * np.tan(np.radians(39.15 / 2))
    uv, _ = view.project(np.array([[aside, 0.0, 1.5]]))
    assert uv[0] == pytest.approx([1.0, 0.5], abs=1e-3)


@pytest.mark.parametrize(
    ("focus", "expected"),
    [(None, 5.0), (3.2, 3.2), ("Mara.eyes", 6.0), ([0, -1, 1.5], 4.0)],
)
def test_focus_distance_is_along_the_axis(focus, expected):
    assert focus_distance(scene(focus=focus)) == pytest.approx(expected)


def test_circle_of_confusion():
    """Diagonal 28.49 mm over 1500, unless the script gives one."""
    assert circle_of_confusion_mm(camera()) == pytest.approx(0.01900, abs=1e-5)
    assert circle_of_confusion_mm(camera(circle_of_confusion=0.025)) == 0.025
