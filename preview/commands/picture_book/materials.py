"""Materials: a cell for each, on a ball and on a panel that the light rakes."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np

from preview.commands.picture_book.cell import SUBJECT, Cell
from preview.trade.catalogue import material, names

BALL = "ball.obj"
RADIUS = 0.3


def material_cells() -> Iterator[Cell]:
    """Every material of the catalogue, with its reflectance."""
    for name in names("materials"):
        yield _cell(name)


def _cell(name: str) -> Cell:
    row = material(name)
    said = [f"reflects {100 * row.reflectance:.3g} %"]
    if row.clear:
        said = ["clear"]
    if row.transmission:
        said.append(f"passes {100 * row.reflectance * row.transmission:.2g} %")
    if row.ior > 1.0:
        said.append(f"coat, roughness {row.roughness:g}")
    return Cell(
        "materials",
        name,
        "bench",
        note=", ".join(said),
        set=(
            {"ground": {"material": "grey card", "size": [4000, 4000]}},
            {"mesh": {"name": SUBJECT, "file": BALL, "at": [-0.34, -0.45], "material": name, "smooth": 60.0}},
            {"box": {"name": "panel", "at": [0, 0], "size": [1.5, 0.04, 0.95], "material": name}},
        ),
        files={BALL: ball()},
    )


@cache
def ball(parallels: int = 24, meridians: int = 48) -> str:
    """A ball of RADIUS that stands on the ground, as an OBJ file."""
    height = np.pi * (np.arange(1, parallels) / parallels - 0.5)
    turn = 2.0 * np.pi * np.arange(meridians) / meridians
    around = np.stack(
        [
            np.outer(np.cos(height), np.cos(turn)),
            np.outer(np.cos(height), np.sin(turn)),
            np.repeat(np.sin(height)[:, None], meridians, axis=1),
        ],
        axis=-1,
    ).reshape(-1, 3)
    places = RADIUS * np.concatenate([[[0.0, 0.0, -1.0]], around, [[0.0, 0.0, 1.0]]])
    places[:, 2] += RADIUS
    lines = [f"v {x:.6f} {y:.6f} {z:.6f}" for x, y, z in places]
    top = len(places)
    for column in range(meridians):
        beside = (column + 1) % meridians
        lines.append(f"f 1 {2 + beside} {2 + column}")
        last = 2 + (parallels - 2) * meridians
        lines.append(f"f {top} {last + column} {last + beside}")
        for row in range(parallels - 2):
            low, high = 2 + row * meridians, 2 + (row + 1) * meridians
            lines.append(f"f {low + column} {low + beside} {high + beside} {high + column}")
    return "\n".join(lines) + "\n"
