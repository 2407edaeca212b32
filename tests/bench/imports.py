"""Imports: scans of up to two million triangles, read, placed, coloured and shaded: seconds, memory at its peak."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from rich.table import Table

RUN = """
import json, resource, sys, time
from pathlib import Path
from preview.build.imported import build_imported
from preview.build.world import gather
from preview.script.models.pieces.imported import ImportedMesh
from tests.build.standing import site
model = ImportedMesh.model_validate(json.loads(sys.argv[2]))
started, used = time.perf_counter(), time.process_time()
world = gather(build_imported("scan", model, site(Path(sys.argv[1]))))
kilobytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(json.dumps([time.perf_counter() - started, time.process_time() - used, kilobytes, len(world.faces)]))
"""
KEYS: dict[str, dict[str, object]] = {
    "whole": {},
    "a third, by `crop`": {"crop": {"from": [-9, -3, -9], "to": [9, 3, 9]}},
    "`simplify: 10 %`": {"simplify": "10 %"},
}


def tables(*, triangles: int = 2_000_000) -> Iterator[Table]:
    """A row for each way of taking it, each in a process of its own."""
    table = Table(title=f"A scan of {triangles:,} triangles with colours, binary PLY")
    for heading in ("taken", "triangles kept", "s", "s of processor", "peak memory"):
        table.add_column(heading, justify="left" if heading == "taken" else "right")
    with tempfile.TemporaryDirectory() as folder:
        scan(Path(folder) / "scan.ply", triangles)
        for taken, keys in KEYS.items():
            asked = json.dumps({"file": "scan.ply", "up": "z", "scale": "m", **keys})
            done = subprocess.run(
                [sys.executable, "-c", RUN, folder, asked], capture_output=True, text=True, check=True
            )
            wall, processor, kilobytes, kept = json.loads(done.stdout)
            table.add_row(taken, f"{kept:,}", f"{wall:.2f}", f"{processor:.2f}", f"{kilobytes / 1e3:.0f} MB")
    yield table


def scan(path: Path, triangles: int) -> None:
    """A rough field of 18 x 18 m, a binary PLY of so many triangles about, as a scanner writes one."""
    side = int(np.sqrt(triangles / 2)) + 1
    edge = np.linspace(-9.0, 9.0, side, dtype=np.float32)
    x, y = (axis.ravel() for axis in np.meshgrid(edge, edge))
    chance = np.random.default_rng(7)
    z = 0.2 * np.sin(x) * np.cos(y) + chance.normal(scale=0.002, size=len(x))
    points = np.zeros(len(x), [("at", "<f4", 3), ("colour", "u1", 3)])
    points["at"] = np.stack([x, y, z], axis=1)
    points["colour"] = chance.integers(60, 200, (len(x), 3))
    corner = np.arange(side * side).reshape(side, side)
    a, b, c, d = (
        part.ravel() for part in (corner[:-1, :-1], corner[:-1, 1:], corner[1:, 1:], corner[1:, :-1])
    )
    faces = np.zeros(2 * len(a), [("count", "u1"), ("corners", "<i4", 3)])
    faces["count"] = 3
    faces["corners"] = np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)])
    header = (
        f"ply\nformat binary_little_endian 1.0\nelement vertex {len(points)}\nproperty float x\nproperty float y\n"
        "property float z\nproperty uchar red\nproperty uchar green\nproperty uchar blue\n"
        f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    path.write_bytes(header.encode() + points.tobytes() + faces.tobytes())
