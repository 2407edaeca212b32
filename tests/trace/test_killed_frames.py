"""Frames that use the store come to no harm from kills: the next one is right."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SCENE = """\
set:
  - ground: {material: asphalt, size: [40, 40], wet: 0.9}
  - box: {at: [0, 2], size: [1, 1, 1], material: white paint}
camera: {lens: {focal: 35 mm}, at: [0, -6, 1.5], aim: [0, 2, 0.5]}
fixtures:
  - {name: key, head: tungsten-fresnel-650, at: [-4, -3, 3], aim: [0, 2, 0.5]}
  - {name: fill, head: {shape: panel, lumens: 3000, size: [0.6, 0.6]}, at: [4, -3, 2], aim: [0, 2, 0.5]}
  - {name: moon, moon: {azimuth: 40, elevation: 30}}
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no kill -9 there")
def test_killed_at_random_moments_fifty_times(tmp_path: Path) -> None:
    scene = tmp_path / "scene.yaml"
    scene.write_text(SCENE, encoding="utf-8")
    answer = subprocess.run(
        [sys.executable, "-m", "tests.trace.frame_killer", str(scene), str(tmp_path)],
        cwd=ROOT,
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert answer.returncode == 0, answer.stderr
    killed, wrong, entries, parts = (int(word) for word in answer.stdout.split())
    assert killed == 50
    assert wrong == 0
    assert entries > 10
    # What the last kill left may still be there; nothing of those before is.
    assert parts <= 12
