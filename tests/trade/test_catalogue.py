"""Every row of the catalogue read, with its values held against published ones."""

from math import hypot, pi, radians

import numpy as np
import pytest

from preview.light import beam
from preview.light.spaces import ACESCG
from preview.trade import catalogue

READERS = {
    "heads": catalogue.head,
    "gels": catalogue.gel,
    "cloths": catalogue.cloth,
    "scrims": catalogue.scrim,
    "formats": catalogue.sensor_format,
    "materials": catalogue.material,
    "lamps": catalogue.lamp,
}
ROWS = [(kind, name) for kind in READERS for name in catalogue.names(kind)]


@pytest.mark.parametrize(("kind", "name"), ROWS)
def test_every_row_reads_with_its_source(kind, name):
    row = READERS[kind](name)
    assert row.name == name
    assert len(row.source) > 5


def test_unlisted_name_is_a_key_error():
    with pytest.raises(KeyError):
        catalogue.head("no-such-head")


@pytest.mark.parametrize("name", catalogue.names("heads"))
def test_head_gives_no_more_light_than_its_lamp_could(name):
    """Lamp efficacies: halogen at most 28 lm/W, metal halide 100, white LED 130, tubes 100 (handbooks, from memory)."""
    head = catalogue.head(name)
    if head.shape == "ball":
        lumens = 4 * pi * head.candela
    elif head.beam_deg is None:
        lumens = beam.lambertian_lumens(head.candela)
    else:
        lumens = beam.lumens(candela=head.candela, beam=radians(head.beam_deg), field=radians(head.field_deg))
    most = 28 if head.kelvin <= 3200 else 100 if head.name.startswith(("hmi", "balloon", "fluor")) else 130
    assert 0.04 * most < lumens / head.watts < 0.8 * most


@pytest.mark.parametrize("name", catalogue.names("heads"))
def test_head_has_the_sizes_its_shape_needs(name):
    head = catalogue.head(name)
    if head.shape == "panel":
        assert head.size_m is not None
        assert len(head.size_m) == 2
        assert head.aperture_m is None
    else:
        assert head.aperture_m > 0
        assert head.size_m is None
    if head.shape == "beam" or head.beam_deg is not None:
        assert 0 < head.beam_deg < head.field_deg <= 180


@pytest.mark.parametrize("name", catalogue.names("cloths"))
def test_cloth_passes_no_more_than_meets_it(name):
    cloth = catalogue.cloth(name)
    assert cloth.diffuse >= 0
    assert cloth.direct >= 0
    assert cloth.diffuse + cloth.direct <= 0.95


@pytest.mark.parametrize("family", ["grid", "silk", "diffusion"])
def test_heavier_cloth_passes_less(family):
    """Common practice, no source: full, half, quarter name how much a cloth does."""
    full, half, quarter = (catalogue.cloth(f"{part}-{family}") for part in ("full", "half", "quarter"))
    assert full.diffuse + full.direct < half.diffuse + half.direct < quarter.diffuse + quarter.direct
    assert full.direct <= half.direct < quarter.direct


def test_orange_conversion_gels_within_the_makers_ranges():
    """One maker's set 159/109/64/26, ranges of the others common practice (CO-21 of the check values)."""
    assert 131 <= catalogue.gel("full-cto").mired <= 167
    assert 81 <= catalogue.gel("half-cto").mired <= 109
    assert 42 <= catalogue.gel("quarter-cto").mired <= 64


def test_neutral_density_by_its_definition():
    for name, density in (("nd-3", 0.3), ("nd-6", 0.6), ("nd-9", 0.9)):
        assert catalogue.gel(name).transmittance == pytest.approx(10**-density, rel=1e-4)


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
    assert (rgb < 0.98).all()
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
    assert beam.ball_candela(catalogue.lamp("candle").lumens) == pytest.approx(1.0, rel=0.02)
