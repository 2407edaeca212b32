"""The coat's lobe against Fresnel's textbook values, quadrature, and the microfacet BSDFs of Mitsuba 3 (scalar_rgb)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from preview.trace import microfacet
from preview.trace.microfacet import fresnel, half_width, kept, lobe, sampled

ALPHAS = (0.02, 0.1, 0.3, 0.6)
UP = np.array([0.0, 0.0, 1.0])


def many(vector: np.ndarray, count: int) -> np.ndarray:
    return np.repeat(np.asarray(vector, np.float32)[:, None], count, axis=1)


def scalars(value: float, count: int) -> np.ndarray:
    return np.full(count, value, np.float32)


def way(polar_deg: float, turn_deg: float) -> np.ndarray:
    polar, turn = np.radians(polar_deg), np.radians(turn_deg)
    return np.array([np.sin(polar) * np.cos(turn), np.sin(polar) * np.sin(turn), np.cos(polar)])


def smith(cosine: float, alpha: float) -> float:
    """Smith's Lambda of GGX (Heitz 2014, equation 72)."""
    return 0.5 * (np.sqrt(1.0 + alpha**2 * (1.0 / cosine**2 - 1.0)) - 1.0)


@pytest.mark.parametrize(
    ("degrees", "ior", "expected"),
    [
        pytest.param(0.0, 1.5, 0.04, id="((n - 1) / (n + 1))^2, glass"),
        pytest.param(0.0, 1.333, 0.020373, id="((n - 1) / (n + 1))^2, water"),
        pytest.param(np.degrees(np.arctan(1.5)), 1.5, 0.0739645, id="Brewster: half ((n2 - 1) / (n2 + 1))^2"),
        pytest.param(45.0, 1.5, (0.0920134 + 0.0920134**2) / 2, id="45 deg: along is across squared"),
        pytest.param(90.0, 1.333, 1.0, id="grazing"),
        pytest.param(
            30.0,
            1 / 1.5,
            (0.105775 + 0.004607) / 2,
            id="from inside: (sin 18.59 / sin 78.59)^2, tan the same",
        ),
        pytest.param(42.0, 1 / 1.5, 1.0, id="from inside, past 41.8 deg: total"),
        pytest.param(90.0, 1.0, 0.0, id="no boundary"),
    ],
)
def test_fresnel(degrees, ior, expected):
    """E. Hecht, Optics, section 4.6: values of the formulae there, worked by hand."""
    cosine = scalars(np.cos(np.radians(degrees)), 1)
    assert fresnel(cosine, scalars(ior, 1))[0] == pytest.approx(expected, rel=2e-3, abs=1e-6)


@pytest.mark.parametrize("alpha", ALPHAS)
@pytest.mark.parametrize("ior", [1.333, 1.5])
def test_lobe_is_that_of_a_rough_plastic(alpha, ior):
    """Mitsuba's `roughplastic`, black below. It masks the two ways apart, here they are correlated: Heitz 2014, 99."""
    mi = pytest.importorskip("mitsuba")
    mi.set_variant("scalar_rgb")
    bsdf = mi.load_dict(
        {
            "type": "roughplastic",
            "distribution": "ggx",
            "alpha": alpha,
            "int_ior": ior,
            "ext_ior": 1.0,
            "diffuse_reflectance": {"type": "rgb", "value": 0.0},
        }
    )
    surface = mi.SurfaceInteraction3f()
    context = mi.BSDFContext()
    compared = 0
    for eye_deg in (0.0, 20.0, 45.0, 70.0, 85.0):
        eye = way(eye_deg, 0.0)
        surface.wi = mi.Vector3f(*eye)
        for light_deg in (1.0, 19.0, 46.0, 60.0, 72.0, 86.0):
            for turn_deg in (180.0, 177.0, 150.0, 90.0, 10.0):
                light = way(light_deg, turn_deg)
                theirs = bsdf.eval(context, surface, mi.Vector3f(*light))[0]
                seen, lit = smith(eye[2], alpha), smith(light[2], alpha)
                theirs *= (1.0 + seen) * (1.0 + lit) / (1.0 + seen + lit)
                ours = light[2] * lobe(
                    many(light, 1), many(eye, 1), many(UP, 1), scalars(alpha, 1), scalars(ior, 1)
                )
                assert ours[0] == pytest.approx(theirs, rel=3e-3, abs=1e-6)
                compared += theirs > 1e-4
    assert compared > 30


@pytest.mark.parametrize("alpha", [0.05, 0.2, 0.5, 0.9])
@pytest.mark.parametrize("eye_deg", [0.0, 45.0, 80.0])
@pytest.mark.parametrize("ior", [1.5, 1e6])
def test_mean_weight_is_the_integral_of_the_lobe(alpha, eye_deg, ior):
    """Midpoint quadrature of lobe x cosine over half vectors; an endless ior reflects all, so it is the white furnace."""
    eye = way(eye_deg, 30.0)
    count = 400
    # Half vectors as dense as GGX's own facets; the light is their reflection.
    share = (np.arange(count) + 0.5) / count
    tangent = np.repeat(alpha * np.sqrt(share / (1.0 - share)), count)
    turn = np.tile(2.0 * np.pi * share, count)
    cosine = 1.0 / np.sqrt(1.0 + tangent**2)
    half = np.stack([tangent * cosine * np.cos(turn), tangent * cosine * np.sin(turn), cosine])
    facing = eye @ half
    light = 2.0 * facing * half - eye[:, None]
    # share = tan^2 / (tan^2 + alpha^2), so the solid angle of each half vector; the light's is 4 (eye . half) times it.
    area = 2.0 * np.pi * cosine**3 * (tangent**2 + alpha**2) ** 2 / (2.0 * alpha**2) / count**2
    open_ = (facing > 0.0) & (light[2] > 0.0)
    n = int(open_.sum())
    values = lobe(
        light[:, open_].astype(np.float32), many(eye, n), many(UP, n), scalars(alpha, n), scalars(ior, n)
    )
    integral = float((values * light[2, open_] * 4.0 * facing[open_] * area[open_]).sum())
    samples = 200_000
    u = np.random.default_rng(7).random((2, samples)).astype(np.float32)
    direction, weight = sampled(
        many(eye, samples), many(UP, samples), scalars(alpha, samples), scalars(ior, samples), u
    )
    assert weight.mean(dtype=np.float64) == pytest.approx(integral, rel=6e-3)
    assert weight.max() <= 1.0 + 1e-6
    assert np.linalg.norm(direction, axis=0) == pytest.approx(1.0, abs=1e-4)


@pytest.mark.parametrize(("alpha", "eye_deg"), [(0.3, 50.0), (0.6, 20.0), (0.15, 78.0)])
def test_directions_follow_the_visible_normals(alpha, eye_deg):
    """Chi-square against the density that Mitsuba's `roughconductor` (GGX, visible normals) states for its own."""
    mi = pytest.importorskip("mitsuba")
    mi.set_variant("scalar_rgb")
    bsdf = mi.load_dict({"type": "roughconductor", "distribution": "ggx", "alpha": alpha})
    surface, context = mi.SurfaceInteraction3f(), mi.BSDFContext()
    eye = way(eye_deg, 0.0)
    surface.wi = mi.Vector3f(*eye)
    samples, rings, turns, fine = 60_000, 10, 16, 8
    z = (np.arange(rings * fine) + 0.5) / (rings * fine)
    turn = 2.0 * np.pi * (np.arange(turns * fine) + 0.5) / (turns * fine)
    density = np.array(
        [
            bsdf.pdf(
                context,
                surface,
                mi.Vector3f(np.sqrt(1 - h * h) * np.cos(t), np.sqrt(1 - h * h) * np.sin(t), h),
            )
            for h in z
            for t in turn
        ]
    ).reshape(rings, fine, turns, fine)
    expected = density.mean(axis=(1, 3)).ravel() * (2.0 * np.pi / (rings * turns)) * samples
    u = np.random.default_rng(11).random((2, samples)).astype(np.float32)
    direction, _ = sampled(
        many(eye, samples), many(UP, samples), scalars(alpha, samples), scalars(1.5, samples), u
    )
    above = direction[:, direction[2] > 0.0]
    ring = np.minimum((above[2] * rings).astype(int), rings - 1)
    sector = (np.arctan2(above[1], above[0]).astype(float) / (2.0 * np.pi) * turns) % turns
    found = np.bincount(ring * turns + np.minimum(sector.astype(int), turns - 1), minlength=rings * turns)
    plenty = expected > 20.0
    expected = np.append(expected[plenty], samples - expected[plenty].sum())
    found = np.append(found[plenty], samples - found[plenty].sum())
    used = expected > 20.0
    chi_square = ((found[used] - expected[used]) ** 2 / expected[used]).sum()
    assert used.sum() > 15
    assert stats.chi2.sf(chi_square, used.sum() - 1) > 1e-3


def test_turning_the_surface_turns_the_lobe():
    """Rotation: the same angles about another normal give the same values and the same samples."""
    from scipy.spatial.transform import Rotation

    eye, light = way(40.0, 0.0), way(55.0, 170.0)
    turned = Rotation.from_euler("xyz", [100, 30, 70], degrees=True)
    u = np.random.default_rng(3).random((2, 20_000)).astype(np.float32)
    count = u.shape[1]
    values, means = [], []
    for apply in (lambda v: v, turned.apply):
        normal, to_eye = many(apply(UP), count), many(apply(eye), count)
        args = normal, scalars(0.2, count), scalars(1.5, count)
        values.append(lobe(many(apply(light), count), to_eye, *args)[0])
        direction, weight = sampled(to_eye, *args, u)
        means.append(((direction * weight).mean(axis=1) @ apply(UP), weight.mean()))
    assert values[1] == pytest.approx(values[0], rel=1e-4)
    assert means[1] == pytest.approx(means[0], rel=2e-2)


@pytest.mark.parametrize("alpha", [0.05, 0.3, 0.9])
@pytest.mark.parametrize("cosine", [0.05, 0.2, 0.5, 0.8, 1.0])
@pytest.mark.parametrize("ior", [1.333, 1.5, 1.8])
def test_coat_and_diffuse_give_no_more_than_falls_on_them(alpha, cosine, ior):
    """White furnace, with a diffuse reflectance that no real white passes (0.99)."""
    samples = 20_000
    eye = many(np.array([np.sqrt(1 - cosine**2), 0.0, cosine]), samples)
    u = np.random.default_rng(5).random((2, samples)).astype(np.float32)
    _, weight = sampled(eye, many(UP, samples), scalars(alpha, samples), scalars(ior, samples), u)
    below = kept(scalars(cosine, 1), scalars(ior, 1))[0]
    assert weight.mean() + 0.99 * below <= 1.0
    assert 0.0 <= below <= 1.0


@pytest.mark.parametrize("alpha", [0.02, 0.1, 0.3])
def test_half_width_halves_the_density_of_facets(alpha):
    """Seen from above, a lamp that far from the middle of the lobe gets half of what one in the middle does.

    Masking and cosines divided out by Mitsuba's distribution of normals, which is what the width is stated for.
    """
    mi = pytest.importorskip("mitsuba")
    mi.set_variant("scalar_rgb")
    facets = mi.MicrofacetDistribution(mi.MicrofacetType.GGX, alpha, False)
    tilt = float(half_width(scalars(alpha, 1))[0]) / 2.0
    ratio = facets.eval(mi.Vector3f(np.sin(tilt), 0, np.cos(tilt))) / facets.eval(mi.Vector3f(0, 0, 1))
    # GGX in slopes: cos^-4 comes on top of the halved density.
    assert ratio * np.cos(tilt) ** 4 == pytest.approx(0.5, rel=1e-3)


def test_smooth_coats_are_given_a_little_roughness():
    count = 4
    eye, normal = many(way(30.0, 0.0), count), many(UP, count)
    light = many(way(30.0, 180.0), count)
    smooth = lobe(light, eye, normal, scalars(0.0, count), scalars(1.5, count))
    least = lobe(light, eye, normal, scalars(microfacet.LEAST_ROUGHNESS, count), scalars(1.5, count))
    assert np.isfinite(smooth).all()
    assert smooth == pytest.approx(least)


def test_nothing_from_below():
    light, eye = many(way(95.0, 180.0), 1), many(way(80.0, 0.0), 1)
    assert lobe(light, eye, many(UP, 1), scalars(0.3, 1), scalars(1.5, 1))[0] == 0.0
