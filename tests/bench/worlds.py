"""Worlds: how long each demo scene takes to be read, to become triangles, and to become Embree's tree."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from rich.table import Table

from preview.build.assemble import BUILDERS, assemble
from preview.build.site import Site
from preview.script.read import read_scene
from preview.trace.rays import Rays
from tests.bench.timing import best_and_median, seconds

SCENES = Path(__file__).parents[2] / "scenes"
DEAREST = 4


def tables(names: tuple[str, ...] | None = None) -> Iterator[Table]:
    """One table: a row a scene, its seconds as best / median of three."""
    table = Table(title="Worlds of the demo scenes")
    for heading in (
        "scene",
        "triangles",
        "read, s",
        "built, s",
        "Embree, s",
        "us a triangle",
        "dearest pieces, ms",
    ):
        table.add_column(heading, justify="left" if heading in ("scene", "dearest pieces, ms") else "right")
    for path in sorted(SCENES.glob("*.yaml")):
        if names is None or path.stem in names:
            table.add_row(path.stem, *_row(path))
    yield table


def _row(path: Path) -> list[str]:
    reading = seconds(lambda: read_scene(path))
    scene = read_scene(path)
    world = assemble(scene)
    building = seconds(lambda: assemble(scene))

    def tree() -> None:
        one = np.ones((1, 3), np.float32)
        Rays(world.vertices, world.faces).blocked(one, one, one[:, 0])

    embree = seconds(tree)
    site, pieces = Site(scene), {}
    for name, piece in scene.set:
        started = time.perf_counter()
        BUILDERS[type(piece)](name, piece, site)
        pieces[name] = time.perf_counter() - started
    dearest = sorted(pieces, key=lambda name: -pieces[name])[:DEAREST]
    return [
        f"{len(world.faces):,}",
        *(best_and_median(times) for times in (reading, building, embree)),
        f"{1e6 * (min(building) + min(embree)) / len(world.faces):.2f}",
        ", ".join(f"{name} {1000 * pieces[name]:.0f}" for name in dearest),
    ]
