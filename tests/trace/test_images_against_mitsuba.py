"""Whole frames of three scenes against the path tracer Mitsuba 3, rendered here and now."""

from __future__ import annotations

from pathlib import Path

import mitsuba
import numpy as np
import pytest

from preview.trace.quality import Quality
from tests.trace.shared_scenes import SHARED, SharedScene

# Median and 95th percentile of the relative error of a pixel. The reference has 256 samples a pixel: its own noise is
# about 1 % on lit floor, several per cent in penumbrae, so the percentile is held loosely, the mean tightly.
MEDIAN, P95, MEAN = 0.02, 0.12, 0.01


@pytest.mark.parametrize("scene", SHARED, ids=lambda scene: scene.name.split(":")[0])
def test_frame(scene: SharedScene, tmp_path: Path) -> None:
    mitsuba.set_variant("scalar_rgb")
    integrator = mitsuba.load_dict({"type": "path", "max_depth": scene.depth, "hide_emitters": True})
    reference = np.array(mitsuba.render(scene.mitsuba_scene(mitsuba), integrator=integrator, spp=256))[..., 0]
    bounce = 64 if scene.depth == 3 else 0
    ours = scene.ours(
        scene.geometry(), Quality(0.02, samples=16, rounds=4, bounce_rays=bounce, bounce_step=2, bounces=1)
    )
    lit = reference > 0.01 * np.median(reference[reference > 0])
    error = np.abs(ours - reference)[lit] / reference[lit]
    median, p95 = np.median(error), np.percentile(error, 95)
    mean = ours.mean(dtype=np.float64) / reference.mean(dtype=np.float64) - 1.0
    print(f"{scene.name}: median {median:.2%}, 95th percentile {p95:.2%}, mean {mean:+.2%}")
    if median > MEDIAN or p95 > P95 or abs(mean) > MEAN:
        np.savez(tmp_path / "failure.npz", ours=ours, reference=reference)
    assert median < MEDIAN
    assert p95 < P95
    assert abs(mean) < MEAN
