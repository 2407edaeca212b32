"""Faults of lamps, mixes and files of gels, each as its user reads it."""

import pytest

from tests.script.scenes import SMALL, faults, found, scene

PANEL = "fixtures: [{{name: a, at: [0, 0, 3], aim: [0, 5, 0], head: {{shape: panel, size: 1x1 m, candela: 9{}}}{}}}]\n"
PRACTICAL = "fixtures: [{{name: a, practical: {{kind: {}, at: [0, 0, 3]{}}}}}]\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            PRACTICAL.format("street_lamp", ", lamp: sodum"),
            'fixtures[0].practical.lamp: no lamp "sodum"; did you mean "sodium"?',
        ),
        (PANEL.format(", lamp: led-wite", ""), 'fixtures[0].head.lamp: no lamp "led-wite"; did you mean "led-white"?'),
        (
            PRACTICAL.format("street_lamp", ", lamp: mercury, kelvin: 4000"),
            "fixtures[0].practical.kelvin: mercury has one colour of its own, so it takes no kelvin; colour it with a gel",
        ),
        (
            PRACTICAL.format("bulb", ", lamp: daylight, kelvin: 3200"),
            "fixtures[0].practical.kelvin: daylight starts at 4000 K; give the lamp as white or tungsten",
        ),
        (
            PANEL.format("", ", mix: {kelvin: 4300}"),
            "fixtures[0].mix: a head described here mixes if it says so: lamp: led-mix",
        ),
        (
            PANEL.format(", lamp: led-mix", ", mix: {}"),
            "fixtures[0].mix: a mix needs a white, such as {kelvin: 4300, green: -5}, or a hue, such as {hue: 220 deg}",
        ),
        (
            PANEL.format(", lamp: led-mix", ", mix: {kelvin: 4300, saturation: 40 %}"),
            "fixtures[0].mix.saturation: saturation goes with a hue, such as {hue: 220 deg, saturation: 60 %}",
        ),
        (
            PANEL.format(", lamp: led-mix", ", kelvin: 3200, mix: {hue: 200 deg}"),
            "fixtures[0].kelvin: the kelvin of a mix is written in it",
        ),
        (
            PANEL.format("", ", through: [{gel: {file: none.csv}}]"),
            'fixtures[0].through[0].gel.file: "none.csv": there is no such file',
        ),
        (PRACTICAL.format("fire", ", size: 6 m"), "fixtures[0].practical.size: no fire is 6 m long or wide"),
        (
            PRACTICAL.format("fire", ", lumens: 900, luminance: 7000"),
            "fixtures[0].practical: a fire needs lumens or luminance, not both",
        ),
        (
            PRACTICAL.format("fire", ", facing: 20 deg"),
            "fixtures[0].practical.facing: facing is the way a tube runs; a fire has none",
        ),
    ],
)  # fmt: skip
def test_faults(tmp_path, text, said):
    assert found(tmp_path, text) == [said]


def test_a_faulty_gel_file_is_told_with_both_lines(tmp_path):
    (tmp_path / "amber.csv").write_text("nm,T\n400,0.5\n410,51\n")
    text = "fixtures:\n" + PANEL.format("", ", through: [{gel: {file: amber.csv}}]")[9:].strip("[]\n ").join(
        ("  - ", "\n")
    )
    assert faults(tmp_path, text + SMALL) == [
        'scene.yaml:2: fixtures[0].through[0].gel.file: "amber.csv", line 3: a transmission is from 0 to 1, not 51: the '
        "table looks like per cent; divide it by 100"
    ]


def test_what_is_whole_is_read(tmp_path):
    made = scene(
        tmp_path,
        PANEL.format(", lamp: led-mix", ", mix: {hue: 220 deg, saturation: 60 %, kelvin: 4300}") + SMALL,
    )
    assert made.fixtures[0].mix is not None
    fire = scene(tmp_path, PRACTICAL.format("fire", ", luminance: 9000, size: 80 cm") + SMALL)
    assert fire.fixtures[0].practical is not None


def test_a_look_may_mix(tmp_path):
    text = (
        PANEL.format(", lamp: led-mix", ", mix: {kelvin: 4300}")
        + "looks: {night: {fixtures: {a: {mix: {hue: 230 deg, kelvin: null}}}}}\n"
    )
    made = scene(tmp_path, text + SMALL, look="night")
    assert made.fixtures[0].mix.hue == pytest.approx(4.014, abs=0.001)
    assert made.fixtures[0].mix.kelvin is None


def test_a_look_keeps_what_is_traced_and_changes_what_is_not(tmp_path):
    text = (
        PANEL.format("", ", through: [{gel: full-cto}, {cloth: light-frost, frame: 4x4 ft}, {scrim: single}]")
        + "looks: {clear: {fixtures: {a: {through: [{gel: full-ctb}]}}}}\n"
    )
    through = scene(tmp_path, text + SMALL, look="clear").fixtures[0].through
    assert [thing.gel for thing in through] == ["full-ctb", None]
    assert through[1].frame is not None
