"""Shadow: maps of what an emitter's middle sees, each fitted to places that the camera sees lit, and what they say."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World
from preview.light.emitters.ball import Ball
from preview.light.emitters.cloth import Cloth
from preview.light.emitters.distant import Distant
from preview.light.emitters.dome import Dome
from preview.light.emitters.gated import Gated
from preview.light.emitters.gridded import Gridded
from preview.light.emitters.mirrored import Mirrored
from preview.light.emitters.patch import Patch
from preview.light.emitters.softened import Softened
from preview.light.emitters.tube import Tube
from preview.light.emitters.webbed import Webbed
from preview.light.light import Emitter
from preview.light.vectors import across, dot
from preview.raster.projection import Projection
from preview.trace.geometry import Points

if TYPE_CHECKING:
    from preview.raster.canvas import Canvas

Array = NDArray[np.float32]
Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

SIDE = 1536
"""Cells along the side of a map."""
MARGIN = 0.03
"""How far a map reaches beyond the places it is fitted to, as a share of its size."""
COARSE = 1.0
"""Cells wider than this many of the camera's pixels, on half the places of a map, have it split in two."""
SPLITS = 2
"""How often a map may be split: into four at most."""
FEW = 32
"""Places that are not worth a map's being split for."""
NEAR = 0.05
"""Metres before a source within which nothing casts a shadow; half its own size, where that is more."""
STEEPEST = 100.0
"""Metres that a surface may fall away along parallel light within a cell."""
BIAS = 1e-3
"""Metres that something must stand before a surface to shade it."""


@dataclass(frozen=True)
class Places:
    """Some of what the camera sees: points, and the size (n,) m of a pixel there."""

    points: Points
    pixel: Array


@dataclass(frozen=True)
class ShadowMap:
    """closeness (SIDE, SIDE), as `Projection.closeness` has it, of what is nearest the source; row 0 is the lowest."""

    projection: Projection
    closeness: Array


def shadow_maps(emitter: Emitter, places: Places, canvas: Canvas, solid: World) -> tuple[ShadowMap, ...]:
    """The maps of an emitter, finest first, for the places that it lights; none for a dome, which throws no shadow.

    A source is seen from its middle, so its shadows are hard. `solid` is what stops light, and the first world that the
    canvas holds.
    """
    emitter = _bare(emitter)
    if isinstance(emitter, Dome) or len(places.pixel) == 0:
        return ()
    lit = _lit(emitter, places.points)
    if len(lit) == 0:
        return ()
    bounds = np.stack([solid.vertices.min(axis=0), solid.vertices.max(axis=0)]).astype(float)
    points, pixel = places.points.start[:, lit], places.pixel[lit]
    maps = []
    for projection in _projections(emitter, points, pixel, bounds):
        depth = canvas.depth(projection, width=SIDE, height=SIDE, worlds=(0,))
        maps.append(ShadowMap(projection, projection.closeness(depth)))
    return tuple(sorted(maps, key=lambda one: float(np.max(one.projection.high - one.projection.low))))


def visible(maps: Sequence[ShadowMap], points: Points) -> Array:
    """How much of the source's middle points (n) see (n,): 0 or 1, between on a cell's border; 1 beyond every map."""
    seen = np.ones(len(points), np.float32)
    left = np.arange(len(points))
    for one in maps:
        if len(left) == 0:
            break
        covered, answer = _asked(one, points.take(left) if len(left) < len(points) else points)
        seen[left[covered]] = answer
        left = np.delete(left, covered)
    return seen


def _asked(one: ShadowMap, points: Points) -> tuple[Indices, Array]:
    """Which of points a map covers, and what it answers for those."""
    projection = one.projection
    low, size = projection.low.astype(np.float32), (projection.high - projection.low).astype(np.float32)
    cell = size / np.float32(SIDE)
    place = projection.along_axes(points.start)
    ahead = place[2] > np.float32(projection.near)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = place[:2] if projection.far is not None else place[:2] / place[2]
        column = (at[0] - low[0]) / cell[0] - np.float32(0.5)
        row = (at[1] - low[1]) / cell[1] - np.float32(0.5)
        inside = ahead & (column >= 0) & (row >= 0) & (column < SIDE - 1) & (row < SIDE - 1)
    covered = np.flatnonzero(inside)
    place, column, row = np.take(place, covered, axis=1), column[covered], row[covered]
    own, slope_right, slope_up, bias = _plane(
        projection, place, points.facet[:, covered], points.transmission[covered] > 0.0
    )
    left, below = column.astype(np.int32), row.astype(np.int32)
    right_share, up_share = column - left, row - below
    answer = np.zeros(len(covered), np.float32)
    flat = one.closeness.ravel()
    for up in (0, 1):
        for right in (0, 1):
            there = np.take(flat, (below + up) * SIDE + left + right)
            expected = own + (right - right_share) * (slope_right * cell[0])
            expected += (up - up_share) * (slope_up * cell[1])
            weight = right_share if right else np.float32(1.0) - right_share
            weight = weight * (up_share if up else np.float32(1.0) - up_share)
            answer += weight * (there <= expected + bias)
    return covered, answer


def _plane(
    projection: Projection, place: Array, facet: Array, thin: NDArray[np.bool_]
) -> tuple[Array, Array, Array, Array | np.float32]:
    """Closeness (n,) of places (3, n) along a projection's axes, what it gains right and up on the surface, its leeway.

    So that a surface which slants away from the source does not shade itself. One that faces away altogether, and is
    lit for its rounded normal alone, is taken as it is.
    """
    axes = projection.axes.astype(np.float32)
    normal = axes @ facet
    if projection.far is not None:
        towards, steep = -normal[2], normal[2]
        own: Array = -place[2]
        bias: Array | np.float32 = np.float32(BIAS)
    else:
        towards = -dot(normal, place)
        steep = -towards
        own = np.float32(1.0) / place[2]
        # A depth buffer of 24 bits, near the far end, tells no less than this apart.
        bias = np.float32(BIAS) * own * own + np.float32(4.0 * 2.0**-24 / projection.near)
    follows = (np.abs(towards) > 1e-6) & ((towards > 0.0) | thin)
    steep = np.where(follows, steep, np.float32(np.inf))
    # A cell further, the surface is at most twice as close, or STEEPEST closer.
    limit = np.float32(0.5) * own if projection.far is None else np.float32(STEEPEST)
    reach = limit * np.float32(SIDE / float((projection.high - projection.low).max()))
    slopes = [np.clip(normal[axis] / steep, -reach, reach) for axis in (0, 1)]
    return own, slopes[0], slopes[1], bias


def _bare(emitter: Emitter) -> Emitter:
    """The source itself, whatever its light goes through; a board's image is taken to be on the board."""
    while isinstance(emitter, Gated | Gridded | Softened):
        emitter = emitter.source
    return emitter


DIM = 1e-4
"""Places with less than this share of the light of the brightest (but for one in twenty) need no shadow of their own."""


def _lit(emitter: Emitter, points: Points) -> Indices:
    """Which of points it would light if nothing stood between."""
    middle = np.full((2, len(points)), 0.5, np.float32)
    direction, _, lux = emitter.arrive(points.position, points.normal, middle)
    cosine = dot(direction, points.normal)
    lux = lux * np.where(cosine > 0.0, cosine, -cosine * points.transmission)
    shone = lux[lux > 0.0]
    return np.flatnonzero(lux > DIM * np.quantile(shone, 0.95)) if len(shone) else np.zeros(0, np.intp)


def _projections(emitter: Emitter, points: Array, pixel: Array, bounds: Floats) -> Iterator[Projection]:
    """Windows on points (3, n) that hold them all, as the emitter's middle looks at them."""
    if isinstance(emitter, Distant):
        forward = -emitter.towards
        corners = np.array([[bounds[i, 0], bounds[j, 1], bounds[k, 2]] for i, j, k in np.ndindex(2, 2, 2)])
        axes, centre = _axes(forward), points.mean(axis=1, dtype=np.float64)
        reach = (corners - centre) @ forward
        base = Projection(
            centre, axes, np.zeros(2), np.zeros(2), float(reach.min()) - 1.0, float(reach.max()) + 1.0
        )
        yield from _fitted(base, base.along_axes(points)[:2], np.ones_like(pixel), pixel, SPLITS)
        return
    assert isinstance(emitter, Ball | Cloth | Mirrored | Patch | Tube | Webbed)
    origin = emitter.centre
    half_size = float(emitter.softness(np.ones(1, np.float32))[0])
    away = points - origin.astype(np.float32)[:, None]
    away /= np.maximum(np.sqrt(dot(away, away)), np.float32(1e-6))
    mean = away.mean(axis=1, dtype=np.float64)
    length = float(np.linalg.norm(mean))
    level = _axes(mean / length if length > 0.1 else np.array([0.0, 0.0, -1.0]))
    # Six windows round about; those that look at nothing lit are not drawn.
    for axes in (
        level,
        level[[0, 2, 1]] * [[1], [-1], [1]],
        level[[0, 2, 1]] * [[1], [1], [-1]],
        level[[2, 1, 0]] * [[-1], [1], [1]],
        level[[2, 1, 0]] * [[1], [1], [-1]],
        level * [[-1], [1], [-1]],
    ):
        base = Projection(origin, axes, np.zeros(2), np.zeros(2), max(NEAR, half_size / 2.0))
        place = base.along_axes(points)
        within = np.flatnonzero(np.maximum(np.abs(place[0]), np.abs(place[1])) <= place[2])
        within = within[place[2, within] > base.near]
        if len(within):
            forward = place[2, within]
            yield from _fitted(base, place[:2, within] / forward, forward, pixel[within], SPLITS)


def _fitted(base: Projection, at: Array, scale: Array, pixel: Array, splits: int) -> Iterator[Projection]:
    """Windows that hold places `at` (2, n), where a unit across is `scale` (n,) m and the camera's pixel `pixel` m."""
    low, high = at.min(axis=1).astype(float), at.max(axis=1).astype(float)
    margin = MARGIN * (high - low) + 4.0 * float(np.median(pixel / scale))
    low, high = low - margin, high + margin
    cell = float((high - low).max()) / SIDE
    if splits and len(pixel) > FEW and float(np.median(cell * scale / pixel)) > COARSE:
        order = np.argsort(pixel)
        for half in np.array_split(order, 2):
            yield from _fitted(base, at[:, half], scale[half], pixel[half], splits - 1)
        return
    yield Projection(base.origin, base.axes, low, high, base.near, base.far)


def _axes(forward: Floats) -> Floats:
    """Rows right, up, forward."""
    right, up = across(forward)
    return np.stack([right, up, forward])
