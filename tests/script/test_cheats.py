"""Cheats: keys that only setups use, fixtures that a setup adds, and what is said of those that are wrong."""

# ruff: noqa: E501 - sentences and scripts are written whole
from __future__ import annotations

from pathlib import Path

import pytest

from preview.script.explain import defaults
from preview.script.read import read_script
from preview.script.schema import schema
from tests.script.scenes import SMALL, faults, scene

YARD = (
    """\
cast:
  - {name: Mara, at: [0, 2], facing: 180}
fixtures:
  - {name: key, head: {candela: 9000, beam: 40 deg}, at: [-5, 0, 4], aim: Mara.face}
"""
    + SMALL
)


def with_setup(body: str) -> str:
    return YARD + f"setups: {{tight: {{{body}}}}}\n"


def test_a_cheat_and_its_reason(tmp_path: Path) -> None:
    text = with_setup(
        "fixtures: {key: {at: [-4, 1, 4], cheat: brought round}}, cast: {Mara: {at: [0.2, 2], cheat: to clear the post}}"
    )
    found = scene(tmp_path, text, setup="tight")
    assert (found.fixtures[0].cheat, found.cast[0].cheat) == ("brought round", "to clear the post")
    assert found.fixtures[0].at is not None
    assert found.fixtures[0].at.offset == (-4.0, 1.0, 4.0)
    main = scene(tmp_path, text)
    assert (main.fixtures[0].cheat, main.cast[0].cheat) == (None, None)


def test_a_fixture_of_one_setup(tmp_path: Path) -> None:
    text = with_setup(
        "fixtures: {glint: {added: yes, head: led-mat-60cm, at: [0, -2, 2], aim: Mara.face, level: 4 %, cheat: eyes}}"
    )
    assert [one.name for one in scene(tmp_path, text).fixtures] == ["key"]
    found = scene(tmp_path, text, setup="tight")
    assert [(one.name, one.added) for one in found.fixtures] == [("key", False), ("glint", True)]
    assert found.fixtures[1].level == pytest.approx(0.04)


def test_a_setup_without_one_of_its_changes(tmp_path: Path) -> None:
    text = with_setup(
        "fixtures: {key: {level: 50 %}, glint: {added: yes, head: led-mat-60cm, at: [0, -2, 2], aim: Mara.face}}, cast: {Mara: {at: [1, 2]}}"
    )
    scene(tmp_path, text)
    script = read_script(tmp_path / "scene.yaml")
    whole = script.scene(setup="tight")
    assert (whole.fixtures[0].level, len(whole.fixtures), whole.cast[0].at) == (0.5, 2, (1.0, 2.0))
    assert script.scene(setup="tight", without=("fixtures", "key")).fixtures[0].level == 1.0
    assert len(script.scene(setup="tight", without=("fixtures", "glint")).fixtures) == 1
    assert script.scene(setup="tight", without=("cast", "Mara")).cast[0].at == (0.0, 2.0)


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("fixtures: {kee: {level: 50 %}}", 'setups.tight.fixtures.kee: no fixture "kee"; did you mean "key"? Or add one in this setup alone with added: yes beside its head and place'),
        ("fixtures: {key: {added: yes, level: 50 %}}", 'setups.tight.fixtures.key.added: the script has a fixture "key"; give this one a name of its own'),
        ("fixtures: {glint: {added: no, head: led-mat-60cm, at: [0, -2, 2], aim: Mara}}", 'setups.tight.fixtures.glint: no fixture "glint"; there is key; or add one in this setup alone with added: yes beside its head and place'),
        ("fixtures: {glint: {added: yes, head: led-mat-60, at: [0, -2, 2], aim: Mara}}", 'setups.tight.fixtures.glint.head: no head "led-mat-60"; did you mean "led-mat-60cm"?'),
        ("fixtures: {Mara: {added: yes, head: led-mat-60cm, at: [0, -2, 2], aim: Mara}}", 'setups.tight.fixtures.Mara: the name "Mara" is already taken in line 2'),
        ("cast: {Mara: {added: yes, at: [0, 1]}}", "setups.tight.cast.Mara.added: a setup moves figures and adds none; put whoever is in it in the script's cast"),
        ("fixtures: {key: {cheat: brought round}}", "setups.tight.fixtures.key.cheat: a cheat of nothing: write beside it what this setup changes, such as at: [11, 6, 5.6]"),
        ("fixtures: {key: {level: 50 %, cheat: }}", 'setups.tight.fixtures.key.cheat: say why, such as cheat: "half a step to camera left, to clear the post", not nothing'),
        ("fixtures: {key: {level: 50 %, cheat: 3}}", 'setups.tight.fixtures.key.cheat: say why, such as cheat: "half a step to camera left, to clear the post", not 3'),
        ("fixtures: {key: {level: 50 %, cheat: a step, to clear the post}}", 'setups.tight.fixtures.key.to clear the post: this reads as the rest of the cheat\'s reason; put the whole of it in quotes: cheat: "half a step to camera left, to clear the post"'),
        (f"fixtures: {{key: {{level: 50 %, cheat: {'x' * 161}}}}}", "setups.tight.fixtures.key.cheat: 161 letters are more than the 160 that a reason may have"),
    ],
)  # fmt: skip
def test_wrong_cheats(tmp_path: Path, body: str, said: str) -> None:
    text = with_setup(body)
    line = text.rstrip().count("\n") + 1
    assert faults(tmp_path, text) == [f"scene.yaml:{line}: {said}"]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("aim: Mara.face}", "aim: Mara.face, cheat: why}", "scene.yaml:4: fixtures[0].cheat: a cheat is a setup's: the script itself says where things are; write it in a setup, beside what it changes"),
        ("aim: Mara.face}", "aim: Mara.face, added: yes}", "scene.yaml:4: fixtures[0].added: a fixture of the script is there already; only a setup adds one"),
        ("facing: 180}", "facing: 180, cheat: why}", "scene.yaml:2: cast[0].cheat: a cheat is a setup's: the script itself says where things are; write it in a setup, beside what it changes"),
    ],
)  # fmt: skip
def test_only_setups_cheat(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert faults(tmp_path, YARD.replace(old, new)) == [said]


def test_a_look_cheats_no_light(tmp_path: Path) -> None:
    (said,) = faults(tmp_path, YARD + "looks: {low: {fixtures: {key: {level: 50 %, cheat: why}}}}\n")
    assert "a look is only arithmetic" in said


def test_not_among_what_was_filled_in(tmp_path: Path) -> None:
    assert not [path for path, _, _ in defaults(scene(tmp_path, YARD)) if path.endswith(("cheat", "added"))]


def test_schema_knows_them_in_setups_alone() -> None:
    parts = schema()["$defs"]
    for part in ("Fixture", "Figure"):
        assert "cheat" not in parts[part]["properties"]
        assert "printed" in parts[f"{part}Patch"]["properties"]["cheat"]["anyOf"][0]["description"]
    assert "added" in parts["FixturePatch"]["properties"]
