"""A fire: flames of the height that was asked over logs, and balls of the same face that shine for them."""

from __future__ import annotations

import numpy as np
import pytest

from preview.build.fire import FACE, LOWER, UPPER, fire_parts
from preview.build.mesh import Part

SPOT = np.array([2.0, -1.0, 0.3])


def face(glow: Part, azimuth: float, *, cells: int = 300) -> tuple[float, float]:
    """Area m2 that flames one metre high cover seen level from a side, and the height of its middle: a count of cells."""
    across = np.array([np.cos(azimuth), -np.sin(azimuth), 0.0])
    flat = np.stack([glow.vertices @ across, glow.vertices[:, 2]], axis=1)
    side = 1.2 / cells
    x, z = np.meshgrid((np.arange(cells) + 0.5) * side - 0.6, (np.arange(cells) + 0.5) * side - 0.05)
    covered = np.zeros((cells, cells), dtype=bool)
    for corners in flat[glow.faces]:
        (left, low), (right, high) = corners.min(axis=0), corners.max(axis=0)
        rows = slice(*np.searchsorted(z[:, 0], [low, high]))
        columns = slice(*np.searchsorted(x[0], [left, right]))
        here, up = x[rows, columns], z[rows, columns]
        turns = [
            (b[0] - a[0]) * (up - a[1]) - (b[1] - a[1]) * (here - a[0])
            for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)
        ]
        inside = np.all([turn >= 0 for turn in turns], axis=0) | np.all([turn <= 0 for turn in turns], axis=0)
        covered[rows, columns] |= inside
    return float(covered.sum()) * side**2, float(z[covered].mean())


def test_flames_are_as_high_as_asked_and_stand_on_their_spot() -> None:
    bodies, glow = fire_parts("camp", SPOT, 0.8)
    assert glow.name == "camp.glow"
    assert [part.name for part in bodies] == ["camp.body"]
    assert glow.vertices[:, 2].max() - SPOT[2] == pytest.approx(0.8)
    assert glow.vertices[:, 2].min() > SPOT[2]
    for part in (glow, *bodies):
        assert np.abs(part.vertices[:, :2] - SPOT[:2]).max() < 0.5
        assert part.vertices[:, 2].min() >= SPOT[2]


def test_logs_are_lower_than_the_flames_and_wider() -> None:
    bodies, glow = fire_parts("camp", np.zeros(3), 1.0)
    assert bodies[0].vertices[:, 2].max() < 0.6
    assert np.abs(bodies[0].vertices[:, :2]).max() > np.abs(glow.vertices[:, :2]).max()


def test_the_balls_have_the_face_of_the_flames() -> None:
    """What is seen of a fire and what it gives are one luminance, so the areas and their middles must agree."""
    _, glow = fire_parts("camp", np.zeros(3), 1.0)
    seen = np.array([face(glow, azimuth) for azimuth in np.linspace(0.0, np.pi, 6, endpoint=False)])
    assert seen[:, 0].mean() == pytest.approx(FACE, rel=0.03)
    squares = [radius**2 for _, radius in (LOWER, UPPER)]
    assert np.pi * sum(squares) == pytest.approx(FACE, rel=0.01)
    middle = np.average([height for height, _ in (LOWER, UPPER)], weights=squares)
    assert middle == pytest.approx(seen[:, 1].mean(), abs=0.02)


def test_sound_surfaces() -> None:
    bodies, glow = fire_parts("camp", SPOT, 0.6)
    for part in (glow, *bodies):
        corners = part.vertices[part.faces]
        areas = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        outward = np.einsum("ij,ij->i", areas, part.normals[part.faces].sum(axis=1))
        assert (outward > -1e-12).all()
        assert np.linalg.norm(part.normals[np.unique(part.faces)], axis=1) == pytest.approx(1.0, abs=1e-6)
