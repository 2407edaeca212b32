"""Cloths against configuration factors and numeric integration: what reaches a mark, reckoned without our emitters.

Source: J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors, section B; scipy's quadrature.
"""

from __future__ import annotations

from math import atan, cos, log, log2, pi, radians, sqrt

import numpy as np
import pytest
from scipy.integrate import dblquad

from preview.commands.metering.frames import frames_of
from preview.commands.metering.readings import receptors
from preview.commands.prepare import prepare
from preview.light.emitters.cloth import Cloth
from preview.light.emitters.gated import Gated
from preview.light.emitters.patch import Patch
from preview.light.lights import lights_of
from preview.light.spaces import ACESCG
from preview.trace.receptors import read
from preview.trade.catalogue import usual
from tests.script.scenes import SMALL, scene
from tests.trace.metering import grey_world, lux_at

UP = np.array([0.0, 0.0, 1.0])


def corner_parallel(a: float, b: float, c: float) -> float:
    """From an element to a parallel rectangle a x b at c, the normal through its corner."""
    x, y = a / c, b / c
    return (
        x / sqrt(1 + x * x) * atan(y / sqrt(1 + x * x)) + y / sqrt(1 + y * y) * atan(x / sqrt(1 + y * y))
    ) / (2 * pi)


def test_even_cloth_by_configuration_factors():
    """A receptor below the corner, below the middle and beside a 2 x 1.5 m cloth that shines down from 1.2 m."""
    cloth = Cloth(np.array([1.0, 0.75, 1.2]), -UP, (0.75, 1.0), np.full((24, 24), 500.0))
    # `across` of a cloth that looks straight down: width along x.
    width, height = 2 * cloth.half_size[0], 2 * cloth.half_size[1]
    low_x, low_y = 1.0 - width / 2, 0.75 - height / 2
    assert 500.0 * corner_parallel(1, 1, 1) == pytest.approx(500.0 * 0.1385316, rel=1e-5)
    corner = lux_at(cloth, [low_x, low_y, 0], UP)[0]
    middle = lux_at(cloth, [1.0, 0.75, 0], UP)[0]
    beside = lux_at(cloth, [low_x - 1.0, low_y, 0], UP, rays=16384)[0]
    factor = corner_parallel
    assert corner == pytest.approx(500.0 * factor(width, height, 1.2), rel=0.005)
    assert middle == pytest.approx(2000.0 * factor(width / 2, height / 2, 1.2), rel=0.005)
    assert beside == pytest.approx(
        500.0 * (factor(1.0 + width, height, 1.2) - factor(1.0, height, 1.2)), rel=0.005
    )


@pytest.mark.parametrize("at", [(0.0, 0.0), (1.5, 0.4), (-2.0, 1.0)])
def test_uneven_cloth_by_quadrature(at):
    """Exitance that falls from the middle as a cosine and grows to one side, seen from under it and obliquely."""
    cells = 48
    across = (np.arange(cells) + 0.5) / cells * 2 - 1

    def exitance(x: float, y: float) -> float:
        return 300.0 * cos(1.2 * x) * cos(0.9 * y) * (1.0 + 0.5 * x)

    values = np.array([[exitance(x, y) for x in across] for y in across])
    cloth = Cloth(np.array([0.0, 0.0, 1.5]), -UP, (1.0, 1.0), values)
    width, height = cloth._across
    facing = np.array([0.3, -0.2, 1.0]) / sqrt(1.13)
    place = np.array([*at, 0.0])

    def integrand(y: float, x: float) -> float:
        away = np.array([0.0, 0.0, 1.5]) + x * width + y * height - place
        square = away @ away
        seen = max(away @ facing, 0.0) / sqrt(square)
        return exitance(x, y) / pi * (1.5 / sqrt(square)) * seen / square

    expected, _ = dblquad(integrand, -1, 1, -1, 1, epsabs=1e-4)
    assert lux_at(cloth, place, facing, rays=16384)[0] == pytest.approx(expected, rel=0.005)


HALF = 1.8288
"""Metres: half of 12 ft."""


def framed_lux(
    mark: float, away: float, *, cloth: str, side: float, beam: float = 40.0, field: float = 60.0
) -> float:
    """Lux `mark` m from a beam of 10 000 cd, `side` m off its axis, through the diffuse share of a 12-by, `away` m from it.

    The beam's profile and the cloth's share are those that are stated, the integral over the frame is scipy's.
    """
    power = log(log2(10.0)) / log(field / beam)
    share = usual().cloths[cloth].diffuse

    def integrand(y: float, x: float) -> float:
        square = away * away + x * x + y * y
        cosine = away / sqrt(square)
        candela = 10000.0 * 2.0 ** -((2.0 * np.arccos(cosine) / radians(beam)) ** power)
        falling = candela * cosine / square
        on = (mark - away) ** 2 + side * side + x * x + y * y - 2 * side * x
        return share * falling / pi * (mark - away) ** 2 / on**2

    value, _ = dblquad(integrand, -HALF, HALF, -HALF, HALF, epsabs=1e-3)
    return float(value)


@pytest.mark.parametrize(("away", "side"), [(2.0, 0.0), (4.0, 0.0), (2.0, 1.5), (4.0, 1.5)])
def test_twelve_by_frame_lit_by_a_beam(away, side, tmp_path):
    """A 12-by of full grid 2 and 4 m from its head, a mark 8 m off, on the axis and beside it; by quadrature."""
    words = (
        "fixtures:\n  - {name: key, at: [0, 0, 3], aim: [8, 0, 3], stand: no, "
        "head: {candela: 10000, beam: 40 deg, field: 60 deg, aperture: 5 cm}"
        f", through: [{{frame: 12x12 ft, cloth: full-grid, away: {away} m}}]}}\n"
    )
    (light,) = lights_of(scene(tmp_path, words + SMALL))
    diffuse = [e for e, origin in zip(light.emitters, light.origins, strict=True) if origin.way == "diffuse"]
    got = lux_at(diffuse, [8.0, side, 3.0], [-1.0, 0.0, 0.0], rays=16384)[0]
    assert got == pytest.approx(framed_lux(8.0, away, cloth="full-grid", side=side), rel=0.01)


def test_a_head_backed_off_from_its_frame_softens_and_dims(tmp_path):
    """A head that goes from 2 m to 4 m behind its 12-by, the mark 6 m beyond the frame: common practice, no source.

    It fills more of the cloth, more evenly, so the cloth looks larger; more misses it, so the meter drops, by as much as
    quadrature says. A mark 6 m off that sees all of the frame sees no more than its solid angle as a disc.
    """
    found = []
    for away in (2.0, 4.0):
        words = (
            f"set: [{{ground: {{material: grass}}}}]\nfixtures:\n  - {{name: key, at: [{-away}, 0, 3], aim: [6, 0, 3], "
            "stand: no, head: {candela: 10000, beam: 60 deg, field: 80 deg, aperture: 5 cm}, "
            f"through: [{{frame: 12x12 ft, cloth: full-grid, away: {away} m}}]}}\n"
            "marks:\n  - {name: mark, at: [6, 0, 3], facing: key}\n"
        )
        ready = prepare(scene(tmp_path, words + SMALL))
        (reading,) = frames_of(ready, receptors(ready.scene))
        found.append(reading)
        (at_mark,) = reading.marks
        expected = framed_lux(6.0 + away, away, cloth="full-grid", side=0.0, beam=60.0, field=80.0)
        # The receptor is held 6 cm before its mark.
        assert at_mark.lux == pytest.approx(expected * (6.0 / 5.94) ** 2, rel=0.02)
        assert at_mark.direct == pytest.approx(0.0, abs=0.01)
        most = 2.0 * np.sqrt(4.0 * 4.0 * atan(HALF**2 / (6.0 * sqrt(6.0**2 + 2.0 * HALF**2))) / (4.0 * pi))
        assert np.radians(at_mark.size_deg) <= most * 1.02
    near, far = found
    assert far.fill > near.fill
    assert far.evenness_stops < near.evenness_stops
    assert far.spill > near.spill
    assert far.marks[0].size_deg > 1.15 * near.marks[0].size_deg
    assert far.marks[0].lux < 0.9 * near.marks[0].lux


@pytest.mark.parametrize("side", [0.02, 0.04, 0.08, 0.3])
def test_penumbra_grows_with_the_source(side):
    """Behind a straight edge 1 m from a square source, 2 m before a wall: 80 % of the light in 0.8 x side x 2 / 1."""
    x_axis = np.array([1.0, 0.0, 0.0])
    source = Patch(np.zeros(3), x_axis, (side / 2, side / 2), 1000.0, round=False)
    cut = Gated(source, np.array([1.0, 0.0, -5.0]), x_axis, (20.0, 5.0), 0.0)
    z = np.linspace(-1.5 * side, 1.5 * side, 121)
    places = np.stack([np.full_like(z, 3.0), np.zeros_like(z), z], axis=1)
    share = lux_at(cut, places, -x_axis) / lux_at(source, places, -x_axis)
    tenth, most = (np.interp(level, share, z) for level in (0.1, 0.9))
    assert most - tenth == pytest.approx(0.8 * side * 2.0, rel=0.05)
    assert np.interp(0.5, share, z) == pytest.approx(0.0, abs=0.02 * side)


@pytest.mark.parametrize(("side", "factor"), [(4.0, 0.246230), (0.5, 0.00521400)])
def test_light_off_a_lit_surface_onto_a_wall(side, factor):
    """An evenly lit diffuse square that touches a wall, and a point of the wall 1.5 m above the middle of its edge.

    Source: CIE 171:2006, cases 5.6 and 5.7 in kind, by configuration factors; the table printed there is known to be wrong.
    """
    board = Cloth(np.array([side / 2, 0.0, 0.0]), UP, (side / 2, side / 2), np.full((8, 8), 1000.0))
    got = lux_at(board, [0.0, 0.0, 1.5], [1.0, 0.0, 0.0], rays=16384)[0]
    assert got == pytest.approx(1000.0 * factor, rel=0.005)


def test_a_board_is_what_a_wall_is(tmp_path):
    """A bounce board of plaster against a wall of plaster in its place, which the tracer's own bounce lights from."""
    head = "at: [0, 0, 1.5], aim: [4, 0, 1.5], stand: no, head: {candela: 10000, beam: 40 deg, field: 60 deg}"
    bounce = "through: [{bounce: 2x3 m, of: plaster, away: 4, to: [-3, 0, 1.5]}]"
    board = f"fixtures:\n  - {{name: key, {head}, {bounce}}}\n"
    block = "{box: {at: [4.05, 0], size: [0.1, 2, 3], material: plaster}}"
    wall = f"set: [{block}]\nfixtures:\n  - {{name: key, {head}}}\n"
    where, facing = (
        np.array([[1.0, 1.5, 1.5], [2.5, -2.0, 1.0]]),
        np.array([[1.0, 0.0, 0.0], [0.8, 0.6, 0.0]]),
    )
    (bounced,) = lights_of(scene(tmp_path, board + SMALL))
    by_board = read(where, facing, grey_world(), [bounced], rays=16384, bounce_rays=0).direct[0]
    ready = prepare(scene(tmp_path, wall + SMALL))
    by_wall = read(where, facing, ready.stage.solid, ready.lights, bounce_rays=65536, bounces=1).indirect[0]
    assert by_wall @ ACESCG.luminance == pytest.approx(by_board, rel=0.03)
