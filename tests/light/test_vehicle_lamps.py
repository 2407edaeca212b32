"""Lamps of vehicles and strings of bulbs: candela against the regulations' points, where they shine, what they draw."""

from __future__ import annotations

from math import pi, radians
from pathlib import Path

import numpy as np
import pytest

from preview.commands.notes.fixture_rows import fixture_rows
from preview.faults import UserError
from preview.light.headlamp import dipped, headlamp_lumens, headlamp_web, main
from preview.light.light import Light
from preview.light.lights import lights_of
from preview.trade.catalogue import usual
from tests.script.scenes import SMALL, scene
from tests.trace.metering import lux_at

CAR = "set:\n  - car: {name: car, at: [0, 0], facing: 0}\n"
STRING = "set:\n  - string: {name: lights, along: [[-3, 0], [3, 0]], height: 3, sag: 0, spacing: 0.5}\n"


def light(folder: Path, words: str, pieces: str = CAR) -> Light:
    (only,) = lights_of(scene(folder, pieces + f"fixtures:\n  - {{name: key, practical: {words}}}\n" + SMALL))
    return only


def candela(made: Light, right: float, up: float, *, far: float = 25.0) -> float:
    """Towards angles in degrees from straight ahead (north) of the lamp, by the inverse square at 25 m."""
    (emitter,) = made.emitters
    middle = np.asarray(emitter.centre, float)  # type: ignore[attr-defined]
    a, b = radians(right), radians(up)
    way = np.array([np.sin(a) * np.cos(b), np.cos(a) * np.cos(b), np.sin(b)])
    lux = lux_at(made.emitters, (middle + far * way)[None], -way[None], rays=64)
    return float(lux[0]) * far**2


@pytest.mark.parametrize(
    ("point", "right", "up", "low", "high"),
    [
        ("B 50 L", -3.43, 0.57, 0, 350),
        ("75 R", 1.15, -0.57, 10_100, None),
        ("75 L", -3.43, -0.57, 0, 10_600),
        ("50 R", 1.72, -0.86, 10_100, None),
        ("50 V", 0.0, -0.86, 5_100, None),
        ("25 L", -9.0, -1.72, 1_700, None),
        ("25 R", 9.0, -1.72, 1_700, None),
        ("zone III, middle", -4.0, 1.5, 0, 625),
    ],
)
def test_a_dipped_beam_keeps_to_its_regulation(tmp_path, point, right, up, low, high):
    """UN Regulation No. 112, class B, right-hand traffic, candela on the screen at 25 m; points and limits from memory."""
    made = light(tmp_path, "{kind: headlamp, at: car.head.left}")
    found = candela(made, right, up)
    assert low <= found, point
    assert high is None or found <= high, point


def test_a_main_beam_keeps_to_its_regulation(tmp_path):
    """UN Regulation No. 112, class B, from memory: 40 500 to 215 000 cd."""
    made = light(tmp_path, "{kind: main_beam, at: car.head.right}")
    assert 40_500 < candela(made, 0.0, 0.0) < 215_000
    assert candela(made, 0.0, 0.0) > 10 * candela(made, 12.0, 3.0)


def test_beams_hold_the_lumens_that_their_rows_say():
    """An independent integral, in rings about straight ahead."""
    for kind, shape in (("headlamp", dipped), ("main_beam", main)):
        away = np.radians(np.linspace(0.0, 60.0, 1501))[:, None]
        turn = np.linspace(0.0, 2.0 * pi, 721)[None, :-1]
        up = np.degrees(np.arcsin(np.sin(away) * np.sin(turn)))
        right = np.degrees(np.arctan2(np.sin(away) * np.cos(turn), np.cos(away)))
        ring = shape(right, up).mean(axis=1) * 2.0 * pi * np.sin(away[:, 0])
        lumens = float(np.trapezoid(ring, away[:, 0]))
        beam = "dipped" if kind == "headlamp" else "main"
        assert headlamp_lumens(beam) == pytest.approx(lumens, rel=0.02)  # type: ignore[arg-type]
        assert usual().lamps[kind].lumens == pytest.approx(lumens, rel=0.02)


def test_the_cut_off_climbs_to_the_lamps_own_side():
    """15 degrees up to the right of the middle, level to its left, 1 % down (UN R112, from memory)."""
    up = np.linspace(-4.0, 4.0, 4001)

    def edge(right: float) -> float:
        lit = dipped(np.full_like(up, right), up)
        return float(up[np.argmax(-np.gradient(np.log(lit)))])

    assert edge(-3.0) == pytest.approx(edge(-1.0), abs=0.02)
    assert edge(-2.0) == pytest.approx(-0.57, abs=0.15)
    assert (edge(3.0) - edge(1.0)) / 2.0 == pytest.approx(np.tan(radians(15.0)), abs=0.03)


def test_a_headlamp_lights_the_road_ahead_and_nothing_behind(tmp_path):
    made = light(tmp_path, "{kind: headlamp, at: car.head.left}")
    up = np.array([[0.0, 0.0, 1.0]])
    ahead = lux_at(made.emitters, np.array([[-0.6, 20.0, 0.0]]), up, rays=64)[0]
    behind = lux_at(made.emitters, np.array([[-0.6, -20.0, 0.0]]), up, rays=64)[0]
    assert ahead > 0.5
    assert behind == 0.0
    assert headlamp_web("dipped", 0.1).kind == "A"


@pytest.mark.parametrize(("kind", "low", "high"), [("tail_lamp", 4, 17), ("brake_lamp", 60, 260)])
def test_red_lamps_keep_to_their_regulation(tmp_path, kind, low, high):
    """UN Regulation No. 7, candela on the axis, from memory; red, and not seen from ahead."""
    made = light(tmp_path, f"{{kind: {kind}, at: car.tail.left}}")
    (emitter,) = made.emitters
    middle = np.asarray(emitter.centre, float)  # type: ignore[attr-defined]
    away = np.array([0.0, -10.0, 0.0])
    found = 100.0 * float(
        lux_at(made.emitters, (middle + away)[None], np.array([[0.0, 1.0, 0.0]]), rays=64)[0]
    )
    assert low <= found <= high
    assert made.colour[0] > 10 * made.colour[1] > made.colour[2]
    (glow,) = made.glows
    seen = float(glow.seen(np.array([[0.0], [-1.0], [0.0]], np.float32))[0])
    area = np.ptp(glow.part.vertices[:, 0]) * np.ptp(glow.part.vertices[:, 2])
    assert seen * area == pytest.approx(found, rel=0.02)


def test_a_lamp_takes_the_size_of_its_place_and_faces_as_it(tmp_path):
    made = light(tmp_path, "{kind: tail_lamp, at: car.tail.right}")
    extent = np.ptp(made.glows[0].part.vertices, axis=0)
    np.testing.assert_allclose(extent, [0.10, 0.0, 0.06], atol=1e-9)
    alone = light(tmp_path, "{kind: headlamp, at: [0, 0, 1], facing: 90}")
    assert np.ptp(alone.glows[0].part.vertices[:, 0]) == pytest.approx(0.0, abs=1e-9)


def test_a_string_is_one_light_of_all_its_bulbs(tmp_path):
    """By the inverse square from each of twelve bulbs of 200 lm: an independent sum."""
    made = light(tmp_path, "{kind: string, at: lights}", STRING)
    assert len(made.emitters) == 12
    spot, up = np.array([[0.4, 1.0, 0.0]]), np.array([[0.0, 0.0, 1.0]])
    expected = 0.0
    for number in range(12):
        away = np.array([-2.75 + 0.5 * number, 0.0, 3.0 - 0.075]) - spot[0]
        square = float(away @ away)
        expected += 200.0 / (4.0 * pi) / square * away[2] / square**0.5
    assert lux_at(made.emitters, spot, up, rays=64)[0] == pytest.approx(expected, rel=0.01)
    (glow,) = made.glows
    assert glow.luminance == pytest.approx(200.0 / (4.0 * pi) / (pi * 0.0225**2), rel=0.001)
    np.testing.assert_allclose(np.ptp(glow.part.vertices, axis=0), [5.545, 0.045, 0.045], atol=1e-3)


def test_what_a_string_draws_is_all_its_bulbs(tmp_path):
    text = STRING + "fixtures:\n  - {name: key, practical: {kind: string, at: lights, watts: 15}}\n" + SMALL
    (row,) = fixture_rows(scene(tmp_path, text))
    assert row[:2] == ("key", "string")
    assert "180" in row


def test_a_string_is_at_a_string(tmp_path):
    with pytest.raises(UserError, match="a string is at a string of bulbs in the set"):
        light(tmp_path, "{kind: string, at: car}")
