"""Hair: a thin mass over the scalp and locks combed over it."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from preview.build.mesh import Floats, Indices
from preview.build.sculpt.hair_cap import brim
from preview.build.sculpt.hair_cuts import LAYS, CutName, Lay, grown
from preview.build.sculpt.hair_knots import bun, tail
from preview.build.sculpt.hair_locks import Tress, combed, gathered, ribbons, roots, unit
from preview.build.sculpt.hair_mass import HIGH, LOW, closed
from preview.build.sculpt.head import Head
from preview.build.sculpt.head_landmarks import as_man
from preview.build.sculpt.nets import surface
from preview.build.sculpt.shapes import Shape, capsule, ellipsoid, join, meet, mirrored, step

LONG_HEIGHT = (-170, -110, -60, -20, 10, 36, 48, 56, 63, 72, 130)
LONG_FORWARD = (-14, -6, 6, 20, 30, 44, 52, 62, 76, 90, 120)
"""How far forward long hair comes."""
SHARE = 0.55
"""Of a cut's depth: its mass, without the locks."""


class Growth:
    """Hair of one head."""

    def __init__(self, head: Head) -> None:
        self.head = head
        self.lot = np.random.default_rng(7)

    @cached_property
    def scalp(self) -> tuple[Floats, Indices]:
        return surface(self.head.bare, LOW, HIGH, 4.0)

    def man(self, points: Floats) -> Floats:
        return as_man(points, self.head.face)

    def hull(self, points: Floats) -> Floats:
        """What long hair hangs over: the skull, the ears, a column round the neck."""
        s = self.head.scale
        p = mirrored(points)
        column = capsule(points, (0, -34 * s, -20 * s), (0, -40 * s, -230 * s), 54 * s, 64 * s)
        ears = ellipsoid(p, tuple(self.head.placed((70, -20, -14))[0]), (19, 24, 36))
        return join(12.0, join(50.0 * s, self.head.bare(points), column), ears)

    def thick(self, points: Floats, lay: Lay, within: Shape, share: float) -> Floats:
        """Depth (n,) of the mass below the locks."""
        return lay.depth(self.man(points)) * share * (0.08 + 0.92 * step(-2.0, 20.0, within(points)))

    def mass(self, over: Shape, lay: Lay, within: Shape, faces: int) -> Tress:
        """The closed thin mass below the locks; thinner towards the line of the hair."""

        def shape(points: Floats) -> Floats:
            skin = over(points)
            return meet(2.0, skin - self.thick(points, lay, within, SHARE), -within(points), -(skin + 4.0))

        return closed(shape, 3.2, faces, shade=0.62)

    def locks(
        self, over: Shape, lay: Lay, within: Shape, *, fall: float | None = None, spacing: float | None = None
    ) -> Tress:
        """Locks from all over the scalp, closer along the line of the hair."""

        def density(points: Floats) -> Floats:
            inside = within(points)
            result: Floats = np.where(inside > -1.0, 1.0 + 1.2 * (inside < 9.0), 0.0)
            if lay.parting is not None:
                man = self.man(points)
                result = result * (1.0 + 2.0 * (np.abs(man[:, 0] - lay.parting) < 14.0) * (man[:, 2] > 60.0))
            return result

        lot = self.lot
        hanging = fall is not None
        start = roots(*self.scalp, density, spacing or lay.spacing, lot)
        count, points = len(start), lay.points
        man = self.man(start)
        inside = within(start)
        along = np.linspace(0.0, 1.0, points)
        edge = 0.25 + 0.75 * step(-1.0, 20.0, inside)
        depth = lay.depth(man) * edge
        length = lay.length(man) * lot.uniform(0.75, 1.15, count) * (0.55 + 0.45 * step(0.0, 22.0, inside))
        far = length[:, None] * along[None, :]
        up = step(0.0, 28.0, far)
        layer = lot.uniform(0.62, 1.1, count)
        full = (lay.depth(man) * layer)[:, None] * (1 - 0.2 * along[None, :] ** 3)
        rise = (0.5 * depth * layer)[:, None] * (1 - up) + full * up + 0.7
        rise = rise + lay.fly * lot.normal(0.0, 1.0, count)[:, None] * along[None, :] ** 2 * 1.6
        swing = lot.normal(0.0, 0.16 * lay.fly, count)
        phase, wave = lot.uniform(0, 2 * np.pi, count), lot.uniform(0.03, 0.05, count)

        def field(place: Floats, normal: Floats) -> Floats:
            way = unit(lay.field(self.man(place)))
            bend = swing + 0.12 * lay.fly * np.sin(phase + wave * (place[:, 2] + place[:, 1]))
            # Neighbours lean the same way: hair lies in clumps.
            bend = bend + 0.22 * lay.fly * np.sin(
                0.11 * start[:, 0] + 0.07 * start[:, 1] + 0.09 * start[:, 2]
            )
            return unit(way + bend[:, None] * np.cross(normal, way))

        path, outward = combed(
            over,
            start,
            field,
            length=length,
            rise=np.maximum(rise, 0.3),
            points=points,
            fall=-999.0 if fall is None else fall,
            floor=lambda p: self.thick(p, lay, within, SHARE) + 0.32 * lay.width,
        )
        # None across the face, none through an ear.
        flat = path.reshape(-1, 3)
        off = self.long_line(flat) if hanging else self.ear(flat)
        clear = np.min(off.reshape(count, points), axis=1) > (-7.0 if hanging else -3.0)
        path, outward, edge, count = path[clear], outward[clear], edge[clear], int(clear.sum())
        taper = (0.12 + 0.88 * step(0.0, 12.0, far[clear])) * np.interp(
            along, (0, 0.6, 1.0), (1.0, 0.9, 0.08)
        )
        width = lay.width * lot.uniform(0.65, 1.2, count)[:, None] * (0.6 + 0.4 * edge)[:, None] * taper
        shade = (
            lot.uniform(0.72, 1.22, count)[:, None] * np.interp(along, (0, 0.4, 1), (0.8, 1.0, 1.12))[None, :]
        )
        return ribbons(path, outward, width, ridge=0.22, shade=shade, lay=lot.normal(0.0, 0.22, count))

    def ear(self, points: Floats) -> Floats:
        return ellipsoid(mirrored(self.man(points)), (76, -18, -12), (17, 13, 27))

    def line(self, points: Floats) -> Floats:
        return grown(points, self.head)

    def long_line(self, points: Floats) -> Floats:
        """Within the line of the hair, or within what hangs from it."""
        man = self.man(points)
        s = self.head.scale
        x, y, z = man.T
        front = (
            0.8 * (np.interp(z, LONG_HEIGHT, LONG_FORWARD) - y)
            + 1.5 * np.sin(0.4 * z)
            + 3.0 * np.sin(0.09 * z + 1.0)
        )
        peak = 4.0 * np.exp(-((x / 14.0) ** 2)) * step(40, 70, y)
        below = points[:, 2] + 142.0 * s + 4.0 * np.sin(0.3 * x) + 3.0 * np.sin(0.17 * x + 0.2 * y)
        return np.minimum(front + peak, below)

    def cut(self, name: CutName) -> Tress:
        bare = self.head.bare
        if name == "long":
            lay = LAYS["long"]
            hanging = self.mass(self.hull, lay, self.long_line, 3600)
            return gathered(hanging, self.locks(self.hull, lay, self.line, fall=-30.0), self.curtain(lay))
        if name == "tied":
            lay = LAYS["tied"]
            smooth = self.mass(bare, lay, self.line, 2400)
            knot = bun(self.head, self.lot) if self.head.name == "woman" else tail(self.head, self.lot)
            return gathered(smooth, self.locks(bare, lay, self.line), knot)
        if name == "bald":
            lay = LAYS["cropped"]

            def fringe(points: Floats) -> Floats:
                man = self.man(points)
                top = 18.0 - man[:, 2] + 0.25 * np.minimum(man[:, 1], 0.0) + 2.0 * np.sin(0.3 * man[:, 1])
                return np.minimum(self.line(points), top)

            return gathered(self.mass(bare, lay, fringe, 1600), self.locks(bare, lay, fringe))
        if name == "cap":
            lay = LAYS["short"]

            def below(points: Floats) -> Floats:
                return np.minimum(self.line(points), 14.0 - brim(points, self.head))

            return gathered(self.mass(bare, lay, below, 1400), self.locks(bare, lay, below, spacing=8.0))
        lay = LAYS[name]
        return gathered(self.mass(bare, lay, self.line, 2400), self.locks(bare, lay, self.line))

    def curtain(self, lay: Lay) -> Tress:
        """Locks that start on the hanging mass, so that its sides and back are hair all the way down."""
        lot = self.lot
        s = self.head.scale
        sheet = surface(lambda p: self.hull(p) - 2.0, (-140, -170, -330), (140, 140, 170), 6.0)

        def density(points: Floats) -> Floats:
            inside = self.long_line(points)
            result: Floats = np.where((inside > 0) & (points[:, 2] < 25 * s), 0.8 + 0.9 * (inside < 10), 0.0)
            return result

        start = roots(*sheet, density, 13.0, lot)
        count, points = len(start), 6
        along = np.linspace(0.0, 1.0, points)
        rise = lot.uniform(5.0, 11.0, count)[:, None] * (0.75 + 0.25 * np.sin(np.pi * along))[None, :]
        length = lot.uniform(50.0, 85.0, count)
        phase = lot.uniform(0, 2 * np.pi, count)

        def field(place: Floats, normal: Floats) -> Floats:
            sway = 0.14 * np.sin(phase + 0.045 * place[:, 2]) + 0.12 * np.sin(
                0.06 * start[:, 0] + 0.05 * start[:, 1]
            )
            return np.column_stack([sway, 0.6 * sway - 0.04, np.full(count, -1.0)])

        path, outward = combed(self.hull, start, field, length=length, rise=rise, points=points, fall=-20.0)
        taper = np.interp(along, (0, 0.25, 0.7, 1.0), (0.1, 1.0, 0.9, 0.06))
        width = lay.width * lot.uniform(0.6, 1.2, count)[:, None] * taper[None, :]
        shade = lot.uniform(0.72, 1.2, count)[:, None] * np.ones(points)[None, :]
        return ribbons(path, outward, width, ridge=0.22, shade=shade, lay=lot.normal(0.0, 0.25, count))
