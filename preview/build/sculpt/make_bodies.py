"""The making of `preview/build/cast/bodies.npz`: clothes as they hang in each pose on each person, hands and shoes."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.build.cast.stored_mesh import packed
from preview.build.mesh import Floats, Indices
from preview.build.sculpt import hands, hoods, shoes
from preview.build.sculpt.binding import Binding, bound, carried_along
from preview.build.sculpt.decimate import decimated
from preview.build.sculpt.details import details
from preview.build.sculpt.garments import CUTTINGS
from preview.build.sculpt.nets import normals, settled, surface
from preview.build.sculpt.shapes import Shape, Triple, step
from preview.build.sculpt.sheets import turned_in
from preview.build.sculpt.tailor import Detail
from preview.build.sculpt.wear import Garment, bottom, fields, top, worn
from preview.script.people import NAMES, PersonName
from preview.script.poses import POSES, PoseName
from preview.script.skeleton import rest

ASSET = Path(__file__).parents[1] / "cast" / "bodies.npz"
QUANTUM = 1 / 8
"""Millimetres a unit of the stored int16 positions."""
TINT_UNIT = 1 / 64
LEGS = ("trousers", "tights")
Arrays = dict[str, NDArray[Any]]


class Piece:
    """What of a garment is of one material: the sheet with its turned in edges and details, or the shirt below it."""

    def __init__(self, garment: Garment, made: list[Detail], *, sheet: bool) -> None:
        self.garment = garment
        cloth = garment.cloth
        self.sheet = sheet
        self.bindings: list[Binding] = [bound(detail.vertices, cloth) for detail in made]
        faces: list[Indices] = []
        shares, tints = [], []
        count = 0
        if sheet:
            inner, closing = turned_in(cloth, cloth.vertices)
            faces += [cloth.faces, closing]
            count = len(cloth.vertices) + len(inner)
            shares += [garment.share, *self._inner_shares()]
            tints += [_tint_of_sheet(garment), np.full(len(inner), 0.7)]
        for detail, binding in zip(made, self.bindings, strict=True):
            faces.append(detail.faces + count)
            count += len(detail.vertices)
            shares.append(np.einsum("nk,nkb->nb", binding.share, garment.share[binding.near]))
            tints.append(np.full(len(detail.vertices), detail.tint))
        self.faces = np.concatenate(faces)
        self.share = np.concatenate(shares)
        self.tint = np.concatenate(tints)

    def _inner_shares(self) -> list[Floats]:
        share = self.garment.share
        rows = []
        for loop in self.garment.cloth.loops:
            rows += [share[loop], share[loop], share[loop].mean(axis=0, keepdims=True)]
        return rows

    def placed(self, cloth: Floats) -> Floats:
        """All vertices (n, 3) for the sheet's as they hang."""
        rows = [cloth, turned_in(self.garment.cloth, cloth)[0]] if self.sheet else []
        rows += [carried_along(binding, self.garment.cloth, cloth) for binding in self.bindings]
        return np.concatenate(rows)


def _tint_of_sheet(garment: Garment) -> Floats:
    """Worn knees and seat are lighter, edges darker."""
    v, joints = garment.cloth.vertices, rest(garment.person).joints
    tall = rest(garment.person).person.stature
    tint = np.ones(len(v))
    if garment.name == "trousers":
        knee = float(joints["shin.left"][2])
        tint += (
            0.22
            * np.exp(-(((v[:, 2] - knee) / (0.045 * tall)) ** 2))
            * step(-0.01 * tall, 0.02 * tall, v[:, 1])
        )
        tint += (
            0.12
            * np.exp(-(((v[:, 2] - 0.78 * joints["pelvis"][2]) / (0.06 * tall)) ** 2))
            * step(0.0, 0.03 * tall, v[:, 1])
        )
    for loop in garment.cloth.loops:
        tint[loop] *= 0.82
    return tint


def _coarse(share: Floats) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """The three bones that carry most of each vertex, and their shares in 255ths."""
    order = np.argsort(-share, axis=1, kind="stable")[:, :3]
    most = np.take_along_axis(share, order, axis=1)
    most = most / most.sum(axis=1, keepdims=True)
    return order.astype(np.uint8), np.round(255 * most).astype(np.uint8)


def _stored(arrays: Arrays, key: str, piece: Piece, hung: Mapping[PoseName, Floats]) -> None:
    bones, shares = _coarse(piece.share)
    arrays[f"{key}.faces"] = packed(piece.faces.T)
    arrays[f"{key}.bones"] = bones.T.copy()
    arrays[f"{key}.shares"] = shares.T.copy()
    arrays[f"{key}.tint"] = np.round(piece.tint / TINT_UNIT).astype(np.uint8)
    for pose, cloth in hung.items():
        places = np.round(piece.placed(cloth) / QUANTUM)
        if np.abs(places).max() > 32_767 or len(places) > 65_535:
            raise ValueError(f"{key} does not fit its integers")
        arrays[f"{key}.{pose}"] = packed(places.T)


def clothes(name: PersonName) -> Arrays:
    arrays: Arrays = {}
    for garment in CUTTINGS:
        worn_here = top(name, garment)
        hung = {pose: worn(worn_here, pose) for pose in POSES}
        made = details(name, garment, worn_here.cloth)
        for part in ("top", "shirt", "hood"):
            mine = [detail for detail in made if detail.part == part]
            if mine:
                _stored(arrays, f"{name}.{garment}.{part}", Piece(worn_here, mine, sheet=part == "top"), hung)
        print(name, garment, flush=True, file=sys.stderr)
    for legs in LEGS:
        below = bottom(name, tight=legs == "tights")
        hung = {pose: worn(below, pose) for pose in POSES}
        _stored(arrays, f"{name}.{legs}", Piece(below, [], sheet=True), hung)
    fields.cache_clear()
    return arrays


def _carved(
    arrays: Arrays, key: str, shape: Shape, low: Triple, high: Triple, cell: float, faces: int, reach: float
) -> None:
    vertices, triangles = surface(shape, low, high, cell)
    vertices, triangles = decimated(vertices, triangles, faces)
    vertices = settled(shape, vertices, cell)
    arrays[f"{key}.vertices"] = np.round(vertices / QUANTUM).astype(np.int16)
    arrays[f"{key}.normals"] = np.round(normals(shape, vertices, reach) * 127).astype(np.int8)
    arrays[f"{key}.faces"] = triangles.astype(np.uint16)


def extremities() -> Arrays:
    arrays: Arrays = {}
    for shape in hands.BENT:
        _carved(arrays, f"hand.{shape}", hands.hand(shape), hands.LOW, hands.HIGH, 3.2, 1400, 0.8)
    _carved(arrays, "hood", hoods.hood, hoods.LOW, hoods.HIGH, 5.0, 4600, 2.0)
    _carved(arrays, "shoe", shoes.shoe, shoes.LOW, shoes.HIGH, 4.0, 1100, 1.2)
    return arrays


def main(names: tuple[PersonName, ...] = NAMES) -> None:
    arrays: Arrays = {"metres_per_unit": np.array(QUANTUM / 1000), "tint_per_unit": np.array(TINT_UNIT)}
    arrays |= extremities()
    for name in names:
        arrays |= clothes(name)
    np.savez_compressed(ASSET, allow_pickle=False, **arrays)
