"""Every row of the catalogue read, with its values held against published ones."""

from math import hypot

import numpy as np
import pytest

from preview.light import beam
from preview.light.spaces import ACESCG
from preview.trade import catalogue

USUAL = catalogue.usual()
READERS = {
    "heads": USUAL.heads.__getitem__,
    "gels": USUAL.gels.__getitem__,
    "cloths": USUAL.cloths.__getitem__,
    "scrims": catalogue.scrim,
    "formats": catalogue.sensor_format,
    "materials": catalogue.material,
    "lamps": USUAL.lamps.__getitem__,
    "lifts": catalogue.lift,
    "spectra": catalogue.spectrum,
}
ROWS = [(kind, name) for kind in READERS for name in catalogue.names(kind)]


@pytest.mark.parametrize(("kind", "name"), ROWS)
def test_every_row_reads_with_its_source(kind, name):
    row = READERS[kind](name)
    assert row.name == name
    assert len(row.source) > 5


def test_unlisted_name_is_a_key_error():
    with pytest.raises(KeyError):
        catalogue.scrim("no-such-scrim")


@pytest.mark.parametrize("name", catalogue.names("cloths"))
def test_cloth_passes_no_more_than_meets_it(name):
    cloth = USUAL.cloths[name]
    assert cloth.diffuse >= 0
    assert cloth.direct >= 0
    assert cloth.diffuse + cloth.direct <= 0.95


@pytest.mark.parametrize("family", ["grid", "silk", "diffusion"])
def test_heavier_cloth_passes_less(family):
    """Common practice, no source: full, half, quarter name how much a cloth does."""
    full, half, quarter = (USUAL.cloths[f"{part}-{family}"] for part in ("full", "half", "quarter"))
    assert full.diffuse + full.direct < half.diffuse + half.direct < quarter.diffuse + quarter.direct
    assert full.direct <= half.direct < quarter.direct


def test_orange_conversion_gels_within_the_makers_ranges():
    """One maker's set 159/109/64/26, ranges of the others common practice (CO-21 of the check values)."""
    assert 131 <= USUAL.gels["full-cto"].mired <= 167
    assert 81 <= USUAL.gels["half-cto"].mired <= 109
    assert 42 <= USUAL.gels["quarter-cto"].mired <= 64


def test_neutral_density_by_its_definition():
    for name, density in (("nd-3", 0.3), ("nd-6", 0.6), ("nd-9", 0.9)):
        assert USUAL.gels[name].density == density


def test_every_gel_says_what_it_does_in_one_way():
    for row in USUAL.gels.values():
        ways = [bool(row.mired), row.green is not None, row.density is not None, bool(row.bands)]
        assert ways.count(True) == 1, row.name
        assert (row.stops is not None) == (ways[0] or ways[1]), row.name


@pytest.mark.parametrize("family", ["cto", "ctb", "straw"])
def test_conversions_fall_by_their_parts(family):
    """Common practice, no source: each part shifts and takes less than the one before."""
    parts = ("full", "three-quarter", "half", "quarter", "eighth")
    rows = [USUAL.gels[f"{part}-{family}"] for part in parts]
    shifts, stops = [abs(row.mired) for row in rows], [row.stops for row in rows]
    assert shifts == sorted(shifts, reverse=True)
    assert stops == sorted(stops, reverse=True)
    assert len({row.mired > 0 for row in rows}) == 1


def test_every_lamp_of_a_head_or_practical_is_a_spectrum():
    known = catalogue.names("spectra")
    for row in [*USUAL.heads.values(), *USUAL.lamps.values()]:
        assert row.lamp is None or row.lamp in known, row.name


def test_scrims_take_half_a_stop_and_a_stop():
    """Common practice, no source."""
    assert catalogue.scrim("single").stops == 0.5
    assert catalogue.scrim("double").stops == 1.0
    assert catalogue.scrim("half double").covers == 0.5


@pytest.mark.parametrize(
    ("name", "width", "height", "within"),
    [
        ("super35-4perf", 24.89, 18.67, 0.05),  # 0.980 x 0.735 in
        ("super35-3perf", 24.89, 13.87, 0.1),  # common practice
        ("micro-four-thirds", 17.3, 13.0, 0.1),  # table of sensor sizes
        ("super16", 12.35, 7.42, 0.2),  # a handbook's lexicon; SMPTE ST 201 has 12.52 x 7.41
        ("2/3-inch-4x3", 8.8, 6.6, 0.1),  # table of sensor sizes
        ("2/3-inch", 9.59, 5.39, 0.1),  # 16:9
        ("anamorphic-35-4perf", 21.996, 18.593, 0.01),  # 0.866 x 0.732 in
        ("full-frame", 36.0, 24.0, 0.0),  # ISO 1007
    ],
)
def test_format_against_published_sizes(name, width, height, within):
    row = catalogue.sensor_format(name)
    assert row.width_mm == pytest.approx(width, abs=within)
    assert row.height_mm == pytest.approx(height, abs=within)


def test_format_diagonals_against_published():
    """OP-02, OP-04, OP-07 of the check values."""
    for name, diagonal in (("super35-3perf", 28.49), ("micro-four-thirds", 21.64), ("2/3-inch", 11.0)):
        row = catalogue.sensor_format(name)
        assert hypot(row.width_mm, row.height_mm) == pytest.approx(diagonal, abs=0.02)


def test_anamorphic_format_unsqueezes_to_scope():
    """A projector aperture of 0.825 x 0.690 in at 2x is 2.39:1; the camera's is a little wider all round."""
    row = catalogue.sensor_format("anamorphic-35-4perf")
    assert 2 * row.width_mm / row.height_mm == pytest.approx(2 * 0.825 / 0.690, rel=0.02)


@pytest.mark.parametrize("name", catalogue.names("materials"))
def test_material_is_a_reflectance(name):
    """Energy: 0 to 1 in every channel, mottling included; luminance kept by the turn to ACEScg."""
    row = catalogue.material(name)
    rgb = np.array(row.rgb)
    assert (rgb > 0).all()
    assert (rgb <= 0.98).all()
    assert 0 <= row.variation <= 0.35
    assert row.grain > 0
    assert ACESCG.luminance @ rgb == pytest.approx(row.reflectance, rel=0.06)


def fresnel_at_normal(ior):
    """Share mirrored straight back: ((n - 1) / (n + 1))^2, Fresnel."""
    return ((ior - 1.0) / (ior + 1.0)) ** 2


@pytest.mark.parametrize("name", catalogue.names("materials"))
def test_coat_of_a_material_is_a_coat(name):
    """Refractive indices of water to glass, 1.33 to 1.6; diffuse and mirrored light together no more than arrives."""
    row = catalogue.material(name)
    assert max(row.rgb) + fresnel_at_normal(row.ior) <= 1.0
    if row.ior == 1.0:
        assert row.roughness == 0.0
        assert row.coat_source == ""
    else:
        assert 1.33 <= row.ior <= 1.6
        assert 0.0 < row.roughness <= 1.0
        assert len(row.coat_source) > 20


@pytest.mark.parametrize(
    ("name", "ior", "within"),
    [
        ("water", 1.333, 0.001),  # at 20 deg C, 589 nm: 1.3330, handbooks
        ("window glass", 1.52, 0.01),  # soda-lime: 1.51 to 1.53, handbooks
        ("eye iris", 1.376, 0.001),  # cornea, Gullstrand's schematic eye
        ("hair brown", 1.55, 0.01),  # Marschner et al. 2003, Light Scattering from Human Hair Fibers
    ],
)
def test_refractive_index_against_published(name, ior, within):
    assert catalogue.material(name).ior == pytest.approx(ior, abs=within)


def test_eyes_share_one_film():
    white, iris = catalogue.material("eye white"), catalogue.material("eye iris")
    assert (white.ior, white.roughness) == (iris.ior, iris.roughness)


@pytest.mark.parametrize(
    ("smoother", "rougher"),
    [
        ("window glass", "water"),
        ("eye iris", "skin light"),
        ("black car paint", "green paint"),
        ("green paint", "white paint"),
        ("varnished wood", "slate"),
        ("lips", "skin light"),
    ],
)
def test_what_shines_more_is_smoother(smoother, rougher):
    """Common practice, no source."""
    assert catalogue.material(smoother).roughness < catalogue.material(rougher).roughness


@pytest.mark.parametrize("name", ["asphalt", "concrete", "plaster", "cloth", "metal", "grey card", "black"])
def test_matt_things_have_no_coat(name):
    assert catalogue.material(name).ior == 1.0


def test_slopes_of_water_in_hardly_any_wind():
    """Cox and Munk 1954: mean square slope 0.003 + 0.00512 v; alpha^2 is that, v 0.1 to 1 m/s."""
    square = catalogue.material("water").roughness ** 2
    assert 0.003 + 0.00512 * 0.1 < square < 0.003 + 0.00512 * 1.0


def test_window_glass_alone_is_clear():
    assert [n for n in catalogue.names("materials") if catalogue.material(n).clear] == ["window glass"]


def test_grey_card_is_exactly_eighteen_per_cent():
    assert catalogue.material("grey card").rgb == (0.18, 0.18, 0.18)


@pytest.mark.filterwarnings("ignore:Aligning")
@pytest.mark.parametrize(
    ("name", "patch"), [("skin light", "light skin"), ("skin dark", "dark skin"), ("leaves", "foliage")]
)
def test_material_against_chart_patch(colour_science, name, patch):
    """ISO 17321-1 chart spectra under D65: luminance of the skins, hue of all three."""
    spectrum = colour_science.SDS_COLOURCHECKERS["ISO 17321-1"][patch]
    xyz = colour_science.sd_to_XYZ(spectrum, illuminant=colour_science.SDS_ILLUMINANTS["D65"]) / 100
    row = catalogue.material(name)
    if name.startswith("skin"):
        assert row.reflectance == pytest.approx(xyz[1], abs=0.003)
    tint = np.array(row.rgb) / row.reflectance
    white = colour_science.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    chart = colour_science.XYZ_to_RGB(
        xyz / xyz[1], "ACEScg", illuminant=white, chromatic_adaptation_transform="Bradford"
    )
    assert tint == pytest.approx(chart, abs=0.15)


def test_skins_lie_in_the_human_range_in_order():
    """About 0.05 (very dark) to 0.45 (very light), from memory."""
    skins = [
        catalogue.material(f"skin {s}").reflectance
        for s in ("very light", "light", "medium", "brown", "dark")
    ]
    assert skins == sorted(skins, reverse=True)
    assert skins[-1] > 0.05
    assert skins[0] < 0.45


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("asphalt", 0.04, 0.12),  # fresh to worn, albedo lists
        ("concrete", 0.17, 0.55),  # weathered to new, albedo lists
        ("soil", 0.05, 0.23),  # dark to dry, albedo lists
        ("sand", 0.23, 0.39),  # wet to dry, albedo lists
        ("white paint", 0.75, 0.85),  # IES Handbook, from memory
        ("clapboard", 0.50, 0.60),  # old white paint, IES Handbook, from memory
    ],
)
def test_material_against_published_reflectance(name, low, high):
    assert low <= catalogue.material(name).reflectance <= high


def test_figures_find_their_materials():
    """Every skin and hair that the script allows is in the catalogue."""
    from typing import get_args

    from preview.script.models.cast import Figure

    known = catalogue.names("materials")
    for part in ("skin", "hair"):
        for choice in get_args(Figure.model_fields[part].annotation):
            assert f"{part} {choice}" in known


def test_every_practical_has_its_usual_values():
    from typing import get_args

    from preview.script.models.practicals import Practical

    assert set(get_args(Practical.model_fields["kind"].annotation)) == set(catalogue.names("lamps"))


def test_candle_is_a_candela():
    """By the old unit's name: a candle is about one candela all round."""
    assert beam.ball_candela(USUAL.lamps["candle"].lumens) == pytest.approx(1.0, rel=0.02)
