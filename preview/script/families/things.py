"""Things that stand at one place: boxes, lamp posts, shelters."""

from __future__ import annotations

from preview.script import street_plan
from preview.script.families.family import DOWN, UP, Family, Named, Post, Vector, level, local_to
from preview.script.models.pieces.buildings import Shelter
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.things import Box, LampPost
from preview.script.scene import Anchor

POST = 0.1


def _places_of_post(name: str, post: LampPost, azimuth: float) -> Named:
    yield name, Anchor((*post.at, post.tall / 2))
    facing = None if post.kind in ("column", "bollard") else DOWN
    yield f"{name}.lamp", Anchor(street_plan.post_lamp(post, azimuth), facing)
    if post.kind == "double":
        for number, side in enumerate((1.0, -1.0)):
            yield f"{name}.lamp[{number}]", Anchor(street_plan.post_lamp(post, azimuth, side=side), facing)
    yield f"{name}.top", Anchor((*post.at, post.tall), UP)


def _in_post(point: Vector, name: str, post: LampPost) -> str | None:
    bottom = post.tall - 0.4 if post.kind == "bracket" else 0.0
    return f"the lamp post {name}" if Post(post.at, POST, bottom, post.tall).holds(point) else None


def _places_of_shelter(name: str, shelter: Shelter, azimuth: float) -> Named:
    front = level(azimuth)
    yield name, Anchor(street_plan.shelter_point(shelter, 0.0, 0.0, shelter.height / 2), front)
    yield f"{name}.roof", Anchor((*shelter.at, shelter.height), UP, shelter.size)
    yield f"{name}.lamp", Anchor(street_plan.shelter_lamp(shelter), DOWN)
    if shelter.bench:
        yield f"{name}.bench", Anchor(street_plan.shelter_bench(shelter), front)


def _places_of_box(name: str, box: Box, azimuth: float) -> Named:
    width, depth, height = box.size
    yield name, Anchor((*box.at, box.height + height / 2))
    yield f"{name}.top", Anchor((*box.at, box.height + height), UP, (width, depth))


def _in_box(point: Vector, name: str, box: Box) -> str | None:
    local = local_to(point, box.turn, box.at)
    width, depth, height = box.size
    inside = abs(local[0]) <= width / 2 and abs(local[1]) <= depth / 2
    return f"the box {name}" if inside and 0 <= local[2] - box.height <= height else None


THINGS: dict[type[Piece], Family] = {
    LampPost: Family(_places_of_post, _in_post),
    Shelter: Family(_places_of_shelter),
    Box: Family(_places_of_box, _in_box),
}
