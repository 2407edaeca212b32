"""Demo frame: a whole picture from the command line, cold: wall seconds, memory at its peak."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from rich.table import Table

from preview.commands.prepare import prepare
from preview.script.read import read_scene
from tests.bench.timing import best_and_median

SCENE = Path(__file__).parents[2] / "scenes" / "orchard-gate.yaml"
BYTES = 1 if sys.platform == "darwin" else 1024
"""Of the unit in which the system tells a process's memory."""


@dataclass(frozen=True)
class Run:
    """One run of the command: wall seconds, peak resident memory in bytes."""

    seconds: float
    memory: int


def run(scene: Path, *options: str) -> Run:
    """`preview frame` in a process of its own. Raises RuntimeError with what it said if it fails."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "preview", "frame", str(scene), "--out", f"{folder}/out", *options]
        with tempfile.TemporaryFile() as said:
            started = time.perf_counter()
            child = subprocess.Popen(command, stdout=said, stderr=said)
            # Not getrusage of all children: that would keep the largest of every run so far.
            _, status, usage = os.wait4(child.pid, 0)
            elapsed = time.perf_counter() - started
            child.returncode = os.waitstatus_to_exitcode(status)
            if child.returncode:
                said.seek(0)
                raise RuntimeError(said.read().decode(errors="replace"))
    return Run(elapsed, usage.ru_maxrss * BYTES)


def tables() -> Iterator[Table]:
    """Full and draft, three runs each by turns."""
    ready = prepare(read_scene(SCENE))
    table = Table(
        title=f"`preview frame` cold, {SCENE.stem}, 960 wide: {len(ready.lights)} fixtures,"
        f" {len(ready.world.faces):,} triangles"
    )
    for heading in ("", "seconds, best / median of 3", "peak memory"):
        table.add_column(heading, justify="right" if heading else "left")
    kinds = {
        "look": ("--size", "960", "--no-cache"),
        "draft": ("--size", "960", "--quality", "draft", "--no-cache"),
    }
    runs: dict[str, list[Run]] = {kind: [] for kind in kinds}
    for _ in range(3):
        for kind, options in kinds.items():
            runs[kind].append(run(SCENE, *options))
    for kind, found in runs.items():
        memory = max(one.memory for one in found)
        table.add_row(kind, best_and_median([one.seconds for one in found]), f"{memory / 1e6:.0f} MB")
    yield table
