"""Shadow maps against Embree's rays, over every way that a lamp can look."""

from __future__ import annotations

import numpy as np
import pytest

from preview.build.mesh import flat
from preview.build.solids import boxes
from preview.light.emitters.ball import Ball
from preview.light.emitters.distant import Distant
from preview.light.emitters.dome import Dome
from preview.light.emitters.gated import Gated
from preview.light.emitters.patch import Patch
from preview.light.emitters.tube import Tube
from preview.light.light import Emitter
from preview.light.vectors import dot
from preview.raster.driver import canvas
from preview.raster.shadow import Places, ShadowMap, shadow_maps, visible
from preview.trace.geometry import Geometry, Points
from tests.raster import yard

yard.need_driver()

LAMP = np.array([0.2, -0.1, 0.3])
EYES = np.array([[-2.5, -2.2, -1.8], [2.4, 2.6, 1.9], [-2.0, 2.0, 2.0], [2.0, -2.5, -2.0]])


@pytest.fixture(scope="module")
def room() -> Geometry:
    """A closed room with blocks between its middle and each of its six sides, and some askew."""
    parts = [flat("room", "grey", boxes([-3.0, -3.0, -3.0], [3.0, 3.0, 3.0]))]
    middles = [sign * 1.4 * np.eye(3)[axis] for axis in range(3) for sign in (-1.0, 1.0)]
    middles += list(np.random.default_rng(2).uniform(-2.0, 2.0, (8, 3)))
    for number, middle in enumerate(middles):
        if np.linalg.norm(middle - LAMP) > 1.0:
            parts.append(
                flat(f"block {number}", "grey", boxes((middle - 0.35).tolist(), (middle + 0.35).tolist()))
            )
    return yard.geometry(*parts)


def points_seen(room: Geometry, count: int = 6000) -> Points:
    """Where rays from four corners in all directions meet the room."""
    rng = np.random.default_rng(11)
    ways = rng.normal(size=(count, 3))
    ways = (ways / np.linalg.norm(ways, axis=1)[:, None]).astype(np.float32)
    start = EYES[np.arange(count) % len(EYES)].astype(np.float32)
    hit = room.rays.hit(start, ways)
    met = np.flatnonzero(hit.face >= 0)
    return room.points(hit.take(met), np.ascontiguousarray(ways.T[:, met]))


def agreement(room: Geometry, emitter: Emitter, share: float) -> tuple[float, float]:
    """Share of the lit points on which maps and rays agree about the emitter's middle; share of those in shadow."""
    points = points_seen(room)
    middle = np.full((2, len(points)), 0.5, np.float32)
    direction, distance, lux = emitter.arrive(points.position, points.normal, middle)
    lit = np.flatnonzero((lux * dot(direction, points.normal) > 0.0) & (lux > 1e-3 * lux.max()))
    assert len(lit) > share * len(points)
    start = points.start + np.float32(2e-4) * points.facet
    blocked = room.rays.blocked(start.T[lit], direction.T[lit], np.minimum(distance[lit], 20.0) - 4e-3)
    with canvas() as sheet:
        sheet.hold(room.world)
        maps = shadow_maps(emitter, Places(points, np.full(len(points), 0.01, np.float32)), sheet, room.world)
    assert maps
    seen = visible(maps, points.take(lit))
    return float(((seen < 0.5) == blocked).mean()), float(blocked.mean())


FORWARD = np.array([0.3, 0.5, -0.4]) / np.linalg.norm([0.3, 0.5, -0.4])
SPOT = Patch(LAMP, FORWARD, (1e-3, 1e-3), 100.0, profile=yard.cone)


@pytest.mark.parametrize(
    ("emitter", "share"),
    [
        (Ball(LAMP, 1e-3, 1e6), 0.5),
        (Tube(LAMP, np.array([0.0, 0.6, 0.8]), 2e-3, 1e-4, 100.0), 0.5),
        (Patch(LAMP, FORWARD, (1e-3, 1e-3), 100.0), 0.2),
        (SPOT, 0.02),
        (Gated(SPOT, LAMP + 0.1 * FORWARD, FORWARD, (0.02, 0.02), 0.1), 0.02),
    ],
    ids=["ball", "tube", "patch", "spot", "gated spot"],
)
def test_maps_see_what_rays_see(room, emitter, share):
    same, shaded = agreement(room, emitter, share)
    print(f"{type(emitter).__name__}: {shaded:.3f} in shadow, {same:.4f} agree")
    assert shaded > 0.03
    assert same > 0.998


def test_maps_of_the_moon():
    """Blocks on open ground, seen from above."""
    parts = [yard.quad("ground", (-30, -30, -3), (30, -30, -3), (30, 30, -3), (-30, 30, -3))]
    parts += [
        flat(f"block {x} {y}", "grey", boxes([x, y, -3.0], [x + 0.8, y + 0.8, z]))
        for x, y, z in ((-3.5, -1, -1), (2, 1, 0), (0, -3.2, -2.5))
    ]
    same, shaded = agreement(yard.geometry(*parts), Distant(yard.TOWARDS, 1.0, 1e-4), 0.2)
    assert shaded > 0.01
    assert same > 0.998


def test_a_dome_has_none(room):
    with canvas() as sheet:
        sheet.hold(room.world)
        places = Places(points_seen(room, 40), np.full(40, 0.01, np.float32))
        assert shadow_maps(Dome(1.0), places, sheet, room.world) == ()


def test_beyond_every_map_all_is_lit(room):
    maps: tuple[ShadowMap, ...] = ()
    assert (visible(maps, points_seen(room, 40)) == 1.0).all()
