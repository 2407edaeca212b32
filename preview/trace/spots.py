"""Spots: what samples of a tile met, ready for light to be reckoned there."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.camera.view import View
from preview.light.vectors import column, dot
from preview.trace.geometry import Geometry, Points, joined
from preview.trace.gloss import MIRRORS, Mirror, mirrored
from preview.trace.microfacet import fresnel, kept
from preview.trace.rays import Hit
from preview.trace.sampling import shifted, shifts, spread_points, stream
from preview.trace.stage import Stage
from preview.trace.tile import Tile

Array = NDArray[np.float32]
Indices = NDArray[np.intp]
Mask = NDArray[np.bool_]

NOTHING = -1
"""The part of a sample that met nothing."""


@dataclass(frozen=True)
class Met:
    """What the rays of n samples met: `part` (n,) int32 as in `Plate.part`; `pane` (n,) the part of glass before it."""

    pixel: Indices
    sample: Indices
    direction: Array
    distance: Array
    part: NDArray[np.int32]
    pane: NDArray[np.int32]
    solid_hit: Hit
    shown_hit: Hit
    pane_hit: Hit

    def facets(self, stage: Stage) -> Array:
        """Unit normals (3, n) of the triangles met, either way round; 0 where nothing was."""
        answer = np.zeros_like(self.direction)
        for geometry, hit, chosen in (
            (stage.solid, self.solid_hit, self.part >= 0),
            (stage.shown, self.shown_hit, self.part < NOTHING),
        ):
            index = np.flatnonzero(chosen)
            if len(index):
                answer[:, index] = geometry.facets(hit.face[index])
        return answer


def met(stage: Stage, view: View, tile: Tile, pixel: Indices, sample: Indices) -> Met:
    """What samples of a tile's pixels meet."""
    direction = tile.rays(view, pixel, sample)
    origin = np.broadcast_to(column(view.position), direction.shape).T
    solid, shown, pane = (
        geometry.rays.hit(origin, direction.T) for geometry in (stage.solid, stage.shown, stage.panes)
    )
    return met_of(stage, pixel, sample, direction, solid=solid, shown=shown, pane=pane)


def met_of(
    stage: Stage, pixel: Indices, sample: Indices, direction: Array, *, solid: Hit, shown: Hit, pane: Hit
) -> Met:
    """What samples meet along directions (3, n), from what they meet of each of the stage's geometries."""
    over = shown.distance < solid.distance
    part = np.full(len(pixel), NOTHING, np.int32)
    there = ~over & (solid.face >= 0)
    part[there] = stage.solid.world.part_of_face[solid.face[there]]
    part[over] = -2 - stage.shown.world.part_of_face[shown.face[over]]
    distance = np.minimum(solid.distance, shown.distance)
    before = np.full(len(pixel), NOTHING, np.int32)
    behind_glass = pane.distance < distance
    before[behind_glass] = stage.panes.world.part_of_face[pane.face[behind_glass]]
    return Met(pixel, sample, direction, distance, part, before, solid, shown, pane)


@dataclass(frozen=True)
class Glass:
    """Panes of glass before q samples: what they mirror is added to what is behind them.

    share (q,): of light that both faces of the pane mirror, over what one does; `pixel`, `sample` (q,) as of `Spots`.
    """

    points: Points
    pixel: Indices
    sample: Indices
    to_eye: Array
    distance: Array
    share: Array

    def only(self, wanted: Mask) -> Glass:
        """The same of the pixels that are `wanted` (pixels,)."""
        index = np.flatnonzero(wanted[self.pixel])
        return Glass(
            self.points.take(index),
            self.pixel[index],
            self.sample[index],
            np.take(self.to_eye, index, axis=1),
            self.distance[index],
            self.share[index],
        )


@dataclass(frozen=True)
class Spots:
    """Where light is reckoned: n places met by samples of a tile, and b samples that met nothing.

    `first`: the least number of its samples. points (n); pixel, sample (n,) which they are of; to_eye (3, n) unit;
    distance (n,) m; through (n,): share of their light that panes before them let by. bare_pixel, bare_sample,
    bare_through (b,), bare_direction (3, b): the same of samples that met nothing.
    """

    tile: Tile
    view: View
    first: int
    points: Points
    pixel: Indices
    sample: Indices
    to_eye: Array
    distance: Array
    through: Array
    bare_pixel: Indices
    bare_sample: Indices
    bare_direction: Array
    bare_through: Array
    glass: Glass
    memo: dict[object, Any] = field(default_factory=dict, repr=False)
    """What does not depend on the light, once it is known."""

    def only(self, wanted: Mask) -> Spots:
        """The same of the pixels that are `wanted` (pixels,)."""
        index, bare = np.flatnonzero(wanted[self.pixel]), np.flatnonzero(wanted[self.bare_pixel])
        return Spots(
            self.tile,
            self.view,
            self.first,
            self.points.take(index),
            self.pixel[index],
            self.sample[index],
            np.take(self.to_eye, index, axis=1),
            self.distance[index],
            self.through[index],
            self.bare_pixel[bare],
            self.bare_sample[bare],
            np.take(self.bare_direction, bare, axis=1),
            self.bare_through[bare],
            self.glass.only(wanted),
        )

    def frame(self) -> tuple[Array, Array]:
        """Frame coordinates u, v (n,) of the spots."""
        return self.tile.places(self.pixel, self.sample)

    def bare_frame(self) -> tuple[Array, Array]:
        """Those of the samples that met nothing."""
        return self.tile.places(self.bare_pixel, self.bare_sample)

    def coated(self) -> Indices:
        """Those of the points that carry a glossy coat."""
        return np.flatnonzero(self.points.ior > 1.0)

    def mirroring(self) -> Indices:
        """Those of the points that are smooth enough to show what is about them, not only lamps."""
        return np.flatnonzero((self.points.ior > 1.0) & (self.points.roughness <= MIRRORS))

    def diffuse(self) -> Array:
        """Of the light on each point (3, n): what its diffuse surface sends to the eye, 1/sr; the same for every light."""
        if "diffuse" not in self.memo:
            share, coated = self.points.reflectance * np.float32(1.0 / np.pi), self.coated()
            if len(coated):
                cosine = dot(
                    np.take(self.points.normal, coated, axis=1), np.take(self.to_eye, coated, axis=1)
                )
                share[:, coated] *= kept(np.maximum(cosine, np.float32(0.0)), self.points.ior[coated])
            self.memo["diffuse"] = share
        known: Array = self.memo["diffuse"]
        return known

    def mirror(self, stage: Stage, number: int, seed: int) -> Mirror:
        """The `number`-th reflected direction of each mirroring point; the same for every light."""
        which = self.mirroring()
        return self._reflected(0, number, seed, stage, self.points.take(which), which)

    def glass_mirror(self, stage: Stage, seed: int) -> Mirror:
        """The reflected direction of each pane."""
        return self._reflected(1, 0, seed, stage, self.glass.points, None)

    def _reflected(
        self, kind: int, number: int, seed: int, stage: Stage, points: Points, which: Indices | None
    ) -> Mirror:
        if (kind, number) not in self.memo:
            if which is None:
                pixel, sample, to_eye = self.glass.pixel, self.glass.sample, self.glass.to_eye
            else:
                pixel, sample = self.pixel[which], self.sample[which]
                to_eye = np.take(self.to_eye, which, axis=1)
            spread = spread_points(64)
            turn = shifts(self.tile.numbers()[pixel], stream(seed, "mirror", kind))
            # An edge asks again with other samples, a plain pixel with its first: each is one well-spread set.
            u = shifted(np.take(spread, (number + sample) % 64, axis=1), turn)
            self.memo[kind, number] = mirrored(points, to_eye, stage.solid, u)
        mirror: Mirror = self.memo[kind, number]
        return mirror


def spots(
    stage: Stage, view: View, tile: Tile, what: Met, chosen: Indices, *, plain: Mask | None = None
) -> Spots:
    """The spots of those `chosen` (n,) among the samples that met something, or nothing.

    `plain` (pixels,): whose first sample answers for all, which lie on one surface; None for no pixel.
    """
    part = what.part[chosen]
    there = chosen[part != NOTHING]
    bare = chosen[part == NOTHING]
    pixel_size = 2.0 * view.tan_half_width / tile.width
    pieces: list[Points] = []
    order: list[Indices] = []
    for geometry, hit, mine in (
        (stage.solid, what.solid_hit, what.part[there] >= 0),
        (stage.shown, what.shown_hit, what.part[there] < NOTHING),
    ):
        index = there[mine]
        if len(index) == 0 and pieces:
            continue
        tint = _mean_tint(geometry, hit, index, tile, plain)
        points = _points(geometry, hit, index, what.direction, pixel_size, tint)
        if geometry is stage.shown:
            points.part[:] = -2 - points.part
        pieces.append(points)
        order.append(index)
    index, points = order[0], pieces[0]
    if len(pieces) > 1:
        both = np.concatenate(order)
        sort = np.argsort(both, kind="stable")
        index, points = both[sort], joined(pieces).take(sort)
    glass = _glass(stage, what, chosen[what.pane[chosen] != NOTHING], pixel_size)
    return Spots(
        tile,
        view,
        int(what.sample[0]) if len(what.sample) else 0,
        points,
        what.pixel[index],
        what.sample[index],
        -np.take(what.direction, index, axis=1),
        what.distance[index],
        _let_by(stage, what, index),
        what.pixel[bare],
        what.sample[bare],
        np.take(what.direction, bare, axis=1),
        _let_by(stage, what, bare),
        glass,
    )


def _mean_tint(geometry: Geometry, hit: Hit, index: Indices, tile: Tile, plain: Mask | None) -> Array | None:
    """Tints (3, n) of samples `index`; where a first sample answers for a plain pixel, the mean of all its samples."""
    tint = geometry.tint(hit.take(index))
    if tint is None or plain is None or tile.samples == 1:
        return tint
    whole = np.flatnonzero((index < tile.pixels) & plain[index % tile.pixels])
    total = np.take(tint, whole, axis=1)
    for sample in range(1, tile.samples):
        more = geometry.tint(hit.take(index[whole] + sample * tile.pixels))
        assert more is not None
        total += more
    tint[:, whole] = total / np.float32(tile.samples)
    return tint


def _points(
    geometry: Geometry,
    hit: Hit,
    index: Indices,
    direction: Array,
    pixel_size: float,
    tint: Array | None = None,
) -> Points:
    """The points of samples `index`; each is told how much of the surface its pixel covers."""
    along = np.take(direction, index, axis=1)
    face = hit.take(index)
    slant = np.abs(dot(geometry.facets(face.face), along))
    footprint = face.distance * np.float32(pixel_size) / np.sqrt(np.maximum(slant, np.float32(0.01)))
    return geometry.points(face, along, footprint=footprint.astype(np.float32), raised=True, tint=tint)


def _reflects(stage: Stage, what: Met, index: Indices) -> tuple[Array, Array]:
    """What one face of the panes before samples `index` mirrors, and both with what goes to and fro between them."""
    pane = stage.panes
    slant = np.abs(dot(pane.facets(what.pane_hit.face[index]), np.take(what.direction, index, axis=1)))
    one = fresnel(slant, pane.surfaces.ior[what.pane[index]])
    return one, 2.0 * one / (1.0 + one)


def _let_by(stage: Stage, what: Met, index: Indices) -> Array:
    through = np.ones(len(index), np.float32)
    behind = np.flatnonzero(what.pane[index] != NOTHING)
    if len(behind):
        through[behind] = 1.0 - _reflects(stage, what, index[behind])[1]
    return through


def _glass(stage: Stage, what: Met, index: Indices, pixel_size: float) -> Glass:
    points = _points(stage.panes, what.pane_hit, index, what.direction, pixel_size)
    to_eye = -np.take(what.direction, index, axis=1)
    share = np.zeros(0, np.float32)
    if len(index):
        one, both = _reflects(stage, what, index)
        share = (both / np.maximum(one, np.float32(1e-6))).astype(np.float32)
    return Glass(points, what.pixel[index], what.sample[index], to_eye, what.pane_hit.distance[index], share)
