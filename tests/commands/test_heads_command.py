"""`preview heads`: what is listed, found and told; and the notes of `preview check` about heads as they are set."""

# ruff: noqa: E501 - sentences are written whole
from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from preview import cli
from preview.trade.catalogue import usual
from tests.script.scenes import SMALL

HEADS = usual().heads


def heads(*words: str) -> str:
    answer = CliRunner().invoke(cli.app, ["heads", *words])
    assert answer.exit_code == 0, answer.output
    return answer.output.replace("\u202f", " ")


def named(*words: str) -> list[str]:
    return [row["name"] for row in json.loads(heads(*words, "--json"))]


def refused(*words: str, capsys: pytest.CaptureFixture[str]) -> str:
    assert cli.run(["heads", *words]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    return told.err


def test_all_of_them_fit_a_narrow_window():
    told = heads()
    assert all(name in told for name in HEADS)
    assert max(len(line) for line in told.splitlines()) <= 80
    assert f"{len(HEADS)} heads" in told


@pytest.mark.parametrize(
    ("words", "found"),
    [
        (["hmi", "fresnel", "2.5", "kW"], ["hmi-fresnel-2500", "hmi-fresnel-2500-magnetic"]),
        (["2.5kw", "HMI", "par"], ["hmi-par-2500"]),
        (["hmi-par-1800"], ["hmi-par-1800"]),
        (["led-cob-300"], ["led-cob-300"]),
        (["magnetic", "6000"], ["hmi-fresnel-6000-magnetic"]),
        (["ellipsoidal"], ["tungsten-ellipsoidal-575", "led-ellipsoidal-200"]),
    ],
)
def test_words_find_heads(words, found):
    assert named(*words) == found


def test_watts_are_watts():
    """`2k` is 2000 W, not every name with a 2 in it."""
    assert {HEADS[name].watts for name in named("tungsten", "2k")} == {2000}
    assert {HEADS[name].watts for name in named("650")} == {650}


def test_a_line_of_the_list():
    """68 000 cd at 5 m are 2720 lux, the inverse square."""
    lines = heads("hmi-fresnel-2500", "--json"), heads("hmi", "fresnel", "2500").splitlines()
    assert json.loads(lines[0])[0]["gives"][-1]["lux"]["5"] == pytest.approx(2720)
    assert lines[1][0].split(maxsplit=1) == ["hmi-fresnel-2500", "2500 W, 5600 K, 22 kg, dims to 50 %"]
    assert lines[1][1].split() == ["spot", "1", "100", "000", "cd", "7", "deg", "44", "000", "lux"]
    assert lines[1][2].split() == ["flood", "68", "000", "cd", "50", "deg", "2", "720", "lux"]


def test_one_head_alone_is_told_whole():
    told = heads("led-cob-300")
    for part in (
        "reflector (usual)",
        "fresnel, half flood",
        "Draws 300 W",
        "18 cm at its front",
        "3.1 kg",
        "Dims by its own control.",
        "Steady at any shutter",
        "Source: from memory, typical.",
    ):
        assert part in told


def test_a_large_panel_close_by_is_less_than_its_candela_say():
    """An even 2.4 m square at 5 m: pi L F, F of a rectangle (configuration factor), under 40 000 / 25."""
    (mat,) = json.loads(heads("led-mat-240cm", "--json"))
    assert 0.9 * 1600 < mat["gives"][0]["lux"]["5"] < 0.95 * 1600


def test_one_s_own_catalogue_is_listed_with_the_rest(tmp_path):
    file = tmp_path / "mine.yaml"
    file.write_text("heads: {my-lamp: {watts: 9, kelvin: 3200, candela: 90, beam: 40, aperture: 5 cm}}\n")
    assert named("my-lamp", "--catalogue", str(file)) == ["my-lamp"]
    assert len(named("--catalogue", str(file))) == len(HEADS) + 1


def test_a_faulty_catalogue_is_told_with_its_lines(tmp_path, capsys):
    file = tmp_path / "mine.yaml"
    file.write_text("heads:\n  my-lamp: {watts: 9, kelvin: 3200}\n")
    told = refused("--catalogue", str(file), capsys=capsys)
    assert told.startswith(f"{file}:2: heads.my-lamp: a head says what it gives by one of")
    gone = tmp_path / "gone.yaml"
    assert refused("--catalogue", str(gone), capsys=capsys).startswith(f"{gone}: there is no such file")


def test_what_nothing_answers_to(capsys):
    assert refused("hmi", "fresnl", "2500", capsys=capsys) == (
        'no head answers to "hmi fresnl 2500"; did you mean "hmi-fresnel-2500"?\n'
    )
    assert refused("zzz", capsys=capsys) == 'no head answers to "zzz"; `preview heads` lists them all\n'


# --- check --------------------------------------------------------------------------------------------------------


def checked(folder: Path, *words: str, camera: str = "", more: str = "") -> str:
    """What `check` says of a scene with these fixtures, its lines joined."""
    fixtures = "".join(
        f"  - {{name: lamp {place}, at: [0, 0, 3], aim: [1, 0, 1], {each}}}\n"
        for place, each in enumerate(words)
    )
    text = f"fixtures:\n{fixtures}{SMALL.replace('lens:', f'{camera} lens:')}{more}"
    file = folder / "scene.yaml"
    file.write_text(text, encoding="utf-8")
    answer = CliRunner().invoke(cli.app, ["check", str(file)])
    assert answer.exit_code == 0, answer.output
    return " ".join(answer.output.split())


def test_check_says_how_a_head_is_set(tmp_path):
    told = checked(
        tmp_path,
        "head: hmi-fresnel-575, flood: 50 %",
        "head: hmi-par-200, lens: narrow",
        "head: hmi-fresnel-200, flood: 0 %",
        "head: hmi-fresnel-200, flood: 30 %",
    )
    for part in ("half flood", "narrow", "full spot", "30 % flood"):
        assert part in told
    assert "draw 1.18 kW at full" in told


@pytest.mark.parametrize(
    ("words", "note"),
    [
        ("head: hmi-fresnel-575, level: 25 %", "lamp 0: hmi-fresnel-575 dims to 50 %; for 25 % take 1 stop more with scrims, or 2 stops from full."),
        ("head: hmi-fresnel-2500-magnetic, level: 50 %", "lamp 0: hmi-fresnel-2500-magnetic does not dim; take 1 stop with scrims for its 50 %."),
        ("head: hmi-fresnel-575, level: 50 %", None),
        ("head: tungsten-fresnel-650, level: 5 %", None),
        ("head: led-mat-60cm, level: 5 %", None),
        ("head: bulb-led-9", None),
    ],
)  # fmt: skip
def test_what_does_not_dim_so_far(words, note, tmp_path):
    """0.25 is two stops, half of which the ballast takes: arithmetic."""
    told = checked(tmp_path, words)
    if note is None:
        assert "scrims" not in told
    else:
        assert note in told


def test_a_choke_ballast_at_an_off_shutter(tmp_path):
    """Common practice: 24 fps at 180 degrees pulses on 50 Hz and not on 60 Hz; 172.8 degrees is steady on 50 Hz."""
    words = "head: hmi-fresnel-2500-magnetic"
    told = checked(tmp_path, words)
    assert (
        "lamp 0: hmi-fresnel-2500-magnetic pulses at 24 fps and 180 deg by 0.074 stops 4 times a second"
        in told
    )
    assert "on 50 Hz mains; it is steady on 60 Hz." in told
    told = checked(tmp_path, words, camera="shutter: {fps: 24, angle: 172.8 deg},")
    assert "50 Hz mains" not in told
    assert "pulses" in checked(tmp_path, words, camera="shutter: {fps: 31},")
    assert "pulses" not in checked(tmp_path, "head: hmi-fresnel-2500")


def test_a_note_of_a_look_says_which(tmp_path):
    looks = "looks: {dim: {fixtures: {lamp 0: {level: 25 %}}}}\n"
    told = checked(tmp_path, "head: hmi-fresnel-575", more=looks)
    assert "or 2 stops from full (in the look dim)." in told
