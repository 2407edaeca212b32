"""Sheets: clothes as they are cut, meshes with openings, and how they follow bones and are closed again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from preview.build.mesh import Floats, Indices, vertex_normals
from preview.build.sculpt.nets import evaluate, gradient, surface
from preview.build.sculpt.shapes import Shape, Triple, step
from preview.script.people import PersonName
from preview.script.skeleton import BONES, SIDES, Side, Skeleton, rest


@dataclass(frozen=True)
class Cut:
    """An opening: what lies past a plane, within `reach` mm of its middle, is cut away."""

    middle: Floats
    outward: Floats
    reach: float
    depth: float
    """How far its edge is turned in, mm."""


@dataclass(frozen=True)
class Cloth:
    """A sheet at rest. `loops`: the vertices round each opening, in order, the cloth on their left seen from outside."""

    vertices: Floats
    faces: Indices
    loops: tuple[Indices, ...]
    depths: tuple[float, ...]


def cut_out(shape: Shape, low: Triple, high: Triple, cell: float, cuts: Sequence[Cut]) -> Cloth:
    vertices, faces = surface(shape, low, high, cell)
    keep = np.ones(len(faces), dtype=bool)
    middle = vertices[faces].mean(axis=1)
    for cut in cuts:
        away = middle - cut.middle
        keep &= ~((away @ cut.outward > 0) & (np.linalg.norm(away, axis=1) < cut.reach))
    faces = _largest(_trimmed(faces[keep], len(vertices)))
    used, flat = np.unique(faces, return_inverse=True)
    vertices, faces = vertices[used], flat.reshape(-1, 3).astype(np.int32)
    loops = _loops(faces)
    owner = [
        int(np.argmin([np.linalg.norm(vertices[loop].mean(axis=0) - cut.middle) for cut in cuts]))
        for loop in loops
    ]
    vertices = _relaxed(shape, vertices, faces, loops, [cuts[o] for o in owner], cell)
    order = np.argsort(owner, kind="stable")
    return Cloth(vertices, faces, tuple(loops[i] for i in order), tuple(cuts[owner[i]].depth for i in order))


def _borders(faces: Indices) -> Indices:
    """Directed edges (k, 2) that have no twin."""
    directed = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]).astype(np.int64)
    base = directed.max() + 1
    forward, backward = directed[:, 0] * base + directed[:, 1], directed[:, 1] * base + directed[:, 0]
    return directed[~np.isin(forward, backward)].astype(np.int32)


def _trimmed(faces: Indices, count: int) -> Indices:
    """Without faces that hang by one edge or a corner."""
    for _ in range(50):
        border = _borders(faces)
        times = np.bincount(border.reshape(-1), minlength=count)
        on_border = times[faces] > 0
        base = np.int64(count)
        keys = border[:, 0].astype(np.int64) * base + border[:, 1]
        edges = sum(
            np.isin(faces[:, i].astype(np.int64) * base + faces[:, (i + 1) % 3], keys).astype(int)
            for i in range(3)
        )
        bad = (edges >= 2) | (times[faces] > 2).any(axis=1) | (on_border.all(axis=1) & (edges < 1))
        if not bad.any():
            return faces
        faces = faces[~bad]
    raise ValueError("the opening does not come clean")


def _largest(faces: Indices) -> Indices:
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    count = int(faces.max()) + 1
    ones = np.ones(2 * len(faces))
    graph = coo_matrix(
        (ones, (np.r_[faces[:, 0], faces[:, 1]], np.r_[faces[:, 1], faces[:, 2]])), (count, count)
    )
    label = connected_components(graph, directed=False)[1][faces[:, 0]]
    return faces[label == np.bincount(label).argmax()]


def _loops(faces: Indices) -> list[Indices]:
    following = dict(_borders(faces).tolist())
    loops = []
    while following:
        start = next(iter(following))
        loop, here = [start], following.pop(start)
        while here != start:
            loop.append(here)
            here = following.pop(here)
        loops.append(np.array(loop, dtype=np.int32))
    return loops


def _relaxed(
    shape: Shape, vertices: Floats, faces: Indices, loops: list[Indices], cuts: list[Cut], cell: float
) -> Floats:
    """Vertices spread evenly over the shape, those of the openings along their planes."""
    ends = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    degree = np.bincount(ends[:, 0], minlength=len(vertices))
    for turn in range(14):
        if turn < 12:
            mean = np.stack(
                [np.bincount(ends[:, 0], vertices[ends[:, 1], a], len(vertices)) for a in range(3)], axis=1
            )
            new = 0.5 * vertices + 0.5 * mean / np.maximum(degree, 1)[:, None]
        else:
            new = vertices
        for loop, cut in zip(loops, cuts, strict=True):
            here = vertices[loop]
            here = 0.5 * here + 0.25 * (np.roll(here, 1, axis=0) + np.roll(here, -1, axis=0))
            new[loop] = here - ((here - cut.middle) @ cut.outward)[:, None] * cut.outward
        slope = gradient(shape, new, 0.1 * cell)
        square = np.maximum(np.einsum("ij,ij->i", slope, slope), 0.05)
        travel = np.clip(evaluate(shape, new) / square, -cell / 2, cell / 2)
        vertices = new - travel[:, None] * slope
        for loop, cut in zip(loops, cuts, strict=True):
            vertices[loop] -= ((vertices[loop] - cut.middle) @ cut.outward)[:, None] * cut.outward
    return vertices


def turned_in(cloth: Cloth, posed: Floats) -> tuple[Floats, Indices]:
    """What closes the sheet's openings: each edge turned in, and across the inside. Vertices follow those of the sheet."""
    normal = vertex_normals(posed, cloth.faces)
    ends = np.concatenate([cloth.faces[:, [0, 1]], cloth.faces[:, [1, 2]], cloth.faces[:, [2, 0]]])
    ends = np.concatenate([ends, ends[:, ::-1]])
    degree = np.bincount(ends[:, 0], minlength=len(posed))[:, None]
    mean = (
        np.stack([np.bincount(ends[:, 0], posed[ends[:, 1], a], len(posed)) for a in range(3)], axis=1)
        / degree
    )
    points, faces, start = [], [], len(posed)
    for loop, depth in zip(cloth.loops, cloth.depths, strict=True):
        n, size = normal[loop], len(loop)
        inward = mean[loop] - posed[loop]
        inward /= np.linalg.norm(inward, axis=1, keepdims=True)
        for _ in range(12):
            inward = inward + np.roll(inward, 1, axis=0) + np.roll(inward, -1, axis=0)
            inward /= np.linalg.norm(inward, axis=1, keepdims=True)
        first = posed[loop] - 3.5 * n + 0.5 * inward
        second = posed[loop] - 5.0 * n + depth * inward
        centre = second.mean(axis=0, keepdims=True) + 0.5 * depth * inward.mean(axis=0)
        points += [first, second, centre]
        here = np.arange(size, dtype=np.int32)
        there = np.roll(here, -1)
        rings: list[Indices] = [loop, start + here, start + size + here]
        for outer, inner in pairwise(rings):
            faces += [
                np.stack([outer[there], outer[here], inner[here]], axis=1),
                np.stack([outer[there], inner[here], inner[there]], axis=1),
            ]
        last = np.full(size, start + 2 * size)
        faces.append(np.stack([rings[2][there], rings[2][here], last], axis=1))
        start += 2 * size + 1
    return np.concatenate(points), np.concatenate(faces).astype(np.int32)


def weights(
    name: PersonName, points: Floats, trunk: Floats, arms: Mapping[Side, Floats], *, skirt: float
) -> Floats:
    """How much (n, bones) each bone carries of points at rest. `trunk` (n,), `arms` (n,): distances to their flesh;
    below height `skirt` cloth hangs in one piece round both legs."""
    joints, person = rest(name).joints, rest(name).person
    x, _, z = points.T
    tall = person.stature
    share = {bone: np.zeros(len(points)) for bone in BONES}
    of_arm = {
        side: step(-0.016 * tall, 0.018 * tall, trunk - arms[side]) * (sign * x > 0) for side, sign in SIDES
    }
    left = 1.0 - of_arm["left"] - of_arm["right"]
    for side, _ in SIDES:
        shoulder, elbow, wrist = (joints[f"{bone}.{side}"] for bone in ("shoulder", "forearm", "hand"))
        upper = (points - shoulder) @ (elbow - shoulder) / person.upper_arm**2
        lower = (points - elbow) @ (wrist - elbow) / person.forearm**2
        bent = step(-0.28, 0.28, lower)
        roll = step(0.15, 0.85, upper)
        share[f"forearm.{side}"] = of_arm[side] * bent
        share[f"arm.{side}"] = of_arm[side] * (1 - bent) * roll
        share[f"shoulder.{side}"] = of_arm[side] * (1 - bent) * (1 - roll)
    hip, waist, chest = (joints[bone][2] for bone in ("pelvis", "waist", "chest"))
    above = step(waist - 0.02 * tall, chest + 0.02 * tall, z)
    upper_waist = step(waist, chest + 0.075 * tall, z)
    legs = step(hip + 0.035 * tall, hip - 0.065 * tall, z)
    share["chest"] = left * upper_waist
    share["waist"] = left * (above - upper_waist).clip(0)
    rest_of = left - share["chest"] - share["waist"]
    share["pelvis"] = rest_of * (1 - legs)
    wide = np.where(z < skirt, 0.055 * tall, 0.012 * tall)
    # Between the legs of a skirt cloth belongs to both.
    to_right = np.clip(0.5 + 0.5 * x / wide, 0.0, 1.0)
    to_right = to_right * to_right * (3 - 2 * to_right)
    for side, mine in (("left", 1 - to_right), ("right", to_right)):
        knee, ankle = joints[f"shin.{side}"], joints[f"foot.{side}"]
        bent = step(knee[2] + 0.032 * tall, knee[2] - 0.032 * tall, z) * (z >= skirt)
        foot = step(0.9 * ankle[2], 0.45 * ankle[2], z) * 0
        share[f"thigh.{side}"] = rest_of * legs * mine * (1 - bent)
        share[f"shin.{side}"] = rest_of * legs * mine * bent * (1 - foot)
    result = np.stack([share[bone] for bone in BONES], axis=1)
    return result / np.maximum(result.sum(axis=1, keepdims=True), 1e-9)


def carried(name: PersonName, skeleton: Skeleton, points: Floats, share: Floats) -> Floats:
    """Points of the rest pose as the bones take them."""
    start = rest(name)
    result = np.zeros_like(points)
    for index, bone in enumerate(BONES):
        if share[:, index].any():
            result += share[:, index : index + 1] * skeleton.moved(bone, points, start)
    return result
