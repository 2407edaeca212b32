"""Angles and candela of real luminaires against the lumens that their files state, and the tiny files of BM by hand.

The numbers are those of files in open repositories; headers are our own:
round-2002, quadrant-2002, bilateral-2002, floodlight-b-2002: github.com/echowuzangye/CU-calculations-based-on-IES-file
(ies/7, 5, 4, flood/2.1); upwards-1995: github.com/NREL/OpenStudio (openstudiocore/resources/runmanager/test.ies);
asymmetric-0, road-3, tubes-4, round-1: github.com/holg/eulumdat-rs (templates and tests/integration_test.rs);
wide-1991: printed in a test of an IESNA91 reader in a public repository.
"""

from __future__ import annotations

from math import pi, radians
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import dblquad, quad

from preview.light.photometry.opening import Opening
from preview.light.photometry.read import web_of_file
from preview.light.photometry.web import Web

FILES = Path(__file__).parent / "files"


def web(name: str) -> Web:
    return web_of_file(FILES / name)


def towards(vertical: float, horizontal: float) -> np.ndarray:
    """Directions of type C angles in degrees, written out from the definition of the angles."""
    v, h = radians(vertical), radians(horizontal)
    return np.array([[np.sin(v) * np.cos(h)], [np.sin(v) * np.sin(h)], [np.cos(v)]])


def candela(of: Web, vertical: float, horizontal: float = 0.0) -> float:
    return float(of.intensity(towards(vertical, horizontal))[0])


@pytest.mark.parametrize(
    ("name", "stated", "tolerance"),
    [
        # Laboratories sum zones of mean intensity; we integrate straight lines. Fine tables agree to a thousandth.
        ("round-2002.ies", 532.0, 1e-3),
        ("quadrant-2002.ies", 754.0, 1e-3),
        ("bilateral-2002.ies", 5822.0, 1e-3),
        ("wide-1991.ies", 13172.61, 2e-3),
        ("asymmetric-0.ldt", 164000.0 * 0.998, 1e-3),
        ("round-1.ldt", 19800.0, 1e-3),
        ("tubes-4.ldt", 8100.0 * 0.403, 1e-3),
        # 52 planes in uneven steps of up to 15 degrees, in whole candela per 1000 lm.
        ("road-3.ldt", 33200.0 * 0.8442, 4e-3),
        # Ten degrees a step at its edges. The other reading of type B, latitude upright, gives 6.8 % too much.
        ("floodlight-b-2002.ies", 10601.0, 1e-2),
    ],
)
def test_lumens_are_those_that_the_file_states(name, stated, tolerance):
    assert web(name).lumens() == pytest.approx(stated, rel=tolerance)


def test_stated_lumens_of_eulumdat_are_the_lamps_times_the_light_output_ratio():
    read = web("road-3.ldt")
    assert read.stated_lumens == pytest.approx(33200 * 0.8442)
    assert read.lamp_lumens == 33200


def test_a_luminaire_that_shines_upwards_gives_nothing_below():
    """Two lamps of 2900 lm in it: what comes out is less, and more than half."""
    read = web("upwards-1995.ies")
    assert read.lamp_lumens == 5800
    assert 0.5 * 5800 < read.lumens() < 5800
    assert read.axial == 0.0
    assert candela(read, 80.0) == 0.0
    assert candela(read, 180.0) == 738
    assert candela(read, 125.0, 90.0) == pytest.approx(1715)
    assert candela(read, 125.0, 270.0) == pytest.approx(1715)


@pytest.mark.parametrize(
    ("name", "edition", "kind", "opening"),
    [
        ("round-2002.ies", "LM-63-2002", "C", Opening("ellipse", (0.4531 * 0.3048, 0.4531 * 0.3048, 0.0))),
        ("quadrant-2002.ies", "LM-63-2002", "C", Opening("rectangle", (0.6144, 0.0635, 0.0))),
        ("upwards-1995.ies", "LM-63-1995", "C", Opening("rectangle", (4 * 0.3048, 0.29 * 0.3048, 0.0))),
        ("wide-1991.ies", "LM-63-1991", "C", Opening("point")),
        ("floodlight-b-2002.ies", "LM-63-2002", "B", Opening("rectangle", (0.1575, 0.1956, 0.0))),
        ("bilateral-2002.ies", "LM-63-2002", "C", Opening("cylinder", (0.3175, 0.3175, 0.0350))),
        ("asymmetric-0.ldt", "EULUMDAT", "C", Opening("rectangle", (0.65, 0.4, 0.0))),
        ("road-3.ldt", "EULUMDAT", "C", Opening("cylinder", (0.472, 0.472, 0.14))),
        ("tubes-4.ldt", "EULUMDAT", "C", Opening("rectangle", (0.09, 1.17, 0.0))),
    ],
)
def test_edition_type_and_luminous_opening(name, edition, kind, opening):
    read = web(name)
    assert (read.edition, read.kind, read.opening.shape) == (edition, kind, opening.shape)
    assert read.opening.size == pytest.approx(opening.size, abs=1e-4)


def test_symmetries_stand_for_the_planes_that_are_not_written():
    """By the definitions of the symmetries: LM-63-02 horizontal angles; EULUMDAT Isym 2 to 4."""
    quadrant, halves, road, tubes = (
        web(name) for name in ("quadrant-2002.ies", "bilateral-2002.ies", "road-3.ldt", "tubes-4.ldt")
    )
    for horizontal in (22.5, 157.5, 202.5, 337.5):
        assert candela(quadrant, 50.0, horizontal) == pytest.approx(155)
    assert candela(halves, 75.0, 45.0) == pytest.approx(351 * 0.9687)
    assert candela(halves, 75.0, 315.0) == pytest.approx(351 * 0.9687)
    assert candela(halves, 75.0, 135.0) == pytest.approx(587 * 0.9687)
    # Isym 3 starts with C270 and ends with C90.
    assert candela(road, 20.0, 270.0) == pytest.approx(295 * 33.2)
    assert candela(road, 20.0, 90.0) == pytest.approx(119 * 33.2)
    assert candela(road, 65.0, 315.0) == pytest.approx(candela(road, 65.0, 225.0))
    assert candela(road, 60.0, 0.0) == pytest.approx(331 * 33.2)
    assert candela(road, 60.0, 180.0) == pytest.approx(331 * 33.2)
    for horizontal in (30.0, 150.0, 210.0, 330.0):
        assert candela(tubes, 80.0, horizontal) == pytest.approx(21 * 8.1)


def test_tiny1():
    """BM-13, BM-14: scaling, interpolation, angles; the exact integral, where zonal constants give 14 897.96."""
    tiny = web("tiny1.ies")
    assert tiny.axial == pytest.approx(10_000, rel=1e-6)
    assert candela(tiny, 22.5) == pytest.approx(7000, rel=1e-6)
    assert candela(tiny, 90.0) == pytest.approx(0, abs=1e-6)
    assert np.degrees(tiny.beam) == pytest.approx([60, 60], rel=1e-6)
    assert np.degrees(tiny.field) == pytest.approx([120, 120], rel=1e-6)
    exact, _ = quad(lambda v: 2 * pi * candela(tiny, np.degrees(v)) * np.sin(v), 0, pi / 2, limit=200)
    assert tiny.lumens() == pytest.approx(14_289.91, rel=1e-6)
    assert tiny.lumens() == pytest.approx(exact, rel=1e-6)


def test_tiny2():
    """BM-16, BM-17: quadrant symmetry, multiplier and ballast factor, bilinear."""
    tiny = web("tiny2.ies")
    told = {(0, 0): 900, (45, 45): 540, (135, 45): 540, (200, 60): 473.333, (337.5, 22.5): 765}
    for (horizontal, vertical), expected in told.items():
        assert candela(tiny, vertical, horizontal) == pytest.approx(expected, rel=1e-6)
    assert tiny.lumens() == pytest.approx(2563.984, rel=1e-6)
    assert tiny.opening.size == pytest.approx((0.6, 0.3, 0.0))
    assert tiny.watts == 100


def test_tiny3():
    """The file's own numbers: 1 x 0.8 x 300 straight down; tilt factors for how the head is aimed."""
    tiny = web("tiny3.ies")
    assert tiny.axial == pytest.approx(240)
    assert candela(tiny, 67.5, 200) == pytest.approx(120)
    assert tiny.tilt is not None
    assert [tiny.tilt.factor(radians(angle)) for angle in (0, 45, 90, 135, 180)] == pytest.approx(
        [1.0, 0.95, 0.9, 0.85, 0.8]
    )
    assert tiny.opening == Opening("ellipse", (0.1524, 0.1524, 0.0))


@pytest.mark.parametrize("name", ["floodlight-b-2002.ies", "asymmetric-0.ldt", "tiny2.ies"])
def test_lumens_are_the_integral_of_the_intensity(name):
    """Flux = integral of I over solid angle, by midpoints all round: no use of the table's own angles."""
    read = web(name)
    v, h = np.meshgrid((np.arange(720) + 0.5) * pi / 720, (np.arange(720) + 0.5) * 2 * pi / 720)
    v, h = v.ravel(), h.ravel()
    way = np.stack([np.sin(v) * np.cos(h), np.sin(v) * np.sin(h), np.cos(v)])
    total = (read.intensity(way) * np.sin(v)).sum() * (pi / 720) * (2 * pi / 720)
    assert read.lumens() == pytest.approx(total, rel=5e-4)


def test_lumens_against_dblquad_in_type_b():
    """Of four cells of the floodlight, with dW = cos H dH dV for latitudes H towards the axis across."""
    read = web("floodlight-b-2002.ies")

    def density(vertical: float, horizontal: float) -> float:
        across = np.sin(horizontal)
        level = np.cos(horizontal)
        way = np.array([[level * np.sin(vertical)], [-across], [level * np.cos(vertical)]])
        return float(read.intensity(way)[0]) * level

    edges = [radians(a) for a in (17, 19.5, 22.5)], [radians(a) for a in (33, 37.5, 42.5)]
    total = sum(
        dblquad(density, edges[0][i], edges[0][i + 1], edges[1][j], edges[1][j + 1], epsabs=1e-6)[0]
        for i in range(2)
        for j in range(2)
    )
    table, v, h = np.degrees(read.vertical), read.vertical, read.horizontal
    rows = slice(int(np.argmin(abs(np.degrees(h) - 17))), int(np.argmin(abs(np.degrees(h) - 22.5))) + 1)
    columns = slice(int(np.argmin(abs(table - 33))), int(np.argmin(abs(table - 42.5))) + 1)
    part = Web("B", v[columns], h[rows], read.candela[rows, columns], read.opening, "")
    assert part.lumens() == pytest.approx(total, rel=1e-6)
