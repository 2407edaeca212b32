"""The named places of a scene: every `Anchor` that the script may refer to, computed from the models alone.

Builders use the same plans (`house_plan`, `street_plan`, `figure_plan`, `places_of_trees`), so that the geometry
and the places agree.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from math import cos, hypot, pi, sin

import numpy as np
from numpy.typing import NDArray

from preview.script import figure_plan, house_plan, street_plan
from preview.script.fields import Place
from preview.script.models.cast import Figure, Mark
from preview.script.models.fixtures import Fixture
from preview.script.models.set_pieces import (
    Box,
    Fence,
    Ground,
    Hedge,
    House,
    ImportedMesh,
    LampPost,
    Piece,
    Shelter,
    Street,
    Trees,
    Wall,
)
from preview.script.places_of_trees import tree_stands
from preview.script.scene import Anchor

Point = tuple[float, float, float]
Anchors = dict[str, Anchor]
Named = Iterator[tuple[str, Anchor]]

UP: Point = (0.0, 0.0, 1.0)
DOWN: Point = (0.0, 0.0, -1.0)
CROWN = 0.62
"""Height of the middle of a crown over the height of its tree."""
EYE_LEVEL_INSIDE = 1.5
"""Height of `house.room` above the floor, metres."""
PASSES = 4
"""Facings that depend on each other are found by repetition; each pass is ten times nearer."""


def anchors_of(
    pieces: Iterable[tuple[str, Piece]],
    cast: Sequence[Figure],
    fixtures: Sequence[Fixture],
    marks: Sequence[Mark],
) -> Anchors:
    """Every named place. Parts that hang on a name which does not exist are left out, and fall where they can."""
    anchors: Anchors = {}
    posts: list[tuple[str, LampPost]] = []
    for name, piece in pieces:
        if isinstance(piece, LampPost):
            posts.append((name, piece))
        for place, anchor in _of_piece(name, piece):
            anchors.setdefault(place, anchor)
    turned_posts, turned_cast = dict.fromkeys((n for n, _ in posts), pi), [pi] * len(cast)
    for _ in range(PASSES):
        for name, post in posts:
            turned_posts[name] = _azimuth(post.facing, post.at, anchors, turned_posts[name])
            anchors |= _of_post(name, post, turned_posts[name])
        for index, figure in enumerate(cast):
            turned_cast[index] = _azimuth(figure.facing, figure.at, anchors, turned_cast[index])
            anchors |= _of_figure(figure, turned_cast[index])
    _add_fixtures(anchors, fixtures)
    for mark in marks:
        position = _position(mark.at, anchors) if mark.at is not None else None
        if position is not None and mark.name not in anchors:
            anchors[mark.name] = Anchor(position)
    return anchors


def position_of(place: Place, anchors: Anchors) -> NDArray[np.float64] | None:
    """Metres (3,) of a place, or None for a name that does not exist."""
    position = _position(place, anchors)
    return None if position is None else np.array(position)


def _position(place: Place, anchors: Anchors) -> Point | None:
    if place.of is None:
        return place.offset
    anchor = anchors.get(place.of)
    if anchor is None:
        return None
    x, y, z = (float(a + b) for a, b in zip(anchor.position, place.offset, strict=True))
    return x, y, z


def _azimuth(facing: float | Place, at: tuple[float, float], anchors: Anchors, before: float) -> float:
    if not isinstance(facing, Place):
        return facing
    towards = _position(facing, anchors)
    if towards is None or hypot(towards[0] - at[0], towards[1] - at[1]) < 1e-9:
        return before
    return float(np.arctan2(towards[0] - at[0], towards[1] - at[1]))


def _level(azimuth: float) -> Point:
    """A level unit vector towards an azimuth."""
    return sin(azimuth), cos(azimuth), 0.0


def _of_figure(figure: Figure, azimuth: float) -> Anchors:
    points = figure_plan.points(figure, azimuth)
    middle = Anchor(points.pop("middle"), _level(azimuth))
    anchors = {f"{figure.name}.{part}": Anchor(point, _level(azimuth)) for part, point in points.items()}
    return {figure.name: middle, **anchors}


def _of_post(name: str, post: LampPost, azimuth: float) -> Anchors:
    return {
        name: Anchor((*post.at, post.height / 2)),
        f"{name}.lamp": Anchor(street_plan.post_lamp(post, azimuth), DOWN),
        f"{name}.top": Anchor((*post.at, post.height), UP),
    }


def _add_fixtures(anchors: Anchors, fixtures: Sequence[Fixture]) -> None:
    """Heads and practicals as places; one may be placed by another, in any order."""
    waiting = [
        (fixture, at)
        for fixture in fixtures
        if (at := fixture.practical.at if fixture.practical is not None else fixture.at) is not None
    ]
    while waiting:
        later = []
        for fixture, at in waiting:
            position = _position(at, anchors)
            if position is None:
                later.append((fixture, at))
            elif fixture.name not in anchors:
                named = anchors.get(at.of) if at.of is not None and fixture.practical is not None else None
                anchors[fixture.name] = Anchor(
                    position, named.facing if named else None, named.size if named else None
                )
        if len(later) == len(waiting):
            return
        waiting = later


def _of_piece(name: str, piece: Piece) -> Named:
    if isinstance(piece, House):
        yield from _of_house(name, piece)
    elif isinstance(piece, Trees):
        yield from _of_trees(name, piece)
    elif isinstance(piece, Shelter):
        yield from _of_shelter(name, piece)
    elif isinstance(piece, Ground):
        yield name, Anchor((*piece.at, piece.height), UP, piece.size)
    elif isinstance(piece, Box):
        width, depth, height = piece.size
        yield name, Anchor((*piece.at, piece.height + height / 2))
        yield f"{name}.top", Anchor((*piece.at, piece.height + height), UP, (width, depth))
    elif isinstance(piece, ImportedMesh):
        yield name, Anchor((*piece.at, piece.height))
    elif isinstance(piece, Street):
        yield from _of_path(name, piece.along, 0.0, None)
    elif isinstance(piece, Wall | Hedge | Fence):
        yield from _of_path(name, piece.along, piece.height / 2, piece.height)
        if isinstance(piece, Fence):
            yield from _of_gates(name, piece)


def _of_path(name: str, path: Sequence[tuple[float, float]], height: float, top: float | None) -> Named:
    middle, _ = street_plan.along_path(path, street_plan.path_length(path) / 2)
    yield name, Anchor((*middle, height))
    yield f"{name}.start", Anchor((*path[0], height))
    yield f"{name}.end", Anchor((*path[-1], height))
    if top is not None:
        yield f"{name}.top", Anchor((*middle, top), UP)


def _of_gates(name: str, fence: Fence) -> Named:
    gates = []
    for gate in fence.gates:
        middle, azimuth = street_plan.along_path(fence.along, gate.from_start + gate.width / 2)
        # A gate faces to the right of the way its fence runs.
        gates.append(
            Anchor((*middle, fence.height / 2), _level(azimuth + pi / 2), (gate.width, fence.height))
        )
    yield from _numbered(f"{name}.gate", gates)


def _numbered(name: str, anchors: Sequence[Anchor]) -> Named:
    """`name` for the first, `name[i]` for each."""
    if anchors:
        yield name, anchors[0]
    for index, anchor in enumerate(anchors):
        yield f"{name}[{index}]", anchor


def _of_trees(name: str, trees: Trees) -> Named:
    crowns = [(x, y, CROWN * height) for x, y, height in tree_stands(trees)]
    if crowns:
        x, y, z = np.mean(crowns, axis=0).tolist()
        yield name, Anchor((x, y, z))
    for index, crown in enumerate(crowns):
        yield f"{name}[{index}]", Anchor(crown)


def _of_shelter(name: str, shelter: Shelter) -> Named:
    front = _level(shelter.facing)
    yield name, Anchor(street_plan.shelter_point(shelter, 0.0, 0.0, shelter.height / 2), front)
    yield f"{name}.roof", Anchor((*shelter.at, shelter.height), UP, shelter.size)
    yield f"{name}.lamp", Anchor(street_plan.shelter_lamp(shelter), DOWN)
    if shelter.bench:
        yield f"{name}.bench", Anchor(street_plan.shelter_bench(shelter), front)


def _of_house(name: str, house: House) -> Named:
    middle = house.floor + house.walls / 2

    def anchor(
        point: Sequence[float] | NDArray[np.float64],
        facing: NDArray[np.float64] | None = None,
        size: tuple[float, float] | None = None,
    ) -> Anchor:
        way = None if facing is None else _point(house_plan.direction_in_world(house, facing))
        return Anchor(_point(house_plan.in_world(house, np.array(point, dtype=float))), way, size)

    yield name, anchor([0.0, 0.0, middle])
    for wall in house_plan.WALLS:
        frame = house_plan.wall_frame(house, wall)
        size = (frame.length, house.walls)
        yield f"{name}.{wall}", anchor(frame.point(frame.length / 2, middle), frame.outward, size)
    for part, openings in (("door", house.doors), ("window", house.windows)):
        found = []
        for opening in openings:
            frame = house_plan.wall_frame(house, opening.wall)
            hole = house_plan.bounds(house, opening)
            centre = frame.point((hole.left + hole.right) / 2, (hole.bottom + hole.top) / 2)
            found.append(anchor(centre, frame.outward, opening.size))
        yield from _numbered(f"{name}.{part}", found)
    yield f"{name}.room", anchor([0.0, 0.0, house.floor + EYE_LEVEL_INSIDE])
    yield f"{name}.roof", anchor([0.0, 0.0, house_plan.wall_top(house) + house_plan.roof_rise(house)])
    if house.porch is not None:
        yield from _of_porch(f"{name}.porch", house, anchor)


def _of_porch(name: str, house: House, anchor: Callable[..., Anchor]) -> Named:
    assert house.porch is not None
    front = house_plan.wall_frame(house, "front")
    left, right = house_plan.porch_span(house)
    depth = house.porch.depth
    yield (
        name,
        anchor(front.point((left + right) / 2, house.floor, depth / 2), front.outward, (right - left, depth)),
    )
    yield f"{name}.lamp", anchor(house_plan.porch_lamp(house))
    steps = house_plan.porch_steps(house)
    treads = max(steps.count - 1, 0)
    # The lowest tread; where there is none, the ground before the porch.
    height = steps.riser if treads else 0.0
    out = depth + max(treads - 0.5, 0.5) * steps.tread
    yield f"{name}.step", anchor(front.point((steps.left + steps.right) / 2, height, out), front.outward)


def _point(array: NDArray[np.float64]) -> Point:
    x, y, z = array.tolist()
    return x, y, z
