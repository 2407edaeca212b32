"""Tints as the raster engine sees them: those that the tracer sees."""

from __future__ import annotations

import numpy as np
import pytest

from preview.raster.engine import raster
from preview.trace.plate import trace
from preview.trace.quality import Quality
from tests.raster import yard
from tests.trace.test_tint import EAST, LUX, RHO, SIZE, WEST, card, front, stage, sun

yard.need_driver()


def test_a_card_is_drawn_by_the_mixture_of_its_corners():
    """Definition of reflectance: L = E rho / pi, with rho linear between the vertices; to the tracer as well."""
    what, view = stage(card(WEST, EAST)), front()
    drawn = raster(what, [sun()], view, width=SIZE, height=SIZE, samples=4).layers[0]
    x = (np.arange(SIZE) + 0.5) / SIZE * 2.0 * 0.24 * 4.0 - 0.24 * 4.0
    expected = LUX * RHO / np.pi * (WEST + (x[:, None] + 1.0) / 2.0 * (EAST - WEST))
    assert drawn == pytest.approx(np.broadcast_to(expected, drawn.shape), rel=2e-3)
    quality = Quality(samples=4, rounds=1, bounce_rays=0)
    traced = trace(what, [sun()], view, width=SIZE, height=SIZE, quality=quality).layers[0]
    assert drawn == pytest.approx(traced, rel=1e-3)
