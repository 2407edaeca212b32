"""What stands in a head's light: flux balances, softness, edges where geometry puts them, figures of frames."""

from __future__ import annotations

from math import pi, radians, tan
from pathlib import Path

import numpy as np
import pytest

from preview.commands.metering.frames import equivalent_solid_angle, evenness_of, fill_of
from preview.light.emitters.ball import Ball
from preview.light.emitters.patch import Patch
from preview.light.emitters.pattern import irregular
from preview.light.emitters.softened import Softened
from preview.light.light import Light
from preview.light.lights import lights_of
from preview.light.modifiers.boxes import SIDES, TAKEN, inside_again
from preview.light.modifiers.cloths import widened
from preview.trade.catalogue import bounce, usual
from tests.script.scenes import SMALL, found, scene
from tests.trace.metering import lumens_of, lux_at

HEAD = "{candela: 10000, beam: 40 deg, field: 60 deg, aperture: 10 cm}"
FINE = {"radius": 12.0, "polar": 128, "turns": 128, "rays": 64}


def light(folder: Path, through: str, head: str = HEAD) -> Light:
    words = f"at: [0, 0, 0], aim: [1, 0, 0], stand: no, head: {head}, through: [{through}]"
    (only,) = lights_of(scene(folder, f"fixtures:\n  - {{name: key, {words}}}\n{SMALL}"))
    return only


def of_way(made: Light, way: str) -> list:
    return [e for e, origin in zip(made.emitters, made.origins, strict=True) if origin.way == way]


@pytest.mark.parametrize(
    ("through", "direct", "diffuse"),
    [
        ("{frame: 2x2 m, cloth: light-frost, away: 2}", 0.58, 0.30),
        ("{frame: 2x2 m, cloth: heavy-frost, away: 2, tilt: 20 deg}", 0.20, 0.55),
        ("{frame: 2x2 m, cloth: single-net, away: 2}", 0.70, 0.02),
        ("{bounce: 2x2 m, of: silver-hard, away: 2, to: [0, 5, 0]}", 0.75, 0.10),
        ("{bounce: 2x2 m, of: mirror, away: 2, to: [0, 5, 0]}", 0.88, 0.0),
    ],
)
def test_flux_balance(through, direct, diffuse, tmp_path):
    """What leaves by each way is its share of what falls on it, and with the spill it is the head's lumens again."""
    made = light(tmp_path, through)
    (stood,) = made.modifiers
    bare = lumens_of(light(tmp_path, "").emitters, **FINE)
    assert stood.flux + stood.spilled == pytest.approx(bare, rel=5e-3)
    # Sharp edges fall between receptors.
    assert lumens_of(of_way(made, "direct"), **FINE) == pytest.approx(direct * stood.flux, rel=0.02)
    assert lumens_of(of_way(made, "diffuse"), **FINE) == pytest.approx(
        diffuse * stood.flux, rel=0.01, abs=0.1
    )


def test_cloth_on_the_head_keeps_its_share(tmp_path):
    bare = lumens_of(light(tmp_path, "").emitters, **FINE)
    made = light(tmp_path, "{cloth: light-frost}")
    assert lumens_of(of_way(made, "direct"), **FINE) == pytest.approx(0.58 * bare, rel=5e-3)
    assert lumens_of(of_way(made, "diffuse"), **FINE) == pytest.approx(0.30 * bare, rel=5e-3)


def test_wider_beam_against_the_sum_of_variances():
    """A Gaussian spread by a Gaussian is one again, of both variances (small angles)."""
    sigma, spread = radians(6), radians(5)
    profile, top = widened(
        lambda cosine: np.exp(-0.5 * (np.arccos(np.clip(cosine, -1, 1)) / sigma) ** 2).astype(np.float32),
        spread,
    )
    both = sigma**2 + spread**2
    angle = np.radians([0.0, 5.0, 10.0, 15.0])
    found_there = profile(np.cos(angle).astype(np.float32))
    assert found_there == pytest.approx(np.exp(-0.5 * angle**2 / both), abs=0.01)
    assert top == pytest.approx(sigma**2 / both, rel=0.02)


def test_softened_source_looks_as_large_as_its_spread_makes_it():
    """Of a point of light a behind a cloth and b before it, the Gaussian seen is s a / (a + b): 4 pi of its variance."""
    spread, a, b = radians(5), 2.0, 3.0
    bulb = Ball(np.zeros(3), 0.005, 1e6)
    soft = Softened(bulb, np.array([a, 0, 0]), np.array([1.0, 0, 0]), (3.0, 3.0), 0.5, spread, a)
    seen = equivalent_solid_angle([soft], np.array([a + b, 0.0, 0.0]))
    assert seen == pytest.approx(4.0 * pi * (spread * a / (a + b)) ** 2, rel=0.03)
    bare = lux_at(bulb, [a + b, 0, 0], [-1.0, 0, 0])[0]
    assert lux_at(soft, [a + b, 0, 0], [-1.0, 0, 0])[0] == pytest.approx(0.5 * bare, rel=0.02)


def test_few_places_tell_as_much_as_many():
    """The rule of a softened source against thousands of samples."""
    lamp = Patch(np.zeros(3), np.array([1.0, 0, 0]), (0.12, 0.12), 1000.0)
    soft = Softened(lamp, np.array([2.0, 0, 0]), np.array([1.0, 0, 0]), (2, 2), 0.5, radians(6), 2.0)
    point, normal = np.array([[5.0], [0.7], [0.3]], np.float32), np.array([[-1.0], [0.0], [0.0]], np.float32)
    few = 0.0
    for u in soft.rule():
        direction, _, lux = soft.arrive(point, normal, u[:, None])
        few += float(lux[0] * -direction[0, 0]) / len(soft.rule())
    many = lux_at(soft, point[:, 0], [-1.0, 0, 0], rays=16384)[0]
    assert few == pytest.approx(many, rel=0.01)


def test_even_disc_is_its_own_equivalent():
    """An even disc R at h fills 2 pi (1 - h / sqrt(h^2 + R^2)) sr (closed form)."""
    disc = Patch(np.array([2.0, 0, 0]), np.array([-1.0, 0, 0]), (0.5, 0.5), 100.0)
    solid_angle = 2 * pi * (1 - 2.0 / np.hypot(2.0, 0.5))
    assert equivalent_solid_angle([disc], np.zeros(3)) == pytest.approx(solid_angle, rel=5e-3)


def test_penumbra_of_a_flag_is_as_wide_as_the_source_makes_it(tmp_path):
    """Similar triangles: aperture x (wall - flag) / flag; its middle where the straight line over the edge goes."""
    for aperture in (0.1, 0.3):
        head = f"{{candela: 10000, beam: 60 deg, field: 80 deg, aperture: {aperture} m}}"
        made = light(tmp_path, "{flag: 2x2 m, away: 2, up: -1.0}", head)
        height = np.linspace(-0.5, 0.5, 401)
        places = np.stack([np.full(401, 6.0), np.zeros(401), height], axis=1)
        share = lux_at(made.emitters, places, [-1.0, 0, 0], rays=256)
        share = share / lux_at(light(tmp_path, "", head).emitters, places, [-1.0, 0, 0], rays=256)
        between = height[(share > 0.01) & (share < 0.99)]
        # Between 1 and 99 per cent lies 0.94 of a disc's breadth.
        assert between.max() - between.min() == pytest.approx(0.94 * aperture * 2.0, rel=0.12)
        assert height[np.argmin(abs(share - 0.5))] == pytest.approx(0.0, abs=0.06 * aperture * 2.0)


def test_snoot_cuts_where_its_end_does(tmp_path):
    """The middle of the edge is where a line from the middle of the aperture goes by the rim."""
    head = "{candela: 1e4, beam: 60 deg, field: 80 deg, aperture: 4 cm}"
    made = light(tmp_path, "{snoot: {length: 40 cm, opening: 12 cm}}", head)
    edge = 10.0 * tan(np.arctan(0.06 / 0.4))
    inside, outside = edge - 10.0 * 0.02 / 0.4 - 0.15, edge + 10.0 * 0.02 / 0.4 + 0.15
    lux = lux_at(made.emitters, [[10, 0, 0], [10, inside, 0], [10, outside, 0]], [-1.0, 0, 0])
    assert lux[1] > 0.5 * lux[0]
    assert lux[2] == 0.0


def test_box_lets_nothing_out_but_by_its_front(tmp_path):
    made = light(tmp_path, "{box: 90x60 cm, cloth: full-grid, depth: 40 cm, grid: 40 deg}")
    lux = lux_at(made.emitters, [[5, 0, 0], [5, 5 * tan(radians(19)), 0], [5, 3, 0], [-3, 0, 0], [0.2, 2, 0]],
                 [[-1, 0, 0], [-1, 0, 0], [-1, 0, 0], [1, 0, 0], [0, -1, 0]])  # fmt: skip
    assert lux[0] > lux[1] > 0.0
    assert lux[2:] == pytest.approx(0.0, abs=1e-9)


def test_enclosure_loses_no_more_than_its_walls_and_cloth_take():
    """Flux balance: what falls on the front, less what it sends back, plus what the sides keep, is the head's lumens."""
    size, depth, passes, lumens, at_once = (0.9, 0.6), 0.4, 0.47, 1000.0, 600.0
    again = inside_again(lumens, at_once, size=size, depth=depth, passes=passes)
    front, sides = 0.54, depth * 1.5
    on_sides = again / (front / (front + sides) * SIDES)
    taken = (1 - SIDES) * on_sides + (passes + TAKEN) * (at_once + again)
    assert taken == pytest.approx(lumens, rel=1e-9)


@pytest.mark.parametrize("share", [0.2, 0.4, 0.6])
def test_pattern_is_as_open_as_asked(share):
    pattern = irregular((1.2, 0.9), open_share=share, seed=3)
    x, y = np.meshgrid(np.linspace(-1, 1, 301), np.linspace(-1, 1, 301))
    holes = pattern.holes(x.ravel().astype(np.float32), y.ravel().astype(np.float32))
    assert holes.mean() == pytest.approx(share, abs=0.02)
    other = irregular((1.2, 0.9), open_share=share, seed=4).holes(x.ravel(), y.ravel())
    assert (holes != other).any()


def test_material_as_a_board_is_its_reflectance():
    assert bounce("plaster").diffuse == pytest.approx(0.70, rel=1e-3)


def test_figures_of_a_grid():
    grid = np.full((24, 24), 1.0)
    assert (fill_of(grid), evenness_of(grid)) == (1.0, 0.0)
    grid[:, 0] = grid[:, -1] = grid[0] = grid[-1] = 0.25
    assert evenness_of(grid) == pytest.approx(2.0)
    assert fill_of(grid) == pytest.approx((22 / 24) ** 2)


def test_nets_and_solids_soften_nothing():
    assert all(usual().cloths[name].spread == 0.0 for name in ("single-net", "double-net", "solid"))


def test_faults(tmp_path):
    def words(item: str) -> list[str]:
        head = "{name: key, head: tungsten-fresnel-650, at: [0, 0, 2], aim: [3, 0, 1], through: "
        return found(tmp_path, f"fixtures:\n  - {head}[{item}]}}\n")

    assert words("{bounce: 2x2 m, of: muslni, to: [0, 5, 0]}")[0].endswith(
        'no bounce "muslni"; did you mean "muslin"?'
    )
    assert words("{bounce: 2x2 m, of: muslin}") == [
        "fixtures[0].through[0].to: is missing: say what the light goes on to, such as to: Mara.face"
    ]
    assert "exactly one of" in words("{frame: 2x2 m, cloth: muslin, snoot: {length: 1, opening: 1}}")[0]
    assert (
        "tilt: tilt goes with frame, flag or cucoloris"
        in words("{snoot: {length: 30 cm, opening: 8 cm}, tilt: 10 deg}")[0]
    )
