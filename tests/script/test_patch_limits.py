"""Slips of the pen in setups and looks are answered with what was meant, and what a look may not change with why."""

from __future__ import annotations

from pathlib import Path

import pytest

from preview.faults import UserError
from preview.script.read import read_script

SCENE = """
set: [{ground: {}}]
camera: {lens: {focal: 35 mm}, at: [0, -5, 1.6], aim: [0, 0, 1]}
fixtures:
  - {name: key, head: hmi-fresnel-1200, at: [4, -3, 4], aim: [0, 0, 1]}
"""


def fault_of(folder: Path, section: str, patch: str) -> str:
    path = folder / "scene.yaml"
    path.write_text(f"{SCENE}{section}:\n  a: {patch}\n")
    with pytest.raises(UserError) as caught:
        read_script(path)
    return str(caught.value).partition(f"{section}.a.")[2]


@pytest.mark.parametrize(
    ("section", "patch", "told"),
    [
        ("looks", "{camera: {balanse: 3400 K}}", 'camera.balanse: no such key; did you mean "balance"?'),
        ("looks", "{camera: {lens: {stpo: 4}}}", 'camera.lens.stpo: no such key; did you mean "stop"?'),
        (
            "looks",
            "{fixtures: {key: {levle: 50 %}}}",
            'fixtures.key.levle: no such key; did you mean "level"?',
        ),
        (
            "looks",
            "{fixtures: {key: {through: [{gle: full-ctb}]}}}",
            'fixtures.key.through[0].gle: no such key; did you mean "gel"?',
        ),
        ("looks", "{camra: {iso: 800}}", 'camra: no such key; did you mean "camera"?'),
        ("looks", "{balanse: 3400 K}", "balanse: no such key; did you mean camera: {balance: …}?"),
        ("looks", "{balance: 3400 K}", "balance: it is the camera's; write camera: {balance: …}"),
        ("setups", "{fixture: {}}", 'fixture: no such key; did you mean "fixtures"?'),
        ("setups", "{aim: [0, 1, 1]}", "aim: it is the camera's; write camera: {aim: …}"),
    ],
)
def test_a_slip_of_the_pen_is_answered_with_what_was_meant(
    tmp_path: Path, section: str, patch: str, told: str
) -> None:
    assert fault_of(tmp_path, section, patch) == told


@pytest.mark.parametrize(
    ("patch", "told"),
    [
        (
            "{camera: {aim: [0, 1, 1]}}",
            "camera.aim: a look is only arithmetic: of the camera it may change iso,",
        ),
        ("{fixtures: {key: {aim: [0, 1, 1]}}}", "fixtures.key.aim: a look is only arithmetic: of a fixture"),
        (
            "{cast: {}}",
            "cast: a look is only arithmetic: it changes camera and fixtures; put the rest in a setup",
        ),
        ("{quite_another: 1}", "quite_another: a look is only arithmetic: it changes camera and fixtures;"),
    ],
)
def test_what_would_need_a_trace_is_a_setup(tmp_path: Path, patch: str, told: str) -> None:
    assert fault_of(tmp_path, "looks", patch).startswith(told)
