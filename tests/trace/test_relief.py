"""Relief against height fields of the same noise, built and lit numerically, and against the flat surface's light."""

from __future__ import annotations

import numpy as np
import pytest

from preview.build.mesh import flat
from preview.build.surfaces import PATTERNS, matt, surfaces_of
from preview.build.world import gather
from preview.camera.view import look
from preview.light.emitters.distant import Distant
from preview.light.light import Light
from preview.light.spaces import ACESCG
from preview.trace.geometry import Geometry, Points
from preview.trace.mottle import noise_slope, value_noise
from preview.trace.plate import trace
from preview.trace.quality import Quality
from preview.trace.raking import lit_share, share
from preview.trace.relief import DRAWN, HEIGHT, OCTAVES, TURNS, slopes
from preview.trace.stage import Stage
from preview.trade.catalogue import material

SIZE = 0.05


def plane(count: int, seed: int = 1) -> np.ndarray:
    places = np.zeros((3, count), np.float32)
    places[:2] = np.random.default_rng(seed).random((2, count)) * 3.0
    places[2] = 0.013
    return places


def up(count: int) -> np.ndarray:
    normal = np.zeros((3, count), np.float32)
    normal[2] = 1.0
    return normal


def relief_on(places: np.ndarray, ratio: float, pattern: str = "plain", **more: np.ndarray):  # type: ignore[no-untyped-def]
    count = places.shape[1]
    relief = np.tile(np.array([[ratio * SIZE], [SIZE]], np.float32), (1, count))
    kind = np.full(count, PATTERNS.index(pattern), np.int8)  # type: ignore[arg-type]
    return slopes(places, up(count), relief, kind, **more)


def points_with(slope: np.ndarray, spread: np.ndarray, places: np.ndarray) -> Points:
    count = places.shape[1]
    zero, one = np.zeros(count, np.float32), np.ones(count, np.float32)
    grey = np.full((3, count), 0.2, np.float32)
    part = np.zeros(count, np.int32)
    normal = up(count)
    return Points(places, places, normal, normal, slope, spread, grey, zero, one, zero, part)


def height_at(places: np.ndarray, ratio: float) -> np.ndarray:
    """The height field whose slopes these are, metres, without pattern."""
    total = np.zeros(places.shape[1])
    for (finer, high), turn in zip(OCTAVES, TURNS, strict=True):
        here = (turn @ (places / np.float32(SIZE / finer))) + np.float32(finer)
        total += high / HEIGHT * ratio * SIZE * value_noise(here)
    return total


def test_slope_of_the_noise_is_its_gradient() -> None:
    """By central differences."""
    places = (np.random.default_rng(2).random((3, 20_000)) * 32).astype(np.float32)
    slope, step = noise_slope(places), 1e-3
    for axis in range(3):
        offset = np.zeros((3, 1), np.float32)
        offset[axis] = step
        measured = (value_noise(places + offset) - value_noise(places - offset)) / (2 * step)
        assert np.abs(measured - slope[axis]).mean() < 1e-3


def test_relief_has_the_height_it_says() -> None:
    places = plane(100_000)
    assert height_at(places, 0.2).std() == pytest.approx(0.2 * SIZE, rel=0.02)


def test_slope_is_that_of_the_height_field() -> None:
    places, step = plane(20_000), 1e-4
    slope, _ = relief_on(places, 0.2)
    for axis in (0, 1):
        offset = np.zeros((3, 1), np.float32)
        offset[axis] = step
        measured = (height_at(places + offset, 0.2) - height_at(places - offset, 0.2)) / (2 * step)
        assert np.corrcoef(measured, slope[axis])[0, 1] > 0.999
        assert measured.std() == pytest.approx(slope[axis].std(), rel=0.01)


@pytest.mark.parametrize("ratio", [0.05, 0.15, 0.3])
def test_spread_is_the_deviation_of_slopes(ratio: float) -> None:
    slope, spread = relief_on(plane(100_000), ratio)
    assert spread[0] == pytest.approx(slope[:2].std(), rel=0.02)


@pytest.mark.parametrize("ratio", [0.05, 0.15, 0.3])
@pytest.mark.parametrize("elevation", [90.0, 60.0, 30.0, 15.0, 8.0])
def test_light_on_many_hills_is_that_on_the_flat(ratio: float, elevation: float) -> None:
    """What arrives at a plane is neither more nor less for the shape of it: conservation of energy."""
    places = plane(60_000)
    slope, spread = relief_on(places, ratio)
    towards = np.array([np.cos(np.radians(elevation)), 0.0, np.sin(np.radians(elevation))])
    part = share(
        points_with(slope, spread, places), Distant(towards, 1.0, 0.004), np.ones(places.shape[1], np.float32)
    )
    assert part.mean() == pytest.approx(1.0, abs=0.015)
    assert part.min() >= 0.0
    assert (part.std() > 0.02) == (elevation < 90.0)


@pytest.mark.parametrize("elevation", [45.0, 25.0, 15.0])
def test_hills_hide_each_other_as_in_a_height_field(elevation: float) -> None:
    """Against a height field of the noise, each place marched towards the light: the share in its own and cast shadow."""
    count, ratio = 4000, 0.2
    places = plane(count, seed=3)
    slope, spread = relief_on(places, ratio)
    rise = np.tan(np.radians(elevation))
    turned = rise - slope[0] > 0.0
    start = height_at(places, ratio)
    hidden = ~turned
    for along in np.linspace(0.002, 0.2, 100):
        further = places + np.array([[along], [0.0], [0.0]], np.float32)
        hidden |= height_at(further, ratio) > start + rise * along
    # Light on what is seen of it, a level metre: by conservation the sine of the elevation.
    flux = np.where(hidden, 0.0, np.maximum(rise - slope[0], 0.0)).mean()
    assert flux == pytest.approx(rise, rel=0.06)
    smith = np.maximum(rise - slope[0], 0.0) * lit_share(
        np.full(count, np.sin(np.radians(elevation)), np.float32), spread
    )
    assert smith.mean() == pytest.approx(flux, rel=0.06)


def test_smith_against_gaussian_slopes() -> None:
    """Smith's share times the mean of what slopes turned to the light get is the flat surface's light, in closed form."""
    from scipy.stats import norm

    for spread in (0.1, 0.3, 0.6):
        for cosine in (0.05, 0.2, 0.5, 0.9):
            tangent = cosine / np.sqrt(1 - cosine**2)
            mean = tangent * norm.cdf(tangent / spread) + spread * norm.pdf(tangent / spread)
            found = float(lit_share(np.float32([cosine]), np.float32([spread]))[0])
            assert found * mean == pytest.approx(tangent, rel=0.01)


def test_relief_fades_with_the_footprint_to_the_flat_light() -> None:
    places = plane(20_000)
    towards = np.array([np.cos(0.3), 0.0, np.sin(0.3)])
    contrast = []
    for size in (0.001, 0.01, 0.03, 0.06, 0.2):
        slope, spread = relief_on(places, 0.2, footprint=np.full(20_000, size, np.float32))
        part = share(
            points_with(slope, spread, places),
            Distant(towards, 1.0, 0.004),
            np.ones(places.shape[1], np.float32),
        )
        assert part.mean() == pytest.approx(1.0, abs=0.02)
        contrast.append(float(part.std()))
    assert contrast == sorted(contrast, reverse=True)
    assert contrast[0] > 0.4
    assert contrast[-1] == 0.0


def test_light_from_below_the_surface_gives_nothing() -> None:
    """The shadow ray leaves on the triangle's own side: what a hill's slope would turn to is in its way."""
    assert field_under(-8.0).max() == 0.0


def test_raked_ground_is_rough_and_as_bright_as_flat() -> None:
    """In a picture: the mean luminance is E rho / pi with the sine of the elevation, within a few per cent of it."""
    lit = field_under(20.0)
    expected = 10.0 * np.sin(np.radians(20.0)) * material("gravel").reflectance / np.pi
    assert lit.mean() == pytest.approx(expected, rel=0.04)
    assert lit.std() > 0.5 * lit.mean()


def field_under(elevation: float) -> np.ndarray:
    """Luminance of a field of gravel seen from above, lit by a distant source of 10 lx at that elevation."""
    corners = np.array([[-3, -3, 0], [3, -3, 0], [3, 3, 0], [-3, 3, 0]], float)
    world = gather([flat("field", "gravel", corners[[[0, 1, 2], [0, 2, 3]]])])
    nothing = Geometry(gather([]), matt(np.zeros((0, 3), np.float32)))
    stage = Stage(Geometry(world, surfaces_of(world)), nothing, nothing, ())
    view = look(np.array([0.0, -0.2, 1.2]), np.zeros(3), roll=0.0, tan_half_width=0.5, tan_half_height=0.5)
    rise = np.radians(elevation)
    light = Distant(np.array([np.cos(rise), 0.0, np.sin(rise)]), 10.0, 0.004)
    lights = [Light("moon", (light,), 1.0, (1.0, 1.0, 1.0))]
    plate = trace(stage, lights, view, width=160, height=160, quality=Quality(bounces=0))
    return np.asarray(plate.layers[0] @ ACESCG.luminance)


def test_furrows_run_up_the_trunk() -> None:
    places = plane(20_000)
    places[2] = places[1]
    places[1] = 0.0
    count = places.shape[1]
    relief = np.tile(np.array([[0.01], [SIZE]], np.float32), (1, count))
    south = np.zeros((3, count), np.float32)
    south[1] = -1.0
    slope, _ = slopes(places, south, relief, np.full(count, PATTERNS.index("furrowed"), np.int8))
    assert slope[0].std() > 2.5 * slope[2].std()


def test_boards_are_brushed_along_their_grain() -> None:
    places = plane(20_000)
    along = np.zeros_like(places)
    along[1] = 1.0
    slope, _ = relief_on(places, 0.1, "boards", along=along)
    assert slope[0].std() > 4.0 * slope[1].std()
    assert DRAWN[PATTERNS.index("boards")] > 4.0
