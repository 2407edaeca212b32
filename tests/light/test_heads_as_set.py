"""Heads as they are set on a fixture: focus, lens and turn, light close to a panel, and flicker in a shutter."""

from __future__ import annotations

from math import pi, radians
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import dblquad

from preview.light import beam
from preview.light.flicker import pulsing
from preview.light.light import Light
from preview.light.lights import lights_of
from preview.trade.catalogue import usual
from tests.script.scenes import SMALL, scene
from tests.trace.metering import lux_at

HEADS = usual().heads


def light(folder: Path, words: str) -> Light:
    """A head at the origin that shines east."""
    fixture = f"{{name: key, at: [0, 0, 0], aim: [1, 0, 0], stand: no, {words}}}"
    (only,) = lights_of(scene(folder, f"fixtures:\n  - {fixture}\n{SMALL}"))
    return only


def axial(folder: Path, words: str, distance: float = 60.0) -> float:
    """Candela on the axis as a meter far away finds them."""
    place = np.array([[distance, 0.0, 0.0]])
    return float(lux_at(light(folder, words).emitters, place, -place / distance, rays=64)[0]) * distance**2


@pytest.mark.parametrize(("flood", "end"), [("0 %", "spot"), ("100 %", "flood")])
def test_the_meter_finds_both_ends_of_the_travel(flood, end, tmp_path):
    """The row's own candela by the inverse square."""
    row = HEADS["hmi-fresnel-2500"].output()
    found = axial(tmp_path, f"head: hmi-fresnel-2500, flood: {flood}")
    assert found == pytest.approx(getattr(row, end).candela, rel=2e-3)


def test_half_flood_at_the_edge_of_its_beam(tmp_path):
    """Definition of the beam angle, at the mean by ratio of 7 and 50 degrees."""
    half = 0.5 * radians((7 * 50) ** 0.5)
    places = 60.0 * np.array([[1.0, 0.0, 0.0], [np.cos(half), np.sin(half), 0.0]])
    lux = lux_at(
        light(tmp_path, "head: hmi-fresnel-2500, flood: 50 %").emitters, places, -places / 60.0, rays=64
    )
    assert lux[1] / lux[0] == pytest.approx(0.5, rel=0.01)


def test_full_flood_is_what_is_not_said(tmp_path):
    assert axial(tmp_path, "head: hmi-fresnel-2500") == axial(tmp_path, "head: hmi-fresnel-2500, flood: full")


@pytest.mark.parametrize("lens", HEADS["hmi-par-1200"].lenses)
def test_each_lens_gives_its_own(lens, tmp_path):
    expected = HEADS["hmi-par-1200"].output(lens).flood.candela
    assert axial(tmp_path, f"head: hmi-par-1200, lens: {lens}") == pytest.approx(expected, rel=2e-3)


def test_the_usual_lens_is_on_it_when_none_is_named(tmp_path):
    medium = axial(tmp_path, "head: hmi-par-1200, lens: medium")
    assert axial(tmp_path, "head: hmi-par-1200") == medium


def test_a_bare_chip_is_smaller_than_its_reflector(tmp_path):
    """Common practice: without its reflector a chip throws harder shadows."""
    reflector, bare = (
        np.ptp(light(tmp_path, f"head: led-cob-300{lens}").glows[0].part.vertices, axis=0).max()
        for lens in ("", ", lens: bare")
    )
    assert reflector == pytest.approx(0.18, rel=1e-3)
    assert bare == pytest.approx(0.05, rel=1e-3)


def test_a_panel_upright(tmp_path):
    """Turned by 90 degrees its width stands: in what is seen and in what shines."""
    lying, upright = (light(tmp_path, f"head: led-panel-120cm{turn}") for turn in ("", ", turn: 90 deg"))
    assert np.ptp(lying.glows[0].part.vertices, axis=0) == pytest.approx([0.0, 1.2, 0.3], abs=1e-6)
    assert np.ptp(upright.glows[0].part.vertices, axis=0) == pytest.approx([0.0, 0.3, 1.2], abs=1e-6)
    tall, wide = np.array([[1.0, 0.0, 0.9]]), np.array([[1.0, 0.9, 0.0]])
    east = np.array([[-1.0, 0.0, 0.0]])
    for lamp, near, far in ((lying, wide, tall), (upright, tall, wide)):
        above, beside = (lux_at(lamp.emitters, place, east, rays=1024)[0] for place in (near, far))
        assert above > 1.1 * beside


def test_turned_clockwise_as_the_light_goes(tmp_path):
    """Towards the east, south is right: a panel turned by 30 degrees has its right end low, and shines from there."""
    panel = light(tmp_path, "head: led-panel-120cm, turn: 30 deg")
    ends = np.array([[0.4, -0.5, -0.29], [0.4, -0.5, 0.29]])
    low, high = lux_at(panel.emitters, ends, np.array([[-1.0, 0.0, 0.0]]), rays=1024)
    assert low > 1.5 * high
    corners = panel.glows[0].part.vertices
    right = corners[corners[:, 1] < -0.4]
    left = corners[corners[:, 1] > 0.4]
    assert len(right) > 0
    assert len(left) > 0
    assert right[:, 2].mean() < -0.2
    assert left[:, 2].mean() > 0.2


@pytest.mark.parametrize(("size", "distance"), [((1.2, 1.2), 0.5), ((2.4, 2.4), 5.0), ((1.2, 0.3), 1.0)])
def test_light_close_to_an_even_panel(size, distance):
    """Against quadrature of the luminance that each element shows, L cos^2 / d^2 (Lambert)."""
    luminance = 900.0 / (size[0] * size[1])
    expected, _ = dblquad(
        lambda y, x: luminance * distance**2 / (distance**2 + x * x + y * y) ** 2,
        -size[0] / 2,
        size[0] / 2,
        -size[1] / 2,
        size[1] / 2,
    )
    assert beam.panel_lux(candela=900.0, size=size, distance=distance) == pytest.approx(expected, rel=1e-6)
    assert beam.panel_lux(candela=900.0, size=size, distance=100.0) == pytest.approx(0.09, rel=1e-3)


# Flicker: the mean of 1 + m cos over the shutter, and how far frames fall from whole pulses apart.


@pytest.mark.parametrize(
    ("fps", "angle", "mains"),
    [
        pytest.param(24, 172.8, 50, id="24 fps at 172.8 degrees on 50 Hz"),
        pytest.param(25, 180, 50, id="25 fps on 50 Hz"),
        pytest.param(24, 180, 60, id="24 fps on 60 Hz"),
        pytest.param(24, 144, 60, id="24 fps at 144 degrees, a sixtieth, on 60 Hz"),
        pytest.param(30, 180, 60, id="30 fps on 60 Hz"),
        pytest.param(50, 180, 50, id="50 fps on 50 Hz"),
    ],
)
def test_shutters_that_are_known_to_be_steady(fps, angle, mains):
    """Common practice, no source: shutters and frame rates that are safe with lamps on a choke."""
    assert not pulsing(65, fps=fps, exposure_s=angle / 360 / fps, mains_hz=mains).is_seen


@pytest.mark.parametrize(
    ("fps", "angle", "mains"), [(24, 180, 50), (30, 180, 50), (25, 180, 60), (96, 180, 50), (24, 45, 50)]
)
def test_shutters_that_are_known_to_flicker(fps, angle, mains):
    """Common practice, no source."""
    assert pulsing(65, fps=fps, exposure_s=angle / 360 / fps, mains_hz=mains).is_seen


@pytest.mark.parametrize(("fps", "angle"), [(24, 180), (24, 90), (48, 180), (120, 360)])
def test_frames_of_a_pulsing_lamp_by_summing_them(fps, angle):
    """Against the light of 2000 frames summed numerically through the pulse."""
    time = angle / 360 / fps
    inside = (np.arange(400) + 0.5) / 400 * time
    starts = np.arange(2000) / fps
    frames = (1 + 0.65 * np.cos(2 * pi * 100 * (starts[:, None] + inside))).mean(axis=1)
    found = pulsing(65, fps=fps, exposure_s=time, mains_hz=50)
    # Whichever pulse the camera starts on: the darkest and the brightest frame there can be.
    phases = np.linspace(0, 0.01, 500)[:, None]
    any_frame = (1 + 0.65 * np.cos(2 * pi * 100 * (phases + inside))).mean(axis=1)
    most, least = any_frame.max(), any_frame.min()
    assert found.depth == pytest.approx((most - least) / (most + least), rel=0.001)
    assert found.stops == pytest.approx(np.log2(most / least), rel=0.001)
    spectrum = np.abs(np.fft.rfft(frames - frames.mean()))
    assert found.beats == pytest.approx(np.fft.rfftfreq(len(frames), 1 / fps)[spectrum.argmax()], abs=0.02)
