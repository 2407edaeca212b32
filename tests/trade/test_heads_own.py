"""A catalogue of one's own: what it adds and overrides, and what is said of what is wrong in it."""

# ruff: noqa: E501 - sentences and rows are written whole
from __future__ import annotations

from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from preview.faults import UserError
from preview.light.lights import lights_of
from preview.script.models.catalogue_file import CatalogueFile, ClothEntry, GelEntry, GivenByLens, HeadEntry
from preview.script.own_catalogue import read_catalogue
from preview.script.read import read_scene
from preview.script.schema import schema
from preview.trade.catalogue import usual
from tests.script.scenes import SMALL, faults, scene
from tests.script.test_anything import JARGON


def key(words: str, file: str = "my.yaml") -> str:
    """A scene with one head, of a catalogue of its own."""
    return f"catalogue: {file}\nfixtures:\n  - {{name: key, at: [0, 0, 3], aim: [1, 0, 0], {words}}}\n{SMALL}"


OWN = """\
heads:
  site-flood: {shape: panel, watts: 400, kelvin: 4200, lamp: metal-halide-4000, candela: 9000, beam: 90 deg, size: 30x20 cm}
  big-tungsten:
    {watts: 2000, kelvin: 3200, lamp: tungsten, aperture: 25 cm,
     spot: {candela: 250000, beam: 8, field: 14}, flood: {candela: 20000, beam: 50, field: 66}}
  hmi-fresnel-2500: {watts: 2500, kelvin: 5900, candela: 71000, beam: 48, field: 64, aperture: 30 cm, source: metered}
gels: {old-amber: {mired: 90, stops: 0.6}}
cloths: {bed sheet: {diffuse: 0.35, direct: 0.02}}
lamps: {bulb: {watts: 40}}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "my.yaml").write_text(OWN, encoding="utf-8")
    return tmp_path


def told(folder: Path, text: str, words: str = "head: hmi-fresnel-575") -> list[str]:
    (folder / "my.yaml").write_text(text, encoding="utf-8")
    return [line.replace(f"{folder}/", "") for line in faults(folder, key(words))]


def test_what_it_adds_is_known(folder):
    words = "head: site-flood, through: [{gel: old-amber}, {frame: 8x8 ft, cloth: bed sheet}]"
    made = scene(folder, key(words))
    row = made.catalogue.heads["site-flood"]
    assert (row.output().flood.candela, row.size, row.lamp) == (
        9000,
        pytest.approx((0.3, 0.2)),
        "metal-halide-4000",
    )
    assert row.output().flood.field == pytest.approx(1.4 * row.output().flood.beam)
    assert row.source == "my.yaml"
    assert len(lights_of(made)[0].emitters) > 1


def test_what_it_overrides_takes_the_program_s_place_in_this_scene_alone(folder):
    made = scene(folder, key("head: hmi-fresnel-2500"))
    assert made.catalogue.heads["hmi-fresnel-2500"].kelvin == 5900
    assert made.catalogue.heads["hmi-fresnel-2500"].source == "metered"
    assert usual().heads["hmi-fresnel-2500"].kelvin == 5600
    assert set(made.catalogue.heads) == {*usual().heads, "site-flood", "big-tungsten"}


def test_a_lamp_keeps_what_is_not_given(folder):
    bulb = scene(folder, key("head: site-flood")).catalogue.lamps["bulb"]
    assert (bulb.watts, bulb.lumens, bulb.kelvin) == (
        40,
        usual().lamps["bulb"].lumens,
        usual().lamps["bulb"].kelvin,
    )


def test_a_key_with_nothing_after_it_changes_nothing(folder):
    (folder / "my.yaml").write_text("lamps: {bulb: {kelvin: , lumens: }}\n", encoding="utf-8")
    assert scene(folder, key("head: hmi-fresnel-575")).catalogue.lamps["bulb"] == usual().lamps["bulb"]


def test_its_heads_can_be_set_like_any_other(folder):
    at = [lights_of(scene(folder, key(f"head: big-tungsten, flood: {place} %")))[0] for place in (0, 50, 100)]
    axial = [light.emitters[0].candela for light in at]
    assert (axial[0], axial[2]) == (250000, 20000)
    assert axial[0] > axial[1] > axial[2]


def test_a_mistyped_name_is_answered_with_those_of_the_file(folder):
    assert faults(folder, key("head: site-flod")) == [
        'scene.yaml:3: fixtures[0].head: no head "site-flod"; did you mean "site-flood"?'
    ]


HEAD = "heads: {{x: {{watts: 575, kelvin: 5600, aperture: 0.2, {}}}}}\n"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (HEAD.format("candela: 9000, beam: 40, colour: red"), "heads.x.colour: no such key; allowed here: candela, beam, field, spot, flood, aperture, shape, watts, kelvin, kelvins, lamp, lenses, usual, photometry, size, body, weight, dims, ballast, flicker, setting, source"),
        (HEAD.format("candel: 9000, beam: 40"), 'heads.x.candel: no such key; did you mean "candela"?'),
        (HEAD.format("candela: 9000 lux, beam: 40"), 'heads.x.candela: "9000 lux" is not a number; write digits, such as 2.8'),
        (HEAD.format("candela: 9000, beam: 40 cm"), 'heads.x.beam: no unit "cm" for an angle; use deg or rad'),
        (HEAD.format("candela: 9000, beam: 40").replace("0.2", "2 kg"), 'heads.x.aperture: no unit "kg" for a length; use m, cm, mm, ft or in'),
        (HEAD.format("candela: -1, beam: 40"), "heads.x.candela: must be more than 0, not -1"),
        (HEAD.format("beam: 40"), "heads.x.candela: is missing: axial candela, such as candela: 9000 (lux at 10 m times 100)"),
        (HEAD.format("candela: 9000"), "heads.x.beam: is missing: a head of the shape beam needs it, such as beam: 40 deg"),
        (HEAD.format("weight: 3"), "heads.x: a head says what it gives by one of candela, spot and flood, lenses or photometry; it has none"),
        (HEAD.format("candela: 9000, beam: 40, lenses: {a: {candela: 3, beam: 4}}"), "heads.x: a head says what it gives by one of candela, spot and flood, lenses or photometry; it has candela and lenses"),
        (HEAD.format("candela: 9000, beam: 40, field: 30"), "heads.x.field: the beam (40 deg) is wider than its field (30 deg): the field is where the light falls to 10 %, the beam where it falls to 50 %"),
        (HEAD.format("candela: 9000000, beam: 40, field: 60"), "heads.x.candela: 9000000 candela over 40 deg are 3921750 lm, 6820 for each of its 575 watts: no lamp gives more than 250"),
        (HEAD.format("spot: {candela: 9000, beam: 10}"), "heads.x.flood: is missing: a head that has a spot has a flood"),
        (HEAD.format("spot: {candela: 9000, beam: 10}, flood: {candela: 900, beam: 9}"), "heads.x.spot.beam: must be narrower than at flood"),
        (HEAD.format("spot: {candela: 900, beam: 10}, flood: {candela: 9000, beam: 40}"), "heads.x.spot.candela: must be more than at flood"),
        (HEAD.format("lenses: {a: {candela: 9000, beam: 40}}, usual: b"), 'heads.x.usual: no lens "b"; there is a'),
        (HEAD.format("candela: 9000, beam: 40, usual: b"), "heads.x.usual: it has no lenses"),
        (HEAD.format("candela: 9000, beam: 40, lamp: tungstn"), 'heads.x.lamp: no lamp "tungstn"; did you mean "tungsten"?'),
        (HEAD.format("candela: 9000, beam: 40, kelvins: [3200, 2700]"), "heads.x.kelvins: first the least, then the most that it can be set to"),
        (HEAD.format("candela: 9000, beam: 40, kelvins: [2700, 3200]"), "heads.x.kelvin: lies outside what it can be set to, 2700 to 3200 K"),
        (HEAD.format("candela: 9000, beam: 40, dims: never"), 'heads.x.dims: "never" is not one of dimmer, itself, to 50 %, no'),
        (HEAD.format("candela: 9000, beam: 40, flicker: 300"), "heads.x.flicker: must be at most 100, not 300"),
        (HEAD.format("photometry: none.ies"), "heads.x.photometry: none.ies: there is no such file"),
        ("heads: {x: {watts: 575}}\n", "heads.x.kelvin: is missing: say the colour of its light, such as kelvin: 5600"),
        ("heads: {x: {watts: 9, kelvin: 3200, shape: ball, candela: 9, beam: 40, aperture: 1}}\n", "heads.x.beam: a head of the shape ball has no beam"),
        ("heads: {x: {watts: 9, kelvin: 3200, shape: panel, candela: 9}}\n", "heads.x.size: is missing: a head of the shape panel needs it, such as size: [1.2, 0.3]"),
        ("heads: {x: 3}\n", "heads.x: a group of keys (candela, beam, field, spot, flood, aperture …) is needed, not 3"),
        ("heads: [3]\n", "heads: a group of keys is needed, not a list"),
        ("gels: {x: {}}\n", "gels.x: a gel says what it does by one of mired, green, density or bands; it has none"),
        ("gels: {x: {mired: 20}}\n", "gels.x.stops: is missing: say what the gel takes, such as stops: 0.5"),
        ("gels: {x: {bands: [[500, 400, 0.5]]}}\n", "gels.x.bands[0]: a band goes from the shorter to the longer wave, not 500 to 400 nm"),
        ("cloths: {x: {diffuse: 0.8, direct: 0.4}}\n", "cloths.x: diffuse and direct together are more than 1: it passes more light than meets it"),
        ("cloths: {x: {diffuse: 0.8}}\n", "cloths.x.direct: is missing: say what share of the light goes straight on, such as direct: 0.04"),
        ("lamps: {lava: {watts: 3}}\n", 'lamps.lava: no practical of the kind "lava"; there is ' + ", ".join(usual().lamps)),
        ("hats: {}\n", 'hats: no such key; did you mean "heads"?'),
        ("3\n", "a catalogue is a group of keys (heads, gels, cloths, lamps), not a single value"),
        ("heads: !mine 3\n", "the tag !mine is not allowed; a catalogue holds plain values only"),
    ],
)  # fmt: skip
def test_each_fault_has_the_line_of_that_file(folder, text, message):
    assert told(folder, "# mine\n" + text) == [f"my.yaml:2: {message}"]


def test_faults_of_both_files_come_at_once(folder):
    found = told(folder, "heads:\n  mine: {watts: 3}\n", "head: mine, level: 900 %")
    assert (
        found[0]
        == "my.yaml:2: heads.mine.kelvin: is missing: say the colour of its light, such as kelvin: 5600"
    )
    # A head that could not be read is not called unknown besides.
    assert [line.split(": ")[:2] for line in found[1:]] == [["scene.yaml:3", "fixtures[0].level"]]


def test_an_empty_file_and_a_missing_one(folder):
    assert told(folder, "# nothing\n") == ["my.yaml: the file is empty"]
    assert faults(folder, key("head: whatever", "your.yaml")) == [
        'scene.yaml:1: catalogue: there is no file "your.yaml" beside the script'
    ]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ("head: hmi-par-1200, lens: x", 'lens: no lens "x" for hmi-par-1200; it has very narrow, narrow, medium, wide, frosted'),
        ("head: hmi-par-1200, lens: narow", 'lens: no lens "narow" for hmi-par-1200; did you mean "narrow"?'),
        ("head: led-mat-60cm, lens: wide", "lens: led-mat-60cm has no set of lenses"),
        ("head: led-mat-60cm, flood: 50 %", "flood: led-mat-60cm cannot be focused"),
        ("head: led-cob-300, flood: 50 %", "flood: led-cob-300 cannot be focused with the lens reflector; it can with fresnel"),
        ("head: hmi-fresnel-575, flood: 120 %", 'flood: must be at most 100 %, not "120 %"'),
        ("head: {candela: 9, beam: 40}, flood: 50 %", "flood: a head described here has none; give its beam as it is set"),
        ("head: led-panel-60cm, kelvin: 9000", "kelvin: led-panel-60cm goes from 2700 to 6500 K, not to 9000 K"),
        ("head: led-cob-300, kelvin: 3200", "kelvin: led-cob-300 gives 5600 K and cannot be set; colour it with a gel or a shift"),
        ("head: hmi-fresnel-575, mix: {hue: 20}", "mix: hmi-fresnel-575 has one colour of light, so there is nothing to mix; colour it with a gel"),
    ],
)  # fmt: skip
def test_what_a_head_cannot_do(folder, words, message):
    assert faults(folder, key(words)) == [f"scene.yaml:3: fixtures[0].{message}"]


@pytest.mark.parametrize("words", ["flood: 50 %", "lens: narrow", "turn: 90", "mix: {hue: 20}"])
def test_what_only_a_head_has(folder, words):
    text = f"fixtures: [{{name: moon, moon: {{azimuth: 90, elevation: 30}}, {words}}}]\n{SMALL}"
    name = words.split(":")[0]
    assert faults(folder, text) == [f"scene.yaml:1: fixtures[0].{name}: {name} goes with a head"]


@pytest.mark.parametrize(
    "words",
    [
        "head: led-cob-300, lens: fresnel, flood: 50 %",
        "head: tungsten-fresnel-650, kelvin: 2900",
        "head: led-panel-60cm, kelvin: 4300",
        "head: led-mix-panel-60cm, mix: {hue: 20}",
        "head: hmi-fresnel-575, turn: -90",
    ],
)
def test_what_a_head_can_do(folder, words):
    assert lights_of(scene(folder, key(words)))[0].emitters


def test_the_schema_lets_a_script_with_a_catalogue_of_its_own_name_its_rows():
    validator = jsonschema.Draft202012Validator(schema())
    own = yaml.safe_load(key("head: my-lamp, through: [{gel: mine}]"))
    assert list(validator.iter_errors(own)) == []
    del own["catalogue"]
    assert [error.json_path for error in validator.iter_errors(own)] == [
        "$.fixtures[0].head",
        "$.fixtures[0].through[0].gel",
    ]


# Any text is a catalogue or is refused in sentences.

KEYS = sorted(
    {
        key
        for model in (CatalogueFile, HeadEntry, GivenByLens, GelEntry, ClothEntry)
        for key in model.model_fields
    }
    | {"hmi-fresnel-575", "bulb", "x", ""}
)
SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-3, 9),
    st.floats(-10, 1e6, width=32),
    st.sampled_from(
        [
            "beam",
            "panel",
            "ball",
            "40 deg",
            "25 cm",
            ".nan",
            "1e400",
            "no",
            "x",
            "tungsten",
            "narrow",
            "../x.ies",
        ]
    ),
    st.text(max_size=6),
)
TREES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(st.sampled_from(KEYS), inner, max_size=6)
    ),
    max_leaves=25,
)
ROWS: dict[str, Any] = yaml.safe_load(OWN)


def check(folder: Path, text: str) -> None:
    file, script = folder / "own.yaml", folder / "scene.yaml"
    file.write_text(text, encoding="utf-8")
    own = read_catalogue(file)
    lines = [str(fault) for fault in own.faults]
    assert not [line for line in lines if JARGON.search(line) or not line.startswith(str(file))]
    for name in own.catalogue.heads.keys() - usual().heads.keys():
        written = yaml.safe_dump({"head": name}, width=999, allow_unicode=True).strip()
        script.write_text(key(written, "own.yaml"), encoding="utf-8")
        if lines:
            with pytest.raises(UserError):
                read_scene(script)
        else:
            assert lights_of(read_scene(script))


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("own")


@settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
@given(st.dictionaries(st.sampled_from(["heads", "gels", "cloths", "lamps", "x"]), TREES, max_size=4))
def test_random_sections(place, tree):
    check(place, yaml.safe_dump(tree, allow_unicode=True))


@settings(max_examples=80, deadline=None)
@given(st.text(alphabet="abc:-[]{}&*!'\"\n\t #|>%@,?1. \x85\ufeff", max_size=60))
def test_random_text(place, text):
    check(place, text)


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(["heads", "gels", "cloths", "lamps"]), st.sampled_from(KEYS), TREES)
def test_sound_rows_with_one_value_replaced_or_added(place, section, key, value):
    rows = yaml.safe_load(OWN)
    for row in rows[section].values():
        row[key] = value
    check(place, yaml.safe_dump(rows, allow_unicode=True, sort_keys=False))
