"""Every head of the catalogue at every setting: whether its numbers hang together as those of real lamps do."""

from __future__ import annotations

from dataclasses import asdict
from itertools import pairwise
from pathlib import Path

import pytest

from preview.light.heads import focused, setting_lumens
from preview.script.own_catalogue import read_catalogue
from preview.trade import catalogue
from preview.trade.head_row import HeadRow, Setting

HEADS = catalogue.usual().heads
ROWS = [pytest.param(row, id=name) for name, row in HEADS.items()]
SETTINGS = [
    pytest.param(row, lens, setting, id=f"{name} {lens} {which}")
    for name, row in HEADS.items()
    for lens, output in row.outputs.items()
    for which, setting in (("flood", output.flood), ("spot", output.spot))
    if setting is not None
]

LAMPS = {
    "tungsten": (9.0, 33.0),
    "discharge-5600": (80.0, 100.0),
    "led-white": (80.0, 150.0),
    "led-mix": (60.0, 130.0),
    "fluorescent": (60.0, 100.0),
}
"""Lumens that a lamp gives for each watt, least and most. Handbooks' ranges, from memory: household filament 10 to 15,
halogen of 3200 K 20 to 29, photofloods to 33; metal halide of film heads 80 to 100; white LED with its driver 80 to 150."""
THROUGH_OPTICS = {
    "fresnel": (0.05, 0.50),
    "open-face": (0.20, 0.60),
    "handlight": (0.20, 0.60),
    "par": (0.20, 0.80),
    "ellipsoidal": (0.15, 0.60),
    "balloon": (0.50, 0.90),
    "lantern": (0.30, 0.90),
    "bulb": (0.50, 1.00),
    "photoflood": (0.50, 1.00),
}
"""Share of the lamp's lumens that leaves the head, by a word of its name. From memory: a fresnel at spot takes hold of a
narrow cone, a tenth or less of it leaves; at flood a fifth to a half."""


def lumens(row: HeadRow, setting: Setting) -> float:
    return setting_lumens(setting, row.shape)


def share(name: str) -> tuple[float, float]:
    return next((bounds for word, bounds in THROUGH_OPTICS.items() if word in name), (0.15, 0.95))


@pytest.mark.parametrize(("row", "lens", "setting"), SETTINGS)
def test_no_more_light_than_its_lamp_gives_and_not_much_less(row, lens, setting):
    """Lumens of the beam, the integral of its intensity, against efficacies of lamps and of optics."""
    least, most = LAMPS[row.lamp]
    low, high = share("fresnel" if lens == "fresnel" else row.name)
    assert low * least < lumens(row, setting) / row.watts < high * most


@pytest.mark.parametrize("row", ROWS)
def test_a_row_says_all_that_a_gaffer_asks(row):
    assert row.source
    assert row.dims is not None
    assert row.flicker is not None
    assert row.ballast is not None
    assert row.lamp in catalogue.names("spectra")
    assert row.weight > 0
    assert row.body is not None or row.shape == "ball"
    assert row.usual in row.outputs


@pytest.mark.parametrize("row", ROWS)
def test_sizes_fit_the_shape_and_each_other(row):
    """A front is never wider than the housing around it."""
    if row.shape == "panel":
        assert row.size is not None
        assert row.aperture is None
        assert row.body[0] >= row.size[0]
        assert row.body[1] >= row.size[1]
    else:
        assert row.aperture > 0
        assert row.size is None
    if row.shape == "beam":
        assert min(row.body[:2]) >= (0.55 if row.lenses else 1.0) * row.aperture


@pytest.mark.parametrize(("row", "lens", "setting"), SETTINGS)
def test_angles_of_a_setting(row, lens, setting):
    """Definition of beam and field: the light is at 10 % further out than at 50 %."""
    if row.shape == "beam":
        assert setting.beam is not None
    if setting.beam is None:
        assert setting.field is None
    else:
        assert 0.0 < 1.2 * setting.beam < setting.field < 3.15


@pytest.mark.parametrize(
    "row", [row for row in ROWS if any(each.spot for each in row.values[0].outputs.values())]
)
def test_spot_is_narrower_and_brighter_and_costs_light(row):
    for output in row.outputs.values():
        if output.spot is not None:
            assert output.spot.candela > 2 * output.flood.candela
            assert output.spot.beam < 0.5 * output.flood.beam
            assert lumens(row, output.spot) < lumens(row, output.flood)


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row.values[0].lenses and "cob" not in row.id and "panel" not in row.id]
)
def test_the_lenses_of_a_set_go_from_narrow_to_wide(row):
    settings = [output.flood for output in row.outputs.values()]
    assert settings == sorted(settings, key=lambda setting: setting.beam)
    assert settings == sorted(settings, key=lambda setting: -setting.candela)


CLASSES = [
    "tungsten-fresnel-",
    "open-face-",
    "hmi-fresnel-",
    "hmi-par-",
    "led-fresnel-",
    "led-cob-",
    "led-mat-",
    "led-panel-",
    "bulb-",
    "photoflood-",
]


@pytest.mark.parametrize("start", CLASSES)
def test_what_draws_more_gives_more_and_weighs_more(start):
    rows = [
        row
        for name, row in HEADS.items()
        if name.startswith(start) and not name.endswith(("-magnetic", "-bicolour", "led-9"))
    ]
    assert len(rows) >= 2
    rows.sort(key=lambda row: row.watts)
    assert [row.weight for row in rows] == sorted(row.weight for row in rows)
    light = [lumens(row, row.output().flood) for row in rows]
    assert light == sorted(light)
    if rows[0].shape == "beam":
        axial = [[each.flood.candela for each in row.outputs.values()] for row in rows]
        for lens in zip(*axial, strict=True):
            assert list(lens) == sorted(lens)


def test_the_classes_of_the_trade_are_there():
    """Common practice, no source: what a truck carries, from 150 W to 20 kW and from 200 W to 18 kW."""
    watts = {start: [row.watts for name, row in HEADS.items() if name.startswith(start)] for start in CLASSES}
    assert (min(watts["tungsten-fresnel-"]), max(watts["tungsten-fresnel-"])) == (150, 20000)
    assert (min(watts["hmi-fresnel-"]), max(watts["hmi-fresnel-"])) == (200, 18000)
    assert (min(watts["hmi-par-"]), max(watts["hmi-par-"])) == (200, 18000)
    assert {300, 650, 800, 1000, 2000} <= set(watts["open-face-"])
    assert len(HEADS) >= 45


@pytest.mark.parametrize("row", ROWS)
def test_only_what_can_be_set_has_a_range(row):
    spectrum = catalogue.spectrum(row.lamp)
    if row.kelvins is not None:
        assert row.kelvins[0] < row.kelvin < row.kelvins[1]
        assert not spectrum.filament
    if spectrum.emitters:
        assert row.kelvins is not None
    if spectrum.filament:
        assert 2400 <= row.kelvin <= 3400


@pytest.mark.parametrize("row", ROWS)
def test_thin_filaments_and_chokes_flicker(row):
    """Percent flicker by kind, from memory: a 60 W filament some 10, thick ones under 3, a choke ballast half or more."""
    assert (row.flicker >= 50) == (row.ballast == "magnetic")
    if row.lamp == "tungsten" and row.watts >= 1000 and row.name != "par-bank-9000":
        assert row.flicker < 3


# What demo scenes and older scripts were made with: candela, beam, field in degrees, at their usual setting.
KEPT = {
    "hmi-fresnel-575": (13000, 50, 66),
    "hmi-fresnel-1200": (29000, 50, 66),
    "hmi-fresnel-2500": (68000, 50, 66),
    "hmi-fresnel-6000": (165000, 52, 68),
    "hmi-fresnel-12000": (340000, 52, 68),
    "hmi-fresnel-18000": (540000, 52, 68),
    "hmi-par-1800": (300000, 26, 45),
    "tungsten-fresnel-650": (5500, 48, 64),
    "tungsten-fresnel-1000": (9000, 48, 64),
    "tungsten-fresnel-2000": (19000, 48, 64),
    "tungsten-fresnel-5000": (48000, 48, 64),
    "tungsten-ellipsoidal-575": (90000, 18, 26),
    "par-can-1000": (100000, 18, 34),
    "open-face-800": (8000, 60, 84),
    "led-fresnel-200": (16000, 40, 58),
    "led-cob-300": (20000, 55, 80),
    "led-panel-30cm": (3500, 50, 85),
    "led-panel-60cm": (5500, 105, 150),
    "led-panel-120cm": (11500, 105, 150),
    "led-mat-60cm": (2400, None, None),
    "led-mat-120cm": (10000, None, None),
    "led-tube-120cm": (350, None, None),
    "fluorescent-bank-120cm-4": (2200, None, None),
    "balloon-2m": (12000, None, None),
    "balloon-2m-tungsten": (3000, None, None),
    "paper-lantern-60cm": (130, None, None),
}


@pytest.mark.parametrize("name", KEPT)
def test_a_head_that_scripts_name_stays_what_it_was(name):
    setting = HEADS[name].output().flood
    angles = (None if angle is None else angle * 57.29577951308232 for angle in (setting.beam, setting.field))
    assert (setting.candela, *angles) == pytest.approx(KEPT[name])


@pytest.mark.parametrize("row", [row for row in ROWS if row.values[0].output().spot])
def test_a_focused_head_between_spot_and_flood(row):
    """Both ends exact; between them the beam opens, the axis dims and lumens are won, all the way."""
    output = row.output()
    assert focused(output, 0.0) == output.spot
    assert focused(output, 1.0) == output.flood
    travel = [focused(output, place / 40) for place in range(41)]
    for first, second in pairwise(travel):
        assert first.beam < second.beam
        assert first.field < second.field
        assert first.candela > second.candela
        assert lumens(row, first) < lumens(row, second) * (1 + 1e-6)
    # No step at the ends.
    assert travel[1].candela > 0.85 * travel[0].candela
    assert travel[-2].candela < 1.15 * travel[-1].candela


def test_half_flood_is_the_mean_by_ratio():
    """The rule itself, by hand: sqrt(8 x 48) = 19.6 degrees."""
    half = focused(HEADS["tungsten-fresnel-650"].output(), 0.5)
    assert half.beam * 57.29577951308232 == pytest.approx((8 * 48) ** 0.5)


def test_the_program_s_heads_read_as_a_file_of_one_s_own(tmp_path):
    """One format: the program's rows, under `heads:`, are a user's catalogue, and give the same rows."""
    rows = (Path(catalogue.__file__).parent / "heads.yaml").read_text(encoding="utf-8")
    file = tmp_path / "heads.yaml"
    file.write_text("heads:\n" + "".join(f"  {line}\n" for line in rows.splitlines()), encoding="utf-8")
    own = read_catalogue(file)
    assert own.faults == ()
    for name, row in HEADS.items():
        assert asdict(own.catalogue.heads[name]) == asdict(row)
