"""Eyeballs: a white sphere, and over it the cornea with iris and pupil as one bulging mirror.

The cornea's surface carries the colours of what lies behind it: at the size of an eye in a frame their parallax is not
seen, its bulge and its catchlight are. Sizes: `preview.build.sculpt.cornea`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.cornea import IRIS_RADIUS, RADIUS
from preview.build.sculpt.hair_locks import Tress
from preview.build.sculpt.shapes import step

CORNEA, IRIS = 1000 * RADIUS, 1000 * IRIS_RADIUS
PUPIL = 2.5
"""Radius in mm, by night half open: 5 mm across at 1 cd/m2, at 30 years, by the formula of Watson and Yellott 2012, from
memory."""
AROUND = 36


@dataclass(frozen=True)
class Eye:
    """About the middle of the eyeball, looking along y."""

    white: Tress
    iris: Tress
    pupil: Tress


def _turned(radius: Floats, forward: Floats, normal_out: Floats, normal_on: Floats, tint: Floats) -> Tress:
    """A closed body of revolution round y: rings (k,) of radius, first and last nought, wound outwards from the front."""
    angle = np.arange(AROUND) * 2 * np.pi / AROUND
    ring = np.stack([np.sin(angle), np.zeros(AROUND), np.cos(angle)], axis=1)
    vertices = [np.array([[0.0, forward[0], 0.0]])]
    normals = [np.array([[0.0, np.sign(normal_on[0]), 0.0]])]
    tints = [tint[:1]]
    for r, f, out, on, t in zip(
        radius[1:-1], forward[1:-1], normal_out[1:-1], normal_on[1:-1], tint[1:-1], strict=True
    ):
        vertices.append(r * ring + (0.0, f, 0.0))
        normals.append(out * ring + (0.0, on, 0.0))
        tints.append(np.tile(t, (AROUND, 1)))
    vertices.append(np.array([[0.0, forward[-1], 0.0]]))
    normals.append(np.array([[0.0, np.sign(normal_on[-1]), 0.0]]))
    tints.append(tint[-1:])
    here, there = np.arange(AROUND), (np.arange(AROUND) + 1) % AROUND
    faces = [np.stack([np.zeros(AROUND, int), 1 + here, 1 + there], axis=1)]
    rings = len(radius) - 2
    for k in range(rings - 1):
        a, b = 1 + AROUND * k + here, 1 + AROUND * k + there
        faces += [np.stack([a, a + AROUND, b + AROUND], axis=1), np.stack([a, b + AROUND, b], axis=1)]
    last = 1 + AROUND * (rings - 1)
    faces.append(np.stack([last + here, np.full(AROUND, last + AROUND), last + there], axis=1))
    return Tress(
        np.concatenate(vertices),
        np.concatenate(faces).astype(np.int32),
        np.concatenate(normals),
        np.concatenate(tints),
    )


def eye(eyeball: float) -> Eye:
    """`eyeball`: its radius in mm."""
    polar = np.concatenate([np.linspace(0.0, 1.6, 15), np.linspace(1.8, np.pi, 7)])
    out, on = np.sin(polar), np.cos(polar)
    # Where the white goes out of sight it is redder.
    pink = step(0.7, 1.3, polar)[:, None]
    white = _turned(eyeball * out, eyeball * on, out, on, 1.0 + pink * (np.array([0.92, 0.80, 0.77]) - 1.0))
    limbus = np.sqrt(eyeball**2 - IRIS**2)
    centre = limbus - np.sqrt(CORNEA**2 - IRIS**2)

    def cap(inner: float, outer: float, tints: Floats, radii: Floats, back: float) -> Tress:
        """The cornea between two radii, closed behind."""
        r = np.linspace(inner, outer, 7)
        depth = np.sqrt(CORNEA**2 - r**2) + centre
        shade = np.stack([np.interp(r, radii, tints[:, i]) for i in range(3)], axis=1)
        if inner == 0.0:
            radius = np.concatenate([r, [outer, 0.0]])
            forward = np.concatenate([depth, [depth[-1] - back, depth[-1] - back]])
        else:
            radius = np.concatenate([[0.0, inner], r, [outer, 0.0]])
            forward = np.concatenate(
                [[depth[0] - 0.05, depth[0] - 0.05], depth, [depth[-1] - back, depth[-1] - back]]
            )
            shade = np.concatenate([shade[:1], shade[:1], shade])
        normal_out, normal_on = radius / CORNEA, (forward - centre) / CORNEA
        if inner > 0.0:
            normal_out[:2], normal_on[:2] = 0.0, 1.0
        normal_out[-2:], normal_on[-2:] = 0.0, -1.0
        shade = np.concatenate([shade, shade[-1:], shade[-1:]])
        return _turned(radius, forward, normal_out, normal_on, shade)

    radii = np.array([PUPIL, PUPIL + 0.5, 4.2, 5.0, IRIS - 0.1])
    rings = np.array([0.7, 1.25, 1.1, 0.75, 0.3])[:, None] * np.ones(3)
    return Eye(white, cap(PUPIL, IRIS, rings, radii, 0.4), cap(0.0, PUPIL, np.ones((5, 3)), radii, 0.04))
