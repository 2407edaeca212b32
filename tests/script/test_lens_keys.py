"""The keys of the lens: blades, glare, vignette."""

import pytest

from tests.script.scenes import faults, scene

CAMERA = "camera: {{lens: {{focal: 35 mm, {}}}, at: [0, -5, 1.5], aim: [0, 0, 1.5]}}\n"


@pytest.mark.parametrize(
    ("written", "key", "value"),
    [
        ("stop: 2", "blades", "round"),
        ("stop: 2", "glare", 0.008),
        ("stop: 2", "vignette", 0.0),
        ("blades: 7", "blades", 7),
        ("blades: round", "blades", "round"),
        ("glare: 0.5", "glare", 0.005),
        ("glare: 1.5 %", "glare", 0.015),
        ("glare: off", "glare", 0.0),
        ("vignette: 1/2 stop", "vignette", 0.5),
    ],
)
def test_what_is_read(tmp_path, written, key, value):
    assert getattr(scene(tmp_path, CAMERA.format(written)).camera.lens, key) == pytest.approx(value)


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("blades: 4", "camera.lens.blades: write round, or from 5 to 18 blades, not 4"),
        ("blades: square", 'camera.lens.blades: write round, or from 5 to 18 blades, not "square"'),
        ("glare: 30 %", 'camera.lens.glare: must be at most 20 %, not "30 %"'),
        ("vignette: -1", "camera.lens.vignette: must be at least 0, not -1"),
        ("vignette: 9 stops", 'camera.lens.vignette: must be at most 6 stops, not "9 stops"'),
    ],
)
def test_what_is_refused(tmp_path, written, told):
    assert faults(tmp_path, CAMERA.format(written)) == [f"scene.yaml:1: {told}"]
