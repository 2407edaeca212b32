"""The night sky: how bright it is, how its brightness is spread, what it gives, and what a camera sees in it."""

from __future__ import annotations

from math import cos, log2, log10, pi, radians, sin

import numpy as np
import pytest

from preview.camera.view import View, look
from preview.light.emitters.distant import Distant
from preview.light.emitters.dome import Dome, TownGlow
from preview.light.emitters.stars import COUNTED_TO, COUNTS, airmass, magnitudes, star_light, stars
from preview.light.light import Emitter
from preview.light.lights import lights_of
from preview.script.models.sky import CLEAR_HORIZON
from preview.trace.sampling import spread_points
from tests.script.scenes import SMALL, scene
from tests.trace.metering import Floats, lux_at

NEAR = TownGlow(azimuth=radians(200), stops=3.0, width=radians(60))
FAR = TownGlow(azimuth=radians(310), stops=5.0, width=radians(12))
SKIES = [
    Dome(0.3),
    Dome(0.3, CLEAR_HORIZON),
    Dome(0.3, -1.5),
    Dome(0.3, 0.0, NEAR),
    Dome(0.3, 1.2, TownGlow(0.4, 2.0, radians(120))),
    Dome(0.3, CLEAR_HORIZON, FAR),
]
ORIGIN = np.zeros((3, 1), np.float32)


def emitter_of(folder, words: str) -> Emitter:
    """What the one fixture of a script shines with."""
    (light,) = lights_of(scene(folder, f"fixtures:\n  - {{name: it, {words}}}\n{SMALL}"))
    (emitter,) = light.emitters
    return emitter


def whole_sky(rings: int = 300, turns: int = 720) -> tuple[Floats, float]:
    """Directions (3, n) above the horizon, each of the same solid angle, and that solid angle."""
    sine, turn = np.meshgrid((np.arange(rings) + 0.5) / rings, 2 * pi * (np.arange(turns) + 0.5) / turns)
    level = np.sqrt(1 - sine**2)
    directions = np.stack([level * np.sin(turn), level * np.cos(turn), sine]).reshape(3, -1)
    return directions, 2 * pi / directions.shape[1]


def seen(emitter: Emitter, directions: Floats) -> Floats:
    towards = directions.astype(np.float32)
    luminance, distance = emitter.shining(np.broadcast_to(ORIGIN, towards.shape), towards)
    assert np.isinf(distance).all()
    return luminance.astype(np.float64)


def at(*, azimuth: float, elevation: float) -> Floats:
    return np.array([[sin(azimuth) * cos(elevation)], [cos(azimuth) * cos(elevation)], [sin(elevation)]])


@pytest.mark.parametrize("sky", SKIES)
def test_every_sky_gives_the_lux_that_is_asked_of_it(sky: Dome) -> None:
    """The definition of illuminance: the sum over the sky of luminance, cosine and solid angle; 1 per cent."""
    directions, solid_angle = whole_sky()
    assert (seen(sky, directions) * directions[2]).sum() * solid_angle == pytest.approx(0.3, rel=2e-3)


@pytest.mark.parametrize("facing", [(0, 0, 1), (0, -1, 0), (1, 0, 0), (-0.6, 0.0, 0.8), (0, 0, -1)])
@pytest.mark.parametrize("sky", SKIES)
def test_what_arrives_is_what_is_seen(sky: Dome, facing: tuple[float, float, float]) -> None:
    """A receptor's reading against the sum over the sky of what shines, whichever way it faces."""
    directions, solid_angle = whole_sky()
    cosine = np.maximum(np.array(facing) @ directions, 0.0)
    expected = (seen(sky, directions) * cosine).sum() * solid_angle
    assert lux_at(sky, [3, 4, 1], facing, rays=16384)[0] == pytest.approx(expected, rel=5e-3, abs=1e-9)


@pytest.mark.parametrize("sky", SKIES)
def test_the_rule_of_a_sky_holds_on_open_ground(sky: Dome) -> None:
    u = sky.rule().T
    up = np.broadcast_to(np.array([[0], [0], [1]], np.float32), (3, u.shape[1]))
    direction, _, lux = sky.arrive(np.zeros_like(up), up, u)
    assert (lux * direction[2]).mean() == pytest.approx(0.3, rel=0.01)


@pytest.mark.parametrize(
    ("brightness", "luminance", "tolerance"),
    [(21.31, 323.16e-6, 1e-3), (21.30, 326.15e-6, 1e-3), (22.0, 1.7191e-4, 5e-3)],
)
def test_brightness_overhead(brightness: float, luminance: float, tolerance: float, tmp_path) -> None:
    """Sky quality meters' published conversion; at 22 the nanolamberts of Krisciunas and Schaefer 1991."""
    for more in ("", ", horizon: 2", ", glow: {azimuth: 90, stops: 3, width: 120}"):
        sky = emitter_of(tmp_path, f"sky: {{brightness: {brightness}{more}}}")
        assert seen(sky, at(azimuth=1.0, elevation=pi / 2))[0] == pytest.approx(luminance, rel=tolerance)


def test_a_dark_sky_and_the_usual_lux(tmp_path) -> None:
    """Lists of illuminances: 0.002 lx under a clear night with airglow; 21.6 to 22 overhead give about half of that."""
    plain = emitter_of(tmp_path, "sky: ")
    assert lux_at(plain, [0, 0, 0], [0, 0, 1])[0] == pytest.approx(0.002, rel=0.01)
    dark = emitter_of(tmp_path, "sky: {brightness: 21.6}")
    assert 0.0005 < lux_at(dark, [0, 0, 0], [0, 0, 1])[0] < 0.002


def garstang(zenith_distance: float, *, lost: float = 0.172) -> float:
    """Natural sky brightness over that overhead, after Garstang 1989 and Krisciunas and Schaefer 1991."""
    path = (1 - 0.96 * sin(zenith_distance) ** 2) ** -0.5
    return (0.4 + 0.6 * path) * 10 ** (-0.4 * lost * (path - 1))


def test_the_usual_horizon_is_that_of_a_natural_sky(tmp_path) -> None:
    sky = emitter_of(tmp_path, "sky: ")
    overhead = seen(sky, at(azimuth=0, elevation=pi / 2))[0]
    for degrees in (15, 30, 45, 60, 75, 85, 90):
        there = seen(sky, at(azimuth=1.0, elevation=max(radians(90 - degrees), 1e-4)))[0]
        assert log2(there / overhead) == pytest.approx(log2(garstang(radians(degrees))), abs=0.05)


@pytest.mark.parametrize(
    ("degrees", "brighter"), [(10, 0.01), (20, 0.03), (30, 0.08), (40, 0.14), (50, 0.24)]
)
def test_the_usual_sky_against_a_measured_site(degrees: int, brighter: float, tmp_path) -> None:
    """F. Patat 2003, A&A 400, 1183, table C.1: zenith corrections in V magnitudes of a dark site."""
    sky = emitter_of(tmp_path, "sky: ")
    there, overhead = (seen(sky, at(azimuth=2.0, elevation=radians(90 - z)))[0] for z in (degrees, 0))
    assert 2.5 * log10(there / overhead) == pytest.approx(brighter, abs=0.05)


@pytest.mark.parametrize("stops", [-1.5, 0.85, 3.0])
def test_horizon_in_stops(stops: float, tmp_path) -> None:
    sky = emitter_of(tmp_path, f"sky: {{lux: 0.2, horizon: {stops}}}")
    overhead, low = (seen(sky, at(azimuth=0.3, elevation=e))[0] for e in (pi / 2, 1e-4))
    assert log2(low / overhead) == pytest.approx(stops, abs=0.01)


def test_a_town_glows_where_it_lies(tmp_path) -> None:
    """By its definition: so many stops at the horizon, half of what it adds at half its width and a quarter its height."""
    sky = emitter_of(
        tmp_path, "sky: {lux: 0.2, horizon: 1, glow: {azimuth: 120 deg, stops: 3, width: 40 deg}}"
    )
    middle, beside, above, away = (
        seen(sky, at(azimuth=radians(a), elevation=radians(e) + 1e-4))[0]
        for a, e in ((120, 0), (140, 0), (120, 10), (300, 0))
    )
    assert log2(middle / away) == pytest.approx(3.0, abs=0.01)
    assert (beside - away) / (middle - away) == pytest.approx(0.5, abs=0.01)
    bare = seen(Dome(sky.lux, 1.0), at(azimuth=0, elevation=radians(10)))[0]
    bare *= away / seen(Dome(sky.lux, 1.0), at(azimuth=0, elevation=1e-4))[0]
    assert (above - bare) / (middle - away) == pytest.approx(0.5, abs=0.01)
    assert lux_at(sky, [0, 0, 0], at(azimuth=radians(120), elevation=0.0).T)[0] > (
        1.5 * lux_at(sky, [0, 0, 0], at(azimuth=radians(300), elevation=0.0).T)[0]
    )


def test_the_sky_ends_below_the_horizon() -> None:
    sky = Dome(0.3, 1.0, NEAR)
    below = at(azimuth=0, elevation=-0.01).astype(np.float32)
    assert sky.shining(ORIGIN, below)[0][0] == 0.0
    assert sky.background(below)[0] == 0.0
    level = sky.background(at(azimuth=0, elevation=0.0).astype(np.float32), dip=0.02)[0]
    assert sky.background(below, dip=0.02)[0] == pytest.approx(level, rel=2e-2)


# What the camera sees: frames of a pinhole, every pixel by its middle.


def frame(focal_mm: float, *, azimuth: float, elevation: float, width: int = 640) -> tuple[View, int, int]:
    view = look(
        np.zeros(3),
        at(azimuth=azimuth, elevation=elevation)[:, 0],
        roll=0.0,
        tan_half_width=24.9 / 2 / focal_mm,
        tan_half_height=14.0 / 2 / focal_mm,
    )
    return view, width, round(width * 14.0 / 24.9)


def pixels(view: View, width: int, height: int) -> tuple[Floats, Floats, float]:
    """Directions (3, n) and solid angles (n,) of a frame's pixels, and the angle of one in the middle."""
    v, u = (np.mgrid[0:height, 0:width] + 0.5) / np.array([height, width])[:, None, None]
    directions = view.rays(u.ravel().astype(np.float32), v.ravel().astype(np.float32))
    pixel = 2 * view.tan_half_width / width
    along = view.forward @ directions.astype(np.float64)
    return directions, pixel * (2 * view.tan_half_height / height) * along**3, pixel


@pytest.mark.parametrize(("focal", "width"), [(22.0, 1280), (50.0, 640), (200.0, 320), (22.0, 160)])
def test_the_moon_in_frame(focal: float, width: int) -> None:
    """Full moon above the air: 0.31331 lx from a disc 0.51793 deg wide are 4879 cd/m2, after Krisciunas and Schaefer 1991.

    NASA's albedo of 0.12 under 133 klx gives 5084. In the frame its disc has that size and sends that much.
    """
    towards = at(azimuth=0.4, elevation=0.35)[:, 0]
    moon = Distant(towards, 0.31331, radians(0.51793) / 2, visible=True)
    view, width, height = frame(focal, azimuth=0.40, elevation=0.34, width=width)
    directions, solid_angle, pixel = pixels(view, width, height)
    image = moon.background(directions, pixel=pixel)
    assert image is not None
    assert (image * solid_angle).sum() == pytest.approx(0.31331, rel=0.02 if pixel < moon.half_angle else 0.1)
    if focal > 40:
        assert image.max() == pytest.approx(4879, rel=0.01)
        assert image.max() == pytest.approx(0.12 * 133e3 / pi, rel=0.15)
        across = 2 * np.sqrt(solid_angle[image > image.max() / 2].sum() / pi)
        assert np.degrees(across) == pytest.approx(0.51793, rel=0.01)


def test_the_disc_shines_as_it_arrives() -> None:
    """What the rays of a cap see of it sums to its lux, and no ray beside it sees any."""
    towards = at(azimuth=2.0, elevation=0.6)[:, 0]
    soft = Distant(towards, 2.0, radians(10))
    directions, solid_angle = whole_sky(1200, 2400)
    luminance = seen(soft, directions)
    cosine = towards @ directions
    assert (luminance * cosine).sum() * solid_angle == pytest.approx(2.0, rel=2e-3)
    assert ((luminance > 0) == (cosine >= cos(radians(10)))).mean() > 0.99999
    u = spread_points(4096)
    facing = np.broadcast_to(towards.astype(np.float32)[:, None], (3, 4096))
    direction, _, lux = soft.arrive(np.zeros((3, 4096), np.float32), facing, u)
    assert (lux * (towards @ direction)).mean() == pytest.approx(2.0, rel=2e-3)
    assert (soft.shining(facing, direction)[0] > 0).mean() > 0.999


@pytest.mark.parametrize(
    ("words", "shown"),
    [
        ("", True),
        (", size: 1 deg", True),
        (", size: 10 deg", False),
        (", size: 0.1 deg", False),
        (", visible: no", False),
        (", size: 10 deg, visible: yes", True),
    ],
)
def test_which_moons_are_seen(words: str, shown: bool, tmp_path) -> None:
    moon = emitter_of(tmp_path, f"moon: {{azimuth: 20, elevation: 30{words}}}")
    found = moon.background(at(azimuth=radians(20), elevation=radians(30)).astype(np.float32), pixel=1e-3)
    assert (found is not None and found[0] > 0.0) == shown


def test_as_many_stars_as_there_are() -> None:
    """Half of the Hipparcos counts at every magnitude (OEIS A053406); about 4500 to 6.5, half of the 9096 of the
    Bright Star Catalogue (Hoffleit and Jaschek 1982), within 5 per cent."""
    found = magnitudes()
    for magnitude, count in zip(COUNTED_TO[1:-1], COUNTS[1:-1], strict=True):
        assert abs((found < magnitude).sum() - count / 2) <= 1
    assert len(found) == pytest.approx(9096 / 2, rel=0.05)
    assert len(stars()[1]) == len(found)


def test_light_of_the_stars() -> None:
    """At the ground a star of magnitude 0 gives 2.08 microlux (lists of illuminances); all stars, of which the eye
    sees the brightest, 0.0002 lx on a clear night without airglow."""
    directions, lux = stars()
    overhead = lux * 10 ** (0.4 * magnitudes())
    assert overhead[directions[2] > 0.95].max() == pytest.approx(2.08e-6, rel=0.05)
    assert 2e-5 < (lux * directions[2]).sum() < 2e-4


@pytest.mark.parametrize(("degrees", "expected"), [(90, 1.0), (30, 1.995), (10, 5.59), (0, 38.0)])
def test_air_that_is_looked_through(degrees: float, expected: float) -> None:
    """F. Kasten and A. T. Young 1989: 1 overhead, about 38 at the horizon. Values from memory of its table."""
    assert airmass(np.array([radians(degrees)]))[0] == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize(("focal", "width"), [(14.0, 320), (22.0, 1280), (50.0, 1280), (135.0, 640)])
def test_stars_in_frame_give_their_light(focal: float, width: int) -> None:
    """The frame's luminance over its solid angle is the illuminance of the stars in it, whatever the pixels."""
    view, width, height = frame(focal, azimuth=2.5, elevation=1.0, width=width)
    directions, solid_angle, pixel = pixels(view, width, height)
    image = star_light(directions, pixel=pixel)
    place, lux = stars()
    uv, depth = view.project(place.T)
    within = (depth > 0) & ((uv > 0.0) & (uv < 1.0)).all(axis=1)
    assert within.sum() > 3
    assert (image * solid_angle).sum() == pytest.approx(lux[within].sum(), rel=0.04)


def test_stars_are_found_wherever_they_stand() -> None:
    """Every star shows its own peak at its own place, whatever the cells of the chart."""
    place, lux = stars()
    for pixel in (2e-5, 4e-4, 3e-3):
        found = star_light(place.astype(np.float32), pixel=pixel)
        assert (found >= 0.98 * 3 * lux / (pi * (1.25 * pixel) ** 2)).all()


def test_stars_are_only_seen(tmp_path) -> None:
    """They add nothing to what the sky gives, and nothing where no pixel is told of: the sky's lux has them in it."""
    starry, plain = (emitter_of(tmp_path, f"sky: {{lux: 0.01, stars: {words}}}") for words in ("yes", "no"))
    place = stars()[0].astype(np.float32)
    assert lux_at(starry, [0, 0, 0], [0, 0, 1])[0] == lux_at(plain, [0, 0, 0], [0, 0, 1])[0]
    assert (starry.background(place) == plain.background(place)).all()
    assert (starry.background(place, pixel=1e-3) > plain.background(place, pixel=1e-3)).mean() > 0.95
