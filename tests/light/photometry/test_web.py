"""Intensity between the angles of a table, and the angles themselves, against closed forms."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from preview.light.photometry.opening import POINT
from preview.light.photometry.web import Web


def table(kind: str, vertical: np.ndarray, horizontal: np.ndarray, way) -> Web:
    """The web of a smooth intensity, told at angles in degrees; `way` makes directions of them."""
    v, h = np.radians(vertical), np.radians(horizontal)
    candela = np.stack([smooth(way(v, np.full_like(v, turn))) for turn in h])
    return Web(kind, v, h, candela, POINT, "")


def smooth(way: np.ndarray) -> np.ndarray:
    """A lopsided beam, stronger to the first axis and to the second."""
    return 1000.0 * np.maximum(way[2], 0.0) ** 3 * (1.0 + 0.5 * way[0] + 0.3 * way[1])


def type_c(v, h):
    return np.stack([np.sin(v) * np.cos(h), np.sin(v) * np.sin(h), np.cos(v)])


def type_b(v, h):
    """From ahead by H to the right, then by V upwards about the axis that lies across."""
    return np.stack([np.cos(h) * np.sin(v), -np.sin(h), np.cos(h) * np.cos(v)])


def type_a(v, h):
    """From ahead by V upwards, then by H to the right about the upright axis."""
    return np.stack([np.sin(v), -np.cos(v) * np.sin(h), np.cos(v) * np.cos(h)])


FULL = np.arange(0.0, 360.1, 2.5)
HALF = np.arange(-90.0, 90.1, 2.5)
WEBS = {
    "C": table("C", np.arange(0.0, 180.1, 2.5), FULL, type_c),
    "B": table("B", HALF, HALF, type_b),
    "A": table("A", HALF, HALF, type_a),
}


@pytest.mark.parametrize("kind", WEBS)
@pytest.mark.parametrize("single", [True, False])
def test_the_same_luminaire_measured_by_any_type_shines_alike(kind, single):
    """Types A, B and C: LM-63-02 section 3, shared axes of their planes; directions built here by rotations."""
    rng = np.random.default_rng(3)
    way = rng.normal(size=(3, 4000))
    way /= np.linalg.norm(way, axis=0)
    expected = smooth(way)
    got = WEBS[kind].intensity(way.astype(np.float32) if single else way)
    assert got.dtype == (np.float32 if single else np.float64)
    assert np.abs(got - expected).max() < 4.0  # a step of 2.5 degrees, linear: second derivative x step^2 / 8


@pytest.mark.parametrize("kind", WEBS)
def test_lumens_of_a_smooth_beam(kind):
    """1000 x the integral of cos^3 over the half space = 2 pi 1000 / 4; what leans cancels."""
    assert WEBS[kind].lumens() == pytest.approx(2 * pi * 1000 / 4, rel=1.5e-3)


@pytest.mark.parametrize(("step", "lumens"), [(5, 3139.597), (10, 3133.593)])
def test_sampling_error_of_a_lambertian_table(step, lumens):
    """BM-19."""
    angle = np.radians(np.arange(0, 90.1, step))
    even = Web("C", angle, np.zeros(1), 1000 * np.cos(angle)[None], POINT, "")
    assert even.lumens() == pytest.approx(lumens, rel=1e-5)
    assert np.degrees(even.beam) == pytest.approx([120, 120], rel=3e-3)


def test_isotropic():
    even = Web("C", np.array([0.0, pi]), np.zeros(1), np.full((1, 2), 80.0), POINT, "")
    assert even.lumens() == pytest.approx(4 * pi * 80)
    way = np.eye(3, dtype=np.float32)
    assert even.intensity(np.concatenate([way, -way], axis=1)) == pytest.approx(80)


def test_nothing_outside_the_angles_of_the_table():
    upper = Web("C", np.radians([90.0, 135.0, 180.0]), np.zeros(1), np.full((1, 3), 50.0), POINT, "")
    way = np.array([[0, 0, 1.0], [1, 0, 0], [0, 0, -1], [0.8, 0, 0.6], [0.8, 0, -0.6]]).T
    assert upper.intensity(way) == pytest.approx([0, 50, 50, 0, 50])
    front = Web("B", np.radians([-30.0, 30]), np.radians([-40.0, 40]), np.full((2, 2), 7.0), POINT, "")
    degrees = [(29, 39), (31, 0), (0, 41), (-29, -39), (180, 0)]
    v, h = np.radians(np.array(degrees, float)).T
    assert front.intensity(type_b(v, h)) == pytest.approx([7, 0, 0, 7, 0])


def test_beam_of_a_lopsided_web_is_told_by_plane():
    """100 at 0 to a half at 20 degrees to one side and 40 to the other: 60 in its plane."""
    vertical = np.radians([0.0, 20, 40, 90])
    candela = np.array([[100.0, 50, 0, 0], [100, 75, 50, 0]])
    lopsided = Web(
        "C", vertical, np.radians([0.0, 180, 360]), np.concatenate([candela, candela[:1]]), POINT, ""
    )
    assert np.degrees(lopsided.angle_within(0.5)) == pytest.approx(60)


def test_beam_of_a_light_upwards_goes_round_its_own_middle():
    """Even from 150 degrees to straight up, half at 145: 70 across; all round, a whole turn."""
    vertical = np.radians([0.0, 140, 150, 180])
    upwards = Web("C", vertical, np.zeros(1), np.array([[0.0, 0, 100, 100]]), POINT, "")
    assert np.degrees(upwards.angle_within(0.5)) == pytest.approx(70)
    even = Web("C", np.array([0.0, pi]), np.zeros(1), np.full((1, 2), 80.0), POINT, "")
    assert np.degrees(even.beam) == pytest.approx([360, 360])
