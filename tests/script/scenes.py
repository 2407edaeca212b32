"""Scenes for the tests of the script, written to a folder and read back."""

from __future__ import annotations

from pathlib import Path

import pytest

from preview.faults import UserError
from preview.script.read import read_scene
from preview.script.scene import Scene

SMALL = "camera: {lens: {focal: 35 mm}, at: [0, -5, 1.5], aim: [0, 0, 1.5]}\n"
"""The least that is a scene."""


def scene(folder: Path, text: str, *, setup: str | None = None, look: str | None = None) -> Scene:
    """The scene that a text describes."""
    file = folder / "scene.yaml"
    file.write_text(text, encoding="utf-8")
    return read_scene(file, setup=setup, look=look)


def faults(folder: Path, text: str, *, setup: str | None = None, look: str | None = None) -> list[str]:
    """Every fault of a text, one a line, its file as `scene.yaml`."""
    with pytest.raises(UserError) as caught:
        scene(folder, text, setup=setup, look=look)
    return [str(fault).replace(str(folder / "scene.yaml"), "scene.yaml") for fault in caught.value.faults]


def found(folder: Path, text: str) -> list[str]:
    """The faults of the least scene with a text before it, without file and line."""
    return [fault.split(": ", 1)[1] for fault in faults(folder, text + SMALL)]
