"""Figure's body: clothes, hands and shoes of a stance, from the stored bodies."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.build.cast.stored_mesh import archive, unpacked
from preview.build.mesh import Floats, Indices, Part, vertex_normals
from preview.script.figure_plan import Stance, hand_points
from preview.script.people import PEOPLE, Build
from preview.script.poses import POSES
from preview.script.skeleton import BONES, SIDES, Skeleton

GIRTHS: dict[Build, dict[str, float]] = {
    "slight": {
        "pelvis": 0.92, "waist": 0.89, "chest": 0.93, "shoulder": 0.93, "arm": 0.91, "forearm": 0.93, "thigh": 0.91,
        "shin": 0.93,
    },
    "medium": {},
    "heavy": {
        "pelvis": 1.13, "waist": 1.25, "chest": 1.13, "shoulder": 1.06, "arm": 1.13, "forearm": 1.08, "thigh": 1.14,
        "shin": 1.08,
    },
}  # fmt: skip
"""Of a medium build, across each bone."""
BELLY = 0.35
"""How much more a waist swells in front than round about."""
NEXT = {
    "pelvis": "waist", "waist": "chest", "chest": "neck", "shoulder": "forearm", "arm": "forearm", "forearm": "hand",
    "thigh": "shin", "shin": "foot",
}  # fmt: skip
"""The joint to which each bone runs."""


def body_parts(made: Stance) -> list[Part]:
    figure = made.figure
    stored = archive("bodies")
    legs = "tights" if figure.wears == "dress" else "trousers"
    wanted = {
        "top": (f"{figure.person}.{figure.wears}.top", figure.top),
        "shirt": (f"{figure.person}.{figure.wears}.shirt", figure.shirt),
        "hood": (f"{figure.person}.{figure.wears}.hood", figure.top),
        "bottom": (f"{figure.person}.{legs}", figure.bottom),
    }
    parts = [
        _cloth(made, name, key, material)
        for name, (key, material) in wanted.items()
        if f"{key}.faces" in stored and not (name == "hood" and figure.hood == "up")
    ]
    return [*parts, _hands(made), _shoes(made)]


def _cloth(made: Stance, name: str, key: str, material: str) -> Part:
    stored = archive("bodies")
    unit = 1000 * float(stored["metres_per_unit"])
    vertices = unpacked(stored[f"{key}.{made.figure.pose}"], np.int16).T * unit
    bones, shares = stored[f"{key}.bones"], stored[f"{key}.shares"] / np.float64(255)
    shares = shares / shares.sum(axis=0)
    vertices = _girth(made, vertices, bones, shares)
    if made.skeleton is not made.stored:
        vertices = _carried(made.stored, made.skeleton, vertices, bones, shares)
    faces = unpacked(stored[f"{key}.faces"], np.uint16).T.astype(np.int32)
    tint = stored[f"{key}.tint"] * float(stored["tint_per_unit"])
    return part(made, name, material, vertices, faces, vertex_normals(vertices, faces), tint)


def part(
    made: Stance,
    name: str,
    material: str,
    vertices: Floats,
    faces: Indices,
    normals: Floats,
    tint: NDArray[Any] | None,
) -> Part:
    """Of vertices (n, 3) mm and normals in the figure's axes; `tint` (n,) or (n, 3)."""
    colours = None
    if tint is not None:
        colours = np.ascontiguousarray(
            np.broadcast_to(tint.reshape(len(tint), -1), (len(tint), 3)), np.float32
        )
    return Part(
        f"{made.figure.name}.{name}",
        material,
        made.world(vertices),
        faces,
        made.directed(normals),
        tint=colours,
    )


def _girth(made: Stance, vertices: Floats, bones: NDArray[np.uint8], shares: Floats) -> Floats:
    """Vertices moved away from the bones that carry them, or nearer: folds go with the cloth."""
    girths = GIRTHS[made.figure.build]
    if not girths:
        return vertices
    moved = np.zeros_like(vertices)
    skeleton = made.stored
    front = skeleton.turns["waist"] @ np.array([0.0, 1.0, 0.0])
    for bone, share in zip(bones, shares, strict=True):
        for number in np.unique(bone):
            limb, _, side = BONES[number].partition(".")
            if limb not in girths:
                continue
            mine = np.flatnonzero((bone == number) & (share > 0))
            start = skeleton.joints[BONES[number]]
            end = skeleton.joints[f"{NEXT[limb]}.{side}" if side else NEXT[limb]]
            axis = end - start
            away = vertices[mine] - start
            along = np.clip(away @ axis / (axis @ axis), 0.0, 1.0)
            away = away - along[:, None] * axis
            away -= np.outer(away @ axis / (axis @ axis), axis)
            grow = np.full(len(mine), girths[limb] - 1.0)
            if limb == "chest":
                # A neck and its collar stay as they are.
                grow = grow * (1.0 - np.clip((along - 0.35) / 0.45, 0.0, 1.0))
            change = away * grow[:, None]
            if limb in ("waist", "pelvis", "chest"):
                ahead = np.maximum(away @ front, 0.0) * grow
                change += BELLY * (limb == "waist") * ahead[:, None] * front
            moved[mine] += share[mine, None] * change
    return vertices + moved


def _carried(
    before: Skeleton, after: Skeleton, vertices: Floats, bones: NDArray[np.uint8], shares: Floats
) -> Floats:
    """Vertices of one skeleton as another of the same person takes them."""
    result = np.zeros_like(vertices)
    for bone, share in zip(bones, shares, strict=True):
        for number in np.unique(bone):
            mine = np.flatnonzero((bone == number) & (share > 0))
            name = BONES[number]
            turn = after.turns[name] @ before.turns[name].T
            placed = (vertices[mine] - before.joints[name]) @ turn.T + after.joints[name]
            result[mine] += share[mine, None] * placed
    return result


def _hands(made: Stance) -> Part:
    stored = archive("bodies")
    unit = 1000 * float(stored["metres_per_unit"])
    pose = POSES[made.figure.pose]
    vertices, normals, faces = [], [], []
    count = 0
    slender = PEOPLE[made.figure.person].arm[2] / PEOPLE["man"].arm[2]
    slender /= PEOPLE[made.figure.person].hand / PEOPLE["man"].hand
    across = np.array([slender, 1.0, slender])
    for side, _ in SIDES:
        key = f"hand.{(pose.left if side == 'left' else pose.right).hand}"
        local = stored[f"{key}.vertices"] * unit
        out = stored[f"{key}.normals"] / across
        wrist = hand_points(made.skeleton, side, np.zeros(3))
        vertices.append(hand_points(made.skeleton, side, local * across))
        turned = hand_points(made.skeleton, side, out) - wrist
        normals.append(turned / np.linalg.norm(turned, axis=1, keepdims=True))
        corners = stored[f"{key}.faces"].astype(np.int32)
        faces.append((corners if side == "right" else corners[:, ::-1]) + np.int32(count))
        count += len(local)
    skin = f"skin {made.figure.skin}"
    return part(
        made, "hands", skin, np.concatenate(vertices), np.concatenate(faces), np.concatenate(normals), None
    )


def _shoes(made: Stance) -> Part:
    stored = archive("bodies")
    unit = 1000 * float(stored["metres_per_unit"])
    pose, person = POSES[made.figure.pose], PEOPLE[made.figure.person]
    size = person.foot / PEOPLE["man"].foot
    slender = person.leg[3] / PEOPLE["man"].leg[3] / size
    local = stored["shoe.vertices"] * unit * (slender, 1.0, 1.0)
    out = stored["shoe.normals"] / np.array([slender, 1.0, 1.0])
    corners = stored["shoe.faces"].astype(np.int32)
    vertices, normals, faces = [], [], []
    for index, (side, sign) in enumerate(SIDES):
        limbs = pose.left if side == "left" else pose.right
        bent, way = _toes_bent(local, out, limbs.toes_bent)
        mirror = np.array([sign, 1.0, 1.0])
        turn = made.skeleton.turns[f"foot.{side}"]
        sole = np.array([0.0, 0.0, -person.ankle])
        vertices.append(made.skeleton.joints[f"foot.{side}"] + (bent * mirror * size + sole) @ turn.T)
        turned = (way * mirror) @ turn.T
        normals.append(turned / np.linalg.norm(turned, axis=1, keepdims=True))
        faces.append((corners if sign > 0 else corners[:, ::-1]) + np.int32(index * len(local)))
    return part(
        made,
        "shoes",
        made.figure.shoes,
        np.concatenate(vertices),
        np.concatenate(faces),
        np.concatenate(normals),
        None,
    )


BALL = np.array([0.0, 120.0, 14.0])
"""Where a shoe bends, mm."""
BEND = 28.0
"""Over how far it bends, before and behind that."""


def _toes_bent(local: Floats, out: Floats, degrees: float) -> tuple[Floats, Floats]:
    """The toes of a shoe laid back by degrees."""
    if degrees == 0.0:
        return local, out
    share = np.clip((local[:, 1] - BALL[1] + BEND) / (2 * BEND), 0.0, 1.0)
    angle = np.radians(degrees) * share * share * (3 - 2 * share)
    cosine, sine = np.cos(angle), np.sin(angle)

    def up(v: Floats) -> Floats:
        return np.stack(
            [v[:, 0], v[:, 1] * cosine - v[:, 2] * sine, v[:, 1] * sine + v[:, 2] * cosine], axis=1
        )

    return up(local - BALL) + BALL, up(out)
