"""Runs the bench and prints its tables: `python -m tests.bench`, or a part of it with `--only NAME`."""

from __future__ import annotations

import os
import platform
import time
from importlib import import_module

import click
from rich.console import Console

PARTS = {
    "rays": "tests.bench.shadow_rays",
    "frame": "tests.bench.demo_frame",
    "mitsuba": "tests.bench.equal_error",
    "worlds": "tests.bench.worlds",
    "imports": "tests.bench.imports",
    "growth": "tests.bench.growth",
    "plants": "tests.bench.plants",
    "relight": "tests.bench.relight",
    "meter": "tests.bench.meter",
    "modifiers": "tests.bench.modifiers",
    "raster": "tests.bench.hard_shadows",
    "shares": "tests.bench.shares",
    "choosing": "tests.bench.choosing",
}
"""Each module has `tables()`, which measures and yields rich tables."""


@click.command()
@click.option("--only", type=click.Choice(list(PARTS)), multiple=True, help="Run this part; may be repeated.")
def bench(only: tuple[str, ...]) -> None:
    """Measure the tracer on this machine."""
    console = Console()
    if not console.is_terminal:
        console = Console(width=120)
    load = os.getloadavg()[0]
    console.print(
        f"{platform.machine()}, {os.cpu_count()} cores, load {load:.1f}, Python {platform.python_version()}"
    )
    started = time.perf_counter()
    for name in only or PARTS:
        for table in import_module(PARTS[name]).tables():
            console.print(table)
    console.print(f"The bench ran {time.perf_counter() - started:.0f} s.")


if __name__ == "__main__":
    bench()
