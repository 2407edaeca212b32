"""Bun and pony tail."""

from __future__ import annotations

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.hair_cuts import KNOT
from preview.build.sculpt.hair_locks import Tress, combed, gathered, ribbons, unit
from preview.build.sculpt.hair_mass import closed
from preview.build.sculpt.head import Head
from preview.build.sculpt.shapes import chain, ellipsoid

TAIL = (
    (0, -104, 46, 11),
    (0, -126, 40, 15),
    (2, -136, 4, 19),
    (4, -128, -50, 18),
    (7, -120, -105, 12),
    (9, -116, -150, 4),
)
"""Stations (x, y, z, radius) of a pony tail on the man's head."""


def bun(head: Head, lot: np.random.Generator) -> Tress:
    centre = head.placed(KNOT)[0] + np.array([0.0, -8.0, 2.0])
    radii = (31.0, 24.0, 29.0)

    def ball(points: Floats) -> Floats:
        return ellipsoid(points, tuple(centre), radii)

    count, points = 80, 7
    start = centre + unit(lot.normal(size=(count, 3)) * (1, 1, 1)) * radii
    start = start[start[:, 1] < centre[1] + 14]
    count = len(start)
    slant = lot.normal(0.0, 0.25, count)

    def field(place: Floats, normal: Floats) -> Floats:
        round_ = np.cross(normal, np.tile((0.25, -1.0, 0.2), (len(place), 1)))
        return unit(unit(round_) + slant[:, None] * np.cross(normal, unit(round_)))

    along = np.linspace(0, 1, points)
    rise = lot.uniform(0.3, 3.0, count)[:, None] * np.ones(points)
    path, outward = combed(ball, start, field, length=np.full(count, 62.0), rise=rise, points=points)
    width = (
        8.0
        * np.interp(along, (0, 0.2, 0.8, 1), (0.15, 1, 1, 0.15))[None, :]
        * lot.uniform(0.7, 1.2, count)[:, None]
    )
    shade = lot.uniform(0.75, 1.2, count)[:, None] * np.ones(points)[None, :]
    solid = closed(lambda p: ball(p) + 0.5, 3.0, 700, shade=0.6)
    return gathered(solid, ribbons(path, outward, width, ridge=0.25, shade=shade))


def tail(head: Head, lot: np.random.Generator) -> Tress:
    s = head.scale
    offset = head.placed(KNOT)[0] - np.asarray(KNOT) * s
    stations = [(x * s, y * s + offset[1], z * s + offset[2], r * s) for x, y, z, r in TAIL]
    solid = closed(lambda p: chain(p, [(*q[:3], 0.7 * q[3]) for q in stations], 6.0), 3.0, 900, shade=0.6)
    count, points = 150, 9
    at = np.linspace(0, len(stations) - 1, points)
    middle = np.stack(
        [np.interp(at, range(len(stations)), [q[i] for q in stations]) for i in range(4)], axis=1
    )
    angle, first = lot.uniform(0, 2 * np.pi, count), lot.uniform(0.0, 0.45, count)
    depth = np.sqrt(lot.uniform(0.45, 1.1, count))
    along = np.linspace(0, 1, points)
    t = first[:, None] + (1 - first)[:, None] * along * lot.uniform(0.75, 1.05, count)[:, None]
    centre = np.stack([np.interp(t, np.linspace(0, 1, points), middle[:, i]) for i in range(4)], axis=-1)
    turn = angle[:, None] + 0.5 * t + 0.25 * np.sin(5 * t + angle[:, None])
    across = np.stack([np.cos(turn), np.sin(turn), np.zeros_like(turn)], axis=-1)
    run = unit(np.gradient(centre[..., :3], axis=1))
    out = unit(across - np.einsum("nki,nki->nk", across, run)[..., None] * run)
    path = centre[..., :3] + out * (centre[..., 3] * depth[:, None])[..., None]
    width = (
        7.5
        * s
        * np.interp(along, (0, 0.15, 0.7, 1), (0.3, 1, 0.8, 0.05))[None, :]
        * lot.uniform(0.7, 1.2, count)[:, None]
    )
    shade = lot.uniform(0.75, 1.2, count)[:, None] * np.ones(points)[None, :]
    band = closed(lambda p: ellipsoid(p, stations[0][:3], (15 * s, 9 * s, 14 * s)), 2.5, 240, shade=0.4)
    return gathered(solid, band, ribbons(path, out, width, ridge=0.22, shade=shade))
