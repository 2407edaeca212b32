"""Practicals: what glows has the size and place that were asked, and its body leaves it free."""

from __future__ import annotations

import numpy as np
import pytest

from preview.build.mesh import Part
from preview.build.practicals import practical_parts, tube_diameter

AT = np.array([1.0, 2.0, 3.0])


def areas(part: Part) -> np.ndarray:
    corners = part.vertices[part.faces]
    return 0.5 * np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])


def extent(part: Part) -> np.ndarray:
    return np.ptp(part.vertices, axis=0)


@pytest.mark.parametrize("kind", ["bulb", "lantern", "street_lamp", "tube", "window", "candle", "fire"])
def test_sound_parts_about_the_place(kind: str) -> None:
    bodies, glow = practical_parts("lamp", kind=kind, at=AT)
    assert glow.name == "lamp.glow"
    assert bool(bodies) == (kind not in ("street_lamp", "window"))
    for part in [*bodies, glow]:
        assert part.name in ("lamp.body", "lamp.glow", "lamp.wick")
        assert np.isfinite(part.vertices).all()
        used = part.normals[np.unique(part.faces)]
        np.testing.assert_allclose(np.linalg.norm(used, axis=1), 1.0, atol=1e-6)
        outward = np.einsum("ij,ij->i", areas(part), part.normals[part.faces].sum(axis=1))
        assert (outward > -1e-12).all()
    if kind == "fire":
        assert glow.vertices[:, 2].min() > AT[2]  # it stands on its place
        return
    middle = 0.5 * (glow.vertices.min(axis=0) + glow.vertices.max(axis=0))
    np.testing.assert_allclose(middle, AT, atol=0.021)


@pytest.mark.parametrize("kind", ["bulb", "lantern"])
def test_globes(kind: str) -> None:
    _, glow = practical_parts("lamp", kind=kind, at=AT, size_m=0.12)
    np.testing.assert_allclose(np.linalg.norm(glow.vertices - AT, axis=1), 0.06, atol=1e-12)


def test_bars_of_a_lantern_stand_outside_its_globe() -> None:
    bodies, _ = practical_parts("lamp", kind="lantern", at=AT, size_m=0.16)
    assert np.linalg.norm(bodies[0].vertices - AT, axis=1).min() > 0.08


def test_holder_of_a_bulb_is_above_it() -> None:
    bodies, _ = practical_parts("lamp", kind="bulb", at=AT, size_m=0.06)
    assert bodies[0].vertices[:, 2].min() > AT[2]


def test_street_lamp_looks_down() -> None:
    _, glow = practical_parts("lamp", kind="street_lamp", at=AT, size_m=0.4)
    total = areas(glow).sum(axis=0)
    np.testing.assert_allclose(total[:2], 0, atol=1e-12)
    assert total[2] == pytest.approx(-np.pi * 0.2**2, rel=0.01)


def test_tube_diameters() -> None:
    """Source: IEC 60081 lamp data: nominal tube diameters 26 mm (T8; 36 W, 1.2 m) and 38 mm (T12; 2.4 m)."""
    assert tube_diameter(0.6) == tube_diameter(1.2) == tube_diameter(1.5) == 0.026
    assert tube_diameter(2.4) == 0.038


def test_tube_runs_along_its_azimuth() -> None:
    bodies, glow = practical_parts("lamp", kind="tube", at=AT, size_m=1.2, facing=np.pi / 2)
    np.testing.assert_allclose(extent(glow), [1.2, 0.026, 0.026], atol=0.001)
    # The fitting is above the tube and a little longer.
    assert bodies[0].vertices[:, 2].max() > AT[2] + 0.013
    assert extent(bodies[0])[0] == pytest.approx(1.26)
    _, north = practical_parts("lamp", kind="tube", at=AT, size_m=1.2, facing=0.0)
    np.testing.assert_allclose(extent(north), [0.026, 1.2, 0.026], atol=0.001)


def test_window_fills_its_opening_from_just_behind() -> None:
    _, glow = practical_parts("lamp", kind="window", at=AT, size_m=(1.1, 1.3), facing=np.pi)
    np.testing.assert_allclose(areas(glow).sum(axis=0), [0, -1.43, 0], atol=1e-12)
    np.testing.assert_allclose(extent(glow), [1.1, 0, 1.3], atol=1e-12)
    assert 0 < glow.vertices[:, 1].min() - AT[1] < 0.05


def test_flame_is_three_times_as_high_as_wide() -> None:
    bodies, glow = practical_parts("lamp", kind="candle", at=AT, size_m=0.03)
    np.testing.assert_allclose(extent(glow), [0.01, 0.01, 0.03], atol=0.0002)
    assert max(body.vertices[:, 2].max() for body in bodies) <= AT[2] - 0.0149


def test_one_size_only() -> None:
    with pytest.raises(ValueError, match="a bulb has one size"):
        practical_parts("lamp", kind="bulb", at=AT, size_m=(0.1, 0.2))
