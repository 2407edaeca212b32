"""Cloth: sheets of triangles that hang, fold and rest on a body.

Position based dynamics: each step moves the cloth by gravity, then edges, bends and contacts are met in turn, those that
share no vertex at once. Source: M. Müller and others, "Position Based Dynamics", 2007, from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from preview.build.mesh import Floats, Indices
from preview.build.sculpt.decimate import edges_of

Contact = Callable[[Floats], tuple[Floats, Floats]]
"""Of points (n, 3): how far (n,) each is inside what it must not enter (above 0 when it is), the way out (n, 3)."""


@dataclass(frozen=True)
class Sheet:
    """`pairs` of vertices that keep their `lengths`, in groups that share no vertex; a share of a difference is met."""

    pairs: tuple[Indices, ...]
    lengths: tuple[Floats, ...]
    shares: tuple[float, ...]


def sheet_of(vertices: Floats, faces: Indices, *, ease: Floats, bending: float) -> Sheet:
    """The sheet whose edges are those of a mesh at rest, at each vertex `ease` (n,) times as long."""
    edges = edges_of(faces)
    bends = _across(faces)
    groups: list[tuple[Indices, float]] = [(g, 1.0) for g in _apart(edges, len(vertices))]
    groups += [(g, bending) for g in _apart(bends, len(vertices))]
    return Sheet(
        tuple(g for g, _ in groups),
        tuple(
            0.5
            * (ease[g[:, 0]] + ease[g[:, 1]])
            * np.linalg.norm(vertices[g[:, 0]] - vertices[g[:, 1]], axis=1)
            for g, _ in groups
        ),
        tuple(share for _, share in groups),
    )


def _across(faces: Indices) -> Indices:
    """The two far corners of each pair of faces that share an edge."""
    directed = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    third = np.concatenate([faces[:, 2], faces[:, 0], faces[:, 1]])
    key = np.sort(directed, axis=1)
    order = np.lexsort((key[:, 1], key[:, 0]))
    key, third = key[order], third[order]
    twins = np.flatnonzero((key[1:] == key[:-1]).all(axis=1))
    return np.stack([third[twins], third[twins + 1]], axis=1).astype(np.int32)


def _apart(pairs: Indices, count: int) -> list[Indices]:
    """Groups of pairs without a shared vertex, by lot."""
    lot = np.random.default_rng(1)
    left = pairs[lot.permutation(len(pairs))]
    groups = []
    while len(left):
        rank = np.arange(len(left))
        first = np.full(count, len(left))
        np.minimum.at(first, left[:, 0], rank)
        np.minimum.at(first, left[:, 1], rank)
        mine = (first[left[:, 0]] == rank) & (first[left[:, 1]] == rank)
        groups.append(left[mine])
        left = left[~mine]
    return groups


def hung(
    start: Floats,
    sheet: Sheet,
    *,
    held: Floats,
    contact: Contact,
    steps: int,
    rounds: int = 6,
    gravity: float = 9.81e3,
) -> Floats:
    """Vertices (n, 3) mm after `steps` of a hundredth of a second; `held` (n,) 0 free to 1 fast to its start."""
    step = np.float32(0.01)
    start = start.astype(np.float32)
    place, speed = start.copy(), np.zeros_like(start)
    pull = (1.0 - (1.0 - held) ** (1.0 / rounds)).astype(np.float32)[:, None]
    fast = np.flatnonzero(held > 0)
    bonds = [
        (pairs[:, 0].copy(), pairs[:, 1].copy(), lengths.astype(np.float32), np.float32(0.5 * share))
        for pairs, lengths, share in zip(sheet.pairs, sheet.lengths, sheet.shares, strict=True)
    ]
    stiff = [bond for bond in bonds if bond[3] == 0.5]
    for turn in range(steps):
        speed[:, 2] -= np.float32(gravity) * step
        before = place
        place = place + speed * step
        for lap in range(rounds):
            # Bends are soft: every second time is enough.
            for a, b, lengths, share in bonds if lap % 2 else stiff:
                pa, pb = place.take(a, axis=0), place.take(b, axis=0)
                span = pa - pb
                long = np.sqrt(np.einsum("ij,ij->i", span, span)) + np.float32(1e-6)
                span *= (share * (1 - lengths / long))[:, None]
                place[a] = pa - span
                place[b] = pb + span
            place[fast] += pull[fast] * (start[fast] - place[fast])
            if lap % 2:
                deep, way = contact(place)
                touching = np.flatnonzero(deep > 0)
                place[touching] += (deep[touching, None] * way[touching]).astype(np.float32)
        speed = (place - before) / step
        # What touches the body is rubbed; all of it slows in air, and stops at the end.
        speed[touching] *= np.float32(0.35)
        speed *= np.float32(0.94 if turn < steps * 0.7 else 0.80)
        rate = np.sqrt(np.einsum("ij,ij->i", speed, speed))[:, None]
        speed *= np.minimum(np.float32(1.0), np.float32(1500.0) / np.maximum(rate, np.float32(1e-6)))
    return place.astype(np.float64)


def evened(place: Floats, faces: Indices, *, held: Floats, share: float, times: int) -> Floats:
    """Vertices drawn by `share` towards the middle of their neighbours, but those held: cloth takes no creases finer
    than its triangles."""
    ends = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    count = np.bincount(ends[:, 0], minlength=len(place)).clip(1)[:, None]
    for _ in range(times):
        mean = (
            np.stack([np.bincount(ends[:, 0], place[ends[:, 1], a], len(place)) for a in range(3)], axis=1)
            / count
        )
        place = place + share * (1.0 - held)[:, None] * (mean - place)
    return place
