"""Wear: a garment put on a person in a pose, hung and closed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.body import ARMS, TRUNK, Field, body, field
from preview.build.sculpt.cloth import evened, hung, sheet_of
from preview.build.sculpt.garments import CUTTINGS, top_cuts, top_shape, trouser_cuts, trouser_shape
from preview.build.sculpt.shapes import step
from preview.build.sculpt.sheets import Cloth, carried, cut_out, weights
from preview.script.people import PEOPLE, PersonName
from preview.script.poses import POSES, PoseName
from preview.script.skeleton import BONES, SIDES, Side, Skeleton, posed, rest

GRID = 16.0
"""Millimetres of the grid on which a body is felt."""
STEPS = 64


@dataclass(frozen=True)
class Fields:
    """What cloth rests on in a pose: the trunk with the legs, each arm."""

    trunk: Field
    arms: Mapping[Side, Field]


@cache
def fields(name: PersonName, pose: PoseName) -> Fields:
    skeleton = posed(name, POSES[pose])
    places = np.array(list(skeleton.joints.values()))
    margin = 0.16 * skeleton.person.stature
    low, high = places.min(axis=0) - margin, places.max(axis=0) + margin
    trunk = field(body(name, skeleton, TRUNK), low, high, GRID)
    arms = {}
    for side, _ in SIDES:
        bones = tuple(bone for bone in ARMS if bone.endswith(side))
        ends = np.array([skeleton.joints[f"{joint}.{side}"] for joint in ("shoulder", "forearm", "hand")])
        reach = 0.09 * skeleton.person.stature
        arms[side] = field(
            body(name, skeleton, bones), ends.min(axis=0) - reach, ends.max(axis=0) + reach, GRID * 0.7
        )
    return Fields(trunk, arms)


@dataclass(frozen=True)
class Garment:
    """A garment of one person, cut: its cloth at rest, what bones carry it, how it hangs."""

    person: PersonName
    name: str
    cloth: Cloth
    share: Floats
    held: Floats
    clear: Floats
    lengths: Floats
    """Length (n,) of the cloth at each vertex against its cut."""
    bending: float
    tucked: Floats
    """How much (n,) of it is under other clothes and keeps close to the body."""


def _distances(name: PersonName, points: Floats) -> tuple[Floats, dict[Side, Floats]]:
    start = rest(name)
    arms = {
        side: body(name, start, tuple(bone for bone in ARMS if bone.endswith(side)))(points)
        for side, _ in SIDES
    }
    return body(name, start, TRUNK)(points), arms


@cache
def top(name: PersonName, garment: str) -> Garment:
    cutting, person = CUTTINGS[garment], PEOPLE[name]
    tall = person.stature
    size = tall / 1750
    cell = (21.5 if cutting.hem < 0.8 else 19.0) * (0.35 + 0.65 * size)
    box = np.array([720.0, 340.0]) * size * 1.05
    hem = cutting.hem * person.hip
    cloth = cut_out(
        top_shape(name, cutting), (-box[0], -box[1], hem - 0.09 * tall), (box[0], box[1], 0.96 * tall), cell,
        top_cuts(name, cutting),
    )  # fmt: skip
    v = cloth.vertices
    trunk, arms = _distances(name, v)
    share = weights(name, v, trunk, arms, skirt=person.hip if cutting.hem < 0.95 else 0.0)
    z = v[:, 2]
    of_arm = share[:, [i for i, bone in enumerate(BONES) if bone.split(".")[0] in ("arm", "forearm")]].sum(
        axis=1
    )
    shoulder = step(person.acromion - 0.085 * tall, person.acromion - 0.015 * tall, z)
    all_arm = share[
        :, [i for i, bone in enumerate(BONES) if bone.split(".")[0] in ("shoulder", "arm", "forearm")]
    ].sum(axis=1)
    held = cutting.hold * shoulder * (1 - all_arm)
    # A sleeve hangs from the shoulder and rests on the wrist; a lapel is stiff.
    held = np.maximum(
        held,
        0.10
        * cutting.hold
        * step(person.acromion - 0.18 * tall, person.acromion - 0.05 * tall, z)
        * (1 - of_arm),
    )
    near_hem = step(hem + 0.045 * tall, hem + 0.02 * tall, z) * (of_arm < 0.5)
    if cutting.gather < 1.0:
        held = np.maximum(held, 0.25 * near_hem)
    clear = cutting.clear * tall + (cutting.over - cutting.clear) * tall * step(
        person.hip + 0.08 * tall, person.hip, z
    )
    # Sleeves are the longest: they stack above the cuff.
    lengths = 1.0 + (cutting.slack - 1.0) * (1 - 0.8 * shoulder) + 0.03 * of_arm
    lengths *= 1.0 + (cutting.gather - 1.0) * near_hem
    return Garment(
        name, garment, cloth, share, np.clip(held, 0, 0.98), clear, lengths, cutting.bending, np.zeros(len(v))
    )


@cache
def bottom(name: PersonName, *, tight: bool = False) -> Garment:
    person = PEOPLE[name]
    tall, size = person.stature, person.stature / 1750
    cell = 21.0 * (0.35 + 0.65 * size)
    cloth = cut_out(
        trouser_shape(name, tight=tight),
        (-0.19 * tall, -0.19 * tall, -0.1 * tall),
        (0.19 * tall, 0.19 * tall, 0.76 * tall),
        cell,
        trouser_cuts(name),
    )
    v = cloth.vertices
    none = {side: np.full(len(v), 1e3) for side, _ in SIDES}
    share = weights(name, v, np.zeros(len(v)), none, skirt=0.0)
    waist = step(person.hip + 0.05 * tall, person.hip + 0.10 * tall, v[:, 2])
    under = 0.9 * step(0.80 * person.hip, 0.90 * person.hip, v[:, 2])
    held = np.ones(len(v)) if tight else np.maximum(np.maximum(0.9 * waist, under), 0.04)
    lengths = 1.0 + 0.026 * step(person.hip, 0.5 * person.hip, v[:, 2])
    return Garment(
        name,
        "tights" if tight else "trousers",
        cloth,
        share,
        np.clip(held, 0, 0.98),
        np.full(len(v), 0.0035 * tall),
        lengths,
        0.25,
        under / 0.9,
    )


def contact(
    garment: Garment, pose: PoseName, skeleton: Skeleton
) -> Callable[[Floats], tuple[Floats, Floats]]:
    felt = fields(garment.person, pose)
    tall = skeleton.person.stature
    index = {
        side: [
            i
            for i, bone in enumerate(BONES)
            if bone in (f"arm.{side}", f"forearm.{side}", f"shoulder.{side}")
        ]
        for side, _ in SIDES
    }
    of_arm = {side: garment.share[:, rows].sum(axis=1) for side, rows in index.items()}
    sleeve = sum(of_arm.values())
    floor = 0.005 * tall
    seat = seat_height(skeleton) + 1.0 if POSES[pose].on_seat else None
    front = min(skeleton.joints[f"shin.{side}"][1] for side, _ in SIDES) - 0.06 * tall

    def inside(points: Floats) -> tuple[Floats, Floats]:
        distance, way = felt.trunk(points)
        # A sleeve lies on the cloth of the trunk; its shoulder belongs to both.
        deep = garment.clear + np.where(sleeve > 0.9, 0.008 * tall, 0.0) - distance
        deep[(sleeve > 0.25) & (sleeve <= 0.9)] = -1.0
        for side, _ in SIDES:
            mine = np.flatnonzero(of_arm[side] > 0.25)
            near, out = felt.arms[side](points[mine])
            depth = garment.clear[mine] - near
            worse = depth > deep[mine]
            deep[mine[worse]] = depth[worse]
            way[mine[worse]] = out[worse]
        low = floor - points[:, 2]
        if seat is not None:
            low = np.where(
                (points[:, 1] < front) & (points[:, 2] > seat - 0.05 * tall), seat - points[:, 2], low
            )
        under = low > np.maximum(deep, 0.0)
        deep[under] = low[under]
        way[under] = (0.0, 0.0, 1.0)
        if pose == "lean":
            behind = -WALL * tall + 1.0 - points[:, 1]
            beyond = behind > np.maximum(deep, 0.0)
            deep[beyond] = behind[beyond]
            way[beyond] = (0.0, 1.0, 0.0)
        return deep, way

    return inside


WALL = 0.086
"""Of stature: how far behind the head's axis the wall is that somebody leans on."""


SEAT = 0.0595
"""Of stature: how far the joints of the hips are above what somebody sits on."""


def seat_height(skeleton: Skeleton) -> float:
    return float(skeleton.joints["pelvis"][2] - SEAT * skeleton.person.stature)


def worn(garment: Garment, pose: PoseName, *, steps: int = STEPS) -> Floats:
    """The vertices of the cloth as it hangs in the pose, mm."""
    skeleton = posed(garment.person, POSES[pose])
    start = carried(garment.person, skeleton, garment.cloth.vertices, garment.share)
    if garment.held.min() > 0.97:
        return _tucked(garment, pose, start)
    sheet = sheet_of(
        garment.cloth.vertices, garment.cloth.faces, ease=garment.lengths, bending=garment.bending
    )
    touch = contact(garment, pose, skeleton)
    place = hung(start, sheet, held=garment.held, contact=touch, steps=steps)
    # Edges keep their line.
    edges = np.concatenate(garment.cloth.loops)
    fast = garment.held.copy()
    fast[edges] = 1.0
    place = evened(place, garment.cloth.faces, held=fast, share=0.45, times=2)
    deep, way = touch(place)
    place = _tucked(garment, pose, place + np.maximum(deep, 0.0)[:, None] * way)
    return drawn_up(garment, skeleton, place)


PAST_WRIST = 0.010
"""Of stature: how far a sleeve goes past the wrist."""


def drawn_up(garment: Garment, skeleton: Skeleton, place: Floats) -> Floats:
    """Sleeves that hang over the hand drawn up the forearm, where they stack."""
    tall, start = skeleton.person.stature, rest(garment.person)
    for side, _ in SIDES:
        mine = garment.share[:, BONES.index(f"forearm.{side}")]
        if not mine.any():
            continue
        elbow, wrist = start.joints[f"forearm.{side}"], start.joints[f"hand.{side}"]
        along = (garment.cloth.vertices - elbow) @ (wrist - elbow) / skeleton.person.forearm**2
        way = (skeleton.joints[f"hand.{side}"] - skeleton.joints[f"forearm.{side}"]) / skeleton.person.forearm
        cuff = np.flatnonzero((mine > 0.99) & (along > 1.0))
        past = (place[cuff] - skeleton.joints[f"hand.{side}"]) @ way
        excess = float(np.clip(past.mean() - PAST_WRIST * tall, 0.0, 0.045 * tall))
        place = place - (excess * mine * step(0.25, 1.0, along))[:, None] * way
    return place


TUCK = 4.0
"""Millimetres past its clearance that tucked cloth stands off the body."""


def _tucked(garment: Garment, pose: PoseName, place: Floats) -> Floats:
    distance, way = fields(garment.person, pose).trunk(place)
    most = TUCK if garment.name == "trousers" else -TUCK
    too_far = np.clip(distance - garment.clear - most, 0.0, 60.0) * garment.tucked
    return place - too_far[:, None] * way
