"""The making of `preview/build/cast/heads.npz`: heads, hair, brows, lashes and eyes of the people."""

from __future__ import annotations

from pathlib import Path
from typing import Any, get_args

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats
from preview.build.sculpt.decimate import decimated
from preview.build.sculpt.eyes import eye
from preview.build.sculpt.hair import Growth
from preview.build.sculpt.hair_brows import brows, lashes
from preview.build.sculpt.hair_cap import cap
from preview.build.sculpt.hair_cuts import CutName
from preview.build.sculpt.hair_locks import Tress
from preview.build.sculpt.head import Head, head_of
from preview.build.sculpt.head_eyes import margins
from preview.build.sculpt.head_landmarks import as_man
from preview.build.sculpt.head_tint import lips, tint
from preview.build.sculpt.nets import normals, settled, surface
from preview.build.sculpt.shapes import mirrored
from preview.script.people import PersonName

ASSET = Path(__file__).parents[1] / "cast" / "heads.npz"
QUANTUM = 1 / 64
"""Millimetres a unit of the stored int16 positions."""
TINT_UNIT = 1 / 160
"""A unit of the stored uint8 tints."""
GRAINS = {
    "hair": (10, 48),
    "cap": (8, 63),
    "brows": (4, 63),
    "lashes": (4, 63),
    "eye": (1, 16_383),
    "iris": (1, 16_383),
    "pupil": (1, 16_383),
}
"""Units that positions are rounded to, and levels of normals, of parts that are kept otherwise than the skin."""
CELL, FACES = 1.4, 16_000
CUTS: dict[PersonName, tuple[CutName, ...]] = {
    "man": ("short", "cropped", "long", "bald", "cap"),
    "woman": ("short", "long", "tied", "cap"),
    "teen": ("short", "long", "tied", "cropped", "cap"),
    "child": ("short", "long", "tied", "cap"),
}


def dearness(vertices: Floats, head: Head) -> Floats:
    """Where on a head triangles are spent (n,): lids and mouth, then nose and ears, least under hair and collar."""
    man = as_man(mirrored(vertices), head.face)
    x, y, z = man.T
    local = np.column_stack([np.abs(vertices[:, 0]), vertices[:, 1], vertices[:, 2]]) - np.array(
        head.face.eye
    )
    upper, lower = margins(local[:, 0], head.face)
    front = (y > 40) & (z > -114) & (z < 36)
    lid = (
        front
        & (np.abs(local[:, 0]) < 17)
        & ((np.abs(local[:, 2] - upper) < 2.2) | (np.abs(local[:, 2] - lower) < 2.0))
    )
    eyes = front & (np.abs(local[:, 0]) < 21) & (np.abs(local[:, 2]) < 14)
    mouth = front & (x < 30) & (np.abs(z + 69) < 14)
    nose = front & (x < 21) & (z > -54) & (z < -24)
    ears = (x > 64) & (np.abs(z + 14) < 38) & (y < 4) & (y > -48)
    brow = front & (z > 10) & (z < 28)
    hidden = (z < -190) | ((z > 75) & (y < 60)) | ((y < -48) & (z > -70))
    return np.select(
        [hidden, lid, eyes, lips(vertices, head) > 0.05, mouth, nose, ears, brow, front],
        [0.02, 14.0, 5.0, 6.0, 3.0, 3.0, 1.6, 1.0, 0.7],
        0.15,
    )


def skin(head: Head) -> Tress:
    vertices, faces = surface(head.skin, (-108, -125, -260), (108, 135, 130), CELL)
    vertices, faces = decimated(vertices, faces, FACES, weight=dearness(vertices, head), cheapest=0.35)
    vertices = settled(head.skin, vertices, CELL)
    return Tress(vertices, faces, normals(head.skin, vertices, 0.45), tint(vertices, head))


def made(name: PersonName) -> dict[str, Tress]:
    head = head_of(name)
    ball = eye(head.face.eyeball)
    parts = {"head": skin(head), "brows": brows(head), "lashes": lashes(head)}
    parts |= {"eye": ball.white, "iris": ball.iris, "pupil": ball.pupil}
    for cut in CUTS[name]:
        parts[f"hair.{cut}"] = Growth(head).cut(cut)
    if "cap" in CUTS[name]:
        parts["cap"] = cap(head)
    return parts


def stored(people: dict[PersonName, dict[str, Tress]]) -> dict[str, NDArray[Any]]:
    """Arrays of the asset: positions int16, normals int16, faces uint16, tints uint8."""
    arrays: dict[str, NDArray[Any]] = {
        "metres_per_unit": np.array(QUANTUM / 1000),
        "tint_per_unit": np.array(TINT_UNIT),
    }
    for name, parts in people.items():
        x, y, z = head_of(name).face.eye
        arrays[f"{name}.eye_centres"] = np.array([(-x, y, z), (x, y, z)]) / 1000
        for part, tress in parts.items():
            key = f"{name}.{part}"
            if len(tress.vertices) > 65_535 or np.abs(tress.vertices).max() > 32_767 * QUANTUM:
                raise ValueError(f"{key} does not fit its integers")
            # Hair is kept to a sixth of a millimetre and a degree: numbers with few digits pack smaller.
            grain, levels = GRAINS.get(part.split(".")[0], (2, 511))
            arrays[f"{key}.vertices"] = (np.round(tress.vertices / QUANTUM / grain) * grain).astype(np.int16)
            arrays[f"{key}.normals"] = np.round(np.round(tress.normals * levels) / levels * 32_767).astype(
                np.int16
            )
            arrays[f"{key}.faces"] = tress.faces.astype(np.uint16)
            arrays[f"{key}.tint"] = np.round(np.clip(tress.tint / TINT_UNIT, 0, 255)).astype(np.uint8)
    return arrays


def main() -> None:
    people = {name: made(name) for name in get_args(PersonName)}
    np.savez_compressed(ASSET, allow_pickle=False, **stored(people))


if __name__ == "__main__":
    main()
