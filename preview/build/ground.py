"""Ground: the level surface that everything stands on, cut finer towards its middle."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Part, flat
from preview.build.site import Site
from preview.build.solids import plate
from preview.script.models.pieces.ground import Ground

RINGS = (6.0, 20.0, 60.0)
"""Metres from the middle where the surface is cut, so that no triangle near the action is hundreds of metres long."""


def build_ground(name: str, model: Ground, site: Site) -> list[Part]:
    """One level surface at the ground's height that looks up; it has no underside."""
    half_x, half_y = model.size[0] / 2, model.size[1] / 2
    cuts = [(-ring, -ring, ring, ring) for ring in RINGS if ring < max(half_x, half_y)]
    # Slits of no width make the cuts without a hole.
    lines = [(a0, b0, a0, b0) for a0, b0, _, _ in cuts] + [(a1, b1, a1, b1) for _, _, a1, b1 in cuts]
    surface = plate((-half_x, half_x), (-half_y, half_y), lines).face(0.0)
    return [flat(name, model.material, surface + np.array([*model.at, model.height]), wet=model.wet)]
