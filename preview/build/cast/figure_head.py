"""Figure's head: face, hair and eyes of a stance, from the stored heads, on a neck that gives with them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.build.cast.figure_body import part
from preview.build.cast.stored_mesh import archive
from preview.build.mesh import Floats, Indices, Part, vertex_normals
from preview.script.figure_legs import swing
from preview.script.figure_plan import Stance
from preview.script.skeleton import rest

CHIN, COLLAR = -95.0, -225.0
"""Heights of a man's neck, mm below his eyes, between which it goes from the head's turn to the chest's."""
HOOD = 0.7
"""How much of a head's turn its hood follows."""


@dataclass(frozen=True)
class _Stored:
    vertices: Floats
    """(n, 3) mm about the point between the pupils, or the middle of an eye."""
    normals: Floats
    faces: Indices
    tint: NDArray[np.float64]


def _stored(key: str) -> _Stored:
    stored = archive("heads")
    return _Stored(
        stored[f"{key}.vertices"] * (1000 * float(stored["metres_per_unit"])),
        stored[f"{key}.normals"] / 32767.0,
        stored[f"{key}.faces"].astype(np.int32),
        stored[f"{key}.tint"] * float(stored["tint_per_unit"]),
    )


def head_parts(made: Stance) -> list[Part]:
    figure = made.figure
    person = figure.person
    stored = archive("heads")
    skin, hair = f"skin {figure.skin}", f"hair {figure.hair}"
    hooded = figure.wears == "raincoat" and figure.hood == "up"
    # Below a hood there is as much hair as below a cap.
    cut = "cap" if hooded else figure.cut
    wanted = {
        "head": (f"{person}.head", skin),
        "hair": (f"{person}.hair.{cut}", hair),
        "brows": (f"{person}.brows", hair),
        "lashes": (f"{person}.lashes", hair),
    }
    if figure.cut == "cap" and not hooded:
        wanted["cap"] = (f"{person}.cap", figure.top)
    parts = []
    for name, (key, material) in wanted.items():
        if f"{key}.vertices" in stored:
            mesh = _stored(key)
            vertices, normals = on_neck(made, mesh.vertices, mesh.normals)
            parts.append(part(made, name, material, vertices, mesh.faces, normals, mesh.tint))
    if hooded:
        parts.append(_hood(made))
    for name, key, material in (
        ("eyes", "eye", "eye white"),
        ("irises", "iris", "eye iris"),
        ("pupils", "pupil", "eye pupil"),
    ):
        if f"{person}.{key}.vertices" in stored:
            parts.append(_pair(made, name, f"{person}.{key}", material))
    return parts


def _hood(made: Stance) -> Part:
    """A hood that is up goes with the head a part of its way."""
    stored = archive("bodies")
    size = made.head_size * 1000 * float(stored["metres_per_unit"])
    lazy = replace(made, turn=HOOD * made.turn, nod=HOOD * made.nod)
    vertices, _ = on_neck(lazy, stored["hood.vertices"] * size, stored["hood.normals"] / 127.0)
    faces = stored["hood.faces"].astype(np.int32)
    return part(made, "hood", made.figure.top, vertices, faces, vertex_normals(vertices, faces), None)


def _pair(made: Stance, name: str, key: str, material: str) -> Part:
    """Both eyes, each turned to what it looks at."""
    mesh = _stored(key)
    ahead = np.array([0.0, 1.0, 0.0])
    centres = 1000 * archive("heads")[f"{made.figure.person}.eye_centres"]
    vertices, normals = [], []
    for index, centre in enumerate(centres):
        turn = np.eye(3) if made.gazes is None else swing(ahead, made.gazes[index])
        vertices.append(made.of_head(mesh.vertices @ turn.T + centre))
        normals.append(mesh.normals @ (made.head_turn @ turn).T)
    faces = np.concatenate([mesh.faces, mesh.faces + np.int32(len(mesh.vertices))])
    tint = np.concatenate([mesh.tint, mesh.tint])
    return part(made, name, material, np.concatenate(vertices), faces, np.concatenate(normals), tint)


def on_neck(made: Stance, vertices: Floats, normals: Floats) -> tuple[Floats, Floats]:
    """Points and normals (n, 3) of a head in the figure's axes: turned with it above the chin, with the chest below."""
    share = np.clip((vertices[:, 2] / made.head_size - CHIN) / (COLLAR - CHIN), 0.0, 1.0)
    places, ways = made.of_head(vertices), normals @ made.head_turn.T
    low = np.flatnonzero(share)
    if len(low):
        share = share[low] * share[low] * (3 - 2 * share[low])
        places[low], ways[low] = _giving(made, vertices[low], normals[low], share)
    return places, ways


def _giving(made: Stance, vertices: Floats, normals: Floats, share: Floats) -> tuple[Floats, Floats]:
    """Of the neck; `share` (n,) of the chest."""
    turn, nod = np.radians(made.turn) * (1 - share), np.radians(made.nod) * (1 - share)
    skeleton, start = made.skeleton, rest(made.figure.person)
    level, chest = skeleton.turns["head"], skeleton.turns["chest"]
    places, ways = _turned(vertices - made.pivot, turn, nod), _turned(normals, turn, nod)
    above = made.nape + places @ level.T
    root = made.pivot + start.joints["head"] - start.joints["neck"]
    below = skeleton.joints["neck"] + (places + root) @ chest.T
    mixed = (1 - share)[:, None] * above + share[:, None] * below
    out = (1 - share)[:, None] * (ways @ level.T) + share[:, None] * (ways @ chest.T)
    return mixed, out / np.maximum(np.linalg.norm(out, axis=1, keepdims=True), 1e-9)


def _turned(v: Floats, right: Floats, down: Floats) -> Floats:
    """Each vector nodded, then turned, by its own angles, radians."""
    x, y, z = v.T
    c, s = np.cos(down), np.sin(down)
    y, z = c * y + s * z, c * z - s * y
    c, s = np.cos(right), np.sin(right)
    return np.stack([c * x + s * y, c * y - s * x, z], axis=1)
