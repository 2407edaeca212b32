"""Moon plan: what of a sweep's set is drawn from above, and where its directions lie round it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World
from preview.commands.moon.figures import BUILDINGS, GROUND, TREES
from preview.commands.moon.sweep import Sweep
from preview.script.models.pieces.growth import Reeds
from preview.sheets.answer.blocks import Drawing
from preview.sheets.from_above import on_triangles
from preview.sheets.moon_plan import Mark, Plan, Spread, Standing, moon_plan

Floats = NDArray[np.float64]

STREWN: Final = 20_000
"""Points over a piece."""
UPRIGHT: Final = 0.02
"""What a square metre of an upright face counts against one that lies level."""
NEAR_BY: Final = 4.0
"""A building that reaches no farther than so many times the distances of camera and cast is drawn whole."""
NEAREST: Final = 8.0
FARTHEST: Final = 60.0
"""Metres that are drawn at least and at most."""


def drawing(sweep: Sweep, places: Sequence[tuple[int, bool]]) -> Drawing:
    """The plan, with each direction's place in the ranking and whether its moon is in shot."""
    scene, view = sweep.ready.scene, sweep.ready.view
    level = np.array([view.forward[0], view.forward[1]])
    if np.linalg.norm(level) < 1e-6:
        level = np.array([view.up[0], view.up[1]])
    level /= np.linalg.norm(level)
    camera = view.position[:2]
    told = [np.array(figure.at) for figure in scene.cast] or [sweep.moon.at[:2]]
    spreads = _spreads(sweep)
    middle, reach = extent([camera, *told], spreads, level)
    marks = tuple(
        Mark(one.azimuth_deg, one.height_deg, place, in_shot)
        for one, (place, in_shot) in zip(sweep.directions, places, strict=True)
    )
    figures = []
    for figure in scene.cast:
        facing = scene.anchors[f"{figure.name}.face"].facing or (0.0, 1.0, 0.0)
        way = np.array(facing[:2]) / max(float(np.hypot(*facing[:2])), 1e-6)
        figures.append(Standing(figure.name, figure.at, (float(way[0]), float(way[1]))))
    plan = Plan(
        (float(camera[0]), float(camera[1])),
        (float(level[0]), float(level[1])),
        view.tan_half_width,
        (float(middle[0]), float(middle[1])),
        reach,
        spreads,
        tuple(figures),
        marks,
        sweep.north_deg,
    )
    in_shot = " A blue ring: the moon is in shot." if any(shown for _, shown in places) else ""
    return Drawing(
        "Where they come from",
        moon_plan(plan),
        "The set from above, the camera looking up the sheet; round it each direction of the moon with its place in the "
        "ranking, azimuth by azimuth.",
        "The camera looks up the sheet. Round the set lies the sky, its lowest moons outside; numbers are places in the "
        f"ranking, the first three filled.{in_shot} Grey: buildings and things; pale green: trees."
        + ("" if sweep.north_deg == 0.0 else " Azimuths are of the plan; the arrow is true north."),
    )


def extent(places: Sequence[Floats], spreads: Sequence[Spread], ahead: Floats) -> tuple[Floats, float]:
    """The middle (2,) m and the reach, m, of what is drawn: camera and cast, and each building that is not far off."""
    points = np.array(places)
    about = points.mean(axis=0)
    far = NEAR_BY * max(4.0, float(np.linalg.norm(points - about, axis=1).max()))
    for one in spreads:
        if (
            one.kind == "building"
            and len(one.points)
            and np.linalg.norm(one.points - about, axis=1).max() < far
        ):
            points = np.concatenate([points, one.points])
    axes = np.array([[ahead[1], -ahead[0]], ahead])
    along = points @ axes.T
    middle = 0.5 * (along.min(axis=0) + along.max(axis=0))
    reach = 1.12 * float(np.linalg.norm(along - middle, axis=1).max()) + 0.5
    return middle @ axes, float(np.clip(reach, NEAREST, FARTHEST))


def _spreads(sweep: Sweep) -> tuple[Spread, ...]:
    """Buildings, walls and trees as points from above."""
    world = sweep.ready.world
    owner = np.array([name.partition(".")[0] for name in world.names], dtype=object)
    found = []
    for name, piece in sweep.ready.scene.set:
        kind: Literal["building", "thing", "growth"]
        if isinstance(piece, BUILDINGS):
            kind = "building"
        elif isinstance(piece, TREES):
            kind = "growth"
        elif isinstance(piece, (*GROUND, Reeds)):
            continue
        else:
            kind = "thing"
        points = strewn(world, np.flatnonzero(owner == name))
        found.append(Spread(name, kind, points))
    return tuple(found)


def strewn(world: World, parts: NDArray[np.intp]) -> Floats:
    """Points (n, 2) m over some parts, most where they lie level, as seen from above; the same each time."""
    own = np.zeros(len(world.names) + 1, bool)
    own[parts] = True
    faces = world.faces[own[world.part_of_face]]
    if len(faces) == 0:
        return np.zeros((0, 2))
    generator = np.random.default_rng(1)
    corners = world.vertices[faces].astype(np.float64)
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    # What stands upright has hardly any area from above, and is to be seen all the same.
    area = np.abs(cross[:, 2]) + UPRIGHT * np.linalg.norm(cross, axis=1)
    if area.sum() <= 0.0:
        return corners[:, 0, :2]
    sums = np.cumsum(area)
    places = (np.arange(STREWN) + 0.5) / STREWN * sums[-1]
    chosen = corners[np.searchsorted(sums, places).clip(max=len(corners) - 1)]
    a, b = generator.random(STREWN), generator.random(STREWN)
    return on_triangles(chosen, a, b)[:, :2]
