"""What a frame takes is told before it is traced, and refused in a sentence where it cannot fit."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from preview import cli
from preview.trace import room
from preview.trace.quality import QUALITIES
from preview.trace.room import Counts, groups_of, need_of

COUNTS = Counts(triangles=300_000, vertices=600_000, lights=8, missing=8, width=960, height=540)
LOOK = QUALITIES["look"]
SCENE = """\
set: [{ground: {material: asphalt}}]
camera: {lens: {focal: 35 mm}, at: [0, -6, 1.5], aim: [0, 2, 0.5]}
fixtures: [{name: key, head: tungsten-fresnel-650, at: [-4, -3, 3], aim: [0, 2, 0.5]}]
"""


@pytest.mark.parametrize("more", ["triangles", "vertices", "missing", "width", "height"])
def test_it_grows_with_every_count(more: str) -> None:
    small, large = (
        need_of(replace(COUNTS, **{more: factor * getattr(COUNTS, more)}), quality=LOOK, haze=True)
        for factor in (1, 8)
    )
    assert large.memory >= small.memory
    assert large.disk >= small.disk
    assert (large.memory, large.disk) != (small.memory, small.disk)


def test_layers_on_disk_are_four_floats_a_pixel() -> None:
    """Closed form: three channels and an error of four bytes, for each light and once for what is seen."""
    assert need_of(COUNTS, quality=LOOK, haze=False).disk == 16 * 960 * 540 * 9


def test_a_large_night_stays_under_three_gigabytes() -> None:
    """64 fixtures, 5 million triangles that share no vertex, a frame of 3840 x 2160."""
    large = Counts(5_000_000, 15_000_000, 64, 64, 3840, 2160)
    assert 1e9 < need_of(large, quality=LOOK, haze=True).memory < 3e9


def test_lights_are_traced_in_groups_that_lose_none() -> None:
    lights = list(range(300))
    groups = groups_of(lights, width=3840, height=2160, quality=LOOK, haze=True)  # type: ignore[arg-type]
    assert [light for group in groups for light in group] == lights
    assert len(groups) > 1


def test_a_frame_that_cannot_fit_is_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "scene.yaml"
    file.write_text(SCENE, encoding="utf-8")
    monkeypatch.setattr(room, "memory_to_spare", lambda: 20_000_000)
    assert cli.run(["frame", str(file), "--size", "640", "--out", str(tmp_path / "out")]) == 2
    told = capsys.readouterr().err
    assert "20 MB to spare" in told
    assert "smaller --size" in told
    assert not (tmp_path / "out").exists()
