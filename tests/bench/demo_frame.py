"""Demo frame: a whole picture from the command line, cold and from the cache: wall seconds, memory at its peak."""

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
LOOK = "colder"
BYTES = 1 if sys.platform == "darwin" else 1024
"""Of the unit in which the system tells a process's memory."""


@dataclass(frozen=True)
class Run:
    """One run of the command: wall seconds, peak resident memory in bytes."""

    seconds: float
    memory: int


def run(scene: Path, *options: str, cache: Path | None = None) -> Run:
    """`preview frame` in a process of its own; `cache`: the folder of its layers, None for no cache.

    Raises RuntimeError with what it said if it fails.
    """
    with tempfile.TemporaryDirectory() as folder:
        environment = dict(os.environ) | ({} if cache is None else {"PREVIEW_CACHE": str(cache)})
        options += ("--no-cache",) if cache is None else ()
        command = [sys.executable, "-m", "preview", "frame", str(scene), "--out", f"{folder}/out", *options]
        with tempfile.TemporaryFile() as said:
            started = time.perf_counter()
            child = subprocess.Popen(command, stdout=said, stderr=said, env=environment)
            # Not getrusage of all children: that would keep the largest of every run so far.
            _, status, usage = os.wait4(child.pid, 0)
            elapsed = time.perf_counter() - started
            child.returncode = os.waitstatus_to_exitcode(status)
            if child.returncode:
                said.seek(0)
                raise RuntimeError(said.read().decode(errors="replace"))
    return Run(elapsed, usage.ru_maxrss * BYTES)


def tables(*, width: int = 960, repeats: int = 3) -> Iterator[Table]:
    """Without a cache as `look` and as `draft`, with an empty one, and again in another look, by turns."""
    ready = prepare(read_scene(SCENE))
    table = Table(
        title=f"`preview frame`, {SCENE.stem}, {width} wide: {len(ready.lights)} fixtures,"
        f" {len(ready.world.faces):,} triangles"
    )
    for heading in ("", f"seconds, best / median of {repeats}", "times the first", "peak memory"):
        table.add_column(heading, justify="right" if heading else "left")
    size = ("--size", str(width))
    runs: dict[str, list[Run]] = {}
    for _ in range(repeats):
        with tempfile.TemporaryDirectory() as folder:
            for kind, options, cache in (
                ("look, no cache", (), None),
                ("draft, no cache", ("--quality", "draft"), None),
                ("look, the cache empty", (), Path(folder)),
                ("another look, from the cache", ("--look", LOOK), Path(folder)),
            ):
                runs.setdefault(kind, []).append(run(SCENE, *size, *options, cache=cache))
    first = min(one.seconds for one in runs["look, no cache"])
    for kind, found in runs.items():
        times = [one.seconds for one in found]
        memory = max(one.memory for one in found)
        table.add_row(kind, best_and_median(times), f"{min(times) / first:.2f}", f"{memory / 1e6:.0f} MB")
    yield table
