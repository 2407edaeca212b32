"""Plants: what a wood costs to build, in seconds and megabytes of the whole process, tree by tree more."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from rich.table import Table

COUNTS = (10, 100, 1000)
SIDE = 140.0
"""Metres of the square of land that they stand on, the camera in its middle."""

MEASURED = """
import json, resource, sys, time
from pathlib import Path
import numpy as np
from preview.build.assemble import assemble
from preview.script.read import read_scene
from preview.trace.rays import Rays
scene = read_scene(Path(sys.argv[1]))
started = time.perf_counter()
world = assemble(scene)
built = time.perf_counter() - started
one = np.ones((1, 3), np.float32)
Rays(world.vertices, world.faces).blocked(one, one, one[:, 0])
ready = time.perf_counter() - started
print(json.dumps({"triangles": len(world.faces), "built": built, "ready": ready,
    "megabytes": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024}))
"""


def script(count: int) -> str:
    """A wood all round a camera: broadleaf and birch, a spruce between."""
    half = SIDE / 2
    land = [[-half, -half], [half, -half], [half, half], [-half, half]]
    kinds = {"broadleaf": count // 2, "birch": count // 4, "conifer": count - count // 2 - count // 4}
    lines = ["set:", "  - ground: {material: grass}"]
    lines += [
        f"  - trees: {{kind: {kind}, in: {land}, count: {number}, seed: {seed}}}"
        for seed, (kind, number) in enumerate(kinds.items(), 1)
    ]
    lines.append("camera: {lens: {focal: 28 mm}, at: [0, 0, 1.6], aim: [0, 6, 2.5]}")
    return "\n".join(lines) + "\n"


def measured(count: int) -> dict[str, float]:
    """Of a wood of so many trees, built in a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "wood.yaml"
        file.write_text(script(count), encoding="utf-8")
        ran = subprocess.run(
            [sys.executable, "-c", MEASURED, str(file)], capture_output=True, text=True, check=True
        )
    found: dict[str, float] = json.loads(ran.stdout)
    return found


def tables(counts: tuple[int, ...] = COUNTS) -> Iterator[Table]:
    """One table: a row a wood."""
    table = Table(
        title="Woods, camera in the middle; memory is the process's at its most, Embree's tree included"
    )
    for heading in ("trees", "triangles", "built, s", "with Embree, s", "MB"):
        table.add_column(heading, justify="right")
    for count in counts:
        row = measured(count)
        table.add_row(
            f"{count:,}",
            f"{row['triangles']:,.0f}",
            f"{row['built']:.2f}",
            f"{row['ready']:.2f}",
            f"{row['megabytes']:,.0f}",
        )
    yield table
