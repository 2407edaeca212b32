"""The real moon in frame: its phase as the camera sees it, its place, and a moon below the horizon."""

from __future__ import annotations

from math import cos, pi, radians, sin
from pathlib import Path

import numpy as np
import pytest

from preview.camera.framing import view_of
from preview.commands.frame import FrameOptions, frame
from preview.commands.prepare import prepare
from preview.commands.shot import shot
from preview.light.emitters.distant import Distant
from preview.light.emitters.phased import Phased
from preview.light.sky import towards
from preview.trace.store_place import passing_store
from tests.script.scenes import scene

UP = np.array([0.0, 0.0, 1.0])
EAST = np.array([1.0, 0.0, 0.0])
NORTH = np.array([0.0, 1.0, 0.0])
RADIUS = radians(0.26)


def picture(lit: float, *, limb=EAST, pixel: float = RADIUS / 20, finer: int = 1):  # type: ignore[no-untyped-def]
    """A square picture (n, n) of the sky round a moon in the north, the solid angle of a sample, and where samples lie."""
    moon = Phased(NORTH, 0.1, RADIUS, True, lit=lit, limb=limb)
    steps = np.arange(-2.0 * RADIUS, 2.0 * RADIUS, pixel / finer)
    across, upright = np.meshgrid(steps, steps[::-1])
    ways = np.stack([across.ravel(), np.ones(across.size), upright.ravel()])
    ways /= np.linalg.norm(ways, axis=0)
    image = moon.background(ways.astype(np.float32), pixel=pixel)
    assert image is not None
    return image.reshape(across.shape), (pixel / finer) ** 2, steps


@pytest.mark.parametrize("lit", [0.03, 0.2, 0.5, 0.8, 0.97])
@pytest.mark.parametrize("pixel", [RADIUS / 20, RADIUS / 4])
def test_no_light_is_lost_or_won(lit: float, pixel: float) -> None:
    """Luminance summed over the picture is the lux on a surface that faces it, whatever the phase."""
    image, solid_angle, _ = picture(lit, pixel=pixel, finer=5)
    assert image.sum() * solid_angle == pytest.approx(0.1, rel=0.02)


@pytest.mark.parametrize("phase_deg", [30.0, 60.0, 90.0, 120.0, 150.0])
def test_the_line_between_day_and_night(phase_deg: float) -> None:
    """On the middle row it lies -cos(phase angle) of the radius towards the lit side: orthographic projection of a great
    circle. Above, half an ellipse."""
    lit = (1.0 + cos(radians(phase_deg))) / 2.0
    image, _, steps = picture(lit, pixel=RADIUS / 60)
    for height in (0.0, 0.5):
        row = image[int(np.argmin(np.abs(steps[::-1] - height * RADIUS)))]
        bright = steps[row > 0.5 * image.max()] / RADIUS
        reach = np.sqrt(1.0 - height**2)
        assert bright.max() == pytest.approx(reach, abs=0.03)
        assert bright.min() == pytest.approx(-cos(radians(phase_deg)) * reach, abs=0.03)


@pytest.mark.parametrize("turn_deg", [0.0, 45.0, 90.0, 200.0, 300.0])
def test_the_lit_side_is_where_the_limb_is(turn_deg: float) -> None:
    turn = radians(turn_deg)
    image, _, steps = picture(0.3, limb=cos(turn) * EAST + sin(turn) * UP)
    across, upright = np.meshgrid(steps, steps[::-1])
    middle = np.array([(image * across).sum(), (image * upright).sum()])
    middle /= np.linalg.norm(middle)
    assert middle @ [cos(turn), sin(turn)] > 0.999


def test_a_full_one_is_the_even_disc() -> None:
    image, _, _ = picture(1.0)
    steps = np.arange(-2.0 * RADIUS, 2.0 * RADIUS, RADIUS / 20)
    across, upright = np.meshgrid(steps, steps[::-1])
    ways = np.stack([across.ravel(), np.ones(across.size), upright.ravel()])
    ways /= np.linalg.norm(ways, axis=0)
    even = Distant(NORTH, 0.1, RADIUS, True).background(ways.astype(np.float32), pixel=RADIUS / 20)
    assert even is not None
    assert np.array_equal(image.ravel(), even)


NIGHT = """
place: {latitude: 51.5 N, longitude: 1.2 E, zone: CET, north: NORTH}
night: {date: 2026-10-20, time: TIME}
camera: {lens: {focal: 300 mm, glare: off}, at: [0, 0, 1.5], aim: [AIM], iso: 800}
set: [{ground: {}}]
fixtures: [{name: moon, moon: real}, {name: night sky, sky: {lux: 0.002}}]
"""


def aimed(folder: Path, *, north: str, time: str):  # type: ignore[no-untyped-def]
    """A scene whose camera looks straight at where its moon is."""
    text = NIGHT.replace("NORTH", north).replace("TIME", time)
    moon = scene(folder, text.replace("AIM", "0, 9, 9")).fixtures[0].moon
    assert moon is not None
    x, y, z = 100.0 * towards(azimuth=moon.azimuth, elevation=moon.elevation)
    return scene(folder, text.replace("AIM", f"{x:.4f}, {y:.4f}, {z + 1.5:.4f}"))


@pytest.mark.parametrize("north", ["0", "75", "210"])
def test_the_moon_is_where_the_camera_looks_for_it(tmp_path: Path, north: str) -> None:
    """On 20 October 2026 at 21:30 the moon is 71 % lit, waxing: seen from the north it is lit on the right."""
    ready = prepare(aimed(tmp_path, north=north, time="21:30"))
    with passing_store() as store:
        seen = shot(ready, store=store, width=120)
    light = seen.light.sum(axis=2)
    rows, columns = np.nonzero(light > 0.3 * light.max())
    height, width = light.shape
    assert abs(rows.mean() - height / 2) < 3
    # Its middle is in the middle of the frame, its lit part's right of that.
    radius = RADIUS / view_of(ready.scene).tan_half_width * width / 2
    assert columns.max() - width / 2 == pytest.approx(radius, rel=0.25)
    assert width / 2 - columns.min() == pytest.approx(radius * 0.42, rel=0.5)


def test_a_moon_below_the_horizon_leaves_the_other_lights(tmp_path: Path) -> None:
    text = NIGHT.replace("NORTH", "0").replace("TIME", "13:00").replace("AIM", "0, 9, 1")
    dark = scene(tmp_path, text)
    with passing_store() as store:
        report = frame(dark, tmp_path / "out", FrameOptions(width=64, quality="draft"), store=store)
    assert report.what_reads[0].startswith("moon: at 13:00 the moon is ")
    assert "gives no light" in report.what_reads[0]
    assert {mark.name for mark in report.fixtures} == {"moon", "night sky"}
    assert (tmp_path / "out" / "frame.png").exists()


def test_moonlight_on_level_ground_is_the_sine_of_its_height(tmp_path: Path) -> None:
    """Lambert's cosine, by the meter's own receptor."""
    from preview.commands.metering.readings import levels, receptors

    text = NIGHT.replace("NORTH", "0").replace("TIME", "21:30").replace("AIM", "0, 9, 1")
    night = scene(tmp_path, text + "marks: [{name: grass, at: [0, 3, 0.1], facing: up}]\n")
    moon = night.fixtures[0].moon
    assert moon is not None
    ready = prepare(night)
    with passing_store() as store:
        found = levels(ready, receptors(night), rays=64, bounces=0, seed=1, store=store)
    assert found.direct[0, 0] == pytest.approx(moon.lux * sin(moon.elevation), rel=0.01)
    assert 0.0 < moon.elevation < pi / 2
