"""Choosing: the commands that compare, each in a process of its own: what is kept, what is traced."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

from rich.table import Table

from tests.bench.meter import command

FOLDER = Path(__file__).parents[2] / "scenes"
SCENES = ("orchard-gate",)
WIDTH = 480
EVERY, HEIGHTS = 45, "20,35,50"


def moons(
    name: str, *, width: int = WIDTH, every: int = EVERY, heights: str = HEIGHTS, repeats: int = 2
) -> tuple[float, float, float]:
    """Seconds of `preview moon`: with an empty cache; then with all but the moons kept, the quickest of `repeats`, each of
    another size of moon; and with all kept, as when only weights change."""
    words = (
        "moon",
        str(FOLDER / f"{name}.yaml"),
        "--size",
        str(width),
        "--every",
        str(every),
        "--heights",
        heights,
    )
    with tempfile.TemporaryDirectory() as folder:
        cache, out = Path(folder) / "cache", ("--out", str(Path(folder) / "out"))
        cold, _ = command(*words, *out, cache=cache)
        fresh = [
            command(*words, "--moon-size", f"{0.5 - 0.01 * number} deg", *out, cache=cache)[0]
            for number in range(repeats)
        ]
        kept, _ = command(*words, "--weigh", "rim=2,faces=1", *out, cache=cache)
    return cold, min(fresh), kept


def twelve_looks(name: str, *, width: int = WIDTH, repeats: int = 3) -> tuple[float, float]:
    """Seconds of `preview looks` of twelve pictures: with an empty cache; with the plate kept, the quickest of `repeats`,
    each of levels that no run before has shown."""
    words = ("looks", str(FOLDER / f"{name}.yaml"), "--size", str(width), "--level")
    with tempfile.TemporaryDirectory() as folder:
        cache, out = Path(folder) / "cache", ("--out", str(Path(folder) / "out"))
        cold, _ = command(*words, "moon key=10..100/11", *out, cache=cache)
        kept = [
            command(*words, f"moon key={11 + number}..99/11", *out, cache=cache)[0]
            for number in range(repeats)
        ]
    return cold, min(kept)


def tables(
    *,
    width: int = WIDTH,
    scenes: tuple[str, ...] = SCENES,
    every: int = EVERY,
    heights: str = HEIGHTS,
    repeats: int = 2,
) -> Iterator[Table]:
    count = round(360 / every) * len(heights.split(","))
    table = Table(title=f"{count} directions of the moon, the whole command (bound: 12 s with the rest kept)")
    for heading in ("scene", "cold s", "rest kept s", "all kept s"):
        table.add_column(heading, justify="left" if heading == "scene" else "right")
    for name in scenes:
        cold, fresh, kept = moons(name, width=width, every=every, heights=heights, repeats=repeats)
        table.add_row(name, f"{cold:.1f}", f"{fresh:.1f}", f"{kept:.1f}")
    yield table
    table = Table(title="Twelve looks, the whole command (bound: 2 s from the cache)")
    for heading in ("scene", "cold s", "from the cache s"):
        table.add_column(heading, justify="left" if heading == "scene" else "right")
    for name in scenes:
        cold, kept = twelve_looks(name, width=width, repeats=repeats)
        table.add_row(name, f"{cold:.1f}", f"{kept:.1f}")
    yield table
