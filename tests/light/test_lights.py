"""Fixtures of a script, as receptors in front of them read them: beams, lumens, frames of cloth, moon, sky."""

from __future__ import annotations

from math import pi, radians
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad

from preview.build.mesh import flat
from preview.light.light import Emitter, Light
from preview.light.lights import lights_of
from preview.trade.catalogue import usual
from tests.script.scenes import SMALL, scene
from tests.trace.metering import Floats, grey_world, lumens_of, lux_at

HEADS, CLOTHS = usual().heads, usual().cloths
BEAMS = [name for name, row in HEADS.items() if row.output().flood.beam is not None]


def light(folder: Path, fixture: str) -> Light:
    """The one fixture of a script."""
    (only,) = lights_of(scene(folder, f"fixtures:\n  - {{name: key, {fixture}}}\n{SMALL}"))
    return only


def along_x(head_words: str, through: str = "") -> str:
    """A fixture at the origin that shines east."""
    return f"at: [0, 0, 0], aim: [1, 0, 0], stand: no, head: {head_words}, through: [{through}]"


def off_axis(distance: float, degrees: list[float]) -> tuple[Floats, Floats]:
    """Receptors at a distance from the origin, so many degrees off the x axis, that face the origin."""
    angle = np.radians(degrees)
    away = np.stack([np.cos(angle), np.sin(angle), np.zeros(len(angle))], axis=1)
    return distance * away, -away


@pytest.mark.parametrize("name", BEAMS)
def test_half_at_the_beam_edge_and_a_tenth_at_the_field_edge(name, tmp_path):
    """BM-01, ANSI/IES: beam angle at 50 %, field angle at 10 %; the axial candela by the inverse square, from afar."""
    row = HEADS[name]
    setting = row.output().flood
    far = 200.0 * max(row.aperture or 0.0, *(row.size or (0.0, 0.0)))
    places, facing = off_axis(far, [0.0, np.degrees(setting.beam) / 2, np.degrees(setting.field) / 2])
    lux = lux_at(light(tmp_path, along_x(name)).emitters, places, facing, rays=256)
    assert lux[0] * far**2 == pytest.approx(setting.candela, rel=1e-3)
    assert lux / lux[0] == pytest.approx([1.0, 0.5, 0.1], rel=0.01)


@pytest.mark.parametrize(
    ("words", "candela"),
    [
        ("{candela: 900, beam: 20 deg, field: 30 deg}", 900),
        ("{reading: {lux: 50, at: 4}, beam: 20 deg, field: 30 deg}", 800),
        ("{lumens: 3141.593, shape: panel, size: 10 x 10 cm}", 1000),
        ("{lumens: 12566.371, shape: ball, aperture: 20 cm}", 1000),
    ],
)
def test_axial_candela_of_a_head_described_in_place(words, candela, tmp_path):
    """Definitions: I = E d^2; pi lm to a candela of an even flat source, 4 pi of an even ball (BM-02)."""
    places, facing = off_axis(20.0, [0.0])
    lux = lux_at(light(tmp_path, along_x(words)).emitters, places, facing)
    assert lux[0] * 20.0**2 == pytest.approx(candela, rel=2e-3)


@pytest.mark.parametrize("angles", [(18, 26), (26, 47.388), (50, 66), (105, 150)])
def test_lumens_of_a_beam(angles, tmp_path):
    """Lumens that arrive all round against scipy.integrate.quad of the profile that the two angles define."""
    beam, field = np.radians(angles)
    power = np.log(np.log2(10)) / np.log(field / beam)
    expected, _ = quad(
        lambda a: 2 * pi * 1000 * np.sin(a) * 0.5 ** ((2 * a / beam) ** power),
        0,
        pi / 2,
        epsabs=1e-9,
        limit=200,
    )
    words = f"{{candela: 1000, beam: {angles[0]} deg, field: {angles[1]} deg}}"
    upright = f"at: [0, 0, 0], aim: [0, 0, 1], stand: no, head: {words}"
    found = lumens_of(light(tmp_path, upright).emitters, radius=4.0, polar=192, turns=8)
    assert found == pytest.approx(expected, rel=3e-3)


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("practical: {kind: bulb, lumens: 710, at: [0, 0, 0]}", 710),
        ("practical: {kind: lantern, lumens: 220, at: [0, 0, 0]}", 220),
        ("practical: {kind: candle, lumens: 12.6, at: [0, 0, 0]}", 12.6),
        ("practical: {kind: tube, lumens: 3250, at: [0, 0, 0], facing: 30 deg}", 3250),
        ("practical: {kind: street_lamp, lumens: 8500, at: [0, 0, 0]}", 8500),
        (
            "head: {shape: ball, candela: 100, aperture: 60 cm}, at: [0, 0, 0], aim: [1, 0, 0], stand: no",
            400 * pi,
        ),
        (
            "head: {shape: panel, candela: 100, size: 1 x 1 m}, at: [0, 0, 0], aim: [0, 0, 1], stand: no",
            100 * pi,
        ),
    ],
)
def test_lumens_come_back(words, expected, tmp_path):
    """The lumens of the script are what a sphere of receptors catches (definition of the lumen)."""
    assert lumens_of(light(tmp_path, words).emitters, radius=3.0) == pytest.approx(expected, rel=4e-3)


@pytest.mark.parametrize(("output", "expected"), [("luminance: 50", pi * 50 * 1.2), ("lumens: 240", 240.0)])
def test_lit_window_is_an_even_white(output, expected, tmp_path):
    """A pane of luminance L sends pi L a square metre to its side (Lambert): 1.2 m2 of 50 cd/m2; or its lumens."""
    house = "set:\n  - house: {name: house, at: [0, 9], size: [9, 6], windows: [{from_left: 2, size: [1, 1.2]}]}\n"
    window = f'fixtures:\n  - {{name: pane, practical: {{kind: window, {output}, at: "house.window[0]"}}}}\n'
    ready = scene(tmp_path, house + window + SMALL)
    (pane,) = lights_of(ready)
    middle = ready.anchors["house.window[0]"].position
    assert lumens_of(pane.emitters, radius=3.0, centre=middle) == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize("size", ["0.5 deg", "30 deg"])
def test_moon_of_a_script_on_level_ground(size, tmp_path):
    """lux x sin(elevation), from where the azimuth says: 90 degrees is east."""
    moon = light(tmp_path, f"moon: {{azimuth: 90 deg, elevation: 30 deg, lux: 0.25, size: {size}}}")
    up, east, west = lux_at(moon.emitters, [0, 0, 0], [[0, 0, 1], [1, 0, 0], [-1, 0, 0]])
    assert up == pytest.approx(0.125, rel=2e-3)
    assert east == pytest.approx(0.25 * np.cos(radians(30)), rel=2e-3)
    assert west == 0.0


def test_sky_of_a_script(tmp_path):
    """An even sky: lux on level ground, half of it on a wall."""
    sky = light(tmp_path, "sky: {lux: 0.05, horizon: 0}")
    up, wall = lux_at(sky.emitters, [0, 0, 0], [[0, 0, 1], [0, -1, 0]], rays=16384)
    assert (up, wall) == pytest.approx((0.05, 0.025), rel=2e-3)


# A frame of cloth. The head below is 40 degrees wide at half, so a frame 1 m wide at 2 m is overfilled.
HEAD = "{candela: 10000, beam: 40 deg, field: 60 deg, aperture: 10 cm}"
AWAY, HALF = 2.0, 0.5


def frame(name: str, *, away: float = AWAY, width: float = 2 * HALF) -> str:
    return f"{{frame: {width} x {width} m, cloth: {name}, away: {away}}}"


def flux_on_frame(bare: Light) -> float:
    """Lumens that fall on the frame's rectangle, by receptors across it (Gauss's nodes)."""
    nodes, weights = np.polynomial.legendre.leggauss(12)
    y, z = (HALF * grid.ravel() for grid in np.meshgrid(nodes, nodes))
    lux = lux_at(bare.emitters, np.stack([np.full(144, AWAY), y, z], axis=1), [-1.0, 0, 0], rays=256)
    return float(lux @ np.outer(weights, weights).ravel()) * HALF**2


@pytest.mark.parametrize("name", ["full-grid", "half-grid", "opal", "single-net", "solid"])
def test_flux_through_a_frame(name, tmp_path):
    """Flux balance: of what falls on the cloth the diffuse and direct shares go on; what misses it is untouched.

    The shares are the catalogue's; the sums are of lumens on a sphere of receptors 20 m round.
    """
    bare, framed = light(tmp_path, along_x(HEAD)), light(tmp_path, along_x(HEAD, frame(name)))
    # Of a softened source the first of a few rays is far out, so there must be many.
    fine = {"radius": 20.0, "polar": 240, "turns": 240, "rays": 64 if name == "opal" else 8}
    falling, whole = flux_on_frame(bare), lumens_of(bare.emitters, **fine)
    row = CLOTHS[name]
    expected = whole - falling + (row.diffuse + row.direct) * falling
    # The edge of the frame's shadow falls between receptors: half a per cent of the whole.
    assert lumens_of(framed.emitters, **fine) == pytest.approx(expected, abs=0.005 * whole)
    assert 0.3 * whole < falling < 0.7 * whole


def test_spill_goes_past_untouched_and_the_direct_share_goes_on(tmp_path):
    """Straight lines: 10 m off, a receptor that sees the head past the frame reads as bare; behind a net, a share."""
    places, facing = off_axis(10.0, [0.0, 12.0, 22.0])
    bare = lux_at(light(tmp_path, along_x(HEAD)).emitters, places, facing)
    black = lux_at(light(tmp_path, along_x(HEAD, frame("solid"))).emitters, places, facing)
    net = lux_at(light(tmp_path, along_x(HEAD, frame("double-net"))).emitters, places, facing)
    assert black[:2].tolist() == [0.0, 0.0]
    assert black[2] == pytest.approx(bare[2], rel=1e-6)
    # The net's little diffusion comes on top.
    row = CLOTHS["double-net"]
    assert row.direct * bare[0] < net[0] < (row.direct + row.diffuse) * bare[0]
    assert net[2] == pytest.approx(bare[2], rel=0.02)


def test_far_behind_a_filled_cloth(tmp_path):
    """Lambert: far off on the axis the cloth's share is diffuse x lumens on it / (pi d^2); full grid passes no direct."""
    bare, framed = light(tmp_path, along_x(HEAD)), light(tmp_path, along_x(HEAD, frame("full-grid")))
    lux = lux_at(framed.emitters, [AWAY + 30.0, 0, 0], [-1.0, 0, 0])[0]
    assert lux == pytest.approx(CLOTHS["full-grid"].diffuse * flux_on_frame(bare) / (pi * 30.0**2), rel=5e-3)


def test_half_filled_frame_is_hot_in_the_middle(tmp_path):
    """The exitance follows the head: I(a) cos(a) / r^2 from the middle outwards, by hand for a point source.

    0.6 m before a 2.4 m frame, 40 degrees at half: the spot is 0.44 m wide, and the rim gets next to nothing.
    """
    framed = light(tmp_path, along_x(HEAD, frame("full-grid", away=0.6, width=2.4)))
    beside = np.array([0.0, 0.2, 0.4, 1.0])
    near = 0.03
    places = np.stack([np.full(4, 0.6 + near), beside, np.zeros(4)], axis=1)
    lux = lux_at(framed.emitters, places, [-1.0, 0, 0], rays=65536)
    power = np.log(np.log2(10)) / np.log(60 / 40)
    angle = np.arctan2(beside, 0.6)
    falling = 10000 * 0.5 ** ((2 * angle / np.radians(40)) ** power) * np.cos(angle) ** 3 / 0.6**2
    # So close behind it a receptor sees cloth all round: its lux is the cloth's exitance, blurred over centimetres.
    assert lux == pytest.approx(CLOTHS["full-grid"].diffuse * falling, rel=0.15, abs=0.02 * lux[0])
    assert lux[3] < 0.02 * lux[0]


def shadow_width(emitters: tuple[Emitter, ...], *, edge: float, wall: float, reach: float) -> float:
    """Metres over which the shadow of a straight edge at x = `edge` falls off on a wall at x = `wall`, 10 to 90 %."""
    blade = np.array([[edge, 0, -50], [edge, -50, -50], [edge, -50, 50], [edge, 0, 50]], float)
    world = grey_world([flat("blade", "grey", blade[[[0, 1, 2], [0, 2, 3]]])])
    across = np.linspace(-reach, reach, 161)
    places = np.stack([np.full(161, wall), across, np.zeros(161)], axis=1)
    shaded = lux_at(emitters, places, [-1.0, 0, 0], world=world, rays=1024)
    share = shaded / lux_at(emitters, places, [-1.0, 0, 0], rays=1024)
    assert share[0] < 0.01
    assert share[-1] > 0.99
    low, high = np.interp([0.1, 0.9], share, across)
    return float(high - low)


def test_penumbra_grows_with_the_source(tmp_path):
    """Geometry: the penumbra of an edge halfway is as wide as the source; 10 to 90 % of it is 0.8 of a square's side."""
    for size in (0.3, 0.6, 1.2):
        panel = light(tmp_path, along_x(f"{{shape: panel, candela: 1000, size: {size} x {size} m}}"))
        width = shadow_width(panel.emitters, edge=10.0, wall=20.0, reach=2.0)
        assert width == pytest.approx(0.8 * size, rel=0.03)


def test_backing_the_head_off_its_frame_dims_and_softens(tmp_path):
    """Common practice: from 2 m to 4 m the cloth fills, the light drops, by at most the four times of a point source.

    The subject stays 4 m from the cloth.
    """
    head_at = {
        away: light(
            tmp_path,
            along_x(
                "{candela: 10000, beam: 24 deg, field: 36 deg}", frame("full-grid", away=away, width=2.4)
            ),
        )
        for away in (2.0, 4.0)
    }
    lux = {a: lux_at(key.emitters, [a + 4.0, 0, 0], [-1.0, 0, 0])[0] for a, key in head_at.items()}
    width = {
        a: shadow_width(key.emitters, edge=a + 2.0, wall=a + 4.0, reach=4.0) for a, key in head_at.items()
    }
    assert 1.05 < lux[2.0] / lux[4.0] < 4.0
    assert width[4.0] > 1.5 * width[2.0]


def test_penumbra_of_the_moon_is_its_apparent_size(tmp_path):
    """Geometry: 5 m behind an edge a disc of 10 degrees is 5 m x 2 tan(5 deg) wide; the shadow goes by its area.

    A chord at 0.687 of the radius cuts a tenth off a disc (area of a circular segment).
    """
    moon = light(tmp_path, "moon: {azimuth: 270 deg, elevation: 0.01 deg, lux: 10, size: 10 deg}")
    width = shadow_width(moon.emitters, edge=10.0, wall=15.0, reach=1.0)
    assert width == pytest.approx(0.687 * 2 * 5 * np.tan(radians(5)), rel=0.03)
