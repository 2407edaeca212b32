"""Meter: the whole command in a process of its own, with an empty cache and with a full one, beside a frame's."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from rich.table import Table

FOLDER = Path(__file__).parents[2] / "scenes"
SCENES = ("orchard-gate", "wet-quay", "bus-shelter")
WIDTH = 960


def command(*words: str, cache: Path) -> tuple[float, float]:
    """Seconds by the clock and of the processor, user and system together, of one run of `preview`."""
    before, started = os.times(), time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "preview", *words],
        cwd=FOLDER.parent,
        env={**os.environ, "PREVIEW_CACHE": str(cache)},
        stdout=subprocess.DEVNULL,
        check=True,
    )
    wall, after = time.perf_counter() - started, os.times()
    return wall, after.children_user - before.children_user + after.children_system - before.children_system


def measured(name: str, *, width: int = WIDTH, repeats: int = 3) -> dict[str, tuple[float, float]]:
    """The quickest of `repeats` runs of the meter, `cold` and `kept`, and one of the `frame`: clock, processor."""
    scene = str(FOLDER / f"{name}.yaml")
    with tempfile.TemporaryDirectory() as folder:
        out = str(Path(folder) / "out")
        cold, kept = [], []
        for number in range(repeats):
            cache = Path(folder) / str(number)
            cold.append(command("meter", scene, "--out", out, cache=cache))
            kept.append(command("meter", scene, "--out", out, cache=cache))
        frame = command("frame", scene, "--size", str(width), "--out", out, cache=Path(folder) / "frame")
    return {"cold": min(cold), "kept": min(kept), "frame": frame}


def tables(*, width: int = WIDTH, scenes: tuple[str, ...] = SCENES, repeats: int = 3) -> Iterator[Table]:
    table = Table(title="The meter, the whole command (bound: 1.5 s cold)")
    headings = ("scene", "cold s", "processor s", "kept s", "frame s", "frame / cold", "cold / kept")
    for heading in headings:
        table.add_column(heading, justify="left" if heading == "scene" else "right")
    for name in scenes:
        times = measured(name, width=width, repeats=repeats)
        (cold, work), (kept, _), (frame, _) = times["cold"], times["kept"], times["frame"]
        table.add_row(
            name,
            f"{cold:.2f}",
            f"{work:.2f}",
            f"{kept:.2f}",
            f"{frame:.2f}",
            f"{frame / cold:.1f}",
            f"{cold / kept:.2f}",
        )
    yield table
