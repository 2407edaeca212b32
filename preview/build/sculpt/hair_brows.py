"""Eyebrows and lashes, hair by hair."""

from __future__ import annotations

from functools import partial

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.hair_locks import Tress, combed, gathered, ribbons, unit
from preview.build.sculpt.head import Head
from preview.build.sculpt.head_eyes import THICK, margins
from preview.build.sculpt.shapes import step

ARCH = ((13, 15.5), (20, 18.2), (29, 20.6), (37, 21.2), (44, 19.2), (50, 15.0))
"""Middle of the brow, x and z of the man."""


def arch(head: Head, along: Floats) -> tuple[Floats, Floats]:
    """x and z (n,) of the middle of the brow on the skin, from its inner end, 0, to its tail, 1."""
    at = np.linspace(0.0, 1.0, len(ARCH))
    ways = head.placed(*((x, 90.0, z) for x, z in ARCH))
    lift = 0.9 - 2.4 * head.face.brow
    return np.interp(along, at, ways[:, 0]), np.interp(
        along, at, ways[:, 2] * (1.0 - 0.06 * head.face.brow * np.sin(np.pi * at))
    ) + lift


def half_breadth(along: Floats, head: Head) -> Floats:
    """Millimetres (n,) between the middle of the brow and its edge."""
    full: Floats = head.face.brows[0] * np.interp(along, (0, 0.25, 0.6, 1.0), (3.2, 4.3, 3.2, 0.8))
    return full


def on_skin(head: Head, places: Floats) -> Floats:
    """Places (n, 3) before the face moved straight back onto it."""
    moved = places.copy()
    for _ in range(40):
        moved[:, 1] -= 0.7 * head.skin(moved)
    return moved


def _along(way: Floats, _place: Floats, _normal: Floats) -> Floats:
    return way


def brows(head: Head) -> Tress:
    lot = np.random.default_rng(3)
    count = int(230 * head.face.brows[1])
    sides = []
    for side in (-1.0, 1.0):
        t, v = lot.beta(1.1, 1.15, count), lot.uniform(-1.0, 1.0, count)
        x, z = arch(head, t)
        start = on_skin(
            head,
            np.column_stack(
                [
                    side * (x + lot.normal(0, 0.4, count)),
                    np.full(count, 104.0),
                    z + 0.85 * v * half_breadth(t, head) - 0.5,
                ]
            ),
        )
        # At the inner end hairs stand up, further out they lie along; those above bend down, those below bend up.
        rise_way = np.interp(t, (0.0, 0.2, 0.5, 1.0), (1.3, 0.7, 0.25, -0.35)) - 0.35 * v
        way = np.column_stack(
            [np.full(count, side), np.full(count, -0.2), rise_way + lot.normal(0, 0.16, count)]
        )
        length = (
            7.6
            * lot.uniform(0.7, 1.15, count)
            * np.interp(t, (0, 0.2, 0.8, 1), (0.75, 1.0, 0.9, 0.7))
            * head.scale
        )
        rise = np.array([0.1, 0.5, 0.75, 0.6])[None, :] * lot.uniform(0.7, 1.5, count)[:, None]
        path, outward = combed(
            head.skin, start, partial(_along, unit(way)), length=length, rise=rise, points=4
        )
        width = 0.95 * np.array([0.8, 1.0, 0.8, 0.1])[None, :] * lot.uniform(0.7, 1.2, count)[:, None]
        sides.append(
            ribbons(
                path,
                outward,
                width,
                ridge=0.1,
                shade=lot.uniform(0.5, 0.85, count)[:, None] * np.ones((1, 4)),
            )
        )
    return gathered(*sides)


def lashes(head: Head) -> Tress:
    lot = np.random.default_rng(5)
    face = head.face
    size = face.eyeball / 12.0
    rows = []
    for side in (-1.0, 1.0):
        for above, count, longest in ((True, 46, 7.4), (False, 26, 4.0)):
            across = np.sort(lot.uniform(-0.84, 0.88, count)) * face.lids[0]
            upper, lower = margins(across, face)
            height = upper + 0.2 if above else lower - 0.3
            reach = (12.0 + THICK - 0.4) * size
            depth = np.sqrt(np.maximum(reach**2 - across**2 - height**2, 1.0))
            root = np.column_stack([across, depth, height])
            fan = np.column_stack(
                [
                    0.55 * across / face.lids[0] + lot.normal(0, 0.08, count),
                    np.full(count, 0.9),
                    np.full(count, 0.0),
                ]
            )
            length = (
                longest
                * size
                * lot.uniform(0.75, 1.1, count)
                * np.interp(across, (-12, -4, 8, 14), (0.55, 0.85, 1.0, 0.9))
            )
            t = np.linspace(0.0, 1.0, 4)
            curl = np.array([-0.10, 0.42]) if above else np.array([-0.25, -0.28])
            bend = curl[0] * t + curl[1] * t**2
            path = root[:, None] + length[:, None, None] * (
                t[None, :, None] * unit(fan)[:, None] + bend[None, :, None] * np.array([0.0, 0.0, 1.0])
            )
            path = (path + np.array(face.eye)) * np.array([side, 1.0, 1.0])
            up = np.tile(np.array([0.0, 0.3, 1.0]), (count, 4, 1))
            width = (0.5 if above else 0.34) * np.array([1.0, 0.9, 0.6, 0.08])[None, :] * np.ones((count, 1))
            rows.append(ribbons(path, unit(up), width, ridge=0.0, shade=np.full((count, 4), 0.8)))
    return gathered(*rows)


def below_brows(points: Floats, head: Head) -> Floats:
    """How much (n,) of the skin's light the eyebrows' stubble keeps, 0 to 1."""
    x = np.abs(points[:, 0])
    t = np.linspace(0.0, 1.0, 41)
    across, up = arch(head, t)
    place = np.interp(x, across, t)
    off = np.abs(points[:, 2] - np.interp(place, t, up)) / np.maximum(half_breadth(place, head), 0.3)
    beyond = np.maximum(np.maximum(across[0] - x, x - across[-1]), 0.0)
    result: Floats = step(1.35, 0.45, off) * step(2.0, 0.0, beyond) * (points[:, 1] > 40)
    return result
