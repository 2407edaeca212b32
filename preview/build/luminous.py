"""Luminous: the part of a luminaire that shines, as its photometric file outlines it."""

from __future__ import annotations

from typing import Literal

import numpy as np

from preview.build.mesh import Floats, Part, flat, smooth
from preview.build.rigging import sphere
from preview.build.solids import boxes, quads, round_bar

SIDES = 32
"""Of a round outline."""


def luminous_part(
    name: str,
    material: str,
    *,
    shape: Literal["point", "rectangle", "ellipse", "box", "ellipsoid", "cylinder"],
    half_size: Floats,
    axes: Floats,
    at: Floats,
    across: int,
) -> Part:
    """A shape of half sizes (3,) m along unit world `axes` (3, 3, rows) about `at` (3,).

    `across`: 0 to 2, the axis that a flat one faces, or along which a cylinder runs.
    """
    others = [axis for axis in range(3) if axis != across]
    if shape == "rectangle":
        corners = np.zeros((1, 4, 3))
        corners[0][:, others] = [[-1, -1], [1, -1], [1, 1], [-1, 1]]
        triangles = quads(corners)
    elif shape == "ellipse":
        turn = np.linspace(0.0, 2.0 * np.pi, SIDES + 1)
        rim = np.zeros((SIDES + 1, 3))
        rim[:, others] = np.stack([np.cos(turn), np.sin(turn)], axis=1)
        triangles = np.stack([np.zeros((SIDES, 3)), rim[:-1], rim[1:]], axis=1)
    elif shape == "box":
        triangles = boxes([-1.0, -1.0, -1.0], [1.0, 1.0, 1.0])
    else:
        ends = np.zeros((2, 3))
        ends[:, across] = [-1.0, 1.0]
        ball = sphere("", "", np.zeros(3), 1.0)
        body = round_bar("", "", ends, [1.0, 1.0], sides=SIDES) if shape == "cylinder" else ball
        triangles = body.vertices[body.faces]
    # Flat ones are wound to face their axis, whichever hand the axes are of.
    turned = (triangles * half_size) @ axes + at
    if shape in ("rectangle", "ellipse"):
        facing = np.cross(turned[0, 1] - turned[0, 0], turned[0, 2] - turned[0, 0]) @ axes[across]
        return flat(name, material, turned if facing > 0.0 else turned[:, ::-1])
    if np.linalg.det(axes) < 0.0:
        turned = turned[:, ::-1]
    if shape in ("box", "cylinder"):
        return flat(name, material, turned)
    vertices, faces = np.unique(turned.reshape(-1, 3).round(9), axis=0, return_inverse=True)
    return smooth(name, material, vertices, faces.reshape(-1, 3).astype(np.int32))
