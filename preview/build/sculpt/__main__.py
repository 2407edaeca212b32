"""The making of `preview/build/figure.npz`: `python -m preview.build.sculpt`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats, Indices
from preview.build.sculpt import clothes, hair, hands, head
from preview.build.sculpt.decimate import decimated
from preview.build.sculpt.nets import normals, settled, surface
from preview.build.sculpt.poses import EYE, SIT, STAND, STATURE, Pose
from preview.build.sculpt.shapes import Shape, Triple

ASSET = Path(__file__).parents[1] / "figure.npz"
QUANTUM = 1 / 16
"""Millimetres a unit of the stored int16 positions."""
Solid = tuple[Floats, Indices, Floats]
"""Vertices, faces, normals."""


def solid(
    shape: Shape,
    low: Triple,
    high: Triple,
    *,
    cell: float,
    faces: int,
    reach: float,
    dearness: Callable[[Floats], Floats] | None = None,
) -> Solid:
    """A closed mesh of the shape; `reach`: over how many mm its normals are taken."""
    vertices, triangles = surface(shape, low, high, cell)
    weight = None if dearness is None else dearness(vertices)
    vertices, triangles = decimated(vertices, triangles, faces, weight=weight)
    vertices = settled(shape, vertices, cell)
    return vertices, triangles, normals(shape, vertices, reach)


def head_dearness(v: Floats) -> Floats:
    """Where on the head triangles are spent: eyes and mouth, then nose, then face and ears, least under the hair."""
    aside = np.abs(v[:, 0])
    face = (v[:, 1] > 45) & (v[:, 2] > -114) & (v[:, 2] < 35)
    nose = face & (aside < 24) & (v[:, 2] > -54) & (v[:, 2] < -8)
    eyes = face & (np.abs(v[:, 2]) < 12) & (np.abs(aside - 31) < 20)
    mouth = face & (aside < 32) & (v[:, 2] > -82) & (v[:, 2] < -58)
    ears = (aside > 66) & (np.abs(v[:, 2] + 14) < 40)
    lips = mouth & (np.abs(v[:, 2] + 69.7) < 5)
    hidden = hair.hair(v) < -1.5
    return np.select(
        [hidden, eyes, lips, mouth, nose, face, ears], [0.01, 8.0, 20.0, 8.0, 3.0, 1.2, 0.8], 0.2
    )


def ball(centre: Triple, radius: float) -> Solid:
    """An eyeball: rings round the y axis."""
    return _rings(centre, radius, np.linspace(0.0, np.pi, 9))


def _rings(centre: Triple, radius: float, polar: Floats) -> Solid:
    around = np.arange(20) * (2 * np.pi / 20)
    units = [np.array([[0.0, np.cos(polar[0]), 0.0]])]
    units += [
        np.stack([np.sin(a) * np.sin(around), np.full(20, np.cos(a)), np.sin(a) * np.cos(around)], axis=1)
        for a in polar[1:-1]
    ]
    units.append(np.array([[0.0, np.cos(polar[-1]), 0.0]]))
    unit = np.concatenate(units)
    step = np.arange(20)
    following = (step + 1) % 20
    bands = [np.stack([np.zeros(20, int), 1 + step, 1 + following], axis=1)]
    for ring in range(len(polar) - 3):
        a, b = 1 + 20 * ring + step, 1 + 20 * ring + following
        bands += [np.stack([a, a + 20, b + 20], axis=1), np.stack([a, b + 20, b], axis=1)]
    last = 1 + 20 * (len(polar) - 3)
    bands.append(np.stack([last + step, np.full(20, len(unit) - 1), last + following], axis=1))
    return unit * radius + np.asarray(centre), np.concatenate(bands).astype(np.int32), unit


def iris(centre: Triple) -> Solid:
    """A shallow lens on the eyeball, its back inside the ball."""
    front = np.linspace(0.0, np.arcsin(5.8 / head.EYE_RADIUS), 5)
    vertices, faces, normal = _rings(centre, head.EYE_RADIUS + 0.15, np.append(front, [front[-1], np.pi]))
    back = slice(-21, None)
    vertices[-1, 1] = vertices[-2, 1]
    vertices[back, 1] -= 0.4
    normal[back] = (0.0, -1.0, 0.0)
    return vertices, faces, normal


def together(*solids: Solid) -> Solid:
    starts = np.cumsum([0] + [len(s[0]) for s in solids])
    return (
        np.concatenate([s[0] for s in solids]),
        np.concatenate([s[1] + n for s, n in zip(solids, starts, strict=False)]),
        np.concatenate([s[2] for s in solids]),
    )


def head_parts() -> dict[str, Solid]:
    """Parts of the head about the point between the pupils."""
    centres = [(side * head.EYE_CENTRE[0], *head.EYE_CENTRE[1:]) for side in (-1, 1)]
    return {
        "head": solid(
            head.head,
            (-100, -125, -250),
            (100, 135, 130),
            cell=1.8,
            faces=9800,
            reach=0.7,
            dearness=head_dearness,
        ),
        "hair": together(
            solid(hair.hair, (-115, -135, -150), (115, 135, 150), cell=2.5, faces=4400, reach=1.6),
            solid(hair.brows, (-75, 40, -15), (75, 120, 45), cell=1.2, faces=500, reach=0.5),
        ),
        "eyes": together(*(ball(centre, head.EYE_RADIUS) for centre in centres)),
        "irises": together(*(iris(centre) for centre in centres)),
    }


def jacket_dearness(pose: Pose) -> Callable[[Floats], Floats]:
    """Collar and lapels are finer than the rest."""

    def weight(v: Floats) -> Floats:
        height, aside = v[:, 2] + pose.drop, np.abs(v[:, 0])
        lapels = (v[:, 1] > 10) & (height > 1190) & (aside < 130)
        return np.select([lapels, (height > 1430) & (aside < 130)], [6.0, 5.0], 0.5)

    return weight


def body_parts(pose: Pose) -> dict[str, Solid]:
    low, high = hands.reach(pose)
    top = 1560 - pose.drop

    def of(shape: clothes.PosedShape) -> Shape:
        return lambda points: shape(points, pose)

    return {
        "top": solid(
            of(clothes.jacket),
            (-330, -230, 380),
            (330, 430, top),
            cell=6,
            faces=5400,
            reach=2.5,
            dearness=jacket_dearness(pose),
        ),
        "bottom": solid(
            of(clothes.trousers), (-260, -260, -30), (260, 530, 1130 - pose.drop), cell=8, faces=2000, reach=3
        ),
        "shoes": solid(of(clothes.shoes), (-260, -170, -12), (260, 650, 140), cell=5, faces=900, reach=2),
        "hands": solid(of(hands.hands), low, high, cell=3.5, faces=1600, reach=1),
    }


def stored(parts: dict[str, dict[str, Solid]]) -> dict[str, NDArray[Any]]:
    """Arrays of the asset: the feet on nought, the stature exact, positions and normals as int16."""
    crown = EYE + max(s[0][:, 2].max() for s in parts["head"].values())
    size = STATURE / crown
    arrays: dict[str, NDArray[Any]] = {
        "eye.stand": np.array(EYE * size / 1000),
        "eye.sit": np.array((EYE - SIT.drop) * size / 1000),
    }
    for group, solids in parts.items():
        for name, (vertices, faces, normal) in solids.items():
            key = f"{group}.{name}"
            arrays[f"{key}.vertices"] = np.round(vertices * size / QUANTUM).astype(np.int16)
            arrays[f"{key}.normals"] = np.round(normal * 32767).astype(np.int16)
            arrays[f"{key}.faces"] = faces.astype(np.uint16)
    arrays["metres_per_unit"] = np.array(QUANTUM / 1000)
    return arrays


def main() -> None:
    parts = {"head": head_parts(), "stand": body_parts(STAND), "sit": body_parts(SIT)}
    np.savez(ASSET, allow_pickle=False, **stored(parts))


if __name__ == "__main__":
    main()
